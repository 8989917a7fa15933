"""What is typed about days to graft: the graft that is thought of, and which days are asked about."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from barkslip.app.door import Door
from barkslip.domain.errors import InputError
from barkslip.domain.heat import Wrap, WrappedGraft, graft_cover
from barkslip.domain.timing import BUDS, PATHS, GraftPlan, bark_test
from barkslip.domain.tree import BEARING_DEG, BEARINGS

if TYPE_CHECKING:
    from barkslip.domain.graft import Graft
    from barkslip.domain.method import Method
    from barkslip.domain.tree import Limb, Tree
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Days asked about if nothing is typed, and the most [d].
DAYS, MOST_DAYS = 14, 30
#: Members of the ensemble if nothing is asked for, the fewest and the most.
MEMBERS, FEWEST_MEMBERS, MOST_MEMBERS = 200, 20, 5_000
#: Sizes taken where nothing is known of them [mm].
USUAL_LIMB_MM, USUAL_SCION_MM = 50.0, 8.0
#: Methods that set one bud, which may sleep until spring (keys of the knowledge base).
BUD_METHODS = ("t_bud", "inverted_t_bud", "chip_bud", "patch_bud", "micro_bud")
#: Months in which a bud that is set is usually meant to sleep until spring: late summer and autumn, north and south.
_SLEEP_NORTH, _SLEEP_SOUTH = (8, 9, 10, 11), (2, 3, 4, 5)
_PATH_WORDS = {"live bud": "growing", "live": "growing", "dormant": "sleeping", "dormant bud": "sleeping"}
_BUD_WORDS = {"at rest": "resting", "dormant": "resting", "rest": "resting", "moving": "pushing"}
#: What the model of the wrap takes of thicknesses [mm]; those of the book are brought into it.
_LIMB_MM, _SCION_MM = (3.0, 400.0), (2.0, 40.0)
#: How growers write that buds on their wood are not at rest; a sentence that denies it is left out.
_PUSHING = re.compile(r"\b(push|mov|shoot|leaf(?:ed|ing)\b|broke|open)", re.IGNORECASE)
_SWELLING = re.compile(r"\b(swell|swoll)", re.IGNORECASE)
_BUDS_SAID = re.compile(r"\b(buds?|eyes?)\b", re.IGNORECASE)
_DENIED = re.compile(r"\b(no|not|none|without|never)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Places:
    """What the book has of the place of a graft; all None without a book or where nothing was named."""

    tree: Tree | None = None
    limb: Limb | None = None
    graft: Graft | None = None
    #: Kind of the graft's wood, or of what the tree carries; "" if not known.
    kind: str = ""
    #: Word of the last test of the bark that still holds; "" if there is none.
    bark: str = ""
    #: Key of `BUDS`, from what is written about the wood; "" if nothing is.
    buds: str = ""


@dataclass(frozen=True)
class DaysAsked:
    """The question.

    Parameters
    ----------
    plan : GraftPlan
    method : Method or None
        What is known of the method; None if none was said.
    wrapped : WrappedGraft
        The same graft as the model of covers takes it.
    first : date
    days : int
    years : bool
        The weeks of the year are asked for too.
    members, seed : int
    doubts : tuple of str
        Codes of `domain.timing.UNKNOWNS`.
    """

    plan: GraftPlan
    method: Method | None
    wrapped: WrappedGraft
    first: date
    days: int
    years: bool
    members: int
    seed: int
    doubts: tuple[str, ...] = ()


def read_days(
    at: Door, fields: Fields, knowledge: Knowledge, places: Places, plot: str, *, first: date, south: bool
) -> DaysAsked:
    """The question as typed; what was not typed from the book.

    Parameters
    ----------
    fields : mapping
        species, method, path, cover, buds, bark, flush, scion and limb (thickness, with units), bearing, shade, days,
        years (yes or no), members, seed.
    places : Places
    plot : str
        Code; "" if none.
    first : date
        First day asked about.
    south : bool
        South of the equator.

    Raises
    ------
    InputError
    """
    method = read_method(at, fields, knowledge, places.graft.method if places.graft else "")
    cover, guessed = read_cover(at, fields, places.graft)
    limb_mm, scion_mm = _sizes(at, fields, places)
    plan = GraftPlan(
        species=read_species(at, fields, places),
        method=method.key if method else _method_words(at, fields, places),
        path=read_path(at, fields, usual_path(method.key if method else "", first, south=south)),
        cover=cover,
        buds=_chosen(at, fields, "buds", BUDS, _BUD_WORDS, places.buds or "resting"),
        bark=read_bark(at, fields, places.bark),
        flush=_maybe(at, fields, "flush"),
        tree=places.tree.code if places.tree else "",
        plot=plot,
        limb_mm=limb_mm,
        scion_mm=scion_mm,
        bearing_deg=read_bearing(at, fields, places.limb, places.graft),
        shade=read_shade(at, fields),
    )
    return DaysAsked(
        plan=plan,
        method=method,
        wrapped=wrapped_of(plan, places.graft.code if places.graft else ""),
        first=first,
        days=read_count(at, fields),
        years=_maybe(at, fields, "years") is not False,
        members=max(FEWEST_MEMBERS, at.count(fields, "members", most=MOST_MEMBERS) or MEMBERS),
        seed=at.count(fields, "seed", most=2**31) or 1,
        doubts=("cover_guessed",) if guessed else (),
    )


def wrapped_of(plan: GraftPlan, name: str = "") -> WrappedGraft:
    """The graft as the model of covers takes it.

    Raises
    ------
    InputError
        If a size is outside the model.
    """
    return WrappedGraft(
        species=plan.species,
        name=name,
        scion_mm=plan.scion_mm,
        limb_mm=plan.limb_mm,
        bearing_deg=plan.bearing_deg,
        shade=plan.shade,
        now=Wrap(plan.cover),
    )


def read_species(at: Door, fields: Fields, places: Places) -> str:
    """The kind of tree: typed, else that of the graft or of the tree.

    Raises
    ------
    InputError
        If nothing says it.
    """
    typed = at.text(fields, "species")
    if typed or places.kind:
        return typed or places.kind
    if places.tree is not None and places.tree.fruit:
        return places.tree.fruit
    raise InputError(
        "What is to be grafted?",
        given="(nothing)",
        allowed="a kind of tree, such as citrus, apple or persimmon; or a tree or a graft of the book",
        next_step="Name the kind of tree, or choose a tree.",
        field="species",
    )


def read_method(at: Door, fields: Fields, knowledge: Knowledge, of_graft: str = "") -> Method | None:
    """The method by its key, name or other words; None if none is said.

    Raises
    ------
    InputError
        If no such method is known.
    """
    typed = at.text(fields, "method")
    if not typed:
        return knowledge.method(of_graft) if of_graft else None
    found = knowledge.method(typed)
    if found is None:
        raise InputError(
            "No method of that name is known.",
            given=typed,
            allowed=", ".join(one.name for one in knowledge.methods),
            next_step="Choose one, or leave it out.",
            field="method",
        )
    return found


def _method_words(at: Door, fields: Fields, places: Places) -> str:
    """A method of the book that is not known stays as it is written there."""
    return places.graft.method if places.graft is not None and not at.text(fields, "method") else ""


def read_cover(at: Door, fields: Fields, graft: Graft | None = None) -> tuple[str, bool]:
    """Key of the cover, and whether it had to be guessed."""
    typed = at.text(fields, "cover")
    if typed:
        return graft_cover(typed), False
    return known_cover(graft.cover) if graft is not None else ("film", True)


def known_cover(words: str) -> tuple[str, bool]:
    """Key of a cover as written in the book, and whether it had to be guessed: one that is not known is film."""
    try:
        return graft_cover(words), False
    except InputError:
        return "film", True


def buds_from(*notes: str) -> str:
    """Key of `BUDS` that notes about wood speak of, the furthest of all; "" if none says so."""
    found = ""
    for sentence in (part for note in notes for part in re.split(r"[.;!?]", note)):
        if not _BUDS_SAID.search(sentence) or _DENIED.search(sentence):
            continue
        if _PUSHING.search(sentence):
            return "pushing"
        if _SWELLING.search(sentence):
            found = "swelling"
    return found


def usual_path(method: str, day: date, *, south: bool) -> str:
    """How a graft of a method set on a day is usually meant to go: buds of late summer and autumn sleep."""
    sleep = _SLEEP_SOUTH if south else _SLEEP_NORTH
    return "sleeping" if method in BUD_METHODS and day.month in sleep else "growing"


def read_path(at: Door, fields: Fields, usual: str) -> str:
    """Key of `PATHS`."""
    return _chosen(at, fields, "path", PATHS, _PATH_WORDS, usual)


def read_bark(at: Door, fields: Fields, of_book: str = "") -> str:
    """Key of `BARK_TESTS`: typed, else of the book; "" if not tested."""
    typed = at.text(fields, "bark")
    return bark_test(typed) if typed else of_book


def read_count(at: Door, fields: Fields) -> int:
    """How many days are asked about.

    Raises
    ------
    InputError
        If it is none, or more than can be looked ahead.
    """
    typed = at.text(fields, "days")
    if not typed:
        return DAYS
    number = at.number(fields, "days", 1, MOST_DAYS, unit="days")
    if number is None or number != int(number):
        raise InputError(
            "That must be a whole number.",
            given=typed,
            allowed=f"1 to {MOST_DAYS} days",
            next_step="Type it without a fraction.",
            field="days",
        )
    return int(number)


def read_bearing(
    at: Door, fields: Fields, limb: Limb | None = None, graft: Graft | None = None
) -> float | None:  # fmt: skip
    """Bearing of the side of the tree [°]: a point of the compass or degrees; that of the limb, else the graft's own
    side of its stock; None for all sides.

    Raises
    ------
    InputError
    """
    typed = at.text(fields, "bearing")
    if not typed:
        sides = (limb.bearing if limb is not None else "", graft.side if graft is not None else "")
        return next((BEARING_DEG[side] for side in sides if side in BEARINGS), None)
    point = typed.upper()
    if point in BEARINGS:
        return BEARING_DEG[point]
    try:
        degrees = float(typed.rstrip("° ").replace(",", "."))
    except ValueError:
        degrees = -1.0
    if not 0.0 <= degrees <= 360.0:
        raise InputError(
            "Not a bearing.",
            given=typed,
            allowed=f"{', '.join(BEARINGS)}; or 0 to 360°, clockwise from north",
            next_step="Type the side of the tree on which the graft stands, or leave it out.",
            field="bearing",
        )
    return degrees % 360.0


def read_shade(at: Door, fields: Fields) -> float:
    """Share of the sun kept off [0..1]: a share, or per cent; none if nothing is typed."""
    typed = at.text(fields, "shade")
    if not typed:
        return 0.0
    number = at.number({"shade": typed.rstrip("% ")}, "shade", 0, 100, unit="%") or 0.0
    return number / 100.0 if typed.endswith("%") or number > 1 else number


def _sizes(at: Door, fields: Fields, places: Places) -> tuple[float, float]:
    """Thickness of limb and scion [mm]: typed, else of the graft, else usual ones."""
    limb = at.length_mm(fields, "limb", metric="mm", most_mm=2000)
    scion = at.length_mm(fields, "scion", metric="mm", most_mm=200)
    graft = places.graft
    if graft is not None:
        limb = _within(graft.stock_mm, *_LIMB_MM) if limb is None else limb
        scion = _within(graft.scion_mm, *_SCION_MM) if scion is None else scion
    return USUAL_LIMB_MM if limb is None else limb, USUAL_SCION_MM if scion is None else scion


def _within(value: float | None, low: float, high: float) -> float | None:
    return None if value is None else min(max(value, low), high)


def _chosen(
    at: Door, fields: Fields, name: str, allowed: Mapping[str, str], words: Mapping[str, str], usual: str
) -> str:
    """Key of a small list, by key, label or another word."""
    typed = " ".join(at.text(fields, name).lower().split())
    by_label = {label: key for key, label in allowed.items()} | dict(words)
    return at.choice({name: by_label.get(typed, typed)}, name, allowed) if typed else usual


def _maybe(at: Door, fields: Fields, name: str) -> bool | None:
    """Yes, no, or not said."""
    if not at.text(fields, name):
        return None
    return at.choice({name: _YES_NO.get(at.text(fields, name).lower(), at.text(fields, name))}, name, _SAID) == "yes"


_SAID = ("yes", "no")
_YES_NO: Mapping[str, str] = {"1": "yes", "true": "yes", "on": "yes", "0": "no", "false": "no", "off": "no"}
