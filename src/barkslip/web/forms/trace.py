"""Forms of a trace and of what it lives on: uses of tools, wood given away, holds."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app import trace as use
from barkslip.app.context import Context
from barkslip.app.trace_lists import codes_of
from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import SUSPICIONS, Handout, Hold, ToolUse
from barkslip.domain.errors import BarkslipError
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Tree
from barkslip.present import moving
from barkslip.present import trace as words
from barkslip.present.form import FormField, FormView
from barkslip.present.wood import DO_NOT_MOVE
from barkslip.web.forms.fill import Fill, choices
from barkslip.web.forms.groups import Group, GroupedForm, field, grouped, select

Typed = Mapping[str, str] | None
_WHY = (("", "infection"), ("wrong-name", "wrong name"))


def is_asked(fields: Mapping[str, str]) -> bool:
    """True if somebody is suspected."""
    return "from" in fields


def trace_form(
    ctx: Context, fields: Mapping[str, str], error: BarkslipError | None = None, *, answered: bool = False
) -> GroupedForm:
    """The question."""
    fill = Fill(ctx, fields)
    names = _names(ctx)
    suspect = FormField(
        "from", "Suspect", value=fill.text("from"), datalist=names, required=True,
        help="Code of a lot, a graft or a tree, or a tool's name",
    )  # fmt: skip
    direction = select(fill, "backward", "Which way", (("", "where it went"), ("yes", "where it came from")), group="w")
    groups = (
        Group("Who is suspected, of what", (
            (suspect,),
            (select(fill, "why", "Of", _WHY, group="w"), direction),
            (_agents(ctx, fill),),
        ), open=True),
        Group("Since when, and how it is reckoned", (
            (field(fill, "since", "Suspected since", kind="date", help="Left empty: as long as it has been there"),),
            (field(fill, "worlds", "Cases drawn", kind="number", group="n"),
             field(fill, "seed", "Number of the draw", kind="number", group="n")),
        )),
    )  # fmt: skip
    return grouped(
        groups, fields, error, answered=answered, title="Follow a suspicion", action="/trace", submit="Follow it",
        here="trace",
    )  # fmt: skip


def _agents(ctx: Context, fill: Fill) -> FormField:
    rows = use.agent_rows(ctx)
    options = (("", "not said: anything wood can carry"), *((r.key, r.cell("name")) for r in rows))
    typed = fill.text("agent")
    if typed not in [o[0] for o in options]:
        options = (*options, (typed, typed))
    return FormField("agent", "Disease", "select", typed, "Of an infection only", options, more=True)


def _names(ctx: Context) -> tuple[str, ...]:
    """What can be suspected: lots, trees, tools, then grafts."""
    with ctx.book.read() as reader:
        names = [lot.code for lot in reader.every(WoodLot, order="cut_first DESC, code")]
        names += [tree.code for tree in reader.every(Tree, order="code")]
        names += use.tools(reader)
        names += [str(r[0]) for r in reader.rows(_NEWEST_GRAFTS)]
    return tuple(dict.fromkeys(names))


_NEWEST_GRAFTS = "SELECT code FROM graft WHERE current AND NOT withdrawn ORDER BY set_on_first DESC, code LIMIT 300"


def _target(ctx: Context, fill: Fill, line: ToolUse | Hold | None, label: str) -> tuple[FormField, ...]:
    """The one thing a line is about: fixed once it is written down, or if the page led here from it."""
    given = {k: fill.typed[k] for k in ("tree", "graft", "lot") if fill.typed.get(k)}
    if line is not None:
        kind = next(k for k in ("tree", "graft", "lot") if getattr(line, k))
        given = {kind: codes_of(ctx, [line])[0]}
        return ()
    with ctx.book.read() as reader:
        trees = reader.every(Tree, order="code")
        lots = reader.every(WoodLot, order="cut_first DESC, code")
        grafts = [str(r[0]) for r in reader.rows(_NEWEST_GRAFTS)]
    return (
        FormField(
            "tree", f"{label} tree", "select", given.get("tree", ""),
            options=(("", "none"), *((t.code, f"{t.code} {t.name}") for t in trees)),
        ),
        FormField("graft", "or graft", value=given.get("graft", ""), datalist=tuple(grafts)),
        FormField(
            "lot", "or wood lot", "select", given.get("lot", ""),
            options=(("", "none"), *((k.code, f"{k.code} {k.name}") for k in lots)),
        ),
    )  # fmt: skip


def tool_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, use_id: str = "") -> FormView:
    """One use of a blade, or its correction."""
    with ctx.book.read() as reader:
        old = reader.line(ToolUse, use_id) if use_id else None
        names = tuple(use.tools(reader))
    fill = Fill(ctx, typed, old)
    about = f" on {codes_of(ctx, [old])[0]}" if old else ""
    return FormView(
        title=f"Correct a use of {old.tool}{about}" if old else "What did a blade cut?",
        action=f"/tools/{use_id}/edit" if old else "/tools/new",
        here="trace",
        cancel="/tools",
        crumbs=(("/trace", "Trace"), ("/tools", "Tools")),
        lead="" if old else "One line for each cut, in the order of the day: that is what a trace lives on.",
        caution=f"{moving.BLADE} {moving.BLEACH}",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("tool", "Tool", value=fill.text("tool"), datalist=names, required=True, help="Grafting knife"),
            *_target(ctx, fill, old, "It cut"),
            FormField(
                "cleaned", "Done to the blade just before", value=fill.text("cleaned"),
                datalist=(*use.cleaning_ways(ctx), "alcohol, wiped", "flame", "nothing"),
                help="With strength and seconds if you know them; empty for nothing",
            ),
            FormField("on", "On", "date", fill.text("on", default=fill.today.isoformat()), group="d"),
            FormField(
                "place", "Which cut of that day", "number", fill.text("place"), group="d",
                help="From 1; empty for the next one, ? if not known",
            ),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )  # fmt: skip


def handout_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, lot: str = "", line: str = "") -> FormView:
    """Wood that left the garden, or a correction of that."""
    with ctx.book.read() as reader:
        old = reader.line(Handout, line) if line else None
        stem = reader.get(WoodLot, old.lot) if old else reader.by_code(WoodLot, lot)
        known = [str(r[0]) for r in reader.rows("SELECT DISTINCT receiver FROM handout WHERE current")]
    fill = Fill(ctx, typed, old)
    return FormView(
        title=f"Correct who was given {stem.code}" if old else f"Who was given wood of {stem.code}?",
        action=f"/handouts/{line}/edit" if old else f"/wood/{stem.code}/handouts/new",
        here="wood",
        cancel=f"/wood/{stem.code}",
        crumbs=(("/wood", "Wood"), (f"/wood/{stem.code}", stem.code)),
        lead=f"{stem.name}. Write down only what has left already: who has it can then be told.",
        caution=DO_NOT_MOVE,
        error=error,
        fields=(
            *fill.hidden(),
            FormField("receiver", "Who has it", value=fill.text("receiver"), datalist=tuple(known), required=True,
                      help="In your own words; no full names are needed"),
            FormField("on", "On", "date", fill.text("on", default=fill.today.isoformat()), group="d"),
            FormField("sticks", "Sticks", "number", fill.text("sticks"), group="d"),
            FormField("note", "Note", "textarea", fill.text("note"), more=True),
        ),
    )  # fmt: skip


def hold_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, hold: str = "") -> FormView:
    """Hold something back, or correct that."""
    with ctx.book.read() as reader:
        old = reader.get(Hold, hold) if hold else None
    fill = Fill(ctx, typed, old)
    return FormView(
        title=f"Correct what holds {codes_of(ctx, [old])[0]}" if old else "What is to be held back?",
        action=f"/holds/{hold}/edit" if old else "/holds/new",
        here="trace",
        cancel="/trace",
        crumbs=(("/trace", "Trace"),),
        caution=words.NO_VERDICT,
        error=error,
        fields=(
            *fill.hidden(),
            *_target(ctx, fill, old, "Hold"),
            FormField("why", "Suspected of", "select", fill.text("why"), options=choices(SUSPICIONS)),
            _agents(ctx, fill),
            FormField("how", "By what", value=fill.text("how"), datalist=("test report", "a sign that was seen",
                      "fruit of another variety than written")),
            FormField("on", "Since", "date", fill.text("on", default=fill.today.isoformat()), more=True),
            *((FormField("lifted", "Let go on", "date", fill.text("lifted"), more=True),) if old else ()),
        ),
    )  # fmt: skip


def lift_form(ctx: Context, typed: Typed, error: BarkslipError | None, *, hold: str) -> FormView:
    """Let something go again."""
    with ctx.book.read() as reader:
        old = reader.get(Hold, hold)
        graft = reader.get(Graft, old.graft).code if old.graft else ""
    code = graft or codes_of(ctx, [old])[0]
    fill = Fill(ctx, typed)
    return FormView(
        title=f"Let {code} go?",
        action=f"/holds/{hold}/lift",
        here="trace",
        cancel="/trace",
        crumbs=(("/trace", "Trace"),),
        lead=words.held_words(old) + ".",
        caution=f"{words.NO_VERDICT} {DO_NOT_MOVE}",
        submit="Let it go",
        error=error,
        fields=(
            *fill.hidden(),
            FormField("how", "Cleared by", value=fill.text("how"), required=True, datalist=("test report", "fruit")),
            FormField("lifted", "On", "date", fill.text("lifted", default=fill.today.isoformat())),
        ),
    )
