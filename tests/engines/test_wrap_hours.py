"""The ensemble of a wrapped graft: shapes, draws, long series."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.heat import GRAFT_COVERS, HOLDING_AIR, Wrap, WrappedGraft
from barkslip.engines.sun_hours import SunHours
from barkslip.engines.wrap_hours import WrapHours, wrap_hours
from barkslip.knowledge.load import load

KNOWN = load().value
GRAFT = WrappedGraft()


def hours(n: int = 48, high: float = 36.0, wind: float = 1.0) -> SunHours:
    hour = np.arange(n) % 24.0
    height = np.maximum(0.0, np.sin(np.pi * (hour - 6.0) / 12.0))
    air = high - 8.0 + 8.0 * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0)
    dni = np.where(height > 0.0, 850.0 * height**0.3, 0.0)
    dhi = 110.0 * height
    up = np.degrees(np.arcsin(height * 0.95))
    return SunHours(
        3600 * np.arange(n), air, np.full(n, 12.0), np.full(n, wind), np.zeros(n), dni * height * 0.95 + dhi, dni, dhi,
        up, 15.0 * hour, wind_here=True,
    )  # fmt: skip


def columns(run: WrapHours) -> list[np.ndarray]:
    return [run.union_c, run.scion_c, run.strip_c, run.loss_per_h, run.dose_per_h]


@pytest.mark.parametrize("cover", GRAFT_COVERS)
def test_shapes_and_bounds(cover: str) -> None:
    run = wrap_hours(hours(), GRAFT, Wrap(cover), KNOWN, members=30, seed=1)
    for column in columns(run):
        assert column.shape == (30, 48)
        assert column.dtype == np.float64
        assert np.all(np.isfinite(column))
    assert np.all((run.loss_per_h >= 0.0) & (run.loss_per_h <= 1.0))
    assert np.all(run.dose_per_h >= 0.0)
    assert np.all(run.strip_c >= run.scion_c - 1e-9)
    assert np.isfinite(run.inside_c).all() == (cover in HOLDING_AIR)
    assert np.isnan(run.cover_c).all() == (cover not in HOLDING_AIR)


def test_the_same_seed_gives_the_same_and_covers_share_their_draws() -> None:
    one, again, other = (wrap_hours(hours(), GRAFT, Wrap("film"), KNOWN, members=50, seed=seed) for seed in (1, 1, 2))
    assert np.array_equal(one.scion_c, again.scion_c)
    assert not np.array_equal(one.scion_c, other.scion_c)
    # the limb hardly sees the cover: where it differs at all, the draws differ
    foil = wrap_hours(hours(), GRAFT, Wrap("foil_sleeve"), KNOWN, members=50, seed=1)
    assert foil.union_c == pytest.approx(one.union_c, abs=0.1)


def test_the_middle_member_stands_in_the_middle() -> None:
    best = wrap_hours(hours(), GRAFT, Wrap("brown_bag"), KNOWN, members=400, seed=1, middle=True)
    all_of_them = wrap_hours(hours(), GRAFT, Wrap("brown_bag"), KNOWN, members=400, seed=1)
    assert best.scion_c.shape == (1, 48)
    assert best.scion_c[0] == pytest.approx(np.median(all_of_them.scion_c, axis=0), abs=1.0)


def test_a_year_is_the_sum_of_its_days() -> None:
    """Run whole or from a later hour, the same hours come out alike once the limb has forgotten how it began."""
    whole = wrap_hours(hours(24 * 20), GRAFT, Wrap("film"), KNOWN, members=5, seed=3)
    part = wrap_hours(hours(24 * 20).part(240, 480), GRAFT, Wrap("film"), KNOWN, members=5, seed=3)
    for one, other in zip(columns(whole), columns(part), strict=True):
        assert other[:, 24:] == pytest.approx(one[:, 264:], abs=0.02)


def test_a_masts_wind_is_scaled_down() -> None:
    here, mast = (
        wrap_hours(replace(hours(), wind_here=w), GRAFT, Wrap("film"), KNOWN, members=1, seed=1, middle=True)
        for w in (True, False)
    )
    assert mast.scion_c[0, 12] > here.scion_c[0, 12] + 0.3


def test_error_of_the_air_widens_the_answer() -> None:
    sure, unsure = (
        wrap_hours(replace(hours(), air_sd_k=sd), GRAFT, Wrap("film"), KNOWN, members=300, seed=1) for sd in (0.0, 2.0)
    )
    assert unsure.scion_c[:, 3].std() > sure.scion_c[:, 3].std() + 1.0
    assert np.median(unsure.scion_c[:, 3]) == pytest.approx(np.median(sure.scion_c[:, 3]), abs=0.2)


def test_thick_scions_in_narrow_sleeves_still_fit() -> None:
    run = wrap_hours(hours(), WrappedGraft(scion_mm=40.0), Wrap("foil_sleeve"), KNOWN, members=20, seed=1)
    assert np.all(np.isfinite(run.scion_c))
    assert run.scion_c.max() < 60.0
