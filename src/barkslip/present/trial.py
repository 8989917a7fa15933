"""Trials in words: what was shown, what was not, and how far it can be leaned on."""

from __future__ import annotations

from collections.abc import Sequence

from barkslip.domain.trial import TrialPlan, TrialReading
from barkslip.domain.trial_result import (
    LOOKED_AT,
    ArmResult,
    Beside,
    Comparison,
    Correction,
    LaterState,
    Tied,
    TrialResult,
    TrialStory,
)
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import counts, dates
from barkslip.present import units as u

SIGNS = {"shown": "✓", "leaning": "›", "not shown": "?", "alike": "=", "none": "·"}
NOTES = {
    "no_plan": "No plan was written down before it started: what is asked of the numbers may have been chosen after "
    "they were seen.",
    "not_all_known": "Some grafts cannot be counted yet: their days are not over, or no look says how they stood.",
    "one_unit": "One reading has no range: how far the next one would lie from it is not known.",
    "blocks_not_whole": "No block holds every way, so the ways are compared without blocks: right, but wider.",
    "no_spread": "Each way was read once: nothing says how far two of the same way lie apart.",
}
_REPLICATES = {"graft": "graft", "unit": "unit", "night": "night", "block": "block"}
#: Verdict on two ways before readings were put right.
_AS_READ = {
    "shown": "were told apart",
    "leaning": "were told apart by a leaning only",
    "not shown": "could not be told apart",
    "alike": "were alike",
}
#: Words for p below this are cut off.
_LEAST_P = 0.001


def headline(story: TrialStory, units: UnitChoice = METRIC) -> str:
    """The answer at the head of a page."""
    return result_headline(story.result, units)


def result_headline(r: TrialResult, units: UnitChoice = METRIC) -> str:
    """The answer of one result."""
    if r.kind == "none" or not r.arms:
        return "Nothing has been read yet."
    if len(r.arms) == 1:
        return _one_arm(r, units)
    if not r.pairs:
        return "Each way was read once: that decides nothing."
    best = r.arms[0].arm
    of_best = [p for p in r.pairs if p.arm == best]
    if LOOKED_AT.get(r.of, ("", "", None))[2] is None:
        return _no_better(r)
    return _verdict_sentence(best, of_best, r)


def _one_arm(r: TrialResult, units: UnitChoice) -> str:
    arm = r.arms[0]
    where = f" on {_nights(arm.n, r.nights)}" if r.replicate == "night" else ""
    if arm.n == 1 and r.replicate == "night":
        night = f"one {r.nights} night" if r.nights in ("still", "windy") else "one night"
        return f"{counts.opening(night)}: {arm.arm} {value_words(r.of, arm.value, units)}. One night decides nothing."
    return f"{counts.opening(arm.arm)}: {arm_words(r, arm, units)}{where}."


def _verdict_sentence(best: str, of_best: Sequence[Comparison], r: TrialResult) -> str:
    by = {v: [p.against for p in of_best if p.verdict == v] for v in ("shown", "leaning", "not shown", "alike")}
    where = f" ({_nights(r.n_blocks, r.nights)})" if r.replicate == "night" and r.n_blocks else ""
    name = counts.opening(best)
    if len(by["shown"]) == len(of_best):
        against = counts.listed(by["shown"]) if len(of_best) < 3 else "all others"
        return f"Shown: {best} did better than {against}{where}."
    if by["alike"] and len(by["alike"]) == len(of_best):
        return "Shown to be alike: they differ by less than is worth knowing."
    open_ones = []
    if by["leaning"]:
        open_ones.append(f"leaning, not proved, against {counts.listed(by['leaning'])}")
    if by["not shown"]:
        open_ones.append(f"not shown against {counts.listed(by['not shown'])}")
    if by["alike"]:
        open_ones.append(f"alike with {counts.listed(by['alike'])}")
    if by["shown"]:
        return f"{name} came out best{where}: shown against {counts.listed(by['shown'])}; {'; '.join(open_ones)}."
    if by["leaning"] and len(of_best) == 1:
        return f"Leaning to {best}, not proved{where}."
    if len(of_best) == 1:
        return f"Not shown: {best} and {of_best[0].against} cannot be told apart{where}."
    return f"{name} came out best{where}, but {'; '.join(open_ones)}."


def _no_better(r: TrialResult) -> str:
    shown = [p for p in r.pairs if p.verdict == "shown"]
    if not shown:
        return "Not shown: they cannot be told apart."
    return "; ".join(f"{counts.opening(p.arm)} and {p.against} differ: shown" for p in shown) + "."


def _nights(n: int, kind: str) -> str:
    word = f"{kind} night" if kind in ("still", "windy") else "night"
    return counts.many(n, word)


# -- numbers ---------------------------------------------------------------------------------------------------------


def value_words(of: str, value: float, units: UnitChoice = METRIC) -> str:
    """ "83 %", "+1.4 K", "12.1 °Brix"."""
    unit = LOOKED_AT.get(of, ("", "", None))[1]
    if of == "took":
        return u.percent(value)
    if unit == "K":
        return u.difference(value, units)
    if unit == "mm":
        return u.length(value, units)
    text = u.number(value, 1)
    return f"{text}{u.NBSP}{unit}" if unit not in ("", "1") else text


def bare(of: str, value: float, units: UnitChoice = METRIC, *, sign: bool = False) -> str:
    """The number alone: per cent or points for takes, else in the reader's unit."""
    if of == "took":
        return u.number(100.0 * value, 0, sign=sign)
    unit = LOOKED_AT.get(of, ("", "", None))[1]
    if unit == "K" and units.temperature == "°F":
        return u.number(k_to_f_difference(value), 1, sign=sign)
    return u.number(value, 1, sign=sign)


def unit_words(of: str, units: UnitChoice = METRIC, *, difference: bool = False) -> str:
    """ "points", "%", "K", "°F", "mm"."""
    if of == "took":
        return "points" if difference else "%"
    unit = LOOKED_AT.get(of, ("", "", None))[1]
    if unit == "K":
        return "K" if units.temperature == "°C" else "°F"
    return "" if unit == "1" else unit


def what_words(of: str) -> str:
    """What is looked at: "gain over bare"."""
    return LOOKED_AT[of][0] if of in LOOKED_AT else of.replace("_", " ")


def arm_words(r: TrialResult, arm: ArmResult, units: UnitChoice = METRIC) -> str:
    """ "10 of 12 took, 83 % (55 to 95)" or "+1.8 K (0.8 to 2.7)"."""
    text = f"{arm.took} of {arm.n} took, {u.percent(arm.value)}" if arm.took is not None else ""
    text = text or value_words(r.of, arm.value, units)
    if arm.low is None or arm.high is None:
        return f"{text}, no range"
    return f"{text} ({bare(r.of, arm.low, units)} to {bare(r.of, arm.high, units)})"


def counted_words(r: TrialResult, arm: ArmResult) -> str:
    """ "4 units, 64 readings", "9 nights", "12 grafts"."""
    unit = _REPLICATES.get(r.replicate, "unit")
    text = counts.many(arm.n, unit)
    return text if arm.readings == arm.n else f"{text}, {counts.many(arm.readings, 'reading')}"


def difference_words(r: TrialResult, p: Comparison, units: UnitChoice = METRIC) -> str:
    """ "25 points (−12 to 53)", the better one less the other, turned so that it reads as an advantage."""
    turn = -1.0 if LOOKED_AT.get(r.of, ("", "", None))[2] else 1.0
    middle, ends = turn * p.difference, sorted((turn * p.low, turn * p.high))
    unit = unit_words(r.of, units, difference=True)
    text = f"{bare(r.of, middle, units)}{u.NBSP}{unit}".rstrip(u.NBSP)
    return f"{text} ({bare(r.of, ends[0], units)} to {bare(r.of, ends[1], units)})"


def advantage(of: str) -> str:
    """ "less" or "more": in what the better arm is ahead."""
    return "less" if LOOKED_AT.get(of, ("", "", None))[2] else "more"


def p_words(p: float) -> str:
    """ "0.37", "below 0.001"."""
    return f"below {_LEAST_P:g}" if p < _LEAST_P else f"{p:.3f}" if p < 0.1 else f"{p:.2f}"


def in_ten(share: float) -> str:
    """ "in 7 of 10 such trials"."""
    tens = round(10.0 * share)
    if tens == 0:
        return "in fewer than 1 of 10 such trials"
    return "in more than 9 of 10 such trials" if tens == 10 else f"in {tens} of 10 such trials"


def chance_words(chance: float | None) -> str:
    """ "90 in 100"; never a whole certainty."""
    if chance is None:
        return ""
    hundred = round(100.0 * chance)
    return "more than 99 in 100" if hundred >= 100 else f"{hundred} in 100"


def pair_rows(r: TrialResult, units: UnitChoice = METRIC) -> tuple[tuple[str, str, str, str, str], ...]:
    """(sign and verdict, the two, difference, chance, p) of each pair."""
    return tuple(
        (
            f"{SIGNS[p.verdict]} {p.verdict}",
            f"{p.arm} against {p.against}",
            difference_words(r, p, units),
            chance_words(p.better),
            p_words(p.in_blocks_p if p.in_blocks_p is not None else p.p_value),
        )
        for p in r.pairs
    )


def test_words(r: TrialResult) -> str:
    """By what the pairs were tested."""
    if not r.pairs:
        return ""
    together = " All pairs are held together." if len(r.pairs) > 1 else ""
    if r.kind == "share":
        within = any(p.in_blocks_p is not None for p in r.pairs)
        where = f" within {counts.many(r.n_blocks, 'block')}" if within else ""
        return (
            f"p by Fisher's exact test{where}; ranges and chances with flat beliefs beforehand. Ranges hold 19 times "
            f"in 20.{together}"
        )
    unit = {"night": "nights", "block": "blocks"}.get(r.replicate, "")
    how = f"within {r.n_blocks} {unit}" if unit else "by units, never by single readings"
    return f"Compared {how} (t; with more than two ways by Tukey). Ranges hold 19 times in 20.{together}"


# -- sentences -------------------------------------------------------------------------------------------------------


def size_text(r: TrialResult) -> str:
    """ "12 against 12 cannot decide: ..."; "" if nothing can be said."""
    if r.kind != "share" or not r.sizes or len(r.arms) < 2 or any(p.verdict == "shown" for p in r.pairs):
        return ""
    row = r.sizes[0]
    sizes = " against ".join(str(a.n) for a in r.arms)
    low, high = sorted((row.usual, row.other))
    seen = f"{u.percent(low)} from {u.percent(high)}"
    need = f"{row.needed} each would be needed" if row.needed is not None else "no garden sets as many as it needs"
    if row.power >= 0.8:
        return f"{sizes} tell {seen} {in_ten(row.power)}."
    return f"{sizes} cannot decide: they would tell {seen} {in_ten(row.power)}; {need} (exact count)."


def correction_text(c: Correction, of: str, units: UnitChoice = METRIC) -> str:
    """What was taken off a logger's readings."""
    when = dates.range_text(c.first, c.last)
    arms = counts.listed(c.arms)
    if c.error_k is None:
        return f"Logger {c.logger} ({arms}, {when}) was never checked in ice water: its error is in the readings."
    size = u.difference(abs(c.error_k), units).lstrip("+")
    way = "high" if c.error_k > 0 else "low"
    done = "taken off" if c.error_k > 0 else "added to"
    return f"Logger {c.logger} reads {size} {way}: {done} {counts.many(c.readings, 'reading')} of {arms}, {when}."


def before_text(r: TrialResult, units: UnitChoice = METRIC) -> str:
    """What the readings said before they were put right, if that changes a verdict."""
    if not r.as_read:
        return ""
    now = {frozenset((p.arm, p.against)): p.verdict for p in r.pairs}
    turned = [p for p in r.as_read if now.get(frozenset((p.arm, p.against))) != p.verdict]
    if not turned:
        return "As read, before that, every verdict was the same."
    parts = [f"{p.arm} and {p.against} {_AS_READ[p.verdict]}: {difference_words(r, p, units)}" for p in turned]
    return f"As read, before that: {'; '.join(parts)}."


def tied_texts(rows: Sequence[Tied]) -> tuple[str, ...]:
    """What goes with a way all along, one sentence for each such thing."""
    by_what: dict[str, list[Tied]] = {}
    for t in rows:
        by_what.setdefault(t.what, []).append(t)
    return tuple(_tied(what, held) for what, held in by_what.items())


def _tied(what: str, rows: Sequence[Tied]) -> str:
    if what == "logger":
        each = counts.listed(f"logger {t.value} read {t.arm} only" for t in rows)
        return (
            f"{counts.opening(each)}: its error and the way lie on top of each other, and only its bath tells them "
            "apart. Next time let loggers change places."
        )
    if what == "thickness":
        arms = counts.listed(t.arm for t in rows)
        return f"All stocks of {arms} were thicker: the way and the thickness cannot be told apart."
    word = {"tree": "on", "lot": "from lot", "day": "on", "side": "on side"}[what]
    each = "; ".join(f"all of {t.arm} {word} {t.value}" for t in rows)
    return f"{counts.opening(each)}: the way and the {what} cannot be told apart."


def later_text(states: Sequence[LaterState]) -> str:
    """What is known after a year: "not yet known" is no failure."""
    if not states:
        return ""
    due = [s.due for s in states if s.due is not None]
    if not any(s.known for s in states):
        day = f" It can be known from {dates.day_text(max(due))} on." if due else ""
        return f"After a year: not yet known.{day}"
    parts = [
        f"{s.arm} {s.alive} of {s.known}" + (f" ({s.n - s.known} not known)" if s.known < s.n else "") for s in states
    ]
    return f"After a year alive: {', '.join(parts)}."


def beside_text(rows: Sequence[Beside], of: str, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """Trials of other nights."""
    return tuple(
        f"{b.code} read {b.arm} on {_nights(b.n, b.nights)}: {value_words(of, b.value, units)}. "
        f"{counts.opening(b.nights)} nights are another question; the two are not put together."
        for b in rows
    )


def typed_text(r: TrialResult) -> str:
    """Where typed counts and grafts differ."""
    if not r.against_typed:
        return ""
    seen = ", ".join(f"{arm} {took} of {n}" for arm, took, n in r.against_typed)
    return f"The grafts of the book say otherwise than the counts typed here: {seen}. The typed counts are shown."


def notes(r: TrialResult) -> tuple[str, ...]:
    """Sentences of a result's notes."""
    return tuple(NOTES[n] for n in r.notes)


def cautions(story: TrialStory, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """All that speaks against leaning on it, one sentence each."""
    r = story.result
    out = [size_text(r), typed_text(r), *tied_texts(r.tied)]
    out += [*notes(r), *beside_text(story.beside, r.of, units)]
    return tuple(words for words in out if words)


# -- plans -----------------------------------------------------------------------------------------------------------


def plan_rows(plan: TrialPlan) -> tuple[tuple[str, str], ...]:
    """Names and words of a plan."""
    rows = [
        ("ways", "; ".join(plan.arms)),
        ("what is counted", plan.unit),
        ("what is looked at", plan.looked_at or "not said"),
        ("when it ends", plan.stop or "not said"),
    ]
    if plan.min_difference:
        counted = plan.unit in ("graft", "tree") and plan.min_difference < 1.0
        worth = f"{100 * plan.min_difference:.0f} points" if counted else f"{plan.min_difference:g}"
        rows.append(("difference worth knowing", worth))
    rows.append(("wanted chance of seeing it", u.percent(plan.power)))
    rows.append(("lot", f"seed {plan.seed}, {'drawn' if plan.draw else 'not drawn yet'}"))
    return tuple(rows)


def draw_rows(plan: TrialPlan) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """(block, ((unit, arm), ...)) as drawn."""
    out: dict[str, list[tuple[str, str]]] = {}
    for unit, (block, arm) in plan.draw.items():
        out.setdefault(block, []).append((unit, arm))
    return tuple((block, tuple(rows)) for block, rows in out.items())


def planned_text(story: TrialStory) -> tuple[str, ...]:
    """What the planned size sees, before anything is read."""
    if not story.sizes or story.planned_each is None:
        return ()
    each = story.planned_each
    out = []
    for row in story.sizes:
        need = f"{row.needed} each needed" if row.needed is not None else "more needed than a garden sets"
        out.append(
            f"If {u.percent(row.usual)} take the usual way and {u.percent(row.other)} the other: {each} against {each} "
            f"show it {in_ten(row.power)}; {need}."
        )
    return tuple(out)


def reading_words(reading: TrialReading, units: UnitChoice = METRIC) -> str:
    """ "E1-02, foil sleeve, T01 N: +2.6 K"."""
    where = f", {reading.block}" if reading.block and reading.block != reading.on.iso() else ""
    if reading.of == "took":
        value = "took" if reading.value >= 0.5 else "did not take"
    else:
        value = value_words(reading.of, reading.value, units)
    return f"{reading.unit}, {reading.arm}{where}: {value}"
