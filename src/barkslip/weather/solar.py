"""The sun on trees: where it stands, and how much of it comes straight and from the sky.

Position after Reda and Andreas (2003) (SPA), for very many hours after a shorter almanac formula; clear sky by the
simplified Solis model (Ineichen 2008); the split of what falls on the level after Erbs and others (1982). All three are
pvlib's and need no files of data and no network. Checked by tests/weather/test_solar.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Up to so many times the sun is worked out by SPA (0.0003°); beyond, by the shorter formula, 0.011° from it and eight
#: times as fast.
FINE_TIMES = 20_000
#: Difference of the Earth's turning from even time [s]; 64 to 69 s in 2000 to 2025, 5 s are 0.0001°.
DELTA_T_S = 67.0
#: Usual refraction of the air at the horizon [°], as in SPA.
REFRACTION_DEG = 0.5667
#: Sun outside the air on a face turned to it, mean of the year [W/m²].
SOLAR_CONSTANT_W_M2 = 1361.0
#: Below this height the direct sun is left out: it is on the ridge [°].
LOWEST_DEG = 1.0
#: Pressure and air that bend the light, where nobody says [Pa], [°C].
USUAL_PA, USUAL_C = 101_325.0, 12.0


@dataclass(frozen=True, eq=False)
class SunPath:
    """Where the sun stands at some times, arrays of shape (n,).

    Parameters
    ----------
    up_deg : float64 array
        Height above the horizon as it is seen, refraction included [°].
    from_deg : float64 array
        Bearing, clockwise from north [°].
    """

    up_deg: Floats
    from_deg: Floats

    @property
    def on_level(self) -> Floats:
        """Share of the direct sun that falls on the level [0..1]; 0 below the horizon."""
        return np.asarray(np.maximum(np.sin(np.radians(self.up_deg)), 0.0))


def sun_path(
    time_s: Ints, lat: float, lon: float, *, elevation_m: float = 0.0, pressure_pa: float = USUAL_PA,
    air_c: float = USUAL_C,
) -> SunPath:  # fmt: skip
    """Where the sun stands.

    Parameters
    ----------
    time_s : int64 array, shape (n,)
        Epoch seconds UTC, 1950 to 2050.
    lat, lon : float
        [° north, ° east]
    elevation_m, pressure_pa, air_c : float
        Of the place; they bend the light of a low sun [m], [Pa], [°C].
    """
    if time_s.shape[0] <= FINE_TIMES:
        from pvlib.spa import solar_position_numpy

        rows = solar_position_numpy(
            time_s.astype(np.float64), lat, lon, elevation_m, pressure_pa / 100.0, air_c, DELTA_T_S, REFRACTION_DEG, 1
        )
        return SunPath(90.0 - np.asarray(rows[0], dtype=np.float64), np.asarray(rows[4], dtype=np.float64))
    import pandas as pd
    from pvlib.solarposition import ephemeris

    at = pd.DatetimeIndex(time_s.astype("datetime64[s]"), tz="UTC")
    found = ephemeris(at, lat, lon, pressure=pressure_pa, temperature=air_c)
    return SunPath(found["apparent_elevation"].to_numpy(), found["azimuth"].to_numpy())


def pressure_pa(elevation_m: float) -> float:
    """Usual pressure of the air at a height [Pa], [m]: standard atmosphere."""
    from pvlib.atmosphere import alt2pres

    return float(alt2pres(elevation_m))


def outside_w_m2(time_s: Ints) -> Floats:
    """Sun outside the air on a face turned to it [W/m²]: Spencer (1971) for the distance of the year's days."""
    from pvlib.irradiance import get_extra_radiation

    found = get_extra_radiation(_day_of_year(time_s), solar_constant=SOLAR_CONSTANT_W_M2, method="spencer")
    return np.asarray(found, dtype=np.float64)


def _day_of_year(time_s: Ints) -> Ints:
    days = time_s.astype("datetime64[s]").astype("datetime64[D]")
    return np.asarray((days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.int64) + 1)


@dataclass(frozen=True, eq=False)
class Sunshine:
    """Sun at some times, arrays of shape (n,); level = direct · sine of the sun's height + sky.

    Parameters
    ----------
    ghi_w_m2, dni_w_m2, dhi_w_m2 : float64 array
        On the level, direct on a face turned to it, from the sky on the level [W/m²].
    """

    ghi_w_m2: Floats
    dni_w_m2: Floats
    dhi_w_m2: Floats


def clear_sky(path: SunPath, time_s: Ints, *, haze: float, water_cm: Floats | float, pressure: float) -> Sunshine:
    """Sun under a clear sky; simplified Solis (Ineichen 2008).

    Parameters
    ----------
    path : SunPath
    time_s : int64 array, shape (n,)
    haze : float
        Optical depth of the haze at 700 nm [1], 0 to 0.45.
    water_cm : float or array, shape (n,)
        Water in the whole air above, as rain [cm]; see `water_above_cm`.
    pressure : float
        Of the air [Pa].
    """
    from pvlib.clearsky import simplified_solis

    up = path.up_deg
    found = simplified_solis(
        np.maximum(up, 0.0), haze, np.clip(water_cm, 0.2, 10.0), pressure, dni_extra=outside_w_m2(time_s)
    )
    risen = up > 0.0
    direct = np.where(up > LOWEST_DEG, np.nan_to_num(found["dni"]), 0.0)
    sky = np.where(risen, np.maximum(np.nan_to_num(found["dhi"]), 0.0), 0.0)
    return Sunshine(direct * path.on_level + sky, direct, sky)


def water_above_cm(air_c: Floats, dew_c: Floats) -> Floats:
    """Water in the air above, as rain [cm], from air and dew point at the ground [°C]; Gueymard (1994)."""
    from pvlib.atmosphere import gueymard94_pw, rh_from_tdew

    humidity = np.clip(rh_from_tdew(air_c, np.minimum(dew_c, air_c)), 1.0, 100.0)
    return np.asarray(gueymard94_pw(air_c, humidity), dtype=np.float64)


def split(ghi_w_m2: Floats, path: SunPath, time_s: Ints) -> Sunshine:
    """Sun on the level parted into direct sun and sky; Erbs, Klein and Duffie (1982).

    Parameters
    ----------
    ghi_w_m2 : float64 array, shape (n,)
        At the times of `path`; NaN stays NaN.
    """
    level = np.where(path.up_deg > 0.0, np.maximum(ghi_w_m2, 0.0), 0.0)
    level = np.where(np.isfinite(ghi_w_m2), level, np.nan)
    share = _sky_share(level, path, time_s)
    return _closed(level, level * (1.0 - share), path)


def clouded(clear: Sunshine, through: Floats, path: SunPath, time_s: Ints) -> Sunshine:
    """A clear sky's sun under cloud.

    Parameters
    ----------
    clear : Sunshine
    through : float64 array, shape (n,)
        Share of the sun on the level that comes through [0..1].

    Notes
    -----
    The sky's share grows from that of the clear sky as Erbs' share grows from what it is for that clear sky: with no
    cloud it is the clear sky itself, without a step.
    """
    level = clear.ghi_w_m2 * through
    least = np.divide(clear.dhi_w_m2, clear.ghi_w_m2, out=np.ones_like(level), where=clear.ghi_w_m2 > 0.0)
    before, after = (_sky_share(one, path, time_s) for one in (clear.ghi_w_m2, level))
    grown = np.divide(after - before, 1.0 - before, out=np.zeros_like(level), where=before < 0.999)
    share = least + (1.0 - least) * np.clip(grown, 0.0, 1.0)
    return _closed(level, level * (1.0 - share), path)


def _sky_share(level: Floats, path: SunPath, time_s: Ints) -> Floats:
    """Share of the sun on the level that comes from the sky [0..1], by Erbs."""
    from pvlib.irradiance import erbs

    known = np.nan_to_num(level)
    found = erbs(known, 90.0 - path.up_deg, _day_of_year(time_s))
    return np.clip(np.divide(found["dhi"], known, out=np.ones_like(known), where=known > 0.0), 0.0, 1.0)


def _closed(level: Floats, direct_on_level: Floats, path: SunPath) -> Sunshine:
    """Direct sun turned to, no more than outside the air; the sky has the rest."""
    high = path.up_deg > LOWEST_DEG
    direct = np.where(high, direct_on_level / np.maximum(path.on_level, np.sin(np.radians(LOWEST_DEG))), 0.0)
    direct = np.where(np.isfinite(level), np.clip(direct, 0.0, SOLAR_CONSTANT_W_M2), np.nan)
    return Sunshine(level, direct, np.maximum(level - direct * path.on_level, 0.0))


def sunshine_of(
    ghi_w_m2: Floats | None, dni_w_m2: Floats | None, dhi_w_m2: Floats | None, path: SunPath, time_s: Ints
) -> Sunshine:
    """Sun from what was measured: direct and sky as given where they are, else the level parted.

    Parameters
    ----------
    ghi_w_m2, dni_w_m2, dhi_w_m2 : float64 array, shape (n,), or None
        At the times of `path`; NaN where there is no reading.

    Returns
    -------
    Sunshine
        NaN where too little is known; 0 while the sun is down.
    """
    none = np.full(path.up_deg.shape, np.nan)
    ghi, dni, dhi = (none if one is None else np.maximum(one, 0.0) for one in (ghi_w_m2, dni_w_m2, dhi_w_m2))
    found = split(np.where(np.isfinite(ghi), ghi, np.nan), path, time_s)
    by_sky = _closed(ghi, np.maximum(ghi - dhi, 0.0), path)
    by_direct = Sunshine(ghi, np.minimum(dni, ghi / np.maximum(path.on_level, 0.01)),
                         np.maximum(ghi - dni * path.on_level, 0.0))  # fmt: skip
    both = Sunshine(dni * path.on_level + dhi, dni, dhi)
    down = path.up_deg <= 0.0
    columns = []
    for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
        best = getattr(found, name)
        for better in (by_sky, by_direct, both):
            values = getattr(better, name)
            whole = np.isfinite(better.ghi_w_m2) & np.isfinite(better.dni_w_m2) & np.isfinite(better.dhi_w_m2)
            best = np.where(whole, values, best)
        columns.append(np.where(down, 0.0, best))
    return Sunshine(*columns)
