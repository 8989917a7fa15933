"""Sides of a limb's bark: against Fourier's solution, north and south of the equator, bare and whitened."""

from __future__ import annotations

import math

import numpy as np
import pytest
from wraps import KNOWN, day, hour_rows, members, steady

from barkslip.domain.heat import FACES, WrappedGraft
from barkslip.engines.heat_faces import bark_c
from barkslip.kernels import bark_face
from barkslip.kernels import wrap_flux as wf
from barkslip.kernels import wrap_index as ix


def run_best(hours, limb_mm, *, white=False):
    """Best values only, float64[n, 8]."""
    graft = WrappedGraft(limb_mm=limb_mm, whitened=white)
    p = members("film", graft, hours, best=True)
    suns = np.stack([hours.dni_w_m2, hours.sun_up_deg, hours.sun_from_deg], axis=1)
    out = np.empty((1, len(hours), 8))
    bark_face.run_into(hour_rows(hours, graft, KNOWN), suns, p, p[:, ix.P_LIMB_ALPHA].copy(), out, 0, 0, 1)
    return out[0], p[0]


@pytest.mark.parametrize("limb_mm", [30.0, 60.0, 200.0])
def test_steady_sides_against_the_harmonics_of_a_cylinder(limb_mm):
    """Sun from due north for days: each side within a few tenths of Fourier's solution of the conducting cylinder.

    The model's eight wedges take the beam at their middles and see each other's means, so it is not exact.
    """
    hours = steady(30.0, 2.0, n=240)
    out, p = run_best(hours, limb_mm)
    named = dict(zip(ix.PARAM_NAMES, p, strict=True))
    row = hour_rows(hours, WrappedGraft(), KNOWN)[0]
    beam = hours.dni_w_m2[0] * math.cos(math.radians(55.0)) * named["limb_alpha"]
    k = named["scion_k"] / (named["limb_d"] / 2)
    outside = wf.outside_k(row, p, 303.15)
    wind = named["enhancement"] * wf.forced(2.0, named["limb_d"])
    mean = out[-1].mean()
    h = wf.mixed(wind**4, wf.free4(named["limb_d"]), mean - 30.0)
    h += named["limb_eps"] * wf.exchange(mean + 273.15, outside)
    angle = np.radians(45.0 * np.arange(8))
    side = 0.5 * beam / (h + k) * np.cos(angle)
    for n in range(2, 41, 2):
        side += (-1) ** (n // 2 + 1) * 2.0 * beam / (math.pi * (n * n - 1)) / (h + n * k) * np.cos(n * angle)
    expected = side - side.mean()
    assert out[-1] - mean == pytest.approx(expected, abs=0.12 * np.ptp(expected))
    assert np.ptp(expected) > 3.0


def test_a_steady_limb_gives_off_what_it_takes_up():
    hours = steady(30.0, 1.0, n=240)
    out, p = run_best(hours, 60.0)
    named = dict(zip(ix.PARAM_NAMES, p, strict=True))
    row = hour_rows(hours, WrappedGraft(), KNOWN)[0]
    outside = wf.outside_k(row, p, 303.15)
    wind = named["enhancement"] * wf.forced(1.0, 0.06)
    taken, given = 0.0, 0.0
    diffuse = 0.5 * (row[ix.F_DIFFUSE] + named["ground_reflects"] * row[ix.F_LEVEL])
    for i, t in enumerate(out[-1]):
        sun = bark_face.sun_on_face(hours.dni_w_m2[0], 55.0, 0.0, 45.0 * i) + diffuse
        h = wf.mixed(wind**4, wf.free4(0.06), t - 30.0)
        taken += named["limb_alpha"] * sun
        given += h * (t - 30.0) + named["limb_eps"] * 5.670e-8 * ((t + 273.15) ** 4 - outside**4)
    assert given == pytest.approx(taken, rel=1e-3)


def test_the_hemisphere_comes_out_right():
    graft = WrappedGraft(limb_mm=80.0)
    top = {}
    for south in (False, True):
        hours = day(25.0, 10.0, declination=-20.0, south=south)  # low sun: winter
        bark = np.median(bark_c(hours, graft, KNOWN, members=40, seed=1), axis=0)
        top[south] = dict(zip(FACES, bark.max(axis=0), strict=True))
    assert top[False]["S"] > top[False]["N"] + 5.0
    assert top[True]["N"] > top[True]["S"] + 5.0
    assert max(top[False], key=lambda f: top[False][f]) in ("S", "SW")
    assert max(top[True], key=lambda f: top[True][f]) in ("N", "NW")
    # the same sun turned round: what the north has in the south, the south has in the north
    for one, other in (("N", "S"), ("NE", "SE"), ("NW", "SW")):
        assert top[True][one] == pytest.approx(top[False][other], abs=1e-6)


def test_east_is_hottest_in_the_morning_and_west_in_the_afternoon():
    bark = np.median(bark_c(day(), WrappedGraft(limb_mm=80.0), KNOWN, members=40, seed=1), axis=0)
    hour = dict(zip(FACES, (bark - day().air_c[:, np.newaxis]).argmax(axis=0), strict=True))
    assert hour["E"] <= 9
    assert hour["W"] >= 15
    assert 10 <= hour["S"] <= 14


def test_whitened_bark_is_never_hotter_by_day():
    hours = day()
    bare, white = (bark_c(hours, WrappedGraft(limb_mm=80.0, whitened=w), KNOWN, members=40, seed=1) for w in (0, 1))
    assert np.all(white <= bare + 1e-6)
    assert np.median(bare.max(axis=1) - white.max(axis=1)) > 3.0


def test_no_sun_from_below_or_behind():
    assert bark_face.sun_on_face(900.0, -1.0, 0.0, 0.0) == 0.0
    assert bark_face.sun_on_face(900.0, 30.0, 180.0, 0.0) == 0.0
    assert bark_face.sun_on_face(900.0, 60.0, 90.0, 90.0) == pytest.approx(450.0)
