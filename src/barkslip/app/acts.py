"""Acts, events and photos."""

from __future__ import annotations

from typing import Any

from barkslip.app.context import Context
from barkslip.app.derive import refresh
from barkslip.app.door import Door
from barkslip.app.lines import Fields, already, begin, door, kept
from barkslip.app.trees import find_limb, find_tree
from barkslip.domain.act import EVENTS, Act, Event, Photo, check_act
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.graft import Graft
from barkslip.domain.tree import Limb
from barkslip.domain.units import parse_quantity
from barkslip.fieldbook.reader import Reader


def log_act(ctx: Context, fields: Fields) -> Act:
    """Write down something done.

    Parameters
    ----------
    fields : mapping
        kind, one of graft / tree (with or without limb) / plot (codes), on, amount (water), count, detail, note, id.

    Raises
    ------
    InputError
        For an unknown kind, if not exactly one target is named, or if a test of the bark says nothing of the bark.
    """
    at = door(ctx, fields)
    named = [k for k in ("graft", "tree", "plot") if at.text(fields, k)]
    kind = check_act(at.text(fields, "kind"), len(named))
    if kind == "bark test" and named[0] != "tree":
        raise _no_bark_there(named[0])
    day = at.day(fields, "on", "today")
    with ctx.book.write() as writer:
        sent = already(writer, Act, fields)
        if sent:
            return sent
        target, tree = _target(writer, fields, named[0])
        act = Act(**begin(ctx, fields), kind=kind, on=day, **target, **_details(at, fields, None, kind))
        if act.graft:
            _after_setting(writer, act)
        writer.append(act)
        if tree:
            refresh(writer, [tree], ctx.care)
    return act


def _no_bark_there(named: str) -> InputError:
    return InputError(
        "The bark is tested on a tree or one of its limbs.",
        given=f"a {named}",
        allowed="a tree, with or without a limb",
        next_step="Name the tree that is to be grafted on, and the limb if only one was tested.",
        field="target",
    )


def _details(at: Door, fields: Fields, old: Act | None, kind: str) -> dict[str, Any]:
    def detail() -> str:
        typed = at.text(fields, "detail")
        if kind != "bark test":
            return typed
        from barkslip.domain.timing import bark_test

        return bark_test(typed, field="detail")

    def amount() -> float | None:
        typed = at.text(fields, "amount")
        return parse_quantity(typed, "volume", default_unit=at.units.volume, field="amount") if typed else None

    return {
        "amount_l": kept(fields, old, "amount", amount, "amount_l"),
        "count": kept(fields, old, "count", lambda: at.count(fields, "count", most=10_000)),
        "detail": kept(fields, old, "detail", detail),
        "note": kept(fields, old, "note", lambda: at.text(fields, "note")),
    }


def _target(reader: Reader, fields: Fields, named: str) -> tuple[dict[str, Any], str | None]:
    text = fields[named].strip()
    if named == "graft":
        graft = reader.by_code(Graft, text)
        return {"graft": graft.thing}, graft.tree
    if named == "plot":
        return {"plot": reader.by_code(Plot, text).thing}, None
    tree = find_tree(reader, text)
    limb = fields.get("limb", "").strip()
    if limb:
        return {"limb": find_limb(reader, tree, limb).thing}, tree.thing
    return {"tree": tree.thing}, tree.thing


def _after_setting(reader: Reader, act: Act) -> None:
    graft = reader.get(Graft, act.graft or "")
    if act.on.last < graft.set_on.first:
        raise InputError(
            "That was done before the graft was set.",
            given=f"{act.kind} on {act.on.iso()}, graft {graft.code} set {graft.set_on.iso()}",
            allowed=f"{graft.set_on.first.isoformat()} or later",
            next_step="Correct the day, or write it down for the limb or the tree.",
            field="on",
        )


def correct_act(ctx: Context, act: str, fields: Fields) -> Act:
    """Correct an act: a new line that names the old one."""
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = writer.line(Act, act)
        kind = kept(fields, old, "kind", lambda: check_act(at.text(fields, "kind"), 1))
        day = kept(fields, old, "on", lambda: at.day(fields, "on", "today"))
        if kind == "bark test":
            if old.graft or old.plot:
                raise _no_bark_there("graft" if old.graft else "plot")
            fields = {"detail": old.detail, **fields}
        new = Act(
            **begin(ctx, fields, old), kind=kind, on=day, graft=old.graft, limb=old.limb, tree=old.tree,
            plot=old.plot, **_details(at, fields, old, kind),
        )  # fmt: skip
        if new.graft:
            _after_setting(writer, new)
        writer.append(new)
        tree = tree_of_act(writer, new)
        if tree:
            refresh(writer, [tree], ctx.care)
    return new


def tree_of_act(reader: Reader, act: Act) -> str | None:
    """Thing id of the tree an act concerns."""
    if act.graft:
        return reader.get(Graft, act.graft).tree
    if act.limb:
        return reader.get(Limb, act.limb).tree
    return act.tree


def log_event(ctx: Context, fields: Fields) -> Event:
    """Write down something that happened.

    Parameters
    ----------
    fields : mapping
        kind, on, text, plots (codes, comma-separated), tree.
    """
    at = door(ctx, fields)
    kind = at.choice(fields, "kind", EVENTS, "note")
    day = at.day(fields, "on", "today")
    text = at.required(fields, "text", "note")
    with ctx.book.write() as writer:
        sent = already(writer, Event, fields)
        if sent:
            return sent
        codes = [c.strip() for c in at.text(fields, "plots").split(",") if c.strip()]
        tree = at.text(fields, "tree")
        event = Event(
            **begin(ctx, fields),
            kind=kind,
            on=day,
            text=text,
            plots=tuple(writer.by_code(Plot, c).thing for c in codes),
            tree=find_tree(writer, tree).thing if tree else None,
        )
        writer.append(event)
    return event


def correct_event(ctx: Context, event: str, fields: Fields) -> Event:
    """Correct an event: a new line that names the old one."""
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = writer.line(Event, event)
        codes = [c.strip() for c in at.text(fields, "plots").split(",") if c.strip()]
        tree = at.text(fields, "tree")
        new = Event(
            **begin(ctx, fields, old),
            kind=kept(fields, old, "kind", lambda: at.choice(fields, "kind", EVENTS)),
            on=kept(fields, old, "on", lambda: at.day(fields, "on", "today")),
            text=kept(fields, old, "text", lambda: at.required(fields, "text", "note")),
            plots=kept(fields, old, "plots", lambda: tuple(writer.by_code(Plot, c).thing for c in codes)),
            tree=kept(fields, old, "tree", lambda: find_tree(writer, tree).thing if tree else None),
            figures=old.figures,
        )
        writer.append(new)
    return new


def correct_photo(ctx: Context, photo: str, fields: Fields) -> Photo:
    """Correct day or words of a picture; the picture itself stays."""
    at = door(ctx, fields)
    with ctx.book.write() as writer:
        old = writer.line(Photo, photo)
        new = Photo(
            **begin(ctx, fields, old),
            file=old.file,
            on=kept(fields, old, "on", lambda: at.day(fields, "on", "today")),
            about=old.about,
            caption=kept(fields, old, "caption", lambda: at.text(fields, "caption")),
            width_px=old.width_px,
            height_px=old.height_px,
        )
        writer.append(new)
    return new


def all_events(ctx: Context) -> list[Event]:
    """Events, newest first."""
    with ctx.book.read() as reader:
        return reader.every(Event, order="on_first DESC, id DESC")


def keep_photo(ctx: Context, fields: Fields, data: bytes) -> Photo:
    """Keep a picture in the book's folder and write it down.

    Parameters
    ----------
    fields : mapping
        about (thing id), on, caption.
    data : bytes
        The file as sent.

    Raises
    ------
    InputError
        If it is no picture, or too big.
    """
    from barkslip.fieldbook.photos import keep

    at = door(ctx, fields)
    day = at.day(fields, "on", "today")
    caption = at.text(fields, "caption")
    about = at.required(fields, "about", "thing on the picture")
    with ctx.book.read() as reader:
        reader.kind_of(about)
    file, width, height = keep(ctx.book.files, data)
    with ctx.book.write() as writer:
        sent = already(writer, Photo, fields)
        if sent:
            return sent
        photo = Photo(
            **begin(ctx, fields), file=file, on=day, about=about, caption=caption, width_px=width, height_px=height
        )
        writer.append(photo)
    return photo


def address_of(ctx: Context, act: Act) -> str:
    """Where in the app an act is seen."""
    from barkslip.domain.tree import Tree

    with ctx.book.read() as reader:
        if act.graft:
            return f"/grafts/{reader.get(Graft, act.graft).code}"
        tree = tree_of_act(reader, act)
        return f"/trees/{reader.get(Tree, tree).code}" if tree else "/"


def photo_file(ctx: Context, name: str, *, thumb: bool = False) -> str:
    """Path of a kept picture.

    Raises
    ------
    NotFoundError
    """
    import re

    from barkslip.domain.errors import NotFoundError

    folder = ctx.book.files.photos / "thumbs" if thumb else ctx.book.files.photos
    path = folder / name
    if not re.fullmatch(r"[0-9a-f]{64}\.(jpg|png|webp)", name) or not path.is_file():
        raise NotFoundError("There is no such picture.", given=name, next_step="Run: barkslip book check")
    return str(path)


def address_of_thing(ctx: Context, thing: str) -> str:
    """Where in the app a thing is seen; "/" if it has no page."""
    from barkslip.domain.budwood import WoodLot
    from barkslip.domain.tree import Tree

    with ctx.book.read() as reader:
        kind = reader.kind_of(thing)
        if kind == "graft":
            return f"/grafts/{reader.get(Graft, thing).code}"
        if kind == "tree":
            return f"/trees/{reader.get(Tree, thing).code}"
        if kind == "limb":
            return f"/trees/{reader.get(Tree, reader.get(Limb, thing).tree).code}"
        if kind == "wood_lot":
            return f"/wood/{reader.get(WoodLot, thing).code}"
    return "/"
