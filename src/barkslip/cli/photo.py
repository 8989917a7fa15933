"""`barkslip photo`: pictures."""

from __future__ import annotations

from typing import Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, path_of, typed, writing


@click.group("photo", cls=Noun, short_help="Keep pictures in the book.")
@common
def command() -> None:
    """Pictures of grafts, trees and wood lots, kept in the book's folder."""


@command.command("add", short_help="Keep a picture.")
@click.argument("file")
@click.option("--graft", metavar="CODE", help="What is on it: this graft,")
@click.option("--tree", metavar="CODE", help="or this tree,")
@click.option("--limb", metavar="ADDRESS", help="or this limb of the tree,")
@click.option("--lot", metavar="CODE", help="or this wood lot.")
@fields(("on", "DATE", "Day it was taken; today if left out."), ("caption", "TEXT", "What is to be seen."))
@writing
@common
@pass_call
def add(
    call: Call, /, file: str, graft: str | None, tree: str | None, limb: str | None, lot: str | None, **given: Any
) -> None:
    """Keep the picture FILE (JPEG, PNG or WebP). Place and camera data are taken out of it."""
    from barkslip.app.acts import keep_photo
    from barkslip.domain.errors import InputError

    if sum(bool(named) for named in (graft, tree, lot)) != 1:
        raise InputError(
            "A photo is of one thing.",
            given=", ".join(n for n in (graft, tree, lot) if n) or "(nothing)",
            allowed="one graft, tree (with or without its limb) or wood lot",
            next_step="Name exactly one: --graft, --tree or --lot.",
        )
    ctx = call.open()
    data = _bytes(file)
    words = typed(given) | {"about": _thing(call, graft, tree, limb, lot)}
    photo = call.write(words, lambda f: keep_photo(ctx, f, data))
    if call.as_json:
        call.json({"photo": photo})
    else:
        call.say(f"Kept, {photo.width_px} by {photo.height_px} pixels: {photo.file}")
    call.backed_up()


def _bytes(file: str) -> bytes:
    from barkslip.domain.errors import InputError

    try:
        return path_of(file).read_bytes()
    except OSError as error:
        raise InputError(
            "The picture cannot be read.",
            given=f"{file}: {error.strerror}",
            allowed="a JPEG, PNG or WebP file",
            next_step="Check the path.",
            field="file",
        ) from None


def _thing(call: Call, graft: str | None, tree: str | None, limb: str | None, lot: str | None) -> str:
    """Thing id of what is on the picture."""
    from barkslip.app.trees import find_limb, find_tree
    from barkslip.domain.budwood import WoodLot
    from barkslip.domain.graft import Graft

    with call.open().book.read() as reader:
        if graft:
            return reader.by_code(Graft, graft).thing
        if lot:
            return reader.by_code(WoodLot, lot).thing
        found = find_tree(reader, tree or "")
        return find_limb(reader, found, limb).thing if limb else found.thing
