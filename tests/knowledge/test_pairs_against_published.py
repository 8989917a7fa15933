"""What fits on what, against the chart and the reports it was taken from."""

import tomllib
from collections import Counter
from pathlib import Path

import pytest

from barkslip.knowledge.load import load

PUBLISHED = Path(__file__).parents[1] / "published"
CHART = tomllib.loads((PUBLISHED / "uc_fit_chart.toml").read_text(encoding="utf-8"))
CELLS = [
    (stock, top, cell)
    for stock, line in CHART["rows"].items()
    for top, cell in zip(CHART["columns"], line.split(), strict=True)
]
VERDICTS = {"C": "recorded_good", "I": "recorded_bad", "U": "recorded_doubt"}


@pytest.fixture(scope="module")
def pairs():
    return load().rows("pairs")


def test_the_chart_is_whole(pairs):
    assert len(CELLS) == 120
    filled = {f"chart_{top}_on_{stock}" for stock, top, cell in CELLS if cell[0] != "-"}
    assert filled == {key for key in pairs if key.startswith("chart_")}


@pytest.mark.parametrize(("stock", "top", "cell"), [c for c in CELLS if c[2][0] != "-"])
def test_cells_against_the_chart(pairs, stock, top, cell):
    row = pairs[f"chart_{top}_on_{stock}"]
    assert (row.cell("upper"), row.cell("lower"), row.cell("verdict")) == (top, stock, VERDICTS[cell[0]])
    assert row.cell("where") == "chart I" + (f", footnote {cell[1:]}" if cell[1:] else "")
    assert ("Printed as unsuitable." in row.cell("note")) == (cell[0] == "U")
    inferred = stock in CHART["inferred_rows"] or top in CHART["inferred_columns"]
    assert row.cell("status") == ("assumption" if inferred else "published")
    assert ("was inferred" in row.cell("note")) == inferred


def test_cause_and_what_a_piece_between_cannot_stop(pairs):
    travels = {"virus", "viroid", "graft-transmissible agent"}
    for key, row in pairs.items():
        assert bool(row.cell("cause")) == (row.cell("verdict") != "recorded_good"), key
        if row.cell("cause"):
            expected = {"localized": "no"} | dict.fromkeys(travels, "yes")
            assert row.cell("carried") == expected.get(row.cell("cause"), "not known"), key
        assert bool(row.cell("pathogen")) == (row.cell("cause") in travels), key
        assert not row.cell("pathogen") or row.cell("condition"), key


def test_keys_say_who_stands_on_what(pairs):
    for key, row in pairs.items():
        plain = key.removeprefix("chart_")
        assert plain.startswith(f"{row.cell('upper')}_on_{row.cell('lower')}"), key
        on_good = row.cell("verdict") == "recorded_good"
        assert row.cell("topic") == ("watched without trouble for" if on_good else "trouble showed after"), key
        assert row.value.unit == "year", key


def test_verdicts(pairs):
    assert Counter(row.cell("verdict") for row in pairs.values()) == {
        "recorded_good": 86, "recorded_bad": 72, "recorded_doubt": 52,
    }  # fmt: skip
    assert Counter(row.cell("status") for row in pairs.values()) == {"published": 176, "assumption": 26, "recalled": 8}


@pytest.mark.parametrize(
    ("key", "verdict", "low", "value", "high"),
    [
        # Western Australia, DPIRD 2020: Eureka on C-35 as early as 3 years; Navelina on Swingle 10 to 15
        ("eureka_on_c35", "recorded_bad", 3, None, None),
        ("navelina_on_swingle", "recorded_bad", 10, None, 15),
        # Chart II of the Californian charts
        ("limoneira_8a_on_macrophylla", "recorded_bad", 16, None, 21),
        ("monroe_lisbon_on_sour_orange", "recorded_bad", 12, None, 15),
        ("eureka_on_sweet_orange", "recorded_good", 20, None, None),
        # Georgiou 2009, abstract: dead 3 to 4 years after grafting
        ("lapithkiotiki_on_swingle", "recorded_bad", 3, None, 4),
        # Kallsen 2012 after Schneider & Pehrson 1985: 15 to 20 years
        ("frost_navel_on_trifoliate", "recorded_bad", 15, None, 20),
        # Freeman, Broadbent & Nicholls 1986, abstract
        ("eureka_on_benton", "recorded_good", None, None, None),
        # Bitters: Valencia on calamondin folds at 2 to 3 years
        ("valencia_on_calamondin", "recorded_bad", 2, None, 3),
    ],
)
def test_years_against_the_reports(pairs, key, verdict, low, value, high):
    row = pairs[key]
    assert (row.cell("verdict"), row.value.low, row.value.value, row.value.high) == (verdict, low, value, high)


def test_pieces_between_against_girardi_2006(pairs):
    # Girardi & Mourao Filho 2006, abstract: Pera on Volkamer and Swingle over Valencia, Hamlin, Sunki or Cleopatra
    for stock in ("swingle", "volkamer"):
        row = pairs[f"pera_on_{stock}"]
        assert row.cell_list("between") == ("valencia", "hamlin", "sunki", "cleopatra")
        assert (row.cell("cause"), row.cell("carried"), row.cell("status")) == ("localized", "no", "published")


def test_a_column_may_refer_to_several_tables(tmp_path):
    from barkslip.knowledge.check import check

    columns = "key,name,topic,upper_in,upper,lower_in,lower,verdict,strength,between,value,unit,source,status"
    head = f"{columns}\n"
    line = (
        "mine,mine,watched,varieties,eureka,rootstocks,carrizo,recorded_good,weak,valencia;sunki,4,year,"
        "own.trade,common practice\n"
    )
    (tmp_path / "pairs.csv").write_text(head + line, encoding="utf-8")
    assert check(tmp_path) == []
    (tmp_path / "pairs.csv").write_text(head + line.replace("sunki", "sunky").replace("s,carrizo", "s,lemon"), "utf-8")
    problems = check(tmp_path)
    assert [(p.column, p.problem, p.given) for p in problems] == [
        ("between", "No such key in varieties or rootstocks.", "sunky"),
        ("lower", "No such key in rootstocks.", "lemon"),
    ]
    assert problems[0].next_step == "Use one of these, or add it to varieties.csv or rootstocks.csv."
