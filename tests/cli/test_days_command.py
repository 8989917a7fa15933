"""`barkslip days`: the contract of its command and of its JSON, asked of the real model on a published weather file."""

from __future__ import annotations

import re
from datetime import date, timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from barkslip.present.days_words import DAY_WORDS

SPEC = find_spec("pvlib")
assert SPEC is not None
assert SPEC.origin is not None
#: Hours of a typical year at Greensboro NC, as the package pvlib brings them.
GREENSBORO = str(Path(SPEC.origin).parent / "data" / "723170TYA.CSV")
MIAMI = str(Path(SPEC.origin).parent / "data" / "12839.tm2")
ASK = ("days", "--species", "citrus", "--method", "bark graft", "--weather", GREENSBORO)
FEW = ("--members", "60", "--seed", "1", "--years", "no")
SPRING = ("--from", "2024-03-20")


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_promised_command_needs_no_book_and_gives_the_promised_keys(run: Any, tmp_path: Path) -> None:
    said = run(*ASK, *SPRING, "--json", book=tmp_path / "none")
    assert (said.code, said.err) == (0, "")
    days = said.data["days"]
    assert [d["date"] for d in days] == [(date(2024, 3, 20) + timedelta(days=i)).isoformat() for i in range(14)]
    for one in days:
        for name in ("healing_days", "heat_dose", "water_lost_pct", "frost_hours"):
            assert set(one[name]) == {"p10", "p50", "p90"}
            assert 0 <= one[name]["p10"] <= one[name]["p50"] <= one[name]["p90"]
        assert 0.0 <= one["healing_days"]["p50"] <= 1.0
        assert one["chance"] + sum(one["ended_by"].values()) == pytest.approx(1.0, abs=0.003)
    release = said.data["release_date"]
    assert set(release) == {"p10", "p50", "p90"}
    assert "2024-04-01" < release["p50"] < "2024-07-01"
    assert len(said.data["year"]) == 52
    assert re.fullmatch(r"[0-9a-f]{64}", said.data["knowledge_hash"])


def test_the_time_of_the_year_is_right(run: Any) -> None:
    """Greensboro NC, 36° north: frost ends a citrus graft of January; one of June links. Miami has no frost."""
    january = run(*ASK, *FEW, "--from", "2024-01-10", "--bark", "lifts", "--json").data
    assert january["verdict"] == "not now"
    assert "frost_before_link" in january["reasons"]
    assert january["release_date"]["p50"] is None or january["days"][0]["chance"] < 0.1
    june = run(*ASK, *FEW, "--from", "2024-06-10", "--bark", "lifts", "--json").data
    assert june["verdict"] == "today"
    warm = [MIAMI if w == GREENSBORO else w for w in ASK]
    assert run(*warm, *FEW, "--from", "2024-01-10", "--json").data["days"][0]["frost_hours"]["p90"] == 0.0


def test_a_bark_that_tears_is_never_grafted(run: Any) -> None:
    out = plain(run(*ASK, *FEW, "--from", "2024-06-10", "--bark", "tears").out)
    assert out.startswith("Not now: the bark tears. The weather would do: ")
    assert "Tested: bark tears. The test decides" in out


def test_words_come_verdict_first_and_the_ribbon_has_a_line_a_day(run: Any) -> None:
    said = run(*ASK, *SPRING, "--members", "60", "--bark", "lifts")
    lines = said.out.splitlines()
    assert max(map(len, lines)) <= 80
    assert not [line for line in lines if line.endswith(" ")]
    order = [
        "the union links in time", "to the first water path", "In time: the first water path is there before", "Why",
        "Day by day", "The bark", "If it is set on", "binding may come off", "The year here", "In the one year known",
        "With care", "! The chance is about weather only", "What is not known", "Where this comes from",
        "60 courses drawn, seed 1.",
    ]  # fmt: skip
    text, at = plain(said.out), 0
    for words in order:
        at = text.index(words, at)
    signs = "".join(sign for sign, _ in DAY_WORDS.values())
    ribbon = [line for line in lines if re.match(rf"[ ►][{re.escape(signs)}] \d+ (Mar|Apr) ", line)]
    assert len(ribbon) == 14
    for line in ribbon:
        assert re.search(r"[█·]{10} +[<>]?\d+ %", line), "a bar and its number"
        assert "typical" in line, "where its hours come from"


def test_brief_leaves_out_why_and_the_year_but_no_caution(run: Any) -> None:
    out = plain(run(*ASK, *SPRING, "--members", "60", "--brief").out)
    for words in ("Why", "The year here", "What is not known"):
        assert words not in out
    for words in ("Day by day", "Lift a flap before you cut", "An estimate, no promise.", "plant health authority"):
        assert words in out


@pytest.mark.parametrize("columns", ["40", "58", "120"])
def test_any_terminal_is_wide_enough(run: Any, monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    lines = run(*ASK, *SPRING, "--members", "60").out.splitlines()
    assert max(map(len, lines)) <= int(columns)


def test_the_same_seed_gives_the_same_words(run: Any) -> None:
    assert run(*ASK, *SPRING, *FEW).out == run(*ASK, *SPRING, *FEW).out


def test_fahrenheit(run: Any) -> None:
    here = run(*ASK, *SPRING, *FEW, "--days", "2", "--json").data["days"][0]
    there = run(*ASK, *SPRING, *FEW, "--days", "2", "--units", "us", "--limb", "50 mm", "--scion", "8 mm", "--json")
    assert there.code == 0, there.err
    one = there.data["days"][0]
    assert one["air_low_f"] == pytest.approx(here["air_low_c"] * 1.8 + 32.0, abs=0.01)
    assert not [k for k in one if k.endswith("_c")]
    assert one["chance"] == here["chance"]


def test_a_kind_without_a_curve_is_not_known_and_not_citrus(run: Any) -> None:
    said = run("days", "--species", "jaboticaba", "--weather", GREENSBORO, *SPRING)
    assert said.code == 0
    assert said.out.startswith("Not known: nothing is written down of how jaboticaba heals.\n")
    assert "Day by day" not in said.out
    assert "citrus" not in said.out.lower()


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("--method", "magic"), "No method of that name is known."),
        (("--bark", "peels"), "Not what a test of the bark can show."),
        (("--cover", "tea cosy"), "Nothing is known of this cover for a graft."),
        (("--weather", "/none/at/all.epw"), "There is no such weather file."),
    ],
)
def test_what_cannot_be_is_told_and_ends_with_2(run: Any, words: tuple[str, ...], problem: str) -> None:
    said = run(*ASK, *SPRING, *words)
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"{problem}\nGiven: {words[1]}\nAllowed: ")


def test_a_tree_of_the_book_brings_its_kind_its_plot_and_its_bark_test(run: Any, book: Path) -> None:
    asked = ("days", "--tree", "T08", "--method", "bark graft", "--from", "2024-11-12", *FEW)
    first = run(*asked, "--json", book=book)
    assert (first.code, first.err) == (0, "")
    assert first.data["plan"]["species"] == "persimmon"
    assert first.data["plan"]["plot"] == "YARD"
    assert first.data["verdict"] == "ask bark test"
    assert run("act", "bark test", "--tree", "T08", "--detail", "lifts", "--on", "2024-11-08").code == 0
    after = run(*asked)
    assert after.out.startswith("Good to graft on 12 Nov 2024: ")
    assert "Tested: bark lifts." in plain(after.out)
    assert run("days", "--tree", "T99").code == 3


def test_without_a_book_and_without_a_file_it_says_so(run: Any, tmp_path: Path) -> None:
    said = run("days", "--species", "citrus", book=tmp_path / "none")
    assert said.code == 3
    assert said.out == ""
