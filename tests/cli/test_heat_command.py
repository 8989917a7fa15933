"""`barkslip heat`: the contract of its command and of its JSON, asked of the real model."""

from __future__ import annotations

import re
from typing import Any

import pytest

TYPED = (
    "heat", "--lat", "-33.6", "--lon", "21", "--date", "2026-01-10", "--air-max", "38", "--air-min", "20",
    "--wind", "0.5", "--rh-min", "20",
)  # fmt: skip
COVERS = ("--cover", "foil_sleeve", "--cover", "brown_bag", "--cover", "film")
FEW = ("--members", "60", "--seed", "1")


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_promised_command_needs_no_book_and_gives_the_promised_keys(run: Any) -> None:
    said = run(*TYPED, *COVERS, "--json")
    assert (said.code, said.err) == (0, "")
    covers = said.data["covers"]
    assert [c["cover"] for c in covers] == ["foil_sleeve", "film", "brown_bag"], "ranked"
    for one in covers:
        for name in ("scion_max_c", "excess_over_air_k", "water_lost_pct_day"):
            assert set(one[name]) == {"p10", "p50", "p90"}
            assert one[name]["p10"] <= one[name]["p50"] <= one[name]["p90"]
        assert isinstance(one["degree_minutes_above_44"], float)
        assert 0.0 <= one["chance_of_harm"] <= 1.0
    chances = [c["chance_of_harm"] for c in covers]
    assert chances == sorted(chances)
    assert re.fullmatch(r"[0-9a-f]{64}", said.data["knowledge_hash"])


def test_the_hemisphere_is_right(run: Any) -> None:
    """At noon the sun stands in the north south of the tropics, in the south north of them; afternoons are hotter."""
    for lat, date, cool in (("-33.6", "2026-03-20", "S"), ("36", "2026-09-20", "N")):
        words = [lat if w == "-33.6" else date if w == "2026-01-10" else w for w in TYPED]
        faces = {
            f["face"]: f["bark_max_c"]["p50"] for f in run(*words, *FEW, "--cover", "film", "--json").data["faces"]
        }
        noon = "N" if cool == "S" else "S"
        assert faces[noon] > faces[cool] + 2.0
        assert max(faces, key=lambda f: faces[f]) in ("NW", "W", "SW")


def test_all_covers_are_tried_if_none_is_named(run: Any) -> None:
    data = run(*TYPED, *FEW, "--json").data
    assert len(data["covers"]) == 12
    assert data["now"] is None


def test_what_is_on_it_now_is_judged_and_another_put_forward(run: Any) -> None:
    said = run(*TYPED, *FEW, "--now", "dark_bag", "--target", "40%")
    first = plain(said.out)
    assert re.match(
        r"Change to .*? for 10 Jan 2026: in a dark bag the scion overheats about \d\d:\d\d, .* chance of harm\.", first
    )
    assert "the dark bag off" in first


def test_the_same_seed_gives_the_same_words(run: Any) -> None:
    assert run(*TYPED, *COVERS, *FEW).out == run(*TYPED, *COVERS, *FEW).out


def test_words_come_verdict_first_and_fit_80_columns(run: Any) -> None:
    lines = (said := run(*TYPED, *COVERS, *FEW)).out.splitlines()
    assert max(map(len, lines)) <= 80
    assert not [line for line in lines if line.endswith(" ")]
    order = [
        "chance of harm", "Hottest about", "by 0", "! Over 35 °C work at dawn", "Covers side by side",
        "Bark of the limb by side", "What would change it", "What is not known", "Where this comes from",
        "heal.S48", "days drawn, seed 1", "no promise",
    ]  # fmt: skip
    text = plain(said.out)
    at = 0
    for words in order:
        at = text.index(words, at)


def test_the_letters_of_the_covers_lead_to_cautions(run: Any) -> None:
    out = run(*TYPED, *COVERS, *FEW).out
    row = next(line for line in out.splitlines() if line.startswith("foil sleeve"))
    for letter in row.split()[-1]:
        assert re.search(rf"^  {letter}  \w", out, re.MULTILINE)
    assert "power lines" in plain(out)


def test_brief_leaves_out_the_tables_but_no_caution(run: Any) -> None:
    out = run(*TYPED, *COVERS, *FEW, "--brief").out
    assert "Covers side by side" not in out
    for words in ("power lines", "Look into it weekly", "An estimate, no promise", "work at dawn"):
        assert words in plain(out)


@pytest.mark.parametrize("columns", ["40", "58", "120"])
def test_any_terminal_is_wide_enough(run: Any, monkeypatch: pytest.MonkeyPatch, columns: str) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    lines = run(*TYPED, *COVERS, *FEW).out.splitlines()
    assert max(map(len, lines)) <= int(columns)


def test_fahrenheit_in_and_out(run: Any) -> None:
    here = run(*TYPED, *COVERS, *FEW, "--json").data
    said = run(
        "heat", "--units", "us", "--lat", "-33.6", "--lon", "21", "--date", "2026-01-10", "--air-max", "100.4",
        "--air-min", "68", "--wind", "0.5 m/s", "--rh-min", "20", *COVERS, *FEW, "--json",
    )  # fmt: skip
    assert said.code == 0, said.err
    one, other = said.data["covers"][0], here["covers"][0]
    assert one["scion_max_f"]["p50"] == pytest.approx(other["scion_max_c"]["p50"] * 1.8 + 32.0, abs=0.02)
    assert one["excess_over_air_f_difference"]["p50"] == pytest.approx(
        other["excess_over_air_k"]["p50"] * 1.8, abs=0.02
    )
    assert one["degree_minutes_above_38"] == pytest.approx(other["degree_minutes_above_38"], abs=1.0)
    assert not [k for k in one if k.endswith(("_c", "_k"))]


def test_an_unknown_cover_is_told_and_ends_with_2(run: Any) -> None:
    said = run(*TYPED, "--cover", "tea cosy")
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith("Nothing is known of this cover for a graft.\nGiven: tea cosy\nAllowed: none, film,")
    assert said.err.endswith("Next: Choose the one whose stuff and colour come nearest.\n")


def test_a_size_outside_the_model_is_told(run: Any) -> None:
    said = run(*TYPED, "--scion", "60mm")
    assert (said.code, said.out) == (2, "")
    assert said.err == (
        "The model is for a graft on a limb; this thickness of the scion is outside it.\n"
        "Given: 60 mm\n"
        "Allowed: 2 to 40 mm\n"
        "Next: Correct it.\n"
    )


def test_a_graft_of_the_book_needs_its_code_only(run: Any, demo_folder: Any) -> None:
    said = run("heat", "--graft", "G14-10", "--members", "40", "--json", book=demo_folder)
    assert (said.code, said.err) == (0, "")
    assert said.data["graft"]["name"] == "G14-10"
    assert said.data["plot"] == "LOW"
    assert said.data["air"]["source"] == "forecast"
    words = run("heat", "--graft", "G14-10", "--members", "40", "--brief").out
    assert "tomorrow" in words.split(":")[0], "the book has a day of its own"
    assert run("heat", "--graft", "G99-99").code == 3


def test_without_a_book_and_without_a_place_it_says_so(run: Any, tmp_path: Any) -> None:
    said = run("heat", "--air-max", "38", "--air-min", "20", book=tmp_path / "none")
    assert said.code == 3
    assert said.out == ""
