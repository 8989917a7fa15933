"""The form of a cold night: which tree, what the sky does, what the grower has. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.app.context import Context
from barkslip.app.frost import MEMBERS
from barkslip.domain.errors import BarkslipError
from barkslip.domain.garden import Plot
from barkslip.domain.night import (
    COVERS,
    FRUIT_STATES,
    GROUNDS,
    LAMPS,
    SOIL_STATES,
    SOILS,
    WRAPS,
    NightVerdict,
)
from barkslip.domain.tree import Tree
from barkslip.present import night_measures
from barkslip.present import units as u
from barkslip.web.forms.fill import Fill
from barkslip.web.forms.groups import (
    AS_BOOK,
    NO_YES,
    TARGETS,
    Group,
    GroupedForm,
    field,
    grouped,
    number,
    same,
    select,
    with_typed,
)

Typed = Mapping[str, str]

_SKY = (
    ("", "not known"), ("0", "clear"), ("0.3", "a third covered"), ("0.5", "half covered"), ("0.8", "mostly covered"),
    ("1", "overcast"),
)  # fmt: skip


def is_asked(fields: Typed) -> bool:
    """True if there is enough to ask about a night: a tree, a plot or a low."""
    return any(fields.get(name) for name in ("tree", "plot", "low"))


def night_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, verdict: NightVerdict | None = None
) -> GroupedForm:
    """The form with what was typed; what was taken for an empty field stands under it."""
    fill = Fill(ctx, typed)
    return grouped(
        (_which(ctx, fill), _sky(fill, verdict), _measures(fill), _tree(fill, verdict), _how_sure(fill)),
        typed,
        error,
        answered=verdict is not None,
        title="Cold night",
        action="/night",
        submit="What will be hurt?",
        here="night",
    )


def _which(ctx: Context, fill: Fill) -> Group:
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot, order="walk_order, code")}
        trees = sorted(reader.every(Tree), key=lambda t: (plots[t.plot].walk_order, t.walk_order, t.code))
    named = tuple((t.code, f"{t.name}, {plots[t.plot].name}") for t in trees)
    places = tuple((p.code, p.name) for p in plots.values())
    rows = (
        (select(fill, "tree", "Tree", (("", "none of the book's"), *named)),),
        (
            select(fill, "plot", "Plot", (("", "the tree's own"), *places), group="where"),
            field(fill, "date", "Evening of", kind="date", help=f"Left empty: {fill.today.isoformat()}", group="where"),
        ),
    )
    return Group("Which tree, which night", rows, open=True)


def _sky(fill: Fill, verdict: NightVerdict | None) -> Group:
    temp = fill.units.temperature
    taken = _taken_air(fill, verdict)
    rows = (
        (
            number(fill, "low", "Expected low", temp, taken.get("low", ""), group="t"),
            number(fill, "sunset_temp", "At sunset", temp, taken.get("sunset_temp", ""), group="t"),
        ),
        (
            number(fill, "dew_point", "Dew point", temp, taken.get("dew_point", ""), group="d"),
            number(fill, "wind", "Wind at night", fill.units.speed, taken.get("wind", ""), group="d"),
        ),
        (select(fill, "cloud", "Sky", with_typed(fill, "cloud", _SKY)),),
    )
    words = "Left empty, the plot's forecast is taken. What you type goes before it."
    return Group("What the sky does", rows, open=True, help=words)


def _taken_air(fill: Fill, verdict: NightVerdict | None) -> dict[str, str]:
    """What was taken for fields left empty."""
    if verdict is None:
        return {}
    air = verdict.air
    night_long = [i for i, s in enumerate(air.time_s) if s <= air.sunrise_s] or [0]
    wind = sum(air.wind_m_s[i] for i in night_long) / len(night_long)
    return {
        "low": f"Taken: {u.temperature(air.low_c, fill.units)}",
        "sunset_temp": f"Taken: {u.temperature(air.air_c[0], fill.units)}",
        "dew_point": f"Taken: {u.temperature(air.dew_c[0], fill.units)}",
        "wind": f"Taken: {u.speed(wind, fill.units)}",
    }


def _measures(fill: Fill) -> Group:
    covers = (("", "none"), *((c, night_measures.COVER_WORDS[c]) for c in COVERS))
    wraps = (("", "none"), *((w, night_measures.WRAP_WORDS[w]) for w in WRAPS))
    lamps = (("", "as the lamps say"), *((k, night_measures.LAMP_WORDS[k]) for k in LAMPS))
    long, short = fill.length_unit("m"), fill.length_unit("cm")
    rows = (
        (select(fill, "cover", "Cover", with_typed(fill, "cover", covers)),),
        (
            number(fill, "cover_height", "Its height", long, group="c"),
            number(fill, "cover_width", "Its width", long, group="c"),
        ),
        (
            number(fill, "skirt", "Foot stands out", long, group="s"),
            number(fill, "gap", "Open at the ground", short, group="s"),
        ),
        (
            field(fill, "lamps", "Lamps", help="100W, 2x60W, 25 c9", group="l"),
            select(fill, "lamp", "Kind of lamp", lamps, group="l"),
        ),
        (
            field(fill, "bucket", "Hot water", help="19L@60C, 2x19L@60C", group="b"),
            field(fill, "refills", "Filled anew", help="how often", group="b"),
        ),
        (
            field(fill, "water", "Water run under the tree", help="an hour: 38L@15C", group="w"),
            select(fill, "spray", "Sprayed", NO_YES, group="w"),
        ),
        (select(fill, "wrap", "Trunk", with_typed(fill, "wrap", wraps)),),
        (
            select(fill, "watered", "Ground watered the day before", NO_YES, group="g"),
            select(fill, "bared", "Ground cleared", NO_YES, group="g"),
        ),
    )
    given = any(f.value for row in rows for f in row)
    words = "Each is tried alone and together. Left empty, what a home usually has is tried."
    return Group("What you could use", rows, open=given, help=words)


def _tree(fill: Fill, verdict: NightVerdict | None) -> Group:
    tree = verdict.tree if verdict is not None else None
    long = fill.length_unit("m")
    taken: dict[str, str] = {}
    if tree is not None:
        taken = {
            "species": f"Taken: {tree.species or 'not known, the tenderest'}",
            "height": f"Taken: {u.length(tree.height_m * 1000, fill.units)}",
            "width": f"Taken: {u.length(tree.width_m * 1000, fill.units)}",
            "young_graft": f"Taken: {'yes' if tree.young_graft else 'no'}",
            "chill_h": "Not known: no hardening is counted" if tree.chill_h is None else f"Taken: {tree.chill_h:.0f} h",
        }
    rows = (
        (field(fill, "species", "Kind", help=taken.get("species", "sweet orange, satsuma, lemon ...")),),
        (
            number(fill, "height", "Height", long, taken.get("height", ""), group="h"),
            number(fill, "width", "Width", long, taken.get("width", ""), group="h"),
        ),
        (
            select(fill, "young_graft", "Young grafts on it", AS_BOOK, taken.get("young_graft", ""), group="y"),
            select(fill, "flush", "In tender growth", NO_YES, group="y"),
        ),
        (
            select(fill, "bloom", "In flower", NO_YES, group="f"),
            select(fill, "fruit", "Fruit on it", (("", "none"), *same(FRUIT_STATES[1:])), group="f"),
        ),
        (
            number(fill, "chill_h", "Hours of chill, last 3 weeks", "h", taken.get("chill_h", ""), group="k"),
            select(fill, "ground", "Ground", (("", "bare"), *same(GROUNDS[1:])), group="k"),
        ),
        (
            select(fill, "soil", "Soil", (("", "sand"), *same(SOILS[1:])), group="o"),
            select(fill, "soil_state", "Soil is", (("", "moist"), ("dry", "dry"), *same(SOIL_STATES[2:])), group="o"),
        ),
    )  # fmt: skip
    given = any(f.value for row in rows for f in row)
    return Group("The tree itself", rows, open=given and verdict is None)


def _how_sure(fill: Fill) -> Group:
    rows = (
        (
            select(fill, "target", "Chance of harm you would bear", with_typed(fill, "target", TARGETS), group="p"),
            field(fill, "members", "Nights drawn", help=f"Left empty: {MEMBERS}", group="p"),
        ),
        (field(fill, "seed", "Where the draws begin", help="The same number gives the same answer"),),
    )
    return Group("How sure it must be", rows)
