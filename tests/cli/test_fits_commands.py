"""fits, fruit and ripe at the command line: words, JSON as agreed, errors; mostly without a book."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest


def test_fits_as_agreed(run: Any) -> None:
    data = run("fits", "--scion", "Eureka lemon", "--chain", "Carrizo citrange", "--json").data
    assert data["verdict"] == "recorded_bad"
    (pair,) = data["pairs"]
    assert {"upper", "lower", "verdict", "years_to_sign", "sign", "sources"} <= set(pair)
    assert (pair["upper"], pair["lower"]) == ("'Eureka' lemon", "'Carrizo' citrange")
    assert pair["sources"] == ["chain.UC-CHART"]
    assert data["remedies"]
    years = run("fits", "--scion", "Navelina", "--chain", "Swingle", "--json").data["pairs"][0]["years_to_sign"]
    assert years == {"low": 10.0, "high": 15.0}


@pytest.mark.parametrize(
    ("scion", "chain", "verdict"),
    [
        ("Valencia", "Carrizo", "recorded_good"), ("Eureka", "rough lemon", "mixed"), ("yuzu", "Benton", "no_record"),
        ("Washington navel", "mandarin / sour orange", "mixed"), ("lemon", "trifoliate orange", "recorded_bad"),
    ],
)  # fmt: skip
def test_verdicts_are_the_four(run: Any, scion: str, chain: str, verdict: str) -> None:
    assert run("fits", "--scion", scion, "--chain", chain, "--json").data["verdict"] == verdict


def test_fits_in_words(run: Any) -> None:
    said = run("fits", "--scion", "Eureka", "--chain", "macrophylla")
    assert said.out.startswith("× 'Eureka' lemon: recorded as a bad fit.\n'Eureka' lemon / alemow\n")
    assert "Trouble showed after 5 to 12 years: often dead tissue in the stock." in " ".join(said.out.split())
    assert max(map(len, said.out.splitlines())) <= 80
    assert not [line for line in said.out.splitlines() if line.endswith(" ")]
    brief = run("fits", "--scion", "Eureka", "--chain", "macrophylla", "--brief").out
    assert said.out.startswith(brief)


def test_no_record_is_no_yes(run: Any) -> None:
    said = run("fits", "--scion", "yuzu", "--chain", "Benton", "--brief").out
    assert said.startswith("? Yuzu: no record.")
    assert "That is no yes" in said
    good = run("fits", "--scion", "Valencia", "--chain", "Carrizo", "--brief").out
    assert "no promise" in good.replace("\n", " ")


def test_an_unknown_stock_says_which_answer_decides(run: Any) -> None:
    said = run("fits", "--scion", "Eureka", "--chain", "Volkamer=80%|Carrizo=20%").out
    assert "recorded as a bad fit if it stands on 'Carrizo'" in said
    assert "20 %" in said


def test_tables(run: Any, demo_folder: Path) -> None:
    stocks = run("fits", "--scion", "Eureka", "--json").data
    assert {"name", "key", "verdict", "share", "decides", "sources"} == set(stocks["rows"][0])
    assert stocks["rows"][0]["verdict"] == "recorded_good"
    tree = run("fits", "--tree", "T04", book=demo_folder).out
    assert "a join that stands already: 'Eureka' lemon on 'Troyer'" in tree


def test_errors_name_the_nearest_three(run: Any) -> None:
    said = run("fits", "--scion", "Eurekka", "--chain", "Carrizo")
    assert said.code == 2
    assert "nearest: 'Eureka' lemon," in said.err
    data = run("fits", "--scion", "Eurekka", "--chain", "Carrizo", "--json")
    assert data.data["error"]["field"] == "scion"
    nothing = run("fits")
    assert (nothing.code, nothing.err.splitlines()[0]) == (2, "Nothing is asked yet.")


def test_fruit(run: Any, demo_folder: Path) -> None:
    data = run("fruit", "--scion", "Owari", "--chain", "Carrizo", "--against", "Swingle", "--json").data
    assert {"stocks", "beside", "counted", "cold", "own_tastings", "promise", "sources"} <= set(data)
    assert [s["on"] for s in data["stocks"]] == ["'Carrizo' citrange", "'Swingle' citrumelo"]
    row = data["stocks"][0]["quantities"][0]
    assert row["low"] <= row["middle"] <= row["high"]
    said = run("fruit", "--scion", "Washington", "--tree", "T01", book=demo_folder).out
    assert "too early to count" in said
    assert "cannot" not in run("fruit", "--scion", "Owari", "--chain", "Carrizo", "--brief").out
    assert max(map(len, said.splitlines())) <= 80


def test_fruit_keys_turn_with_the_units(run: Any, demo_folder: Path) -> None:
    data = run("fruit", "--scion", "Washington", "--tree", "T01", "--units", "us", "--json", book=demo_folder).data
    assert set(data["cold"]["lows"][0]) == {"year", "low_f"}


def test_ripe(run: Any, demo_folder: Path) -> None:
    data = run("ripe", "--json", book=demo_folder).data
    card = next(c for c in data["pollen"] if c["name"] == "'de Nules' clementine")
    assert card["seeds"][0]["explained_by"]["name"] == "'Minneola' tangelo"
    said = run("ripe").out
    assert "The pollen partner explains it: 'Minneola' tangelo" in said
    assert "A stock brings no seeds." in said.replace("\n", " ")
    assert max(map(len, said.splitlines())) <= 80
