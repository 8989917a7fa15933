"""CF NetCDF: out and back, by standard name and unit, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barkslip.domain.errors import QuestionError, WeatherFileError
from barkslip.domain.weather import COLUMNS, BrokenLine, Flag, Series
from barkslip.weather.netcdf import UNITS
from barkslip.weather.netcdf_write import write_netcdf
from barkslip.weather.options import ReadOptions
from barkslip.weather.quality import flag
from barkslip.weather.read import read_weather

HOURS = np.datetime64("2024-07-01T00:00", "ns") + np.arange(4) * np.timedelta64(1, "h")


def refused(path: Path, **options: Any) -> str:
    with pytest.raises(WeatherFileError) as caught:
        read_weather(path, options=ReadOptions(**options))
    return caught.value.message


def dataset(**variables: tuple[tuple[str, ...], Any, dict[str, str]]) -> Any:
    import xarray

    coords = {
        "time": ("time", HOURS, {"standard_name": "time"}),
        "latitude": ("latitude", [-33.0, -33.5, -34.0], {"standard_name": "latitude", "units": "degrees_north"}),
        "longitude": ("longitude", [20.5, 21.0], {"standard_name": "longitude", "units": "degrees_east"}),
    }
    used = {dim for dims, _, _ in variables.values() for dim in dims}
    return xarray.Dataset(variables, coords={k: v for k, v in coords.items() if k in used})


def air(values: Any = (273.15, 274.15, 275.15, 276.15), units: str = "K", **more: str) -> Any:
    return (("time",), np.array(values), {"standard_name": "air_temperature", "units": units, **more})


class TestOutAndBack:
    @pytest.mark.parametrize("place", ["greensboro", "shasta", "isd"])
    def test_everything_comes_back(self, place: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
        series = request.getfixturevalue(place)
        series = flag(series if isinstance(series, Series) else series(2017))
        broken = (BrokenLine(7, "T (°C)", "warm; “hot”", "not a number"),)
        series = replace(series, info=replace(series.info, broken=broken, exposure="bare probe"))
        write_netcdf(series, tmp_path / "a.nc")
        back = read_weather(tmp_path / "a.nc")
        np.testing.assert_array_equal(back.time_s, series.time_s)
        assert list(back.columns) == [name for name in COLUMNS if name in series.columns]
        for name, values in series.columns.items():
            np.testing.assert_array_equal(back.columns[name], values)
        same = replace(back.info, file_name=series.info.file_name, file_sha256=series.info.file_sha256)
        assert same == series.info

    def test_without_a_place(self, isd_path: Callable[[int], Path], tmp_path: Path) -> None:
        series = read_weather(isd_path(2015))
        write_netcdf(series, tmp_path / "a.nc")
        info = read_weather(tmp_path / "a.nc").info
        assert (info.lat, info.lon, info.elevation_m) == (None, None, None)

    def test_attributes_are_those_of_cf(self, greensboro: Series, tmp_path: Path) -> None:
        import h5py  # type: ignore[import-untyped]

        write_netcdf(greensboro, tmp_path / "a.nc")
        with h5py.File(tmp_path / "a.nc") as file:
            assert file.attrs["Conventions"] == "CF-1.8"
            assert file.attrs["featureType"] == "timeSeries"
            assert file["time"].attrs["units"] == "seconds since 1970-01-01"
            assert file["time"].attrs["standard_name"] == "time"
            assert file["time"][:].tolist() == greensboro.time_s.tolist()
            assert file["air_temp_c"].attrs["standard_name"] == "air_temperature"
            assert file["air_temp_c"].attrs["units"] == "degC"
            assert file["rain_mm"].attrs["standard_name"] == "precipitation_amount"
            assert file["rain_mm"].attrs["units"] == "kg m-2"
            assert file["ghi_w_m2"].attrs["cell_methods"] == "time: mean"
            assert set(file["air_temp_c"].attrs["coordinates"].split()) == {"lat", "lon", "alt", "station_name"}
            assert file["station_name"].attrs["cf_role"] == "timeseries_id"
            assert float(file["lat"][()]) == 36.1

    def test_flags_come_back_as_flags(self, greensboro: Series, tmp_path: Path) -> None:
        series = flag(greensboro)
        write_netcdf(series, tmp_path / "a.nc")
        flags = read_weather(tmp_path / "a.nc").info.flags
        assert flags and all(isinstance(f, Flag) for f in flags)


class TestUnits:
    # Value in the file's unit that is 10 °C, 10 m/s, 50 %, 1000 hPa, 5 mm ...: by the definitions of the units.
    @pytest.mark.parametrize(
        ("ours", "unit", "given", "expected"),
        [
            ("air_temp_c", "K", 283.15, 10.0), ("air_temp_c", "degF", 50.0, 10.0), ("air_temp_c", "degC", 10.0, 10.0),
            ("wind_m_s", "m s-1", 10.0, 10.0), ("wind_m_s", "knots", 10.0, 5.144444),
            ("wind_m_s", "km h-1", 36.0, 10.0),
            ("rel_humidity_pct", "%", 50.0, 50.0), ("rel_humidity_pct", "1", 0.5, 50.0),
            ("pressure_pa", "hPa", 1000.0, 100000.0), ("pressure_pa", "Pa", 100000.0, 100000.0),
            ("rain_mm", "kg m-2", 5.0, 5.0), ("rain_mm", "m", 0.005, 5.0),
            ("cloud_fraction", "%", 25.0, 0.25), ("ghi_w_m2", "W m-2", 500.0, 500.0),
        ],
    )  # fmt: skip
    def test_become_ours(self, ours: str, unit: str, given: float, expected: float, tmp_path: Path) -> None:
        attrs = {"standard_name": COLUMNS[ours][2], "units": unit}
        dataset(any_name=(("time",), np.full(4, given), attrs)).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        assert read_weather(tmp_path / "a.nc").columns[ours][0] == pytest.approx(expected, rel=1e-6)

    def test_every_column_has_units(self) -> None:
        assert set(UNITS) == set(COLUMNS)

    @pytest.mark.parametrize(("unit", "word"), [("furlong", "not known"), ("", "missing"), ("hPa", "not known")])
    def test_a_wrong_unit_is_refused(self, unit: str, word: str, tmp_path: Path) -> None:
        dataset(t2m=air(units=unit)).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        message = refused(tmp_path / "a.nc")
        assert message == (
            f"The unit of t2m is {word}.\nGiven: a.nc: t2m, units “{unit}”\n"
            f"Allowed: {', '.join(UNITS['air_temp_c'])}\nNext: Mend the attribute “units” of the variable."
        )


class TestFiles:
    def test_version_3_is_read_too(self, tmp_path: Path) -> None:
        dataset(t2m=air()).to_netcdf(tmp_path / "a.nc", engine="scipy")
        assert (tmp_path / "a.nc").read_bytes()[:3] == b"CDF"
        series = read_weather(tmp_path / "a.nc")
        assert series.columns["air_temp_c"].tolist() == pytest.approx([0, 1, 2, 3])
        assert str(np.datetime64(int(series.time_s[0]), "s")) == "2024-07-01T00:00:00"

    def test_what_is_not_said_is_noted(self, tmp_path: Path) -> None:
        dataset(t2m=air()).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        info = read_weather(tmp_path / "a.nc").info
        assert info.kind == "measured"
        assert info.notes == (
            "air_temp_c is t2m (t2m).",
            "The file does not say whether it was measured or computed: taken as measured.",
            "The file is in UTC and says no local time: days run from midnight to midnight UTC.",
        )

    def test_a_forecast_is_known_by_its_reference_time(self, tmp_path: Path) -> None:
        data = dataset(t2m=air())
        data["start"] = ((), np.datetime64("2024-07-01", "ns"), {"standard_name": "forecast_reference_time"})
        data.to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        assert read_weather(tmp_path / "a.nc").info.kind == "forecast"
        assert read_weather(tmp_path / "a.nc", kind="invented").info.kind == "invented"

    def test_the_nearest_cell_of_a_grid(self, tmp_path: Path) -> None:
        values = np.arange(24.0).reshape(4, 3, 2)
        attrs = {"standard_name": "air_temperature", "units": "degC"}
        data = dataset(t2m=(("time", "latitude", "longitude"), values, attrs))
        data.to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        series = read_weather(tmp_path / "a.nc", options=ReadOptions(lat=-33.6, lon=20.9))
        assert series.columns["air_temp_c"].tolist() == [3.0, 9.0, 15.0, 21.0]
        assert (series.info.lat, series.info.lon) == (-33.5, 21.0)
        assert series.info.notes[:2] == (
            "Nearest cell: latitude -33.5 for -33.6.",
            "Nearest cell: longitude 21 for 20.9.",
        )
        with pytest.raises(QuestionError) as caught:
            read_weather(tmp_path / "a.nc")
        assert (caught.value.code, caught.value.field) == ("place", "lat")
        assert refused(tmp_path / "a.nc", lat=48.0, lon=21.0) == (
            "The place is outside the grid of the file.\nGiven: lat 48\nAllowed: -34 to -33\n"
            "Next: Choose a file that covers the garden."
        )

    def test_longitudes_from_0_to_360(self, tmp_path: Path) -> None:
        attrs = {"standard_name": "air_temperature", "units": "degC"}
        data = dataset(t2m=(("time", "longitude"), np.arange(8.0).reshape(4, 2), attrs))
        data = data.assign_coords(longitude=("longitude", [237.0, 238.0], data.longitude.attrs))
        data.to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        series = read_weather(tmp_path / "a.nc", options=ReadOptions(lon=-122.1))
        assert series.columns["air_temp_c"].tolist() == [1.0, 3.0, 5.0, 7.0]
        assert series.info.lon == -122.0

    def test_two_air_temperatures_are_asked(self, tmp_path: Path) -> None:
        low = air((270.0,) * 4, cell_methods="time: minimum")
        high = air((280.0,) * 4, cell_methods="time: maximum")
        dataset(tn=low, tx=high).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        with pytest.raises(QuestionError) as caught:
            read_weather(tmp_path / "a.nc")
        assert caught.value.code == "column"
        assert caught.value.answers == (("tn", "tn: time: minimum"), ("tx", "tx: time: maximum"))
        series = read_weather(tmp_path / "a.nc", options=ReadOptions(columns={"air_temp_c": "tn"}))
        assert series.columns["air_temp_c"][0] == pytest.approx(-3.15)

    def test_no_known_variable(self, tmp_path: Path) -> None:
        data = dataset(sst=(("time",), np.zeros(4), {"standard_name": "sea_surface_temperature", "units": "K"}))
        data.to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        assert refused(tmp_path / "a.nc") == (
            "No variable of the file has a standard name that is known here.\nGiven: a.nc: sst\n"
            f"Allowed: {', '.join(cf for _, _, cf in COLUMNS.values())}\nNext: Choose a file with CF standard names."
        )

    def test_levels_are_not_guessed(self, tmp_path: Path) -> None:
        attrs = {"standard_name": "air_temperature", "units": "K"}
        dataset(t=(("time", "level"), np.full((4, 2), 280.0), attrs)).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        assert refused(tmp_path / "a.nc") == (
            "The variable has 2 values along level: only times and places are read.\nGiven: a.nc: t (time, level)\n"
            "Allowed: one value for each time and place\nNext: Cut out one level or one member first."
        )

    def test_no_time(self, tmp_path: Path) -> None:
        attrs = {"standard_name": "air_temperature", "units": "K"}
        dataset(t=(("step",), np.full(4, 280.0), attrs)).to_netcdf(tmp_path / "a.nc", engine="h5netcdf")
        assert refused(tmp_path / "a.nc").startswith(
            "The file has no time axis that can be read.\nGiven: a.nc: t (step)\n"
        )

    @pytest.mark.parametrize("engine", ["h5netcdf", "scipy"])
    def test_a_cut_off_file(self, engine: Any, tmp_path: Path) -> None:
        dataset(t2m=air()).to_netcdf(tmp_path / "a.nc", engine=engine)
        content = (tmp_path / "a.nc").read_bytes()
        (tmp_path / "half.nc").write_bytes(content[: len(content) // 3])
        message = refused(tmp_path / "half.nc")
        assert message.startswith("The NetCDF file cannot be opened; it may be cut off.\nGiven: half.nc: ")
        assert message.endswith("Allowed: NetCDF 3 or 4 with CF times\nNext: Copy or download it again.")
