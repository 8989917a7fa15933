"""Tables and formulas on juice, against the rules they come from."""

import tomllib
from pathlib import Path

import pytest

from barkslip.knowledge.load import load

TABLE = tomllib.loads((Path(__file__).parents[1] / "published" / "cfr_51_1178.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def knowledge():
    return load()


def test_lines_against_7_cfr_51_1178(knowledge):
    ours = [
        [float(row.cell("solids_pct")), float(row.cell("most_acid_pct")), row.value.value]
        for row in knowledge.table("cfr_51_1178")
    ]
    assert ours == TABLE["lines"]


@pytest.mark.parametrize(("solids", "acid", "ratio"), TABLE["lines"])
def test_rule_against_7_cfr_51_1178(knowledge, solids, acid, ratio):
    n = {k: knowledge.value(f"quality_formulas.cfr_51_1178.{k}").value for k in (
        "least_solids", "at_least_solids_ratio", "slope", "flat_from", "flat_ratio",
    )}  # fmt: skip
    sliding = n["at_least_solids_ratio"] - n["slope"] * (solids - n["least_solids"])
    assert (sliding if solids < n["flat_from"] else n["flat_ratio"]) == pytest.approx(ratio, abs=0.005)
    assert solids / ratio == pytest.approx(acid, abs=0.0015)  # three printed digits, cut or rounded


@pytest.mark.parametrize(
    ("solids", "acid", "score", "passes"),
    [(10.0, 1.0, 99.0, True), (10.0, 1.25, 82.5, False), (11.0, 1.375, 90.75, True), (9.5, 0.9, 97.35, True)],
)
def test_score_by_3_ccr_1430_35(knowledge, solids, acid, score, passes):
    # California Code of Regulations 3 s. 1430.35: (solids - 4 times acid) times 16.5, 90 or more; worked by hand
    weight, scale, least = (
        knowledge.value(f"quality_formulas.california.{k}").value for k in ("acid_weight", "scale", "threshold")
    )
    ours = (solids - weight * acid) * scale
    assert ours == pytest.approx(score)
    assert (ours >= least) == passes
    assert knowledge.rows("standards")["california_navel_score"].value.value == least


def test_titration_by_3_ccr_1430_6(knowledge):
    # s. 1430.6: 1 cm³ of 0.1562 N lye stands for 0.01 g of anhydrous citric acid
    q = "quality_formulas.titration."
    strength, equivalent = knowledge.value(q + "normality").value, knowledge.value(q + "equivalent").value
    assert strength * equivalent / 100 == pytest.approx(0.01, abs=5e-6)


def test_acid_correction_against_the_printed_table(knowledge):
    # Acidity correction tables for refractometric Brix, 2011: 0.20 at 1 %, 0.39 at 2 %, 0.97 at 5 %, 1.15 at 6 %
    rows = knowledge.table("brix_acid")
    by_acid = {float(row.cell("acid_pct")): row.value.value for row in rows}
    assert [by_acid[x] for x in (1, 2, 5, 6)] == [0.20, 0.39, 0.97, 1.15]
    added = list(by_acid.values())
    assert list(by_acid) == sorted(by_acid)
    assert added == sorted(added)
    low, high = (knowledge.value(f"quality_formulas.brix.per_acid_{k}").value for k in ("low", "high"))
    assert all(by_acid[x] == pytest.approx(x * low, abs=0.011) for x in by_acid if x <= 2)
    assert all(by_acid[x] == pytest.approx(x * high, abs=0.04) for x in by_acid if 2 < x <= 8)


def test_temperature_correction_against_oiv(knowledge):
    # OIV-MA-AS2-02, Table I, at 10, 15 and 20 %
    printed = {10: (-0.59, -0.62, -0.65), 15: (-0.32, -0.33, -0.34), 17: (-0.20, -0.20, -0.21), 20: (0, 0, 0)}
    rows = knowledge.rows("brix_temperature")
    for temp_c, three in printed.items():
        assert tuple(rows[f"t{temp_c}_b{brix}"].value.value for brix in (10, 15, 20)) == three
    for row in rows.values():
        assert row.value.status == ("recalled" if float(row.cell("temp_c")) > 20 else "published"), row.key


def test_least_juice_against_unece_ffv_14(knowledge):
    # UNECE FFV-14: lemon 20, Persian lime 42, Mexican lime 40, blood orange 30, navel 33, other orange 35 %
    rows = knowledge.rows("standards")
    kinds = ("lemon", "persian_lime", "mexican_lime", "blood", "navel", "orange")
    values = [rows[f"unece_{kind}_juice"].value for kind in kinds]
    assert [v.value for v in values] == [20, 42, 40, 30, 33, 35]
    assert {v.status for v in values} == {"published"}
    assert rows["unece_pummelo_brix"].value.status == "recalled"
