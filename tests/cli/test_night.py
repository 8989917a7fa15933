"""`barkslip night`: the contract of its command and of its JSON, asked of the real model."""

from __future__ import annotations

import re
from typing import Any

import pytest

TYPED = (
    "night", "--lat", "36.1", "--date", "2026-01-15", "--sunset-temp", "5", "--low", "-4", "--dew-point", "-4.5",
    "--wind", "0.5", "--cloud", "0", "--species", "sweet orange", "--height", "2", "--width", "1.5",
    "--members", "80", "--seed", "1",
)  # fmt: skip
MEASURES = ("--cover", "blanket", "--lamps", "100W", "--bucket", "19L@60C")


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_promised_command_needs_no_book_and_gives_the_promised_keys(run: Any) -> None:
    said = run(*TYPED, *MEASURES, "--json")
    assert (said.code, said.err) == (0, "")
    data = said.data
    for organ in data["organs"]:
        assert set(organ["low_c"]) == {"p10", "p50", "p90"}
        assert organ["low_c"]["p10"] <= organ["low_c"]["p50"] <= organ["low_c"]["p90"]
        assert isinstance(organ["air_low_c"], float)
        assert isinstance(organ["hours_below_critical"], float)
        assert 0.0 <= organ["chance_of_harm"] <= 1.0
        assert organ["status"] in ("measured", "published", "recalled", "common practice", "assumption")
    assert [row["time"][:2] for row in data["series"]] == sorted(
        (row["time"][:2] for row in data["series"]), key=lambda h: (int(h) < 12, int(h))
    )
    assert {"air_c", "leaf_exposed_c", "twig_c", "bark_c"} <= set(data["series"][0])
    assert len(data["measures"]) == 8  # nothing, and every combination of three
    assert {"harm_curve", "cover_leak", "tent_sky_view"} <= set(data["unknown_codes"])
    assert any("carbon monoxide" in text for text in data["cautions"])
    assert re.fullmatch(r"[0-9a-f]{64}", data["knowledge_hash"])
    assert (data["members"], data["seed"]) == (80, 1)


def test_every_measure_is_optional(run: Any) -> None:
    data = run(*TYPED, "--json").data
    assert data["measures"][0]["parts"] == []
    assert len(data["measures"]) > 5  # what a home usually has


def test_the_same_seed_gives_the_same_words(run: Any) -> None:
    assert run(*TYPED, *MEASURES).out == run(*TYPED, *MEASURES).out


def test_words_come_verdict_first_and_fit_80_columns(run: Any) -> None:
    said = run(*TYPED, *MEASURES)
    lines = said.out.splitlines()
    assert re.fullmatch(r"Outer leaves: (more than )?\d+ in 10 chance of harm\.", lines[0])
    assert max(map(len, lines)) <= 80
    assert not [line for line in lines if line.endswith(" ")]
    order = [
        "Coldest", "Still frost", "cover on", "! Lamp, cord and plug", "What each measure gains tonight",
        "What would change it", "What is not known", "Where this comes from", "estimate with a spread",
    ]  # fmt: skip
    places = [plain(said.out).index(words) for words in order]
    assert places == sorted(places)


def test_the_letters_of_the_ladder_lead_to_cautions(run: Any) -> None:
    out = run(*TYPED, *MEASURES).out
    row = next(line for line in out.splitlines() if line.startswith("100 W lamp "))
    care = row.split()[-1]
    for letter in care:
        assert re.search(rf"^  {letter}  \w", out, re.MULTILINE)
    assert "RCD or GFCI" in plain(out)


def test_brief_leaves_out_the_ladder_but_no_caution(run: Any) -> None:
    out = run(*TYPED, *MEASURES, "--brief").out
    assert "What each measure gains" not in out
    for words in ("RCD or GFCI", "carbon monoxide", "no promise; local electrical and fire codes"):
        assert words in plain(out)


@pytest.mark.parametrize("columns", ["40", "58", "120"])
def test_any_terminal_is_wide_enough(run: Any, monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    lines = run(*TYPED, *MEASURES).out.splitlines()
    assert max(map(len, lines)) <= int(columns)


def test_fahrenheit_in_and_out(run: Any) -> None:
    here = run(*TYPED, "--json").data
    said = run(
        "night", "--units", "us", "--lat", "36.1", "--date", "2026-01-15", "--sunset-temp", "41", "--low", "24.8",
        "--dew-point", "23.9", "--wind", "0.5 m/s", "--cloud", "0", "--species", "sweet orange", "--height", "2m",
        "--width", "1.5m", "--members", "80", "--seed", "1", "--json",
    )  # fmt: skip
    assert said.code == 0, said.err
    low_f = said.data["organs"][0]["low_f"]["p50"]
    low_c = here["organs"][0]["low_c"]["p50"]
    assert low_f == pytest.approx(low_c * 1.8 + 32.0, abs=0.01)
    assert not [k for k in said.data["organs"][0] if k.endswith(("_c", "_k"))]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (
            ("--low", "8"),
            "The low is above the air of the evening.\n"
            "Given: low 8.0 °C, at sunset 5.0 °C\n"
            "Allowed: a low that is not above the evening\n"
            "Next: Check both; they may have been swapped.\n",
        ),
        (
            ("--cover", "blanket", "--cover-height", "1"),
            "The cover is smaller than the tree.\n"
            "Given: cover 1 m high and 1.8 m wide, tree 2 and 1.5 m\n"
            "Allowed: at least the size of the tree\n"
            "Next: Correct the size, or leave it out to take one that fits.\n",
        ),
    ],
)
def test_what_cannot_be_is_told_and_ends_with_2(run: Any, more: tuple[str, ...], message: str) -> None:
    said = run(*TYPED, *more)
    assert (said.code, said.out, said.err) == (2, "", message)


def test_a_night_of_the_book_needs_the_tree_s_name_only_besides_the_air(run: Any, demo_folder: Any) -> None:
    said = run(
        "night", "--tree", "T03", "--sunset-temp", "6", "--low", "-3", "--members", "60", "--json", book=demo_folder
    )
    assert (said.code, said.err) == (0, "")
    assert said.data["tree"]["name"] == "Thornback"
    assert said.data["plot"] == "LOW"
    gone = run("night", "--tree", "T99", "--sunset-temp", "6", "--low", "-3")
    assert gone.code == 3


def test_without_a_book_and_without_a_place_it_says_so(run: Any, tmp_path: Any) -> None:
    said = run("night", "--sunset-temp", "5", "--low", "-4", book=tmp_path / "none")
    assert said.code == 3
    assert said.out == ""
