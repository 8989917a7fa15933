"""Clocks of grafts that have been set, and past grafts beside what the clock would have said of them."""

from __future__ import annotations

from datetime import date
from math import isfinite

import pytest

from barkslip.app.back_cast import kinds_set, learned_clock, learned_kept, past_grafts
from barkslip.app.context import Context
from barkslip.app.graft_clock import clock_kept, clock_of
from barkslip.app.grafts import log_look, set_grafts
from barkslip.app.past_grafts import set_day
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.timing import UNKNOWNS, DateSpread, GraftClock
from barkslip.domain.when import parse_when

TODAY = date(2025, 6, 30)


def ordered(found: DateSpread | None) -> tuple[str, str, str]:
    """The three days of a spread that is there, in order."""
    assert found is not None
    assert found.p10 and found.p50 and found.p90
    assert found.p10 <= found.p50 <= found.p90
    return found.p10, found.p50, found.p90


def check_words(clock: GraftClock) -> None:
    assert set(clock.words) <= set(UNKNOWNS)


def test_the_clock_of_a_graft_that_took(shown_demo: Context) -> None:
    """G09: set on 12 November 2022 in vinyl tape, first push seen on 8 December, tape off on 21 January."""
    found = clock_of(shown_demo, "G09-1")
    check_words(found)
    assert (found.species, found.set_on, found.as_of) == ("persimmon", "2022-11-12", TODAY.isoformat())
    bridge, link, release, push = (ordered(d) for d in (found.bridge, found.link, found.release, found.push))
    assert "2022-11-12" < bridge[1] < link[1] < release[1]
    assert release[0] >= "2022-12-12"  # a bark graft keeps its binding for 30 days whatever the heat (methods table)
    assert push[0] < "2022-12-08" < "2022-12-20"
    assert release[2] < "2023-01-21"
    assert found.latest_release == "2023-02-10"  # vinyl tape: 90 days at most (bindings table)
    assert (found.chance_bridge, found.chance_link) == (1.0, 1.0)
    assert found.measured_share == 1.0
    assert found.so_far is not None
    assert found.so_far.p50 > 50


def test_a_sleeping_bud_has_no_push(shown_demo: Context) -> None:
    found = clock_of(shown_demo, "G01-1")
    assert found.push is None
    assert ordered(found.release)[1] < "2021-05-01"


def test_the_clock_is_kept_until_the_book_moves_on(demo: Context) -> None:
    set_grafts(demo, {"tree": "T01", "name": "'Lisbon' lemon", "method": "bark graft", "set_on": "2025-06-20",
                      "code": "N0"})  # fmt: skip
    assert clock_kept(demo, "N0") is None
    found = clock_of(demo, "N0")
    assert clock_kept(demo, "N0") is found
    assert clock_of(demo, "N0") is found
    log_look(demo, "N0", {"state": "green and still"})
    assert clock_kept(demo, "N0") is None
    again = clock_of(demo, "N0")
    assert again == found
    assert len([k for k in demo.kept if k.startswith("clock ")]) == 1


def test_a_fresh_graft_runs_into_the_forecast_and_own_years(demo: Context) -> None:
    set_grafts(demo, {"tree": "T01", "name": "'Lisbon' lemon", "method": "bark graft", "set_on": "2025-06-23",
                      "code": "N1", "binding": "budding rubber"})  # fmt: skip
    found = clock_of(demo, "N1")
    check_words(found)
    assert found.ahead == "forecast and own years"
    assert found.measured_share == pytest.approx(1.0)
    assert found.so_far is not None
    assert 0.0 < found.so_far.p50 < 4.0
    assert found.chance_link == 0.0
    assert found.link is not None
    assert found.link.p50 is None or found.link.p50 > "2025-08-01"


def test_a_graft_of_today_has_gathered_nothing(demo: Context) -> None:
    set_grafts(demo, {"tree": "T01", "name": "'Lisbon' lemon", "method": "bark graft", "code": "N2"})
    found = clock_of(demo, "N2")
    assert found.so_far is not None
    assert found.so_far.p90 == 0.0
    assert (found.chance_bridge, found.measured_share) == (0.0, 0.0)


def test_a_kind_of_which_nothing_is_known_has_no_clock(demo: Context) -> None:
    from barkslip.app.trees import save_tree

    save_tree(demo, {"name": "Stranger", "plot": "YARD", "code": "T20", "fruit": "jaboticaba"})
    set_grafts(demo, {"tree": "T20", "name": "Sabara", "method": "cleft graft", "set_on": "2024-10-01", "code": "N3",
                      "binding": "vinyl tape"})  # fmt: skip
    found = clock_of(demo, "N3")
    assert (found.species, found.so_far, found.link, found.chance_link) == ("", None, None, None)
    assert found.words[0] == "healing_curve"
    assert found.latest_release == "2024-12-30"  # the binding chokes it whatever it is


def test_a_day_known_no_closer_than_a_year_gives_no_clock(demo: Context) -> None:
    set_grafts(demo, {"tree": "T01", "name": "'Lisbon' lemon", "method": "cleft", "set_on": "2021", "code": "N4"})
    found = clock_of(demo, "N4")
    assert found.words == ("set_day",)
    assert (found.so_far, found.release, found.link) == (None, None, None)


@pytest.mark.parametrize(
    ("typed", "day"),
    [("2021-09-14", date(2021, 9, 14)), ("2021-09-14/18", date(2021, 9, 16)), ("2021-09", None), ("2021", None)],
)
def test_the_day_a_graft_was_set(typed: str, day: date | None) -> None:
    assert set_day(parse_when(typed, today=TODAY, field="on")) == day


def test_no_such_graft(shown_demo: Context) -> None:
    for ask in (clock_of, clock_kept):
        with pytest.raises(NotFoundError):
            ask(shown_demo, "G99-1")


# -- back-casts --------------------------------------------------------------------------------------------------


def test_the_kinds_that_were_grafted(shown_demo: Context) -> None:
    assert kinds_set(shown_demo) == ("citrus", "persimmon", "plum", "apple")


def test_past_grafts_of_persimmon_are_told_apart(shown_demo: Context) -> None:
    """G02 lost all four in a cool spring with moving buds, G09 none of four in a warm one at rest."""
    found = learned_clock(shown_demo, "kaki")
    assert (found.species, found.grafts, found.took) == ("persimmon", 8, 4)
    rows = {row.code: row for row in found.rows}
    assert set(rows) == {f"{c}-{i}" for c in ("G02", "G09") for i in (1, 2, 3, 4)}
    for row in found.rows:
        assert row.healing_21 is not None and row.healing_45 is not None and row.chance is not None
        assert isfinite(row.healing_45.p50)
        assert 0.0 < row.healing_21.p50 < 21.0
        assert row.healing_21.p50 < row.healing_45.p50 < 45.0
        assert (row.method, row.cover) == ("bark graft", "foil_sleeve")
    assert {rows[f"G02-{i}"].outcome for i in (1, 2, 3, 4)} == {"did not take"}
    assert {rows[f"G09-{i}"].outcome for i in (1, 2, 3, 4)} == {"took"}
    assert max(rows[f"G02-{i}"].chance or 0 for i in (1, 2, 3, 4)) < 0.5
    assert min(rows[f"G09-{i}"].chance or 0 for i in (1, 2, 3, 4)) > 0.8


def test_few_grafts_move_the_clock_little(shown_demo: Context) -> None:
    """Two grafts of apple that took say hardly anything; the spread stays nearly as wide as published."""
    found = learned_clock(shown_demo, "apple")
    assert (found.grafts, found.took) == (2, 2)
    for name in ("t_min_c", "d_xylem_d"):
        before, after = found.before[name], found.after[name]
        width = before.p90 - before.p10
        assert abs(after.p50 - before.p50) < 0.25 * width
        assert 0.75 * width < after.p90 - after.p10 < 1.15 * width
    assert found.weight_left > 0.4


@pytest.mark.slow
def test_dozens_of_citrus_grafts_leave_the_clock_where_it_was_made(shown_demo: Context) -> None:
    """68 with weather, 53 took: the demo's losses were made by other causes than cold, so that little should move."""
    found = learned_clock(shown_demo, "lemon")
    assert found.species == "citrus"
    assert found.grafts >= 60
    assert {row.outcome for row in found.rows} == {"took", "did not take", "waiting"}
    before, after = found.before["t_min_c"], found.after["t_min_c"]
    assert abs(after.p50 - before.p50) < 1.0
    assert found.weight_left > 0.02
    assert {row.chance for row in found.rows if row.code.startswith("G05")} != {None}


def test_what_was_learned_is_kept(demo: Context) -> None:
    assert learned_kept(demo, "apple") is None
    found = learned_clock(demo, "apple")
    assert learned_kept(demo, "'Anna' apple") is found
    log_look(demo, "G03-1", {"state": "pushing"})
    assert learned_kept(demo, "apple") is None


def test_a_graft_without_weather_has_a_row_without_numbers(demo: Context) -> None:
    set_grafts(demo, {"tree": "T07", "name": "'Anna' apple", "method": "cleft", "set_on": "2016-09-01", "code": "N5"})
    row = next(r for r in learned_clock(demo, "apple").rows if r.code == "N5")
    assert (row.healing_21, row.healing_45, row.chance, row.outcome) == (None, None, None, "waiting")


def test_grafts_of_one_campaign_are_few_questions(shown_demo: Context) -> None:
    """Told to the millimetre, they differ by what a calliper does; 24 T-buds and chips are then fewer plans."""
    mine = [g for g in past_grafts(shown_demo, "citrus") if g.code.startswith("G11-")]
    assert len(mine) == 24
    assert len({g.plan for g in mine}) <= 16
    assert len({id(g.hours) for g in mine}) == 1


def test_a_kind_of_which_nothing_is_known_is_refused_with_those_that_are(shown_demo: Context) -> None:
    with pytest.raises(InputError) as caught:
        learned_clock(shown_demo, "jaboticaba")
    assert caught.value.message == (
        "Nothing is known of how this kind of tree heals.\n"
        "Given: jaboticaba\n"
        "Allowed: citrus, mango, avocado, walnut, grape, apple, pear, plum, apricot and cherry, peach, persimmon, fig\n"
        "Next: Choose one of these, or go by the days that are usual for the method."
    )
