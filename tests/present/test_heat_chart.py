"""The charts of a hot day: no word lies on another, every line has its name, the tables say the same."""

from __future__ import annotations

import itertools
import random
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from barkslip.domain.heat import GRAFT_COVERS, Wrap
from barkslip.domain.units import METRIC, US
from barkslip.present import heat, heat_chart
from barkslip.present.labels import Box, text_width

SVG = "{http://www.w3.org/2000/svg}"
WIDTHS = (328.0, 620.0)
SPREAD = ("p10_c", "p50_c", "p90_c")


def boxes(picture: str) -> list[tuple[str, Box]]:
    """The words of a drawing with the room they take, worked out from the drawing alone."""
    out = []
    for text in ET.fromstring(picture).iter(f"{SVG}text"):
        x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
        width = text_width(text.text, size, bold="t-strong" in (text.get("class") or ""))
        left = {"start": x, "middle": x - width / 2, "end": x - width}[text.get("text-anchor") or "start"]
        out.append((text.text, Box(left, y - 0.8 * size, left + width, y + 0.2 * size)))
    return out


def clear_of_each_other(picture: str) -> None:
    _, _, wide, high = map(float, ET.fromstring(picture).get("viewBox").split())
    found = boxes(picture)
    for (name, box), (other, beside) in itertools.combinations(found, 2):
        assert not box.meets(beside), (name, other)
    for name, box in found:
        assert box.x0 >= -0.5, name
        assert box.x1 <= wide + 0.5, name
        assert box.y0 >= 0, name
        assert box.y1 <= high, name


def any_verdict(heats, seed):
    """Any day: few covers or all, cool or hot, with or without a cover that is there."""
    rng = random.Random(seed)
    names = rng.sample(list(GRAFT_COVERS), rng.randint(1, 12))
    shift = rng.uniform(-12.0, 6.0)
    covers = []
    for name in names:
        one = heats.cover(name)
        excess = rng.uniform(-1.0, 12.0)
        covers.append(
            replace(
                one,
                series=(heats.series("scion", excess, rng.uniform(0.2, 2.0)),),
                scion_max_c=replace(
                    one.scion_max_c, p10=36 + shift + excess, p50=38 + shift + excess, p90=40 + shift + excess
                ),
                strip_max_c=replace(one.strip_max_c, p50=39.5 + shift + excess),
                chance_of_harm=rng.random(),
            )
        )
    covers.sort(key=lambda c: c.chance_of_harm)
    now = rng.choice([None, rng.randrange(len(covers))])
    choose = 0 if covers[0].chance_of_harm <= 0.1 else None
    return heats.verdict(*covers, now=now, choose=choose)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("seed", range(20))
def test_no_word_lies_on_another_and_none_leaves_the_drawing(heats, seed, width):
    found = any_verdict(heats, seed)
    units = random.Random(seed).choice([METRIC, US])
    for draw in (heat_chart.heat_chart, heat_chart.covers_chart, heat_chart.faces_chart):
        clear_of_each_other(draw(found, units, width))


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("seed", range(20))
def test_every_line_and_every_cover_has_its_name(heats, seed, width):
    found = any_verdict(heats, seed)
    said = [words for words, _ in boxes(heat_chart.heat_chart(found, METRIC, width))]
    assert "air" in said
    for _, cover in heat_chart.parts(found):
        assert heat.cover_words(cover.wrap) in said
    side = [words for words, _ in boxes(heat_chart.covers_chart(found, METRIC, width))]
    for cover in found.covers:
        assert any(words.startswith(heat.cover_words(cover.wrap)) for words in side)
    assert sum(words in ("choose", "bears it", "avoid") for words in side) == len(found.covers)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_lines_that_matter_are_named_in_place(heats, width):
    said = [words.replace("\u00a0", " ") for words, _ in boxes(heat_chart.heat_chart(heats.verdict(), METRIC, width))]
    whole = width > 500
    assert ("44 °C: bark loses its hold on water" if whole else "44 °C: bark leaks") in said
    assert ("38 °C: callus dies if it lasts" if whole else "38 °C: callus dies") in said
    side = [w.replace("\u00a0", " ") for w, _ in boxes(heat_chart.covers_chart(heats.verdict(), METRIC, width))]
    assert {"38 °C", "44 °C", "52 °C", "air 38.0"} <= set(side)


def test_a_mild_day_is_not_drawn_under_lines_far_above_it(heats):
    cool = heats.air(air_c=(18.0,) * 24)
    one = heats.cover("film", series=(replace(heats.series("scion", 0.0), p10_c=(18.0,) * 24, p50_c=(19.0,) * 24,
                                              p90_c=(20.0,) * 24),))  # fmt: skip
    said = [w for w, _ in boxes(heat_chart.heat_chart(heats.verdict(one, air=cool, choose=0, now=None)))]
    assert not [w for w in said if w.startswith(("38", "44", "52"))]


def test_the_worst_the_present_and_the_best_are_drawn_once_each(heats):
    found = heats.verdict()
    assert [(part, c.wrap.cover) for part, c in heat_chart.parts(found)] == [
        ("worst", "clear_plastic"), ("now", "brown_bag"), ("best", "foil_sleeve"),
    ]  # fmt: skip
    assert [part for part, _ in heat_chart.parts(heats.verdict(now=1))] == ["worst", "best"]
    assert [part for part, _ in heat_chart.parts(heats.verdict(heats.cover("film"), choose=None, now=0))] == ["best"]
    lines = [p.get("class") for p in ET.fromstring(heat_chart.heat_chart(found)).iter(f"{SVG}polyline")]
    assert len(set(lines)) == len(lines) == 4
    assert "green, full: foil sleeve; amber, dashed: brown paper bag; red, dotted: clear plastic in sun" in (
        heat_chart.caption(found)
    )


def test_the_hottest_hour_has_the_verdict_s_own_number(heats):
    assert "39.8" in [words for words, _ in boxes(heat_chart.heat_chart(heats.verdict()))]


def test_the_table_behind_it_has_the_chart_s_numbers(heats):
    found = heats.verdict()
    heads, rows = heat_chart.table(found)
    assert heads == ("hour", "air", "foil sleeve", "brown paper bag", "clear plastic in sun")
    assert len(rows) == 24
    assert re.fullmatch(r"\d+\.\d \(\d+\.\d to \d+\.\d\)", rows[14][2])
    assert rows[15][:2] == ("15:00", "38.0")


def test_half_hours_are_thinned_and_the_air_is_found_by_the_clock(heats):
    times = tuple(f"{h:02d}:{m}" for h in range(24) for m in ("00", "30"))
    long = heats.series("scion", 2.0)
    twice = replace(
        long, **{n: tuple(v for v in getattr(long, n) for _ in (0, 1)) for n in ("p10_c", "p50_c", "p90_c")}
    )
    found = heats.verdict(heats.cover("film", series=(twice,)), times=times, choose=0, now=None)
    heads, rows = heat_chart.table(found)
    assert heads == ("hour", "air", "film alone")
    assert [row[0] for row in rows] == [t for t in times if t.endswith("00")]
    assert rows[15][1] == "38.0"


def test_too_short_a_day_is_no_picture(heats):
    assert heat_chart.heat_chart(heats.verdict(times=("00:00",))) == ""
    assert heat_chart.heat_chart(heats.verdict(heats.cover("film", series=()), choose=None, now=None)) == ""
    assert heat_chart.faces_chart(heats.verdict(faces=())) == ""


def test_bark_in_danger_by_hour_in_bars_and_in_words(heats):
    """In the south the afternoon sun stands in the north-west: the south side stays coolest."""
    found = heats.verdict()
    picture = ET.fromstring(heat_chart.faces_chart(found))
    bars = {p.get("class"): p.get("d") for p in picture.iter(f"{SVG}path")}
    assert list(bars) == ["heat-cell over1", "heat-cell over2", "heat-cell over3"]
    heights = [set(re.findall(r"v(-[\d.]+)", d)) for d in bars.values()]
    assert all(len(one) == 1 for one in heights), "one height for each line that is passed"
    tall = [-float(next(iter(one))) for one in heights]
    assert tall == sorted(tall)
    assert len(set(tall)) == 3
    assert bars["heat-cell over3"].count("M") == 2, "the west and the north-west side"
    over = dict(heat_chart.danger_hours(found))
    assert over["west"] == "14:00 to 18:00"
    assert over["north"] == "13:00"
    assert "south" not in over
    caption = heat_chart.faces_caption(found, METRIC).replace("\u00a0", " ")
    assert "38 °C, 44 °C and 52 °C" in caption


def test_hours_apart_are_told_apart(heats):
    face = replace(heats.faces()[0], by_hour_c=(45.0, 20.0, 45.0, 46.0))
    assert heat_chart.danger_hours(heats.verdict(faces=(face,))) == (("north", "00:00, 02:00 to 03:00"),)


def test_a_cover_with_a_gap_in_its_numbers_is_drawn_all_the_same(heats):
    gone = heats.series("scion", 2.0)
    gone = replace(gone, **{n: (float("nan"), *getattr(gone, n)[1:]) for n in SPREAD})
    found = heats.verdict(heats.cover("film", wrap=Wrap("film"), series=(gone,)), choose=0, now=None)
    assert "nan" not in heat_chart.heat_chart(found)
