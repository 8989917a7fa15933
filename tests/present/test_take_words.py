"""What took in words, as data and drawn: nothing is called best from few, what waits is said to wait."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date

import pytest

from barkslip.domain.take import (
    BY,
    NOTES,
    Alone,
    Curve,
    Range,
    Shares,
    TakeGroup,
    TakePair,
    TakeVerdict,
    Year,
)
from barkslip.domain.units import METRIC, US
from barkslip.present import take, take_chart, take_data

CURVE = Curve(
    weeks=(0.0, 3.0, 10.0, 40.0), pushed=(0.0, 0.4, 0.8, 0.8), failed=(0.0, 0.1, 0.2, 0.2),
    other=(0.0, 0.0, 0.0, 0.05), standing=(1.0, 0.9, 0.8, 0.75), low=(0.7, 0.6, 0.5, 0.45), high=(1.0, 0.97, 0.93, 0.9),
    at_risk=(20, 20, 17, 5),
)  # fmt: skip
YEAR = Year(23, 31, 16, date(2025, 10, 6))


def group(name="T-bud", n=18, took=14, waiting=0, **changed):
    found = TakeGroup(
        group=name, n=n, took=took, waiting=waiting, lost=n - took - waiting, lost_after=0,
        take_26w=Range(0.704, 0.871, 0.946), stands_26w=Range(0.67, 0.84, 0.93), shares=Shares(0.14, 0.37, 0.49),
        ranked=True, better_than={"bark graft": 0.77}, needed=364, needed_for="bark graft", year=Year(14, 18, 0, None),
        curve=CURVE, stock_mm=(7.0, 14.0),
    )  # fmt: skip
    return replace(found, **changed)


def pair(**changed):
    found = TakePair(
        "T-bud", "bark graft", 0.77, Range(-0.106, 0.079, 0.246), 0.46, False, 382, ("months", "thickness")
    )
    return replace(found, **changed)


def verdict(**changed):
    groups = (group(), group("bark graft", 47, 35, 2, year=YEAR, needed=None, needed_for="T-bud"))
    single = group("cleft graft", 1, 1, ranked=False, better_than={}, shares=Shares(0.3, 0.62, 0.08))
    found = TakeVerdict(
        by="method", groups=(*groups, single), pairs=(pair(),),
        alone=(Alone("cleft graft", "tree", "T09"), Alone("cleft graft", "thickness", "thicker")),
        whole=group("", 66, 50, 2, lost_after=6, better_than={}, ranked=False, needed=0, needed_for=""),
        effects=(("heat", Range(0.9, 2.4, 6.5)),), as_of=date(2025, 6, 30), draws=2014, ess=526.6,
        knowledge_hash="e8e41416a40e0000",
    )  # fmt: skip
    return replace(found, **changed)


def plain(text):
    return text.replace("\u00a0", " ")


def test_nothing_is_called_better_before_it_can_be():
    assert take.headline(verdict()) == "No method can be called better yet."


def test_what_is_told_carries_its_doubt():
    told = verdict(pairs=(pair(chance=0.93, told=True),))
    assert take.headline(told) == "T-bud has likely taken better than bark graft. Something else may be behind it."
    assert take.headline(verdict(pairs=(pair(chance=0.93, told=True, never_together=()),))) == (
        "T-bud has likely taken better than bark graft."
    )


def test_one_of_one_is_called_nothing():
    v = verdict(pairs=(), notes=("no_ranking",))
    assert take.headline(v) == "Too few grafts to compare."
    single = v.groups[-1]
    assert take.unranked_text(v, single) == "Fewer than 5 with a verdict: not compared"
    words = " ".join(
        plain(w) for w in (take.headline(v), take.count_text(single), take.take_text(single), take.shares_text(single))
    )
    assert "1 of 1 took" in words
    assert "100 %" not in words
    assert "best" not in words


def test_counts_in_words():
    assert take.count_text(group(took=14, n=18)) == "14 of 18 took, 4 did not take"
    assert take.count_text(group(n=47, took=35, waiting=2, lost_after=2)) == (
        "35 of 47 took, 2 still waiting, 10 did not take; 2 of those that took were lost later"
    )
    assert take.count_text(group(n=3, took=3, lost_after=1)) == "3 of 3 took; 1 of those that took was lost later"
    assert take.count_text(group(n=1, took=1, lost_after=1)) == "1 of 1 took; it was lost later"


def test_a_year_not_yet_over_is_said_to_wait():
    assert plain(take.year_text(group(year=Year(0, 0, 16, date(2025, 10, 6))))) == (
        "after a year not yet known of 16, the last on 6 Oct 2025"
    )
    assert plain(take.year_text(group(year=YEAR))) == (
        "23 of 31 alive after a year; 16 not yet known, the last on 6 Oct 2025"
    )
    assert take.year_text(group(year=Year(2, 3, 0, None))) == "2 of 3 alive after a year"
    assert take.year_text(group(year=Year(0, 0, 0, None))) == ""


def test_ranges_and_shares():
    assert plain(take.take_text(group())) == "70 to 95 % take, middle 87 %"
    assert plain(take.stands_text(verdict(), group())) == "67 to 93 % still stand after 26 weeks, other causes counted"
    assert plain(take.shares_text(group())) == (
        "The answer is 14 % from what is believed of grafts anywhere, 37 % from your other grafts and 49 % from these"
    )
    alone = group(shares=Shares(0.23, 0.0, 0.77))
    assert plain(take.shares_text(alone)) == (
        "The answer is 23 % from what is believed of grafts anywhere and 77 % from these"
    )


def test_what_is_still_needed():
    assert (
        take.needed_text(group())
        == "364 more grafts to tell it from bark graft, if they are as far apart as it seems now"
    )
    assert take.needed_text(group(needed=None)) == (
        "It seems so close to bark graft that no garden sets enough grafts to tell them apart"
    )
    assert take.needed_text(group(needed=0)) == (
        "Enough grafts to tell it from bark graft, if they are as far apart as it seems now"
    )
    assert take.needed_text(group(needed=1, needed_for="")) == "1 more graft for a range of ten points either way"
    assert take.needed_text(group(needed=0, needed_for="")) == "Enough grafts for a range of ten points either way"


def test_a_pair_in_words():
    one = pair()
    assert (take.pair_head(one), take.pair_verdict(one)) == ("T-bud over bark graft", "can't tell yet, 77 in 100")
    assert plain(take.pair_text(one)) == (
        "−11 to +25 points, middle +8; more than ten points apart: 46 in 100. To tell takes as far apart as they seem "
        "now, about 382 of each are needed in all."
    )
    assert take.behind_text(one) == (
        "They have never shared a time of year or a thickness of the stock: that may be behind a difference."
    )
    assert take.behind_text(pair(never_together=("lot", "heat", "wood"))) == (
        "They have never shared a wood lot, heat in the first weeks or an age of the wood: "
        "that may be behind a difference."
    )
    assert take.behind_text(pair(never_together=())) == ""
    assert take.pair_verdict(pair(told=True, chance=0.999)) == "likely better, 99 in 100"


def test_what_cannot_be_told_apart():
    assert take.alone_rows(verdict()) == (("cleft graft", "tree T09 and thicker stocks than all others"),)


def test_effects_and_notes():
    assert take.effect_rows(verdict()) == (("Heat in the first weeks", "× 2.4 (0.9 to 6.5)"),)
    assert take.notes(verdict(notes=("none_lost",))) == (
        "None has been lost. That is no 100 %: the range says how low it can still be.",
    )
    left = take.notes(verdict(notes=("left_out",), left_out=3))
    assert left[0].endswith("move no range. Here 3 grafts.")
    assert take.notes(verdict(lumped=("a", "b"))) == ("2 small groups were put together as all others.",)


@pytest.mark.parametrize("code", NOTES)
def test_every_note_has_words(code):
    assert take.NOTES[code].endswith(".")


def test_a_failed_fit_says_so_and_claims_no_standing():
    v = verdict(notes=("fit_failed",), pairs=(), effects=())
    assert "could not be trusted" in take.notes(v)[0]
    assert take.stands_text(v, v.groups[0]) == ""
    assert plain(take.whole_text(v)).startswith("All together: 50 of 66 took")
    assert "26 weeks" not in take.whole_text(v)


def test_a_book_without_grafts():
    none = group("", 0, 0, shares=Shares(1.0, 0.0, 0.0), curve=None)
    v = verdict(groups=(), pairs=(), alone=(), effects=(), whole=none, notes=("no_grafts",))
    assert take.headline(v) == "No graft has been set yet."
    assert plain(take.whole_text(v)) == "Believed of grafts anywhere: 70 to 95 % take."
    assert take_chart.ranges(v) == ""
    assert take_data.take_data(v)["groups"] == []


def test_thickness_in_the_readers_unit():
    assert plain(take.thick_text(group(), METRIC)) == "stocks 7 mm to 14 mm"
    assert "in" in take.thick_text(group(), US)


# -- drawn -----------------------------------------------------------------------------------------------------------


def shapes(svg, tag):
    root = ET.fromstring(str(svg))
    return [e for e in root.iter() if e.tag.endswith(tag)]


def test_ranges_are_drawn_beside_counts():
    svg = take_chart.ranges(verdict())
    lines = [e for e in shapes(svg, "line") if "take-line" in e.get("class", "")]
    # one in the key, three groups, all together
    assert len(lines) == 5
    first = lines[1]
    left, right = 10.0, 328.0 - 14.0
    assert float(first.get("x1")) == pytest.approx(left + 0.704 * (right - left), abs=0.06)
    assert float(first.get("x2")) == pytest.approx(left + 0.946 * (right - left), abs=0.06)
    rings = [e for e in shapes(svg, "circle") if e.get("class") == "take-ring"]
    assert float(rings[1].get("cx")) == pytest.approx(left + 14 / 18 * (right - left), abs=0.06)


def test_groups_of_few_are_dashed_by_class_and_not_by_colour():
    svg = take_chart.ranges(verdict())
    assert [e.get("class") for e in shapes(svg, "line") if "few" in e.get("class", "")] == ["take-line few"]


def test_words_of_the_drawings_lie_on_the_sheet_and_off_each_other():
    from barkslip.present.labels import text_width

    for svg in (take_chart.ranges(verdict()), take_chart.curves(CURVE, "Curves")):
        boxes = []
        for e in shapes(svg, "text"):
            size, text = float(e.get("font-size")), e.text or ""
            width = text_width(text, size)
            x, y = float(e.get("x")), float(e.get("y"))
            left = {"middle": x - width / 2, "end": x - width}.get(e.get("text-anchor", ""), x)
            assert size >= 13
            assert left >= -1, text
            assert left + width <= 328.0 + 1, text
            boxes.append((text, left, left + width, y - size, y))
        for i, (a, x0, x1, y0, y1) in enumerate(boxes):
            for b, u0, u1, v0, v1 in boxes[i + 1 :]:
                assert x1 <= u0 + 1 or u1 <= x0 + 1 or y1 <= v0 + 4 or v1 <= y0 + 4, (a, b)


def test_curves_name_their_lines():
    words = {e.text for e in shapes(take_chart.curves(CURVE, "Curves"), "text")}
    assert {"standing", "had pushed", "dried or black", "broken, eaten, choked"} <= words
    quiet = replace(CURVE, other=(0.0,) * 4)
    assert "broken, eaten, choked" not in {e.text for e in shapes(take_chart.curves(quiet, "Curves"), "text")}
    assert take_chart.curves(None, "Curves") == ""


def test_curves_have_a_table():
    rows = take_chart.curve_rows(CURVE)
    assert [r[0] for r in rows] == ["2", "4", "8", "16", "26"]
    assert [plain(c) for c in rows[1]] == ["4", "17", "90 %", "60–97 %", "40 %", "10 %", "0 %"]


# -- data ------------------------------------------------------------------------------------------------------------


def test_the_promised_keys():
    data = take_data.take_data(verdict())
    first = data["groups"][0]
    assert {"group", "n", "took", "waiting", "lost", "take_26w", "prior_share", "better_than", "needed"} <= set(first)
    assert first["take_26w"] == {"p05": 0.704, "p50": 0.871, "p95": 0.946}
    assert first["prior_share"] == 0.14
    assert first["better_than"] == {"bark graft": 0.77}
    assert data["groups"][1]["after_a_year"] == {"alive": 23, "known": 31, "waiting": 16, "last_due": "2025-10-06"}
    assert data["groups"][2]["better_than"] == {}
    assert data["confounded"][0] == {"group": "cleft graft", "with": "tree", "value": "T09"}


def test_every_grouping_has_words():
    assert set(BY) <= set(take.BEHIND)


def test_many_pairs_are_folded_and_those_told_never():
    many = tuple(pair(chance=0.9 - 0.01 * i) for i in range(10))
    shown, rest = take.shown_pairs(verdict(pairs=many))
    assert (len(shown), len(rest)) == (4, 6)
    told = tuple(pair(told=True, chance=0.95) for _ in range(6))
    shown, rest = take.shown_pairs(verdict(pairs=(*told, *many)))
    assert all(p.told for p in shown)
    assert len(shown) == 6
