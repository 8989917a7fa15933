"""A cold night at one small tree: what will be hurt, and the least that prevents it."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from barkslip.domain.night import (
    MeasureNight,
    Measures,
    NightAir,
    NightSeries,
    NightTree,
    NightVerdict,
    OrganNight,
    Spread,
)
from barkslip.engines import frost_harm as harm
from barkslip.engines import frost_measures as doing
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.kernels import night
from barkslip.kernels import night_index as ix

_STATE = {
    "leaf_exposed": ix.IX_LEAF_EXPOSED,
    "leaf_inner": ix.IX_LEAF_INNER,
    "twig": ix.IX_TWIG,
    "bark": ix.IX_BARK,
    "fruit": ix.IX_FRUIT,
    "air": ix.IX_AIR,
    "air_inside": ix.IX_AIR_INSIDE,
}
#: Members of the quick runs that show what would change the answer.
CHANGE_MEMBERS = 200
_THREADS = 2
#: About how long a step of the model is [s].
STEP_S = 1800.0


@dataclass(frozen=True)
class _Setting:
    """What all runs of one question share."""

    tree: NightTree
    air: NightAir
    draws: Draws
    known: Known
    params: Array
    forcing: Array
    starts: Array
    dt_s: float
    first_s: int
    criticals: tuple[harm.Critical, ...]
    starts_of_harm: dict[str, Array]


def assess(
    tree: NightTree,
    air: NightAir,
    sets: Sequence[Measures],
    table: Sequence[harm.ColdRow],
    known: Known,
    *,
    target: float,
    members: int,
    seed: int,
    plot: str = "",
    knowledge_hash: str = "",
    unknowns: Sequence[str] = (),
    frost: str = "",
) -> NightVerdict:
    """The answer for one tree and one night.

    Parameters
    ----------
    tree : NightTree
    air : NightAir
    sets : sequence of Measures
        Sets to be tried beside the bare tree; empty takes what a home has.
    table : sequence of ColdRow
        Critical temperatures of the knowledge base.
    known : callable
        key -> sourced number.
    target : float
        Chance of harm that the grower accepts [0..1].
    members, seed : int
        Size of the ensemble and where its draws begin.
    unknowns : sequence of str
        Codes of what was not known about the air.
    frost : str
        Kind of night, from `engines.low`.

    Raises
    ------
    InputError
        If a cover is smaller than the tree.
    """
    tried = [doing.sized(s, tree, known) for s in (sets or doing.usual_sets(tree, known))]
    setting = _setting(tree, air, table, known, members, seed)
    times = {"cover_off": 0.0, "sunrise": float(air.sunrise_s - air.time_s[0])}
    bare = _run(setting, Measures(), times)
    organs = _organs(setting, bare)
    worst = organs[0].organ
    times |= _clock(setting, bare)
    ladder = [_rung(setting, Measures(), bare, bare, worst, times)]
    runs = {0: bare}
    order = sorted(range(len(tried)), key=lambda i: (doing.work_min(tried[i], known), tried[i].lamp_w))
    for i in order:
        out = _run(setting, tried[i], times)
        ladder.append(_rung(setting, tried[i], out, bare, worst, times))
        runs[len(ladder) - 1] = out
    least, runner_up = _least(ladder, target)
    return NightVerdict(
        tree=tree,
        plot=plot,
        air=air,
        frost=frost,
        organs=organs,
        air_low_c=_spread(np.min(bare[:, :, ix.IX_AIR], axis=1)),
        times=tuple(_local(air, s) for s in _hours(setting)),
        series=_series(setting, bare, runs.get(least if least is not None else -1), least),
        ladder=tuple(ladder),
        least=least,
        runner_up=runner_up,
        target=target,
        would_change=_changes(setting, worst, table),
        unknowns=(*unknowns, *_unknowns(tree, organs, tried, air)),
        cautions=_cautions(ladder, least),
        members=members,
        seed=seed,
        knowledge_hash=knowledge_hash,
    )


def bare(
    tree: NightTree, air: NightAir, table: Sequence[harm.ColdRow], known: Known, *, members: int, seed: int
) -> tuple[tuple[OrganNight, ...], Spread]:
    """Organs of a bare tree, most at risk first, and the air's low at it: the quick answer for a list."""
    setting = _setting(tree, air, table, known, members, seed)
    run = _run(setting, Measures(), {"cover_off": 0.0, "sunrise": 0.0})
    return _organs(setting, run), _spread(np.min(run[:, :, ix.IX_AIR], axis=1))


def _setting(
    tree: NightTree, air: NightAir, table: Sequence[harm.ColdRow], known: Known, members: int, seed: int
) -> _Setting:
    draws = Draws(members, seed)
    rows, dt_s = _grid(air)
    criticals = harm.criticals(tree, table, known)
    return _Setting(
        tree=tree,
        air=air,
        draws=draws,
        known=known,
        params=_params(tree, draws, known),
        forcing=_forcing(air, rows, draws, known),
        starts=_starts(air, draws, known),
        dt_s=dt_s,
        first_s=air.time_s[0],
        criticals=criticals,
        starts_of_harm={c.organ: harm.critical_c(c, tree, draws, known) for c in criticals},
    )


def _params(tree: NightTree, draws: Draws, known: Known) -> Array:
    """Members' parameters, float64[members, N_PARAMS]."""
    out = np.empty((draws.members, ix.N_PARAMS))
    soil = f"frost_soil.{tree.soil}_{tree.soil_state}"
    for i, name in enumerate(ix.PARAM_NAMES):
        if name == "tree_height":
            out[:, i] = tree.height_m
        elif name == "tree_width":
            out[:, i] = tree.width_m
        elif name in ix.SOIL_NAMES:
            out[:, i] = middle(known(f"{soil}.{ix.SOIL_NAMES[name]}")) * ix.PARAM_FACTORS.get(name, 1.0)
        elif name == "ground_layer_resistance" and tree.ground == "grass":
            out[:, i] = draws.of(name, known("frost.grass_resistance"), log=True)
        elif name == "fruit_count" and tree.fruit == "none":
            out[:, i] = 0.0
        else:
            drawn = draws.of(name, known(f"frost.{name}"), log=name in ix.DRAWN_LOG, normal=name in ix.DRAWN_NORMAL)
            out[:, i] = drawn * ix.PARAM_FACTORS.get(name, 1.0)
    spread = draws.of("soil_conductivity_spread", known("frost.soil_conductivity_spread"))
    out[:, ix.PARAM_NAMES.index("soil_conductivity")] *= spread
    return out


def _grid(air: NightAir) -> tuple[Array, float]:
    """The air on the model's own steps, float64[n, 5], with sunset and sunrise on them, and the step [s].

    Half an hour is enough: against steps of five minutes no organ moves by more than 0.013 K (docs/models/frost.md).
    """
    seconds = np.array(air.time_s, dtype=float) - air.time_s[0]
    dark = float(air.sunrise_s - air.time_s[0])
    dt_s = dark / max(round(dark / STEP_S), 1) if dark > 0 else STEP_S
    grid = np.arange(0.0, seconds[-1] + 1.0, dt_s)
    columns = (air.air_c, air.dew_c, air.wind_m_s, air.cloud, air.sun_w_m2)
    return np.array([np.interp(grid, seconds, column) for column in columns]).T, dt_s


def _hours(setting: _Setting) -> list[int]:
    """Full local hours within the run [epoch s]."""
    first, shift = setting.first_s, round(3600 * setting.air.utc_offset_h)
    last = first + setting.dt_s * (setting.forcing.shape[1] - 1)
    start = -(-(first + shift) // 3600) * 3600 - shift
    return list(range(start, int(last) + 1, 3600))


def _forcing(air: NightAir, rows: Array, draws: Draws, known: Known) -> Array:
    """Members' air, float64[members, n, 5]: the errors of the low and of the place grow from nothing at sunset to
    their full size at the low; the dew point never passes the air."""
    out = np.repeat(rows[np.newaxis], draws.members, axis=0)
    low = int(np.argmin(rows[:, 0]))
    grown = np.clip(np.arange(rows.shape[0]) / max(low, 1), 0.0, 1.0) ** 0.5
    error = draws.error("forecast_low", air.low_sd_k) + draws.error("site", air.site_sd_k)
    out[:, :, 0] += error[:, np.newaxis] * grown
    cloud_sd = middle(known("frost.cloud_sd")) * (2.0 if "cloud" in air.guessed else 1.0)
    out[:, :, 3] = np.clip(out[:, :, 3] + draws.error("cloud", cloud_sd)[:, np.newaxis], 0.0, 1.0)
    out[:, :, 1] = np.minimum(out[:, :, 1], out[:, :, 0])
    return out


def _starts(air: NightAir, draws: Draws, known: Known) -> Array:
    """Temperatures at sunset, float64[members, N_NODES]: the deep ground from the middle of the evening's air and the
    low, with the error of the knowledge base."""
    deep = 0.5 * (air.air_c[0] + min(air.air_c)) + 0.25 * (air.air_c[0] - min(air.air_c))
    errors = draws.of("ground_deep_error", known("frost.ground_deep_error"))
    depths = draws.of("ground_decay", known("frost.ground_decay"))
    out = np.empty((draws.members, ix.N_NODES))
    for i in range(draws.members):
        out[i] = night.start(float(air.air_c[0]), float(deep + errors[i]), float(depths[i]))
    return out


def _run(setting: _Setting, measures: Measures, times: dict[str, float]) -> Array:
    """All members of one set, float64[members, n, N_STATES], on two threads."""
    told = doing.rows(measures, setting.draws, setting.known, times, setting.tree)
    m = setting.draws.members
    out = np.empty((m, setting.forcing.shape[1], ix.N_STATES))
    cuts = np.linspace(0, m, _THREADS + 1).astype(int)

    def part(k: int) -> None:
        night.run_into(
            setting.forcing, setting.params, told, setting.starts, setting.dt_s, out, int(cuts[k]), int(cuts[k + 1])
        )

    with ThreadPoolExecutor(_THREADS) as pool:
        list(pool.map(part, range(_THREADS)))
    return out


def _spread(values: Array) -> Spread:
    p10, p50, p90 = np.percentile(values, [10, 50, 90])
    return Spread(float(p10), float(p50), float(p90))


def _lows(run: Array, organ: str) -> Array:
    return np.asarray(np.nanmin(run[:, :, _STATE[organ]], axis=1))


def _chance(setting: _Setting, run: Array, organ: str) -> Array:
    if organ == "fruit":
        return harm.chance_by_ice(np.nanmax(run[:, :, ix.IX_FRUIT_ICE], axis=1), setting.draws, setting.known)
    start = setting.starts_of_harm[organ]
    return harm.chance_by_low(_lows(run, organ), start, setting.draws, setting.known)


def _organs(setting: _Setting, run: Array) -> tuple[OrganNight, ...]:
    out = []
    for critical in setting.criticals:
        organ = critical.organ
        temps = run[:, :, _STATE[organ]]
        start = setting.starts_of_harm[organ]
        low = _lows(run, organ)
        hours = (temps < start[:, np.newaxis]).sum(axis=1) * setting.dt_s / 3600.0
        coldest = int(np.nanargmin(np.median(temps, axis=0)))
        hardening = harm.hardening_k(critical, setting.tree, setting.draws, setting.known)
        out.append(
            OrganNight(
                organ=organ,
                critical=critical.value,
                hardening_k=float(np.median(hardening)),
                low_c=_spread(low),
                margin_k=_spread(low - start),
                hours_below_critical=_spread(hours),
                coldest_at=_local(setting.air, round(setting.first_s + coldest * setting.dt_s)),
                chance=float(np.mean(_chance(setting, run, organ))),
                stand_in=critical.stand_in,
            )
        )
    return tuple(sorted(out, key=lambda o: (-o.chance, o.margin_k.p50)))


def _clock(setting: _Setting, bare: Array) -> dict[str, float]:
    """When things are done [s after sunset]: lamps ahead of the first danger, buckets late, all off after sunrise."""
    known = setting.known
    margin = middle(known("measures.danger_margin"))
    sunrise = float(setting.air.sunrise_s - setting.air.time_s[0])
    off = sunrise + 3600.0 * middle(known("measures.after.sunrise"))
    first = sunrise
    for critical in setting.criticals:
        temps = np.percentile(bare[:, :, _STATE[critical.organ]], 10, axis=0)
        start = float(np.median(setting.starts_of_harm[critical.organ])) + margin
        cold = np.flatnonzero(temps < start)
        if cold.size:
            first = min(first, float(cold[0]) * setting.dt_s)
            # opened too early, a tree is colder than it was under the cover
            off = max(off, float(cold[-1] + 1) * setting.dt_s)
    # 0 would mean that it stays on; the last step is the end of the window
    off = min(off, setting.dt_s * (setting.forcing.shape[1] - 1))
    lamp_on = max(0.0, first - 3600.0 * middle(known("measures.lead.lamp")))
    bucket = max(0.0, sunrise - 3600.0 * middle(known("measures.lead.bucket")))
    return {
        "cover_off": off,
        "lamp_on": lamp_on,
        "lamp_off": off,
        "bucket_placed": bucket,
        "water_on": lamp_on,
        "water_off": off,
    }


def _rung(
    setting: _Setting, measures: Measures, run: Array, bare: Array, worst: str, times: dict[str, float]
) -> MeasureNight:
    chances = {c.organ: float(np.mean(_chance(setting, run, c.organ))) for c in setting.criticals}
    gain = _spread(_lows(run, worst) - _lows(bare, worst))
    at = {k: _local(setting.air, round(setting.air.time_s[0] + s)) for k, s in times.items() if k != "sunrise"}
    hours = (times.get("lamp_off", 0.0) - times.get("lamp_on", 0.0)) / 3600.0
    used = {
        "cover": {"cover_on": _local(setting.air, setting.air.sunset_s), "cover_off": at.get("cover_off", "")},
        "lamp": {"lamp_on": at.get("lamp_on", ""), "lamp_off": at.get("lamp_off", "")},
        "bucket": {"bucket_placed": at.get("bucket_placed", "")},
        "water": {"water_on": at.get("water_on", ""), "water_off": at.get("water_off", "")},
    }
    return MeasureNight(
        measures=measures,
        gain_k=gain,
        chances=chances,
        chance=max(chances.values()),
        watts=measures.lamp_w,
        litres=measures.bucket_l * measures.buckets * (measures.refills + 1) + measures.water_l_h * max(hours, 0.0),
        kwh=measures.lamp_w * max(hours, 0.0) / 1000.0,
        work_min=doing.work_min(measures, setting.known),
        hazards=doing.hazards(measures),
        times={k: v for part in measures.parts for k, v in used.get(part, {}).items()},
        worse=bool(measures.parts) and gain.p50 < 0.0,
    )


def _least(ladder: Sequence[MeasureNight], target: float) -> tuple[int | None, int | None]:
    """Places of the set of least work that keeps the chance under the target, and of the next one."""
    good = [i for i, rung in enumerate(ladder) if rung.chance <= target]
    good.sort(key=lambda i: (ladder[i].work_min, ladder[i].watts, ladder[i].litres, len(ladder[i].hazards)))
    return (good[0] if good else None, good[1] if len(good) > 1 else None)


def _series(setting: _Setting, bare: Array, least: Array | None, place: int | None) -> tuple[NightSeries, ...]:
    at = np.array(_hours(setting), dtype=float) - setting.first_s
    steps = setting.dt_s * np.arange(setting.forcing.shape[1])

    def line(name: str, run: Array, state: int) -> NightSeries:
        spread = np.percentile(run[:, :, state], [10, 50, 90], axis=0)
        p10, p50, p90 = (tuple(map(float, np.interp(at, steps, row))) for row in spread)
        return NightSeries(name, p10, p50, p90)

    names = ["air", "leaf_exposed", "twig", "bark", *(["fruit"] if setting.tree.fruit != "none" else [])]
    out = [line(name, bare, _STATE[name]) for name in names]
    if least is not None and place:
        out.append(line("least_leaf_exposed", least, ix.IX_LEAF_EXPOSED))
        if not np.all(np.isnan(least[:, :, ix.IX_COVER_INSIDE])):
            out.append(line("least_air_inside", least, ix.IX_AIR_INSIDE))
    return tuple(out)


def _changes(setting: _Setting, worst: str, table: Sequence[harm.ColdRow]) -> tuple[tuple[str, float, float], ...]:
    """Chance of the organ most at risk if the night turns out otherwise: (code, chance now, chance then)."""
    air = setting.air
    members = min(CHANGE_MEMBERS, setting.draws.members)

    def chance(other: NightAir) -> float:
        s = _setting(setting.tree, other, table, setting.known, members, setting.draws.seed)
        return float(np.mean(_chance(s, _run(s, Measures(), {"cover_off": 0.0, "sunrise": 0.0}), worst)))

    now = chance(air)
    sd = max(air.low_sd_k, 0.5)
    grown = np.linspace(0.0, 1.0, len(air.time_s)) ** 0.5

    def lower(by: float) -> NightAir:
        temps = np.array(air.air_c) + by * grown
        return replace(air, air_c=tuple(map(float, temps)), dew_c=tuple(map(float, np.minimum(air.dew_c, temps))))

    others = {
        "more_wind": replace(air, wind_m_s=tuple(w + 2.0 for w in air.wind_m_s)),
        "cloud": replace(air, cloud=tuple(max(c, 0.8) for c in air.cloud)),
        "lower_low": lower(-sd),
        "higher_low": lower(sd),
        "dry_air": replace(air, dew_c=tuple(d - 5.0 for d in air.dew_c)),
    }
    return tuple((code, now, chance(other)) for code, other in others.items())


def _unknowns(
    tree: NightTree, organs: Sequence[OrganNight], sets: Sequence[Measures], air: NightAir
) -> tuple[str, ...]:
    out = ["harm_curve", "supercooling", "site_spread", "tent_sky_view"]
    if tree.young_graft:
        out.append("graft_critical")
    if any(o.stand_in for o in organs):
        out.append("species_critical")
    if any(s.cover for s in sets):
        out += ["cover_optics", "cover_leak"]
    if tree.chill_h is None:
        out.append("hardening")
    names = {"wind_m_s": "wind_guessed", "cloud": "cloud_guessed", "dew_point_c": "dew_guessed"}
    out += [names[g] for g in air.guessed if g in names]
    return tuple(out)


def _cautions(ladder: Sequence[MeasureNight], least: int | None) -> tuple[str, ...]:
    offered = ladder if least is None else [ladder[least]]
    codes = [code for rung in offered for code in rung.hazards]
    return (*dict.fromkeys(codes), "estimate_only")


def _local(air: NightAir, epoch_s: int) -> str:
    at = datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=air.utc_offset_h)
    return at.strftime("%H:%M")
