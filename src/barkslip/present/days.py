"""Days to graft in words: the verdict first and why, then the dates to expect, the bark, and each day in a row."""

from __future__ import annotations

from datetime import date

from barkslip.domain.heat import GRAFT_COVERS
from barkslip.domain.night import Spread
from barkslip.domain.timing import BARK_TESTS, BUDS, PATHS, DateSpread, DaysVerdict, DayToGraft
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates, days_words
from barkslip.present import units as u
from barkslip.present.heat import day_words, side_words
from barkslip.present.night import chance_words

#: From this share on it is said what ends a graft.
NAMED = 0.1
#: How an unreached day is said, in full and in a range.
NEVER, LATE = "not within the time looked at", "not in time"
#: How closely the rule of heat for the bark holds; `healing.citrus.bark_slip_spread`, an assumption.
RULE_SPREAD = "two weeks either way"


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


def _else(day: DayToGraft) -> str:
    """What ends it most often, if that is worth saying: "else mostly frost comes first"; else ""."""
    named = [code for code, share in day.ended_by if share >= NAMED and code in days_words.WHYS]
    return f"else mostly {days_words.why(named[0]).clause}" if named else ""


def _said(words: str, more: str) -> str:
    return f"{words}; {more}." if more else f"{words}."


def _today(verdict: DaysVerdict, on: date | None) -> str:
    day = verdict.days[0]
    return _said(f"Good to graft {day_words(day.date, on, 'on')}: {_links(day)}", _else(day))


def _wait(verdict: DaysVerdict, on: date | None) -> str:
    first, day = verdict.days[0], chosen(verdict) or verdict.days[0]
    good = _near(day.date, first.date)
    if "ask_bark_test" in verdict.reasons:
        return f"Wait: the bark is unlikely to lift {_until(verdict)}. The weather is good from {good}."
    now = day_words(first.date, on, "on").removesuffix(f" {first.date[:4]}")
    better = f"Wait until {good}: {_links(day)}; {now} it is {chance_words(first.chance)}"
    if "heat_wave_ahead" in first.reasons:
        return f"{better}, and {days_words.why('heat_wave_ahead').clause}."
    more = _else(first)
    return f"{better}, {more}." if more else f"{better}."


def _until(verdict: DaysVerdict) -> str:
    return f"before {_near(verdict.bark_from, verdict.days[0].date)}" if verdict.bark_from else "in these days"


def _near(day: str, near: str) -> str:
    return dates.day_near(day, date.fromisoformat(near))


def _not_now(verdict: DaysVerdict, on: date | None) -> str:
    first, day = verdict.days[0], best(verdict) or verdict.days[0]
    if "bark_tears" in verdict.reasons:
        good = any(d.verdict == "good" for d in verdict.days)
        weather = f"The weather would do: {_links(day)}." if good else "Nor is the weather good."
        return f"Not now: the bark tears. {weather}"
    if "ask_bark_test" in verdict.reasons:
        return f"Not now: the bark is unlikely to lift {_until(verdict)}, though the weather would do."
    if "heat_wave_ahead" in first.reasons and day.chance >= NAMED:
        return f"Not now: {days_words.why('heat_wave_ahead').clause}; without it {_links(day)}."
    one = len(verdict.days) == 1
    span = day_words(first.date, on, "on") if one else f"in these {len(verdict.days)} days"
    at_best = "" if one else "at best "
    return _said(f"Not now: {at_best}{chance_words(day.chance)} {span} that the union links in time", _else(day))


def _test_first(verdict: DaysVerdict, on: date | None) -> str:
    first, day = verdict.days[0], chosen(verdict) or verdict.days[0]
    when = day_words(day.date, on, "on") if day is first else f"from {_near(day.date, first.date)}"
    return f"Test the bark first: the weather is good {when}, {_links(day)}."


def _unknown(verdict: DaysVerdict, on: date | None) -> str:
    if "species_unknown" in verdict.reasons:
        return f"Not known: nothing is written down of how {verdict.plan.species or 'this kind'} heals."
    if not verdict.days:
        return "Not known: there is no weather for these days."
    return "Not known: the weather ends before a union could link."


def title(verdict: DaysVerdict, tree: str = "", place: str = "") -> str:
    """Which graft, where, from which day: "bark graft of citrus, Gatepost, House yard, 30 Jun – 13 Jul 2025"."""
    plan = verdict.plan
    what = f"{days_words.method_words(plan.method) or 'graft'} of {plan.species or 'a kind not named'}"
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
    when = _near(day.date, verdict.days[0].date)
    if day.link_days is None:
        return f"Set on {when} the first water path is not there {NEVER.removeprefix('not ')} in most cases."
    link = f"about {dates.days_text(day.link_days.p50)} ({_days_span(day.link_days)}) to the first water path"
    return f"Set on {when}: {link}; that day heals {healing_text(day)} of a best one."


def healing_text(day: DayToGraft) -> str:
    """ "0.61 (0.52 to 0.70)" of a best day."""
    h = day.healing_days
    return f"{u.number(h.p50, 2)} ({u.number(h.p10, 2)} to {u.number(h.p90, 2)})"


def _days_span(spread: Spread) -> str:
    return f"{spread.p10:.0f} to {spread.p90:.0f}"


def in_time_text(verdict: DaysVerdict) -> str:
    """What "in time" means, once on a page."""
    return (
        "In time: the first water path is there before drying, heat, cold, frost or spent buds end the graft. This is "
        "about weather alone; it is not the chance that your graft takes."
    )


def why_texts(verdict: DaysVerdict) -> tuple[str, ...]:
    """A sentence for each reason of the verdict, the weightiest first, with the chance of what ends it."""
    ended = dict(verdict.days[0].ended_by) if verdict.days else {}
    out: list[str] = []
    for code in verdict.reasons:
        words = days_words.why(code).sentence
        if code == "good" and out:
            words = "Nothing else in the weather speaks against it."
        if ended.get(code, 0.0) >= NAMED:
            words = f"{words.removesuffix('.')} ({chance_words(ended[code])})."
        out.append(words)
    return tuple(out)


def ended_text(day: DayToGraft) -> str:
    """ "Set on 1 Oct: in time 83 %; else dried out 14 %, too cold to link 3 %.": the whole of the chances."""
    shares: dict[str, float] = {}
    for code, share in day.ended_by:
        words = days_words.ended(code)
        shares[words] = shares.get(words, 0.0) + share
    parts = ", ".join(f"{words} {u.percent(share)}" for words, share in shares.items())
    words = f"Set on {dates.day_short(day.date)}: in time {u.percent(day.chance)}"
    return f"{words}; else {parts}." if parts else f"{words}."


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


def dates_head(verdict: DaysVerdict) -> str:
    """What stands over those dates."""
    when = dates.day_text(verdict.set_on)
    return f"If it is set on {when}" + (" all the same" if verdict.verdict == "not now" else "")


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
        when = "from now on" if verdict.bark_from == first else f"from {_near(verdict.bark_from, first)}"
        words = f"By the heat of the last three weeks a test is worth while {when}"
        return f"{words}; that rule is good to {RULE_SPREAD}."
    if verdict.curve is not None and verdict.curve.species == "citrus" and verdict.verdict != "ask bark test":
        words = "By the heat of the last three weeks it is unlikely to lift in these days"
        return f"{words}; that rule is good to {RULE_SPREAD}."
    return "No rule says when it lifts here."


def asks_for_test(verdict: DaysVerdict, on: date | None) -> bool:
    """Whether the page offers to write a test of the bark down: a tree of the book, today, a method that needs it."""
    first = verdict.days[0].date if verdict.days else ""
    return bool(verdict.plan.tree) and verdict.bark_rule != "no need" and on is not None and first == on.isoformat()


#: Buttons of the test -> their words.
BARK_BUTTONS = (("lifts", "Lifts"), ("tears", "Tears"), ("sun side only", "Sun side only"))


def shown_cautions(verdict: DaysVerdict) -> tuple[str, ...]:
    """Cautions of the answer, in the order of telling."""
    return days_words.cautions_in_order(verdict.cautions)


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
        days_words.method_words(plan.method) or "method not said",
        PATHS.get(plan.path, plan.path),
        f"wood with {BUDS.get(plan.buds, plan.buds)}",
        GRAFT_COVERS.get(plan.cover, plan.cover),
        f"limb {u.length(plan.limb_mm, units)}, scion {u.length(plan.scion_mm, units)}",
        "sun from all sides" if plan.bearing_deg is None else side_words(plan.bearing_deg),
    ]
    if plan.shade > 0:
        parts.append(f"{u.percent(plan.shade)} of the sun kept off")
    return f"{counts.opening(plan.species or 'kind not known')}: {', '.join(parts)}."


def curve_rows(verdict: DaysVerdict, units: UnitChoice = METRIC) -> tuple[tuple[str, str, str, str], ...]:
    """Each number of the healing curve: what it is, the number with its range, how it is known, key of its source."""
    curve = verdict.curve
    if curve is None:
        return ()
    named = (
        ("nothing below", curve.t_min), ("fastest at", curve.t_opt), ("nothing above", curve.t_max),
        ("callus bridge", curve.d_bridge), ("first water path", curve.d_xylem),
        ("binding may come off", curve.d_unwrap),
    )  # fmt: skip
    return tuple((name, u.value_text(v, units), v.status, v.source) for name, v in named)


def curve_text(verdict: DaysVerdict, units: UnitChoice = METRIC) -> str:
    """The healing curve that was used, with its status; "" without one."""
    curve = verdict.curve
    if curve is None:
        return ""
    best_, low, high = (u.value_text(v, units) for v in (curve.t_opt, curve.t_min, curve.t_max))
    return (
        f"{counts.opening(curve.species)} heals fastest at {best_}, not below {low}, not above {high}; at the best "
        f"temperature {u.value_text(curve.d_xylem, units)} to the first water path. Evidence: {curve.evidence}; "
        f"status: {curve.t_opt.status}."
    )
