"""A logger's table of text -> series. Anything the file leaves open is asked, never guessed."""

from __future__ import annotations

import numpy as np

from barkslip.domain.weather import COLUMNS, BrokenLine, Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.fields import Floats, settle_broken
from barkslip.weather.logger_clock import settle_order
from barkslip.weather.logger_columns import Plan, plan_columns
from barkslip.weather.logger_table import Table, find_table
from barkslip.weather.logger_time import read_times
from barkslip.weather.logger_values import decimal_mark, read_numbers, to_stored
from barkslip.weather.options import ReadOptions, checked_kind
from barkslip.weather.raw import RawFile

_ORDER_WORDS = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}


def read_logger_csv(raw: RawFile, text: str, encoding: str, kind: str | None, options: ReadOptions) -> Series:
    """Read a table of text with times and readings.

    Parameters
    ----------
    raw : RawFile
    text : str
    encoding : str
        For the notes.
    kind : str or None
        None means "measured".
    options : ReadOptions

    Raises
    ------
    QuestionError
        Codes "column", "date-order", "unit".
    InputError
        If an answer in the options does not fit the file.
    WeatherFileError
        With line and column.
    """
    table = find_table(text, raw.name)
    plan = plan_columns(table, options, raw.name)
    notes = list(plan.notes)
    if encoding == "windows-1252":
        notes.append("The text is read as Windows-1252.")
    heading = " + ".join(table.names[i] for i in (plan.date, plan.time) if i is not None)
    tokens = (
        [(row[plan.time], "") for row in table.rows]
        if plan.date is None
        else [(row[plan.date], row[plan.time]) for row in table.rows]
    )
    clock_s, own_offset_s, broken, order = read_times(tokens, table.lines, heading, options.date_order)
    if order:
        how = "as said" if options.date_order else "as its dates decide"
        notes.append(f"Dates are read {_ORDER_WORDS[order]}, {how}.")
    columns, more, said = _values(table, plan, options)
    notes += said
    settled = settle_broken(table.broken + broken + more, keep_rest=options.keep_rest, name=raw.name)
    offset_h, said_offset = _offset(plan, options, own_offset_s)
    notes += said_offset
    file_offset = plan.offset_h if plan.offset_h is not None else offset_h
    offsets = np.where(np.isnan(own_offset_s), file_offset * 3600.0, own_offset_s)
    hurt = {b.line for b in settled}
    keep = np.array([line not in hurt for line in table.lines], dtype=bool) & np.isfinite(clock_s)
    clock = clock_s[keep].astype(np.int64)
    time_s = clock - np.rint(offsets[keep]).astype(np.int64)
    columns = {name: values[keep] for name, values in columns.items()}
    rows, flags, told = settle_order(clock, time_s, columns)
    info = SeriesInfo(
        name=options.name or raw.path.stem,
        kind=checked_kind(kind or "measured"),
        source=f"Logger's table; columns: {', '.join(table.names[i] for i, _ in plan.columns.values())}.",
        file_name=raw.name,
        file_sha256=raw.sha256,
        lat=options.lat,
        lon=options.lon,
        elevation_m=options.elevation_m,
        utc_offset_h=offset_h,
        exposure=options.exposure,
        stamps="instant",
        notes=(*notes, *told),
        flags=tuple(flags),
        broken=settled,
    )
    return assemble(info, time_s[rows], {name: values[rows] for name, values in columns.items()})


def _values(table: Table, plan: Plan, options: ReadOptions) -> tuple[dict[str, Floats], list[BrokenLine], list[str]]:
    tokens = {ours: [row[index] for row in table.rows] for ours, (index, _) in plan.columns.items()}
    mark = decimal_mark(list(tokens.values()))
    columns, broken, notes = {}, [], []
    if mark == ",":
        notes.append("Numbers have decimal commas.")
    for ours, (index, unit) in plan.columns.items():
        heading = table.names[index]
        values, bad, missing, suffix = read_numbers(tokens[ours], table.lines, heading, mark)
        suffix = {"C": "°C", "F": "°F", "℃": "°C", "℉": "°F", "°K": "K"}.get(suffix, suffix)
        values, note = to_stored(values, ours, unit or suffix, heading, options.unit)
        notes += [note] if note else []
        if missing:
            notes.append(f"{missing} readings of {heading} are written as a number that stands for none.")
        columns[ours] = values
        broken += bad
    return {name: columns[name] for name in COLUMNS if name in columns}, broken, notes


def _offset(plan: Plan, options: ReadOptions, own_offset_s: Floats) -> tuple[float, list[str]]:
    """Local standard time minus UTC [h] and what is to be said about it."""
    known = own_offset_s[np.isfinite(own_offset_s)]
    notes = []
    if known.size:
        notes.append("The times carry their offset from UTC themselves.")
    elif plan.offset_h is not None:
        notes.append(f"The heading says that the times are UTC{plan.offset_h:+g} h.")
    if options.utc_offset_h is not None:
        if not notes:
            notes.append(f"The times are taken as local standard time, UTC{options.utc_offset_h:+g} h.")
        return float(options.utc_offset_h), notes
    if plan.offset_h is not None:
        return plan.offset_h, notes
    if known.size:
        values, counts = np.unique(known, return_counts=True)
        return float(values[np.argmax(counts)]) / 3600.0, notes
    return 0.0, ["The file does not say how far its clock is from UTC: taken as UTC."]
