"""A hot day's answer: what must hold whatever the numbers are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.heat import (
    CHANGES,
    FACES,
    GRAFT_COVERS,
    HAZARDS,
    HOLDING_AIR,
    UNKNOWNS,
    HeatVerdict,
    LearnedCover,
    SunAir,
    Wrap,
    WrappedGraft,
)
from barkslip.domain.night import Spread
from barkslip.engines import heat
from barkslip.engines.frost_draws import Draws
from barkslip.engines.heat_harm import dry_chance, spread
from barkslip.knowledge.load import load

KNOWN = load().value
START = 1_768_003_200  # 2026-01-10, 00:00 UTC
FEW = (Wrap("foil_sleeve"), Wrap("brown_bag"), Wrap("film"))


def air(high: float = 38.0, wind: float = 0.5, sun: float = 1.0, *, sd: float = 0.8, **more: object) -> SunAir:
    """A clear summer day at 34° south; noon sun in the north."""
    hour = np.arange(24.0)
    lat, tilt, angle = np.radians(-34.0), np.radians(-22.0), np.radians(15.0 * (hour - 12.0))
    sine = np.sin(lat) * np.sin(tilt) + np.cos(lat) * np.cos(tilt) * np.cos(angle)
    east = -np.cos(tilt) * np.sin(angle)
    north = np.cos(lat) * np.sin(tilt) - np.sin(lat) * np.cos(tilt) * np.cos(angle)
    dni = np.where(sine > 0.01, sun * 1000.0 * np.exp(-0.15 / np.maximum(sine, 0.01)), 0.0)
    dhi = np.where(sine > 0.01, sun * 110.0 * np.maximum(sine, 0.0), 0.0)
    temps = high - 9.0 + 9.0 * np.cos(np.radians(15.0 * (hour - 15.0)))
    columns = [
        temps, np.minimum(12.0, temps), np.full(24, wind), np.zeros(24), dni * np.maximum(sine, 0.0) + dhi, dni, dhi,
        np.degrees(np.arcsin(sine)), np.degrees(np.arctan2(east, north)) % 360.0,
    ]  # fmt: skip
    return SunAir(
        "typed", "typed", "2026-01-10", -34.0, 21.0, 0.0, tuple(START + 3600 * h for h in range(24)),
        *(tuple(map(float, c)) for c in columns), air_sd_k=sd, wind_here=True, **more,
    )  # fmt: skip


def ask(day: SunAir, *wraps: Wrap, graft: WrappedGraft | None = None, **more: object) -> HeatVerdict:
    asked = {"target": 0.1, "members": 200, "seed": 1, **more}
    return heat.assess(graft or WrappedGraft(), day, wraps, KNOWN, **asked)


@pytest.fixture(scope="module")
def hot() -> HeatVerdict:
    return ask(air())


def of(verdict: HeatVerdict, cover: str):
    return next(d for d in verdict.covers if d.wrap.cover == cover)


def test_the_same_seed_gives_the_same_answer(hot: HeatVerdict) -> None:
    assert ask(air()) == hot
    other = ask(air(), seed=2)
    assert other != hot
    assert of(other, "film").chance_of_harm == pytest.approx(of(hot, "film").chance_of_harm, abs=0.06)


def test_all_twelve_ranked_by_harm_then_heat(hot: HeatVerdict) -> None:
    assert {d.wrap.cover for d in hot.covers} == set(GRAFT_COVERS)
    keys = [(round(d.chance_of_harm, 2), d.scion_max_c.p50) for d in hot.covers]
    assert keys == sorted(keys)


def test_the_order_of_the_trade(hot: HeatVerdict) -> None:
    excess = {d.wrap.cover: d.excess_over_air_k.p50 for d in hot.covers}
    assert excess["foil_sleeve"] < excess["foil_pouch"] < excess["film"] < excess["brown_bag"] < excess["dark_bag"]
    assert excess["clear_plastic_shade"] < excess["clear_plastic"]


def test_spreads_and_bounds(hot: HeatVerdict) -> None:
    for d in hot.covers:
        held = d.wrap.cover in HOLDING_AIR
        assert (d.air_inside_max_c is not None) == held
        assert {s.name for s in d.series} == {"scion", "strip", *({"air_inside", "cover"} if held else ())}
        assert all(len(s.p50_c) == len(hot.times) == 24 for s in d.series)
        assert 0.0 <= d.chance_of_harm <= 1.0
        assert 0.0 <= d.chance_over_44 <= 1.0
        for one in (d.scion_max_c, d.strip_max_c, d.excess_over_air_k, d.low_c, d.heat_dose, d.water_lost_pct_day):
            assert one.p10 <= one.p50 <= one.p90
        assert d.strip_max_c.p50 >= d.scion_max_c.p50
        assert d.degree_minutes_above_44.p50 <= d.degree_minutes_above_38.p50
        assert set(d.hazards) <= set(HAZARDS)
        assert d.verdict in ("choose", "bears", "helps", "avoid")
    assert set(hot.unknowns) <= set(UNKNOWNS)
    assert set(hot.cautions) <= set(HAZARDS)
    assert [f.face for f in hot.faces] == list(FACES)
    assert [t for t, _ in hot.lines] == [38.0, 44.0, 52.0]
    assert all(value.source for _, value in hot.lines)


def test_the_one_to_take_bears_the_target_and_costs_least(hot: HeatVerdict) -> None:
    assert hot.choose is not None
    chosen = hot.covers[hot.choose]
    assert chosen.verdict == "choose"
    assert chosen.chance_of_harm <= hot.target
    assert sum(d.verdict == "choose" for d in hot.covers) == 1
    for d in hot.covers:
        assert (d.chance_of_harm > hot.target) == (d.verdict in ("helps", "avoid"))


def test_a_mild_day_needs_no_work() -> None:
    mild = ask(air(24.0, wind=1.0))
    assert mild.choose is not None
    assert mild.covers[mild.choose].wrap.cover == "film"
    assert mild.danger == "none"


def test_a_furnace_leaves_none() -> None:
    found = ask(air(48.0), graft=WrappedGraft(now=Wrap("film")))
    assert found.choose is None
    assert found.danger == "act"
    assert found.now is not None
    assert found.covers[found.now].wrap == Wrap("film")


@pytest.mark.parametrize("high", [30.0, 34.0, 38.0, 42.0])
def test_hotter_days_hurt_more(high: float) -> None:
    less, more = (of(ask(air(t), *FEW), "film") for t in (high, high + 3.0))
    assert more.chance_of_harm >= less.chance_of_harm
    assert more.scion_max_c.p50 > less.scion_max_c.p50 + 2.5


def test_the_present_cover_is_added_and_found() -> None:
    now = Wrap("dark_bag", open_below=False, touching=True)
    found = ask(air(), *FEW, graft=WrappedGraft(now=now))
    assert len(found.covers) == 4
    assert found.now is not None
    assert found.covers[found.now].wrap == now
    assert found.danger == "act"


def test_without_film_it_dries() -> None:
    bare, film = (of(ask(air(30.0), Wrap("none"), Wrap("film")), c) for c in ("none", "film"))
    assert bare.water_lost_pct_day.p50 > 10.0 * film.water_lost_pct_day.p50
    assert bare.chance_of_harm > film.chance_of_harm


def test_what_would_change_it(hot: HeatVerdict) -> None:
    codes = [code for code, _, _ in hot.would_change]
    assert set(codes) <= set(CHANGES)
    found = {code: (now, then) for code, now, then in ask(air(), Wrap("foil_sleeve")).would_change}
    assert set(found) == set(CHANGES)
    now = found["hotter"][0]
    assert all(one == now for one, _ in found.values())
    assert found["hotter"][1] > now
    assert found["shade"][1] < now
    assert found["cloud"][1] < now
    assert found["more_wind"][1] < now
    assert found["touching"][1] >= now
    assert found["closed"][1] >= now - 0.005
    # a cover that holds no air can neither touch nor be closed
    assert {code for code, _, _ in ask(air(), Wrap("film")).would_change} == {"more_wind", "cloud", "hotter", "shade"}


def test_a_bag_on_a_frosty_night_and_a_foil_sleeve() -> None:
    cold = air(6.0, sun=0.8)
    cold = replace(cold, air_c=tuple(t - 6.0 for t in cold.air_c), dew_c=tuple([-12.0] * 24))
    found = ask(cold)
    assert of(found, "foil_sleeve").low_c.p50 > of(found, "film").low_c.p50 + 0.2
    assert of(found, "brown_bag").low_c.p50 < of(found, "film").low_c.p50


def test_the_bearing_and_the_faces_know_the_south(hot: HeatVerdict) -> None:
    top = {f.face: f.bark_max_c.p50 for f in hot.faces}
    assert top["W"] == max(top.values())
    assert all(f.whitened_max_c.p50 < f.bark_max_c.p50 for f in hot.faces)
    winter = replace(air(20.0), sun_up_deg=tuple(0.45 * u for u in air().sun_up_deg))
    top = {f.face: f.bark_max_c.p50 for f in ask(winter, *FEW).faces}
    assert top["N"] > top["S"] + 5.0


def test_hazards_and_doubts() -> None:
    day = air(guessed=("wind_m_s", "cloud", "dew_point_c", "ghi_w_m2"))
    found = ask(day, Wrap("clear_plastic", open_below=False), unknowns=("wind_guessed", "offset_unknown"))
    assert {"wind_guessed", "cloud_guessed", "dew_guessed", "sun_guessed", "offset_unknown"} <= set(found.unknowns)
    assert len(found.unknowns) == len(set(found.unknowns))
    assert "sealed_plastic" in found.cautions
    assert "people_heat" in found.cautions
    assert found.cautions[-1] == "estimate_only"
    assert "paper_optics" not in found.unknowns
    assert "paper_optics" in ask(day, Wrap("brown_bag")).unknowns


def test_weights_of_own_loggers_move_their_cover_only() -> None:
    plain = ask(air(), *FEW)
    # as if a fifth of the members had been right
    weights = np.zeros(200)
    weights[:40] = 1.0 / 40.0
    learned = {"brown_bag": LearnedCover("brown_bag", 5, tuple(weights)), "film": LearnedCover("film", 3, (1.0,))}
    found = ask(air(), *FEW, learned=learned)
    assert of(found, "brown_bag").learned_days == 5
    assert of(found, "brown_bag").scion_max_c != of(plain, "brown_bag").scion_max_c
    assert of(found, "foil_sleeve") == of(plain, "foil_sleeve")
    # weights of another ensemble are not used
    assert of(found, "film").learned_days == 0
    assert of(found, "film").scion_max_c == of(plain, "film").scion_max_c


def test_drying_through_its_two_points() -> None:
    draws = Draws(401, 1)
    found = {x: np.median(dry_chance(np.full(401, x), draws, KNOWN)) for x in (0.0, 0.2, 0.4, 0.9)}
    assert found[0.0] == 0.0
    assert found[0.2] == pytest.approx(0.10, abs=0.03)
    assert found[0.4] == pytest.approx(0.80, abs=0.07)
    assert found[0.9] > 0.99


def test_weighted_spread() -> None:
    values = np.arange(101.0)
    assert spread(values, np.full(101, 1.0)) == Spread(*(pytest.approx(x, abs=0.6) for x in (10.0, 50.0, 90.0)))
    weights = np.where(values > 79.5, 1.0, 1e-12)
    assert spread(values, weights).p10 > 79.0
