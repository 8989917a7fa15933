"""CF NetCDF files, read by standard name and unit.

CF Conventions 1.8 (Eaton, B. et al.) and its standard name table: what a variable is, is told by `standard_name`,
never by the variable's own name. A variable whose unit is not known is refused, not guessed.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import numpy as np

from barkslip.domain.errors import QuestionError, WeatherFileError
from barkslip.domain.weather import COLUMNS, BrokenLine, Flag, Series, SeriesInfo
from barkslip.weather.assemble import assemble
from barkslip.weather.fields import Floats
from barkslip.weather.options import ReadOptions, checked_kind
from barkslip.weather.raw import RawFile

if TYPE_CHECKING:
    import xarray

_NAMES = {cf: ours for ours, (_, _, cf) in COLUMNS.items()}
_TEMPERATURE = {"K": (1.0, -273.15), "kelvin": (1.0, -273.15), "degC": (1.0, 0.0), "degrees_C": (1.0, 0.0),
                "celsius": (1.0, 0.0), "Celsius": (1.0, 0.0), "degree_Celsius": (1.0, 0.0), "°C": (1.0, 0.0),
                "degF": (1 / 1.8, -32 / 1.8), "degrees_F": (1 / 1.8, -32 / 1.8), "fahrenheit": (1 / 1.8, -32 / 1.8),
                "degree_Fahrenheit": (1 / 1.8, -32 / 1.8)}  # fmt: skip
_SPEED = {"m s-1": (1.0, 0.0), "m/s": (1.0, 0.0), "m s**-1": (1.0, 0.0), "km h-1": (1 / 3.6, 0.0),
          "km/h": (1 / 3.6, 0.0), "knot": (1852 / 3600, 0.0), "knots": (1852 / 3600, 0.0), "kt": (1852 / 3600, 0.0),
          "mile hour-1": (0.44704, 0.0)}  # fmt: skip
_FLUX = {"W m-2": (1.0, 0.0), "W/m2": (1.0, 0.0), "W m**-2": (1.0, 0.0), "watt m-2": (1.0, 0.0)}
_ANGLE = {"degree": (1.0, 0.0), "degrees": (1.0, 0.0), "deg": (1.0, 0.0)}
_DEPTH = {"kg m-2": (1.0, 0.0), "mm": (1.0, 0.0), "m": (1000.0, 0.0), "kg m**-2": (1.0, 0.0)}
#: our column -> unit in the file -> (factor, added); what is in the file times factor plus added is ours
UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "air_temp_c": _TEMPERATURE, "dew_point_c": _TEMPERATURE, "surface_temp_c": _TEMPERATURE,
    "rel_humidity_pct": {"%": (1.0, 0.0), "percent": (1.0, 0.0), "1": (100.0, 0.0)},
    "pressure_pa": {"Pa": (1.0, 0.0), "hPa": (100.0, 0.0), "mbar": (100.0, 0.0), "kPa": (1000.0, 0.0)},
    "wind_m_s": _SPEED, "gust_m_s": _SPEED, "wind_from_deg": _ANGLE,
    "ghi_w_m2": _FLUX, "dni_w_m2": _FLUX, "dhi_w_m2": _FLUX,
    "cloud_fraction": {"1": (1.0, 0.0), "%": (0.01, 0.0)},
    "rain_mm": _DEPTH,
}  # fmt: skip


def read_netcdf(raw: RawFile, kind: str | None, options: ReadOptions) -> Series:
    """Read a CF NetCDF file (version 3 or 4).

    Parameters
    ----------
    raw : RawFile
    kind : str or None
        None: what the file says (`series_kind`, or a forecast reference time), else "measured" with a note.
    options : ReadOptions
        `lat` and `lon` choose the nearest cell of a grid; `columns` says which variable is meant where several
        have the same standard name.

    Raises
    ------
    QuestionError
        Codes "column" and "place".
    WeatherFileError
    """
    import io

    import xarray

    engine = "scipy" if raw.content.startswith(b"CDF") else "h5netcdf"
    try:
        with xarray.open_dataset(io.BytesIO(raw.content), engine=engine, decode_timedelta=False) as opened:
            dataset = opened.load()
    except Exception as problem:  # the readers below raise whatever they like on damaged files
        raise WeatherFileError(
            "The NetCDF file cannot be opened; it may be cut off.",
            given=f"{raw.name}: {type(problem).__name__}",
            allowed="NetCDF 3 or 4 with CF times",
            next_step="Copy or download it again.",
            field="file",
        ) from None
    chosen = _variables(dataset, options, raw.name)
    time_name, time_s = _times(dataset, next(iter(chosen.values())), raw.name)
    notes: list[str] = []
    place = _place(dataset, chosen, options, notes)
    columns: dict[str, Floats] = {}
    for ours, variable in chosen.items():
        values = _one_cell(dataset[variable], dataset, place, time_name, raw.name)
        columns[ours] = _converted(values, ours, dataset[variable], raw.name)
        long_name = dataset[variable].attrs.get("long_name", variable)
        notes.append(f"{ours} is {variable} ({long_name}).")
    order = np.argsort(time_s, kind="stable")
    first = np.concatenate(([True], np.diff(time_s[order]) > 0))
    if not bool(first.all()):
        notes.append(f"Left out because their time was there before: {int(np.count_nonzero(~first))}.")
    order = order[first]
    info = _info(dataset, raw, kind, options, place, notes, time_name)
    return assemble(info, time_s[order], {name: values[order] for name, values in columns.items()})


def _variables(dataset: xarray.Dataset, options: ReadOptions, name: str) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for variable in dataset.data_vars:
        ours = _NAMES.get(str(dataset[variable].attrs.get("standard_name", "")).strip())
        if ours:
            found.setdefault(ours, []).append(str(variable))
    chosen = {}
    for ours, theirs in options.columns.items():
        if theirs not in dataset.data_vars:
            raise WeatherFileError(
                "The file has no such variable.",
                column=theirs,
                given=theirs,
                allowed=", ".join(map(str, dataset.data_vars)),
                next_step="Name a variable of the file.",
                field="columns",
            )
        chosen[ours] = theirs
    for ours, names in found.items():
        if ours in chosen:
            continue
        if len(names) > 1:
            answers = tuple((n, f"{n}: {_about(dataset[n])}") for n in names)
            raise QuestionError(
                f"More than one variable has the standard name {COLUMNS[ours][2]}.",
                code="column",
                answers=answers,
                given=", ".join(names),
                allowed=", ".join(names),
                next_step="Say which is meant.",
                field=f"columns.{ours}",
            )
        chosen[ours] = names[0]
    if not chosen:
        raise WeatherFileError(
            "No variable of the file has a standard name that is known here.",
            given=f"{name}: {', '.join(map(str, dataset.data_vars)) or '(no variable)'}",
            allowed=", ".join(_NAMES),
            next_step="Choose a file with CF standard names.",
            field="file",
        )
    return {ours: chosen[ours] for ours in COLUMNS if ours in chosen}


def _about(variable: Any) -> str:
    words = (variable.attrs.get("long_name", ""), variable.attrs.get("cell_methods", ""))
    return "; ".join(w for w in words if w) or "no description"


def _times(dataset: xarray.Dataset, variable: str, name: str) -> tuple[str, np.ndarray]:
    for dim in dataset[variable].dims:
        coordinate = dataset.variables.get(dim)
        if coordinate is None or coordinate.ndim != 1 or not np.issubdtype(coordinate.dtype, np.datetime64):
            continue
        times = coordinate.to_numpy()
        if bool(np.isnat(times).any()):
            break
        return str(dim), times.astype("datetime64[s]").astype(np.int64)
    raise WeatherFileError(
        "The file has no time axis that can be read.",
        column=variable,
        given=f"{name}: {variable} ({', '.join(map(str, dataset[variable].dims))})",
        allowed="a time axis in the ordinary calendar, with units such as “hours since 2024-01-01”",
        next_step="Choose a file with CF times.",
        field="file",
    )


def _axis(dataset: xarray.Dataset, standard_name: str, units: tuple[str, ...]) -> str:
    for name, variable in dataset.variables.items():
        named = variable.attrs.get("standard_name") == standard_name or variable.attrs.get("units") in units
        if named and np.issubdtype(variable.dtype, np.number):
            return str(name)
    return ""


def _place(
    dataset: xarray.Dataset, chosen: dict[str, str], options: ReadOptions, notes: list[str]
) -> dict[str, tuple[int, float]]:
    """Axis name -> (index along it, its value) for latitude and longitude; ("lat"|"lon" keys hold single values)."""
    place: dict[str, tuple[int, float]] = {}
    axes = (("lat", "latitude", ("degrees_north", "degree_north"), options.lat),
            ("lon", "longitude", ("degrees_east", "degree_east"), options.lon))  # fmt: skip
    dims = {dim for variable in chosen.values() for dim in dataset[variable].dims}
    for key, standard_name, units, wanted in axes:
        axis = _axis(dataset, standard_name, units)
        if not axis:
            continue
        values = np.atleast_1d(dataset[axis].to_numpy().astype(np.float64))
        index = 0
        if axis in dims and values.size > 1:
            if wanted is None:
                raise QuestionError(
                    "The file holds a grid: which place?",
                    code="place",
                    answers=(),
                    given=f"{standard_name} {values.min():g} to {values.max():g}, {values.size} cells",
                    allowed="latitude and longitude of the garden",
                    next_step="Give latitude and longitude.",
                    field=key,
                )
            away = np.abs(values - wanted)
            if key == "lon":
                away = np.abs((values - wanted + 180.0) % 360.0 - 180.0)
            index = int(np.argmin(away))
            if away[index] > np.abs(np.diff(values)).max():
                raise WeatherFileError(
                    "The place is outside the grid of the file.",
                    column=axis,
                    given=f"{key} {wanted:g}",
                    allowed=f"{values.min():g} to {values.max():g}",
                    next_step="Choose a file that covers the garden.",
                    field=key,
                )
            notes.append(f"Nearest cell: {standard_name} {values[index]:g} for {wanted:g}.")
        if values.size == 1 or axis in dims:
            value = float(values[index])
            place[key] = (index, (value + 180.0) % 360.0 - 180.0 if key == "lon" and value > 180.0 else value)
            place[axis] = (index, value)
    return place


def _one_cell(
    variable: Any, dataset: xarray.Dataset, place: dict[str, tuple[int, float]], time_name: str, name: str
) -> Floats:
    for dim in variable.dims:
        if dim == time_name:
            continue
        if dim in place:
            variable = variable.isel({dim: place[str(dim)][0]})
        elif variable.sizes[dim] == 1:
            variable = variable.isel({dim: 0})
        else:
            raise WeatherFileError(
                f"The variable has {variable.sizes[dim]} values along {dim}: only times and places are read.",
                column=str(variable.name),
                given=f"{name}: {variable.name} ({', '.join(map(str, variable.dims))})",
                allowed="one value for each time and place",
                next_step="Cut out one level or one member first.",
                field="file",
            )
    if variable.dims != (time_name,):
        raise WeatherFileError(
            "The variable does not change with time.",
            column=str(variable.name),
            given=f"{name}: {variable.name}",
            allowed="a value for each time",
            next_step="Choose another file.",
            field="file",
        )
    values: Floats = variable.to_numpy().astype(np.float64)
    return values


def _converted(values: Floats, ours: str, variable: Any, name: str) -> Floats:
    unit = str(variable.attrs.get("units", "")).strip()
    known = UNITS[ours]
    if unit not in known:
        raise WeatherFileError(
            f"The unit of {variable.name} is {'not known' if unit else 'missing'}.",
            column=str(variable.name),
            given=f"{name}: {variable.name}, units “{unit}”",
            allowed=", ".join(known),
            next_step="Mend the attribute “units” of the variable.",
            field="file",
        )
    factor, added = known[unit]
    return values * factor + added


def _info(
    dataset: xarray.Dataset,
    raw: RawFile,
    kind: str | None,
    options: ReadOptions,
    place: dict[str, tuple[int, float]],
    notes: list[str],
    time_name: str,
) -> SeriesInfo:
    attrs = dataset.attrs
    if kind is None:
        kind = str(attrs.get("series_kind", ""))
        if not kind and any(
            v.attrs.get("standard_name") == "forecast_reference_time" for v in dataset.variables.values()
        ):
            kind = "forecast"
        if not kind:
            kind = "measured"
            notes.append("The file does not say whether it was measured or computed: taken as measured.")
    offset = options.utc_offset_h
    if offset is None:
        offset = float(attrs.get("utc_offset_hours", 0.0))
        if "utc_offset_hours" not in attrs:
            notes.append("The file is in UTC and says no local time: days run from midnight to midnight UTC.")
    heights = [v for v in dataset.variables.values() if v.attrs.get("standard_name") == "altitude" and v.ndim == 0]
    told = [str(n) for n in json.loads(attrs["notes_json"])] if "notes_json" in attrs else []
    return SeriesInfo(
        name=options.name or str(attrs.get("title", "")) or raw.path.stem,
        kind=checked_kind(kind),
        source=str(attrs.get("source", "")) or f"CF NetCDF file {raw.name}.",
        file_name=raw.name,
        file_sha256=raw.sha256,
        lat=place["lat"][1] if "lat" in place else options.lat,
        lon=place["lon"][1] if "lon" in place else options.lon,
        elevation_m=float(heights[0]) if heights else options.elevation_m,
        utc_offset_h=float(offset),
        exposure=str(attrs.get("exposure", options.exposure)),
        stamps="end of interval" if "bounds" in dataset[time_name].attrs else str(attrs.get("stamps", "instant")),
        notes=tuple(told or notes),
        flags=tuple(Flag(**f) for f in json.loads(attrs.get("flags_json", "[]"))),
        broken=tuple(BrokenLine(**b) for b in json.loads(attrs.get("broken_json", "[]"))),
    )
