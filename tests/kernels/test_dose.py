"""Heat death against the published constants and what others found."""

from __future__ import annotations

import math

import numpy as np
import pytest
from wraps import KNOWN, day, hour_rows, members, run

from barkslip.domain.heat import WrappedGraft
from barkslip.kernels import dose
from barkslip.kernels import wrap_index as ix

H = KNOWN("healing.heat.dose_enthalpy").value
S = dose.entropy(H, KNOWN("healing.heat.dose_entropy_slope").value, KNOWN("healing.heat.dose_entropy_offset").value)
REPAIR = KNOWN("healing.heat.dose_repair").value

#: °C -> minutes to 50 % and to 95 %: reckoned elsewhere from the constants of heal.S50; a check of the arithmetic
MINUTES = {44: (244, 1050), 48: (53.5, 232), 50: (25.4, 110), 52: (12.2, 52.8), 60: (0.704, 3.05)}


@pytest.mark.parametrize(("temp", "minutes"), MINUTES.items())
def test_minutes_to_half_and_nearly_all(temp, minutes):
    for share, expected in zip((0.5, 0.95), minutes, strict=True):
        assert dose.minutes_to(share, temp, H, S) == pytest.approx(expected, rel=0.01)


def test_constants_are_those_of_the_source():
    # FireStem2D supplement, appendix 1 (heal.S50): enthalpy 318344 J/mol, entropy enthalpy / 341 - 258
    assert H == 318344
    assert pytest.approx(318344 / 341 - 258) == S


def test_tenfold_time_takes_six_kelvin():
    """6.4 K at 52 °C was reckoned elsewhere from the same constants; exactly it is 6.27 K there, and 6.4 K at 55 °C."""
    k = (H / dose.GAS / (52.0 + 273.15) ** 2 + 1.0 / (52.0 + 273.15)) / math.log(10.0)
    ratio = dose.rate(52.5, H, S) / dose.rate(51.5, H, S)
    assert 1.0 / math.log10(ratio) == pytest.approx(1.0 / k, abs=0.01)
    assert 1.0 / math.log10(ratio) == pytest.approx(6.4, abs=0.15)


def test_against_what_others_found():
    # heal.S51: apple peel dies at 52 ± 1 °C within 10 min; heal.S54: cuttings of azalea bore 50 °C for 20 min;
    # heal.S52: 60 °C is held to kill at once
    assert dose.minutes_to(0.5, 53.0, H, S) < 10.0 < dose.minutes_to(0.5, 51.0, H, S)
    assert dose.minutes_to(0.5, 50.0, H, S) > 20.0
    assert dose.minutes_to(0.5, 60.0, H, S) < 1.0


def test_repair_keeps_38_degrees_harmless_and_not_44():
    assert dose.net_rate(38.0, H, S, 0.0, REPAIR) == 0.0
    assert dose.net_rate(44.0, H, S, 0.0, REPAIR) > 0.0
    borne = dose.borne_c(H, S, REPAIR)
    assert dose.rate(borne, H, S) == pytest.approx(REPAIR, rel=1e-6)
    assert 39.0 < borne < 41.0


def test_a_tougher_tissue_bears_as_much_more():
    assert dose.net_rate(50.0, H, S, 2.0, REPAIR) == dose.net_rate(48.0, H, S, 0.0, REPAIR)


def test_the_dose_of_a_day_adds_up_from_its_strip():
    """The run's dose against the same sum over a fine grid of its own strip, drawn straight between the hours."""
    graft = WrappedGraft()
    hours = day(42.0)
    out = run(hour_rows(hours, graft, KNOWN), members("film", graft, hours, best=True))[0]
    seconds = np.arange(0.0, 23 * 3600.0, 60.0)
    strip = np.interp(seconds, 3600.0 * np.arange(24), out[:, ix.O_STRIP])
    expected = sum(60.0 * dose.net_rate(t, H, S, 0.0, REPAIR) for t in strip)
    assert expected > 1.0
    assert out[:, ix.O_DOSE].sum() == pytest.approx(expected, rel=0.05)
