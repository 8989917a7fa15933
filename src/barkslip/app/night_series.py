"""The air of one night from series: of the book, or of a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import hypot
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from barkslip.app.door import Door
from barkslip.app.night_asked import Added, Asked, added, air_from, fill_of
from barkslip.app.plot_offset import HAPPENED, air_records, corrected, number
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Plot
from barkslip.domain.night import NightAir
from barkslip.fieldbook import series as store

if TYPE_CHECKING:
    from barkslip.domain.weather import Series
    from barkslip.engines.night_hours import Hours, Window

Fields = Mapping[str, str]
#: Readings are fetched from so long before sunset to so long after sunrise [s].
_AROUND_S = 12 * 3600


class Candidate(NamedTuple):
    """A series that may have the night: its readings around it, whose they are, and the longest gap."""

    series: Series
    plot: Plot | None
    notes: tuple[str, ...]
    gap: tuple[int, int]


def from_book(asked: Asked) -> NightAir:
    """The night from the book: what was measured in the plot, else what was forecast for it, else the site's.

    Raises
    ------
    InputError
        If no series has the night.
    """
    best: Candidate | None = None
    bridge_s = round(3600 * number(asked.known, "night.gap_bridge"))
    for one in _candidates(asked):
        length = one.gap[1] - one.gap[0]
        if length == 0:
            return _answer(asked, one)
        if best is None or length < best.gap[1] - best.gap[0]:
            best = one
    if best is not None and best.gap[1] - best.gap[0] <= bridge_s:
        return _answer(asked, best)
    raise _no_hours(asked, best)


def _candidates(asked: Asked) -> Iterator[Candidate]:
    """Series in the order in which they are believed: of each place what was measured, then that and its forecast."""
    from barkslip.engines.night_hours import longest_gap

    site = asked.site
    places = [asked.plot] if asked.plot is not None else []
    if site is not None and (asked.plot is None or site.thing != asked.plot.thing):
        places.append(site)
    for place in places:
        measured = _around(asked, place, HAPPENED)
        for found, note in measured:
            yield Candidate(found, place, (note,), longest_gap(found, asked.window))
        ahead = _around(asked, place, ("forecast",))
        if ahead:
            yield _continued(asked, place, [*measured, *ahead])
    ahead = _around(asked, None, ("forecast",))
    if ahead:
        yield _continued(asked, None, ahead)


def _around(asked: Asked, plot: Plot | None, kinds: tuple[str, ...]) -> list[tuple[Series, str]]:
    """Readings around the night of a place, with what was corrected; of forecasts the one written down last first."""
    reader, window = asked.reader, asked.window
    if reader is None:
        return []
    records = air_records(reader, plot, kinds)
    if kinds == ("forecast",):
        records.sort(key=lambda r: r.made_utc, reverse=True)
    out = []
    for record in records:
        if record.last_s >= window.sunset_s and record.first_s <= window.sunrise_s:
            start_s, end_s = window.sunset_s - _AROUND_S, window.sunrise_s + _AROUND_S
            out.append(corrected(reader, record, store.readings(reader, record, start_s=start_s, end_s=end_s)))
    return out


def _continued(asked: Asked, plot: Plot | None, parts: list[tuple[Series, str]]) -> Candidate:
    """What was measured so far and a forecast for the rest, as one forecast."""
    from barkslip.engines.night_hours import joined, longest_gap

    whole, used = joined([series for series, _ in parts])
    notes = [note for place, (_, note) in enumerate(parts) if place in used]
    stands = [series for place, (series, _) in enumerate(parts) if place in used]
    ahead = next((series for series in stands if series.info.kind == "forecast"), stands[0])
    if ahead is not stands[0]:
        notes.insert(0, f"Hours that have passed are those of “{stands[0].info.name}”.")
    whole = replace(whole, info=replace(ahead.info, step_s=max(series.info.step_s for series in stands)))
    return Candidate(whole, plot, tuple(dict.fromkeys(notes)), longest_gap(whole, asked.window))


def _no_hours(asked: Asked, best: Candidate | None) -> InputError:
    window = asked.window
    where = asked.plot.code if asked.plot is not None else "the site"
    gap = ""
    if best is not None and best.gap != (window.sunset_s, window.sunrise_s):
        start, end = (_clock(window, s) for s in best.gap)
        gap = f"; “{best.series.info.name}” has nothing from {start} to {end}"
    return InputError(
        "Nothing is known about the air of that night.",
        given=f"night of {window.day}, {where}{gap}",
        allowed=f"hours from sunset, {_clock(window, window.sunset_s)}, to sunrise, {_clock(window, window.sunrise_s)}",
        next_step="Type the temperature at sunset and the expected low, or bring in a forecast or readings.",
        field="sunset_temp",
    )


def _clock(window: Window, epoch_s: int) -> str:
    return (datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=window.utc_offset_h)).strftime("%H:%M")


def _answer(asked: Asked, found: Candidate) -> NightAir:
    from barkslip.engines.night_hours import hours_of

    hours = hours_of(found.series, asked.window, fill_of(asked), asked.sky)
    ahead = found.series.info.kind == "forecast"
    words, low_sd, hours = _gap_words(asked, found, hours)
    said = f"From the forecast “{found.series.info.name}”." if ahead else f"From “{found.series.info.name}”."
    notes = tuple(note for note in found.notes if note)
    own = asked.plot is not None and found.plot is not None and found.plot.thing == asked.plot.thing
    if own:
        # a forecast is for an area, whatever plot it was made for; a thermometer stands in it
        add = Added(None, number(asked.known, "frost.site_sd" if ahead else "night.within_plot_sd"))
    else:
        add = added(asked, *_sky(asked, hours))
    return air_from(
        asked,
        hours,
        source="forecast" if ahead else "measured",
        words=(said, *_kind_words(found.series.info.kind), *words, *notes),
        low_sd_k=low_sd,
        add=add,
    )


def _kind_words(kind: str) -> tuple[str, ...]:
    return {
        "typed": ("Only the low and the high were typed; the hours between are drawn.",),
        "invented": ("The weather is invented.",),
        "typical year": ("It is a night of a typical year, not one to come.",),
    }.get(kind, ())


def _gap_words(asked: Asked, found: Candidate, hours: Hours) -> tuple[tuple[str, ...], float, Hours]:
    """Sentences about a gap, the error of the low, and the hours with the gap named among the guesses."""
    keys = {"forecast": "frost.forecast_low_sd", "typed": "night.typed_low_sd"}
    low_sd = number(asked.known, keys.get(found.series.info.kind, "night.measured_low_sd"))
    start, end = found.gap
    if start == end:
        return (), low_sd, hours
    window = asked.window
    said = f"Readings from {_clock(window, start)} to {_clock(window, end)} are missing and were drawn straight across."
    wider = hypot(low_sd, number(asked.known, "night.gap_sd"))
    return (said, "The answer is wider for it."), wider, replace(hours, guessed=(*hours.guessed, "air_temp_c"))


def _sky(asked: Asked, hours: Hours) -> tuple[float, float]:
    """Mean wind and cloud of the night."""
    dark = asked.window.time_s <= asked.window.sunrise_s
    return float(hours.wind_m_s[dark].mean()), float(hours.cloud[dark].mean())


# -- files ------------------------------------------------------------------------------------------------------


def read_file(at: Door, path: str, fields: Fields) -> Series:
    """A weather file, read as on import; nothing is kept.

    Raises
    ------
    InputError
        If there is no such file.
    WeatherFileError, QuestionError
    """
    from barkslip.weather.options import ReadOptions
    from barkslip.weather.quality import flag
    from barkslip.weather.read import read_weather

    if not Path(path).is_file():
        raise InputError(
            "There is no such weather file.",
            given=path,
            allowed="a file of hours: EPW, TMY, ISD-Lite, NetCDF, or a table",
            next_step="Check the path.",
            field="weather",
        )
    pairs = (part.partition("=") for part in at.text(fields, "columns").split(",") if "=" in part)
    options = ReadOptions(
        date_order=at.text(fields, "date_order") or at.garden.date_order,
        unit=at.text(fields, "unit"),
        columns={ours.strip(): theirs.strip() for ours, _, theirs in pairs},
        utc_offset_h=at.garden.utc_offset_h if at.garden.lat is not None else None,
    )
    return flag(read_weather(Path(path), kind=at.text(fields, "kind") or None, options=options))


def from_file(asked: Asked, series: Series) -> NightAir:
    """The night from a file that stands for the site, or for the plot if `low_here` was typed.

    Raises
    ------
    InputError
        If it does not have the night.
    """
    from barkslip.engines.night_hours import longest_gap

    if series.info.kind == "typical year":
        series = in_year(series, date.fromisoformat(asked.window.day))
    elif series.info.kind == "measured" and asked.window.sunrise_s > _now_s(asked):
        series = replace(series, info=replace(series.info, kind="forecast"))
    found = Candidate(series, asked.plot if asked.typed.here else None, (), longest_gap(series, asked.window))
    length = found.gap[1] - found.gap[0]
    if length > 3600 * number(asked.known, "night.gap_bridge"):
        raise _no_hours(asked, found)
    return _answer(asked, found)


def _now_s(asked: Asked) -> int:
    """The morning of the garden's today: nights that end later have not happened yet."""
    today = asked.at.today
    morning = datetime(today.year, today.month, today.day, 12, tzinfo=UTC)
    return int((morning - timedelta(hours=asked.garden.utc_offset_h)).timestamp())


def in_year(series: Series, day: date) -> Series:
    """A typical year moved to the year of a day, with itself before and after."""
    import numpy as np

    first = datetime.fromtimestamp(int(series.time_s[0]), UTC) + timedelta(hours=series.info.utc_offset_h)
    nominal = first.year if first.month == 1 else first.year + 1
    same = date(nominal, day.month, min(day.day, 28) if day.month == 2 else day.day)
    by_s = (day - same).days * 86400
    year_s = 86400 * (366 if np.ptp(series.time_s) > 365 * 86400 else 365)
    shifts = [by_s - year_s, by_s, by_s + year_s]
    time_s = np.concatenate([series.time_s + s for s in shifts])
    keep = np.concatenate(([True], np.diff(time_s) > 0))
    columns = {name: np.tile(values, 3)[keep] for name, values in series.columns.items()}
    return replace(series, time_s=time_s[keep], columns=columns)
