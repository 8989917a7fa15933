"""Made-up days of the yard: low, high, cloud, wind, dryness and rain, with the planted days hit exactly."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from barkslip.demo.scenario import Table
from barkslip.demo.sun import sunrise_sunset

Floats = NDArray[np.float64]

#: Memory of the day-to-day anomaly and its spread [1, K].
ANOMALY_MEMORY, ANOMALY_K = 0.70, 2.2
#: Mean cloud, spread, memory [1].
CLOUD, CLOUD_SD, CLOUD_MEMORY = 0.36, 0.30, 0.5
#: What a wholly clouded day takes from the high and gives to the low [K].
CLOUD_HIGH_K, CLOUD_LOW_K = 6.0, 5.0
#: Typical wind of a day [m/s]; log spread; share of it left at night [1].
WIND, WIND_SD, NIGHT_SHARE = 2.2, 0.35, 0.40
#: A night is still below these and not still above [m/s; 1].
STILL_WIND, STILL_CLOUD = (0.8, 1.6), (0.25, 0.65)
#: How far a planted day pulls its neighbours, one and two days off [1].
PULL = {1: 0.5, 2: 0.2}
#: Least distance of low and high of a day [K].
LEAST_RANGE_K = 4.0
RAIN_CLOUD = 0.62
#: Magnus formula over water, WMO Guide to Instruments (recalled) [1, °C].
MAGNUS = (17.62, 243.12)


@dataclass
class Days:
    """One value a day; index 0 is the day before the first.

    Parameters
    ----------
    dates : list of date
    low, high : arrays [°C]
        At dawn and at 15 h in the yard.
    cloud, wind : arrays [1, m/s]
        By day.
    night_cloud, night_wind, still : arrays
        Of the night that ends at this day's dawn; still 0..1.
    curve : array [1]
        Shape of that night's cooling.
    dew_dawn, dew_noon : arrays [°C]
    rain : array [mm]
    dawn, sunset : arrays [h]
        Dawn is a whole hour, so that the low falls on a reading.
    fixed : bool array
        Days that are planted.
    """

    dates: list[date]
    low: Floats
    high: Floats
    cloud: Floats
    wind: Floats
    night_cloud: Floats
    night_wind: Floats
    still: Floats
    curve: Floats
    dew_dawn: Floats
    dew_noon: Floats
    rain: Floats
    dawn: Floats
    sunset: Floats
    fixed: NDArray[np.bool_]

    def index(self, day: str | date) -> int:
        """Place of a day."""
        return (day if isinstance(day, date) else date.fromisoformat(day)).toordinal() - self.dates[0].toordinal()


def targets(book: Table) -> dict[date, Table]:
    """Planted days, those of the forecast among them, by date."""
    rows = {**book["day"], **book["forecast"]}
    return {date.fromisoformat(day): row for day, row in sorted(rows.items())}


def remembering(rng: np.random.Generator, n: int, memory: float) -> Floats:
    """A series of n standard normal numbers in which each remembers the last [1]."""
    steps = rng.standard_normal(n) * np.sqrt(1.0 - memory**2)
    out = np.empty(n)
    last = float(rng.standard_normal())
    for i in range(n):
        last = memory * last + float(steps[i])
        out[i] = last
    return out


def monthly(dates: list[date], values: list[float]) -> Floats:
    """Twelve monthly values as a smooth year: straight lines between mid-months."""
    day = np.array([d.timetuple().tm_yday for d in dates], dtype=np.float64)
    middle = np.array([15.5 + 30.44 * m for m in range(-1, 13)])
    return np.asarray(np.interp(day, middle, np.array([values[-1], *values, values[0]])), dtype=np.float64)


def dew_point_c(air_c: Floats | float, rh_pct: Floats | float) -> Floats:
    """Dew point [°C] of air [°C] with a relative humidity [%] over water."""
    a, b = MAGNUS
    g = np.log(np.asarray(rh_pct) / 100.0) + a * np.asarray(air_c) / (b + np.asarray(air_c))
    return np.asarray(b * g / (a - g), dtype=np.float64)


def rel_humidity_pct(air_c: Floats, dew_c: Floats) -> Floats:
    """Relative humidity over water [%]."""
    a, b = MAGNUS
    return 100.0 * np.exp(a * dew_c / (b + dew_c) - a * air_c / (b + air_c))


class DayMaker:
    """Draws the days once; `days` then places lows and highs for given monthly corrections.

    Parameters
    ----------
    book : table
        The scenario.
    rng : numpy.random.Generator
    """

    def __init__(self, book: Table, rng: np.random.Generator) -> None:
        self.book = book
        first = date.fromisoformat(book["first_day"])
        self.plan = targets(book)
        last = max(self.plan)
        n = (last - first).days + 3
        self.dates = [first + timedelta(days=i - 1) for i in range(n)]
        self._anomaly = ANOMALY_K * remembering(rng, n, ANOMALY_MEMORY)
        self._cloud = np.clip(CLOUD + CLOUD_SD * remembering(rng, n, CLOUD_MEMORY), 0.0, 1.0)
        self._wind = WIND * np.exp(WIND_SD * remembering(rng, n, 0.5))
        self._noise = rng.standard_normal((2, n))
        self._dry = rng.uniform(0.0, 1.0, n)
        self._wet = rng.exponential(1.0, n)
        self._normals = [book["normals"][str(m)] for m in range(1, 13)]

    def days(self, high_k: list[float], low_k: list[float], window_k: float) -> Days:
        """All days, with twelve corrections of highs and lows and one of the planted fortnight [K]."""
        cloud, wind = self._cloud.copy(), self._wind.copy()
        for day, row in self.plan.items():
            i = self._at(day)
            cloud[i] = row.get("cloud", 0.05 if row.get("still", 0.0) else cloud[i])
            wind[i] = row.get("wind", min(wind[i], WIND) if row.get("still", 0.0) else wind[i])
        rain = self._rain(cloud)
        cloud = np.where(rain > 0.5, np.maximum(cloud, 0.7), cloud)
        high = monthly(self.dates, [r[0] + k for r, k in zip(self._normals, high_k, strict=True)])
        low = monthly(self.dates, [r[1] + k for r, k in zip(self._normals, low_k, strict=True)])
        night_cloud, night_wind, still, curve = self._nights(cloud, wind)
        high = high + self._anomaly + 0.9 * self._noise[0] - CLOUD_HIGH_K * (cloud - CLOUD)
        low = low + 0.75 * self._anomaly + 0.9 * self._noise[1] + CLOUD_LOW_K * (night_cloud - CLOUD)
        low, high = self._place(low, high, window_k)
        dew_dawn, dew_noon = self._dew(low, high)
        year_day = np.array([d.timetuple().tm_yday for d in self.dates], dtype=np.float64)
        garden = self.book["garden"]
        rise, sunset = sunrise_sunset(year_day, garden["lat"], garden["lon"], garden["utc_offset_h"])
        fixed = np.array([d in self.plan for d in self.dates])
        return Days(
            self.dates, low, high, cloud, wind, night_cloud, night_wind, still, curve, dew_dawn, dew_noon, rain,
            np.floor(rise), sunset, fixed,
        )  # fmt: skip

    def _at(self, day: date) -> int:
        return (day - self.dates[0]).days

    def _nights(self, cloud: Floats, wind: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        before = np.roll(cloud, 1)
        night_cloud = 0.5 * (cloud + before)
        night_wind = NIGHT_SHARE * 0.5 * (wind + np.roll(wind, 1))
        curve = np.full(cloud.shape, 0.7)
        for day, row in self.plan.items():
            i = self._at(day)
            if row.get("still", 0.0):
                night_cloud[i], night_wind[i] = 0.04 + 0.5 * (1.0 - row["still"]), 0.6
            elif "wind" in row:
                night_wind[i] = row["wind"] if row.get("windy_frost") else 0.8 * row["wind"]
            curve[i] = row.get("curve", 0.6 if row.get("still") else 0.7)
        calm = np.clip((STILL_WIND[1] - night_wind) / (STILL_WIND[1] - STILL_WIND[0]), 0.0, 1.0)
        clear = np.clip((STILL_CLOUD[1] - night_cloud) / (STILL_CLOUD[1] - STILL_CLOUD[0]), 0.0, 1.0)
        still = calm * clear
        for day, row in self.plan.items():
            if "still" in row:
                still[self._at(day)] = row["still"]
        return night_cloud, night_wind, still, curve

    def _place(self, low: Floats, high: Floats, window_k: float) -> tuple[Floats, Floats]:
        mean = self.book["mean"]
        start = self._at(date.fromisoformat(mean["first"]))
        for values in (low, high):
            values[start : start + mean["days"] + 1] += window_k  # one day more, so that no step follows
        low, high = self._pulled(low, "low"), self._pulled(high, "high")
        limits = self.book["limits"]
        free_low = np.array([("low" not in self.plan.get(d, {})) for d in self.dates])
        free_high = np.array([("high" not in self.plan.get(d, {})) for d in self.dates])
        spring = np.array([(9, 5) <= (d.month, d.day) <= (10, 31) for d in self.dates])
        floor = np.where(spring, limits["spring_low_c"], limits["low_c"])
        low = np.where(free_low, np.maximum(low, floor), low)
        high = np.where(free_high, np.minimum(high, limits["high_c"]), high)
        high = np.where(free_high, np.maximum(high, low + LEAST_RANGE_K), high)
        low = np.where(free_low, np.minimum(low, high - LEAST_RANGE_K), low)
        return low, high

    def _pulled(self, values: Floats, key: str) -> Floats:
        out = values.copy()
        planted = {self._at(day): row[key] for day, row in self.plan.items() if key in row}
        for i, target in planted.items():
            for off, share in PULL.items():
                for j in (i - off, i + off):
                    if 0 <= j < len(out) and j not in planted:
                        out[j] += share * (target - values[i])
        for i, target in planted.items():
            out[i] = target
        return out

    def _dew(self, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        dawn = low - 0.6 - 3.2 * self._dry**2
        noon = 0.5 * (dawn + np.roll(dawn, -1)) - 0.5
        for day, row in self.plan.items():
            i = self._at(day)
            if "rh_min" in row:
                noon[i] = float(dew_point_c(float(high[i]), row["rh_min"]))
                dawn[i] = noon[i] + 2.0
            if "dew_point" in row:
                dawn[i] = noon[i] = row["dew_point"]
        return dawn, noon

    def _rain(self, cloud: Floats) -> Floats:
        wet = np.where(cloud > RAIN_CLOUD, self._wet * (cloud - 0.5), 0.0)
        for first, last in self.book["rain"]["none"]:
            wet[self._at(date.fromisoformat(first)) : self._at(date.fromisoformat(last)) + 1] = 0.0
        for storm in self.book["rain"]["storms"]:
            wet[self._at(date.fromisoformat(storm["first"][:10]))] = 0.0
        past = np.array([d not in self.plan or d.isoformat() in self.book["day"] for d in self.dates])
        past[[0, -1]] = False
        month = np.where(past, np.array([d.month for d in self.dates]), 0)
        years = round(len(self.dates) / 365.25)
        for m in range(1, 13):
            storms = sum(s["mm"] for s in self.book["rain"]["storms"] if int(s["first"][5:7]) == m)
            inside = month == m
            wanted = max(self._normals[m - 1][2] * years - storms, 0.0)
            wet[inside] *= wanted / wet[inside].sum()
        for day, row in self.plan.items():
            if day.isoformat() in self.book["forecast"]:
                wet[self._at(day)] = row.get("rain", 0.0)
        return wet
