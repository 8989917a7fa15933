"""Order dates planned back from a window, by hand."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.domain.night import Spread
from barkslip.domain.sourced import Value
from barkslip.domain.timing import WeekOfYear
from barkslip.engines import wood_order
from barkslip.engines.wood_order import Lead
from barkslip.knowledge.load import load

SIX = Value(6, "month", "chain.FP-TOPWORK", "published")


def week(month_day: str, worked: int, years: int = 5) -> WeekOfYear:
    return WeekOfYear(month_day, Spread(0.0, 0.0, 0.0), worked, years)


def by_code(found: object) -> dict[str, tuple[str, str, bool]]:
    return {s.code: (s.first, s.last, s.late) for s in found.steps}  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("day", "months", "before"),
    [
        (date(2025, 9, 15), 6, date(2025, 3, 15)),
        (date(2025, 8, 31), 6, date(2025, 2, 28)),
        (date(2024, 8, 31), 6, date(2024, 2, 29)),
        (date(2025, 3, 1), 18, date(2023, 9, 1)),
        (date(2025, 1, 31), 2, date(2024, 11, 30)),
    ],
)
def test_months_before(day: date, months: int, before: date) -> None:
    assert wood_order.months_before(day, months) == before


def test_the_growers_panel() -> None:
    """Californian growers order half a year ahead of work in May and June, and plan 18 months (chain.FP-TOPWORK)."""
    rows = load(None).rows("timelines")
    order, plan = rows["budwood_order"].value, rows["topwork_plan"].value
    assert order is not None and plan is not None
    found = wood_order.dates_for(date(2026, 5, 1), date(2026, 6, 30), Lead(order, plan), date(2025, 6, 1))
    steps = by_code(found)
    assert steps["order"] == ("", "2025-11-01", False)
    assert steps["plan"] == ("", "2024-12-30", True), "18 months before the last day"
    assert not found.late


def test_every_step_by_hand() -> None:
    """Sept 15 to Oct 5, four days in the post, wood that keeps 30 days at the least."""
    lead = Lead(SIX, post_days=4, keeps_d=(30.0, 90.0), keep_source="s", keep_status="recalled")
    found = wood_order.dates_for(date(2025, 9, 15), date(2025, 10, 5), lead, date(2025, 3, 1))
    assert by_code(found) == {
        "ask": ("", "2025-03-15", False),
        "order": ("", "2025-03-15", False),
        # on 5 Oct wood cut on 5 Sep is 30 days old; it leaves the giver on 11 Sep at the latest
        "cut": ("2025-09-05", "2025-09-11", False),
        "arrive": ("", "2025-09-15", False),
        "set": ("2025-09-15", "2025-10-05", False),
    }
    assert not found.too_long


def test_a_window_longer_than_wood_keeps_asks_for_two_lots() -> None:
    lead = Lead(SIX, post_days=0, keeps_d=(30.0, 90.0))
    found = wood_order.dates_for(date(2025, 9, 1), date(2025, 11, 1), lead, date(2025, 1, 1))
    assert found.too_long
    assert found.keeps_to == "2025-10-01"
    assert by_code(found)["cut"] == ("", "2025-09-01", False)


@pytest.mark.parametrize(
    ("closes", "last"), [((7, 31), "2025-07-31"), ((12, 31), "2024-12-31"), ((9, 12), "2024-09-12")]
)
def test_a_scheme_s_own_last_day_is_the_one_before_the_work(closes: tuple[int, int], last: str) -> None:
    lead = Lead(SIX, post_days=4, closes=closes)
    found = wood_order.dates_for(date(2025, 9, 15), date(2025, 10, 5), lead, date(2025, 7, 1))
    assert by_code(found)["closes"][1] == last
    assert by_code(found)["ask"][1] == last, "asked before it is ordered"
    assert found.late == (last < "2025-07-01"), "the giver's day goes before the usual half year"


def test_too_late_for_this_year_means_the_next() -> None:
    windows = [wood_order.yearly(date(2025, 9, 15), date(2025, 10, 5), k) for k in range(3)]
    found = wood_order.order(windows, Lead(SIX), date(2025, 6, 30), window_from="typed")
    assert found is not None and found.in_time is not None
    assert found.next.late and found.next.first == "2025-09-15"
    assert found.in_time.first == "2026-09-15" and not found.in_time.late


def test_the_29th_of_february_in_other_years() -> None:
    assert wood_order.yearly(date(2024, 2, 29), date(2024, 3, 9), 1) == (date(2025, 2, 28), date(2025, 3, 9))


def test_good_weeks_run_round_the_turn_of_the_year() -> None:
    weeks = [week("01-01", 5), week("01-08", 1), week("09-10", 4), week("09-17", 5), week("12-24", 5)]
    found = wood_order.good_windows(weeks, 0.7, date(2025, 6, 30))
    # the five weeks stand side by side here: 10 Sep to 7 Jan is one stretch
    assert found[0] == (date(2025, 9, 10), date(2026, 1, 7))
    assert [first.year for first, _ in found] == [2025, 2026, 2027]
    assert wood_order.good_windows([week("01-01", 0)], 0.7, date(2025, 6, 30)) == []
    assert wood_order.good_windows([week("01-01", 5)], 0.7, date(2025, 6, 30))[0] == (
        date(2025, 1, 1), date(2025, 12, 31),
    )  # fmt: skip


def test_a_stretch_under_way_still_counts() -> None:
    weeks = [week("01-01", 0), week("06-25", 5), week("07-02", 5), week("07-09", 0)]
    assert wood_order.good_windows(weeks, 0.7, date(2025, 6, 30))[0] == (date(2025, 6, 25), date(2025, 7, 8))


def test_no_window_ahead_is_no_answer() -> None:
    past = [(date(2024, 9, 1), date(2024, 9, 30))]
    assert wood_order.order(past, Lead(SIX), date(2025, 6, 30), window_from="typed") is None
