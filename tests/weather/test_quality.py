"""Made faults are found, and real years stay nearly clean."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.weather import Flag, Series, SeriesInfo
from barkslip.weather.assemble import find_gaps
from barkslip.weather.quality import QualityLimits, flag, suspect

N = 24 * 20


def made(**columns: np.ndarray) -> Series:
    """Twenty days of hours in Quarrow Flat (invented), cold before sunrise and hottest two hours after noon."""
    time_s = np.datetime64("2024-07-01T00:00", "s").astype(np.int64) - 7200 + 3600 * np.arange(N)
    hour = np.arange(N) % 24
    air = 8.0 + 6.0 * np.cos((hour - 14.6) * np.pi / 12.0) + 0.01 * np.arange(N)
    info = SeriesInfo(name="x", kind="invented", source="made", lat=-33.6, lon=21.0, utc_offset_h=2.0)
    return Series(info, time_s, {"air_temp_c": air, **columns})


def found(series: Series) -> dict[tuple[str, str], int]:
    return {key: int(mask.sum()) for key, mask in suspect(series).items()}


def with_air(series: Series, index: int | slice, value: float) -> Series:
    air = series.columns["air_temp_c"].copy()
    air[index] = value
    return replace(series, columns={**series.columns, "air_temp_c": air})


def test_a_clean_series_has_no_flag() -> None:
    assert flag(made()).info.flags == ()


@pytest.mark.parametrize(
    ("column", "bad", "good"),
    [
        ("rel_humidity_pct", 101.0, 100.0), ("rel_humidity_pct", -1.0, 0.0), ("wind_m_s", -0.1, 0.0),
        ("pressure_pa", 1013.0, 101300.0), ("wind_from_deg", 361.0, 360.0), ("ghi_w_m2", 2000.0, 0.0),
        ("cloud_fraction", 1.2, 1.0), ("rain_mm", 500.0, 0.0),
    ],
)  # fmt: skip
def test_outside_limits(column: str, bad: float, good: float) -> None:
    values = np.full(N, good)
    assert ("outside limits", column) not in found(made(**{column: values}))
    values[[5, 7]] = bad
    series = made(**{column: values})
    assert found(series)["outside limits", column] == 2
    told = next(f for f in flag(series).info.flags if f.code == "outside limits")
    assert (told.start_s, told.end_s, told.count) == (int(series.time_s[5]), int(series.time_s[7]), 2)


def test_flagged_readings_are_kept() -> None:
    series = with_air(made(), 100, 70.0)
    flagged = flag(series)
    assert flagged.columns["air_temp_c"][100] == 70.0
    words = {f.code: f.words for f in flagged.info.flags}
    assert words["outside limits"] == (
        "air temperature in a shielded screen: 1 readings of 70 °C are outside -80 to 60 °C."
    )


def test_jump() -> None:
    # A spike goes up and comes down: two jumps.
    assert found(with_air(made(), 100, 30.0)) == {("jump", "air_temp_c"): 2}
    assert found(with_air(made(), 100, float(made().columns["air_temp_c"][99]) + 9.5)) == {}


def test_a_change_over_a_gap_is_no_jump() -> None:
    series = made()
    air = series.columns["air_temp_c"].copy()
    air[100:130] = np.nan
    air[130:] += 15.0
    assert found(replace(series, columns={"air_temp_c": air})) == {}


@pytest.mark.parametrize(("readings", "count"), [(25, 25), (24, 0)])
def test_stuck(readings: int, count: int) -> None:
    series = made()
    air = series.columns["air_temp_c"].copy()
    air[200 : 200 + readings] = air[200]
    got = found(replace(series, columns={"air_temp_c": air}))
    assert got.get(("stuck", "air_temp_c"), 0) == count


def test_calm_is_not_a_stuck_wind() -> None:
    assert found(made(wind_m_s=np.zeros(N))) == {}
    assert found(made(wind_m_s=np.full(N, 1.3))) == {("stuck", "wind_m_s"): N}


def test_dew_point_above_air() -> None:
    series = made()
    dew = series.columns["air_temp_c"] - 2.0
    dew[50:53] = series.columns["air_temp_c"][50:53] + 0.5
    assert found(replace(series, columns={**series.columns, "dew_point_c": dew})) == {
        ("dew above air", "dew_point_c"): 3
    }


def test_sun_at_night_needs_a_place() -> None:
    sun = np.zeros(N)
    sun[24 * 5 + 2] = 40.0  # 02:00 local
    assert found(made(ghi_w_m2=sun)) == {("sun at night", "ghi_w_m2"): 1}
    series = made(ghi_w_m2=sun)
    assert found(replace(series, info=replace(series.info, lat=None))) == {}


def test_flags_are_made_anew_and_those_of_the_reader_kept() -> None:
    series = with_air(made(), 100, 70.0)
    reader = Flag("clock doubt", "time", 0, 0, 1, "After 02:00 the clock runs back by 1 h.")
    series = replace(series, info=replace(series.info, flags=(reader,)))
    once = flag(series)
    assert flag(once).info.flags == once.info.flags
    assert once.info.flags[0] == reader


def test_limits_come_as_arguments() -> None:
    assert suspect(made(), QualityLimits(jump_c_per_h=1.0))
    assert suspect(made(), QualityLimits(ranges={"air_temp_c": (0.0, 10.0)}))


def test_gaps() -> None:
    series = made()
    air = series.columns["air_temp_c"].copy()
    air[[0, 10, 11, N - 1]] = np.nan
    gaps = find_gaps(replace(series, columns={"air_temp_c": air}))
    assert [(g.start_s, g.hours) for g in gaps] == [(int(series.time_s[10]), 2.0)]


# (code, column) -> readings, of real files. Rain of 500 mm in an hour stands twice in the Greensboro file itself
# (09/18/2003 17:00 and 09/23/2003 01:00): a fault of the file, found here. The sun of the Mount Shasta EPW is half
# an hour late throughout, which its "sun at night" shows too.
REAL = {
    "greensboro": {("jump", "air_temp_c"): 1, ("jump", "dew_point_c"): 4, ("outside limits", "rain_mm"): 2},
    "miami": {},
    "shasta": {("jump", "air_temp_c"): 1, ("jump", "dew_point_c"): 5, ("sun at night", "ghi_w_m2"): 27},
}


@pytest.mark.parametrize("place", list(REAL))
def test_real_years_unchanged(place: str, request: pytest.FixtureRequest) -> None:
    assert found(request.getfixturevalue(place)) == REAL[place]


@pytest.mark.parametrize(("year", "expected"), [(2015, {}), (2016, {}), (2017, {("jump", "dew_point_c"): 2})])
def test_real_station_years_unchanged(
    year: int, expected: dict[tuple[str, str], int], isd: Callable[[int], Series]
) -> None:
    assert found(isd(year)) == expected
