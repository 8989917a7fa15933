"""`barkslip night`: what a cold night will hurt, and the least that prevents it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from barkslip.cli.call import Call, common, fields, pass_call, path_of, typed

if TYPE_CHECKING:
    from barkslip.domain.night import NightVerdict

#: Options that need the book.
_OF_THE_BOOK = ("tree", "plot")


@click.command("night", short_help="What a cold night will hurt, and the least that prevents it.")
@fields(
    ("tree", "CODE", "A tree of the book: its size, kind, grafts and plot are taken from there."),
    ("plot", "CODE", "A plot of the book: its offset and its forecast are taken."),
    ("date", "DATE", "Day of the evening; today if left out."),
    ("lat", "DEGREES", "Latitude, south negative. With it and without a tree or plot, no book is needed."),
    ("lon", "DEGREES", "Longitude, west negative."),
    ("utc_offset_h", "HOURS", "Local standard time minus UTC."),
    ("weather", "FILE", "Hours from a weather file instead of typed values."),
    ("sunset_temp", "TEMP", "Air at sunset."),
    ("low", "TEMP", "Lowest air expected."),
    ("dew_point", "TEMP", "Dew point in the evening."),
    ("wind", "SPEED", "Wind through the night."),
    ("cloud", "0..1", "Share of the sky that is covered."),
    ("species", "NAME", "Kind of tree, such as 'sweet orange'; left out, the tenderest is taken."),
    ("height", "LENGTH", "Height of the tree."),
    ("width", "LENGTH", "Width of the tree."),
    ("young_graft", "YES|NO", "Grafts of the last months stand on it."),
    ("flush", "YES|NO", "It is in tender growth."),
    ("bloom", "YES|NO", "It is in flower."),
    ("fruit", "STATE", "none, green, half ripe or ripe."),
    ("chill_h", "HOURS", "Hours of chill in the last 500 h; without it no hardening is counted."),
    ("soil", "KIND", "sand, clay or peat."),
    ("soil_state", "STATE", "dry, moist or saturated."),
    ("ground", "KIND", "bare or grass."),
    ("cover", "KIND", "blanket, fleece_17, fleece_50, tarp, clear_pe, thermal_film ..."),
    ("cover_height", "LENGTH", "Height of the cover; one that fits if left out."),
    ("cover_width", "LENGTH", "Width of the cover."),
    ("skirt", "LENGTH", "How far its foot stands out on each side."),
    ("gap", "LENGTH", "How high it hangs above the ground."),
    ("lamps", "POWER", "100W, 2x60W, or bulbs: '25 c9'."),
    ("lamp", "KIND", "incandescent, halogen, led, ceramic or heat_cable."),
    ("bucket", "VOLUME@TEMP", "Hot water: 19L@60C, 2x19L@60C."),
    ("refills", "N", "How often the buckets are filled anew."),
    ("lid", "YES|NO", "Lid on the buckets; yes if left out."),
    ("water", "VOLUME@TEMP", "Water let run under the tree, an hour: 38L@15C."),
    ("spray", "YES|NO", "It is sprayed, not dripped."),
    ("wrap", "KIND", "paper, foam, fibreglass or bank (soil round the trunk)."),
    ("watered", "YES|NO", "The ground is watered the day before."),
    ("bared", "YES|NO", "Grass and mulch are cleared from under the tree."),
    ("target", "CHANCE", "Chance of harm you would bear: 10% if left out."),
    ("members", "N", "Nights drawn; 400 if left out."),
    ("seed", "N", "Where the draws begin: the same number gives the same answer."),
)
@click.option("--keep", is_flag=True, help="Keep the answer for the morning after: barkslip scores.")
@click.option("--brief", is_flag=True, help="Verdict, what to do and its cautions only.")
@click.option("--sure", multiple=True, metavar="CODE", help="Answer a question with: yes, as typed. May be repeated.")
@common
@pass_call
def command(call: Call, /, keep: bool, brief: bool, **given: Any) -> None:
    """How cold each part of one small tree gets in one night, the chance of harm, and the least that prevents it.

    The night is typed (air at sunset, expected low, dew point, wind, cloud), read from a FILE, or taken from the
    book's forecast. Of the measures named, each is tried alone and together; without any, what a home usually has.
    Plant temperatures are not air temperatures: on a calm clear night leaves lie one to three degrees below the air.
    """
    words = {name: value for name, value in typed(given).items() if value}
    if "weather" in words:
        words["weather"] = str(path_of(words["weather"]))
    verdict = call.write(words, lambda f: _ask(call, f))
    if keep:
        from barkslip.app.scores import keep_answer

        keep_answer(call.open(), verdict)
    if call.as_json:
        from barkslip.domain.units import METRIC
        from barkslip.present.night_data import night_data

        # its keys are in the reader's units already
        call.json(night_data(verdict, call.units), METRIC)
        return
    show(call, verdict, brief=brief)


def _ask(call: Call, words: dict[str, str]) -> NightVerdict:
    from barkslip.app import frost

    typed_all = "lat" in words and not any(words.get(name) for name in _OF_THE_BOOK)
    return frost.ask_night(None if typed_all else call.open(), call.settings(), words)


def show(call: Call, verdict: NightVerdict, *, brief: bool = False) -> None:
    """The answer on the terminal: verdict, what to do, the ladder, and what is not known."""
    from barkslip.present import cautions, night
    from barkslip.present.night_measures import size_text, steps, work_text

    screen, units = call.screen, call.units
    screen.line(night.headline(verdict), "bold")
    screen.line(f"{night.title(verdict)}. {night.coldest_text(verdict, units)}")
    screen.line(f"{night.margin_text(verdict, units)} {night.other_organs(verdict)}".rstrip())
    if night.kind_text(verdict):
        screen.line(night.kind_text(verdict))
    frost = night.frost_text(verdict, units)
    if frost:
        screen.line(frost)
    screen.head(night.least_head(verdict))
    screen.line(night.least_text(verdict, units))
    rung = night.shown_rung(verdict)
    if rung is not None:
        screen.line(" ".join(p for p in (f"{work_text(rung, units)}.", size_text(rung.measures, units)) if p))
        screen.table(("!", ""), steps(verdict, rung), indent=2)
        for code in night.shown_cautions(verdict):
            screen.line(f"! {cautions.line(code)}", indent=2)
        runner = night.runner_text(verdict, units)
        if runner:
            screen.line(runner)
    if not brief:
        _ladder(call, verdict)
        _around(call, verdict)


def _ladder(call: Call, verdict: NightVerdict) -> None:
    """What each set gains; a letter leads to each caution under it."""
    from barkslip.present import cautions, night

    screen, units = call.screen, call.units
    screen.head("What each measure gains tonight")
    codes = [c for c in night.caution_codes(verdict) if c != "estimate_only"]
    letters = {code: "abcdefghijklmnopqrstuvwxyz"[i] for i, code in enumerate(codes)}
    rows = []
    for row in night.ladder_rows(verdict, units):
        name = f"{row.words} ({row.note})" if row.note else row.words
        care = "".join(letters.get(code, "") for code in row.hazards)
        rows.append((name, row.gain, row.chance, row.watts, row.litres, row.work, care))
    gain = f"!Gain {night.difference_unit(units)} (8 in 10)"
    screen.table(("Measures", gain, ">Left", ">W", f">{units.volume}", ">min", "!Care"), rows)
    part = night.organ_words(verdict.worst.organ, verdict.tree)
    screen.line(f"Gain: of {part} at their coldest. Left: chance of harm of the part then most at risk. min: work.")
    screen.table(("!", ""), [(letter, cautions.sentence(code)) for code, letter in letters.items()], indent=2)


def _around(call: Call, verdict: NightVerdict) -> None:
    """What would change it, what is not known, where it comes from."""
    from barkslip.present import cautions, night

    screen, units = call.screen, call.units
    if verdict.would_change:
        part = night.organ_words(verdict.worst.organ, verdict.tree)
        screen.head(f"What would change it, for {part} without measures")
        for words in night.changes(verdict, units):
            screen.line(f"- {words}", indent=2)
    screen.head("What is not known")
    for code in verdict.unknowns:
        screen.table(("!", ""), [("-", cautions.unknown(code))], indent=2)
    screen.head("Where this comes from")
    screen.line(night.air_text(verdict, units))
    screen.line(night.offset_text(verdict, units))
    rows = [
        (
            night.organ_words(o.organ, verdict.tree),
            night.critical_text(o, units),
            night.status_words(o),
            o.critical.source,
        )
        for o in verdict.organs
    ]
    screen.table(("Part", "Harm starts at", "How known", "Source"), rows)
    screen.line(f"{verdict.members} nights drawn, seed {verdict.seed}. {cautions.sentence('estimate_only')}")
