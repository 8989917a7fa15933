"""The form of heat and covers: which graft, which day, which covers. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.heat import GRAFT_COVERS, HeatVerdict
from barkslip.domain.tree import BEARINGS, Tree
from barkslip.present import heat
from barkslip.present import units as u
from barkslip.present.form import FormField
from barkslip.present.tree import bearing_words
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import (
    AS_BOOK,
    TARGETS,
    Group,
    GroupedForm,
    field,
    grouped,
    number,
    select,
    with_typed,
)

Typed = Mapping[str, str]

_SKY = (
    ("", "as the forecast says"), ("0", "clear"), ("0.3", "a third covered"), ("0.5", "half covered"),
    ("0.8", "mostly covered"), ("1", "overcast"),
)  # fmt: skip
_SHADE = (("", "none"), ("0.25", "a quarter of the sun"), ("0.5", "half"), ("0.75", "three quarters"))
_FOOT = (("", "open at the foot"), ("yes", "closed"))
_WALL = (("", "stands off"), ("yes", "lies against the scion"))


def is_asked(fields: Typed) -> bool:
    """True if there is enough to ask about a day: a graft, a tree, a plot or the highest air."""
    return any(fields.get(name) for name in ("graft", "tree", "plot", "air_max"))


def heat_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, verdict: HeatVerdict | None = None
) -> GroupedForm:
    """The form with what was typed; what was taken for an empty field stands under it."""
    fill = Fill(ctx, typed)
    return grouped(
        (_which(ctx, fill), _day(fill, verdict), _covers(fill), _graft(fill, verdict), _how_sure(fill)),
        typed,
        error,
        answered=verdict is not None,
        title="Heat and covers",
        action="/heat",
        submit="What will cook?",
        here="heat",
    )


def _which(ctx: Context, fill: Fill) -> Group:
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot, order="walk_order, code")}
        trees = sorted(reader.every(Tree), key=lambda t: (plots[t.plot].walk_order, t.walk_order, t.code))
    named = tuple((t.code, f"{t.name}, {plots[t.plot].name}") for t in trees)
    places = tuple((p.code, p.name) for p in plots.values())
    rows = (
        (
            field(fill, "graft", "Graft", help="Its code, such as G14-10", group="who"),
            field(fill, "date", "Day", kind="date", help="Left empty: tomorrow", group="who"),
        ),
        (select(fill, "tree", "or a tree, for a graft that is thought of", (("", "none"), *named)),),
        (select(fill, "plot", "or a plot alone", (("", "the graft's or the tree's own"), *places)),),
    )
    return Group("Which graft, which day", rows, open=True)


def _day(fill: Fill, verdict: HeatVerdict | None) -> Group:
    temp, taken = fill.units.temperature, _taken_air(fill, verdict)
    rows = (
        (
            number(fill, "air_max", "Highest air", temp, taken.get("air_max", ""), group="t"),
            number(fill, "air_min", "Lowest air", temp, taken.get("air_min", ""), group="t"),
        ),
        (
            number(fill, "wind", "Wind at the graft", fill.units.speed, taken.get("wind", ""), group="w"),
            number(fill, "rh_min", "Lowest humidity", "%", group="w"),
        ),
        (select(fill, "cloud", "Sky", with_typed(fill, "cloud", _SKY)),),
    )
    words = (
        "Left empty, the plot's forecast is taken, or for a past day its readings. What you type goes before it; of "
        "the air, type both."
    )
    return Group("What the day brings", rows, open=True, help=words)


def _taken_air(fill: Fill, verdict: HeatVerdict | None) -> dict[str, str]:
    """What was taken for fields left empty."""
    if verdict is None:
        return {}
    air = verdict.air
    by_day = [air.wind_m_s[i] for i, up in enumerate(air.sun_up_deg) if up > 0] or list(air.wind_m_s)
    where = "" if air.wind_here else ", on a mast"
    return {
        "air_max": f"Taken: {u.temperature(air.high_c, fill.units)}",
        "air_min": f"Taken: {u.temperature(min(air.air_c), fill.units)}",
        "wind": f"Taken: {u.speed(sum(by_day) / len(by_day), fill.units)}{where}",
    }


def _covers(fill: Fill) -> Group:
    covers = tuple((key, words) for key, words in GRAFT_COVERS.items())
    now = (("", "as the book says"), *covers)
    rows = (
        (select(fill, "now", "On it now", with_typed(fill, "now", now)),),
        (FormField("cover", "Covers to try", "boxes", fill.text("cover"), options=covers, more=True),),
        (
            select(fill, "closed", "Their foot", _FOOT, group="how"),
            select(fill, "touching", "Their sunny side", _WALL, group="how"),
        ),
    )
    given = any(fill.text(name) for name in ("now", "cover", "closed", "touching"))
    return Group("Covers", rows, open=given, help="Without a tick all are tried, side by side.")


def _graft(fill: Fill, verdict: HeatVerdict | None) -> Group:
    graft = verdict.graft if verdict is not None else None
    short = fill.length_unit("mm")
    taken: dict[str, str] = {}
    if graft is not None:
        side = "sun from all sides" if graft.bearing_deg is None else heat.side_words(graft.bearing_deg)
        taken = {
            "species": f"Taken: {graft.species or 'not known'}",
            "scion": f"Taken: {u.length(graft.scion_mm, fill.units)}",
            "scion_length": f"Taken: {u.length(graft.scion_length_mm, fill.units)}",
            "limb": f"Taken: {u.length(graft.limb_mm, fill.units)}",
            "bearing": f"Taken: {side}",
            "whitened": f"Taken: {'yes' if graft.whitened else 'no'}",
        }
    sides = (("", "as the book says"), *((b, bearing_words(b)) for b in BEARINGS))
    rows = (
        (field(fill, "species", "Kind", help=taken.get("species", "sweet orange, lemon, apple ...")),),
        (
            number(fill, "scion", "Scion's thickness", short, taken.get("scion", ""), group="s"),
            number(fill, "scion_length", "Its length", short, taken.get("scion_length", ""), group="s"),
        ),
        (
            number(fill, "limb", "Limb's thickness", short, taken.get("limb", ""), group="l"),
            select(fill, "bearing", "Side of the tree", with_typed(fill, "bearing", sides), taken.get("bearing", ""),
                   group="l"),
        ),
        (
            select(fill, "shade", "Shade all day", with_typed(fill, "shade", _SHADE), group="h"),
            select(fill, "whitened", "Bark whitened", AS_BOOK, taken.get("whitened", ""), group="h"),
        ),
    )  # fmt: skip
    given = any(f.value for row in rows for f in row)
    return Group("The graft itself", rows, open=given and verdict is None)


def _how_sure(fill: Fill) -> Group:
    rows = (
        (
            select(fill, "target", "Chance of harm you would bear", with_typed(fill, "target", TARGETS), group="p"),
            field(fill, "members", "Days drawn", group="p"),
        ),
        (field(fill, "seed", "Where the draws begin", help="The same number gives the same answer"),),
    )
    return Group("How sure it must be", rows)
