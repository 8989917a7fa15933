"""Heat and covers in words: the verdict first, then what to do, what would change it, what is not known."""

from __future__ import annotations

from datetime import date

from barkslip.domain.heat import GRAFT_COVERS, HOLDING_AIR, CoverDay, FaceDay, HeatVerdict, Wrap
from barkslip.domain.night import Spread
from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import counts, dates, heat_cautions
from barkslip.present import units as u
from barkslip.present.night import chance_words, spread_text
from barkslip.present.tree import bearing_words

#: Cover -> (as it is chosen, how a graft stands then, how it is put on).
PHRASES = {
    "none": ("no film and no cover", "without film or cover", ""),
    "film": ("film alone", "under film alone", "film over all of the scion and the cuts, every end and seam closed"),
    "white_paint": (
        "white paint over the film", "under white paint",
        "water-based white paint over the film and the bark below it, no leaf and no open bud touched",
    ),
    "foil_sleeve": (
        "a foil sleeve", "under a foil sleeve",
        "loose sleeve with the shiny side out, open at the foot, off the scion's sunny side",
    ),
    "foil_pouch": (
        "a foil-lined bubble pouch", "in a foil-lined bubble pouch",
        "pouch with the metal out, open at the foot, off the scion's sunny side",
    ),
    "white_bag": ("a white paper bag", "in a white paper bag", "bag open at the foot, off the scion's sunny side"),
    "brown_bag": ("a brown paper bag", "in a brown paper bag", "bag open at the foot, off the scion's sunny side"),
    "dark_bag": ("a dark bag", "in a dark bag", "bag open at the foot, off the scion's sunny side"),
    "clear_plastic": ("clear plastic in sun", "in clear plastic in sun", ""),
    "clear_plastic_shade": (
        "clear plastic in shade", "in clear plastic in shade",
        "clear plastic only where the sun does not come all day",
    ),
    "shade_cloth": (
        "shade cloth", "under shade cloth", "cloth on a frame between the sun and the graft, air moving below it",
    ),
    "nurse_leaves": (
        "the leaves of a nurse limb", "behind the leaves of a nurse limb",
        "leafy shoots of the nurse limb left or tied so that they stand between the sun and the graft",
    ),
}  # fmt: skip
#: Verdict on a cover -> (sign in a terminal, words).
VERDICT_WORDS = {
    "choose": ("✓", "choose"),
    "bears": ("○", "bears it"),
    "helps": ("~", "helps some"),
    "avoid": ("×", "avoid"),
}
#: From here on a word for what does the harm is worth saying: about one tenth of the tissue by the model's own lines.
_DOSE, _DRY_PCT = 0.1, 20.0
#: How much the changes change: wind [m/s] and air [K]; the engine's own steps.
MORE_WIND_M_S, HOTTER_K = 1.0, 3.0
#: The line that a side of the bark is judged by [°C]: that of `FaceDay.chance_over_44`.
BARK_C = 44.0


def chosen(verdict: HeatVerdict) -> CoverDay | None:
    """The cover to take."""
    return None if verdict.choose is None else verdict.covers[verdict.choose]


def present_cover(verdict: HeatVerdict) -> CoverDay | None:
    """The cover as it is now."""
    return None if verdict.now is None else verdict.covers[verdict.now]


def compared(verdict: HeatVerdict) -> CoverDay:
    """What the choice is held against: the cover as it is now, else film alone, else the worst that was asked for."""
    now = present_cover(verdict)
    film = next((c for c in verdict.covers if c.wrap.cover == "film"), None)
    return now or film or verdict.covers[-1]


def closest(verdict: HeatVerdict) -> CoverDay:
    """The cover that leaves the smallest chance; a scion is never left bare for it."""
    return next((c for c in verdict.covers if c.wrap.cover != "none"), verdict.covers[0])


def put_forward(verdict: HeatVerdict) -> CoverDay:
    """The cover to put before the grower: what is there if that will do, else the one to take, else the closest."""
    there = compared(verdict)
    if there.chance_of_harm <= verdict.target and (verdict.now is not None or there.wrap.cover == "film"):
        return there
    return chosen(verdict) or closest(verdict)


def cover_words(wrap: Wrap, *, how: bool = False) -> str:
    """ "foil sleeve", or with `how` "foil sleeve, closed at the foot, against the scion"; the usual way goes unsaid."""
    words = GRAFT_COVERS.get(wrap.cover, wrap.cover.replace("_", " "))
    return ", ".join((words, *_how(wrap))) if how else words


def _how(wrap: Wrap) -> tuple[str, ...]:
    closed = ("closed at the foot",) if wrap.cover in HOLDING_AIR and not wrap.open_below else ()
    return (*closed, *(("against the scion",) if wrap.touching else ()))


def choice_words(wrap: Wrap) -> str:
    """A cover as it is chosen: "a foil sleeve"."""
    return PHRASES[wrap.cover][0] if wrap.cover in PHRASES else cover_words(wrap)


def _under(wrap: Wrap) -> str:
    words = PHRASES[wrap.cover][1] if wrap.cover in PHRASES else f"under {cover_words(wrap)}"
    return " ".join((words, *_how(wrap)))


def harm_words(cover: CoverDay) -> str:
    """What the day does to the scion: "overheats", "dries out", both, or "is in danger"."""
    return _harm(cover, ("overheats", "dries out", "is in danger"))


def _harm(cover: CoverDay, words: tuple[str, str, str]) -> str:
    heat = cover.heat_dose.p50 >= _DOSE
    dry = cover.water_lost_pct_day.p50 >= _DRY_PCT
    if heat and dry:
        return f"{words[0]} and {words[1]}"
    return words[0] if heat else words[1] if dry else words[2]


def day_words(day: str, on: date | None = None, before: str = "") -> str:
    """ "tomorrow", "today", else the day itself with the word that goes before it: "on 10 Jan 2026"."""
    one = date.fromisoformat(day)
    if on is not None and 0 <= (one - on).days <= 1:
        return dates.ago_text(one, on)
    return f"{before} {dates.day_text(one)}".lstrip()


def headline(verdict: HeatVerdict, on: date | None = None) -> str:
    """The answer in one sentence: which cover, what is in danger, when."""
    there, best = compared(verdict), put_forward(verdict)
    day = verdict.air.day
    if verdict.air.source == "measured":
        return _looked_back(verdict, there, best)
    if best is there and best.chance_of_harm <= verdict.target:
        return _stays(verdict, there, on)
    if verdict.choose is None:
        return (
            f"No cover tried keeps {day_words(day, on)} within {chance_words(verdict.target)}: closest is "
            f"{choice_words(best.wrap)}, {_odds(best)} about {best.hottest_at}."
        )
    verb = "Change to" if verdict.now is not None else "Choose"
    return (
        f"{verb} {choice_words(best.wrap)} for {day_words(day, on)}: {_under(there.wrap)} the scion "
        f"{harm_words(there)} about {there.hottest_at}, {_odds(there)}."
    )


def _odds(cover: CoverDay) -> str:
    return f"{chance_words(cover.chance_of_harm)} chance of harm"


def _stays(verdict: HeatVerdict, there: CoverDay, on: date | None) -> str:
    odds = f"{_odds(there)}, hottest about {there.hottest_at}"
    day = verdict.air.day
    if verdict.now is None:
        return f"{counts.opening(choice_words(there.wrap))} bears {day_words(day, on)}: {odds}."
    if there.wrap.cover == "none":
        return f"It can stay without film or cover {day_words(day, on, 'on')}: {odds}."
    kept = choice_words(there.wrap).removeprefix("a ").removeprefix("the ")
    return f"Leave the {kept} as it is for {day_words(day, on)}: {odds}."


def _looked_back(verdict: HeatVerdict, there: CoverDay, best: CoverDay) -> str:
    """A day that is over and was measured."""
    day = dates.day_text(verdict.air.day)
    if best is there and best.chance_of_harm <= verdict.target:
        words = counts.opening(choice_words(there.wrap))
        return f"{words} bore {day}: {_odds(there)}, hottest about {there.hottest_at}."
    done = _harm(there, ("overheated", "dried out", "was in danger"))
    words = f"{counts.opening(_under(there.wrap))} the scion {done} on {day} about {there.hottest_at}, {_odds(there)}"
    if verdict.choose is None:
        return f"{words}; no cover tried would have kept it within {chance_words(verdict.target)}."
    return f"{words}; {choice_words(best.wrap)} would have done, {chance_words(best.chance_of_harm)}."


def title(verdict: HeatVerdict, place: str = "", graft: str = "") -> str:
    """Which graft and which day: "G14-10, Lower paddock, 10 Jan 2026". `place` goes before the plot's code."""
    who = graft or verdict.graft.name or counts.opening(verdict.graft.species) or "A graft"
    return ", ".join(p for p in (who, place or verdict.plot, dates.day_text(verdict.air.day)) if p)


def hottest_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """Scion's hottest under what is put forward and under what it is held against, beside the air."""
    best, there = put_forward(verdict), compared(verdict)
    parts = [f"{_under(best.wrap)} {spread_text(best.scion_max_c, units)}"]
    if there is not best:
        parts.append(f"{_under(there.wrap)} {spread_text(there.scion_max_c, units)}")
    high = u.temperature(verdict.air.high_c, units)
    return f"Hottest about {best.hottest_at}: the scion {' and '.join(parts)}; the air {high}."


def dry_text(verdict: HeatVerdict) -> str:
    """Water lost under what is put forward, and without film and cover if that was tried."""
    best = put_forward(verdict)
    words = f"Water lost in the day {_under(best.wrap)}: {pct_text(best.water_lost_pct_day)} of the scion's own"
    bare = next((c for c in verdict.covers if c.wrap.cover == "none"), None)
    if bare is not None and bare is not best:
        words += f"; without film or cover {pct_text(bare.water_lost_pct_day)}"
    return f"{words}."


def pct_text(spread: Spread) -> str:
    """ "16 % (3 to 51)"; small shares keep a digit."""
    return f"{_pct(spread.p50)}{u.NBSP}% ({_pct(spread.p10)} to {_pct(spread.p90)})"


def _pct(value: float) -> str:
    # a day's losses are added up hour by hour: a bare stick in the driest members loses all it has
    value = min(value, 100.0)
    if 0.0 < value < 0.01:
        return "under 0.01"
    return u.number(value, 0 if value >= 9.95 else 1 if value >= 0.95 else 2)


def difference_text(spread: Spread, units: UnitChoice = METRIC) -> str:
    """ "+3.4 (+2.3 to +4.9)", for a column whose head names the unit."""
    return f"{_signed(spread.p50, units)} ({_signed(spread.p10, units)} to {_signed(spread.p90, units)})"


def _signed(difference_k: float, units: UnitChoice) -> str:
    return u.difference(difference_k, units).split(u.NBSP)[0]


def size_text(difference_k: float, units: UnitChoice = METRIC, decimals: int = 1) -> str:
    """A difference without its sign, as a neighbour would say it: "2.6 °C"."""
    size = abs(difference_k) if units.temperature == "°C" else abs(k_to_f_difference(difference_k))
    return f"{u.number(size, decimals)}{u.NBSP}{units.temperature}"


# -- what to do ---------------------------------------------------------------------------------------------------


def needs_change(verdict: HeatVerdict) -> bool:
    """True if something other than what is there should be put on."""
    return put_forward(verdict) is not compared(verdict) or compared(verdict).chance_of_harm > verdict.target


def runners(verdict: HeatVerdict) -> tuple[CoverDay, ...]:
    """Other covers that would do, at most two; none if nothing needs to be done. A scion is never left bare."""
    if not needs_change(verdict):
        return ()
    best, now = put_forward(verdict), present_cover(verdict)
    others = [c for c in verdict.covers if c.verdict in ("choose", "bears") and c.wrap.cover != "none"]
    return tuple(c for c in others if c is not best and c is not now)[:2]


def shown_cautions(verdict: HeatVerdict) -> tuple[str, ...]:
    """Cautions to stand beside what is put forward."""
    whiten = bool(faces_in_danger(verdict)) and not verdict.graft.whitened
    return heat_cautions.shown(verdict, (put_forward(verdict), *runners(verdict)), whiten=whiten)


# -- bark -----------------------------------------------------------------------------------------------------------


def faces_in_danger(verdict: HeatVerdict) -> tuple[FaceDay, ...]:
    """Sides of the bark whose chance of passing 44 °C is over the target."""
    return tuple(f for f in verdict.faces if f.chance_over_44 > verdict.target)


def faces_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """Which side of the bark gets hottest and when, how likely it is over the line, what whitening gains."""
    if not verdict.faces:
        return ""
    worst = max(verdict.faces, key=lambda f: f.bark_max_c.p50)
    line = u.temperature(BARK_C, units, 0)
    words = (
        f"Hottest bark: the {bearing_words(worst.face)} side, {spread_text(worst.bark_max_c, units)} about "
        f"{worst.hottest_at}; {chance_words(worst.chance_over_44)} chance over {line}."
    )
    gain = worst.bark_max_c.p50 - worst.whitened_max_c.p50
    if verdict.graft.whitened:
        return f"{words} It is whitened already."
    if gain < 0.05:
        return words
    cooler = f"{spread_text(worst.whitened_max_c, units)}, {size_text(gain, units)} cooler"
    return f"{words} Whitened it would be {cooler}."


# -- around the verdict -------------------------------------------------------------------------------------------


def changes(verdict: HeatVerdict, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """What would turn the answer: "Wind 1.0 m/s stronger: 1 in 12, not 3 in 10."."""
    return tuple(_change(code, now, then, units) for code, now, then in verdict.would_change)


def _change_words(code: str, units: UnitChoice) -> str:
    named = {
        "more_wind": f"wind {u.speed(MORE_WIND_M_S, units)} stronger",
        "cloud": "cloud over most of the sky",
        "hotter": f"air {size_text(HOTTER_K, units, 0)} hotter",
        "shade": "half of the sun kept off",
        "touching": "the cover's sunny side against the scion",
        "closed": "the cover closed at the foot",
    }
    return named.get(code, code.replace("_", " "))


def _change(code: str, now: float, then: float, units: UnitChoice) -> str:
    words = counts.opening(_change_words(code, units))
    if chance_words(now) == chance_words(then):
        return f"{words}: hardly changes it."
    return f"{words}: {chance_words(then)}, not {chance_words(now)}."


def changed_cover(verdict: HeatVerdict) -> CoverDay:
    """The cover that those changes are about."""
    return chosen(verdict) or present_cover(verdict) or verdict.covers[0]


def changed_text(verdict: HeatVerdict) -> str:
    """What those chances are of."""
    return counts.sentence(f"chance of harm {_under(changed_cover(verdict).wrap)}")


def air_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """Where the hours of the day come from with what was filled in, and how surely."""
    air = verdict.air
    doubt = f"Allowed for: ±{size_text(air.air_sd_k, units)} in the air." if air.air_sd_k else ""
    return " ".join(part for part in (counts.sentence(air.source_words), doubt) if part)


def graft_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """The graft as it was reckoned with: "Scion 8 mm thick, 8 cm long, on a 5 cm limb facing north-west; ..."."""
    g = verdict.graft
    words = (
        f"Scion {u.length(g.scion_mm, units)} thick and {u.length(g.scion_length_mm, units)} long on a limb of "
        f"{u.length(g.limb_mm, units)}"
    )
    words += (
        ", sun from all sides" if g.bearing_deg is None else f", on the {side_words(g.bearing_deg)} side of the tree"
    )
    words += f", {u.percent(g.shade)} of the sun kept off" if g.shade else ", no shade counted"
    return f"{words}; bark {'whitened' if g.whitened else 'as it is'}."


def side_words(bearing_deg: float) -> str:
    """The side of the tree nearest a bearing: "north-west"."""
    names = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
    return bearing_words(names[round(bearing_deg / 45.0) % 8])


def learned_text(verdict: HeatVerdict) -> str:
    """Which covers lean on the grower's own logger; empty if none does."""
    own = [c for c in verdict.covers if c.learned_days]
    parts = [f"{cover_words(c.wrap)} from {counts.many(c.learned_days, 'day')}" for c in own]
    return f"Learned from your own logger: {counts.listed(parts)}." if parts else ""


#: A line of the chart [°C] -> what happens there, in full and shortly.
LINE_WORDS = {
    38: ("callus dies if it lasts", "callus dies"),
    44: ("bark loses its hold on water", "bark leaks"),
    52: ("tissue dies within minutes", "tissue dies"),
}


def line_words(temp_c: float, *, short: bool = False) -> str:
    """What happens at a line: "callus dies if it lasts"."""
    return LINE_WORDS.get(round(temp_c), ("", ""))[1 if short else 0]


def line_text(temp_c: float, units: UnitChoice = METRIC, *, short: bool = False) -> str:
    """ "38 °C: callus dies if it lasts"."""
    words = line_words(temp_c, short=short)
    return f"{u.temperature(temp_c, units, 0)}{': ' + words if words else ''}"


def temperature_mark(temp_c: float, units: UnitChoice = METRIC) -> str:
    """A line for the head of a column: "44"."""
    return u.bare_temperature(temp_c, units, 0)


def line_note(value: Value) -> str:
    """What must be known before leaning on a line."""
    return counts.sentence("; ".join(p for p in (value.applies_to, value.note) if p))
