"""Writing down what a trace lives on: uses of tools in their order, wood given away, and what is held back."""

from __future__ import annotations

from typing import Any

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import Fields, already, begin, door, kept
from barkslip.app.trace import find_agent, find_origin
from barkslip.app.trace_lists import TARGETS, code_about, code_of, holds_of
from barkslip.app.trees import find_tree
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse
from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.graft import Graft
from barkslip.domain.trace import check_why
from barkslip.domain.tree import Tree
from barkslip.domain.when import When
from barkslip.fieldbook.reader import Reader

#: Most uses of one tool on one day.
MOST_PLACES = 1000


def save_tool_use(ctx: Context, fields: Fields, *, use: str = "") -> ToolUse:
    """Write down one use of a blade, or correct it.

    Parameters
    ----------
    fields : mapping
        tool, one of tree / graft / lot (codes), on (today if left out), place (order within the day from 1; 0 or ? if
        it is not known; the next one if left out), cleaned, note.
    use : str
        Line id of the use that is corrected.

    Raises
    ------
    InputError
        If not exactly one thing is named, or it was not there yet.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, ToolUse, fields)
        if sent:
            return sent
        old = writer.line(ToolUse, use) if use else None
        tool = kept(fields, old, "tool", lambda: at.required(fields, "tool", "name of the tool"))
        day = kept(fields, old, "on", lambda: at.day(fields, "on", "today"))
        target = _target(writer, at, fields, old)
        _was_there(writer, target, day, "cut by a tool")
        saved = ToolUse(
            **begin(ctx, fields, old),
            tool=tool,
            on=day,
            place=kept(fields, old, "place", lambda: _place(writer, at, fields, tool, day)),
            tree=target["tree"],
            graft=target["graft"],
            lot=target["lot"],
            cleaned=kept(fields, old, "cleaned", lambda: _cleaned(at, fields)),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        writer.append(saved)
    return saved


def _cleaned(at: Door, fields: Fields) -> str:
    typed = at.text(fields, "cleaned")
    return "" if typed.lower() in ("no", "none", "nothing", "-") else typed


def _target(reader: Reader, at: Door, fields: Fields, old: ToolUse | Hold | None) -> dict[str, str | None]:
    """Exactly one of tree, graft and lot, by thing id."""
    named = {k: at.text(fields, k) for k in TARGETS if at.text(fields, k)}
    if not named and old is not None:
        return {"tree": old.tree, "graft": old.graft, "lot": old.lot}
    if len(named) != 1:
        raise InputError(
            "One thing is named at a time.",
            given=", ".join(f"{k} {v}" for k, v in named.items()) or "(nothing)",
            allowed="one tree, graft or lot",
            next_step="Name exactly one; write a line for each of the others.",
            field="target",
        )
    kind, text = next(iter(named.items()))
    found: Tree | Graft | WoodLot
    if kind == "tree":
        found = find_tree(reader, text)
    elif kind == "graft":
        found = reader.by_code(Graft, text)
    else:
        found = reader.by_code(WoodLot, text)
    return {k: found.thing if k == kind else None for k in TARGETS}


def _was_there(reader: Reader, target: dict[str, str | None], day: When, done: str) -> None:
    """Refuse what was done to a thing before it was there.

    Raises
    ------
    InputError
    """
    code, began = "", None
    if target["graft"]:
        graft = reader.get(Graft, target["graft"])
        code, began = graft.code, graft.set_on
    elif target["lot"]:
        lot = reader.get(WoodLot, target["lot"])
        code, began = lot.code, lot.cut
    if began is not None and day.last < began.first:
        raise InputError(
            "These dates are out of order.",
            given=f"{code} {done} on {day.iso()}, there since {began.iso()}",
            allowed=f"{began.first.isoformat()} or later",
            next_step="Correct one of the two dates.",
            field="on",
        )


def _place(reader: Reader, at: Door, fields: Fields, tool: str, day: When) -> int:
    typed = at.text(fields, "place")
    if typed == "?":
        return 0
    if typed:
        return at.count(fields, "place", most=MOST_PLACES) or 0
    return next_place(reader, tool, day)


def next_place(reader: Reader, tool: str, day: When) -> int:
    """Place after the last use of a tool on a day; 0 if the day's order is not known already."""
    name = " ".join(tool.casefold().split())
    uses = reader.every(ToolUse, "on_first = :on", on=day.first.isoformat())
    mine = [u.place for u in uses if " ".join(u.tool.casefold().split()) == name]
    return 0 if 0 in mine or not day.exact else max(mine, default=0) + 1


def save_handout(ctx: Context, fields: Fields, *, lot: str = "", handout: str = "") -> Handout:
    """Write down wood that has left the garden, or correct it. Writing it down makes no wood fit to be moved.

    Parameters
    ----------
    fields : mapping
        receiver, on (today if left out), sticks, note.
    lot : str
        Code.
    handout : str
        Line id of the handout that is corrected.

    Raises
    ------
    InputError
        If the wood was refused or thrown away, was not cut yet, or has fewer sticks.
    QuestionError
        If it is held back, or comes from inside a regulated area.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Handout, fields)
        if sent:
            return sent
        old = writer.line(Handout, handout) if handout else None
        stem = writer.get(WoodLot, old.lot) if old else writer.by_code(WoodLot, lot)
        day = kept(fields, old, "on", lambda: at.day(fields, "on", "today"))
        sticks = kept(fields, old, "sticks", lambda: at.count(fields, "sticks", most=10_000))
        _was_there(writer, {"graft": None, "lot": stem.thing}, day, "given away")
        _can_have_left(writer, at, stem, sticks)
        saved = Handout(
            **begin(ctx, fields, old),
            lot=stem.thing,
            receiver=kept(fields, old, "receiver", lambda: at.required(fields, "receiver", "receiver")),
            on=day,
            sticks=sticks,
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        writer.append(saved)
    return saved


def _can_have_left(reader: Reader, at: Door, lot: WoodLot, sticks: int | None) -> None:
    if lot.lot_state in ("refused", "thrown away"):
        raise InputError(
            f"That wood was {lot.lot_state}, so none of it can have been given away.",
            given=lot.code,
            allowed="a lot that was kept or used",
            next_step=f"If it was given away all the same, correct its state first: barkslip wood edit {lot.code}",
            field="lot",
        )
    if sticks is not None and lot.sticks is not None and sticks > lot.sticks:
        raise InputError(
            "The lot never had so many sticks.",
            given=f"{sticks} of {lot.code}",
            allowed=f"0 to {lot.sticks}",
            next_step="Correct the number here or at the lot.",
            field="sticks",
        )
    held = [h for h in holds_of(reader, lot.thing) if h.lifted is None]
    if held and "held-wood" not in at.sure:
        raise _stays(lot, "held-wood", f"{lot.code}, held since {held[0].on.iso()}: {held[0].why}")
    if lot.source_class == "inside a regulated area" and "regulated-wood" not in at.sure:
        raise _stays(lot, "regulated-wood", f"{lot.code}, from inside a regulated area")


def _stays(lot: WoodLot, code: str, given: str) -> QuestionError:
    return QuestionError(
        "This wood must stay where it is.",
        code=code,
        answers=(("cancel", "it has not left"), (code, "it has left already")),
        given=given,
        allowed="wood that the plant-health authority says may be moved",
        next_step="Ask the plant-health authority before anything leaves; write down only what has left already.",
        field="lot",
    )


def save_hold(ctx: Context, fields: Fields, *, hold: str = "") -> Hold:
    """Hold something back, or correct that.

    Parameters
    ----------
    fields : mapping
        why (infection, wrong-name), one of tree / graft / lot (codes), agent (key or name of a disease), on (today if
        left out), how, lifted (day on which it was let go).
    hold : str
        Thing id of the hold that is corrected.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Hold, fields)
        if sent:
            return sent
        old = writer.get(Hold, hold) if hold else None
        saved = Hold(**_hold_values(ctx, writer, at, fields, old))
        if old is None:
            _not_held(writer, saved)
        writer.append(saved)
    return saved


def _hold_values(ctx: Context, reader: Reader, at: Door, fields: Fields, old: Hold | None) -> dict[str, Any]:
    why = kept(fields, old, "why", lambda: check_why(at.text(fields, "why")))
    agent = kept(fields, old, "agent", lambda: _agent(ctx, at.text(fields, "agent")))
    if agent and why == "wrong name":
        raise InputError(
            "A wrong name is no disease.",
            given=agent,
            allowed="a disease with infection, or no disease",
            next_step="Leave the disease out, or hold it for an infection.",
            field="agent",
        )
    on = kept(fields, old, "on", lambda: at.day(fields, "on", "today"))
    lifted = kept(fields, old, "lifted", lambda: at.when(fields, "lifted"))
    if lifted is not None and lifted.last < on.first:
        raise InputError(
            "These dates are out of order.",
            given=f"held from {on.iso()}, let go {lifted.iso()}",
            allowed=f"{on.first.isoformat()} or later",
            next_step="Correct one of the two dates.",
            field="lifted",
        )
    return begin(ctx, fields, old) | {
        "why": why, "agent": agent, "on": on, "lifted": lifted, **_target(reader, at, fields, old),
        "how": kept(fields, old, "how", lambda: at.text(fields, "how")),
    }  # fmt: skip


def _agent(ctx: Context, text: str) -> str:
    return find_agent(ctx, text).key if text else ""


def _not_held(reader: Reader, new: Hold) -> None:
    thing = new.lot or new.graft or new.tree or ""
    same = [h for h in holds_of(reader, thing) if h.lifted is None and (h.why, h.agent) == (new.why, new.agent)]
    if same:
        raise InputError(
            "That is held back already.",
            given=f"{code_about(reader, new)}, held since {same[0].on.iso()}: {same[0].why}",
            allowed="something that is not held for the same reason",
            next_step="Nothing more is to be done; it stays held.",
            field="target",
        )


def lift_hold(ctx: Context, fields: Fields, *, hold: str) -> Hold:
    """Let something go again.

    Parameters
    ----------
    fields : mapping
        lifted (today if left out), how (by what it was cleared).
    """
    at = door(ctx, fields)
    typed = dict(fields)
    typed["lifted"] = at.text(fields, "lifted") or "today"
    typed["how"] = at.required(fields, "how", "reason why it may go")
    return save_hold(ctx, {k: v for k, v in typed.items() if k in ("lifted", "how", "id", "sure")}, hold=hold)


def hold_all(ctx: Context, fields: Fields) -> list[Hold]:
    """Hold several things for one reason; what is held for it already is left as it is.

    Parameters
    ----------
    fields : mapping
        things (codes with commas, "lot:W08" where needed), why, agent, on, how.
    """
    at = door(ctx, fields)
    words = [w.strip() for w in at.required(fields, "things", "thing to hold").split(",") if w.strip()]
    with ctx.book.read() as reader:
        found = [find_origin(reader, word) for word in words]
        held = {(h.lot or h.graft or h.tree): (h.why, h.agent) for h in reader.every(Hold, "lifted_first IS NULL")}
        codes = [(kind, code_of(reader, kind, thing), thing) for kind, thing in found]
    wanted = (check_why(at.text(fields, "why")), _agent(ctx, at.text(fields, "agent")))
    rest = {k: v for k, v in fields.items() if k in ("why", "agent", "on", "how")}
    return [save_hold(ctx, rest | {kind: code}) for kind, code, thing in codes if held.get(thing) != wanted]


def lift_all(ctx: Context, fields: Fields, *, code: str) -> list[Hold]:
    """Let everything go that holds a thing back.

    Parameters
    ----------
    fields : mapping
        lifted (today if left out), how.
    code : str
        Code of a lot, a graft or a tree.

    Raises
    ------
    InputError
        If it is not held.
    """
    with ctx.book.read() as reader:
        _, thing = find_origin(reader, code)
        found = [h for h in holds_of(reader, thing) if h.lifted is None]
    if not found:
        raise InputError(
            "That is not held back.",
            given=code,
            allowed="something that is held",
            next_step="See what is: barkslip trace held",
            field="code",
        )
    return [lift_hold(ctx, fields, hold=h.thing) for h in found]
