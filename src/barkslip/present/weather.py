"""Weather in words: what was measured, what is only forecast, what is missing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from barkslip.domain.cards import PlotDay, PlotToday, WeatherSince
from barkslip.domain.garden import Plot
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import counts, dates
from barkslip.present import units as u

if TYPE_CHECKING:  # weather needs numpy, words must not
    from barkslip.domain.weather import BrokenLine, Flag, Gap, MonthSummary, SeriesInfo

#: Kind of series -> one sentence that says how far to trust it.
KIND_WORDS = {
    "measured": "measured",
    "typed": "typed in by hand",
    "typical year": "a typical year, stitched from months of different years: not what happened",
    "forecast": "a forecast: it has not happened",
    "invented": "invented, for the demo",
}


def night_text(day: PlotDay, units: UnitChoice = METRIC) -> str:
    """ "−3.1 °C measured" or "−0.5 °C forecast"; "no reading" where there is none."""
    if day.night_low_c is None:
        return "no reading"
    return f"{u.temperature(day.night_low_c, units)} {'forecast' if day.forecast else 'measured'}"


def coldest(days: tuple[PlotDay, ...]) -> PlotDay | None:
    """The day with the lowest night; None if no night has a reading."""
    known = [d for d in days if d.night_low_c is not None]
    return min(known, key=lambda d: d.night_low_c if d.night_low_c is not None else 0.0) if known else None


def plot_text(today: PlotToday, units: UnitChoice = METRIC) -> str:
    """What one plot's nights come to, in one sentence."""
    ahead, past = coldest(today.coming), coldest(today.last)
    parts = []
    if ahead is not None:
        parts.append(
            f"coldest night ahead {u.temperature(ahead.night_low_c, units)}, {dates.day_short(ahead.day)} (forecast)"
        )
    if past is not None:
        lows = [d.night_low_c for d in today.last if d.night_low_c is not None]
        span = u.temperature(lows[0], units) if len(lows) == 1 else u.temperature_range(min(lows), max(lows), units)
        parts.append(f"last {counts.many(len(lows), 'night')} {span}")
    return "; ".join(parts) or "no readings of this plot"


def offset_words(plot: Plot, units: UnitChoice = METRIC) -> str:
    """What the grower believes of a plot's still nights."""
    if plot.still_offset_k is None:
        return "not known how it differs on still nights"
    words = u.colder_or_warmer(plot.still_offset_k, units)
    return f"on still nights {words} than the garden's screen, as you believe"


def kind_words(info: SeriesInfo) -> str:
    """How a series came about."""
    return KIND_WORDS[info.kind]


def column_words(column: str) -> str:
    """ "air temperature in a shielded screen"."""
    from barkslip.domain.weather import COLUMNS

    return COLUMNS[column][1]


def gap_text(gap: Gap, info: SeriesInfo) -> str:
    """ "31 h without a reading, from 3 Sep 2024, 10:00"."""
    return f"{u.hours(gap.hours)} without a reading, from {_epoch(gap.start_s, info)}"


def flag_text(flag: Flag) -> str:
    """What does not look right, with its numbers; the readings are kept."""
    return f"{flag.code}: {flag.words}"


def broken_text(line: BrokenLine) -> str:
    """A line that could not be read."""
    column = f", column {line.column}" if line.column else ""
    return f"line {line.line}{column}: {line.why}"


def step_text(info: SeriesInfo) -> str:
    """ "a reading every 30 min"."""
    minutes = info.step_s / 60.0
    if minutes < 60:
        return f"a reading every {minutes:.0f}{u.NBSP}min"
    return "a reading every hour" if minutes == 60 else f"a reading every {u.hours(minutes / 60)}"


def share_text(share: float) -> str:
    """ "all hours read" or "82 % of the hours read"."""
    return "all hours read" if share >= 0.9995 else f"{u.percent(share)} of the hours read"


def month_name(month: MonthSummary) -> str:
    """ "Sep 2024"."""
    return dates.month_text(month.year, month.month)


def since_text(weather: WeatherSince, units: UnitChoice = METRIC) -> str:
    """What weather a graft has had, in two sentences."""
    if weather.low_c is None or weather.high_c is None:
        return f"No readings since it was set ({weather.series})."
    low = f"lowest {u.temperature(weather.low_c, units)}, {dates.local_text(weather.low_at)}"
    high = f"highest {u.temperature(weather.high_c, units)}, {dates.local_text(weather.high_at)}"
    frost = (
        f"{u.hours(weather.frost_hours)} below {u.temperature(weather.frost_c, units, 0)}"
        if weather.frost_hours
        else f"no hour below {u.temperature(weather.frost_c, units, 0)}"
    )
    return f"{counts.opening(low)}; {high}. {counts.opening(frost)}; {healing_text(weather, units)}."


def healing_text(weather: WeatherSince, units: UnitChoice = METRIC) -> str:
    """Hours in which citrus heals well."""
    band = u.temperature_range(weather.healing_low_c, weather.healing_high_c, units, 0)
    return f"{u.hours(weather.healing_hours)} in the healing band, {band}"


def coverage_text(weather: WeatherSince) -> str:
    """How much of the time since setting was read at all."""
    return f"{u.hours(weather.hours)} read, {share_text(weather.share)}; source: {weather.source.rstrip('.')}"


def _epoch(second: int, info: SeriesInfo) -> str:
    local = datetime.fromtimestamp(second, UTC) + timedelta(hours=info.utc_offset_h)
    return dates.local_text(local.strftime("%Y-%m-%dT%H:%M"))
