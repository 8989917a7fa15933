"""Wrapped grafts in sun: typed, of the demo's hot days, and all plots at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from barkslip.app.context import Context
from barkslip.app.heat import ask_heat, danger, danger_kept
from barkslip.app.heat_book import cover_of
from barkslip.app.lines import begin
from barkslip.app.settings import Settings
from barkslip.domain.act import Act
from barkslip.domain.errors import BarkslipError, InputError, NotFoundError
from barkslip.domain.graft import Graft
from barkslip.domain.heat import GRAFT_COVERS, HeatVerdict, Wrap
from barkslip.domain.when import on

NOWHERE = Settings(Path("/none"))
TYPED = {
    "lat": "-33.6", "lon": "21", "date": "2026-01-10", "air_max": "38", "air_min": "20", "wind": "0.5", "rh_min": "20",
    "members": "60", "seed": "1",
}  # fmt: skip
HOT = date(2021, 11, 30)


def typed(**fields: str) -> HeatVerdict:
    return ask_heat(None, NOWHERE, TYPED | fields)


def ask(ctx: Context, **fields: str) -> HeatVerdict:
    return ask_heat(ctx, ctx.settings, {"members": "40", "seed": "1", "date": HOT.isoformat(), **fields})


def middle(verdict: HeatVerdict) -> dict[str, float]:
    return {d.wrap.cover: d.excess_over_air_k.p50 for d in verdict.covers}


def test_three_covers_of_the_trade_are_ranked() -> None:
    """Common practice: foil much cooler than paper, paper hotter than film alone."""
    verdict = typed(cover="brown_bag,film,foil_sleeve")
    assert [d.wrap.cover for d in verdict.covers] == ["foil_sleeve", "film", "brown_bag"]
    excess = middle(verdict)
    assert excess["foil_sleeve"] + 1.0 < excess["film"] < excess["brown_bag"] - 1.0
    assert verdict.air.high_c == 38.0 and verdict.air.source == "typed" and verdict.plot == ""
    assert "cloud_guessed" in verdict.unknowns and "wind_guessed" not in verdict.unknowns
    assert verdict.members == 60 and verdict.knowledge_hash


def test_all_covers_if_none_is_named() -> None:
    verdict = typed(members="20")
    assert {d.wrap.cover for d in verdict.covers} == set(GRAFT_COVERS)
    assert typed(members="20") == verdict


def test_the_hot_bark_faces_the_sun_of_the_afternoon_on_either_side_of_the_equator() -> None:
    south = {f.face: f.bark_max_c.p50 for f in typed(cover="film").faces}
    north = {f.face: f.bark_max_c.p50 for f in typed(cover="film", lat="33.6", date="2026-07-10").faces}
    assert max(south, key=south.__getitem__) in ("W", "NW")
    assert max(north, key=north.__getitem__) in ("W", "SW")
    assert south["NW"] > south["SE"] + 3.0 and north["SW"] > north["NE"] + 3.0


def test_a_graft_of_the_book_brings_its_plot_its_size_and_its_cover(shown_demo: Context) -> None:
    with shown_demo.book.read() as reader:
        graft = next(g for g in reader.every(Graft, order="code") if g.cover == "brown paper bag")
    verdict = ask(shown_demo, graft=graft.code, date="2021-11-30", cover="film")
    assert verdict.graft.name == graft.code and verdict.plot == "YARD"
    assert verdict.graft.bearing_deg is not None
    assert verdict.air.high_c == pytest.approx(41.2) and verdict.air.source == "measured"
    assert verdict.now is not None and verdict.covers[verdict.now].wrap == Wrap("brown_bag")
    assert [d.wrap.cover for d in verdict.covers] == ["film", "brown_bag"]
    assert verdict.danger == "act"


def test_a_cover_counts_on_the_days_it_was_on(demo: Context) -> None:
    with demo.book.read() as reader:
        graft = next(g for g in reader.every(Graft, order="code") if g.cover == "foil sleeve")
    with demo.book.write() as writer:
        for act in writer.every(Act, "graft = :graft", graft=graft.thing):
            writer.append(replace(act, **begin(demo, {}, act), withdrawn=True))
        for kind, day, detail in (
            ("cover off", date(2025, 2, 1), ""), ("cover on", date(2025, 3, 1), "brown paper bag"),
        ):  # fmt: skip
            writer.append(Act(**begin(demo, {}), kind=kind, on=on(day), graft=graft.thing, detail=detail))
    with demo.book.read() as reader:
        found = [
            cover_of(reader, [graft], day).get(graft.thing, "")
            for day in (date(2025, 1, 1), date(2025, 2, 10), date(2025, 3, 10))
        ]
    assert found == ["foil sleeve", "", "brown paper bag"]
    assert ask(demo, graft=graft.code, date="2025-02-10", cover="film").graft.now == Wrap("film")


def test_what_is_asked_of_tomorrow_is_the_forecast(shown_demo: Context) -> None:
    verdict = ask_heat(shown_demo, shown_demo.settings, {"plot": "WALL", "members": "20", "cover": "film"})
    assert (verdict.air.day, verdict.air.source, verdict.plot) == ("2025-07-01", "forecast", "WALL")
    assert verdict.danger == "none" and "stale_forecast" not in verdict.unknowns


def test_own_loggers_are_taken_in_and_can_be_left_out(shown_demo: Context) -> None:
    fields = {"plot": "YARD", "cover": "foil_pouch, white_bag"}
    learned, plain = ask(shown_demo, **fields), ask(shown_demo, **fields, learn="no")
    by = {d.wrap.cover: d for d in learned.covers}
    assert by["foil_pouch"].learned_days >= 5 and by["white_bag"].learned_days == 0
    assert {d.learned_days for d in plain.covers} == {0}
    # the logger read more than the model's middle: the answer leans that way
    assert middle(learned)["foil_pouch"] > middle(plain)["foil_pouch"]
    assert middle(learned)["white_bag"] == middle(plain)["white_bag"]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"lat": ""},
            "The place is not known, so neither is the sun: north or south of the equator is the first thing it needs."
            "\nAllowed: a latitude, −90 to 90, south negative; two decimals are enough\n"
            "Next: Give the latitude, or fill in the garden's place.",
        ),
        ({"wind": "-0.5"}, "That number cannot be.\nGiven: -0.5\nAllowed: 0 to 60 m/s\n"
                           "Next: Check the wind and its unit."),
        ({"target": "140"}, "That number cannot be.\nGiven: 140 %\nAllowed: 0 to 100 %\n"
                            "Next: Check the number and its unit."),
        ({"weather": "/none.csv"}, "There is no such weather file.\nGiven: /none.csv\nAllowed: a file of hours: EPW, "
                                   "TMY, ISD-Lite, NetCDF, or a table\nNext: Check the path."),
    ],
)  # fmt: skip
def test_what_is_refused(fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask_heat(None, NOWHERE, {k: v for k, v in (TYPED | fields).items() if v})
    assert caught.value.message == message


def test_a_graft_that_is_not_there(shown_demo: Context) -> None:
    with pytest.raises(NotFoundError):
        ask(shown_demo, graft="G99-1")
    with pytest.raises(BarkslipError) as caught:
        ask(shown_demo, plot="YARD", date="2031-01-01")
    assert caught.value.problem == "Nothing is known about the air of that day."


def test_every_plot_has_its_line_and_the_worst_graft_is_named(shown_demo: Context) -> None:
    lines = danger(shown_demo, HOT)
    assert [p.plot_code for p in lines] == ["YARD", "WALL", "BENCH", "LOW"]
    yard, wall = lines[0], lines[1]
    assert (yard.day, yard.danger, yard.cover) == ("2021-11-30", "act", "brown paper bag")
    assert yard.chance is not None and yard.chance > 0.3
    assert yard.high_c is not None and yard.high_c.p10 < 41.2 < yard.high_c.p90
    # no graft stood there: its heat is said, its danger is not
    assert wall.high_c is not None and wall.high_c.p50 == pytest.approx(44.2)
    assert (wall.graft_code, wall.danger, wall.chance) == ("", "", None)


def test_tomorrow_in_winter_nothing_is_in_danger(shown_demo: Context) -> None:
    lines = danger(shown_demo)
    assert {p.day for p in lines} == {"2025-07-01"}
    assert {p.danger for p in lines} <= {"none", ""}
    assert [p.graft_code != "" for p in lines] == [True, False, False, True]


def test_a_day_without_weather_is_said_and_is_no_error(shown_demo: Context) -> None:
    lines = danger(shown_demo, date(2031, 1, 1))
    assert {(p.words, p.high_c) for p in lines} == {(("no_forecast",), None)}


def test_lines_are_kept_until_a_graft_changes(demo: Context) -> None:
    assert danger_kept(demo, HOT) is None
    lines = danger(demo, HOT)
    assert danger_kept(demo, HOT) is lines and danger(demo, HOT) is lines
    assert danger_kept(demo, date(2021, 12, 1)) is None
    with demo.book.write() as writer:
        graft = writer.by_code(Graft, lines[0].graft_code)
        writer.append(Act(**begin(demo, {}), kind="cover off", on=on(date(2021, 11, 29)), graft=graft.thing))
    assert danger_kept(demo, HOT) is None
    assert danger(demo, HOT) is not lines
