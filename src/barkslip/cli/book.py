"""`barkslip book`: the book as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, Noun, common, fields, pass_call, path_of, typed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from barkslip.domain.book import Finding

#: Nouns counted in a glance, in the order said.
_NOUNS = (
    ("plot", "plot"), ("tree", "tree"), ("limb", "limb"), ("wood_lot", "wood lot"), ("graft", "graft"),
    ("look", "look"), ("act", "act"), ("event", "event"), ("tasting", "tasting"), ("photo", "photo"),
    ("record", "weather series"),
)  # fmt: skip


@click.group("book", cls=Noun, short_help="The book as a whole: begin, check, back up, carry over.")
@common
def command() -> None:
    """The book as a whole: begin one, check it, back it up, carry it to another machine."""


def things_words(things: Mapping[str, int]) -> str:
    """ "12 trees, 87 grafts, 640 looks"."""
    from barkslip.present.counts import listed, many

    return (
        listed(
            many(things[noun], word, "weather series" if noun == "record" else "")
            for noun, word in _NOUNS
            if things.get(noun)
        )
        or "nothing yet"
    )


@command.command("new", short_help="Begin a book.")
@click.argument("name")
@fields(
    ("lat", "DEGREES", "Latitude, north positive; two decimals are enough."),
    ("lon", "DEGREES", "Longitude, east positive."),
    ("utc_offset_h", "HOURS", "Your standard time minus UTC, without summer time."),
    ("elevation_m", "METRES", "Height above the sea."),
    ("date_order", "ORDER", "How you write 3/4/2024: dmy or mdy; asked if left out."),
    ("plot", "NAME", "Name of the first plot; Garden if left out."),
)
@common
@pass_call
def new(call: Call, /, **given: Any) -> None:
    """Begin a book for the garden NAME. --units says what you type when no unit is named."""
    from barkslip.app.garden import new_book

    settings = call.settings()
    words = typed(given)
    if call.flags.get("units"):
        words["units"] = str(call.flags["units"])
    ctx = call.hold(call.write(words, lambda f: new_book(settings, f)))
    garden = ctx.garden()
    if call.as_json:
        call.json({"garden": garden, "folder": str(settings.book)})
        return
    call.say(f"The book of {garden.name} is begun: {settings.book}")
    call.say("Next: barkslip tree new NAME")


@command.command("where", short_help="Where the book lies.")
@common
@pass_call
def where(call: Call) -> None:
    """Where the book lies, and whether there is one."""
    from barkslip.app.book import exists

    settings = call.settings()
    there = exists(settings)
    if call.as_json:
        call.json({"folder": str(settings.book), "exists": there})
        return
    call.say(f"{settings.book}" + ("" if there else "\nThere is no book there yet. Begin one: barkslip book new NAME"))


@command.command("state", short_help="What it holds, how big it is, when it was last backed up.")
@common
@pass_call
def state(call: Call) -> None:
    """What the book holds, how big it is, and when it was last backed up."""
    from barkslip.app import book

    glance = book.state(call.open())
    if call.as_json:
        call.json({"book": glance})
        return
    from barkslip.present.lists import size_text

    made = f"{glance.last_backup:%Y-%m-%d %H:%M} UTC" if glance.last_backup else "none yet"
    call.say(f"Folder   {glance.folder}")
    rows = [
        ("Holds", f"{things_words(glance.things)}; {glance.lines} lines in all, older versions included"),
        ("Size", f"{size_text(glance.size_bytes)}, photos {size_text(glance.photo_bytes)}"),
        ("Backups", f"{glance.backups}, the newest: {made}"),
    ]
    call.screen.table(("!", ""), rows)


@command.command("check", short_help="Look through everything in it.")
@click.option("--repair", is_flag=True, help="Work out anew what was only worked out; facts are not touched.")
@common
@pass_call
def check(call: Call, repair: bool) -> None:
    """Look through everything in the book. Changes nothing; ends with 4 if something is broken or out of date."""
    from barkslip.app import book

    ctx = call.open()
    righted = book.repair(ctx) if repair else 0
    found = book.check(ctx)
    bad = any(f.grade != "doubtful" for f in found)
    if call.as_json:
        call.json({"sound": not bad, "righted": righted, "findings": found})
    else:
        if repair:
            call.say(f"Put right: {righted}.")
        _findings(call, found)
    if bad:
        raise click.exceptions.Exit(4)


def _findings(call: Call, found: tuple[Finding, ...]) -> None:
    from barkslip.domain.book import GRADES
    from barkslip.present.counts import many

    if not found:
        call.say("The book is sound.")
        return
    for grade, words in GRADES.items():
        mine = [f for f in found if f.grade == grade]
        if not mine:
            continue
        call.screen.line(f"{grade.capitalize()}, {many(len(mine), 'finding')}: {words}.", "bold")
        for one in mine[:40]:
            call.screen.line(f"{one.what} ({one.where})", indent=2)
        for step in dict.fromkeys(f.next_step for f in mine):
            call.screen.line(f"Next: {step}", indent=2)
        if len(mine) > 40:
            call.screen.line(f"... and {len(mine) - 40} more; all of them with --json", indent=2)


@command.command("backup", short_help="Make a backup now.")
@common
@pass_call
def backup(call: Call) -> None:
    """Make a backup now. It is checked, and kept until you throw it away. Photos are not in it."""
    from barkslip.app import book

    path = book.back_up(call.open())
    if call.as_json:
        call.json({"backup": str(path), "size_bytes": path.stat().st_size})
        return
    call.say(f"Backed up and checked: {path}")
    call.say("It lies on the same disk. Copy it, and the photos folder, to another one.")


@command.command("restore", short_help="Put a backup in the book's place.")
@click.argument("backup", required=False)
@click.option("--list", "listed", is_flag=True, help="Only list the backups there are.")
@common
@pass_call
def restore(call: Call, backup: str | None, listed: bool) -> None:
    """Put the newest backup, or the one named BACKUP, in the book's place. The book as it is now is kept aside."""
    from barkslip.app import book

    settings = call.settings()
    if listed:
        names = [p.name for p in book.backups(settings)]
        if call.as_json:
            call.json({"backups": names})
        else:
            call.say("\n".join(names) or "No backup has been made yet.")
        return
    used, aside = book.restore(settings, path_of(backup) if backup else None)
    if call.as_json:
        call.json({"backup": str(used), "kept_aside": str(aside) if aside else None})
        return
    call.say(f"The book is now as in {used.name}.")
    if aside:
        call.say(f"As it was before, it is kept here: {aside}")


@command.command("export", short_help="Write everything into a folder of plain files.")
@click.argument("folder")
@common
@pass_call
def export(call: Call, folder: str) -> None:
    """Write everything in the book into FOLDER (new or empty), as plain files to be read without barkslip."""
    from barkslip.app import book

    report = book.export(call.open(), path_of(folder))
    if call.as_json:
        call.json({"export": report})
        return
    from barkslip.present.counts import many

    call.say(
        f"Written into {report.folder}: {sum(report.lines.values())} lines, {report.readings} weather readings, "
        f"{many(report.photos, 'photo')}, {many(report.files, 'file')}."
    )
    call.say("README.txt in it says what is what.")
    for words in report.left_out:
        call.say(f"Left out: {words}")


@command.command("import", short_help="Begin a book from an exported folder.")
@click.argument("folder")
@common
@pass_call
def import_(call: Call, folder: str) -> None:
    """Begin a book from an exported FOLDER: all of it or nothing. There must be no book yet where --book says."""
    from barkslip.app import book

    settings = call.settings()
    report = book.import_folder(settings, path_of(folder))
    if call.as_json:
        call.json({"import": report})
        return
    same = "It is the very same book." if report.same else "It is not the very same book."
    call.say(
        f"Read into {report.folder}: {sum(report.lines.values())} lines, {report.readings} weather readings. {same}"
    )
    for words in report.ignored:
        call.say(f"Not known here, left out: {words}")
    for words in report.filled:
        call.say(f"Not in the folder, filled with what is usual: {words}")
