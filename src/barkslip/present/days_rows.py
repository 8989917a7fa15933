"""The days of a ribbon as rows: chance, healing, drying, heat, frost and air of each, and what speaks against it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barkslip.domain.night import Spread
from barkslip.domain.timing import DaysVerdict, DayToGraft
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import dates, days_words
from barkslip.present import units as u
from barkslip.present.days import healing_text
from barkslip.present.days_words import DAY_WORDS
from barkslip.present.heat import pct_text

#: A dose below this is none.
_NO_DOSE = 0.005


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day as a row.

    `kind` is the verdict's code, `put` a word if this is the day put forward, `against` what speaks against it.
    """

    day: DayToGraft
    date: str
    kind: str
    sign: str
    word: str
    put: str
    chance: str
    healing: str
    water: str
    dose: str
    frost: str
    air: str
    against: str
    source: str


def day_rows(verdict: DaysVerdict, units: UnitChoice = METRIC) -> tuple[DayRow, ...]:
    """The ribbon's days, first to last."""
    rows = []
    for day in verdict.days:
        sign, word = days_words.DAY_WORDS.get(day.verdict, days_words.DAY_WORDS["unknown"])
        rows.append(
            DayRow(
                day=day,
                date=dates.day_short(day.date),
                kind=day.verdict,
                sign=sign,
                word=word,
                put=put_word(verdict, day),
                chance=u.percent(day.chance),
                healing=healing_text(day),
                water=pct_text(day.water_lost_pct),
                dose=dose_text(day.heat_dose),
                frost=frost_text(day),
                air=air_text(day, units),
                against=against_text(day),
                source=days_words.source_words(day.source),
            )
        )
    return tuple(rows)


def put_word(verdict: DaysVerdict, day: DayToGraft) -> str:
    """A word for the day that is put forward; "" for the others and where none is."""
    if day.date != verdict.set_on or verdict.verdict not in ("today", "wait", "ask bark test"):
        return ""
    if "ask_bark_test" in verdict.reasons:
        return "if the bark lifts"
    return {"today": "set it", "wait": "wait for it"}.get(verdict.verdict, "if the bark lifts")


def dose_text(dose: Spread) -> str:
    """ "0.2 (0.0 to 0.9)"; nothing worth a number is "none"."""
    if dose.p90 < _NO_DOSE:
        return "none"
    return f"{u.number(dose.p50, 2)} ({u.number(dose.p10, 2)} to {u.number(dose.p90, 2)})"


def frost_text(day: DayToGraft) -> str:
    """ "17 h (3 to 37)" of frost in the time looked at after it."""
    f = day.frost_hours
    if f.p90 < 0.5:
        return "none"
    return f"{f.p50:.0f}{u.NBSP}h ({f.p10:.0f} to {f.p90:.0f})"


def air_text(day: DayToGraft, units: UnitChoice = METRIC) -> str:
    """ "2.8 to 18.1" of that day, for a column whose head names the unit."""
    low, high = (u.bare_temperature(v, units) for v in (day.air_low_c, day.air_high_c))
    return f"{low} to {high}" if day.air_low_c is not None or day.air_high_c is not None else "–"


def against_text(day: DayToGraft) -> str:
    """ "frost, cold": what speaks against it, each word once."""
    words = [days_words.why(code).short for code in day.reasons]
    return ", ".join(dict.fromkeys(w for w in words if w))


def signs(day: DayToGraft) -> tuple[str, ...]:
    """Signs of what speaks against a day, the weightiest first, each once."""
    found = [days_words.why(code).sign for code in day.reasons]
    if day.verdict == "unknown":
        found.insert(0, "open")
    return tuple(dict.fromkeys(s for s in found if s))


def table_key(verdict: DaysVerdict) -> str:
    """What the table's columns hold, beyond their heads."""
    words = "Frost: hours below freezing in the time looked at after that day."
    if any(d.heat_dose.p90 >= _NO_DOSE for d in verdict.days):
        words += " Heat dose: at 0.7 half of the tissue of the sunny strip lives."
    if any(d.source == "own years" for d in verdict.days):
        words += " Hours from years: your own, one after the other."
    return words


def window_text(verdict: DaysVerdict) -> str:
    """The good days in one line: "Good days: 19 to 24 Sep, 27 Sep"; "" if there is none."""
    runs: list[list[date]] = []
    for day in verdict.days:
        if day.verdict != "good":
            continue
        stamp = date.fromisoformat(day.date)
        if runs and (stamp - runs[-1][-1]).days == 1:
            runs[-1].append(stamp)
        else:
            runs.append([stamp])
    words = ", ".join(_span(run[0], run[-1]) for run in runs)
    return f"Good days: {words}." if words else ""


def _span(first: date, last: date) -> str:
    if first == last:
        return dates.day_short(first)
    if first.month == last.month:
        return f"{first.day} to {dates.day_short(last)}"
    return f"{dates.day_short(first)} to {dates.day_short(last)}"


# -- for a terminal: one number where there is no room for a range ----------------------------------------------------

_BAR, _AGAINST = 10, 13


def bar(chance: float) -> str:
    """A bar of ten signs: "████████··"."""
    full = min(max(round(chance * _BAR), 0), _BAR)
    return "█" * full + "·" * (_BAR - full)


def short_percent(chance: float) -> str:
    """ "84 %" in four signs; a chance is never rounded to none or to all."""
    whole = round(100 * chance)
    if whole == 0 and chance > 0:
        return f" <1{u.NBSP}%"
    return f">99{u.NBSP}%" if whole == 100 and chance < 1 else f"{whole:3d}{u.NBSP}%"


def short_healing(day: DayToGraft) -> str:
    """The middle: "0.61"."""
    return u.number(day.healing_days.p50, 2)


def short_water(day: DayToGraft) -> str:
    """The middle of the water lost: "8"."""
    return f"{day.water_lost_pct.p50:.0f}"


def short_frost(day: DayToGraft) -> str:
    """The middle of the hours of frost: "16"."""
    return f"{day.frost_hours.p50:.0f}"


def short_air(day: DayToGraft, units: UnitChoice = METRIC) -> str:
    """ "3 to 18"."""
    low, high = (u.bare_temperature(v, units, 0) for v in (day.air_low_c, day.air_high_c))
    return f"{low} to {high}"


def short_against(day: DayToGraft) -> str:
    """The one or two weightiest words, as many as there is room for."""
    words = against_text(day).split(", ")[:2]
    both = ", ".join(words)
    return both if len(both) <= _AGAINST else words[0]


def ribbon_key(verdict: DaysVerdict) -> str:
    """What the columns hold."""
    signs = {DAY_WORDS[d.verdict] for d in verdict.days if d.verdict in DAY_WORDS}
    marks = ", ".join(f"{sign} {word}" for sign, word in DAY_WORDS.values() if (sign, word) in signs)
    from_ = " From years: your own, one after the other." if any(d.source == "own years" for d in verdict.days) else ""
    heat = max((d.heat_dose.p50 for d in verdict.days), default=0.0)
    dose = f" Heat dose until it links: up to {u.number(heat, 2)} in the middle." if heat >= _NO_DOSE else ""
    return (
        f"{marks}. Heals: of that day alone, 1 is a whole best day. Dries: the scion's water lost until it links. "
        f"Frost: hours below freezing in the time looked at after it. Middles; the ranges stand in --json.{dose}{from_}"
    )
