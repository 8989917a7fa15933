"""Covers side by side and the sides of the bark, as rows of tables."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.heat import CoverDay, FaceDay, HeatVerdict
from barkslip.domain.night import Spread
from barkslip.domain.units import METRIC, UnitChoice, k_to_f_difference
from barkslip.present import heat, heat_cautions
from barkslip.present import units as u
from barkslip.present.night import spread_text
from barkslip.present.tree import bearing_words


@dataclass(frozen=True, slots=True)
class CoverRow:
    """One cover as a row. `kind` is "choose", "bears" or "avoid"; numbers stand without their unit."""

    words: str
    how: str
    kind: str
    sign: str
    verdict: str
    note: str
    scion: str
    strip: str
    over_air: str
    minutes_38: str
    minutes_44: str
    water: str
    chance: str
    hottest_at: str
    hazards: tuple[str, ...]
    cover: CoverDay


def cover_rows(verdict: HeatVerdict, units: UnitChoice = METRIC) -> tuple[CoverRow, ...]:
    """All covers, least harm first."""
    now = heat.present_cover(verdict)
    rows = []
    for one in verdict.covers:
        sign, words = heat.VERDICT_WORDS.get(one.verdict, ("", one.verdict))
        notes = ["on it now"] if one is now else []
        if verdict.choose is None and one is heat.closest(verdict):
            notes.append("comes closest")
        if one.learned_days:
            notes.append(f"learned from {one.learned_days} of your days")
        rows.append(
            CoverRow(
                words=heat.cover_words(one.wrap),
                how=heat.cover_words(one.wrap, how=True).removeprefix(heat.cover_words(one.wrap)).removeprefix(", "),
                kind=one.verdict,
                sign=sign,
                verdict=words,
                note=", ".join(notes),
                scion=bare_spread(one.scion_max_c, units),
                strip=bare_spread(one.strip_max_c, units),
                over_air=heat.difference_text(one.excess_over_air_k, units),
                minutes_38=minutes_text(one.degree_minutes_above_38, units),
                minutes_44=minutes_text(one.degree_minutes_above_44, units),
                water=heat.pct_text(one.water_lost_pct_day).replace(f"{u.NBSP}%", ""),
                chance=chance_pct(one.chance_of_harm),
                hottest_at=one.hottest_at,
                hazards=heat_cautions.codes(one),
                cover=one,
            )
        )
    return tuple(rows)


def chance_pct(chance: float) -> str:
    """ "34 %": a chance out of a few hundred days is never rounded to never or to always."""
    return u.percent(min(max(chance, 0.001), 0.999))


def bare_spread(spread: Spread, units: UnitChoice = METRIC) -> str:
    """ "41.2 (39.5 to 43.4)", for a column whose head names the unit."""
    low, high = u.bare_temperature(spread.p10, units), u.bare_temperature(spread.p90, units)
    return f"{u.bare_temperature(spread.p50, units)} ({low} to {high})"


def minutes_text(spread: Spread, units: UnitChoice = METRIC) -> str:
    """Degree-minutes with their range: "420 (90 to 800)"; "0" where hardly any."""
    low, middle, high = (_minutes(v, units) for v in (spread.p10, spread.p50, spread.p90))
    return "0" if high == "0" else f"{middle} ({low} to {high})"


def _minutes(value: float, units: UnitChoice) -> str:
    size = value if units.temperature == "°C" else k_to_f_difference(value)
    return u.number(round(size, -1) if size >= 100 else size)


def minutes_unit(units: UnitChoice = METRIC) -> str:
    """Unit of degree-minutes: "K min" or "°F min"."""
    return f"{'K' if units.temperature == '°C' else '°F'}{u.NBSP}min"


@dataclass(frozen=True, slots=True)
class FaceRow:
    """One side of the limb's bark as a row."""

    words: str
    bark: str
    whitened: str
    gain: str
    hottest_at: str
    over_44: str
    over_52: str
    danger: bool
    face: FaceDay


def face_rows(verdict: HeatVerdict, units: UnitChoice = METRIC) -> tuple[FaceRow, ...]:
    """All sides, clockwise from north."""
    danger = heat.faces_in_danger(verdict)
    return tuple(
        FaceRow(
            words=bearing_words(f.face),
            bark=bare_spread(f.bark_max_c, units),
            whitened=bare_spread(f.whitened_max_c, units),
            gain=u.difference(f.whitened_max_c.p50 - f.bark_max_c.p50, units).split(u.NBSP)[0],
            hottest_at=f.hottest_at,
            over_44=chance_pct(f.chance_over_44),
            over_52=chance_pct(f.chance_over_52),
            danger=f in danger,
            face=f,
        )
        for f in verdict.faces
    )


def line_rows(verdict: HeatVerdict, units: UnitChoice = METRIC) -> tuple[tuple[str, str, str, str], ...]:
    """The lines of the chart: temperature with its range, what happens there, how it is known, key of the source."""
    out = []
    for temp_c, value in verdict.lines:
        known = isinstance(value.value, (int, float)) and value.unit == "°C"
        words = u.value_text(value, units) if known else u.temperature(temp_c, units, 0)
        out.append((words, heat.line_note(value), value.status, value.source))
    return tuple(out)


def inside_text(verdict: HeatVerdict, units: UnitChoice = METRIC) -> str:
    """Hottest air within the covers that hold air; empty if none does."""
    parts = [
        f"{heat.cover_words(c.wrap)} {spread_text(c.air_inside_max_c, units)}"
        for c in verdict.covers
        if c.air_inside_max_c is not None
    ]
    return f"Hottest air in the cover: {', '.join(parts)}." if parts else ""
