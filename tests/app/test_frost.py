"""Cold nights of the demo: still and windy ones, plots that differ, what the book knows of a tree."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.app.context import Context
from barkslip.app.frost import after_freeze, ask_night, tonight
from barkslip.domain.errors import BarkslipError, QuestionError
from barkslip.domain.night import NightVerdict

TYPED = {
    "lat": "36.1", "date": "2026-01-15", "sunset_temp": "5", "low": "-4", "dew_point": "-4.5", "wind": "0.5",
    "cloud": "0", "species": "sweet orange", "height": "2", "width": "1.5", "members": "150", "seed": "1",
}  # fmt: skip


def ask(ctx: Context, **fields: str) -> NightVerdict:
    return ask_night(ctx, ctx.settings, {"members": "150", "seed": "1", **fields})


def gain(verdict: NightVerdict, cover: str) -> float:
    return next(r.gain_k.p50 for r in verdict.ladder if r.measures.parts == ("cover",) and r.measures.cover == cover)


def test_the_black_frost_is_windy_and_gives_covers_less_than_a_still_night(shown_demo: Context) -> None:
    windy = ask(shown_demo, tree="T03", date="2024-06-10")
    still = ask(shown_demo, tree="T03", date="2024-08-31")
    assert windy.frost == "windy frost"
    assert still.frost == "still frost"
    assert gain(windy, "blanket") < gain(still, "blanket") - 0.3


def test_what_was_measured_is_what_the_night_is_judged_by(shown_demo: Context) -> None:
    found = ask(shown_demo, tree="T03", date="2022-06-29")
    assert found.air.source == "measured"
    assert found.air.low_c == pytest.approx(-4.4, abs=0.3)


def test_the_book_tells_size_kind_and_chill(shown_demo: Context) -> None:
    tree = ask(shown_demo, tree="T03", date="2022-06-29").tree
    assert tree.name == "Thornback"
    assert tree.species
    assert tree.chill_h is not None
    assert 0 < tree.chill_h <= 500


def test_a_night_without_a_book() -> None:
    from pathlib import Path

    from barkslip.app.settings import Settings

    found = ask_night(
        None, Settings(Path("/none")), {**TYPED, "cover": "blanket", "lamps": "100W", "bucket": "19L@60C"}
    )
    assert len(found.ladder) == 8
    assert found.knowledge_hash


def test_tonight_has_a_line_for_every_plot(shown_demo: Context) -> None:
    lines = tonight(shown_demo)
    assert [p.plot_code for p in lines] == ["YARD", "WALL", "BENCH", "LOW"]
    lows = {p.plot_code: p.low.p50 for p in lines if p.low is not None}
    assert lows["LOW"] < lows["YARD"] < lows["WALL"]


def test_a_day_without_weather_is_said_and_is_no_error(shown_demo: Context) -> None:
    assert {p.words for p in tonight(shown_demo, date(2031, 1, 1))} == {("no_forecast",)}


def test_after_the_late_frost_of_2022_the_low_paddock_is_worst(shown_demo: Context) -> None:
    after = after_freeze(shown_demo, date(2022, 9, 12))
    assert after.trees[0].code == "T03"
    assert {code for code, *_ in after.waits} >= {"no_cut", "scratch", "whiten"}


@pytest.mark.parametrize(
    ("fields", "problem"),
    [
        ({"low": "9"}, "The low is above the air at sunset."),
        ({"dew_point": "8"}, "The dew point is above the air at sunset."),
        ({"lamps": "-5W"}, "Not the power of lamps."),
        ({"lat": "80"}, "The sun does not"),
        ({"cover": "tinfoil"}, "Nothing is known of that cover."),
        ({"bucket": "lots"}, "Not a number."),
        ({"bucket": "19L@160C"}, "Water of that temperature is ice or steam."),
        ({"cover": "blanket", "cover_height": "1"}, "The cover is smaller than the tree."),
        ({"height": "30"}, "The model is for one small tree; this height is outside it."),
    ],
)
def test_bad_input_is_told(fields: dict[str, str], problem: str) -> None:
    from pathlib import Path

    from barkslip.app.settings import Settings

    with pytest.raises(BarkslipError) as caught:
        ask_night(None, Settings(Path("/none")), TYPED | fields)
    assert caught.value.problem.startswith(problem[:16])
    assert caught.value.next_step


def test_sixty_degrees_in_a_fahrenheit_garden_asks() -> None:
    from pathlib import Path

    from barkslip.app.settings import Settings

    us = {**TYPED, "sunset_temp": "41", "low": "25", "dew_point": "24", "bucket": "5 US gal@60"}
    with pytest.raises(QuestionError) as caught:
        ask_night(None, Settings(Path("/none"), units="us"), us)
    assert caught.value.problem == "Water of 60 °F is cold. Is it °C?"


def test_a_tree_of_several_kinds_is_judged_by_the_tenderest(shown_demo: Context) -> None:
    """Lemon before orange: order of cold tolerance published in several sources (cold.csv)."""
    tree = ask(shown_demo, tree="T01", date="2022-06-29").tree
    assert (tree.species, tree.kinds) == ("'Lisbon' lemon", 5)
    assert ask(shown_demo, tree="T04", date="2022-06-29").tree.kinds == 1
