"""Whatever format a logger writes, the readings come back."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from barkslip.domain.errors import BarkslipError
from barkslip.weather.options import ReadOptions
from barkslip.weather.read import read_weather

DATES = {"ymd": ("%Y-%m-%d", "%Y/%m/%d", "%y-%m-%d"), "dmy": ("%d/%m/%Y", "%d.%m.%Y", "%d-%m-%y"),
         "mdy": ("%m/%d/%Y", "%m-%d-%Y", "%m/%d/%y"), "": ("%d-%b-%Y", "%Y%m%d")}  # fmt: skip
CLOCKS = ("%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S%p")
PREAMBLES = ("", "Logger made for this test\n\n", "Serial: 17\nPlot: wall\nReadings below\n")

formats = st.fixed_dictionaries(
    {
        "order": st.sampled_from(sorted(DATES)),
        "which": st.integers(0, 2),
        "clock": st.sampled_from(CLOCKS),
        "apart": st.booleans(),
        "delimiter": st.sampled_from([",", ";", "\t"]),
        "comma": st.booleans(),
        "fahrenheit": st.booleans(),
        "unit_in_heading": st.booleans(),
        "preamble": st.sampled_from(PREAMBLES),
        "encoding": st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
        "newline": st.sampled_from(["\n", "\r\n"]),
        "quoted": st.booleans(),
        "falling": st.booleans(),
        "blank_end": st.booleans(),
    }
)


@settings(max_examples=150, deadline=None)
@given(
    form=formats,
    start=st.integers(0, 33 * 8766).map(lambda h: datetime(1995, 1, 1, tzinfo=UTC) + timedelta(hours=h)),
    step=st.sampled_from([10, 15, 60]),
    tenths=st.lists(st.one_of(st.none(), st.integers(-350, 450)), min_size=3, max_size=60).filter(
        lambda v: any(t is not None for t in v)
    ),
    offset=st.sampled_from([-9.5, -5.0, 0.0, 2.0, 12.0]),
)
def test_readings_come_back(
    form: dict[str, object], start: datetime, step: int, tenths: list[int | None], offset: float
) -> None:
    times = [start + timedelta(minutes=step * i) for i in range(len(tenths))]
    text = written(form, times, tenths)
    options = ReadOptions(date_order=str(form["order"]), unit="°F" if form["fahrenheit"] else "°C", utc_offset_h=offset)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "any.csv"
        file.write_bytes(text.encode(str(form["encoding"])))
        series = read_weather(file, options=options)
    assert series.time_s.tolist() == [round(t.timestamp() - offset * 3600) for t in times]
    expected = np.array([np.nan if t is None else t / 10 for t in tenths])
    # Written to a tenth of a degree in its own unit.
    np.testing.assert_allclose(
        series.columns["air_temp_c"], expected, atol=0.0501 / 1.8 if form["fahrenheit"] else 1e-9
    )
    assert series.info.broken == ()


def written(form: dict[str, object], times: list[datetime], tenths: list[int | None]) -> str:
    delimiter = str(form["delimiter"])
    quoted = bool(form["quoted"]) or (form["comma"] and delimiter == ",")
    patterns = DATES[str(form["order"])]
    date_format = patterns[int(str(form["which"])) % len(patterns)]
    unit = "°F" if form["fahrenheit"] else "°C"
    heading = ["Date", "Time"] if form["apart"] else ["Date Time"]
    heading.append(f"Temperature ({unit})" if form["unit_in_heading"] else "Temperature")
    rows = [heading]
    for time, value in zip(times, tenths, strict=True):
        date, clock = time.strftime(date_format), time.strftime(str(form["clock"]))
        shown = ""
        if value is not None:
            degrees = value / 10 * 1.8 + 32 if form["fahrenheit"] else value / 10
            shown = f"{degrees:.1f}".replace(".", "," if form["comma"] else ".")
        rows.append([date, clock, shown] if form["apart"] else [f"{date} {clock}", shown])
    if form["falling"]:
        rows[1:] = rows[:0:-1]
    end = str(form["newline"])
    lines = [delimiter.join(f'"{f}"' if quoted else f for f in row) for row in rows]
    if form["blank_end"]:
        lines = [line + delimiter for line in lines]
    return str(form["preamble"]).replace("\n", end) + end.join(lines) + end


@settings(max_examples=200, deadline=None)
@given(
    st.one_of(
        st.binary(min_size=1, max_size=300),
        st.text(min_size=1, max_size=300).map(lambda t: t.encode("utf-8", "surrogatepass")),
        st.text(alphabet='0123456789-/:., ;\t\nCF°T"AMPM', min_size=1, max_size=300).map(str.encode),
    )
)
def test_junk_is_refused_in_words_or_read(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "junk.csv"
        file.write_bytes(content)
        try:
            series = read_weather(file)
        except BarkslipError as error:
            assert error.problem
        else:
            assert len(series) > 0
