"""The ribbon, the year and the clock as drawings: no word on another, a sign and a shape for what a colour says."""

from __future__ import annotations

import itertools
import random
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta

import pytest

from barkslip.domain.night import Spread
from barkslip.domain.timing import DateSpread, WeekOfYear
from barkslip.domain.units import METRIC, US
from barkslip.present import days_clock, days_ribbon, days_rows, days_year, days_year_chart
from barkslip.present.days_words import SIGNS
from barkslip.present.labels import Box, text_width

SVG = "{http://www.w3.org/2000/svg}"
KINDS = ("good", "fair", "poor", "unknown")


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


def any_verdict(grafting, seed):
    """Any fortnight: cold, mild or hot, of any sources."""
    rng = random.Random(seed)
    count = rng.choice([1, 3, 14, 14, 14, 30])
    mean, sources = rng.uniform(-8.0, 30.0), ("measured", "forecast", "own years", "typical year", "typed")
    cuts = sorted(rng.randint(0, count) for _ in range(2))
    every = []
    for i in range(count):
        chance, heal = rng.random(), rng.random()
        reasons = tuple(rng.sample(["frost_before_link", "too_hot", "drying", "buds_before_union", "false_spring"], 3))
        source = sources[rng.randrange(5)] if seed % 5 == 4 else sources[sum(i >= c for c in cuts)]
        every.append(
            grafting.day(
                i, (chance, (("drying", 1 - chance),), reasons[: rng.randint(0, 3)], rng.choice(KINDS)),
                healing_days=Spread(heal * 0.6, heal, min(heal * 1.3, 1.0)), source=source,
                air_low_c=mean + rng.uniform(-6, 2), air_high_c=mean + rng.uniform(4, 18),
            )
        )  # fmt: skip
    best = rng.choice(every)
    verdict = rng.choice(["today", "wait", "not now", "ask bark test"])
    day = every[0] if verdict in ("today", "not now") else best
    return grafting.verdict(*every, verdict=verdict, set_on=day.date)


# -- the ribbon -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [328.0, 620.0])
@pytest.mark.parametrize("seed", range(30))
def test_no_word_of_the_ribbon_lies_on_another(grafting, seed, width):
    clear_of_each_other(
        days_ribbon.ribbon(any_verdict(grafting, seed), random.Random(seed).choice([METRIC, US]), width)
    )


def test_each_day_has_its_bar_as_tall_as_its_chance_and_its_tenths(grafting):
    found = grafting.verdict()
    picture = days_ribbon.ribbon(found)
    bars = {kind: re.findall(r"v-([\d.]+)", d) for kind, d in re.findall(r'class="db (\w+)" d="([^"]*)"', picture)}
    assert {kind: len(heights) for kind, heights in bars.items()} == {"poor": 6, "good": 8}
    assert float(bars["good"][0]) / float(bars["poor"][0]) == pytest.approx(0.84 / 0.31, rel=0.01)
    said = [words for words, _ in boxes(picture)]
    assert said.count("3") == 6
    assert said.count("8") == 8
    assert {"13", "26", "Sep", "wait for it", "read", "forecast", "own years"} <= set(said)


def test_shapes_tell_verdicts_apart_without_colour(grafting):
    """Full, half-filled, empty and dashed: the classes differ in more than a hue."""
    days = [
        grafting.day(i, (0.5, (("drying", 0.5),), (), kind), air_low_c=9.0, air_high_c=20.0)
        for i, kind in enumerate(KINDS)
    ]
    picture = days_ribbon.ribbon(grafting.verdict(*days, verdict="not now", set_on=days[0].date))
    assert re.findall(r'class="db (\w+)" d="', picture) == ["good", "fair", "half", "poor", "open"]
    assert picture.count('class="d-window"') == 1, "one good day has one line under it"
    assert re.findall(r'class="(dl-\w+)"', picture) == ["dl-read", "dl-forecast"]


def test_signs_stand_under_days_and_each_is_drawn_once_and_named(grafting):
    found = grafting.verdict()
    picture = days_ribbon.ribbon(found)
    paths = dict(re.findall(r'class="ds-(?:line|full) ds-(\w+)" d="([^"]*)"', picture))
    assert {name: path.count("M") for name, path in paths.items()} == {"frost": 6, "dry": 14}
    symbols = str(days_ribbon.drawn())
    ET.fromstring(symbols)
    assert set(SIGNS) == set(re.findall(r'<symbol id="ds-(\w+)"', symbols))
    assert dict(days_ribbon.shown_signs(found)) == {"frost": "frost", "dry": "drying"}
    assert dict(days_ribbon.shown_verdicts(found)) == {"good": "good", "poor": "poor"}
    assert days_ribbon.sign("tea") == ""


def test_freezing_nights_are_marked_and_the_line_of_freezing_drawn(grafting):
    picture = days_ribbon.ribbon(grafting.verdict())
    cold = re.search(r'class="d-air cold" d="([^"]*)"', picture)
    assert cold is not None
    assert cold[1].count("M") == 2, "lows of −1.5 and −0.5 °C"
    assert 'class="zero"' in picture
    warm = [replace(d, air_low_c=12.0) for d in grafting.ribbon()]
    assert 'class="zero"' not in days_ribbon.ribbon(grafting.verdict(*warm))
    bare = [replace(d, air_low_c=None, air_high_c=None) for d in grafting.ribbon()]
    clear_of_each_other(days_ribbon.ribbon(grafting.verdict(*bare)))


@pytest.mark.parametrize(("chance", "words"), [(0.0, "<1"), (0.04, "<1"), (0.31, "3"), (0.94, "9"), (0.96, ">9")])
def test_tenths_never_say_never_or_always(chance, words):
    assert days_ribbon.tenths(chance) == words


def test_no_days_no_ribbon(grafting):
    assert days_ribbon.ribbon(grafting.nothing()) == ""


def test_the_caption_speaks_of_what_is_there(grafting):
    assert "green line" in days_ribbon.caption(grafting.verdict())
    assert "green line" not in days_ribbon.caption(grafting.bad())


# -- the year ---------------------------------------------------------------------------------------------------------


def any_year(seed):
    rng = random.Random(seed)
    years = rng.choice([1, 2, 5, 24])
    codes = ("", "too_cold", "too_hot", "frost_before_link", "drying", "buds_before_union")
    out, state = [], rng.choice(codes)
    for i in range(52):
        if rng.random() < 0.2:
            state = rng.choice(codes)
        worked = rng.randint(0, years) if rng.random() < 0.3 else years if not state else 0
        day = date(2023, 1, 1) + timedelta(days=7 * i)
        middle = rng.random()
        false = rng.randint(0, years - worked) if rng.random() < 0.15 else 0
        spread = Spread(middle * 0.5, middle, min(1.0, middle * 1.4))
        out.append(WeekOfYear(f"{day:%m-%d}", spread, worked, years, state, false))
    return tuple(out)


@pytest.mark.parametrize("width", [328.0, 1100.0])
@pytest.mark.parametrize("seed", range(20))
def test_no_word_of_the_year_lies_on_another(grafting, seed, width):
    found = grafting.verdict(year=any_year(seed))
    on = date(2024, 1, 1) + timedelta(days=random.Random(seed).randrange(366))
    clear_of_each_other(days_year_chart.year_chart(found, on, width))


def test_the_year_shows_years_that_worked_false_springs_and_what_ends_it(grafting):
    found = grafting.verdict()
    picture = days_year_chart.year_chart(found, date(2024, 9, 13), 1100.0)
    kinds = dict(re.findall(r'<path class="dy (\w+)" d="([^"]*)"', picture))
    count = sum(days_year.kind(w) == "good" for w in found.year)
    assert kinds["good"].count("M") == count
    assert {"false spring", "now", "Bars: years that worked, of 5", "frost", "cold"} <= {w for w, _ in boxes(picture)}
    false = sum(w.false_spring > 0 for w in found.year)
    assert picture.count("ds-frost") == false + 1, "and one beside the bracket of frost"
    assert dict(days_year_chart.year_signs(found)) == {"frost": "frost", "cold": "too cold to heal"}
    assert days_year_chart.year_chart(grafting.nothing()) == ""


# -- the clock --------------------------------------------------------------------------------------------------------


def any_clock(grafting, seed):
    rng = random.Random(seed)
    begin = date(2024, 1, 1) + timedelta(days=rng.randrange(366))

    def event() -> DateSpread:
        at = begin + timedelta(days=rng.randint(2, 80))
        middle, late = at + timedelta(days=rng.randint(0, 20)), at + timedelta(days=rng.randint(20, 60))
        full = [at.isoformat(), middle.isoformat(), late.isoformat()]
        shown = rng.choice([3, 3, 2, 1])
        return DateSpread(*(full[i] if i < shown else None for i in range(3)))

    return grafting.clock(
        set_on=begin.isoformat(), as_of=(begin + timedelta(days=rng.randint(0, 200))).isoformat(), bridge=event(),
        link=event(), push=rng.choice([None, event()]), release=event(),
        latest_release=rng.choice(["", (begin + timedelta(days=rng.choice([60, 90]))).isoformat()]),
    )  # fmt: skip


@pytest.mark.parametrize("width", [328.0, 480.0])
@pytest.mark.parametrize("seed", range(30))
def test_no_word_of_the_clock_lies_on_another(grafting, seed, width):
    clear_of_each_other(days_clock.clock_chart(any_clock(grafting, seed), width))


def test_the_clock_shows_events_today_and_the_last_day_of_the_binding(grafting):
    picture = days_clock.clock_chart(grafting.clock())
    said = [words.replace("\u00a0", " ") for words, _ in boxes(picture)]
    assert {"callus bridge", "first water path", "first push", "binding may come off", "20 Oct", "14 Nov"} <= set(said)
    assert {"set 6 Oct", "today", "binding off by then"} <= set(said)
    assert picture.count('class="d-dot"') == 4
    assert days_clock.clock_chart(grafting.dark()) == ""
    old = days_clock.clock_chart(grafting.clock(as_of="2026-10-30"))
    assert "d-today" not in old, "today lies far beyond the drawing"


def test_what_is_not_reached_has_an_arrow_and_no_dot(grafting):
    open_ = DateSpread("2024-11-01", None, None)
    picture = days_clock.clock_chart(grafting.clock(push=open_))
    assert picture.count('class="d-arrow"') == 1
    assert picture.count('class="d-dot"') == 3
    assert "not in time" in [w for w, _ in boxes(picture)]


def test_the_dates_of_a_verdict_are_drawn_as_the_clock_s(grafting):
    found = grafting.verdict()
    said = [w for w, _ in boxes(days_clock.verdict_chart(found, 560.0))]
    assert "first push" in said
    assert days_clock.verdict_chart(grafting.nothing()) == ""
    assert [name for name, _ in days_clock.verdict_rows(found)] == ["first water path", "first push",
                                                                   "binding may come off"]  # fmt: skip


def test_a_ribbon_of_thirty_days_is_quick(grafting):
    import time

    every = [grafting.day(i) for i in range(30)]
    found = grafting.verdict(*every)
    begun = time.perf_counter()
    days_ribbon.ribbon(found)
    days_rows.day_rows(found)
    assert time.perf_counter() - begun < 0.5
