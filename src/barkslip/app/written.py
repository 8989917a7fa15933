"""What was written down a moment ago, read back for the line that confirms it."""

from __future__ import annotations

from datetime import datetime, timedelta

from barkslip.app.context import Context
from barkslip.domain.act import Act, Event, Photo
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.clean import Handout, Hold, ToolUse, WoodRule
from barkslip.domain.entry import Entry
from barkslip.domain.errors import NotFoundError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.sign import Sign
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.domain.written import Written
from barkslip.fieldbook.reader import Reader

#: Word in an address -> noun.
NOUNS: dict[str, type[Entry]] = {
    "look": Look, "act": Act, "event": Event, "graft": Graft, "tree": Tree, "limb": Limb, "link": ChainLink,
    "lot": WoodLot, "find": LotFind, "photo": Photo, "plot": Plot, "garden": Garden, "weather": Record,
    "sign": Sign,
    "rule": WoodRule,
    "tool": ToolUse, "handout": Handout, "hold": Hold,
}  # fmt: skip
_WORDS = {noun: word for word, noun in NOUNS.items()}
#: For so long a line counts as written a moment ago.
MOMENT = timedelta(minutes=15)


def mark(entry: Entry) -> str:
    """Word and identifier under which `written` finds an entry again; "" for what is not confirmed."""
    word = _WORDS.get(type(entry), "")
    return f"{word}.{entry.id}" if word else ""


def written(ctx: Context, found_under: str) -> Written | None:
    """The entry with a mark, if it was written, corrected or taken back a moment ago.

    Parameters
    ----------
    found_under : str
        A mark, as it stands in an address; anything else is nobody's.
    """
    word, _, entry_id = found_under.partition(".")
    noun = NOUNS.get(word)
    if noun is None:
        return None
    with ctx.book.read() as reader:
        try:
            entry = reader.line(noun, entry_id)
            newest = reader.versions(noun, entry.thing)[-1]
            age = ctx.now() - datetime.fromisoformat(newest.made_utc.replace("Z", "+00:00"))
            if not -MOMENT < age < MOMENT:
                return None
            about, code, count = _about(reader, entry)
        except NotFoundError:
            return None
    return Written(word, entry, about, code, count=count, taken_back=newest.withdrawn, newest=newest.id == entry.id)


def _about(reader: Reader, entry: Entry) -> tuple[str, str, int]:
    """What the entry is about in words, the code for addresses, and how many were written together."""
    match entry:
        case Look():
            code = _code(reader, Graft, entry.graft)
            return code, code, 1
        case Graft():
            return entry.code, entry.code, len(_together(reader, entry)) or 1
        case Act():
            return _act_about(reader, entry)
        case Tree() | Plot() | WoodLot():
            return f"{entry.code} {entry.name}", entry.code, 1
        case Sign() if entry.tree:
            tree = reader.versions(Tree, entry.tree)[-1]
            return tree.name, tree.code, 1
        case Limb() | ChainLink():
            tree = reader.versions(Tree, entry.tree)[-1]
            return tree.name, tree.code, 1
        case ToolUse():
            return entry.tool, "", 1
        case LotFind() | Handout():
            code = _code(reader, WoodLot, entry.lot)
            return code, code, 1
        case WoodRule():
            return entry.area, "", 1
        case _:
            return str(getattr(entry, "name", "")), "", 1


def _together(reader: Reader, graft: Graft) -> list[Graft]:
    return reader.every(Graft, "campaign = :c AND made_utc = :m", c=graft.campaign, m=graft.made_utc)


def _act_about(reader: Reader, act: Act) -> tuple[str, str, int]:
    if act.graft:
        code = _code(reader, Graft, act.graft)
        return code, code, 1
    if act.plot:
        plot = reader.versions(Plot, act.plot)[-1]
        return plot.name, plot.code, 1
    limb = reader.versions(Limb, act.limb)[-1] if act.limb else None
    tree = reader.versions(Tree, limb.tree if limb else act.tree or "")[-1]
    return f"{tree.name}, limb {limb.address}" if limb else tree.name, tree.code, 1


def _code(reader: Reader, noun: type[Graft] | type[WoodLot], thing: str) -> str:
    return reader.versions(noun, thing)[-1].code
