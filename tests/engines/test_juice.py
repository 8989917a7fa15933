"""Juice: corrections against the printed tables, rules against their own figures."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from barkslip.engines import juice as engine
from barkslip.knowledge.load import load

KNOWN = load()
TABLE = tomllib.loads((Path(__file__).parents[1] / "published" / "cfr_51_1178.toml").read_text("utf-8"))["lines"]


@pytest.mark.parametrize(
    ("brix", "acid", "score"),
    [(10, 1.25, 82.5), (11, 1.375, 90.75), (9.5, 0.9, 97.35), (10, 1.0, 99.0), (11, 0.6, 141.9)],
)
def test_score_of_3_ccr_1430_35(brix: float, acid: float, score: float) -> None:
    assert engine.index_16_5(brix, acid, KNOWN.value) == pytest.approx(score)


def test_titration_of_3_ccr_1430_6() -> None:
    # 1 mL of 0.1562 N stands for 0.01 g: 0.1562 * 64.04 mg = 10.003 mg; 12.5 mL in 25 mL of juice is 0.50 g in 100 mL
    one = engine.titrated(1.0, 0.1562, 100.0, KNOWN.value)
    assert one.acid_pct * 1000 == pytest.approx(10.003, abs=0.0005)
    half = engine.titrated(12.5, 0.1562, 25.0, KNOWN.value)
    assert half.acid_pct == pytest.approx(0.50, abs=0.0005)
    assert half.acid_mass_pct == pytest.approx(half.acid_pct / 1.04)


@pytest.mark.parametrize(
    ("acid", "add"), [(0, 0.0), (1, 0.20), (2, 0.39), (5, 0.97), (6, 1.15), (3.4, 0.66), (0.95, 0.19)]
)
def test_acid_correction(acid: float, add: float) -> None:
    # printed rows; 3.4 and 0.95 lie half and three quarters of the way between two of them
    assert engine.for_acid(acid, KNOWN.table("brix_acid")) == pytest.approx(add, abs=0.0051)


def test_acid_beyond_the_table_is_not_guessed() -> None:
    assert engine.for_acid(14.5, KNOWN.table("brix_acid")) is None


@pytest.mark.parametrize(
    ("temp", "brix", "add", "recalled"),
    [
        (10, 10, -0.59, False), (10, 15, -0.62, False), (10, 20, -0.65, False), (15, 10, -0.32, False),
        (17, 20, -0.21, False), (20, 12, 0.0, False), (25, 10, 0.35, True), (10, 12.5, -0.605, False),
        (16.5, 10, -0.23, False), (10, 3, -0.59, False), (10, 30, -0.65, False),
    ],
)  # fmt: skip
def test_temperature_correction_of_oiv_as2_02(temp: float, brix: float, add: float, recalled: bool) -> None:
    found = engine.for_temperature(brix, temp, KNOWN.table("brix_temperature"))
    assert found is not None
    assert found[0] == pytest.approx(add, abs=1e-9)
    assert found[1] is recalled


@pytest.mark.parametrize("temp", [3.0, 31.0])
def test_no_correction_outside_the_table(temp: float) -> None:
    assert engine.for_temperature(10, temp, KNOWN.table("brix_temperature")) is None


@pytest.mark.parametrize(("solids", "_", "ratio"), TABLE)
def test_least_ratio_of_7_cfr_51_1178(solids: float, _: float, ratio: float) -> None:
    assert engine.florida_ratio(solids, KNOWN.value) == pytest.approx(ratio, abs=0.0051)


def test_below_the_least_solids_florida_asks_in_vain() -> None:
    assert engine.florida_ratio(8.9, KNOWN.value) is None


def check(group: str, names: str = "", **found: float | None) -> dict[str, bool | None]:
    have = {"juice": None, "ratio": None, "solids": None, "score": None, "acid": None} | found
    rows = engine.standards(KNOWN.table("standards"), group, frozenset(names.split()), have, KNOWN.value)
    return {c.key: c.met for c in rows}


@pytest.mark.parametrize(
    ("group", "key", "names", "least"),
    [
        ("lemon", "unece_lemon_juice", "", 20), ("blood_orange", "unece_blood_juice", "", 30),
        ("navel_orange", "unece_navel_juice", "", 33), ("common_orange", "unece_orange_juice", "", 35),
        ("lime", "unece_persian_lime", "tahiti lime", 42), ("lime", "unece_mexican_lime", "key lime", 40),
    ],
)  # fmt: skip
def test_least_juice_of_unece_ffv_14(group: str, key: str, names: str, least: float) -> None:
    key = key if key.endswith("juice") else f"{key}_juice"
    assert check(group, names, juice=least)[key] is True
    assert check(group, names, juice=least - 0.1)[key] is False
    assert check(group, names)[key] is None


def test_eight_to_one_may_fail_the_score() -> None:
    # 10 % solids and 1.25 % acid are 8 : 1, which the old rule took and the score does not: 82.5 < 90
    met = check("navel_orange", ratio=8.0, score=82.5, solids=10.0)
    assert met["california_navel_score"] is False
    assert met["california_old_ratio"] is True
    assert check("navel_orange", ratio=8.0, score=90.75)["california_navel_score"] is True


def test_a_line_for_one_lime_is_not_for_the_other() -> None:
    assert "unece_mexican_lime_juice" not in check("lime", "tahiti lime")
    assert "unece_oroblanco_brix" not in check("grapefruit_hybrid", "melogold")
    assert "unece_oroblanco_brix" in check("grapefruit_hybrid", "oroblanco")


def test_other_fruit_has_no_standard() -> None:
    assert check("apple") == {}
