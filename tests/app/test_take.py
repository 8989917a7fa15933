"""What took in the demo garden, as its story tells it."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.app import take_grafts as lives
from barkslip.app.context import Context
from barkslip.app.take import ask_take, typed_counts
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.garden import Garden
from barkslip.domain.graft import Graft
from barkslip.domain.take import BY


def group(ctx: Context, by: str, name: str):
    return next(g for g in ask_take(ctx, {"by": by}).groups if g.group == name)


def grafts_of(ctx: Context):
    with ctx.book.read() as reader:
        grafts = reader.every(Graft, order="code")
        return {g.code: g for g in lives.take_grafts(ctx, reader, grafts, ctx.today(ctx.garden()))}


def test_campaigns_come_out_as_told(shown_demo: Context):
    """By the fold of looks; of those that took G01 lost two to frost later, G04 one to a bird, G07 one to its tape."""
    found = {g.group: (g.n, g.took, g.lost, g.lost_after) for g in ask_take(shown_demo, {"by": "campaign"}).groups}
    assert found == {
        "G01": (6, 4, 2, 2), "G02": (4, 0, 4, 0), "G03": (2, 2, 0, 0), "G04": (6, 6, 0, 1), "G05": (2, 1, 1, 0),
        "G06": (6, 5, 1, 0), "G07": (4, 4, 0, 1), "G08": (1, 1, 0, 0), "G09": (4, 4, 0, 0), "G10": (3, 3, 0, 1),
        "G11": (24, 17, 7, 1), "G12": (2, 2, 0, 0), "G13": (3, 3, 0, 0), "G14": (16, 10, 4, 0),
    }  # fmt: skip


def test_a_year_on_as_told(shown_demo: Context):
    """67 grafts have stood a year and 48 were alive then; G14's year is not over: it waits and is no 0 %."""
    whole = ask_take(shown_demo, {}).whole
    assert (whole.n, whole.year.known, whole.year.alive, whole.year.waiting) == (83, 67, 48, 16)
    late = group(shown_demo, "campaign", "G14").year
    assert (late.alive, late.known, late.waiting, late.due) == (0, 0, 16, date(2025, 10, 6))
    alive = {g.group: g.year.alive for g in ask_take(shown_demo, {"by": "campaign"}).groups}
    assert alive == {
        "G01": 4, "G02": 0, "G03": 2, "G04": 5, "G05": 1, "G06": 5, "G07": 3, "G08": 1, "G09": 4, "G10": 2, "G11": 16,
        "G12": 2, "G13": 3, "G14": 0,
    }  # fmt: skip


def test_t_buds_and_chips_of_one_day_cannot_be_told(shown_demo: Context):
    """10 of 12 against 7 of 12 on seedlings in bags decide nothing."""
    found = ask_take(shown_demo, {"campaign": "G11"})
    counts = {g.group: (g.took, g.n) for g in found.groups}
    assert counts == {"T-bud": (10, 12), "chip bud": (7, 12)}
    assert found.pairs[0].better == "T-bud"
    assert not found.pairs[0].told
    assert found.pairs[0].needed_each is None or found.pairs[0].needed_each > 30


def test_the_bud_taken_for_dead_was_never_lost(shown_demo: Context):
    one = grafts_of(shown_demo)["G08-1"]
    assert one.life is not None
    assert one.life.end == ""
    assert one.life.days > 450
    assert one.verdict == "took"


def test_causes_of_loss_part_the_join_from_the_rest(shown_demo: Context):
    found = grafts_of(shown_demo)
    ends = {code: g.life.end for code, g in found.items() if g.life is not None and g.life.end}
    assert {c for c, end in ends.items() if end == "other"} == {"G04-4", "G07-3", "G10-1", "G11-18"}
    assert ends["G02-1"] == "failed"


def test_heat_age_and_side(shown_demo: Context):
    found = grafts_of(shown_demo)
    assert found["G05-2"].hot is True
    assert found["G09-1"].hot is not None
    # W10 was cut on 24 July and set on 12 November; W06 in the same days
    assert found["G09-1"].old is True
    assert found["G11-1"].old is False
    # south of the equator the afternoon sun stands in the north-west
    assert found["G05-2"].sunny is True
    assert found["G05-1"].sunny is False
    assert found["G03-1"].sunny is None


def test_growing_years_run_from_july_in_the_south(shown_demo: Context):
    found = grafts_of(shown_demo)
    assert found["G01-1"].levels["season"] == "2020/21"
    assert found["G04-1"].levels["season"] == "2021/22"
    assert found["G04-1"].levels["months"] == "October to December"


@pytest.mark.parametrize("by", list(BY))
def test_every_grouping_is_answered(shown_demo: Context, by: str):
    found = ask_take(shown_demo, {"by": by})
    assert "fit_failed" not in found.notes
    assert sum(g.n for g in found.groups) == 83
    assert found.ess > 100.0


def test_an_answer_is_kept_until_the_book_moves_on(demo: Context):
    from barkslip.app.grafts import log_look

    first = ask_take(demo, {})
    assert ask_take(demo, {}) is first
    log_look(demo, "G14-1", {"state": "broken", "on": "2025-06-29"})
    again = ask_take(demo, {})
    assert again is not first
    assert again.whole.lost + again.whole.lost_after > first.whole.lost + first.whole.lost_after


def test_one_tree_is_about_this_tree(shown_demo: Context):
    found = ask_take(shown_demo, {"tree": "T02"})
    assert found.whole.n == sum(g.n for g in found.groups) < 83


def test_no_such_grouping_is_refused(shown_demo: Context):
    with pytest.raises(InputError) as refused:
        ask_take(shown_demo, {"by": "moon"})
    assert refused.value.message == (
        "Not one of the choices.\n"
        "Given: moon\n"
        "Allowed: method, cover, heat, wood, side, months, season, tree, plot, variety, stock, pair, lot, campaign, "
        "binding, arm\n"
        "Next: Choose one from the list."
    )


def test_no_such_campaign_is_said(shown_demo: Context):
    with pytest.raises(NotFoundError) as refused:
        ask_take(shown_demo, {"campaign": "G99"})
    assert refused.value.message == (
        "No graft of the book is like that.\n"
        "Given: campaign G99\n"
        "Allowed: a tree, a plot, a campaign or a method that grafts were set on or with\n"
        "Next: See them all: barkslip graft list"
    )


def test_growing_year_of_the_north():
    assert lives._season(date(2024, 9, 1), south=False) == "2024"
    assert lives._season(date(2024, 6, 30), south=True) == "2023/24"


def test_sides_of_a_garden_without_a_place_are_not_known(shown_demo: Context):
    from dataclasses import replace

    garden: Garden = shown_demo.garden()
    assert lives._sunny("NW", replace(garden, lat=None)) is None
    assert lives._sunny("NW", replace(garden, lat=45.0)) is False
    assert lives._sunny("SW", replace(garden, lat=45.0)) is True
    assert lives._sunny("upper", garden) is None


def test_typed_counts():
    assert typed_counts("bark graft 8/10; T-bud=3/7;") == (("bark graft", 8, 10), ("T-bud", 3, 7))
    assert typed_counts("8/10") == (("group 1", 8, 10),)


@pytest.mark.parametrize("text", ["bark graft 8/6", "bark graft eight of ten", "x 0/0", "x 1/-2", "x 1/100000"])
def test_counts_that_cannot_be(text: str):
    with pytest.raises(InputError) as refused:
        typed_counts(f"T-bud 3/7; {text}")
    assert refused.value.message == (
        "Not a count of grafts.\n"
        f"Given: {text}\n"
        "Allowed: a name, then how many took and how many were set: bark graft 8/10; T-bud 3/7\n"
        "Next: Correct it; grafts that still wait count as neither, leave them out."
    )
