"""Clear days of a logger under a cover, its readings put right, or of a trial's single readings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from barkslip.app.context import Context
from barkslip.app.days_fields import known_cover
from barkslip.app.plot_offset import corrected, number
from barkslip.app.sun_layers import DAY_S, Layer, layers_of_book, local_midnight_s
from barkslip.app.sun_place import ask_of, built_hours
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.heat import Wrap, WrappedGraft
from barkslip.domain.record import Record
from barkslip.domain.trial import Logger, Trial, TrialReading
from barkslip.fieldbook import series as store

if TYPE_CHECKING:
    from barkslip.domain.weather import Series
    from barkslip.engines.sun_hours import SunHours
    from barkslip.fieldbook.reader import Reader

Floats = NDArray[np.float64]
#: How a thermometer must have sat for its air to count as shielded; that of a bare bead in the sun is no air.
SHIELDED = ("screen", "home-made shield", "not known")


@dataclass(frozen=True, eq=False)
class ClearDay:
    """One clear day: its hours, and what was measured over the shielded air of each [K], NaN outside those compared."""

    hours: SunHours
    excess_k: Floats


@dataclass(frozen=True)
class Question:
    """What is compared.

    Parameters
    ----------
    logger : Logger
    wrap : Wrap
    graft : WrappedGraft
    plot : Plot or None
        Whose shielded air counts.
    spans : tuple of (date, date)
        First and last whole day under the cover.
    from_h, to_h : float
    as_read : bool
        The logger's known errors are left in.
    """

    logger: Logger
    wrap: Wrap
    graft: WrappedGraft
    plot: Plot | None
    spans: tuple[tuple[date, date], ...]
    from_h: float
    to_h: float
    as_read: bool = False


def logger_days(
    ctx: Context, reader: Reader, asked: Question, garden: Garden
) -> tuple[list[ClearDay], int, tuple[str, ...]]:  # fmt: skip
    """Clear days with readings, how many were left out, and what was corrected."""
    from barkslip.weather.even_hours import column_at

    read = _readings(reader, asked, garden)
    days: list[ClearDay] = []
    looked = 0
    for first, last in asked.spans:
        for day, hours, sunny in _days_of(ctx, reader, asked, garden, first, last):
            looked += 1
            scion = np.full(len(hours), np.nan)
            for series in read:
                values = column_at(series, "surface_temp_c", hours.time_s)
                scion = np.where(np.isfinite(scion), scion, values)
            excess = np.where(_compared(hours, day, asked, garden), scion - hours.air_c, np.nan)
            if sunny and np.isfinite(excess).sum() == _compared(hours, day, asked, garden).sum():
                days.append(ClearDay(hours, excess))
    return days, looked - len(days), _corrections(asked)


def _readings(reader: Reader, asked: Question, garden: Garden) -> list[Series]:
    """The logger's own series of a surface, put right unless they are wanted as read.

    Raises
    ------
    InputError
        If it has none.
    """
    start = local_midnight_s(min(first for first, _ in asked.spans), garden.utc_offset_h) - DAY_S
    end = local_midnight_s(max(last for _, last in asked.spans), garden.utc_offset_h) + 2 * DAY_S
    out = []
    for record in reader.every(Record, "logger = :logger", logger=asked.logger.thing):
        if "surface_temp_c" in record.columns and record.last_s >= start and record.first_s <= end:
            found = store.readings(reader, record, columns=("surface_temp_c",), start_s=start, end_s=end)
            out.append(found if asked.as_read else corrected(reader, record, found)[0])
    if out:
        return out
    raise InputError(
        f"Logger {asked.logger.code} has no readings of a scion or a surface on those days.",
        given=f"{asked.spans[0][0].isoformat()} to {asked.spans[-1][1].isoformat()}",
        allowed="readings of a bead against the scion, brought in as a surface temperature",
        next_step="Bring its readings in, or take other days.",
        field="logger",
    )


def _corrections(asked: Question) -> tuple[str, ...]:
    """A sentence for each correction, or that there was none to make."""
    logger = asked.logger
    if asked.as_read:
        return ()
    out = []
    if logger.ice_bath_error_k is None:
        out.append(f"Logger {logger.code} was never checked in ice water; its error is in the readings.")
    elif logger.ice_bath_error_k:
        out.append(f"In ice water logger {logger.code} read {logger.ice_bath_error_k:+.1f} K: taken off.")
    if logger.clock_error_min:
        out.append(f"Its clock stood {logger.clock_error_min:+.0f} min off: set right.")
    return tuple(out)


def _days_of(
    ctx: Context, reader: Reader, asked: Question, garden: Garden, first: date, last: date
) -> list[tuple[date, SunHours, bool]]:
    """Each local day: its hours with shielded air and sun, and whether it was clear in the hours compared.

    Days without air or sun in those hours are not clear.
    """
    start = local_midnight_s(first, garden.utc_offset_h)
    count = ((last - first).days + 1) * 24
    found = layers_of_book(reader, asked.plot, start, start + 3600 * count, ahead=False)
    layers = [_fitting(one, asked.plot) for one in found if one.series.info.exposure in SHIELDED]
    built = built_hours(layers, ask_of(garden, ctx.knowledge), start, count + 1)
    share = _sun_share(built.hours, garden, ctx)
    out = []
    for n in range(count // 24):
        day = first + timedelta(days=n)
        part = built.hours.part(24 * n, 24 * n + 25)
        known = bool(np.isfinite(part.air_c).all())
        there = share[24 * n : 24 * n + 25][_compared(part, day, asked, garden)]
        out.append((day, part, known and _is_clear(there, ctx)))
    return out


def _fitting(layer: Layer, plot: Plot | None) -> Layer:
    """A shielded series: the plot's own may stand for the air, another place's lends its sun and wind only."""
    return replace(layer, air=layer.air and (layer.own or plot is None))


def _sun_share(hours: SunHours, garden: Garden, ctx: Context) -> Floats:
    """Sun on the level as a share of the clear sky's [1]; NaN where it is low.

    Hours whose sun nobody read carry a clear sky's sun less what the cloud took, so a cloud that was read counts.
    """
    from barkslip.weather.solar import SunPath, clear_sky, pressure_pa, water_above_cm

    water = water_above_cm(np.nan_to_num(hours.air_c, nan=20.0), np.nan_to_num(hours.dew_c, nan=10.0))
    clear = clear_sky(
        SunPath(hours.sun_up_deg, hours.sun_from_deg),
        hours.time_s,
        haze=number(ctx.knowledge.value, "solar.haze"),
        water_cm=float(water[hours.sun_up_deg > 0.0].mean()) if (hours.sun_up_deg > 0.0).any() else 1.5,
        pressure=pressure_pa(garden.elevation_m or 0.0),
    )
    top = clear.ghi_w_m2
    return np.asarray(np.divide(hours.ghi_w_m2, top, out=np.full(top.shape, np.nan), where=top > 50.0))


def _is_clear(share: Floats, ctx: Context) -> bool:
    """The rule of the knowledge base: mean and lowest share of the clear sky's sun in the hours compared."""
    if not share.size or not bool(np.isfinite(share).all()):
        return False
    known = ctx.knowledge.value
    return bool(
        share.mean() >= number(known, "solar.clear_share") and share.min() >= number(known, "solar.clear_low_sun")
    )


def _compared(hours: SunHours, day: date, asked: Question, garden: Garden) -> NDArray[np.bool_]:
    """True in the hours that are compared, both ends included."""
    local = (hours.time_s - local_midnight_s(day, garden.utc_offset_h)) / 3600.0
    return np.asarray((local >= asked.from_h) & (local <= asked.to_h))


# -- days from the single readings of a trial --------------------------------------------------------------------


def trial_days(
    ctx: Context, reader: Reader, asked: Question, garden: Garden, code: str
) -> tuple[list[ClearDay], int, tuple[str, ...]]:  # fmt: skip
    """Clear days of a trial's single readings under the cover: the mean of its scions on each day.

    A reading is the mean of the hours compared; the known error of the logger it names is taken off.
    """
    trial = next((t for t in reader.every(Trial) if t.code.lower() == code.lower()), None)
    if trial is None:
        raise NotFoundError(
            "There is no such trial in the book.",
            given=code,
            allowed=", ".join(t.code for t in reader.every(Trial, order="code")) or "none yet",
            next_step="Check the code.",
            field="trial",
        )
    rows = [
        r
        for r in reader.every(TrialReading, "trial = :trial AND of = 'excess_k'", trial=trial.thing)
        if known_cover(r.arm) == (asked.wrap.cover, False)
    ]
    loggers = reader.many(Logger, [r.logger for r in rows if r.logger])
    by_day: dict[date, list[float]] = {}
    wrong: dict[str, tuple[int, float]] = {}
    for row in rows:
        logger = loggers.get(row.logger or "")
        error = (logger.ice_bath_error_k or 0.0) if logger is not None and not asked.as_read else 0.0
        if logger is not None and error:
            wrong[logger.code] = wrong.get(logger.code, (0, error))[0] + 1, error
        by_day.setdefault(row.on.first, []).append(row.value - error)
    days, left_out = [], 0
    for day, values in sorted(by_day.items()):
        [(_, hours, sunny)] = _days_of(ctx, reader, asked, garden, day, day)
        if not sunny:
            left_out += 1
            continue
        mean = sum(values) / len(values)
        days.append(ClearDay(hours, np.where(_compared(hours, day, asked, garden), mean, np.nan)))
    said = [f"Logger {name}, {n} readings: {error:+.1f} K taken off." for name, (n, error) in sorted(wrong.items())]
    return days, left_out, tuple(said)
