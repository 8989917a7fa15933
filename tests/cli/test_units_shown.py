"""Units as asked for: in words and in the keys of the JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def test_fahrenheit_in_words_and_keys(run: Any, demo_folder: Path) -> None:
    metric = run("today", "--json", book=demo_folder).data["today"]["plots"][3]["last"][0]
    us = run("today", "--json", "--units", "us").data["today"]["plots"][3]["last"][0]
    assert "night_low_c" in metric
    assert "night_low_c" not in us
    # °F = 1.8 °C + 32 (NIST SP 811, B.8)
    assert abs(us["night_low_f"] - (metric["night_low_c"] * 1.8 + 32)) < 1e-5
    assert "Coldest night ahead: Lower paddock, 25.3 °F on 2 Jul" in run("today", "--units", "us").out
    assert "−3.7 °C on 2 Jul" in run("today").out


def test_a_difference_never_gets_32_added(run: Any, demo_folder: Path) -> None:
    metric = run("plot", "list", "--json", book=demo_folder).data["plots"][3]
    us = run("plot", "list", "--json", "--units", "us").data["plots"][3]
    assert metric["still_offset_k"] == -2.6
    assert abs(us["still_offset_f_difference"] - -2.6 * 1.8) < 1e-9


def test_lengths_are_stored_in_mm_whatever_is_typed(run: Any, book: Path) -> None:
    inches = run("look", "G04-3", "pushing", "--shoot", "5", "--units", "us", "--json", book=book)
    assert inches.data["look"]["shoot_mm"] == 127.0  # 1 in is 25.4 mm exactly
    assert run("look", "G04-3", "pushing", "--shoot", "5", "--json").data["look"]["shoot_mm"] == 50.0
    said = run("look", "G04-3", "pushing", "--shoot", "5in", "--units", "imperial")
    assert said.out.startswith("G04-3 'Washington' navel orange: pushing, shoot 5.0 in, 30 Jun 2025.")


def test_units_of_the_environment_hold_where_no_book_is(run: Any, tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setenv("BARKSLIP_UNITS", "us")
    said = run("know", "frost", "--json", book=tmp_path / "nothing")
    units = {v["value"]["unit"] for f in said.data["found"] for v in f["values"]}
    assert "°C" not in units
