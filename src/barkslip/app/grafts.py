"""Grafts: setting them (one or a whole campaign), logging looks, and their pages."""

from __future__ import annotations

from typing import Any

from barkslip.app.cards import graft_cards
from barkslip.app.context import Context
from barkslip.app.derive import refresh
from barkslip.app.descent import check_descent, check_held
from barkslip.app.door import Door
from barkslip.app.lines import Fields, already, begin, check_code, door, free_code, kept, next_code, old_line
from barkslip.app.names import graft_chain
from barkslip.app.trees import find_limb, find_tree, past_versions
from barkslip.domain.act import Act, Photo
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.cards import GraftCard, GraftStory
from barkslip.domain.errors import InputError, QuestionError
from barkslip.domain.graft import Graft, Look, check_look_day, check_state, check_wood_day
from barkslip.domain.tree import ChainLink, Limb, Tree
from barkslip.fieldbook.reader import Reader
from barkslip.fieldbook.writer import Writer

#: Most grafts that one form sets at once.
MOST_AT_ONCE = 500


def set_grafts(ctx: Context, fields: Fields) -> list[Graft]:
    """Write down one graft, or a whole campaign of equal ones.

    Parameters
    ----------
    fields : mapping
        tree, limbs (addresses, comma-separated; "" for not known), n (grafts a limb), lot or name, method, set_on,
        binding, cover, scion, stock, side, arm, note, campaign, code (for a single one).

    Returns
    -------
    list of Graft
        In the order of the limbs.

    Raises
    ------
    InputError
        If the wood was cut later, a limb is on another tree, or a code is taken. Nothing is written then.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Graft, fields)
        if sent:
            return writer.every(Graft, "campaign = :c AND made_utc = :m", c=sent.campaign, m=sent.made_utc)
        common = _common(writer, at, fields, None)
        tree = find_tree(writer, at.required(fields, "tree", "tree"))
        texts = [t for t in at.text(fields, "limbs").replace(";", ",").split(",") if t.strip()]
        limbs: list[Limb | None] = [find_limb(writer, tree, t) for t in texts] or [None]
        each = at.count(fields, "n", most=MOST_AT_ONCE) or 1
        if each * len(limbs) > MOST_AT_ONCE:
            raise InputError(
                "That is more than one form takes.",
                given=f"{each} on {len(limbs)} limbs",
                allowed=f"{MOST_AT_ONCE} grafts",
                next_step="Split it into several.",
                field="n",
            )
        campaign = at.text(fields, "campaign") or next_code(writer, Graft, "G", "campaign")
        check_code(campaign, "campaign")
        number = _first_free(writer, campaign)
        out: list[Graft] = []
        made = begin(ctx, fields)
        for limb in limbs:
            for _ in range(each):
                line = made if not out else begin(ctx, {}) | {"made_utc": made["made_utc"]}
                single = at.text(fields, "code") if each * len(limbs) == 1 else ""
                code = free_code(writer, Graft, single or f"{campaign}-{number}", None, "graft")
                graft = Graft(
                    **line, **common, code=code, campaign=campaign, tree=tree.thing, limb=limb.thing if limb else None
                )
                writer.append(graft)
                out.append(graft)
                number += 1
        refresh(writer, [tree.thing], ctx.care)
    return out


def _first_free(reader: Reader, campaign: str) -> int:
    codes = [str(r[0]) for r in reader.rows("SELECT code FROM graft WHERE campaign = :c AND current", c=campaign)]
    numbers = [int(c.rpartition("-")[2]) for c in codes if c.rpartition("-")[2].isdigit()]
    return max(numbers, default=0) + 1


def _common(reader: Reader, at: Door, fields: Fields, old: Graft | None) -> dict[str, Any]:
    day = kept(fields, old, "set_on", lambda: at.day(fields, "set_on", "today"))
    lot_thing = kept(fields, old, "lot", lambda: _lot(reader, at.text(fields, "lot")))
    name = kept(fields, old, "name", lambda: at.text(fields, "name"))
    if lot_thing:
        lot = reader.get(WoodLot, lot_thing)
        check_wood_day(day, lot.cut, lot.code)
        if old is None or old.lot != lot_thing:
            check_held(reader, at, lot)
        if lot.lot_state in ("refused", "thrown away") and "refused-wood" not in at.sure:
            raise QuestionError(
                f"Lot {lot.code} is written down as {lot.lot_state}.",
                code="refused-wood",
                answers=(("refused-wood", "it was used all the same"),),
                given=f"{lot.code} {lot.name}",
                allowed="a lot in store",
                next_step="Choose another lot, or say that it was used.",
                field="lot",
            )
    elif not name:
        raise InputError(
            "What was grafted?",
            given="(no wood lot, no name)",
            allowed="a wood lot, or the name of the variety; unknown is an answer",
            next_step="Choose the lot, or write the name.",
            field="lot",
        )
    return {
        "set_on": day,
        "lot": lot_thing,
        "name": name,
        "method": kept(fields, old, "method", lambda: at.required(fields, "method", "method")),
        "binding": kept(fields, old, "binding", lambda: at.text(fields, "binding")),
        "cover": kept(fields, old, "cover", lambda: at.text(fields, "cover")),
        "scion_mm": kept(
            fields, old, "scion", lambda: at.length_mm(fields, "scion", metric="mm", most_mm=200), "scion_mm"
        ),
        "stock_mm": kept(
            fields, old, "stock", lambda: at.length_mm(fields, "stock", metric="mm", most_mm=2000), "stock_mm"
        ),
        "side": kept(fields, old, "side", lambda: at.text(fields, "side")),
        "arm": kept(fields, old, "arm", lambda: at.text(fields, "arm")),
        "note": kept(fields, old, "note", lambda: at.text(fields, "note")),
    }


def _lot(reader: Reader, code: str) -> str | None:
    return reader.by_code(WoodLot, code).thing if code else None


def correct_graft(ctx: Context, code: str, fields: Fields) -> Graft:
    """Correct what is written about a graft.

    Raises
    ------
    InputError
        If a look would be older than the graft.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = old_line(writer, Graft, fields, writer.by_code(Graft, code).thing)
        common = _common(writer, at, fields, old)
        tree = find_tree(writer, fields["tree"]).thing if fields.get("tree") else old.tree
        limb = old.limb if tree == old.tree else None
        if "limb" in fields or "limbs" in fields:
            text = at.text(fields, "limb") or at.text(fields, "limbs")
            limb = find_limb(writer, writer.get(Tree, tree), text).thing if text else None
        new = Graft(
            **begin(ctx, fields, old),
            **common,
            code=free_code(writer, Graft, at.text(fields, "code") or old.code, old, "graft"),
            campaign=kept(fields, old, "campaign", lambda: at.text(fields, "campaign")),
            tree=tree,
            limb=limb,
        )
        for look in writer.every(Look, "graft = :graft", graft=old.thing):
            check_look_day(look.on, new.set_on)
        check_descent(writer, new)
        writer.append(new)
        refresh(writer, [old.tree, new.tree], ctx.care)
    return new


def log_look(ctx: Context, code: str, fields: Fields) -> Look:
    """Write down what was seen at a graft.

    Parameters
    ----------
    fields : mapping
        state, on ("today" if empty), shoot, note, id (made on the phone; sending it again is harmless).

    Raises
    ------
    InputError
        For an unknown state, or a look before the graft.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        sent = already(writer, Look, fields)
        if sent:
            return sent
        graft = writer.by_code(Graft, code)
        look = Look(**begin(ctx, fields), graft=graft.thing, **_look_values(at, fields, None))
        check_look_day(look.on, graft.set_on)
        writer.append(look)
        refresh(writer, [graft.tree], ctx.care)
    return look


def _look_values(at: Door, fields: Fields, old: Look | None) -> dict[str, Any]:
    return {
        "state": kept(fields, old, "state", lambda: check_state(at.text(fields, "state"))),
        "on": kept(fields, old, "on", lambda: at.day(fields, "on", "today")),
        "shoot_mm": kept(
            fields, old, "shoot", lambda: at.length_mm(fields, "shoot", metric="cm", most_mm=20_000), "shoot_mm"
        ),
        "note": kept(fields, old, "note", lambda: at.text(fields, "note")),
    }


def correct_look(ctx: Context, look: str, fields: Fields) -> Look:
    """Correct a look: a new line that names the old one.

    Parameters
    ----------
    look : str
        Id of the line to be corrected.
    """
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = writer.line(Look, look)
        graft = writer.get(Graft, old.graft)
        new = Look(**begin(ctx, fields, old), graft=old.graft, **_look_values(at, fields, old))
        check_look_day(new.on, graft.set_on)
        writer.append(new)
        refresh(writer, [graft.tree], ctx.care)
    return new


def list_grafts(
    ctx: Context, *, word: str = "", campaign: str = "", plot: str = "", page: int = 1, size: int = 50
) -> tuple[list[GraftCard], int]:
    """A page of graft cards in walking order, and how many there are in all.

    Parameters
    ----------
    word : str
        Only grafts with this verdict.
    campaign, plot : str
        Only grafts of this campaign; in this plot (code).
    page : int
        From 1.
    """
    names = ctx.names
    day = ctx.today(ctx.garden())
    where = ["1"]
    values: dict[str, Any] = {}
    for column, value in (("n.word", word), ("n.campaign", campaign), ("p.code", plot)):
        if value:
            key = column.replace(".", "_")
            where.append(f"{column} = :{key}")
            values[key] = value
    join = "JOIN plot p ON p.thing = n.plot AND p.current" if plot else ""
    with ctx.book.read() as reader:
        sql = f"FROM graft_now n {join} WHERE {' AND '.join(where)}"
        total = int(reader.rows(f"SELECT count(*) {sql}", **values)[0][0])
        things = [
            str(r[0])
            for r in reader.rows(
                f"SELECT n.graft {sql} ORDER BY n.walk_key LIMIT :size OFFSET :skip",
                **values,
                size=size,
                skip=(max(page, 1) - 1) * size,
            )
        ]
        found = reader.many(Graft, things)
        return graft_cards(reader, [found[t] for t in things if t in found], names, day), total


def graft_story(ctx: Context, code: str) -> GraftStory:
    """Everything about one graft, with the weather it has had.

    Raises
    ------
    NotFoundError
    """
    from barkslip.app.weather import weather_since

    names = ctx.names
    garden = ctx.garden()
    day = ctx.today(garden)
    with ctx.book.read() as reader:
        graft = reader.by_code(Graft, code)
        card = graft_cards(reader, [graft], names, day)[0]
        lot = reader.get(WoodLot, graft.lot) if graft.lot else None
        finds = reader.every(LotFind, "lot = :lot", order="on_first", lot=lot.thing) if lot else []
        links = reader.every(ChainLink, "tree = :tree", tree=graft.tree)
        siblings = reader.every(Graft, "campaign = :c", order="code", c=graft.campaign)[:60] if graft.campaign else []
        return GraftStory(
            card=card,
            chain=graft_chain(graft, lot, finds, card.limb, links, names),
            lot=lot,
            finds=tuple(finds),
            looks=tuple(reader.every(Look, "graft = :graft", order="on_first DESC, id DESC", graft=graft.thing)),
            acts=tuple(reader.every(Act, "graft = :graft", order="on_first DESC, id DESC", graft=graft.thing)),
            photos=tuple(reader.every(Photo, "about = :about", order="on_first DESC", about=graft.thing)),
            weather=weather_since(ctx, reader, card.plot, graft.set_on.first, day, garden),
            past=(*past_versions(reader, Graft, graft.thing), *_past_looks(reader, graft)),
            siblings=tuple(c for c in graft_cards(reader, siblings, names, day) if c.graft.thing != graft.thing),
        )


def _past_looks(reader: Writer | Reader, graft: Graft) -> tuple[Any, ...]:
    corrected = reader.rows(
        "SELECT DISTINCT thing FROM look WHERE graft = :graft AND corrects IS NOT NULL", graft=graft.thing
    )
    return tuple(v for (thing,) in corrected for v in past_versions(reader, Look, str(thing)))


def campaigns(ctx: Context) -> list[str]:
    """Names of all campaigns, newest first; the hundred newest of a big garden."""
    with ctx.book.read() as reader:
        rows = reader.rows(
            """SELECT campaign, max(set_on_first) AS day FROM graft WHERE current AND NOT withdrawn AND campaign <> ''
               GROUP BY campaign ORDER BY day DESC LIMIT 100"""
        )
    return [str(r[0]) for r in rows]


def plot_choices(ctx: Context) -> tuple[tuple[str, str], ...]:
    """(code, name) of all plots in walking order."""
    from barkslip.app.garden import plots_in_order

    with ctx.book.read() as reader:
        return tuple((p.code, p.name) for p in plots_in_order(reader))


def code_of(ctx: Context, thing: str) -> str:
    """Code of the graft with a thing id."""
    with ctx.book.read() as reader:
        return reader.get(Graft, thing).code
