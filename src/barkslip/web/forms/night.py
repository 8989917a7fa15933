"""The form of a cold night: which tree, what the sky does, what the grower has. Sent by GET: it writes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from barkslip.app.context import Context
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
from barkslip.present.form import FormField, FormView
from barkslip.web.forms.fill import Fill

Typed = Mapping[str, str]
Row = tuple[FormField, ...]

_AS_BOOK = (("", "as the book says"), ("yes", "yes"), ("no", "no"))
_NO_YES = (("", "no"), ("yes", "yes"))
_SKY = (
    ("", "not known"), ("0", "clear"), ("0.3", "a third covered"), ("0.5", "half covered"), ("0.8", "mostly covered"),
    ("1", "overcast"),
)  # fmt: skip
_TARGETS = (("", "1 in 10"), ("2%", "1 in 50"), ("5%", "1 in 20"), ("20%", "2 in 10"), ("30%", "3 in 10"))
#: Names under which nothing is asked about the night.
_FURNITURE = ("as", "units", "saved", "answer")


@dataclass(frozen=True)
class Group:
    """Fields under one heading, folded unless `open`."""

    title: str
    rows: tuple[Row, ...]
    open: bool = False
    help: str = ""


@dataclass(frozen=True)
class NightForm:
    """The form in groups; `view` is the same for the pieces that pages share."""

    groups: tuple[Group, ...]
    view: FormView


def asked(query: Typed) -> dict[str, str]:
    """What was typed: empty fields and the page's own furniture are left out."""
    return {k: v.strip() for k, v in query.items() if v.strip() and k not in _FURNITURE}


def is_asked(fields: Typed) -> bool:
    """True if there is enough to ask about a night: a tree, a plot or a low."""
    return any(fields.get(name) for name in ("tree", "plot", "low"))


def night_form(
    ctx: Context, typed: Typed, error: BarkslipError | None = None, verdict: NightVerdict | None = None
) -> NightForm:
    """The form with what was typed; what was taken for an empty field stands under it."""
    fill = Fill(ctx, typed)
    blamed = error.field if error is not None else ""
    groups = tuple(
        replace(g, open=(g.open and verdict is None) or any(f.name == blamed for row in g.rows for f in row))
        for g in (
            _which(ctx, fill),
            _sky(fill, verdict),
            _measures(fill),
            _tree(fill, verdict),
            _how_sure(fill),
        )
    )
    fields = tuple(f for g in groups for row in g.rows for f in row)
    sure = (FormField("sure", "", "hidden", typed["sure"]),) if typed.get("sure") else ()
    view = FormView(
        title="Cold night",
        action="/night",
        fields=(*sure, *fields),
        submit="What will be hurt?",
        error=error,
        here="night",
    )
    return NightForm(groups, view)


def _which(ctx: Context, fill: Fill) -> Group:
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot, order="walk_order, code")}
        trees = sorted(reader.every(Tree), key=lambda t: (plots[t.plot].walk_order, t.walk_order, t.code))
    named = tuple((t.code, f"{t.name}, {plots[t.plot].name}") for t in trees)
    places = tuple((p.code, p.name) for p in plots.values())
    rows = (
        (_select(fill, "tree", "Tree", (("", "none of the book's"), *named)),),
        (
            _select(fill, "plot", "Plot", (("", "the tree's own"), *places), group="where"),
            _field(
                fill, "date", "Evening of", kind="date", help=f"Left empty: {fill.today.isoformat()}", group="where"
            ),
        ),
    )
    return Group("Which tree, which night", rows, open=True)


def _sky(fill: Fill, verdict: NightVerdict | None) -> Group:
    temp = fill.units.temperature
    taken = _taken_air(fill, verdict)
    rows = (
        (
            _number(fill, "low", "Expected low", temp, taken.get("low", ""), group="t"),
            _number(fill, "sunset_temp", "At sunset", temp, taken.get("sunset_temp", ""), group="t"),
        ),
        (
            _number(fill, "dew_point", "Dew point", temp, taken.get("dew_point", ""), group="d"),
            _number(fill, "wind", "Wind at night", fill.units.speed, taken.get("wind", ""), group="d"),
        ),
        (_select(fill, "cloud", "Sky", _with(fill, "cloud", _SKY)),),
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
        (_select(fill, "cover", "Cover", _with(fill, "cover", covers)),),
        (
            _number(fill, "cover_height", "Its height", long, group="c"),
            _number(fill, "cover_width", "Its width", long, group="c"),
        ),
        (
            _number(fill, "skirt", "Foot stands out", long, group="s"),
            _number(fill, "gap", "Open at the ground", short, group="s"),
        ),
        (
            _field(fill, "lamps", "Lamps", help="100W, 2x60W, 25 c9", group="l"),
            _select(fill, "lamp", "Kind of lamp", lamps, group="l"),
        ),
        (
            _field(fill, "bucket", "Hot water", help="19L@60C, 2x19L@60C", group="b"),
            _field(fill, "refills", "Filled anew", help="how often", group="b"),
        ),
        (
            _field(fill, "water", "Water run under the tree", help="an hour: 38L@15C", group="w"),
            _select(fill, "spray", "Sprayed", _NO_YES, group="w"),
        ),
        (_select(fill, "wrap", "Trunk", _with(fill, "wrap", wraps)),),
        (
            _select(fill, "watered", "Ground watered the day before", _NO_YES, group="g"),
            _select(fill, "bared", "Ground cleared", _NO_YES, group="g"),
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
        (_field(fill, "species", "Kind", help=taken.get("species", "sweet orange, satsuma, lemon ...")),),
        (
            _number(fill, "height", "Height", long, taken.get("height", ""), group="h"),
            _number(fill, "width", "Width", long, taken.get("width", ""), group="h"),
        ),
        (
            _select(fill, "young_graft", "Young grafts on it", _AS_BOOK, taken.get("young_graft", ""), group="y"),
            _select(fill, "flush", "In tender growth", _NO_YES, group="y"),
        ),
        (
            _select(fill, "bloom", "In flower", _NO_YES, group="f"),
            _select(fill, "fruit", "Fruit on it", (("", "none"), *_same(FRUIT_STATES[1:])), group="f"),
        ),
        (
            _number(fill, "chill_h", "Hours of chill, last 3 weeks", "h", taken.get("chill_h", ""), group="k"),
            _select(fill, "ground", "Ground", (("", "bare"), *_same(GROUNDS[1:])), group="k"),
        ),
        (
            _select(fill, "soil", "Soil", (("", "sand"), *_same(SOILS[1:])), group="o"),
            _select(fill, "soil_state", "Soil is", (("", "moist"), ("dry", "dry"), *_same(SOIL_STATES[2:])), group="o"),
        ),
    )  # fmt: skip
    given = any(f.value for row in rows for f in row)
    return Group("The tree itself", rows, open=given and verdict is None)


def _how_sure(fill: Fill) -> Group:
    rows = (
        (
            _select(fill, "target", "Chance of harm you would bear", _with(fill, "target", _TARGETS), group="p"),
            _field(fill, "members", "Nights drawn", help="Left empty: 1000", group="p"),
        ),
        (_field(fill, "seed", "Where the draws begin", help="The same number gives the same answer"),),
    )
    return Group("How sure it must be", rows)


def _same(words: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((w, w) for w in words)


def _with(fill: Fill, name: str, options: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """The options, and what was typed if it is none of them."""
    typed = fill.text(name)
    return options if typed in [o[0] for o in options] else (*options, (typed, typed))


def _select(
    fill: Fill, name: str, label: str, options: tuple[tuple[str, str], ...], help: str = "", *, group: str = ""
) -> FormField:
    return FormField(name, label, "select", fill.text(name), help, options, group=group, more=True)


def _number(fill: Fill, name: str, label: str, unit: str, help: str = "", *, group: str = "") -> FormField:
    return FormField(name, label, "number", fill.text(name), help, unit=unit, group=group, more=True)


def _field(fill: Fill, name: str, label: str, *, kind: str = "text", help: str = "", group: str = "") -> FormField:
    return FormField(name, label, kind, fill.text(name), help, group=group, more=True)
