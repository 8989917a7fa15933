"""The night model beside measured cases: hits and misses alike. None of the model's numbers was set on them.

A case that starts to hold, or ceases to, fails here, so that docs/models/frost.md never claims what is not so.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import night_cases
import nights
import pytest

from barkslip.knowledge.load import load

ROOT = Path(__file__).parents[2]
MEASURED = tomllib.loads((ROOT / "tests/published/frost_cases.toml").read_text())


def test_each_case_is_run_and_has_a_source_that_was_seen():
    assert set(MEASURED) == set(night_cases.CASES)
    sources = load().sources
    for name, case in MEASURED.items():
        assert sources[case["source"]].seen != "not seen", name
        assert all(case["holds"]) == ("why" not in case), name


@pytest.mark.parametrize("name", MEASURED)
def test_case_against_measurement(name):
    case = MEASURED[name]
    ours = night_cases.CASES[name]()
    holds = [low <= x <= high for low, x, high in zip(case["low"], ours, case["high"], strict=True)]
    assert holds == case["holds"], ours
    assert ours == pytest.approx(case["model"], abs=0.011)


def test_the_page_tells_hits_and_misses():
    page = (ROOT / "docs/models/frost.md").read_text()
    for name, case in MEASURED.items():
        line = next((line for line in page.splitlines() if line.startswith(f"| `{name}` |")), "")
        cells = [cell.strip() for cell in line.split("|")]
        said = {True: "yes", False: "no"}
        assert cells[4] == ", ".join(f"{x:+.2f}" for x in case["model"]), name
        assert cells[5] == ", ".join(said[h] for h in case["holds"]), name


def test_reference_night_unchanged():
    """The figures of the reference night on the page: our own output, kept so that a change shows."""
    lamp = {"lamp_power": 100.0, "lamp_radiant": 0.75}
    bare = night_cases.dawn()

    def gain(**given: float) -> float:
        return float(night_cases.dawn(m=nights.measures(**given))[night_cases.LEAF] - bare[night_cases.LEAF])

    blanket = gain(**nights.cover("blanket"))
    ours = [
        bare[night_cases.LEAF] - bare[night_cases.AIR],
        gain(**nights.cover("clear_pe")),
        gain(**nights.cover("tarp")),
        blanket,
        gain(**nights.cover("blanket", cover_skirt=0.5)),
        gain(**nights.cover("aluminised_out")),
        gain(**nights.cover("blanket"), **lamp) - blanket,
        gain(**lamp),
    ]
    assert ours == pytest.approx([-0.87, -1.14, 1.11, 1.68, 2.70, 3.30, 1.99, 0.18], abs=0.011)
