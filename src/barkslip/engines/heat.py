"""A hot day at one wrapped graft: what each cover does to it, which to take, which to avoid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.heat import (
    GRAFT_COVERS,
    HOLDING_AIR,
    CoverDay,
    HeatSeries,
    HeatVerdict,
    LearnedCover,
    SunAir,
    Wrap,
    WrappedGraft,
)
from barkslip.domain.sourced import Value
from barkslip.engines import heat_harm as harm
from barkslip.engines.frost_draws import Draws, Known, middle
from barkslip.engines.heat_faces import faces
from barkslip.engines.sun_hours import SunHours, hours_of
from barkslip.engines.wrap_hours import WrapHours, hour_rows, member_params, run
from barkslip.kernels import wrap_index as ix

Array = NDArray[np.float64]

#: members of the quick runs that show what would change the answer
CHANGE_MEMBERS = 200
#: closer than this two chances of harm are the same [1]
SAME_CHANCE = 0.01
#: what the quick runs change: wind at the graft [m/s], cloud, direct and level sun under it [1], air [K], shade [1]
MORE_WIND, CLOUD, CLOUD_DIRECT, CLOUD_LEVEL, HOTTER, MORE_SHADE = 1.0, 0.9, 0.1, 0.5, 3.0, 0.5
#: share of the target from which, and chance of passing 44 °C from which, a day is watched
WATCH_SHARE, WATCH_OVER_44 = 0.3, 0.1

#: a cover over the target helps if it leaves at most this share of the harm under film alone [1]
HELPS_SHARE = 2.0 / 3.0
#: covers that need something which is not always there; they are put forward only if nothing else will do
_IF_THERE = ("nurse_leaves", "shade_cloth", "clear_plastic_shade")

_CLOSED = ("clear_plastic", "clear_plastic_shade")
_HAZARDS = {
    "clear_plastic": ("sealed_plastic",),
    "clear_plastic_shade": ("sealed_plastic",),
    "foil_sleeve": ("foil_lines_glare",),
    "foil_pouch": ("foil_lines_glare", "bag_nests"),
    "white_paint": ("paint_water_based",),
    "white_bag": ("bag_nests",),
    "brown_bag": ("bag_nests",),
    "dark_bag": ("bag_nests",),
}
_PAPER = ("white_bag", "brown_bag", "dark_bag")
_GUESSED = {
    "wind_m_s": "wind_guessed",
    "cloud": "cloud_guessed",
    "dew_point_c": "dew_guessed",
    "ghi_w_m2": "sun_guessed",
}


@dataclass(frozen=True)
class _Setting:
    """What all covers of one question share."""

    graft: WrappedGraft
    air: SunAir
    hours: SunHours
    draws: Draws
    known: Known
    target: float
    times: tuple[str, ...]
    learned: Mapping[str, LearnedCover]

    def weights(self, cover: str) -> tuple[Array | None, int]:
        """Weights of the members that own loggers left, and the days behind them; None if none fit this ensemble."""
        one = self.learned.get(cover)
        if one is None or len(one.weights) != self.draws.members:
            return None, 0
        return np.array(one.weights), one.days


def usual_wraps() -> tuple[Wrap, ...]:
    """The twelve covers as they are usually used: open below, off the scion; plastic bags closed."""
    return tuple(Wrap(cover, open_below=cover not in _CLOSED) for cover in GRAFT_COVERS)


def assess(
    graft: WrappedGraft,
    air: SunAir,
    wraps: Sequence[Wrap],
    known: Known,
    *,
    target: float,
    members: int,
    seed: int,
    plot: str = "",
    knowledge_hash: str = "",
    unknowns: Sequence[str] = (),
    learned: Mapping[str, LearnedCover] | None = None,
) -> HeatVerdict:
    """The answer for one graft and one day.

    Parameters
    ----------
    graft : WrappedGraft
    air : SunAir
        Its hours.
    wraps : sequence of Wrap
        Covers to be laid side by side; empty takes `usual_wraps`. The graft's present one is added.
    known : callable
        key -> sourced number.
    target : float
        Chance of harm that the grower accepts [0..1].
    members, seed : int
        Size of the ensemble and where its draws begin.
    unknowns : sequence of str
        Codes of what was not known about the air.
    learned : mapping of str to LearnedCover, or None
        What own loggers say of a cover; it holds for the same members and seed only.
    """
    setting = _setting(graft, air, known, target, members, seed, learned or {})
    tried = _tried(graft, wraps)
    covers, choose, now = _ranked(setting, tried)
    asked = covers[choose].wrap if choose is not None else graft.now or covers[0].wrap
    return HeatVerdict(
        graft=graft,
        plot=plot,
        air=air,
        covers=covers,
        choose=choose,
        now=now,
        faces=faces(setting.hours, graft, known, setting.times, members=members, seed=seed),
        times=setting.times,
        lines=lines(known),
        would_change=_changes(setting, asked, seed),
        danger=_danger(setting, covers, now),
        target=target,
        unknowns=tuple(dict.fromkeys((*unknowns, *_unknowns(tried, air)))),
        cautions=_cautions(covers, choose, air, known),
        members=members,
        seed=seed,
        knowledge_hash=knowledge_hash,
    )


def at_a_glance(
    graft: WrappedGraft,
    air: SunAir,
    wraps: Sequence[Wrap],
    known: Known,
    *,
    target: float,
    members: int,
    seed: int,
    learned: Mapping[str, LearnedCover] | None = None,
) -> tuple[tuple[CoverDay, ...], int | None, int | None, str]:
    """Covers, place of the one to take, place of the present one, and the danger; nothing else of `assess`.

    For many grafts at once: sides of the bark and what would change the answer take most of the time.
    """
    setting = _setting(graft, air, known, target, members, seed, learned or {})
    covers, choose, now = _ranked(setting, _tried(graft, wraps))
    return covers, choose, now, _danger(setting, covers, now)


def _tried(graft: WrappedGraft, wraps: Sequence[Wrap]) -> list[Wrap]:
    """The covers asked about, else all, and the present one."""
    return list(dict.fromkeys([*(wraps or usual_wraps()), *([graft.now] if graft.now else [])]))


def _ranked(setting: _Setting, tried: Sequence[Wrap]) -> tuple[tuple[CoverDay, ...], int | None, int | None]:
    """Covers, coolest first; places of the one to take and of the present one."""
    days = [_cover_day(setting, wrap) for wrap in tried]
    days.sort(key=lambda d: (round(d.chance_of_harm, 2), d.scion_max_c.p50, tried.index(d.wrap)))
    choose = _choice(days, setting.target, setting.draws.members, setting.known)
    film = next((d.chance_of_harm for d in days if d.wrap.cover == "film"), None)
    covers = tuple(replace(d, verdict=_verdict(d, i == choose, setting.target, film)) for i, d in enumerate(days))
    return covers, choose, next((i for i, d in enumerate(covers) if d.wrap == setting.graft.now), None)


def lines(known: Known) -> tuple[tuple[float, Value], ...]:
    """The lines that are drawn across the chart, with their sources."""
    keys = ("healing.heat.sustained", "healing.heat.cuticle", "healing.heat.necrosis")
    return tuple((middle(known(key)), known(key)) for key in keys)


def _setting(
    graft: WrappedGraft,
    air: SunAir,
    known: Known,
    target: float,
    members: int,
    seed: int,
    learned: Mapping[str, LearnedCover],
) -> _Setting:
    shift = timedelta(hours=air.utc_offset_h)
    times = tuple((datetime.fromtimestamp(s, UTC) + shift).strftime("%H:%M") for s in air.time_s)
    return _Setting(graft, air, hours_of(air), Draws(members, seed), known, target, times, learned)


def _run(setting: _Setting, wrap: Wrap) -> tuple[WrapHours, Array]:
    """All members under one cover, and the air that each of them met [°C], float64[members, n]."""
    params = member_params(setting.graft, wrap, setting.draws, setting.known, setting.hours)
    rows = hour_rows(setting.hours, setting.graft, setting.known)
    return run(rows, params), setting.hours.air_c + params[:, ix.P_AIR_ERROR, np.newaxis]


def _cover_day(setting: _Setting, wrap: Wrap) -> CoverDay:
    out, air = _run(setting, wrap)
    weights, days = setting.weights(wrap.cover)
    members = np.arange(setting.draws.members)
    hottest = np.argmax(out.scion_c, axis=1)
    top = out.scion_c[members, hottest]
    strip = out.strip_c.max(axis=1)
    cuticle = middle(setting.known("healing.heat.cuticle"))
    held = wrap.cover in HOLDING_AIR
    named = {"scion": out.scion_c, "strip": out.strip_c}
    named |= {"air_inside": out.inside_c, "cover": out.cover_c} if held else {}
    series = tuple(HeatSeries(name, *harm.by_hour(values, weights)) for name, values in named.items())
    return CoverDay(
        wrap=wrap,
        scion_max_c=harm.spread(top, weights),
        strip_max_c=harm.spread(strip, weights),
        excess_over_air_k=harm.spread(top - air[members, hottest], weights),
        air_inside_max_c=harm.spread(out.inside_c.max(axis=1), weights) if held else None,
        low_c=harm.spread(out.scion_c.min(axis=1), weights),
        degree_minutes_above_38=harm.spread(out.over_38.sum(axis=1), weights),
        degree_minutes_above_44=harm.spread(out.over_44.sum(axis=1), weights),
        water_lost_pct_day=harm.spread(100.0 * out.loss_per_h.sum(axis=1), weights),
        heat_dose=harm.spread(out.dose_per_h.sum(axis=1), weights),
        chance_of_harm=harm.mean(harm.day_chance(out, setting.draws, setting.known), weights),
        chance_over_44=harm.mean((strip > cuticle).astype(float), weights),
        hottest_at=setting.times[int(np.argmax(series[0].p50_c))],
        series=series,
        hazards=_HAZARDS.get(wrap.cover, ()),
        learned_days=days,
    )


def _choice(days: Sequence[CoverDay], target: float, members: int, known: Known) -> int | None:
    """Place of the cover to take: of those under the target and as good as the best within the noise of the draws, the
    one of least work, then the coolest. A graft without film is never advised: it dries, day after day."""
    good = [i for i, d in enumerate(days) if d.chance_of_harm <= target and d.wrap.cover != "none"]
    if not good:
        return None
    best = min(days[i].chance_of_harm for i in good)
    noise = SAME_CHANCE + 2.0 * (best * (1.0 - best) / members) ** 0.5
    near = [i for i in good if days[i].chance_of_harm <= best + noise]
    near = (
        [i for i in near if days[i].wrap.cover not in _IF_THERE]
        or [i for i in good if days[i].wrap.cover not in _IF_THERE]
        or near
    )
    return min(near, key=lambda i: (middle(known(f"wrap.work.{days[i].wrap.cover}")), days[i].scion_max_c.p50))


def _verdict(day: CoverDay, chosen: bool, target: float, film: float | None) -> str:
    """ "helps" is over the target, yet leaves much less harm than film alone."""
    if chosen:
        return "choose"
    if day.chance_of_harm <= target:
        return "bears"
    return "helps" if film is not None and day.chance_of_harm <= HELPS_SHARE * film else "avoid"


def _danger(setting: _Setting, covers: Sequence[CoverDay], now: int | None) -> str:
    """Of the cover as it is now, else of film alone."""
    if now is not None:
        day = covers[now]
    else:
        day = next((d for d in covers if d.wrap == Wrap("film")), None) or _cover_day(setting, Wrap("film"))
    if day.chance_of_harm > setting.target:
        return "act"
    watched = day.chance_of_harm > WATCH_SHARE * setting.target or day.chance_over_44 > WATCH_OVER_44
    return "watch" if watched else "none"


def _changes(setting: _Setting, wrap: Wrap, seed: int) -> tuple[tuple[str, float, float], ...]:
    """Chance of harm under one cover if the day or the cover turns out otherwise: (code, chance now, chance then)."""
    members = min(CHANGE_MEMBERS, setting.draws.members)
    few = replace(setting, draws=Draws(members, seed), learned={})

    def chance(one: _Setting, as_wrapped: Wrap) -> float:
        out, _ = _run(one, as_wrapped)
        return harm.mean(harm.day_chance(out, one.draws, one.known))

    h = setting.hours
    wind = MORE_WIND if h.wind_here else MORE_WIND / middle(setting.known("frost.wind_site_factor"))
    # under thick cloud hardly any beam is left, and what is left of the level sun comes from the whole sky
    level = CLOUD_LEVEL * h.ghi_w_m2
    direct = CLOUD_DIRECT * h.dni_w_m2
    rest = np.maximum(level - direct * np.sin(np.radians(np.maximum(h.sun_up_deg, 0.0))), 0.0)
    shade = 1.0 - (1.0 - setting.graft.shade) * (1.0 - MORE_SHADE)
    others = {
        "more_wind": (replace(few, hours=replace(h, wind_m_s=h.wind_m_s + wind)), wrap),
        "cloud": (
            replace(
                few,
                hours=replace(
                    h,
                    cloud=np.maximum(h.cloud, CLOUD),
                    ghi_w_m2=level,
                    dni_w_m2=direct,
                    dhi_w_m2=np.minimum(rest, level),
                ),
            ),
            wrap,
        ),
        "hotter": (replace(few, hours=replace(h, air_c=h.air_c + HOTTER)), wrap),
        "shade": (replace(few, graft=replace(setting.graft, shade=shade)), wrap),
    }
    if wrap.cover in HOLDING_AIR:
        others["touching"] = (few, replace(wrap, touching=True))
        others["closed"] = (few, replace(wrap, open_below=False))
    now = chance(few, wrap)
    return tuple((code, now, chance(*other)) for code, other in others.items())


def _unknowns(wraps: Sequence[Wrap], air: SunAir) -> tuple[str, ...]:
    out = ["no_measured_graft", "kill_point", "species_heat", "shade_unknown"]
    covers = {w.cover for w in wraps}
    if covers & set(_PAPER):
        out.append("paper_optics")
    if covers - {"none"}:
        out.append("film_rate")
    if covers & set(HOLDING_AIR):
        out += ["seal_unknown", "humid_bag"]
    return (*out, *(_GUESSED[name] for name in air.guessed if name in _GUESSED))


def _cautions(covers: Sequence[CoverDay], choose: int | None, air: SunAir, known: Known) -> tuple[str, ...]:
    offered = covers if choose is None else [covers[choose]]
    codes = [code for day in offered for code in day.hazards]
    if any(middle(known(f"wrap.work.{day.wrap.cover}")) > 0.0 for day in offered):
        codes.append("ladder")
    if air.high_c > middle(known("wrap.people_air")):
        codes.append("people_heat")
    return (*dict.fromkeys(codes), "estimate_only")
