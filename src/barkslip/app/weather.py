"""Weather in the book: bringing it in, summing it up, and what a graft has had of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barkslip.app.context import Context
from barkslip.app.lines import Fields, begin, door
from barkslip.domain.cards import PlotDay, SeriesCard, SeriesStory, WeatherSince
from barkslip.domain.errors import InputError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.record import Record
from barkslip.domain.units import parse_temperature
from barkslip.fieldbook import series as store
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    from barkslip.domain.weather import MonthSummary, Series
    from barkslip.knowledge.load import Knowledge

#: Kinds that say what has happened, best first.
_HAPPENED = ("measured", "typed", "invented")
_DAY_S = 86_400
#: Days drawn on a graft's page [d].
CHART_DAYS = 90


def lines(known: Knowledge) -> dict[str, float]:
    """The temperature lines used in summaries [°C], from the knowledge base."""

    def number(key: str) -> float:
        value = known.value(key)
        best = value.value if isinstance(value.value, (int, float)) else value.low
        return float(best or 0.0)

    band = known.value("healing.citrus.callus_band")
    return {
        "frost_c": number("healing.frost.line"),
        "healing_low_c": float(band.low if band.low is not None else number("healing.citrus.t_min")),
        "healing_high_c": float(band.high if band.high is not None else number("healing.citrus.t_max")),
        "heat_c": number("healing.heat.sustained"),
    }


def _day_start_s(day: date, utc_offset_h: float) -> int:
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - timedelta(hours=utc_offset_h)
    return int(start.timestamp())


def main_record(reader: Reader, plot: Plot, kinds: tuple[str, ...] = _HAPPENED) -> Record | None:
    """The series that stands for a plot: of the wanted kinds, air, in a screen before other exposures, the longest."""
    found = [r for r in store.of_plot(reader, plot.thing, kinds) if "air_temp_c" in r.columns]
    if not found:
        return None
    rank = {"screen": 0, "home-made shield": 1}
    return min(found, key=lambda r: (rank.get(str(r.info.get("exposure")), 2), kinds.index(r.kind), -r.readings))


def plot_days(
    ctx: Context, reader: Reader, plot: Plot, garden: Garden, day: date, last: int, coming: int
) -> tuple[tuple[PlotDay, ...], tuple[PlotDay, ...], str, str]:
    """Nights and days before and after a day in a plot, with the names of the series they come from."""
    record = main_record(reader, plot)
    forecast = main_record(reader, plot, ("forecast",))
    before = _days(reader, record, garden, day - timedelta(days=last - 1), day) if record else []
    after: list[PlotDay] = []
    if forecast:
        after = [
            replace(d, forecast=True)
            for d in _days(reader, forecast, garden, day + timedelta(days=1), day + timedelta(days=coming))
        ]
    if record and not after:
        after = _days(reader, record, garden, day + timedelta(days=1), day + timedelta(days=coming))
    source = record.name if record and before else ""
    return tuple(before), tuple(after), source, forecast.name if forecast and after and after[0].forecast else ""


def _days(reader: Reader, record: Record, garden: Garden, first: date, last: date) -> list[PlotDay]:
    start = _day_start_s(first, garden.utc_offset_h) - _DAY_S // 2
    end = _day_start_s(last + timedelta(days=1), garden.utc_offset_h)
    found = store.readings(reader, record, columns=("air_temp_c",), start_s=start, end_s=end)
    return fold_days(found, garden.utc_offset_h, first, last)


def fold_days(found: Series, utc_offset_h: float, first: date, last: date) -> list[PlotDay]:
    """Night lows (noon to noon) and highs (the local day) of some days; days without readings are left out."""
    import numpy as np

    temps = found.columns["air_temp_c"]
    good = ~np.isnan(temps)
    time_s, temps = found.time_s[good], temps[good]
    out = []
    day = first
    while day <= last:
        start = _day_start_s(day, utc_offset_h)
        i, noon_before, noon, j = np.searchsorted(
            time_s, [start, start - _DAY_S // 2, start + _DAY_S // 2, start + _DAY_S]
        )
        night, whole = temps[noon_before:noon], temps[i:j]
        if night.size or whole.size:
            step_h = max(found.info.step_s, 1) / 3600
            out.append(
                PlotDay(
                    day=day.isoformat(),
                    night_low_c=float(night.min()) if night.size else None,
                    high_c=float(whole.max()) if whole.size else None,
                    hours=float(whole.size * step_h),
                )
            )
        day += timedelta(days=1)
    return out


def weather_since(
    ctx: Context, reader: Reader, plot: Plot, since: date, until: date, garden: Garden
) -> WeatherSince | None:
    """Weather in a plot from a day on, from its main series; None if there is no reading."""
    record = main_record(reader, plot)
    if record is None:
        return None
    import numpy as np

    start = _day_start_s(since, garden.utc_offset_h)
    end = _day_start_s(until + timedelta(days=1), garden.utc_offset_h)
    found = store.readings(reader, record, columns=("air_temp_c",), start_s=start, end_s=end)
    temps = found.columns["air_temp_c"]
    good = ~np.isnan(temps)
    if not good.any():
        return None
    line = lines(ctx.knowledge)
    step_h = found.info.step_s / 3600
    t = temps[good]
    low, high = int(np.nanargmin(temps)), int(np.nanargmax(temps))

    def local(i: int) -> str:
        at = datetime.fromtimestamp(int(found.time_s[i]), UTC) + timedelta(hours=garden.utc_offset_h)
        return at.strftime("%Y-%m-%d %H:%M")

    from barkslip.weather.summary import days as day_extremes

    extremes = day_extremes(found.between(start, start + (CHART_DAYS + 1) * _DAY_S))
    return WeatherSince(
        series=record.name,
        source=found.info.source,
        hours=float(good.sum() * step_h),
        share=min(1.0, float(good.sum() * step_h) / max((end - start) / 3600, step_h)),
        low_c=float(temps[low]),
        low_at=local(low),
        high_c=float(temps[high]),
        high_at=local(high),
        frost_hours=float((t < line["frost_c"]).sum() * step_h),
        healing_hours=float(((t >= line["healing_low_c"]) & (t <= line["healing_high_c"])).sum() * step_h),
        heat_hours=float((t > line["heat_c"]).sum() * step_h),
        **line,
        days=tuple((d.day, d.low_c, d.high_c) for d in extremes[:CHART_DAYS]),
        whole=len(extremes) <= CHART_DAYS,
    )


def import_file(ctx: Context, path: Path, fields: Fields) -> SeriesCard:
    """Read a weather file into the book.

    Parameters
    ----------
    fields : mapping
        plot (code; empty for a station elsewhere), name, kind, date_order, unit, columns ("air_temp_c=Temp A, ..."),
        utc_offset_h, exposure, keep_rest (yes keeps what could be read of a file with broken lines), logger.

    Raises
    ------
    WeatherFileError
        Naming line and column. Nothing is kept then.
    QuestionError
        If the file can be read in two ways.
    """
    from barkslip.weather.options import ReadOptions
    from barkslip.weather.quality import flag
    from barkslip.weather.read import read_weather

    at = door(ctx, fields)
    offset = at.number(fields, "utc_offset_h", -12, 14, unit="h")
    options = ReadOptions(
        date_order=at.text(fields, "date_order") or at.garden.date_order,
        unit=at.text(fields, "unit"),
        columns=column_map(at.text(fields, "columns")),
        utc_offset_h=at.garden.utc_offset_h if offset is None else offset,
        exposure=at.text(fields, "exposure") or "not known",
        name=at.text(fields, "name"),
        keep_rest=at.yes(fields, "keep_rest"),
    )
    found = flag(read_weather(path, kind=at.text(fields, "kind") or None, options=options))
    return keep_series(ctx, found, plot=at.text(fields, "plot"), logger=at.text(fields, "logger"))


def column_map(text: str) -> dict[str, str]:
    """Our columns and their headings, from "air_temp_c=Sensor 2, time=When"."""
    out: dict[str, str] = {}
    for part in text.split(","):
        ours, eq, theirs = part.partition("=")
        if eq:
            out[ours.strip()] = theirs.strip()
    return out


def keep_series(ctx: Context, found: Series, *, plot: str = "", logger: str = "") -> SeriesCard:
    """Put a series into the book.

    Raises
    ------
    InputError
        If the very same file is in the book for this plot already.
    """
    from barkslip.domain.trial import Logger

    with ctx.book.write() as writer:
        where = writer.by_code(Plot, plot) if plot else None
        device = writer.by_code(Logger, logger).thing if logger else None
        for old in store.of_plot(writer, where.thing if where else None):
            if found.info.file_sha256 and old.info.get("file_sha256") == found.info.file_sha256:
                raise InputError(
                    "This very file is in the book already.",
                    given=f"{found.info.file_name}, kept as {old.name}",
                    allowed="each file once per plot",
                    next_step="Nothing needs to be done; to read it anew, take the old series back first.",
                    field="file",
                )
        blank = Record(
            **begin(ctx, {}), name="", kind="measured", plot=where.thing if where else None, logger=device, info={}
        )
        record = store.put(writer, blank, found)
    return card_of(record, where)


def card_of(record: Record, plot: Plot | None) -> SeriesCard:
    """One series as a line of a list."""
    info = store.info_from_data(record.info)

    def day(epoch_s: int) -> str:
        return (datetime.fromtimestamp(epoch_s, UTC) + timedelta(hours=info.utc_offset_h)).date().isoformat()

    return SeriesCard(
        thing=record.thing,
        plot_code=plot.code if plot else "",
        plot_name=plot.name if plot else "",
        info=info,
        first_day=day(record.first_s),
        last_day=day(record.last_s),
        readings=record.readings,
        columns=record.columns,
    )


def all_series(ctx: Context) -> list[SeriesCard]:
    """Every series in the book: by plot in walking order, then those from elsewhere."""
    with ctx.book.read() as reader:
        plots = {p.thing: p for p in reader.every(Plot)}
        records = reader.every(Record, order="kind, first_s")
        order = {p.thing: (p.walk_order, p.code) for p in plots.values()}
        records.sort(key=lambda r: (order.get(r.plot or "", (99_999, "")), r.kind, r.first_s))
        return [card_of(r, plots.get(r.plot or "")) for r in records]


def find_series(reader: Reader, text: str) -> Record:
    """A series by thing id, by plot code (its main series), or by name.

    Raises
    ------
    InputError
    """
    from barkslip.domain.names import same_word

    records = reader.every(Record)
    for record in records:
        if text in (record.thing, record.id):
            return record
    for plot in reader.every(Plot):
        if same_word(plot.code, text) or same_word(plot.name, text):
            main = main_record(reader, plot)
            if main is not None:
                return main
    named = [r for r in records if same_word(r.name, text)]
    if len(named) == 1:
        return named[0]
    raise InputError(
        "There is no such weather series.",
        given=text or "(nothing)",
        allowed=", ".join(r.name for r in records[:8]) or "none is in the book yet",
        next_step="Name a plot or a series; bring one in with: barkslip weather import FILE",
        field="series",
    )


def series_story(ctx: Context, text: str) -> SeriesStory:
    """A series with its months: lows, frost hours, hours in the citrus healing band, heat hours."""
    with ctx.book.read() as reader:
        record = find_series(reader, text)
        plot = reader.get(Plot, record.plot) if record.plot else None
        columns = tuple(c for c in ("air_temp_c", "rain_mm") if c in record.columns)
        found = store.readings(reader, record, columns=columns)
    line = lines(ctx.knowledge)
    return SeriesStory(card=card_of(record, plot), months=month_table(found, line), lines=line)


def month_table(found: Series, line: Mapping[str, float]) -> tuple[MonthSummary, ...]:
    """Months of a series; none if it holds no air temperature."""
    from barkslip.weather.summary import months

    if "air_temp_c" not in found.columns or not len(found):
        return ()
    return months(found, **line)


def type_days(ctx: Context, fields: Fields) -> SeriesCard:
    """Keep typed daily lows and highs, made hourly by a published curve.

    Parameters
    ----------
    fields : mapping
        plot, forecast (yes for days to come), day_N, low_N, high_N.

    Raises
    ------
    QuestionError
        If a number looks like the other unit.
    """
    from barkslip.weather.typed import hourly_from_daily

    at = door(ctx, fields)
    ahead = at.yes(fields, "forecast")
    days, lows, highs = [], [], []
    with ctx.book.read() as reader:
        plot = reader.by_code(Plot, at.required(fields, "plot", "plot"))
        i = 1
        while f"day_{i}" in fields:
            if at.text(fields, f"low_{i}") or at.text(fields, f"high_{i}"):
                day = at.day(fields, f"day_{i}", future=ahead)
                expect = usual(reader, plot, at.garden, day.first)
                lows.append(_typed(at, fields, f"low_{i}", expect[0]))
                highs.append(_typed(at, fields, f"high_{i}", expect[1]))
                days.append(day.first)
                if lows[-1] > highs[-1]:
                    raise InputError(
                        "The low is above the high.",
                        given=f"{day.iso()}: {lows[-1]:.1f} and {highs[-1]:.1f} °C",
                        allowed="a low that is not above the high",
                        next_step="Swap them.",
                        field=f"low_{i}",
                    )
            i += 1
    if not days:
        raise InputError(
            "No day was typed.",
            allowed="a day with its low and its high",
            next_step="Fill in at least one line.",
            field="day_1",
        )
    if at.garden.lat is None or at.garden.lon is None:
        raise InputError(
            "The garden's place is not known, so the length of the day is not either.",
            allowed="latitude and longitude, two decimals are enough",
            next_step="Fill in the garden's place first.",
            field="lat",
        )
    order = sorted(range(len(days)), key=days.__getitem__)
    found = hourly_from_daily(
        [days[k] for k in order],
        [lows[k] for k in order],
        [highs[k] for k in order],
        lat=at.garden.lat,
        lon=at.garden.lon,
        utc_offset_h=at.garden.utc_offset_h,
        keep_ends=True,
    )
    kind = "forecast" if ahead else "typed"
    name = at.text(fields, "name") or f"{plot.name}, {'forecast typed' if ahead else 'typed'} {at.today.isoformat()}"
    found = replace(found, info=replace(found.info, kind=kind, name=name))
    return keep_series(ctx, found, plot=plot.code)


def _typed(at: Any, fields: Fields, name: str, expect: tuple[float, float]) -> float:
    return parse_temperature(
        at.required(fields, name, "low" if name.startswith("low") else "high"),
        home=at.units.temperature,
        expect_c=expect,
        sure="unit" in at.sure or "unusual" in at.sure,
        field=name,
    )


def usual(reader: Reader, plot: Plot, garden: Garden, day: date) -> tuple[tuple[float, float], tuple[float, float]]:
    """Usual lows and usual highs around a day of the year [°C]: from this plot's years if there are any.

    Without any, the widest range in which a garden with fruit trees is likely to be.
    """
    record = main_record(reader, plot)
    if record is None:
        return (-15.0, 20.0), (-5.0, 42.0)
    lows, highs = [], []
    for year in range(day.year - 6, day.year + 1):
        try:
            middle = day.replace(year=year)
        except ValueError:
            middle = date(year, 2, 28)
        for one in _days(reader, record, garden, middle - timedelta(days=15), middle + timedelta(days=15)):
            if one.night_low_c is not None and one.high_c is not None:
                lows.append(one.night_low_c)
                highs.append(one.high_c)
    if len(lows) < 10:
        return (-15.0, 20.0), (-5.0, 42.0)
    # a few kelvin beyond what was seen is still nothing to ask about
    return (min(lows) - 4.0, max(lows) + 4.0), (min(highs) - 4.0, max(highs) + 4.0)


def inbox_path(ctx: Context, file_name: str) -> Path:
    """A free place in the book's inbox for a file that is being brought in.

    What an earlier, unfinished import left there for more than a day is cleared.
    """
    import time

    folder = ctx.book.files.folder / "inbox"
    folder.mkdir(exist_ok=True)
    for old in folder.iterdir():
        if old.is_file() and time.time() - old.stat().st_mtime > _DAY_S:
            old.unlink(missing_ok=True)
    plain = "".join(c if c.isalnum() or c in ".-_" else "_" for c in Path(file_name).name)[-80:]
    # the name matters: ISD-Lite files say station and year there, so the identifier goes into a folder-like prefix
    return folder / f"{ctx.new_id()[:13]}--{plain}"
