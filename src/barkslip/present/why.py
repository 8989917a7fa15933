"""Why a graft was lost, in words. No disease is ever named from a look."""

from __future__ import annotations

from barkslip.domain.units import UnitChoice
from barkslip.domain.why import Answered, CauseBelief, LastDays, LostGraft, NextLook, WhyAnswer
from barkslip.present import counts
from barkslip.present import units as u

#: Cause -> words; the one of living things stays without a name.
CAUSE_WORDS = {
    "heat_desiccation": "heat, or drying out",
    "incompatibility": "a pair that does not join",
    "dominance_shade": "held down by the stock or by shade",
    "disease": "something living in wood or bark, not to be told by eye",
    "poor_cambium": "poor contact of the cut faces",
    "late_or_weak_wood": "late or weak wood",
    "other": "something else",
}
#: Cause -> what may be done otherwise next time.
NEXT_TIME = {
    "heat_desiccation": "Next time: seal every cut, shade the graft from the first hour, and see which days stay cool "
    "enough (Heat and covers; Days to graft).",
    "incompatibility": "Before the same pair is set again, ask What fits for the whole chain.",
    "dominance_shade": "Next time: rub off shoots of the stock, head the limb back step by step, and let light onto "
    "the graft.",
    "disease": "Cut nothing else with that blade until it is cleaned, take no wood from this tree, and ask the "
    "plant-health authority or a laboratory: an eye cannot name it.",
    "poor_cambium": "Next time: graft while the bark lifts, with a sharp blade and long flat faces, cambium on cambium "
    "on one side at least, bound firmly.",
    "late_or_weak_wood": "Next time: wood at rest, cut fresh and kept cool and moist; see what is left of each lot "
    "under Wood.",
    "other": "",
}
QUESTIONS = {
    "scion": "How did the scion end?",
    "union": "Lift the bark at the union: is there callus?",
    "line": "Is there a swelling or a line across the union?",
    "ooze": "Is there ooze, a sunken patch or a black margin?",
    "neighbours": "How are neighbours set on the same day?",
    "shoots": "Were shoots of the stock left above the graft?",
    "heat": "How hot did the graft get in its first three weeks?",
    "pair": "Has this pair joined elsewhere?",
    "wood": "How was the wood?",
    "hand": "Whose hand?",
}
ANSWERS = {
    "scion": {"brown": "brown and dry within three weeks", "green": "green for six weeks, never pushed",
              "wilted": "pushed, then wilted", "other": "another way"},
    "union": {"callus": "callus", "none": "no callus", "brown": "brown and dry, no callus"},
    "line": {"yes": "yes", "no": "no"},
    "ooze": {"yes": "yes", "no": "no"},
    "neighbours": {"alive": "mostly alive", "dead": "mostly dead", "none": "there are none"},
    "shoots": {"left": "left on", "rubbed": "rubbed off"},
    "heat": {"hot": "above 38 °C", "shaded": "shaded, and not above 38 °C", "neither": "neither"},
    "pair": {"established": "yes, it has established", "reported": "it is reported not to", "neither": "not known"},
    "wood": {"old": "older than six weeks, or pushing", "fresh": "fresh and at rest"},
    "hand": {"first": "among the first twenty grafts", "practised": "a practised hand"},
}  # fmt: skip
_STATES = {"broken": "snapped or knocked out", "choked": "strangled", "eaten": "chewed off"}
_NEVER = (
    "This is a weighing of declared guesses, no verdict on a disease: what lives in wood is told by a laboratory. If "
    "leaves, bark or fruit of other trees look ill too, ask the plant-health authority before wood or tools move."
)
TABLES = (
    "All shares behind this are declared judgement, editable, and no field has checked them; causes that you find out "
    "and write down teach them. One cause is looked for, and signs are taken as independent given the cause: brown and "
    "no callus overlap, so that together they count for too much."
)


def never_text() -> str:
    """What this answer is not; always beside it."""
    return _NEVER


def headline(v: WhyAnswer) -> str:
    """The answer in one sentence."""
    g = v.grafts[0]
    name = f"{g.code} {g.name}"
    if not g.lost:
        return f"{name} is not lost by its looks: {_standing(g)}. Nothing to explain yet."
    if g.seen:
        return f"{name} was found {_STATES[g.seen]}: what was seen is the cause."
    if g.late:
        return f"{name} was lost long after it was set: the causes of young grafts do not explain that."
    if not v.cause:
        lead = g.beliefs[0]
        return f"Cannot tell why {name} was lost; {CAUSE_WORDS[lead.cause]} leads with {u.percent(lead.p)}."
    if v.cause == "disease":
        return f"{name}: have it looked at. What was seen points to something living, and no look tells what."
    return f"{name}: most likely {CAUSE_WORDS[v.cause]}, {u.percent(g.beliefs[0].p)}."


def _standing(g: LostGraft) -> str:
    return {"took": "it took", "waiting": "it waits, and time alone makes no verdict"}.get(g.standing, g.standing)


def lead(v: WhyAnswer) -> str:
    """How sure that is, and what that rests on."""
    g = v.grafts[0]
    if g.seen or g.late or not g.lost:
        return ""
    n = counts.many(len(g.answers), "answer")
    return (
        f"Cannot tell: {u.percent(v.cannot_tell)} of what the tables may be name another cause or none. Rests on {n}."
    )


def next_time(v: WhyAnswer) -> str:
    """What may be done otherwise."""
    return NEXT_TIME[v.cause] if v.cause else ""


def again(v: WhyAnswer) -> str:
    """Whether it can be set again: asked elsewhere, never from a count of days."""
    g = v.grafts[0]
    if not g.lost:
        return ""
    return (
        f"Again this year? Days to graft tells for {g.tree}, Wood tells what is left and how long it keeps. A scion "
        "that looks dead is looked at once more before the limb is cut."
    )


def range_text(b: CauseBelief) -> str:
    """ "87 %, 66 to 95"."""
    return f"{u.percent(b.p)} ({100 * b.low:.0f} to {100 * b.high:.0f})"


def speaks_text(b: CauseBelief) -> str:
    """What speaks for and against it."""
    for_it = [_said(q) for q, f in b.speaks if f >= 1.25]
    against = [_said(q) for q, f in b.speaks if f <= 0.8]
    parts = []
    if for_it:
        parts.append(f"for: {counts.listed(for_it)}")
    if against:
        parts.append(f"against: {counts.listed(against)}")
    return "; ".join(parts) or "nothing seen speaks for or against it"


def _said(question: str) -> str:
    return {
        "scion": "how the scion ended", "union": "the union", "line": "the line", "ooze": "ooze or margin",
        "neighbours": "its neighbours", "shoots": "stock shoots", "heat": "the heat it had",
        "pair": "the pair elsewhere", "wood": "the wood", "hand": "the hand",
    }[question]  # fmt: skip


def answered_text(a: Answered) -> str:
    """One answer that was counted, and where it is from."""
    words = f"{QUESTIONS[a.question]} {ANSWERS[a.question][a.answer]}"
    return f"{words} ({_how(a)})"


def _how(a: Answered) -> str:
    facts = a.facts
    if a.how == "typed":
        return "as you say"
    if a.how == "signs":
        return f"written down {facts[0]}"
    if a.how == "looks":
        return f"its looks: {facts[0]} on day {facts[1]}"
    if a.how == "model":
        return f"the model: {facts[1]} °C at the hottest, under {facts[0].replace('_', ' ')}"
    if a.question == "neighbours":
        return f"the book: {facts[0]} alive, {facts[1]} lost"
    if a.question == "wood":
        age = f"cut {facts[1]} days before"
        return f"the book: buds were moving, {age}" if facts[0] == "pushing" else f"the book: {age}"
    if a.answer == "reported":
        return f"the book: {' on '.join(facts)}"
    return f"the book: {counts.listed(list(facts))}"


def last_rows(last: LastDays, units: UnitChoice) -> list[tuple[str, str]]:
    """What the air was before the loss was seen, and what the model says of the first weeks."""
    if last.high_c is None and last.scion_c is None:
        return [("weather", "no readings of these days")]
    rows = []
    if last.high_c is not None and last.low_c is not None:
        span = f"{u.temperature(last.low_c, units)} to {u.temperature(last.high_c, units)}"
        rows.append((f"air, {counts.many(last.days, 'day')} before it was seen ({last.seen_on})", span))
    if last.dry_kpa is not None:
        rows.append(("driest hour of them", f"deficit {last.dry_kpa:.1f}{u.NBSP}kPa"))
    if last.scion_c is not None:
        rows.append(("scion at its hottest, first three weeks", u.temperature(last.scion_c, units)))
    if last.dose is not None:
        rows.append(("heat dose of them", f"{last.dose:.1f} (half of the tissue dies at about 0.7)"))
    if last.lost_pct is not None:
        rows.append(("water a cut scion would have lost", f"{last.lost_pct:.0f}{u.NBSP}%"))
    if last.link is not None:
        rows.append(("chance that the union had linked", u.percent(last.link)))
    rows.append(("days with readings", u.percent(last.measured_share)))
    return rows


def next_text(look: NextLook) -> str:
    """What a look would tell."""
    would = "; ".join(f"{ANSWERS[look.question].get(a, a)}: {CAUSE_WORDS[c]} {u.percent(p)}" for a, c, p in look.would)
    return f"{QUESTIONS[look.question]} ({would})"


def tells(bits: float) -> str:
    """How much it tells."""
    return "much" if bits >= 0.3 else "something" if bits >= 0.1 else "little" if bits >= 0.02 else "next to nothing"


def shared_text(v: WhyAnswer) -> str:
    """Whether several were lost to one cause."""
    if v.same is None:
        return ""
    cause, p = v.shared[0]
    n = len(v.grafts)
    both = "both" if n == 2 else f"all {n}"
    return (
        f"{counts.opening(both)} lost to one and the same cause: {u.percent(v.same)}; {both} to {CAUSE_WORDS[cause]}: "
        f"{u.percent(p)}. Before any look, one cause for all is given {u.percent(shared_before(v))}."
    )


def shared_before(v: WhyAnswer) -> float:
    """Chance of one cause for all, as declared."""
    value = v.values["why.shared"].value
    return float(value) if isinstance(value, (int, float)) else 0.0


def found_text(v: WhyAnswer) -> str:
    """Causes that were found out in this garden."""
    if not v.found:
        return "No cause was found out in this garden yet: the shares are those of the table."
    told = [f"{CAUSE_WORDS[c]} {n}" for c, n in v.found.items()]
    return f"Found out in this garden and counted: {counts.listed(told)}."


def notes(v: WhyAnswer) -> list[str]:
    """What else to know."""
    out = [found_text(v), TABLES]
    if any(g.late for g in v.grafts):
        out.insert(0, "Look at frost, wind, the weight of fruit, a binding left on, and the union itself.")
    return out
