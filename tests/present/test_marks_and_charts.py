"""Marks differ by shape; charts are well-formed, keep gaps open and never lay words over words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date, timedelta

import pytest

from barkslip.domain.cards import PlotDay, PlotToday, WeatherSince
from barkslip.domain.graft import MARKS
from barkslip.domain.units import METRIC, US
from barkslip.domain.weather import MonthSummary
from barkslip.present import chart, marks

SVG = "{http://www.w3.org/2000/svg}"


def words(picture: str) -> list[str]:
    return [t.text for t in ET.fromstring(picture).iter(f"{SVG}text")]


def test_each_mark_has_its_own_shape_and_its_word():
    shapes = set()
    for mark in MARKS:
        picture = marks.mark_svg(mark)
        root = ET.fromstring(picture)
        assert root.find(f"{SVG}title").text == marks.MARK_WORDS[mark]
        shapes.add(re.sub(r"class=\"[^\"]*\"", "", picture.split("</title>")[1]))
    assert len(shapes) == len(MARKS)
    assert "<title>a &amp; b</title>" in marks.mark_svg("took", title="a & b")
    with pytest.raises(ValueError, match="no such mark: green"):
        marks.mark_svg("green")


def plots(garden, last, coming):
    first = date(2024, 9, 11)
    nights = tuple(PlotDay((first + timedelta(days=i)).isoformat(), v, None, 24.0) for i, v in enumerate(last))
    ahead = tuple(
        PlotDay((first + timedelta(days=9 + i)).isoformat(), v, None, 24.0, True) for i, v in enumerate(coming)
    )
    return (PlotToday(garden.plot, (), 0, 0, nights, ahead),)


@pytest.mark.parametrize("units", [METRIC, US])
def test_nights_name_the_freezing_line_and_both_numbers(garden, units):
    picture = chart.nights(plots(garden, (1.0, None, -0.6), (-3.1, 2.0)), units)
    said = words(picture)
    freezing, last, ahead = (
        ("freezing, 0\u00a0°C", "−0.6 last", "−3.1 ahead")
        if units is METRIC
        else ("freezing, 32\u00a0°F", "30.9 last", "26.4 ahead")
    )
    assert {freezing, last, ahead, "House yard"} <= set(said)


def test_nights_without_any_reading_are_no_picture(garden):
    assert chart.nights(plots(garden, (None,), ())) == ""


def since(days):
    return WeatherSince(
        "Yard", "logger", 1.0, 1.0, -1.0, "", 30.0, "", 0.0, 0.0, 0.0, 0.0, 18.0, 30.0, 36.0, tuple(days)
    )


def run(count, gap=(), low=5.0, high=24.0):
    first = date(2024, 8, 1)
    return [
        ((first + timedelta(days=i)).isoformat(), *((None, None) if i in gap else (low + i % 3, high + i % 5)))
        for i in range(count)
    ]


@pytest.mark.parametrize("width", [328.0, 560.0])
def test_gaps_stay_open_and_are_said(width):
    picture = chart.days(since(run(30, range(10, 20))), METRIC, width)
    root = ET.fromstring(picture)
    lows = [p for p in root.iter(f"{SVG}polyline") if p.get("class") == "low-line"]
    assert [len(p.get("points").split()) for p in lows] == [10, 10]
    assert "no readings" in words(picture)


def test_lines_that_matter_are_named_in_place():
    said = words(chart.days(since(run(20, low=-2.0, high=35.0))))
    assert {"frost, 0\u00a0°C", "citrus heals, 18 to 30\u00a0°C", "high", "low"} <= set(said)
    assert "wrapped scions in danger over 36\u00a0°C" in said
    assert chart.days(since([("2024-08-01", None, None)])) == ""


@pytest.mark.parametrize("count", [1, 2, 5, 61, 70, 420])
@pytest.mark.parametrize("units", [METRIC, US])
def test_words_of_a_day_chart_never_overlap(count, units, monkeypatch):
    sheets = []
    monkeypatch.setattr(chart, "_svg", lambda sheet, *_: sheets.append(sheet) or "")
    chart.days(since(run(count, (3,))), units)
    boxes = sheets[0].labels
    clashes = [(a, b) for i, (a, x) in enumerate(boxes) for b, y in boxes[i + 1 :] if x.meets(y)]
    assert clashes == []


def month(year, number, share=1.0, low=2.0, high=25.0):
    return MonthSummary(year, number, 700 * share, share, low, high, 12.0, low + 3, high - 4, 1.0, 2.0, 3.0)


def test_months_show_the_last_twelve_and_thin_ones():
    rows = tuple(month(2023 + i // 12, i % 12 + 1, 0.3 if i == 20 else 1.0) for i in range(24))
    narrow = ET.fromstring(chart.months(rows))
    bars = [r.get("class") for r in narrow.iter(f"{SVG}rect")]
    assert len(bars) == 12
    assert bars.count("bar thin") == 1
    assert len(list(ET.fromstring(chart.months(rows, METRIC, 860.0)).iter(f"{SVG}rect"))) == 24
    assert chart.months(()) == ""


@pytest.mark.parametrize(("units", "ticks"), [(US, "30 40 50 60 70"), (METRIC, "−5 0 5 10 15 20")])
def test_ticks_are_round_in_the_readers_unit(units, ticks):
    assert " ".join(text for _, text in chart.Axis([-4.0, 20.0], 0.0, 100.0, units).ticks()) == ticks


def test_belief_bar_of_the_unknown_is_open():
    assert 'class="belief-open"' in chart.belief_bar(0.3, known=False)
    assert 'width="59.7"' in chart.belief_bar(0.3)
