"""What is typed about a wrapped graft in sun: the graft, and the covers to be laid side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from barkslip.app.days_fields import known_cover, read_bearing, read_shade
from barkslip.app.door import Door
from barkslip.domain.errors import InputError
from barkslip.domain.heat import HOLDING_AIR, Wrap, WrappedGraft, graft_cover
from barkslip.domain.tree import BEARING_DEG, BEARINGS

if TYPE_CHECKING:
    from barkslip.domain.graft import Graft
    from barkslip.domain.tree import Limb, Tree

Fields = Mapping[str, str]
#: Sizes taken for a graft of which nothing is written down [mm].
USUAL = WrappedGraft()
#: Members of the ensemble if nothing is asked for, the fewest and the most.
MEMBERS, FEWEST_MEMBERS, MOST_MEMBERS = 200, 20, 20_000
#: Words after a cover that say how it hangs.
_HOW = ("closed", "open", "touching", "off")


@dataclass(frozen=True)
class BookGraft:
    """What the book has of a graft and its place; None where nothing is named.

    Parameters
    ----------
    graft, limb, tree : Graft, Limb, Tree or None
    cover : str
        What is on it on the day asked about, in the book's words; "" for its film alone.
    """

    graft: Graft | None = None
    limb: Limb | None = None
    tree: Tree | None = None
    cover: str = ""


def read_graft(at: Door, fields: Fields, book: BookGraft, usual: Sequence[Wrap]) -> WrappedGraft:
    """The graft that is asked about: typed values before those of the book.

    Parameters
    ----------
    fields : mapping
        species, scion and limb (thickness), scion_length, bearing (of its side of the tree), shade, whitened, now (its
        present cover).
    book : BookGraft
    usual : sequence of Wrap
        Covers as they are usually used.

    Raises
    ------
    InputError
        If a size is outside the model, or a cover is not known.
    """
    graft, tree = book.graft, book.tree
    scion = at.length_mm(fields, "scion", metric="mm", most_mm=200)
    limb = at.length_mm(fields, "limb", metric="mm", most_mm=2000)
    length = at.length_mm(fields, "scion_length", metric="mm", most_mm=2000)
    if graft is not None:
        scion = graft.scion_mm if scion is None else scion
        limb = graft.stock_mm if limb is None else limb
    bearing = read_bearing(at, fields, book.limb)
    if bearing is None and graft is not None and not at.text(fields, "bearing"):
        bearing = bearing_of(graft, book.limb)
    return WrappedGraft(
        species=at.text(fields, "species") or (tree.fruit if tree is not None else ""),
        name=graft.code if graft is not None else "",
        scion_mm=USUAL.scion_mm if scion is None else scion,
        scion_length_mm=USUAL.scion_length_mm if length is None else length,
        limb_mm=USUAL.limb_mm if limb is None else limb,
        bearing_deg=bearing,
        shade=read_shade(at, fields),
        whitened=at.yes(fields, "whitened"),
        now=_now(at, fields, book, usual),
    )


def bearing_of(graft: Graft, limb: Limb | None) -> float | None:
    """Side of the tree on which a graft stands [°]: that of its limb, else its own side of the stock; None if neither.

    A side that is no bearing ("upper") says nothing.
    """
    if limb is not None and limb.bearing in BEARINGS:
        return BEARING_DEG[limb.bearing]
    return BEARING_DEG[graft.side] if graft.side in BEARINGS else None


def _now(at: Door, fields: Fields, book: BookGraft, usual: Sequence[Wrap]) -> Wrap | None:
    typed = at.text(fields, "now")
    if typed:
        return read_wrap(at, fields, typed, usual, field="now")
    return as_usual(known_cover(book.cover)[0], usual) if book.graft is not None else None


def as_usual(cover: str, usual: Sequence[Wrap]) -> Wrap:
    """A cover as it is usually used."""
    return next((wrap for wrap in usual if wrap.cover == cover), Wrap(cover))


def read_wraps(at: Door, fields: Fields, usual: Sequence[Wrap]) -> tuple[Wrap, ...]:
    """The covers to compare: those named, else all as usually used.

    Parameters
    ----------
    fields : mapping
        cover (several with commas; each may be followed by closed, open, touching or off), closed and touching (yes:
        holds for all of them).
    usual : sequence of Wrap

    Raises
    ------
    InputError
        If a cover is not known.
    """
    named = [part for part in at.text(fields, "cover").replace(";", ",").split(",") if part.strip()]
    if not named:
        closed, touching = at.yes(fields, "closed"), at.yes(fields, "touching")
        return tuple(hung(wrap, closed=closed, touching=touching) for wrap in usual)
    return tuple(dict.fromkeys(read_wrap(at, fields, part, usual, field="cover") for part in named))


def read_wrap(at: Door, fields: Fields, text: str, usual: Sequence[Wrap], *, field: str) -> Wrap:
    """One cover and how it hangs ("brown bag closed touching"); as usual where nothing is said.

    Raises
    ------
    InputError
        If the cover is not known.
    """
    words = text.strip().replace("_", " ").split()
    how: set[str] = set()
    while len(words) > 1 and words[-1].lower() in _HOW:
        how.add(words.pop().lower())
    try:
        key = graft_cover(" ".join(words))
    except InputError as error:
        raise InputError(
            error.problem, given=text.strip(), allowed=error.allowed, next_step=error.next_step, field=field
        ) from None
    wrap = as_usual(key, usual)
    if "open" in how and key in HOLDING_AIR:
        wrap = replace(wrap, open_below=True)
    return hung(
        wrap,
        closed="closed" in how or (at.yes(fields, "closed") and "open" not in how),
        touching="touching" in how or (at.yes(fields, "touching") and "off" not in how),
    )


def hung(wrap: Wrap, *, closed: bool = False, touching: bool = False) -> Wrap:
    """A cover closed below, or touching; covers that hold no air hang in no way."""
    if wrap.cover not in HOLDING_AIR:
        return wrap
    return replace(wrap, open_below=wrap.open_below and not closed, touching=wrap.touching or touching)


def read_members(at: Door, fields: Fields) -> tuple[int, int]:
    """Members of the ensemble and the seed of its draws."""
    members = at.count(fields, "members", most=MOST_MEMBERS) or MEMBERS
    return max(members, FEWEST_MEMBERS), at.count(fields, "seed", most=2**31) or 1
