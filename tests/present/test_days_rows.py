"""The days as rows: each range kept, none of a chance rounded away, the good days in one line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from barkslip.domain.night import Spread
from barkslip.domain.units import US
from barkslip.present import days_rows


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_a_row_has_every_number_with_its_range(grafting):
    row = days_rows.day_rows(grafting.verdict())[0]
    assert [plain(v) for v in (row.date, row.sign, row.word, row.chance, row.healing, row.water, row.dose)] == [
        "13 Sep", "×", "poor", "31 %", "0.38 (0.31 to 0.45)", "9.2 % (1.6 to 42)", "none",
    ]  # fmt: skip
    assert [plain(v) for v in (row.frost, row.air, row.against, row.source)] == [
        "6 h (0 to 12)", "−1.5 to 17.0", "frost, drying", "read",
    ]  # fmt: skip
    us = days_rows.day_rows(grafting.verdict(), US)[0]
    assert plain(us.air) == "29.3 to 62.6"


def test_only_the_day_put_forward_is_marked(grafting):
    marked = [(r.date, r.put) for r in days_rows.day_rows(grafting.verdict()) if r.put]
    assert [(plain(d), w) for d, w in marked] == [("19 Sep", "wait for it")]
    assert [r.put for r in days_rows.day_rows(grafting.good())][:2] == ["set it", ""]
    assert days_rows.day_rows(grafting.good(verdict="ask bark test"))[0].put == "if the bark lifts"
    unsure = grafting.verdict(reasons=("ask_bark_test", "drying"))
    assert [r.put for r in days_rows.day_rows(unsure) if r.put] == ["if the bark lifts"], "weather alone is not enough"
    assert not [r for r in days_rows.day_rows(grafting.bad()) if r.put], "a day that is not good is not put forward"


def test_signs_follow_the_reasons_the_weightiest_first(grafting):
    assert days_rows.signs(grafting.day(0, grafting.COLD)) == ("frost", "dry")
    both = grafting.day(0, (0.3, (), ("frost_before_link", "frost_after", "false_spring", "too_hot"), "poor"))
    assert days_rows.signs(both) == ("frost", "heat"), "one sign for all frost"
    open_ = grafting.day(0, (0.3, (("no_weather", 0.4),), (), "unknown"))
    assert days_rows.signs(open_) == ("open",)


def test_good_days_in_one_line(grafting):
    assert plain(days_rows.window_text(grafting.verdict())) == "Good days: 19 to 26 Sep."
    every = [grafting.day(i, grafting.GOOD if i in (0, 1, 5, 17, 18) else grafting.COLD) for i in range(19)]
    assert plain(days_rows.window_text(grafting.verdict(*every))) == "Good days: 13 to 14 Sep, 18 Sep, 30 Sep to 1 Oct."
    assert days_rows.window_text(grafting.bad()) == ""


@pytest.mark.parametrize(
    ("chance", "bar", "percent"),
    [
        (0.0, "··········", "  0 %"),
        (0.004, "··········", " <1 %"),
        (0.31, "███·······", " 31 %"),
        (0.84, "████████··", " 84 %"),
        (0.997, "██████████", ">99 %"),
        (1.0, "██████████", "100 %"),
    ],
)
def test_a_bar_and_its_number_never_say_never_or_always(chance, bar, percent):
    assert days_rows.bar(chance) == bar
    assert plain(days_rows.short_percent(chance)) == percent


def test_the_terminal_has_room_for_two_words(grafting):
    many = grafting.day(0, (0.3, (), ("false_spring", "frost_before_link", "drying"), "poor"))
    assert days_rows.against_text(many) == "false spring, frost, drying"
    assert days_rows.short_against(many) == "false spring"
    assert days_rows.short_against(grafting.day(0, grafting.COLD)) == "frost, drying"


def test_a_heat_dose_is_named_only_where_there_is_one(grafting):
    found = grafting.verdict()
    assert "Heat dose" not in days_rows.table_key(found)
    hot = replace(found.days[0], heat_dose=Spread(0.0, 0.2, 0.9))
    assert plain(days_rows.day_rows(replace(found, days=(hot,)))[0].dose) == "0.20 (0.00 to 0.90)"
    assert "half of the tissue" in days_rows.table_key(replace(found, days=(hot,)))


def test_what_has_no_reading_is_a_dash(grafting):
    bare = grafting.day(0, air_low_c=None, air_high_c=None)
    assert days_rows.day_rows(grafting.verdict(bare))[0].air == "–"
