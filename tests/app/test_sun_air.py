"""Air and sun of a day: typed, from a file, from the book; of the days to come, of own years; and what is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from barkslip.app import sun_air as suns
from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import begin
from barkslip.app.sun_day import day_found
from barkslip.app.sun_place import Differs
from barkslip.domain.errors import BarkslipError, InputError, QuestionError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.heat import SunAir
from barkslip.domain.record import Record
from barkslip.domain.units import METRIC, US, UnitChoice
from barkslip.domain.weather import Series, SeriesInfo
from barkslip.fieldbook import series as store
from barkslip.knowledge.load import load

KNOWN = load()
TODAY = date(2025, 6, 30)
HOT = date(2026, 1, 10)
TYPED = {"air_max": "38", "air_min": "20", "wind": "0.5", "rh_min": "20"}
PLACE = Garden(id="", thing="", made_utc="", name="", lat=-33.6, lon=21.0, utc_offset_h=2.0)


def door(garden: Garden = PLACE, units: UnitChoice = METRIC, sure: tuple[str, ...] = ()) -> Door:
    return Door(garden, units, TODAY, sure)


def bookless(fields: Mapping[str, str], day: date = HOT, at: Door | None = None) -> SunAir:
    return suns.sun_air(None, None, day, fields, at=at or door(), knowledge=KNOWN)


def ask(ctx: Context, plot: str, day: date, fields: Mapping[str, str] = {}) -> SunAir:
    return suns.sun_air(ctx, plot_of(ctx, plot), day, fields, at=door(ctx.garden()), knowledge=ctx.knowledge)


def plot_of(ctx: Context, code: str) -> Plot | None:
    if not code:
        return None
    with ctx.book.read() as reader:
        return reader.by_code(Plot, code)


def refused(fields: Mapping[str, str], **more: object) -> str:
    with pytest.raises(BarkslipError) as caught:
        bookless(fields, **more)  # type: ignore[arg-type]
    return caught.value.message


def midnight(day: date, offset_h: float = 2.0) -> int:
    return int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp() - 3600 * offset_h)


def hours(day: date, count: int, kind: str = "measured", name: str = "Post", **columns: np.ndarray) -> Series:
    info = SeriesInfo(name, kind, "x", lat=-33.6, lon=21.0, utc_offset_h=2.0)
    return Series(info, midnight(day) + 3600 * np.arange(count, dtype=np.int64), columns)


def wave(count: int, mean: float = 25.0, half: float = 8.0) -> np.ndarray:
    return mean + half * np.sin((np.arange(count) - 9.0) / 24.0 * 2.0 * np.pi)


def as_file(monkeypatch: pytest.MonkeyPatch, series: Series) -> dict[str, str]:
    """A series as if it stood in the file that is named."""
    for module in ("sun_day", "sun_air"):
        monkeypatch.setattr(f"barkslip.app.{module}.read_file", lambda *a, **k: series)
    return {"weather": "hours.csv"}


def keep(ctx: Context, plot: str, series: Series) -> None:
    with ctx.book.write() as writer:
        thing = writer.by_code(Plot, plot).thing if plot else None
        store.put(writer, Record(**begin(ctx, {}), name="", kind="", plot=thing, info={}), series)


def withdraw(ctx: Context, plot: str) -> None:
    """Take all series of a plot back."""
    with ctx.book.write() as writer:
        thing = writer.by_code(Plot, plot).thing
        for record in writer.every(Record, "plot = :plot", plot=thing):
            writer.append(replace(record, **begin(ctx, {}, record), withdrawn=True))


# -- typed --


def test_the_day_that_is_typed() -> None:
    air = bookless(TYPED)
    assert (air.source, air.guessed, air.wind_here) == ("typed", ("cloud",), True)
    assert air.source_words == "Typed; the hours between are drawn. No cloud was given: a clear sky is taken."
    assert len(air.time_s) == 25 and air.time_s[0] == midnight(HOT) and set(np.diff(air.time_s)) == {3600}
    assert (air.high_c, min(air.air_c)) == (38.0, 20.0)
    # hottest in the afternoon, coldest about sunrise, by the local clock
    assert 13 <= air.air_c.index(38.0) <= 16 and 4 <= air.air_c.index(20.0) <= 7
    assert set(air.wind_m_s) == {0.5} and set(air.cloud) == {0.0}
    assert air.ghi_w_m2[0] == 0.0 and 1000.0 < max(air.ghi_w_m2) < 1150.0
    assert air.air_sd_k == pytest.approx((1.5**2 + 0.5**2) ** 0.5)


def test_the_humidity_of_the_warmest_hour_is_held_as_vapour() -> None:
    """20 % at 38 °C: FAO-56 (eq. 11) has 0.6108 exp(17.27 T / (T + 237.3)) kPa for saturated air."""
    air = bookless(TYPED)
    vapour = [0.6108 * np.exp(17.27 * t / (t + 237.3)) for t in air.dew_c]
    assert vapour == pytest.approx([0.2 * 0.6108 * np.exp(17.27 * 38 / 275.3)] * 25, rel=0.01)
    dew = bookless({**TYPED, "rh_min": "", "dew_point": "11.1"})
    assert dew.dew_c == pytest.approx(air.dew_c, abs=0.1)
    damp = bookless({**TYPED, "rh_min": "90"})
    assert all(d <= t for d, t in zip(damp.dew_c, damp.air_c, strict=True))
    assert bookless({"air_max": "38", "air_min": "20"}).dew_c[0] == pytest.approx(19.0, abs=0.01)


def test_what_is_not_typed_is_guessed_and_named() -> None:
    air = bookless({"air_max": "38", "air_min": "20"})
    assert air.guessed == ("wind_m_s", "dew_point_c", "cloud")
    assert air.wind_m_s[0] == 1.0 and not air.wind_here


def test_cloud_takes_its_share_of_the_sun() -> None:
    """Kasten and Czeplak as recalled: 1 - 0.75 c^3.4."""
    clear, half = bookless(TYPED), bookless({**TYPED, "cloud": "60 %"})
    noon = clear.ghi_w_m2.index(max(clear.ghi_w_m2))
    assert half.ghi_w_m2[noon] / clear.ghi_w_m2[noon] == pytest.approx(1 - 0.75 * 0.6**3.4)
    assert half.dni_w_m2[noon] < clear.dni_w_m2[noon] and half.guessed == ()


def test_the_noon_sun_stands_north_here_and_south_there() -> None:
    south = bookless(TYPED)
    there = replace(PLACE, lat=33.6)
    north = bookless(TYPED, at=door(there), day=date(2026, 7, 10))
    for air, side in ((south, 0.0), (north, 180.0)):
        at = int(np.argmax(air.sun_up_deg))
        assert abs((air.sun_from_deg[at] - side + 180.0) % 360.0 - 180.0) < 50.0
    assert all(g == 0.0 for g, up in zip(south.ghi_w_m2, south.sun_up_deg, strict=True) if up <= 0.0)


def test_units_of_the_garden_and_typed_ones() -> None:
    air = bookless({"air_max": "100.4", "air_min": "20 C", "wind": "1 mph"}, at=door(units=US))
    assert (air.high_c, min(air.air_c), air.wind_m_s[0]) == pytest.approx((38.0, 20.0, 0.44704), abs=0.01)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"air_min": "40", "air_max": "38"},
            "The lowest air of the day is above the highest.\nGiven: lowest 40.0 °C, highest 38.0 °C\n"
            "Allowed: a lowest that is not above the highest\nNext: Check both; they may have been swapped.",
        ),
        (
            {"air_min": "30", "air_max": "28"},
            "The lowest air of the day is above the highest.\nGiven: lowest 30.0 °C, highest 28.0 °C\n"
            "Allowed: a lowest that is not above the highest\nNext: Check both; they may have been swapped.",
        ),
        (
            {"air_min": ""},
            "The lowest air of the day is missing.\nGiven: only the highest\n"
            "Allowed: both, the highest and the lowest\nNext: Type it; the hours between are drawn from the two.",
        ),
        (
            {"air_max": ""},
            "The highest air of the day is missing.\nGiven: only the lowest\n"
            "Allowed: both, the highest and the lowest\nNext: Type it; the hours between are drawn from the two.",
        ),
        (
            {"wind": "-1"},
            "That number cannot be.\nGiven: -1\nAllowed: 0 to 60 m/s\nNext: Check the wind and its unit.",
        ),
        (
            {"rh_min": "120"},
            "Not a relative humidity.\nGiven: 120\nAllowed: more than 0, up to 100 %\n"
            "Next: Type the humidity of the warmest hour, in per cent.",
        ),
        (
            {"rh_min": "-5 %"},
            "Not a relative humidity.\nGiven: -5 %\nAllowed: more than 0, up to 100 %\n"
            "Next: Type the humidity of the warmest hour, in per cent.",
        ),
        (
            {"rh_min": "0.2"},
            "A relative humidity of 0.2: was it given as a fraction? Is it 20 %?\nGiven: 0.2\n"
            "Allowed: per cent, more than 0, up to 100 %\nNext: Type it again with its %.",
        ),
        (
            {"dew_point": "10"},
            "The dampness of the air is given twice.\nGiven: dew point 10.0 °C, humidity 20 %\n"
            "Allowed: a dew point, or the humidity of the warmest hour\nNext: Leave one of the two out.",
        ),
        (
            {"air_max": "21", "air_min": "20", "rh_min": "", "dew_point": "25"},
            "The dew point is above the air.\nGiven: dew point 25.0 °C, highest air 21.0 °C\n"
            "Allowed: a dew point that is not above the air\n"
            "Next: Check both; relative humidity is not a dew point.",
        ),
        (
            {"air_max": "38 Q"},
            "Unknown unit.\nGiven: Q\nAllowed: °C, °F, K, mm, cm, m, in, ft, L, mL, US gal, imp gal, g, kg, oz, lb, "
            "m/s, km/h, mph, kn, Pa, hPa, mbar, kPa, inHg\nNext: Write the unit as in this list, or leave it out.",
        ),
        (
            {"cloud": "150 %"},
            "That number cannot be.\nGiven: 150 %\nAllowed: 0 to 100 %\nNext: Check the number and its unit.",
        ),
    ],
)
def test_what_is_typed_wrong(changes: dict[str, str], message: str) -> None:
    assert refused(TYPED | changes) == message


def test_a_fraction_can_be_meant() -> None:
    with pytest.raises(QuestionError) as caught:
        bookless(TYPED | {"rh_min": "0.2"})
    assert (caught.value.code, caught.value.answers[0]) == ("fraction", ("20 %", "20 %"))
    as_typed = bookless(TYPED | {"rh_min": "0.2"}, at=door(sure=("fraction",)))
    assert as_typed.dew_c == bookless(TYPED | {"rh_min": "0.2 %"}).dew_c
    assert as_typed.dew_c[0] < bookless(TYPED).dew_c[0]


def test_fahrenheit_typed_as_celsius_is_asked_about() -> None:
    with pytest.raises(QuestionError) as caught:
        bookless(TYPED | {"air_max": "100"})
    assert (caught.value.code, caught.value.problem) == ("unit", "100 is unusual in °C here. Is it °F?")


def test_no_place_no_sun() -> None:
    nowhere = door(replace(PLACE, lat=None, lon=None))
    assert refused(TYPED, at=nowhere) == (
        "The place is not known, so neither is the sun: north or south of the equator is the first thing it needs.\n"
        "Allowed: a latitude, −90 to 90, south negative; two decimals are enough\n"
        "Next: Give the latitude, or fill in the garden's place."
    )


def test_nothing_typed_and_no_book() -> None:
    assert refused({"wind": "1"}) == (
        "Nothing is known about the air of that day.\nGiven: 2026-01-10, the site\n"
        "Allowed: hours from midnight to midnight, or the highest and lowest air typed\n"
        "Next: Type the highest and the lowest air, or bring in a forecast or readings."
    )


# -- files --


def test_a_day_from_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    level = np.maximum(900.0 * np.sin((np.arange(72) % 24 - 6.0) / 14.0 * np.pi), 0.0) * (np.arange(72) % 24 < 20)
    found = hours(
        date(2025, 1, 9), 72, air_temp_c=wave(72), rel_humidity_pct=np.full(72, 40.0), wind_m_s=np.full(72, 2.0),
        ghi_w_m2=level,
    )  # fmt: skip
    air = bookless(as_file(monkeypatch, found), day=date(2025, 1, 10))
    assert air.source == "measured" and air.source_words == "From “Post”."
    assert air.guessed == () and not air.wind_here and air.wind_m_s[12] == 2.0
    assert air.air_c == pytest.approx(wave(72)[24:49])
    assert air.ghi_w_m2[13] == pytest.approx(level[37])
    # cloud is told from the sun
    assert 0.0 < air.cloud[13] < 1.0
    dew = 0.4 * 0.6108 * np.exp(17.27 * air.air_c[12] / (air.air_c[12] + 237.3))
    assert 0.6108 * np.exp(17.27 * air.dew_c[12] / (air.dew_c[12] + 237.3)) == pytest.approx(dew, rel=0.01)
    typed = bookless({**as_file(monkeypatch, found), "wind": "0.3", "cloud": "0"}, day=date(2025, 1, 10))
    assert typed.wind_here and typed.wind_m_s[0] == 0.3 and typed.ghi_w_m2[13] > air.ghi_w_m2[13]


def test_a_file_of_days_to_come_is_a_forecast(monkeypatch: pytest.MonkeyPatch) -> None:
    found = hours(date(2025, 7, 1), 48, air_temp_c=wave(48))
    air = bookless(as_file(monkeypatch, found), day=date(2025, 7, 1))
    assert air.source == "forecast" and air.air_sd_k == pytest.approx((1.5**2 + 1.0) ** 0.5)


def test_a_short_gap_is_drawn_over_and_a_long_one_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    air = wave(72)
    air[36:38] = np.nan
    found = bookless(as_file(monkeypatch, hours(date(2025, 1, 9), 72, air_temp_c=air)), day=date(2025, 1, 10))
    assert "air_temp_c" in found.guessed and "2 hours without a reading were drawn in." in found.source_words
    assert found.air_sd_k > 1.2
    air[36:44] = np.nan
    fields = as_file(monkeypatch, hours(date(2025, 1, 9), 72, air_temp_c=air))
    assert refused(fields, day=date(2025, 1, 10)) == (
        "Hours of that day are missing in the weather.\n"
        "Given: 2025-01-10, “Post”: nothing from 12:00 to 19:00 (8 of 25 hours)\n"
        "Allowed: hours from midnight to midnight; shorter gaps are drawn over\n"
        "Next: Type the highest and the lowest air of the day, or take another day."
    )


def test_sun_in_the_night_and_negative_wind_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    level = np.where(np.arange(48) % 24 == 1, 310.0, 0.0)
    fields = as_file(monkeypatch, hours(date(2025, 1, 9), 48, air_temp_c=wave(48), ghi_w_m2=level))
    assert refused(fields, day=date(2025, 1, 9)) == (
        "“Post” has sun in the night: its clock, its place or its hemisphere is wrong.\n"
        "Given: 2025-01-09 01:00: 310 W/m², with the sun 34° below the horizon\nAllowed: sun only by day\n"
        "Next: Check latitude, longitude and the hours from UTC, and whether the file keeps summer time."
    )
    calm = np.where(np.arange(48) == 5, -999.0, 1.0)
    fields = as_file(monkeypatch, hours(date(2025, 1, 9), 48, air_temp_c=wave(48), wind_m_s=calm))
    assert refused(fields, day=date(2025, 1, 9)) == (
        "“Post” has a negative wind.\nGiven: 2025-01-09 05:00: -999 m/s\nAllowed: 0 m/s and more\n"
        "Next: Check the column; −999 and the like mean that there is no reading."
    )


def test_a_real_typical_year_serves_for_any_year() -> None:
    """Greensboro, TMY3, which ships with pvlib."""
    path = table("723170TYA.CSV")
    nowhere = door(replace(PLACE, lat=None, lon=None))
    air = bookless({"weather": path}, day=date(2026, 7, 10), at=nowhere)
    assert (air.source, air.lat, air.utc_offset_h) == ("typical year", 36.1, -5.0)
    assert "It is a typical year, not one that was or will be." in air.source_words
    assert 25.0 < air.high_c < 40.0 and 500.0 < max(air.ghi_w_m2) < 1100.0 and air.guessed == ()
    # true noon is at 12:25 there
    assert int(np.argmax(air.sun_up_deg)) == 12 and max(air.ghi_w_m2[:5]) == 0.0


def table(name: str) -> str:
    spec = find_spec("pvlib")
    assert spec is not None and spec.origin is not None
    return str(Path(spec.origin).parent / "data" / name)


# -- the book --


def test_measured_before_forecast_and_the_plots_own_before_the_sites(shown_demo: Context) -> None:
    low = ask(shown_demo, "LOW", date(2021, 11, 30))
    assert low.source == "measured" and low.high_c == pytest.approx(41.2)
    assert low.source_words == "From “Lower paddock (LOW)”. The weather is invented."
    ahead = ask(shown_demo, "LOW", date(2025, 7, 1))
    assert ahead.source == "forecast" and "Forecast, Lower paddock (LOW)" in ahead.source_words
    assert ahead.air_sd_k > low.air_sd_k
    assert ahead.guessed == low.guessed == ()


def test_a_plot_without_readings_gets_the_sites_and_what_it_differs_by(demo: Context) -> None:
    still = date(2024, 9, 1)  # clear and calm, -1.9 °C in the yard and -4.2 °C below
    own, yard = ask(demo, "LOW", still), ask(demo, "YARD", still)
    withdraw(demo, "LOW")
    lent = ask(demo, "LOW", still)
    assert lent.source_words.startswith("From “House yard (YARD)”.")
    # nothing is learned without readings: what the grower believes of still nights is taken
    believed = plot_of(demo, "LOW").still_offset_k  # type: ignore[union-attr]
    assert believed is not None and believed < 0.0
    assert min(lent.air_c) - min(yard.air_c) == pytest.approx(believed, abs=0.5)
    assert abs(min(lent.air_c) - min(own.air_c)) < 1.0
    assert lent.air_c[13] == yard.air_c[13]
    assert lent.air_sd_k > yard.air_sd_k


def test_a_plot_of_which_nothing_is_known_is_said(demo: Context) -> None:
    withdraw(demo, "LOW")
    plot = replace(plot_of(demo, "LOW"), still_offset_k=None)  # type: ignore[type-var]
    found = day_found(demo, plot, date(2024, 9, 1), {}, at=door(demo.garden()), knowledge=demo.knowledge)
    assert found.doubts == ("offset_unknown",)
    sure = day_found(demo, plot_of(demo, "YARD"), TODAY, {}, at=door(demo.garden()), knowledge=demo.knowledge)
    assert sure.doubts == ()


def test_sun_and_wind_are_lent_where_a_logger_has_only_air(demo: Context) -> None:
    withdraw(demo, "LOW")
    keep(demo, "LOW", hours(date(2024, 8, 31), 72, name="Post in the paddock", air_temp_c=wave(72, 10.0)))
    air = ask(demo, "LOW", date(2024, 9, 1))
    assert air.air_c[12] == pytest.approx(wave(72, 10.0)[36])
    assert air.guessed == ()
    assert "Wind, sun, cloud, dampness from “House yard (YARD)”." in air.source_words
    assert air.ghi_w_m2 == ask(demo, "YARD", date(2024, 9, 1)).ghi_w_m2


def test_hours_of_the_coming_days(shown_demo: Context) -> None:
    at = door(shown_demo.garden())
    found, sources, words = suns.stretch(
        shown_demo, plot_of(shown_demo, "LOW"), date(2025, 6, 28), 14, {}, at=at, knowledge=shown_demo.knowledge
    )
    assert sources == ("measured",) * 3 + ("forecast",) * 7
    assert 240 <= len(found) <= 241 and np.isfinite(found.air_c).all()
    assert set(np.diff(found.time_s)) == {3600} and found.time_s[0] == midnight(date(2025, 6, 28))
    assert "Forecast, Lower paddock (LOW)" in words and "guess" not in words and "No cloud" not in words
    assert found.air_sd_k > 1.0
    none, no_sources, no_words = suns.stretch(
        shown_demo, None, date(2031, 1, 1), 14, {}, at=at, knowledge=shown_demo.knowledge
    )
    assert (len(none), no_sources, no_words) == (0, (), "")


def test_days_of_a_typical_year_and_of_a_file_that_lacks_them() -> None:
    at = door(replace(PLACE, lat=None, lon=None))
    fields = {"weather": table("723170TYA.CSV")}
    found, sources, words = suns.stretch(None, None, date(2026, 12, 20), 60, fields, at=at, knowledge=KNOWN)
    assert len(found) == 60 * 24 and set(sources) == {"typical year"} and "typical year" in words
    assert found.utc_offset_h == -5.0
    with pytest.raises(InputError) as caught:
        suns.stretch(
            None, None, date(2026, 12, 20), 60, {**fields, "kind": "measured"}, at=at, knowledge=KNOWN
        )  # fmt: skip
    assert caught.value.message.startswith("The weather file has nothing on that day.\nGiven: 2026-12-20\n")


def test_own_years_of_a_plot_are_whole_and_kept(demo: Context) -> None:
    at = door(demo.garden())
    years = suns.own_years(demo, plot_of(demo, "LOW"), at=at, knowledge=demo.knowledge)
    assert years is not None and len(years) > 4.99 * 8766
    assert np.isfinite(years.air_c).all() and set(np.diff(years.time_s)) == {3600}
    assert (years.ghi_w_m2[years.sun_up_deg <= 0.0] == 0.0).all()
    again = suns.own_years(demo, plot_of(demo, "LOW"), at=at, knowledge=demo.knowledge)
    assert again is years
    # a series that comes in is seen
    keep(demo, "LOW", hours(date(2025, 7, 20), 24, air_temp_c=wave(24)))
    assert suns.own_years(demo, plot_of(demo, "LOW"), at=at, knowledge=demo.knowledge) is not years


def test_gaps_in_years_are_filled_up_to_a_limit_and_cut_beyond() -> None:
    air = wave(24 * 900)
    air[1000:1060] = np.nan  # two days and a half
    air[24 * 400 : 24 * 420] = np.nan  # twenty days
    at = door()
    series = hours(date(2020, 1, 1), 24 * 900, air_temp_c=air)
    whole = suns.sun_hours(series, PLACE, knowledge=KNOWN)
    assert whole is not None and len(whole) == 24 * 480
    assert whole.time_s[0] == midnight(date(2020, 1, 1)) + 24 * 420 * 3600
    from barkslip.app.sun_layers import Layer

    parts = suns._stretches([Layer(series, "measured", own=True)], PLACE, KNOWN, None)
    assert [len(p) for p in parts] == [24 * 400, 24 * 480]
    assert parts[0].air_c[1000:1060] == pytest.approx(wave(1060)[1000:1060], abs=1e-6)
    assert suns.own_years(None, None, at=at, knowledge=KNOWN) is None
    # without sun and cloud the sky is told from the range: 16 K is a clear day inland (0.16 · 4 / 0.75 = 0.85)
    assert 0.5 < whole.cloud.mean() < 0.7
    noon = whole.ghi_w_m2.reshape(-1, 24)[:, 12]
    assert 0.8 < noon.max() / 1080.0 < 0.95


def test_forty_years_of_hours_in_two_seconds() -> None:
    import time

    import pvlib  # noqa: F401  its own loading is not the question

    count = 40 * 8766
    series = hours(date(1985, 1, 1), count, air_temp_c=wave(count), ghi_w_m2=np.full(count, np.nan))
    suns.sun_hours(series.between(0, int(series.time_s[48])), PLACE, knowledge=KNOWN)
    start = time.perf_counter()
    found = suns.sun_hours(series, PLACE, knowledge=KNOWN)
    assert time.perf_counter() - start < 4.0  # 1 s where it was measured; the machine of a test may be busy
    assert found is not None and len(found) == count


def test_what_a_plot_differs_by_is_asked_of_the_book_once(shown_demo: Context) -> None:
    with shown_demo.book.read() as reader:
        low, yard = (reader.by_code(Plot, code) for code in ("LOW", "YARD"))
        differs = Differs(reader, low, shown_demo.garden(), KNOWN.value)
        assert differs(0.5, 0.0) < -1.0 < differs(4.0, 0.9)
        assert Differs(reader, yard, shown_demo.garden(), KNOWN.value)(0.5, 0.0) == 0.0
    assert Differs(None, None, PLACE, KNOWN.value)(0.5, 0.0) == 0.0


@pytest.mark.slow
def test_three_real_years_without_sun_get_about_the_sun_of_the_typical_year_there() -> None:
    """Mount Shasta: ISD-Lite has air and cloud, with gaps, but no sun; the typical year (TMYx) of the place has it."""
    spec = find_spec("diyepw")
    assert spec is not None and spec.origin is not None
    folder = Path(spec.origin).parent
    place = {"lat": "41.3", "lon": "-122.3", "utc_offset_h": "-8"}
    at = door(replace(PLACE, lat=41.3, lon=-122.3, utc_offset_h=-8.0))

    def years(path: Path):
        found = suns.own_years(None, None, {"weather": str(path), **place}, at=at, knowledge=KNOWN)
        assert found is not None and len(found) >= 365 * 24, path.name  # not one year is cut by its gaps
        return found

    typical = years(next(folder.rglob("*725957*.epw")))
    for year in ("2015", "2016", "2017"):
        real = years(next(folder.rglob(f"725957*{year}.gz")))
        assert real.ghi_w_m2.mean() == pytest.approx(typical.ghi_w_m2.mean(), rel=0.1)
        assert real.dni_w_m2.mean() == pytest.approx(typical.dni_w_m2.mean(), rel=0.15)
