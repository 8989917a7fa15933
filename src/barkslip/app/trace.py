"""Following a suspicion through the book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.lines import Fields, door
from barkslip.app.names import finds_by_lot, variety_of
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.graft import LOST, Graft, Standing
from barkslip.domain.known import Row
from barkslip.domain.trace import Agent, Cleaning, Node, Trace, check_why
from barkslip.domain.tree import Tree
from barkslip.fieldbook import lists
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:  # the engines need numpy and compiled code
    from barkslip.engines.trace import Asked
    from barkslip.engines.trace_contacts import Garden

#: Kinds by which a suspect may be named: "lot:W08".
NAMED = ("lot", "graft", "tree", "tool")
#: Worlds of one book are drawn alike each time it is asked.
SEED = 1


def ask_trace(ctx: Context, fields: Fields) -> Trace:
    """Follow a suspicion.

    Parameters
    ----------
    fields : mapping
        from (code of a lot, a graft or a tree, or a tool's name; "lot:W08" if several have it), agent (key or name),
        why (infection, wrong-name), backward (yes), since (day), worlds, seed.

    Raises
    ------
    InputError
        If nothing is named, if a name is to follow a tool, or if wood descends from itself.
    NotFoundError
    """
    from dataclasses import replace

    at = door(ctx, fields)
    why = check_why(at.text(fields, "why"))
    agent_text = at.text(fields, "agent")
    if why == "wrong name" and agent_text:
        raise InputError(
            "A wrong name is no disease.",
            given=agent_text,
            allowed="a disease with --why infection, or no disease",
            next_step="Leave the disease out, or ask about an infection.",
            field="agent",
        )
    since = at.when(fields, "since")
    worlds, seed = at.count(fields, "worlds", most=10_000_000), at.count(fields, "seed", most=2**31 - 1)
    with ctx.book.read() as reader:
        origin = find_origin(reader, at.required(fields, "from", "lot, graft, tree or tool"))
        garden = gather(reader)
    asked = _asked(origin, at.yes(fields, "backward"), since.first if since else None, at.today, worlds, seed)
    if why == "wrong name":
        from barkslip.engines.trace_name import wrong_name

        return wrong_name(asked, garden)
    from barkslip.engines.trace import infection

    agent = agent_of(ctx, agent_text)
    found = infection(asked, garden, agent, cleanings(ctx, agent, garden.uses))
    return replace(found, knowledge_hash=ctx.knowledge.hash)


def _asked(
    origin: tuple[str, str], backward: bool, since: date | None, today: date, worlds: int | None, seed: int | None
) -> Asked:
    from barkslip.engines.trace import Asked
    from barkslip.engines.trace_worlds import WORLDS

    return Asked(origin, backward, since, today, SEED if seed is None else seed, worlds or WORLDS)


def find_origin(reader: Reader, text: str) -> tuple[str, str]:
    """Kind and thing id of what is suspected; of a tool its name, folded.

    Raises
    ------
    InputError
        If several things have that name.
    NotFoundError
        Naming what comes close.
    """
    kind, _, rest = text.partition(":")
    wanted = kind.strip().lower()
    only = (wanted,) if rest and wanted in NAMED else NAMED
    name = rest.strip() if rest and wanted in NAMED else text.strip()
    found = [(k, thing) for k in only for thing in _called(reader, k, name)]
    if len(found) > 1:
        raise InputError(
            "Several things in the book have that name.",
            given=name,
            allowed=", ".join(f"{k}:{name}" for k, _ in found),
            next_step="Say which one is meant.",
            field="from",
        )
    if not found:
        raise _not_there(reader, name)
    return found[0]


def _called(reader: Reader, kind: str, name: str) -> list[str]:
    if kind == "tool":
        folded = " ".join(name.casefold().split())
        return [folded] if folded in {" ".join(t.casefold().split()) for t in tools(reader)} else []
    noun = {"lot": WoodLot, "graft": Graft, "tree": Tree}[kind]
    try:
        if noun is Tree:
            from barkslip.app.trees import find_tree

            return [find_tree(reader, name).thing]
        return [reader.by_code(noun, name).thing]
    except NotFoundError:
        return []


def _not_there(reader: Reader, name: str) -> NotFoundError:
    from difflib import get_close_matches

    every = [str(r[0]) for r in reader.rows("SELECT code FROM wood_lot WHERE current AND NOT withdrawn ORDER BY code")]
    for table in ("graft", "tree"):
        every += [str(r[0]) for r in reader.rows(f"SELECT code FROM {table} WHERE current AND NOT withdrawn")]
    every += tools(reader)
    by_fold = {code.casefold(): code for code in every}
    close = get_close_matches(name.casefold(), by_fold, n=3, cutoff=0.5) or list(by_fold)[:3]
    return NotFoundError(
        "No lot, graft, tree or tool of that name is in the book.",
        given=name,
        allowed=", ".join(by_fold[c] for c in close),
        next_step="Check the code, or look for it: barkslip find",
    )


def tools(reader: Reader) -> list[str]:
    """Names of the tools whose uses are written down, as first written."""
    names: dict[str, str] = {}
    for (name,) in reader.rows("SELECT tool FROM tool_use WHERE current AND NOT withdrawn ORDER BY on_first, id"):
        names.setdefault(" ".join(str(name).casefold().split()), str(name))
    return list(names.values())


# -- what is gone through -----------------------------------------------------------------------------------------


def gather(reader: Reader) -> Garden:
    """Everything a trace goes through."""
    from barkslip.engines.trace_contacts import Garden

    trees, lots = reader.every(Tree, order="code"), reader.every(WoodLot, order="cut_first, code")
    grafts = reader.every(Graft, order="set_on_first, code")
    stood = lists.standings(reader, [g.thing for g in grafts])
    took = {thing: False for thing, s in stood.items() if s.word == "did not take"}
    lost = {thing: day for thing, s in stood.items() if (day := _lost_on(s))}
    nodes = _nodes(reader, trees, lots, grafts, stood)
    return Garden(
        trees, lots, grafts, reader.every(ToolUse, order="on_first, id"),
        reader.every(Handout, order="on_first, id"), took, lost, nodes,
    )  # fmt: skip


def _lost_on(standing: Standing) -> date | None:
    if standing.mark != "lost":
        return None
    return next((t.on for t in reversed(standing.turns) if t.state in LOST), standing.last_on)


def _nodes(
    reader: Reader, trees: Sequence[Tree], lots: Sequence[WoodLot], grafts: Sequence[Graft], stood: dict[str, Standing]
) -> dict[str, Node]:
    finds = finds_by_lot(reader.every(LotFind, order="on_first, id"))
    held = {thing for hold in holds(reader) for thing in (hold.lot, hold.graft, hold.tree) if thing}
    by_lot = {lot.thing: lot for lot in lots}
    out = {t.thing: Node("tree", t.code, t.thing, name=t.name, held=t.thing in held) for t in trees}
    for lot in lots:
        mine = finds.get(lot.thing, [])
        name = mine[-1].found if mine else lot.name
        gone = lot.lot_state != "in store"
        came = "" if lot.from_tree else "; ".join(w for w in (lot.source_class, lot.source) if w)
        out[lot.thing] = Node("lot", lot.code, lot.thing, lot.lot_state, gone, name, lot.thing in held, came)
    for graft in grafts:
        claimed, found = variety_of(graft, by_lot.get(graft.lot or ""), finds.get(graft.lot or "", []))
        standing = stood.get(graft.thing)
        gone = standing is not None and standing.mark == "lost"
        word = "lost" if gone else standing.word if standing else "waiting"
        out[graft.thing] = Node(
            "graft", graft.code, graft.thing, word, gone, found or claimed, graft.thing in held
        )  # fmt: skip
    return out


def holds(reader: Reader, *, lifted: bool = False) -> list[Hold]:
    """What is held back, newest first; with `lifted`, also what is free again."""
    return reader.every(Hold, "1" if lifted else "lifted_first IS NULL", order="on_first DESC, id DESC")


# -- diseases -----------------------------------------------------------------------------------------------------


def agent_rows(ctx: Context) -> tuple[Row, ...]:
    """Diseases that wood or tools may carry."""
    return ctx.knowledge.table("pathogens")


def find_agent(ctx: Context, text: str) -> Row:
    """A disease by key or name, however it is written.

    Raises
    ------
    NotFoundError
        Naming the nearest three.
    """
    from barkslip.domain.names import bare

    rows = agent_rows(ctx)
    wanted = bare(text)
    for row in rows:
        said = [row.key, row.cell("name"), *row.cell("name").replace(")", "").split("(")]
        if wanted in {bare(word) for word in said}:
            return row
    starts = [row for row in rows if wanted and any(bare(w).startswith(wanted) for w in (row.key, row.cell("name")))]
    if len(starts) == 1:
        return starts[0]
    raise _no_agent(text, rows)


def _no_agent(text: str, rows: Iterable[Row]) -> NotFoundError:
    from difflib import SequenceMatcher

    def near(row: Row) -> float:
        words = (row.key, *row.cell("name").lower().replace("(", "").replace(")", "").split())
        return max(SequenceMatcher(None, text.lower(), word).ratio() for word in words)

    close = sorted(rows, key=lambda r: -near(r))[:3]
    return NotFoundError(
        "No disease of that name is known.",
        given=text,
        allowed=", ".join(r.key for r in close),
        next_step="See them all: barkslip trace agents",
    )


def agent_of(ctx: Context, text: str) -> Agent:
    """A disease as a trace needs it; without a name, of anything that wood may carry.

    Raises
    ------
    NotFoundError
    """
    from barkslip.engines.trace_agent import NUMBERS, agent

    know = ctx.knowledge
    row = find_agent(ctx, text) if text.strip() else None
    return agent(row, know.table("pathogen_rates"), {key: know.value(key) for key in NUMBERS})


def cleanings(ctx: Context, agent: Agent, uses: Iterable[ToolUse]) -> dict[str, Cleaning]:
    """What each way of cleaning in the book counts for against a disease, by its words."""
    from barkslip.engines.tool_cleaning import clean
    from barkslip.engines.trace_agent import is_viroid, odds

    words = {use.cleaned for use in uses if use.cleaned.strip()}
    if not words or agent.blade.never:
        return {}
    know = ctx.knowledge
    works, partly = odds(know.value("trace.cleaning.works")), odds(know.value("trace.cleaning.partly"))
    viroid = agent.row is not None and is_viroid(agent.row)
    rows = know.table("tool_cleaning")
    return {word: clean(word, agent.key, viroid, rows, works, partly) for word in sorted(words)}


def cleaning_ways(ctx: Context) -> tuple[str, ...]:
    """Ways of cleaning a knife that are recorded to work, as they would be written in the book."""
    from barkslip.engines.tool_cleaning import ways

    return ways(ctx.knowledge.table("tool_cleaning"))


def warm_up() -> None:
    """Compile the kernels of a trace, or read them from the cache."""
    import numpy as np

    from barkslip.domain.trace import CERTAIN
    from barkslip.engines import trace_worlds as worlds
    from barkslip.engines.trace_contacts import Event

    found = worlds.ways((Event(1, 0, 0, 0, 1, "wood", 0),), 2, 0, 1, backward=False)
    worlds.earliest(found, (CERTAIN,))
    for exact in (True, False):
        worlds.chances(found, np.array([0.5]), seed=1, worlds=64, exact=exact)
