"""A series written as CF NetCDF, so that other programs can read it by standard name.

CF Conventions 1.8, section 9 (discrete sampling geometries), feature type "timeSeries", one station.
Checked by tests/weather/test_netcdf.py (round trip, and the attributes read back by themselves).
"""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import numpy as np

from barkslip.domain.weather import COLUMNS, Series

#: Spelling of our units that UDUNITS knows.
_UDUNITS = {"°C": "degC", "%": "%", "Pa": "Pa", "m/s": "m s-1", "°": "degree", "W/m²": "W m-2", "1": "1",
            "mm": "kg m-2"}  # fmt: skip


def write_netcdf(series: Series, path: str | Path) -> None:
    """Write a series as CF-1.8 NetCDF 4.

    Readings go out as they are inside the program (°C as degC; 1 mm of rain is 1 kg m-2). What CF has no place for
    (kind, exposure, flags, notes) goes into global attributes and comes back on reading.

    Parameters
    ----------
    series : Series
    path : str or Path
        Overwritten if it exists.
    """
    import xarray

    info = series.info
    time = {
        "standard_name": "time",
        "long_name": "time, UTC" + (", end of the interval" if info.stamps == "end of interval" else ""),
        "axis": "T",
    }
    variables = {}
    for name, values in series.columns.items():
        unit, long_name, standard_name = COLUMNS[name]
        attrs = {"standard_name": standard_name, "long_name": long_name, "units": _UDUNITS[unit]}
        attrs["cell_methods"] = "time: sum" if name == "rain_mm" else "time: point"
        if name == "rain_mm":
            attrs["comment"] = "1 kg m-2 of water is 1 mm"
        if info.stamps == "end of interval" and name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
            attrs["cell_methods"] = "time: mean"
        variables[name] = (("time",), np.asarray(values, dtype=np.float64), attrs)
    coords = {"time": (("time",), series.time_s.astype("datetime64[s]").astype("datetime64[ns]"), time)}
    scalars = (
        ("lat", info.lat, {"standard_name": "latitude", "units": "degrees_north"}),
        ("lon", info.lon, {"standard_name": "longitude", "units": "degrees_east"}),
        ("alt", info.elevation_m, {"standard_name": "altitude", "units": "m", "positive": "up", "axis": "Z"}),
    )
    for name, value, attrs in scalars:
        if value is not None:
            coords[name] = ((), np.float64(value), attrs)  # type: ignore[assignment]
    station = {"cf_role": "timeseries_id", "long_name": "name of the series"}
    coords["station_name"] = ((), info.name, station)  # type: ignore[assignment]
    dataset = xarray.Dataset(variables, coords=coords, attrs=_attributes(series))
    encoding: dict[str, dict[str, object]] = {name: {"_FillValue": np.nan} for name in variables}
    encoding["time"] = {"units": "seconds since 1970-01-01 00:00:00", "calendar": "standard", "dtype": "int64"}
    for name, value, _ in scalars:
        if value is not None:
            encoding[name] = {"_FillValue": None}
    dataset.to_netcdf(Path(path), engine="h5netcdf", encoding=encoding)


def _attributes(series: Series) -> dict[str, object]:
    info = series.info
    return {
        "Conventions": "CF-1.8",
        "featureType": "timeSeries",
        "title": info.name,
        "source": info.source,
        "series_kind": info.kind,
        "utc_offset_hours": info.utc_offset_h,
        "exposure": info.exposure,
        "stamps": info.stamps,
        "notes_json": json.dumps(list(info.notes), ensure_ascii=False),
        "flags_json": json.dumps([asdict(flag) for flag in info.flags], ensure_ascii=False),
        "broken_json": json.dumps([asdict(line) for line in info.broken], ensure_ascii=False),
    }
