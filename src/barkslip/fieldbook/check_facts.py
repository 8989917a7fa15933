"""Checking what the lines of a book say about each other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from functools import partial

from barkslip.domain.act import Act, Photo
from barkslip.domain.answer import NightAnswer
from barkslip.domain.book import Finding
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Hold, ToolUse
from barkslip.domain.entry import Entry
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden
from barkslip.domain.graft import STATES, Graft, Look, check_look_day, check_wood_day
from barkslip.domain.sign import Sign
from barkslip.domain.tree import ChainLink, Limb, check_candidates
from barkslip.fieldbook.rows import REFERENCES, TABLES, spec

#: Column -> nouns it may name; the columns not listed name the noun they are called after.
_MAY_NAME = {
    "lot": ("wood_lot",),
    "from_tree": ("tree",),
    "from_limb": ("limb",),
    "from_graft": ("graft",),
    "about": ("graft", "limb", "tree", "wood_lot", "look", "plot", "act", "event", "tasting", "chain_link", "trial"),
}
_CORRECT = "Correct the line, or take it back."


def facts(entries: Iterable[Entry], kinds: dict[str, str]) -> Iterator[Finding]:
    """What cannot be, or hardly.

    Parameters
    ----------
    entries : iterable of Entry
        All lines; only those that stand are looked at.
    kinds : dict
        Thing id -> noun.
    """
    everything = list(entries)
    corrected = {e.corrects for e in everything}
    standing = [e for e in everything if not e.withdrawn and e.id not in corrected]
    by_thing: dict[str, Entry] = {e.thing: e for e in standing}
    gone = {e.thing for e in everything} - set(by_thing)
    gardens = [e for e in standing if isinstance(e, Garden)]
    yield from _answered_twice(standing)
    for garden in gardens[1:]:
        yield _doubt(garden, f"A book has one garden ({len(gardens)} found).")
    for entry in standing:
        yield from _names(entry, kinds, gone)
        match entry:
            case Look():
                yield from _look(entry, by_thing.get(entry.graft))
            case Graft():
                yield from _graft(entry, by_thing)
            case ChainLink():
                yield from _told(entry, partial(check_candidates, entry.level, entry.candidates))
                yield from _limb_of(entry, entry.limb, entry.tree, by_thing)
            case WoodLot():
                yield from _lot(entry, by_thing)
            case LotFind():
                lot = by_thing.get(entry.lot)
                if isinstance(lot, WoodLot) and entry.on.last < lot.cut.first:
                    yield _doubt(entry, f"A find on {entry.on.iso()} is older than its wood, cut {lot.cut.iso()}.")
            case Act():
                yield from _act(entry, by_thing)
            case NightAnswer():
                yield from _answer(entry)
            case ToolUse() | Hold():
                yield from _one_of(entry, ("tree", "graft", "lot"))
            case Sign():
                yield from _one_of(entry, ("tree", "graft"))
            case _:
                pass


def _one_of(entry: Entry, columns: tuple[str, ...]) -> Iterator[Finding]:
    """A line that is about one thing names one thing."""
    named = [name for name in columns if getattr(entry, name)]
    if len(named) != 1:
        yield _doubt(entry, f"A line must name one of {', '.join(columns)}; it names {len(named)}.")


def _doubt(entry: Entry, what: str) -> Finding:
    return Finding("doubtful", what, _where(entry), _CORRECT)


def _where(entry: Entry) -> str:
    code = getattr(entry, "code", "")
    return f"{TABLES[type(entry)]} {entry.id}" + (f" ({code})" if code else "")


def _names(entry: Entry, kinds: dict[str, str], gone: set[str]) -> Iterator[Finding]:
    """What a line names must be of the right kind, and must stand."""
    for column in spec(type(entry)).columns:
        if column.name not in REFERENCES:
            continue
        named = getattr(entry, column.name)
        kind = kinds.get(named or "")
        if kind is None:
            continue  # none, or found by the check of foreign keys
        if kind not in _MAY_NAME.get(column.name, (column.name,)):
            yield Finding(
                "broken",
                f"A line names a thing of another kind ({kind}) as its {column.name}.",
                _where(entry),
                _CORRECT,
            )
        elif named in gone and not isinstance(entry, Photo):
            yield _doubt(entry, f"A line names a thing that was taken back ({kind}).")


def _told(entry: Entry, rule: Callable[[], None]) -> Iterator[Finding]:
    """A rule of the domain, asked again."""
    try:
        rule()
    except InputError as error:
        given = f" ({error.given})" if error.given else ""
        yield _doubt(entry, f"{error.problem.rstrip('.')}{given}.")


def _look(look: Look, graft: Entry | None) -> Iterator[Finding]:
    if look.state not in STATES:
        yield _doubt(look, f"No such state of a graft ({look.state}).")
    if isinstance(graft, Graft):
        yield from _told(look, partial(check_look_day, look.on, graft.set_on))


def _graft(graft: Graft, by_thing: dict[str, Entry]) -> Iterator[Finding]:
    yield from _limb_of(graft, graft.limb, graft.tree, by_thing)
    lot = by_thing.get(graft.lot or "")
    if isinstance(lot, WoodLot):
        yield from _told(graft, partial(check_wood_day, graft.set_on, lot.cut, lot.code))


def _limb_of(entry: Entry, limb_thing: str | None, tree: str | None, by_thing: dict[str, Entry]) -> Iterator[Finding]:
    limb = by_thing.get(limb_thing or "")
    if isinstance(limb, Limb) and tree is not None and limb.tree != tree:
        yield _doubt(entry, f"The limb {limb.address} is on another tree.")


def _lot(lot: WoodLot, by_thing: dict[str, Entry]) -> Iterator[Finding]:
    yield from _limb_of(lot, lot.from_limb, lot.from_tree, by_thing)
    graft = by_thing.get(lot.from_graft or "")
    if isinstance(graft, Graft):
        if lot.from_tree is not None and graft.tree != lot.from_tree:
            yield _doubt(lot, f"The graft {graft.code} it was cut from is on another tree.")
        if lot.cut.last < graft.set_on.first:
            yield _doubt(lot, f"It was cut {lot.cut.iso()} from the graft {graft.code}, set {graft.set_on.iso()}.")
    if lot.received is not None and lot.received.last < lot.cut.first:
        yield _doubt(lot, f"It came in {lot.received.iso()}, before it was cut, {lot.cut.iso()}.")


def _act(act: Act, by_thing: dict[str, Entry]) -> Iterator[Finding]:
    targets = [t for t in (act.graft, act.limb, act.tree, act.plot) if t is not None]
    if len(targets) != 1:
        yield _doubt(act, f"An act is done to one thing ({len(targets)} named).")
    graft = by_thing.get(act.graft or "")
    if isinstance(graft, Graft) and act.on.last < graft.set_on.first:
        yield _doubt(act, f"An act on {act.on.iso()} is older than its graft, set {graft.set_on.iso()}.")


def _answer(answer: NightAnswer) -> Iterator[Finding]:
    try:
        is_day = date.fromisoformat(answer.day).isoformat() == answer.day
    except ValueError:
        is_day = False
    if not is_day:
        yield _doubt(answer, f"No such day ({answer.day}).")
    if not answer.low_p10_c <= answer.low_p50_c <= answer.low_p90_c:
        lows = f"{answer.low_p10_c:g}, {answer.low_p50_c:g}, {answer.low_p90_c:g} °C"
        yield _doubt(answer, f"The answered lows do not rise ({lows}).")
    if not (0.0 <= answer.chance <= 1.0 and 0.0 <= answer.target <= 1.0):
        yield _doubt(answer, f"A chance lies from 0 to 1 ({answer.chance:g}, target {answer.target:g}).")


def _answered_twice(standing: Iterable[Entry]) -> Iterator[Finding]:
    seen: set[tuple[str, str]] = set()
    for answer in standing:
        if isinstance(answer, NightAnswer):
            if (answer.plot, answer.day) in seen:
                yield _doubt(answer, f"The night of {answer.day} has two answers in this plot.")
            seen.add((answer.plot, answer.day))
