"""Wood lots and what they turned out to be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.app.descent import check_descent
from barkslip.app.lines import Fields, already, begin, door, free_code, kept, next_code, old_line
from barkslip.app.names import Names
from barkslip.app.passport import passport
from barkslip.app.trees import find_limb, find_tree, past_versions
from barkslip.domain.act import Photo
from barkslip.domain.budwood import LOT_STATES, SOURCE_CLASSES, LotFind, WoodLot
from barkslip.domain.cards import LotCard, LotStory
from barkslip.domain.errors import InputError
from barkslip.domain.graft import Graft
from barkslip.domain.names import same_word
from barkslip.domain.tree import Limb, Tree
from barkslip.fieldbook.reader import Reader

#: Grafts listed on a lot's page, earliest first; the card counts them all.
GRAFTS_SHOWN = 40


def save_lot(ctx: Context, fields: Fields, *, code: str = "") -> WoodLot:
    """Add a wood lot, or correct the one called `code`.

    Parameters
    ----------
    fields : mapping
        name, cut, code, source_class, source, from_tree, from_limb, from_graft, received, sticks, state, storage,
        paper, genus, species, crop, lot_state, note.

    Raises
    ------
    InputError
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, WoodLot, fields)
        if sent:
            return sent
        old = old_line(writer, WoodLot, fields, writer.by_code(WoodLot, code).thing) if code else None
        typed = at.text(fields, "code") or (old.code if old else next_code(writer, WoodLot, "W"))
        cut = kept(fields, old, "cut", lambda: at.day(fields, "cut"))
        received = kept(fields, old, "received", lambda: at.when(fields, "received"))
        if received is not None and received.last < cut.first:
            raise InputError(
                "That wood came in before it was cut.",
                given=f"cut {cut.iso()}, received {received.iso()}",
                allowed=f"{cut.first.isoformat()} or later",
                next_step="Correct one of the two dates.",
                field="received",
            )
        from_tree, from_limb, from_graft = _origin(writer, fields, old, at.text(fields, "from_graft"))
        own = from_tree is not None
        lot = WoodLot(
            **begin(ctx, fields, old),
            code=free_code(writer, WoodLot, typed, old, "wood lot"),
            name=kept(fields, old, "name", lambda: at.required(fields, "name", "name of the variety")),
            cut=cut,
            source_class=kept(
                fields,
                old,
                "source_class",
                lambda: at.choice(fields, "source_class", SOURCE_CLASSES, "own tree" if own else "not known"),
            ),
            source=kept(fields, old, "source", lambda: at.text(fields, "source")),
            from_tree=from_tree,
            from_limb=from_limb,
            from_graft=from_graft,
            received=received,
            sticks=kept(fields, old, "sticks", lambda: at.count(fields, "sticks", most=10_000)),
            state=kept(fields, old, "state", lambda: at.text(fields, "state")),
            storage=kept(fields, old, "storage", lambda: at.text(fields, "storage")),
            paper=kept(fields, old, "paper", lambda: at.text(fields, "paper")),
            genus=kept(fields, old, "genus", lambda: at.text(fields, "genus")),
            species=kept(fields, old, "species", lambda: at.text(fields, "species")),
            crop=kept(fields, old, "crop", lambda: at.text(fields, "crop")),
            lot_state=kept(fields, old, "lot_state", lambda: at.choice(fields, "lot_state", LOT_STATES, "in store")),
            note=kept(fields, old, "note", lambda: at.text(fields, "note")),
        )
        check_descent(writer, lot)
        writer.append(lot)
    return lot


def _origin(
    reader: Reader, fields: Fields, old: WoodLot | None, graft: str
) -> tuple[str | None, str | None, str | None]:
    if graft:
        cut_from = reader.by_code(Graft, graft)
        return cut_from.tree, cut_from.limb, cut_from.thing
    if old is not None and "from_tree" not in fields:
        return old.from_tree, old.from_limb, old.from_graft
    tree_text, limb_text = fields.get("from_tree", "").strip(), fields.get("from_limb", "").strip()
    if not tree_text:
        return None, None, None
    tree = find_tree(reader, tree_text)
    return tree.thing, find_limb(reader, tree, limb_text).thing if limb_text else None, None


def save_find(ctx: Context, fields: Fields, *, lot: str) -> LotFind:
    """Write down what a lot turned out to be.

    Parameters
    ----------
    fields : mapping
        found (name), how, on.
    """
    at = door(ctx, fields)
    day = at.day(fields, "on", "today")
    with ctx.book.write() as writer:
        sent = already(writer, LotFind, fields)
        if sent:
            return sent
        stem = writer.by_code(WoodLot, lot)
        find = LotFind(
            **begin(ctx, fields),
            lot=stem.thing,
            found=at.text(fields, "found") or stem.name,
            how=at.required(fields, "how", "way it was found"),
            on=day,
        )
        writer.append(find)
    return find


def all_lots(ctx: Context) -> list[LotCard]:
    """Cards of all lots, newest first."""
    names = ctx.names
    with ctx.book.read() as reader:
        return lot_cards(reader, reader.every(WoodLot, order="cut_first DESC, code DESC"), names)


def lot_cards(reader: Reader, lots: Sequence[WoodLot], names: Names) -> list[LotCard]:
    """Cards of some lots, in the order given."""
    verdicts: dict[str, Counter[str]] = {}
    for lot, word, n in reader.rows(
        "SELECT lot, word, count(*) FROM graft_now WHERE lot IS NOT NULL GROUP BY lot, word"
    ):
        verdicts.setdefault(lot, Counter())[word] = int(n)
    finds: dict[str, LotFind] = {f.lot: f for f in reader.every(LotFind, order="on_first, id")}
    out = []
    for one in lots:
        counted = verdicts.get(one.thing, Counter())
        find = finds.get(one.thing)
        other = find is not None and not same_word(find.found, one.name)
        out.append(
            LotCard(
                lot=one,
                grafts=sum(counted.values()),
                verdicts=dict(counted),
                found=names.written(find.found) if find is not None and other else "",
                confirmed=find is not None and not other,
            )
        )
    return out


def lot_story(ctx: Context, code: str) -> LotStory:
    """Everything about one lot.

    Raises
    ------
    NotFoundError
    """
    names = ctx.names
    day = ctx.today(ctx.garden())
    with ctx.book.read() as reader:
        lot = reader.by_code(WoodLot, code)
        finds = reader.every(LotFind, "lot = :lot", order="on_first", lot=lot.thing)
        grafts = reader.every(Graft, "lot = :lot", order=f"set_on_first, code LIMIT {GRAFTS_SHOWN}", lot=lot.thing)
        children = reader.every(
            WoodLot,
            "g.lot = :lot AND g.current AND NOT g.withdrawn",
            join="JOIN graft g ON g.thing = wood_lot.from_graft",
            order="wood_lot.cut_first",
            lot=lot.thing,
        )
        return LotStory(
            card=lot_cards(reader, [lot], names)[0],
            finds=tuple(finds),
            grafts=tuple(graft_cards(reader, grafts, names, day)),
            descendants=tuple(lot_cards(reader, children, names)),
            from_words=_from_words(reader, lot),
            photos=tuple(reader.every(Photo, "about = :about", order="on_first DESC", about=lot.thing)),
            past=past_versions(reader, WoodLot, lot.thing),
            mcpd=tuple(passport(ctx.knowledge, lot, finds).items()),
        )


def _from_words(reader: Reader, lot: WoodLot) -> tuple[str, str, str]:
    return (
        reader.get(Tree, lot.from_tree).code if lot.from_tree else "",
        reader.get(Limb, lot.from_limb).address if lot.from_limb else "",
        reader.get(Graft, lot.from_graft).code if lot.from_graft else "",
    )
