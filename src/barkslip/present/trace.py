"""A trace in words. It tells where something can have gone, never whether it is there."""

from __future__ import annotations

import re
from collections.abc import Sequence

from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.trace import PROBLEMS, SURE, Cleaning, Contact, Given, Node, Odds, Problem, Reached, Trace
from barkslip.present import counts, dates
from barkslip.present import units as u
from barkslip.present.moving import ASK, BLADE, BLEACH
from barkslip.present.night import chance_words

#: Below this upper end of its chance a thing is named apart [1]: a matter of reading only.
HARDLY = 0.02
#: Chances closer than this are said together [1]: a matter of reading only.
ALIKE = 0.02
KIND_WORDS = {"lot": "wood lot", "graft": "graft", "tree": "tree", "tool": "tool", "receiver": "receiver"}
#: Said first with every trace of an infection.
NO_VERDICT = (
    "A trace tells where something can have gone, never whether it is there. Looks never give a disease verdict: only "
    "a test does. If you suspect a disease, tell the plant-health authority."
)
#: Said with a wrong name.
NAME_ONLY = "The name goes wherever the wood went, for certain. Tools carry no name."
CAUTIONS = {"no_verdict": NO_VERDICT, "ask": ASK, "blade": BLADE, "bleach": BLEACH, "name": NAME_ONLY}
UNKNOWNS = {
    "agent": "No disease is named: anything that wood can carry is followed, and by tools anything may be.",
    "not_by_graft": "It is not recorded to go with buds or grafts, so wood does not carry it on here.",
    "not_by_tool": "It is not recorded to go with tools, so tools do not carry it on here.",
    "tool_rate": "How often one cut with a soiled blade hands it on is not known: anything from never to always.",
    "rate_per_cut": (
        "What one cut with a soiled blade does is not known. Shares of trees that were found infected by tools stand "
        "in for it; in one trial a single slash was enough."
    ),
    "tools_not_written": "Cuts whose tool is not written down are not in it.",
    "no_tools": "No use of a tool is written down, so nothing is followed along blades.",
    "unknown_ways": "Where it says not known, no figure was found for a part of the way.",
    "vector": "It also goes by {vector}: the trace knows nothing of that.",
    "assumed_rates": "How surely wood and unions hand it on is assumed, not measured; the range is wide for that.",
}
_ISO = re.compile(r"\d{4}-\d\d-\d\d")
_PROBLEM_WORDS = {
    "graft_before_wood": "{about}: the graft is dated {detail}, before its wood was cut.",
    "wood_before_graft": "{about}: the wood is dated {detail}, before the graft it was cut from was set.",
    "wood_before_tree": "{about}: the wood is older than the tree ({detail}).",
    "given_before_cut": "{about}: given away {detail}, before it was cut.",
    "used_before_there": "{about}: cut on {detail}, before it was there.",
    "order_not_known": "{about}, {detail}: the order of its cuts is not written down, so each may have come first.",
    "limb_of_grafts": "{about}: cut from a limb that carries grafts of that name ({detail}), not said from which.",
}
_CLEANING_WORDS = {
    "works": "recorded to work",
    "partly": "recorded to lessen it only",
    "fails": "recorded to fail; it counts for nothing",
    "too_short": "shorter than what is recorded to work; not counted on",
    "too_weak": "weaker than what is recorded to work; not counted on",
    "no_time": "recorded to work, but time or strength is not written down; half counted on",
    "recipe": "a recipe without a trial against this; half counted on",
    "other_agent": "recorded for another agent only; half counted on",
    "not_known": "no record of it; not counted on",
}


def node_words(node: Node) -> str:
    """ "W08, wood lot", "T03 Thornback", "Grafting knife"."""
    if node.kind in ("tool", "receiver"):
        return node.id
    return f"{node.id} {node.name}" if node.name else node.id


def state_words(node: Node) -> str:
    """ "used", "took", "lost; held"."""
    return "; ".join(w for w in (node.state, "held" if node.held else "") if w)


def odds_words(odds: Odds) -> str:
    """ "for certain", "9 in 10 (5 in 10 to always)", "not known (never to always)"."""
    if odds.certain:
        return "for certain"
    span = f"{_end(odds.low)} to {_end(odds.high)}"
    return f"{chance_words(odds.best)} ({span})" if odds.known else f"not known ({span})"


def short_odds(odds: Odds) -> str:
    """The same for a drawing: "certain", "9 in 10", "not known"."""
    if odds.certain:
        return "certain"
    return chance_words(odds.best) if odds.known else "not known"


def _end(p: float) -> str:
    if p >= 1.0 - SURE or p > 0.995:
        return "always"
    return "never" if p <= SURE else chance_words(p)


def headline(trace: Trace) -> str:
    """The answer in one line."""
    suspect = trace.nodes[trace.origin]
    if not trace.reached:
        return f"Nothing in the book {'leads to' if trace.backward else 'was reached from'} {suspect.id}."
    tally = kinds_words(trace, ("tree", "graft", "lot", "tool"))
    people = kinds_words(trace, ("receiver",))
    told = f"; {people} to be told" if people else ""
    if trace.why == "wrong name":
        if trace.backward:
            return f"{suspect.id} has its name from {tally}."
        if not tally:
            return f"If {suspect.id} has a wrong name, so has all that was given of it{told}."
        return f"If {suspect.id} has a wrong name, so have {tally} that descend from it{told}."
    what = trace.agent.name if trace.agent is not None and trace.agent.name else "an infection"
    if trace.backward:
        return f"{counts.opening(what)} in {suspect.id} can have come by way of {tally}."
    return f"If {suspect.id} carries {what}, {tally or 'wood given away'} can have been reached{told}."


def kinds_words(trace: Trace, order: Sequence[str] = ("tree", "graft", "lot", "tool", "receiver")) -> str:
    """ "2 trees, 12 grafts and 1 wood lot"."""
    kinds = [trace.nodes[r.node].kind for r in trace.reached]
    return counts.listed(counts.many(kinds.count(k), KIND_WORDS[k]) for k in order if k in kinds)


def came_rows(trace: Trace) -> list[tuple[str, str]]:
    """Backward: lots by which it can have come into the garden, and where they came from."""
    places = [trace.origin, *(r.node for r in trace.reached)] if trace.backward else []
    return [(node_words(trace.nodes[i]), trace.nodes[i].came) for i in places if trace.nodes[i].came]


def suspect_words(trace: Trace) -> str:
    """What is suspected, of what, and since when."""
    node = trace.nodes[trace.origin]
    of = "a wrong name" if trace.why == "wrong name" else "an infection"
    if trace.agent is not None and trace.agent.name:
        of = trace.agent.name
    state = f", {node.state}" if node.state else ""
    since = f", since {dates.day_text(trace.since)}" if trace.since else ""
    name = f" ({node.name})" if node.name else ""
    return f"Suspect: {KIND_WORDS[node.kind]} {node.id}{name}{state}. Suspicion: {of}{since}."


def first_way(trace: Trace, node: int) -> Contact | None:
    """The contact by which a node was first reached; backward, by which it could last hand on."""
    end = "source" if trace.backward else "target"
    return next((c for c in trace.contacts if c.first and getattr(c, end) == node), None)


def way_words(trace: Trace, contact: Contact, node: int) -> str:
    """How a node hangs together with the other end: "cut from G01-1", "W06 was set on it"."""
    other = trace.nodes[contact.source if node == contact.target else contact.target]
    mine, source = trace.nodes[node], node == contact.source
    match contact.way:
        case "wood":
            return f"{other.id} was set from it" if source else f"set from {other.id}"
        case "union":
            return f"{other.id} stands on it" if mine.kind == "tree" else f"stands on {other.id}"
        case "cut":
            return f"{other.id} was cut from it" if source else f"cut from {other.id}"
        case "blade":
            return f"cut {other.id}" if mine.kind == "tool" else f"cut with {other.id}"
        case _:
            return f"given to {other.id}" if source else f"was given {other.id}"


def other_ways(trace: Trace, node: int) -> list[str]:
    """The other ways to a node, in words, each once."""
    end = "source" if trace.backward else "target"
    mine = [c for c in trace.contacts if not c.first and getattr(c, end) == node]
    return list(dict.fromkeys(way_words(trace, c, node) for c in mine))


def day_words(reached: Reached, *, backward: bool) -> str:
    """ "from 5 Oct 2022"; backward "until 8 Mar 2023"."""
    if backward:
        return f"until {dates.day_text(reached.latest)}" if reached.latest else ""
    return f"from {dates.day_text(reached.earliest)}" if reached.earliest else ""


def steps_words(reached: Reached) -> str:
    """ "in 1 step", "in 5 steps"."""
    return f"in {counts.many(reached.steps, 'step')}"


def hold_lead(trace: Trace) -> str:
    """What to do with what is held."""
    if trace.why == "wrong name":
        return (
            "Cut no wood from these and give none away until fruit or a test has shown the name; correct their labels."
        )
    return "Cut no wood from these, give nothing away and graft nothing on until a test has cleared them."


def hold_codes(trace: Trace) -> str:
    """Codes of what to hold that is not held yet, for the form."""
    return ", ".join(f"{trace.nodes[i].kind}:{trace.nodes[i].id}" for i in trace.hold if not trace.nodes[i].held)


def test_lead(trace: Trace) -> str:
    """What to test first."""
    node = trace.nodes[trace.origin]
    suspect = node.id
    if trace.why == "wrong name":
        return (
            f"Wait for fruit of {suspect} or of what descends from it, or have one tested: one true name settles all."
        )
    ask = f"Test {suspect} itself first: all else hangs on it."
    if node.gone:
        came = "begin with what came of it." if trace.reached else "and nothing came of it."
        ask = f"Nothing of {suspect} is left to be tested{': ' if trace.reached else ', '}{came}"
    row = trace.agent.row if trace.agent is not None else None
    if row is None:
        return ask
    months = row.first("index_months")
    plant = row.cell("index_plant")
    how = f" Index plant: {plant}" if plant else ""
    if how and months is not None and months.low is not None:
        high = f" to {months.high:g}" if months.high is not None else ""
        how += f"; {months.low:g}{high}{u.NBSP}months ({months.status})"
    return f"{ask}{counts.sentence(how) and ' ' + counts.sentence(how)} One clean stick does not clear a tree."


def hardly_words(trace: Trace) -> str:
    """What is left out of the list because it can hardly have been reached; "" if there is none."""
    left = [trace.nodes[r.node] for r in trace.reached if hardly(r)]
    if not left:
        return ""
    most = max(r.odds.high for r in trace.reached if hardly(r))
    names = ", ".join(n.id for n in sorted(left, key=lambda n: (n.kind != "tree", n.kind, n.order)))
    return f"Hardly, at most {_end(most)} each: {names}."


def hardly(one: Reached) -> bool:
    """True if even the upper end of its chance is next to nothing."""
    return one.odds.high < HARDLY


def given_words(one: Given) -> str:
    """ "2 sticks of W08a on 9 Jul 2023"."""
    sticks = "wood" if one.sticks is None else counts.many(one.sticks, "stick")
    return f"{sticks} of {one.lot} on {dates.day_text(one.on)}"


def cleaning_words(cleaning: Cleaning) -> str:
    """ "alcohol, wiped: recorded to fail; it counts for nothing"."""
    return f"{cleaning.words}: {_CLEANING_WORDS[cleaning.code]}"


def problem_words(problem: Problem) -> str:
    """One sentence."""
    assert problem.code in PROBLEMS
    detail = _ISO.sub(lambda day: dates.day_text(day[0]), problem.detail).replace("/", " to ")
    return _PROBLEM_WORDS[problem.code].format(about=problem.about, detail=detail)


def unknown_words(trace: Trace) -> list[str]:
    """What is not known, one sentence each."""
    row = trace.agent.row if trace.agent is not None else None
    vector = row.cell("vector") if row is not None else ""
    return [UNKNOWNS[code].format(vector=vector) for code in trace.unknowns]


def caution_codes(trace: Trace) -> list[str]:
    """Cautions that go with it, most telling first."""
    if trace.why == "wrong name":
        return ["name", "ask"]
    tools = any(trace.nodes[r.node].kind == "tool" for r in trace.reached) or bool(trace.cleanings)
    return ["no_verdict", "ask", *(["blade", "bleach"] if tools else [])]


def caution_texts(trace: Trace) -> list[str]:
    """The same in words."""
    return [CAUTIONS[code] for code in caution_codes(trace)]


def counted_words(trace: Trace) -> str:
    """How the chances were reckoned."""
    if trace.why == "wrong name":
        return "Followed along descent; no chance is reckoned."
    if trace.exact:
        return "Every case was counted."
    return f"{trace.worlds:,} cases were drawn; the ends of a range are those of everything it leans on."


def number_rows(trace: Trace) -> list[tuple[str, str, str]]:
    """Numbers behind the chances: what, how much, how known."""
    words = {"wood": "cut wood carries it", "union": "a union hands it on", "blade": "infected by tools"}
    out = []
    for key, value in trace.agent.values if trace.agent is not None else ():
        of = f" ({value.applies_to})" if value.applies_to else ""
        span = f" ({value.low:g} to {value.high:g})" if value.low is not None and value.high is not None else ""
        unit = f"{u.NBSP}{value.unit}" if value.unit not in ("", "1") else ""
        out.append((words[key] + of, f"{value.value}{unit}{span}", f"{value.status} ({value.source})"))
    return out


# -- what is written down ---------------------------------------------------------------------------------------


def use_words(use: ToolUse, code: str) -> str:
    """ "Grafting knife, 3rd cut of 6 Oct 2024: T02; before it: alcohol"."""
    order = f"cut {use.place} of " if use.place else ""
    before = f"; before it: {use.cleaned}" if use.cleaned else "; not cleaned before it"
    return f"{use.tool}, {order}{dates.when_text(use.on)}: {code}{before}"


def handout_words(handout: Handout) -> str:
    """ "9 Jul 2023: 2 sticks to Exchange table"."""
    sticks = "wood" if handout.sticks is None else counts.many(handout.sticks, "stick")
    return f"{dates.when_text(handout.on)}: {sticks} to {handout.receiver}"


def held_words(hold: Hold, agent: str = "") -> str:
    """ "Held since 20 Apr 2024 for a wrong name: fruit of another variety"."""
    of = f" ({agent or hold.agent})" if hold.agent else ""
    why = "a wrong name" if hold.why == "wrong name" else "an infection"
    how = f": {hold.how[:1].lower()}{hold.how[1:]}".rstrip(".") if hold.how else ""
    state = "Held" if hold.lifted is None else "Was held"
    until = f", let go {dates.when_text(hold.lifted)}" if hold.lifted else ""
    return f"{state} since {dates.when_text(hold.on)} for {why}{of}{until}{how}"


def rows(trace: Trace) -> list[tuple[Reached, Node, str, str]]:
    """Reached things with their day and the way that came first, in words."""
    out = []
    for one in trace.reached:
        contact = first_way(trace, one.node)
        way = way_words(trace, contact, one.node) if contact is not None else ""
        out.append((one, trace.nodes[one.node], day_words(one, backward=trace.backward), way))
    return out


def bundled(trace: Trace) -> list[tuple[list[Reached], str, str]]:
    """Reached things with equal grafts of one setting together: (things, their codes, way)."""
    out: list[tuple[tuple[str, ...], list[Reached], str]] = []
    for one, node, day, way in rows(trace):
        if hardly(one):
            continue
        stem = node.id.rpartition("-")[0] if node.kind == "graft" else ""
        key = (stem or node.id, node.kind, day, way, state_words(node))
        same = next((things for k, things, _ in out if k == key and _alike(things[0].odds, one.odds)), None)
        if same is None or not stem:
            out.append((key, [one], way))
        else:
            same.append(one)
    return [(things, codes([trace.nodes[t.node] for t in things]), way) for _, things, way in out]


def _alike(one: Odds, other: Odds) -> bool:
    """True if two chances differ by no more than what is drawn at random."""
    pairs = ((one.best, other.best), (one.low, other.low), (one.high, other.high))
    return one.known == other.known and all(abs(a - b) < ALIKE for a, b in pairs)


def codes(nodes: Sequence[Node]) -> str:
    """ "G11-1 ... G11-24", "T03"."""
    ids = [n.id for n in sorted(nodes, key=lambda n: n.order)]
    return ", ".join(ids) if len(ids) < 3 else f"{ids[0]} … {ids[-1]}, {len(ids)} grafts"
