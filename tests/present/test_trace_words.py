"""A trace in words: ranges kept, not knowing said, no verdict on a disease, shapes beside colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date

import pytest

from barkslip.domain.known import Row
from barkslip.domain.sourced import Value
from barkslip.domain.trace import (
    CERTAIN,
    PROBLEMS,
    UNKNOWN_ODDS,
    WAYS,
    Agent,
    Cleaning,
    Contact,
    Node,
    Odds,
    Problem,
    Reached,
    Trace,
)
from barkslip.present import trace as words
from barkslip.present import trace_data, trace_graph

DAY = date(2024, 5, 1)
NODES = (
    Node("lot", "W1", "w1", "in store", name="Navel", came="neighbour"),
    Node("graft", "G1-1", "g1", "took", name="Navel"),
    Node("tree", "T1", "t1", name="Well"),
    Node("graft", "G1-2", "g2", "took", name="Navel"),
    Node("tool", "Knife"),
    Node("receiver", "Next door"),
    Node("graft", "G1-10", "g3", "took", name="Navel"),
)


def made(**more) -> Trace:
    some = Odds(0.8, 0.4, 1.0)
    contacts = (
        Contact(0, 1, "wood", DAY, CERTAIN, True), Contact(0, 3, "wood", DAY, CERTAIN, True),
        Contact(0, 6, "wood", DAY, CERTAIN, True), Contact(1, 2, "union", DAY, some, True),
        Contact(3, 2, "union", DAY, some), Contact(2, 4, "blade", DAY, some, True),
        Contact(0, 5, "given", DAY, CERTAIN, True),
    )  # fmt: skip
    reached = (
        Reached(1, DAY, None, CERTAIN, 1), Reached(3, DAY, None, CERTAIN, 1), Reached(6, DAY, None, CERTAIN, 1),
        Reached(2, DAY, None, some, 2), Reached(4, DAY, None, UNKNOWN_ODDS, 3, UNKNOWN_ODDS),
        Reached(5, DAY, None, CERTAIN, 1),
    )  # fmt: skip
    agent = Agent("exocortis", "exocortis", some, some, some)
    given = {"origin": 0, "why": "infection", "backward": False, "since": None, "on": DAY, "nodes": NODES}
    given |= {"contacts": contacts, "reached": reached, "agent": agent, "hold": (0, 2), "test": ((2, 0.72),)}
    return Trace(**given | more)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("odds", "said", "short"),
    [
        (CERTAIN, "for certain", "certain"),
        (Odds(0.8, 0.4, 1.0), "8 in 10 (4 in 10 to always)", "8 in 10"),
        (Odds(0.003, 0.0, 0.02), "less than 1 in 100 (never to 1 in 50)", "less than 1 in 100"),
        (UNKNOWN_ODDS, "not known (never to always)", "not known"),
        (Odds(0.1, 0.0, 0.2, known=False), "not known (never to 2 in 10)", "not known"),
    ],
)
def test_a_chance_keeps_its_range_and_not_knowing_is_said(odds, said, short):
    assert plain(words.odds_words(odds)) == said
    assert plain(words.short_odds(odds)) == short


def test_the_headline_supposes_and_never_says_that_it_is_there():
    assert words.headline(made()) == (
        "If W1 carries exocortis, 1 tree, 3 grafts and 1 tool can have been reached; 1 receiver to be told."
    )
    assert words.headline(made(reached=())) == "Nothing in the book was reached from W1."
    assert words.headline(made(backward=True)).startswith("Exocortis in W1 can have come by way of 1 tree")
    assert words.headline(made(why="wrong name", agent=None)).startswith("If W1 has a wrong name, so have")


def test_the_first_caution_is_that_looks_give_no_verdict():
    for trace in (made(), made(reached=()), made(agent=Agent("", "", CERTAIN, CERTAIN, CERTAIN))):
        assert words.caution_texts(trace)[0] == words.NO_VERDICT
        assert "plant-health authority" in words.caution_texts(trace)[1]
    assert "blade" in words.caution_codes(made())
    assert words.caution_codes(made(why="wrong name")) == ["name", "ask"]


def test_every_code_has_its_words():
    for code in PROBLEMS:
        assert words.problem_words(Problem(code, "A, B", "2024-05-01")).startswith("A, B")
    assert words.problem_words(Problem("order_not_known", "Saw", "2024-05-01")).startswith("Saw, 1\u00a0May 2024:")
    for code in ("works", "partly", "fails", "too_short", "too_weak", "no_time", "recipe", "other_agent", "not_known"):
        assert words.cleaning_words(Cleaning("x", code, None, CERTAIN)).startswith("x: ")
    for code in words.UNKNOWNS:
        assert "{" not in words.unknown_words(made(unknowns=(code,)))[0]


def test_ways_are_worded_from_both_ends():
    trace = made()
    said = {c.way: (words.way_words(trace, c, c.target), words.way_words(trace, c, c.source)) for c in trace.contacts}
    assert said == {
        "wood": ("set from W1", "G1-10 was set from it"),
        "union": ("G1-2 stands on it", "stands on T1"),
        "blade": ("cut T1", "cut with Knife"),
        "given": ("was given W1", "given to Next door"),
    }
    cut = Contact(1, 0, "cut", DAY, CERTAIN, True)
    assert (words.way_words(trace, cut, 0), words.way_words(trace, cut, 1)) == ("cut from G1-1", "W1 was cut from it")
    assert set(said) | {"cut"} == set(WAYS)


def test_equal_grafts_stand_together_in_their_own_order():
    bundles = {codes: len(things) for things, codes, _ in words.bundled(made())}
    assert bundles["G1-1 … G1-10, 3 grafts"] == 3
    assert [n.id for n in sorted(NODES, key=lambda n: n.order) if n.kind == "graft"] == ["G1-1", "G1-2", "G1-10"]


def test_what_is_hardly_reached_is_named_apart():
    trace = made(reached=(Reached(2, DAY, None, Odds(0.001, 0.0, 0.01), 2), Reached(1, DAY, None, CERTAIN, 1)))
    assert plain(words.hardly_words(trace)) == "Hardly, at most 1 in 100 each: T1."
    assert [codes for _, codes, _ in words.bundled(trace)] == ["G1-1"]
    assert words.hardly_words(made()) == ""


def test_what_to_test_names_the_index_plant_with_how_it_is_known():
    row = Row("pathogens", "x", {"index_plant": "Etrog citron"},
              values={"index_months": (Value(None, "month", "chain.M", "recalled", 2.0, 6.0),)})  # fmt: skip
    trace = made(agent=Agent("x", "x", CERTAIN, CERTAIN, CERTAIN, row=row))
    assert plain(words.test_lead(trace)) == (
        "Test W1 itself first: all else hangs on it. Index plant: Etrog citron; 2 to 6 months (recalled). "
        "One clean stick does not clear a tree."
    )


def test_the_drawing_has_a_shape_and_words_for_each_kind():
    for width in (328.0, 520.0):
        svg = str(trace_graph.graph(made(), width))
        root = ET.fromstring(svg)
        text = " ".join(root.itertext())
        for word in ("W1 Navel", "G1-1", "T1 Well", "Knife", "Next door", "certain", "not known", "suspect"):
            assert word in text
        assert svg.count("trace-maybe") == 1  # dashed edge: the knife, of which nothing is known
        assert 'class="trace-mark trace-full"' in svg
        right = float(root.attrib["viewBox"].split()[2])
        assert all(float(t.attrib["x"]) < right for t in root.iter() if t.tag.endswith("text"))
    assert str(trace_graph.graph(made(reached=()))) == ""
    assert [word for word, _ in trace_graph.key()][:5] == ["wood lot", "graft", "tree", "tool", "receiver"]
    assert len({str(shape) for _, shape in trace_graph.key()}) == 7


def test_data_has_the_promised_keys_and_plain_spaces():
    data = trace_data.trace_data(made())
    assert {"reached", "received", "hold", "test", "cautions", "unknowns"} <= set(data)
    assert data["reached"][0] | {} == data["reached"][0]
    assert {"kind", "id", "earliest", "chance"} <= set(data["reached"][0])
    assert data["reached"][3]["via"] == {"kind": "graft", "id": "G1-1"}
    assert "\u00a0" not in str(data)
    assert not re.search(r"\blegal\b|disease is", str(data))


def test_a_card_says_what_is_only_recalled():
    cells = {"name": "x", "agent": "a virus", "by_graft": "yes", "moving": "Ask.", "recalled": "by_graft"}
    row = Row("pathogens", "x", cells | {"status": "published"})
    assert trace_data.card_text(row) == [
        ("What it is", "a virus"),
        ("By grafts", "yes (recalled)"),
        ("Moving wood", "Ask."),
    ]
    assert trace_data.card_data(row)["cautions"][0] == words.NO_VERDICT
