"""Days to graft in words: the verdict first and why, then the dates to expect, the bark, and each day in a row."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barkslip.domain.heat import GRAFT_COVERS
from barkslip.domain.night import Spread
from barkslip.domain.timing import BARK_TESTS, BUDS, PATHS, DateSpread, DaysVerdict, DayToGraft
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates, days_words
from barkslip.present import units as u
from barkslip.present.heat import day_words, pct_text, side_words
from barkslip.present.night import chance_words

#: From this share on it is said what ends a graft.
NAMED = 0.1
#: How an unreached day is said, in full and in a range.
NEVER, LATE = "not within the time looked at", "not in time"
_DAY_H = 24.0
#: Days within which the rule of heat for the bark holds [d]; an assumption of the knowledge base.
BARK_RULE_WORDS = "two weeks either way"


def chosen(verdict: DaysVerdict) -> DayToGraft | None:
    """The day that the dates are counted from."""
    return next((d for d in verdict.days if d.date == verdict.set_on), None)


def best(verdict: DaysVerdict) -> DayToGraft | None:
    """The day with the best chance; the first of equals."""
    return max(verdict.days, key=lambda d: d.chance, default=None)


# -- the verdict ------------------------------------------------------------------------------------------------------


def headline(verdict: DaysVerdict, on: date | None = None) -> str:
    """The answer in one sentence, and why."""
    say = {
        "today": _today, "wait": _wait, "not now": _not_now, "ask bark test": _test_first, "unknown": _unknown,
    }[verdict.verdict]  # fmt: skip
    return say(verdict, on)


def _links(day: DayToGraft) -> str:
    return f"{chance_words(day.chance)} chance that the union links in time"


def _against(day: DayToGraft) -> str:
    """What ends it most often, if that is worth saying: "frost comes before that"; else ""."""
    named = [code for code, share in day.ended_by if share >= NAMED and code in days_words.WHYS]
    ahead = ["heat_wave_ahead"] if "heat_wave_ahead" in day.reasons else []
    found = [*named, *ahead]
    return days_words.why(found[0]).clause if found else ""


def _today(verdict: DaysVerdict, on: date | None) -> str:
    day = verdict.days[0]
    words = f"Good to graft {day_words(day.date, on, 'on')}: {_links(day)}"
    named = [code for code, share in day.ended_by if share >= NAMED]
    return f"{words}; what ends it else is mostly {days_words.why(named[0]).short}." if named else f"{words}."


def _wait(verdict: DaysVerdict, on: date | None) -> str:
    first, day = verdict.days[0], chosen(verdict) or verdict.days[0]
    if "ask_bark_test" in verdict.reasons:
        until = f" before {_day(verdict.bark_from, first.date)}" if verdict.bark_from else " in these days"
        return f"Wait: the bark is unlikely to lift{until}. Weather would be good from {_day(day.date, first.date)}."
    then = f"Wait until {_day(day.date, first.date)}: {_links(day)} then, {chance_words(first.chance)} {_now(first, on)}"
    why = _against(first)
    return f"{then}; {_now(first, on)} {why}." if why else f"{then}."


def _now(first: DayToGraft, on: date | None) -> str:
    return day_words(first.date, on, "on")


def _day(day: str, near: str) -> str:
    return dates.day_near(day, date.fromisoformat(near))


def _not_now(verdict: DaysVerdict, on: date | None) -> str:
    first, top = verdict.days[0], best(verdict)
    if "bark_tears" in verdict.reasons:
        good = top is not None and any(d.verdict == "good" for d in verdict.days)
        weather = f"The weather would do, {chance_words(top.chance)}." if good and top else "Nor is the weather good."
        return f"Not now: the bark tears. {weather}"
    if "ask_bark_test" in verdict.reasons:
        until = f" before {_day(verdict.bark_from, first.date)}" if verdict.bark_from else " in these days"
        return f"Not now: the bark is unlikely to lift{until}, though the weather would do."
    day = top or first
    one = len(verdict.days) == 1
    span = _now(first, on) if one else f"in these {len(verdict.days)} days"
    words = f"Not now: {'' if one else 'at best '}{chance_words(day.chance)} {span} that the union links in time"
    why = _against(day) or _against(first)
    return f"{words}; {why}." if why else f"{words}."


def _test_first(verdict: DaysVerdict, on: date | None) -> str:
    day = chosen(verdict) or verdict.days[0]
    when = day_words(day.date, on, "on")
    from_ = "" if day is verdict.days[0] else "from "
    when = when.removeprefix("on ") if from_ else when
    return f"Test the bark first: the weather is good {from_}{when}, {_links(day)}."


def _unknown(verdict: DaysVerdict, on: date | None) -> str:
    if "species_unknown" in verdict.reasons:
        return f"Not known: how {verdict.plan.species or 'this kind'} heals is written down nowhere."
    if not verdict.days:
        return "Not known: there is no weather for these days."
    return "Not known: the weather ends before a union could link."


def title(verdict: DaysVerdict, tree: str = "", place: str = "") -> str:
    """Which graft, where, from which day: "bark graft of citrus, Gatepost, House yard, 30 Jun – 13 Jul 2025"."""
    plan = verdict.plan
    what = f"{plan.method.replace('_', ' ') or 'graft'} of {plan.species or 'a kind not named'}"
    span = ""
    if verdict.days:
        first, last = (date.fromisoformat(verdict.days[i].date) for i in (0, -1))
        span = dates.range_text(first, last)
    return counts.opening(", ".join(part for part in (what, tree or plan.tree, place or plan.plot, span) if part))


def lead(verdict: DaysVerdict) -> str:
    """How long it takes if set on the day put forward; "" if nothing is known."""
    day = chosen(verdict)
    if day is None:
        return ""
    when = _day(day.date, verdict.days[0].date)
    if day.link_days is None:
        return f"Set on {when} the first water path is not there {NEVER.removeprefix('not ')} in most cases."
    link = f"about {dates.days_text(day.link_days.p50)} ({_days_span(day.link_days)}) to the first water path"
    return f"Set on {when}: {link}; that day heals {healing_text(day)} of a best one."


def _days_span(spread: Spread) -> str:
    return f"{spread.p10:.0f} to {spread.p90:.0f}"


def in_time_text(verdict: DaysVerdict) -> str:
    """What "in time" means, once on a page."""
    return (
        "In time: the first water path is there before drying, heat, cold, frost or spent buds end the graft. This is "
        "about weather alone; it is not the chance that your graft takes."
    )


def why_texts(verdict: DaysVerdict) -> tuple[str, ...]:
    """A sentence for each reason of the verdict, the weightiest first."""
    return tuple(days_words.why(code).sentence for code in verdict.reasons)


def ended_text(day: DayToGraft) -> str:
    """ "In time 83 %; else drying 14 %, too cold 3 %.": adds to the whole."""
    shares: dict[str, float] = {}
    for code, share in day.ended_by:
        words = ENDED.get(code, days_words.why(code).short)
        shares[words] = shares.get(words, 0.0) + share
    parts = ", ".join(f"{words} {u.percent(share)}" for words, share in shares.items())
    words = f"In time {u.percent(day.chance)}"
    return f"{words}; else {parts}." if parts else f"{words}."


#: What ends a graft, longer than in a column.
ENDED = {
    "too_cold": "too cold to link",
    "too_hot": "too hot",
    "drying": "dried out",
    "frost_after": "frost on the new growth",
    "frost_before_link": "frost before it links",
    "buds_before_union": "buds spent before it links",
    "no_weather": "weather not known so far ahead",
}


# -- dates ------------------------------------------------------------------------------------------------------------


def date_text(spread: DateSpread | None, near: str = "") -> str:
    """ "5 Nov (24 Oct to 16 Nov)"; said plainly where a day is not reached in the time looked at."""
    if spread is None or spread.p10 is None:
        return NEVER
    on = date.fromisoformat(near) if near else None
    early = dates.day_near(spread.p10, on)
    if spread.p50 is None:
        return f"{early} at the earliest, in most cases {NEVER}"
    late = dates.day_near(spread.p90, on) if spread.p90 else LATE
    return f"{dates.day_near(spread.p50, on)} ({early} to {late})"


def date_rows(verdict: DaysVerdict) -> tuple[tuple[str, str], ...]:
    """What is to be expected of a graft set on the day put forward: (what, when)."""
    if not verdict.set_on:
        return ()
    rows = [("first water path", date_text(verdict.link_date, verdict.set_on))]
    if verdict.plan.path == "growing":
        rows.append(("first push", date_text(verdict.push_date, verdict.set_on)))
    rows.append(("binding may come off", date_text(verdict.release_date, verdict.set_on)))
    return tuple(rows)


def path_text(verdict: DaysVerdict) -> str:
    """What is not said of a bud that sleeps; "" for one that grows."""
    return "" if verdict.plan.path == "growing" else "The bud is meant to sleep: no push is counted."


# -- the bark ---------------------------------------------------------------------------------------------------------


def bark_text(verdict: DaysVerdict) -> str:
    """What speaks for the bark: a test, the rule of heat, or the method that needs none."""
    if verdict.bark_rule == "no need":
        return "This method needs no lifting bark."
    if verdict.bark_rule == "test":
        word = BARK_TESTS.get(verdict.plan.bark, verdict.plan.bark)
        more = {
            "lifts": "The test decides.",
            "tears": "The test decides: wait and test again, or choose a method that needs no lifting bark.",
            "sun side only": "Set it there, and test again where the flap tore.",
        }.get(verdict.plan.bark, "The test decides.")
        return f"Tested: {word}. {more}"
    if verdict.bark_rule != "rule" or not verdict.days:
        return ""
    return f"Not tested. {_rule_text(verdict)} The knife decides."


def _rule_text(verdict: DaysVerdict) -> str:
    first = verdict.days[0].date
    if verdict.bark_from:
        when = "from now on" if verdict.bark_from == first else f"from {_day(verdict.bark_from, first)}"
        return f"By the heat of the last three weeks a test is worth while {when}; that rule is good to {BARK_RULE_WORDS}."
    if verdict.curve is not None and verdict.curve.species == "citrus" and verdict.verdict != "ask bark test":
        return f"By the heat of the last three weeks it will not lift in these days; that rule is good to {BARK_RULE_WORDS}."
    return "No rule says when it lifts here."


def asks_for_test(verdict: DaysVerdict, on: date | None) -> bool:
    """Whether the page offers to write a test of the bark down: a tree of the book, today, a method that needs it."""
    first = verdict.days[0].date if verdict.days else ""
    return bool(verdict.plan.tree) and verdict.bark_rule != "no need" and on is not None and first == on.isoformat()


#: Buttons of the test -> their words.
BARK_BUTTONS = (("lifts", "Lifts"), ("tears", "Tears"), ("sun side only", "Sun side only"))


# -- the days ---------------------------------------------------------------------------------------------------------


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
    return "set it" if verdict.verdict == "today" else "wait for it" if verdict.verdict == "wait" else "if the bark lifts"


def healing_text(day: DayToGraft) -> str:
    """ "0.61 (0.52 to 0.70)" of a best day."""
    h = day.healing_days
    return f"{u.number(h.p50, 2)} ({u.number(h.p10, 2)} to {u.number(h.p90, 2)})"


def dose_text(dose: Spread) -> str:
    """ "0.2 (0.0 to 0.9)"; nothing worth a number is "none"."""
    if dose.p90 < 0.005:
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


# -- around it --------------------------------------------------------------------------------------------------------


def source_text(verdict: DaysVerdict) -> str:
    """Where the hours come from, and which days from where."""
    runs: list[tuple[str, list[str]]] = []
    for day in verdict.days:
        if runs and runs[-1][0] == day.source:
            runs[-1][1].append(day.date)
        else:
            runs.append((day.source, [day.date]))
    parts = [f"{_run(days)} {days_words.source_long(source)}" for source, days in runs]
    spans = f"{counts.opening('; '.join(parts))}." if parts else ""
    years = f"{counts.many(verdict.years, 'year')} of weather stand behind the time after." if verdict.years else ""
    if verdict.years == 1:
        years = "One year of weather stands behind the time after."
    return " ".join(p for p in (counts.sentence(verdict.source_words), spans, years) if p)


def _run(days: list[str]) -> str:
    first, last = (date.fromisoformat(days[i]) for i in (0, -1))
    if first == last:
        return dates.day_short(first)
    same = first.month == last.month
    return f"{first.day if same else dates.day_short(first)} to {dates.day_short(last)}"


def plan_text(verdict: DaysVerdict, units: UnitChoice = METRIC) -> str:
    """The graft that is meant."""
    plan = verdict.plan
    parts = [
        plan.method.replace("_", " ") or "method not said",
        PATHS.get(plan.path, plan.path),
        f"wood with {BUDS.get(plan.buds, plan.buds)}",
        GRAFT_COVERS.get(plan.cover, plan.cover),
        f"limb {u.length(plan.limb_mm, units)}, scion {u.length(plan.scion_mm, units)}",
        "sun from all sides" if plan.bearing_deg is None else side_words(plan.bearing_deg),
    ]
    if plan.shade > 0:
        parts.append(f"{u.percent(plan.shade)} of the sun kept off")
    return f"{counts.opening(plan.species or 'kind not known')}: {', '.join(parts)}."


def curve_text(verdict: DaysVerdict, units: UnitChoice = METRIC) -> str:
    """The healing curve that was used, with its status; "" without one."""
    curve = verdict.curve
    if curve is None:
        return ""
    best_, low, high = (u.value_text(v, units) for v in (curve.t_opt, curve.t_min, curve.t_max))
    return (
        f"{counts.opening(curve.species)} heals fastest at {best_}, not below {low}, not above {high}; at the best "
        f"temperature {u.value_text(curve.d_xylem, units)} to the first water path. What it leans on: {curve.evidence}; "
        f"{curve.t_opt.status}."
    )
