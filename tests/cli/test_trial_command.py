"""`barkslip trial` as a user types it."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def test_power_without_a_book(run: Any) -> None:
    said = run("trial", "power", "--a", "0.6", "--b", "0.9", "--power", "0.8", "--json")
    assert said.code == 0
    assert said.data["per_arm_fisher"] == 36
    assert said.data["per_arm_fleiss"] == 38
    words = run("trial", "power", "--a", "60%", "--b", "80%", "--n", "12")
    assert words.out.startswith("90 in each arm are needed.")
    assert "12 against 12 cannot decide: they see it in 1 of 10 such trials." in words.out


def test_stopping_early(run: Any) -> None:
    said = run("trial", "power", "--a", ".6", "--b", ".9", "--n", "40", "--stop-every", "5", "--json")
    stop = said.data["stop_early"]
    assert stop["looks"] == [5, 10, 15, 20, 25, 30, 35, 40]
    assert stop["error"] <= 0.05


def test_plan_draw_read_result(run: Any, book: Path) -> None:
    plan = run("trial", "plan", "Vinyl or rubber?", "--arms", "vinyl; rubber", "--code", "E9", "--seed", "7", book=book)
    assert (plan.code, plan.out.splitlines()[0]) == (0, "Trial E9 is planned.")
    drawn = run("trial", "draw", "E9", "--blocks", "T01 N x2; T02 N x2")
    assert drawn.code == 0
    assert "E9-01" in drawn.out
    again = run("trial", "draw", "E9", "--each", "2")
    assert again.code != 0
    assert "The lot of this trial has been drawn already." in again.err
    read = run("trial", "read", "E9", "--unit", "e9-01", "--value", "yes")
    assert read.code == 0
    result = run("trial", "result", "E9", "--json")
    assert [a["n"] for a in result.data["result"]["arms"]] == [1]
    assert "Write its plan" not in result.out


def test_result_of_the_demo(run: Any, book: Path) -> None:
    said = run("trial", "result", "E3", book=book)
    assert "Not shown: T-bud and chip bud cannot be told apart." in said.out
    assert "12 against 12 cannot decide" in said.out.replace("\n", " ")
    year = run("trial", "result", "E4", "--json").data["result"]["after_a_year"]
    assert {row["alive"] for row in year} == {None}  # not yet known is no 0 %
    assert {row["known_from"] for row in year} == {"2025-10-06"}
    fahrenheit = run("trial", "result", "E5", "--json", "--units", "us").data["result"]
    assert fahrenheit["unit"] == "°F difference"
    assert fahrenheit["arms"][0]["value"] == 1.08
    everything = run("trial", "result", "--json").data["trials"]
    assert {row["code"] for row in everything} == {"E1", "E2", "E3", "E4", "E5"}


def test_refused(run: Any, book: Path) -> None:
    said = run("trial", "result", "E99", book=book)
    assert said.code == 3
    assert said.err.startswith("There is no such trial in the book.")
    same = run("trial", "power", "--a", ".6", "--b", ".6", "--json")
    assert same.code == 2
    assert same.data["error"]["field"] == "b"
