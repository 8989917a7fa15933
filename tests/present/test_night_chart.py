"""The chart of a cold night: no word lies on another, none is lost, gaps stay open, the table says the same."""

from __future__ import annotations

import itertools
import math
import random
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from barkslip.domain.night import NightSeries
from barkslip.domain.units import METRIC, US
from barkslip.present import line_names, night_chart
from barkslip.present.labels import Box, Sheet, text_width

SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = (328.0, 620.0)


def boxes(picture: str) -> list[tuple[str, Box]]:
    """The words of a drawing with the room they take, worked out from the drawing alone."""
    out = []
    for text in ET.fromstring(picture).iter(f"{SVG}text"):
        x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
        width = text_width(text.text, size, bold="t-strong" in (text.get("class") or ""))
        left = {"start": x, "middle": x - width / 2, "end": x - width}[text.get("text-anchor") or "start"]
        out.append((text.text, Box(left, y - 0.8 * size, left + width, y + 0.2 * size)))
    return out


def random_verdict(nights, seed):
    """Any night: lines near and far, crossing or not, with or without fruit and a cover."""
    rng = random.Random(seed)
    names = [
        "air",
        "leaf_exposed",
        "twig",
        "bark",
        *rng.sample(["fruit", "least_leaf_exposed", "least_air_inside"], rng.randint(0, 3)),
    ]
    series = tuple(nights.series(n, rng.uniform(-3, 4), rng.uniform(0.2, 3)) for n in names)
    return nights.verdict(series=series)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("seed", range(25))
def test_no_word_lies_on_another_and_none_leaves_the_drawing(nights, seed, width):
    picture = night_chart.night_chart(random_verdict(nights, seed), random.Random(seed).choice([METRIC, US]), width)
    root = ET.fromstring(picture)
    _, _, wide, high = map(float, root.get("viewBox").split())
    found = boxes(picture)
    for (name, box), (other, beside) in itertools.combinations(found, 2):
        assert not box.meets(beside), (name, other)
    for name, box in found:
        assert box.x0 >= 0, name
        assert box.x1 <= wide, name
        assert box.y0 >= 0, name
        assert box.y1 <= high, name
    for line in root.iter(f"{SVG}line"):
        if line.get("class") != "leader":
            continue
        x, y0, y1 = (float(line.get(at)) for at in ("x1", "y1", "y2"))
        for name, box in found:
            assert not any(box.holds(x, y) for y in (y0 + 1.5, (y0 + y1) / 2, y1 - 1.5)), name


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("seed", range(25))
def test_every_line_has_its_name(nights, seed, width):
    found = random_verdict(nights, seed)
    said = [name for name, _ in boxes(night_chart.night_chart(found, METRIC, width))]
    for series in found.series:
        assert night_chart.series_words(series.name, found) in said
    assert any(words.endswith("harm starts at −2.2\u00a0°C") for words in said)
    assert "sunrise 06:00" in said


def test_the_lowest_leaf_is_marked_with_its_number(nights):
    found = nights.verdict()
    picture = night_chart.night_chart(found)
    assert "−5.3" in [words for words, _ in boxes(picture)], "the number of the verdict"
    # the words stand apart from the dot that they name
    dot = next(c for c in ET.fromstring(picture).iter(f"{SVG}circle"))
    x, y = float(dot.get("cx")), float(dot.get("cy"))
    assert not any(box.holds(x, y) for _, box in boxes(picture))


def test_each_line_has_a_look_of_its_own(nights):
    names = [*night_chart._CLASSES]
    found = nights.verdict(series=tuple(nights.series(n) for n in names))
    lines = [p.get("class") for p in ET.fromstring(night_chart.night_chart(found)).iter(f"{SVG}polyline")]
    assert len(set(lines)) == len(names)


def test_a_line_without_numbers_is_left_open(nights):
    inside = nights.series("least_air_inside", 1.0)
    gone = replace(inside, p50_c=(*inside.p50_c[:13], math.nan, math.nan, math.nan))
    found = nights.verdict(series=(nights.series("air"), nights.series("leaf_exposed", -1.5), gone))
    picture = night_chart.night_chart(found)
    assert "nan" not in picture
    points = next(p for p in ET.fromstring(picture).iter(f"{SVG}polyline") if p.get("class") == "night-inside")
    assert len(points.get("points").split()) == 13
    heads, rows = night_chart.table(found)
    column = heads.index("air under the cover")
    assert [row[column] for row in rows[-3:]] == ["–", "–", "–"]


def test_hardening_lowers_the_critical_line(nights):
    worst = nights.organ("twig", -4.0, 0.5, hardening_k=2.0)
    picture = night_chart.night_chart(nights.verdict(organs=(worst,)))
    assert any("harm starts at −4.2" in words for words, _ in boxes(picture))


def test_a_critical_range_without_a_best_number_takes_its_middle(nights):
    value = replace(nights.organ("twig", -4.0, 0.5).critical, value=None, low=-3.0, high=-1.0)
    picture = night_chart.night_chart(nights.verdict(organs=(nights.organ("twig", -4.0, 0.5, critical=value),)))
    assert any("harm starts at −2.0" in words for words, _ in boxes(picture))
    none = replace(value, low=None, high=None)
    picture = night_chart.night_chart(nights.verdict(organs=(nights.organ("twig", -4.0, 0.5, critical=none),)))
    assert not any("harm starts" in words for words, _ in boxes(picture))


def test_the_table_behind_it_has_the_chart_s_numbers(nights):
    found = nights.verdict()
    heads, rows = night_chart.table(found)
    assert heads[:2] == ("hour", "outer leaves")
    assert len(rows) == len(found.times)
    assert re.fullmatch(r"−?\d+\.\d \(−?\d+\.\d to −?\d+\.\d\)", rows[8][1])
    air = heads.index("air")
    assert [row[air] for row in rows[:2]] == ["6.0", "3.4"]


def test_half_hours_are_thinned_to_hours_in_the_table(nights):
    times = tuple(f"{(17 + i // 2) % 24:02d}:{'30' if i % 2 else '00'}" for i in range(16))
    _, rows = night_chart.table(nights.verdict(times=times))
    assert [row[0] for row in rows] == [t for t in times if t.endswith(":00")]


def test_too_short_a_night_is_no_picture(nights):
    assert night_chart.night_chart(nights.verdict(times=("17:00",))) == ""
    assert night_chart.night_chart(nights.verdict(series=())) == ""


def test_a_name_without_room_is_noted_and_not_drawn_over_others():
    sheet = Sheet(60.0, 60.0)
    line_names.name_line(sheet, "far too long a name for this drawing", [(10.0, 10.0), (50.0, 50.0)], "")
    assert sheet.left_out == ["far too long a name for this drawing"]
    assert sheet.parts == []


def test_words_of_a_line_follow_the_tree(nights):
    found = nights.verdict()
    assert night_chart.series_words("least_leaf_exposed", found) == "outer leaves, protected"
    assert night_chart.series_words("twig", found) == "young grafts"
    assert "Green: under the set of measures above." in night_chart.caption(found)
    bare = nights.verdict(series=(NightSeries("air", (1.0, 0.0), (1.0, 0.0), (1.0, 0.0)),))
    assert "Green" not in night_chart.caption(bare)
