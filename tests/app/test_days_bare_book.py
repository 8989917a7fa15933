"""Days to graft and clocks in a book that knows little: no place, no weather, a place and no weather."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from barkslip.app.back_cast import kinds_set, learned_clock
from barkslip.app.context import Context
from barkslip.app.days import ask_days
from barkslip.app.garden import correct_garden, new_book, save_plot
from barkslip.app.graft_clock import clock_of
from barkslip.app.grafts import set_grafts
from barkslip.app.settings import Settings
from barkslip.app.trees import save_tree
from barkslip.domain.errors import InputError


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Context]:
    ctx = new_book(Settings(tmp_path / "garden"), {"name": "Bare"})
    save_plot(ctx, {"name": "Field", "code": "F"})
    save_tree(ctx, {"name": "Lone", "plot": "F", "code": "T1", "fruit": "lemon"})
    set_grafts(ctx, {"tree": "T1", "name": "unknown", "method": "cleft graft", "set_on": "2024-04-10", "code": "B1",
                     "binding": "vinyl tape"})  # fmt: skip
    yield ctx
    ctx.book.close()


def test_without_a_place_the_question_is_refused_and_the_page_of_a_graft_is_not(bare: Context) -> None:
    with pytest.raises(InputError) as caught:
        ask_days(bare, bare.settings, {"tree": "T1", "from": "2024-04-10"})
    assert caught.value.problem.startswith("The place is not known")
    found = clock_of(bare, "B1")
    assert (found.species, found.so_far, found.release) == ("citrus", None, None)
    assert found.latest_release == "2024-07-09"


def test_a_place_without_weather_is_answered_with_not_known(bare: Context) -> None:
    correct_garden(bare, {"lat": "36.1", "lon": "-79.9"})
    found = ask_days(bare, bare.settings, {"tree": "T1", "from": "2024-04-10"})
    assert (found.verdict, found.reasons, found.days, found.year) == ("unknown", ("no_weather",), (), ())
    assert found.plan.species == "lemon"
    assert "frost_plot" in found.unknowns
    assert clock_of(bare, "B1").so_far is None


def test_grafts_without_weather_teach_nothing(bare: Context) -> None:
    correct_garden(bare, {"lat": "36.1", "lon": "-79.9"})
    assert kinds_set(bare) == ("citrus",)
    found = learned_clock(bare, "citrus")
    assert (found.grafts, found.took, found.weight_left) == (0, 0, pytest.approx(1.0))
    assert found.before == found.after
    assert [(r.code, r.chance) for r in found.rows] == [("B1", None)]
    nothing = learned_clock(bare, "apple")
    assert nothing.rows == ()
