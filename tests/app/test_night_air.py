"""The air of a night: typed, from a file, from the book; and what is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from barkslip.app.context import Context
from barkslip.app.door import Door
from barkslip.app.lines import begin
from barkslip.app.night_air import chill_hours, night_air
from barkslip.app.plot_offset import all_offsets, site_plot
from barkslip.domain.errors import BarkslipError, InputError, QuestionError
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.night import NightAir
from barkslip.domain.record import Record
from barkslip.domain.units import METRIC, US, UnitChoice
from barkslip.domain.weather import Series, SeriesInfo
from barkslip.engines.low import frost_kind
from barkslip.engines.offset import Limits
from barkslip.fieldbook import series as store
from barkslip.knowledge.load import load

KNOWN = load()
TONIGHT = date(2025, 6, 30)
NIGHT = {"sunset_temp": "5", "low": "-4", "dew_point": "-4.5", "wind": "0.5", "cloud": "0"}


def door(garden: Garden, units: UnitChoice = METRIC, sure: tuple[str, ...] = ()) -> Door:
    return Door(garden, units, TONIGHT, sure)


def place(lat: float | None = 36.1, lon: float | None = 0.0) -> Garden:
    return Garden(id="", thing="", made_utc="", name="", lat=lat, lon=lon)


def bookless(fields: Mapping[str, str], day: date = date(2026, 1, 15), at: Door | None = None) -> NightAir:
    return night_air(None, None, day, fields, at=at or door(place()), knowledge=KNOWN)


def ask(ctx: Context, plot: str, fields: Mapping[str, str] = {}, day: date = TONIGHT) -> NightAir:
    with ctx.book.read() as reader:
        where = reader.by_code(Plot, plot) if plot else None
    return night_air(ctx, where, day, fields, at=door(ctx.garden()), knowledge=ctx.knowledge)


def refused(fields: Mapping[str, str], **more: object) -> str:
    with pytest.raises(InputError) as caught:
        bookless(fields, **more)  # type: ignore[arg-type]
    return caught.value.message


def withdraw(ctx: Context, plot: str, which: str) -> None:
    """Take the series of a plot back whose names hold a word."""
    with ctx.book.write() as writer:
        thing = writer.by_code(Plot, plot).thing
        found = [r for r in writer.every(Record, "plot = :plot", plot=thing) if which in r.name]
        assert found
        for record in found:
            writer.append(replace(record, **begin(ctx, {}, record), withdrawn=True))


def keep(ctx: Context, plot: str | None, series: Series) -> None:
    with ctx.book.write() as writer:
        thing = writer.by_code(Plot, plot).thing if plot else None
        store.put(writer, Record(**begin(ctx, {}), name="", kind="", plot=thing, info={}), series)


def hours(day: date, air: list[float], name: str = "Post", kind: str = "measured", step_h: float = 1.0) -> Series:
    """Readings from noon of a day on, of the demo's clock."""
    start = int(datetime(day.year, day.month, day.day, 12, tzinfo=UTC).timestamp()) - 2 * 3600
    info = SeriesInfo(name, kind, "x", utc_offset_h=2.0, step_s=round(3600 * step_h))
    time_s = start + (3600 * step_h * np.arange(len(air))).astype(np.int64)
    return Series(info, time_s, {"air_temp_c": np.array(air)})


# -- typed --


def test_the_night_that_is_typed() -> None:
    air = bookless(NIGHT)
    assert air.source == "typed" and air.guessed == () and air.offset is None
    assert air.low_c == pytest.approx(-4.0, abs=0.01)
    assert air.air_c[0] == 5.0
    coldest = air.time_s[air.air_c.index(air.low_c)]
    assert abs(coldest - air.sunrise_s) <= 300
    assert set(np.diff(air.time_s).tolist()) == {600}
    assert air.time_s[0] == air.sunset_s and air.time_s[-1] >= air.sunrise_s + 3 * 3600
    assert all(d <= a for d, a in zip(air.dew_c, air.air_c, strict=True))
    assert (air.low_sd_k, air.site_sd_k) == (1.5, 1.0)
    assert air.sun_w_m2[-1] > 200.0 and max(air.sun_w_m2[1:80]) == 0.0
    assert frost_kind(air) == "still frost"


def test_sunset_and_sunrise_are_those_of_another_program() -> None:
    """pvlib.solarposition.sun_rise_set_transit_spa; within two minutes."""
    import pandas as pd
    from pvlib.solarposition import sun_rise_set_transit_spa

    air = bookless(NIGHT)
    days = pd.DatetimeIndex(["2026-01-15", "2026-01-16"], tz="UTC")
    sun = sun_rise_set_transit_spa(days, 36.1, 0.0)
    assert air.sunset_s == pytest.approx(sun["sunset"].iloc[0].timestamp(), abs=120)
    assert air.sunrise_s == pytest.approx(sun["sunrise"].iloc[1].timestamp(), abs=120)


def test_the_published_curve_if_the_air_two_hours_after_sunset_is_typed() -> None:
    """T2 + b sqrt(t - 2) with b = (low - T2) / sqrt(n - 2) (frost.fao-2005), at four hours after sunset."""
    air = bookless(NIGHT | {"temp_2h": "2"})
    night_h = round((air.sunrise_s - air.sunset_s) / 600) / 6
    assert air.air_c[12] == pytest.approx(2.0)
    assert air.air_c[24] == pytest.approx(2.0 - 6.0 * (2.0 / (night_h - 2.0)) ** 0.5, abs=1e-9)


def test_what_is_not_typed_is_guessed_towards_the_cold_and_named() -> None:
    air = bookless({"sunset_temp": "5", "low": "-4"})
    assert air.guessed == ("cloud", "wind_m_s", "dew_point_c")
    assert (air.wind_m_s[0], air.cloud[0], air.dew_c[0]) == (1.0, 0.0, pytest.approx(-5.0))


def test_units_of_the_garden_and_typed_ones() -> None:
    typed = {"sunset_temp": "41", "low": "-4 C", "dew_point": "24", "wind": "3", "cloud": "30 %"}
    air = bookless(typed, at=door(place(), US))
    assert (air.air_c[0], air.low_c, air.dew_c[0]) == pytest.approx((5.0, -4.0, -40 / 9), abs=0.01)
    assert (air.wind_m_s[0], air.cloud[0]) == pytest.approx((3 * 0.44704, 0.3))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"low": "6"},
            "The low is above the air of the evening.\nGiven: low 6.0 °C, at sunset 5.0 °C\n"
            "Allowed: a low that is not above the evening\nNext: Check both; they may have been swapped.",
        ),
        (
            {"temp_2h": "7"},
            "Two hours after sunset it would be warmer than at sunset.\n"
            "Given: at sunset 5.0 °C, two hours later 7.0 °C\nAllowed: an evening that does not get warmer\n"
            "Next: Check both; on a night that warms up, take a forecast by the hour.",
        ),
        (
            {"dew_point": "6"},
            "The dew point is above the air.\nGiven: dew point 6.0 °C, air 5.0 °C\n"
            "Allowed: a dew point that is not above the air\nNext: Check both; relative humidity is not a dew point.",
        ),
        (
            {"wind": "-1"},
            "That number cannot be.\nGiven: -1\nAllowed: 0 to 60 m/s\nNext: Check the wind and its unit.",
        ),
        (
            {"cloud": "7"},
            "That number cannot be.\nGiven: 7\nAllowed: 0 (clear) to 1 (covered), or 0 to 100 %\n"
            "Next: Type a share, or per cent.",
        ),
        (
            {"cloud": "120 %"},
            "That number cannot be.\nGiven: 120 %\nAllowed: 0 to 100 %\nNext: Check the number and its unit.",
        ),
        (
            {"sunset_temp": ""},
            "The temperature at sunset is missing.\nGiven: (nothing)\nAllowed: the air at sunset, or two hours later\n"
            "Next: Type it; the hours of the night are drawn from it to the low.",
        ),
        (
            {"low": ""},
            "The expected low is missing.\nGiven: (nothing)\nAllowed: the low that the forecast gives\n"
            "Next: Type it. With a dew point, and past nights in the book, it can be foretold from those.",
        ),
        (
            {"weather": "/nowhere/hours.epw"},
            "There is no such weather file.\nGiven: /nowhere/hours.epw\n"
            "Allowed: a file of hours: EPW, TMY, ISD-Lite, NetCDF, or a table\nNext: Check the path.",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be(changes: dict[str, str], message: str) -> None:
    assert refused(NIGHT | changes) == message


def test_fahrenheit_typed_in_a_celsius_garden_is_asked_about() -> None:
    with pytest.raises(QuestionError) as caught:
        bookless(NIGHT | {"sunset_temp": "60"})
    assert caught.value.message.startswith("60 is unusual in °C here. Is it °F?\nGiven: 60\n")
    assert (caught.value.code, caught.value.field) == ("unit", "sunset_temp")


def test_celsius_in_a_fahrenheit_garden_is_asked_about() -> None:
    fields = {"sunset_temp": "60 °C", "low": "25"}
    with pytest.raises(QuestionError) as caught:
        bookless(fields, at=door(place(), US))
    assert caught.value.message == (
        "That is far from what is usual here at this time of year.\nGiven: 60 °C\n"
        "Allowed: usual here at this time of year: 5 to 108 °F\nNext: Correct it, or say that it is right."
    )
    assert bookless(fields, at=door(place(), US, ("unusual",))).air_c[0] == 60.0


@pytest.mark.parametrize(
    ("lat", "day", "problem"),
    [
        (70.0, date(2026, 6, 21), "The sun hardly sets there at that time: it is a night without a night."),
        (65.8, date(2026, 6, 10), "The sun hardly sets there at that time: it is a night without a night."),
        (-70.0, date(2026, 6, 21), "The sun does not rise there at that time: there is no evening and no morning."),
    ],
)
def test_a_night_without_night(lat: float, day: date, problem: str) -> None:
    assert refused(NIGHT, day=day, at=door(place(lat))) == (
        f"{problem}\nGiven: {day.isoformat()} at latitude {lat:g}\n"
        "Allowed: a sunset, a sunrise, and 2 h between them\nNext: Check the latitude and the date."
    )


def test_a_place_that_is_not_known() -> None:
    assert refused(NIGHT, at=door(place(None))) == (
        "The place is not known, so neither are sunset and sunrise.\n"
        "Allowed: a latitude, −90 to 90; two decimals are enough\n"
        "Next: Give the latitude, or fill in the garden's place."
    )


def test_nothing_typed_and_no_book() -> None:
    message = refused({})
    assert message.startswith("Nothing is known about the air of that night.\nGiven: night of 2026-01-15, the site\n")
    assert message.endswith(
        "Next: Type the temperature at sunset and the expected low, or bring in a forecast or readings."
    )


# -- from the book --


def test_tonight_from_the_plots_own_forecast(shown_demo: Context) -> None:
    """The demo's forecast: 0.2 °C in the yard in the morning of 1 July, the paddock 2.6 K colder (its scenario)."""
    yard, low = ask(shown_demo, "YARD"), ask(shown_demo, "LOW")
    assert (yard.source, low.source) == ("forecast", "forecast")
    assert (yard.low_c, low.low_c) == pytest.approx((0.2, -2.4), abs=0.1)
    assert low.offset is None and low.guessed == ()
    assert (low.low_sd_k, low.site_sd_k) == (1.5, 1.0)
    assert low.source_words == (
        "From the forecast “Forecast, Lower paddock (LOW)”. Hours that have passed are those of “Lower paddock (LOW)”."
    )
    assert {frost_kind(yard), frost_kind(low)} == {"still frost"}


def test_a_past_night_as_it_was_measured(shown_demo: Context) -> None:
    """The demo's windy frost of 11 June 2024: −3.9 °C, wind 4.1 m/s, the paddock no colder (its scenario)."""
    air = ask(shown_demo, "LOW", day=date(2024, 6, 10))
    assert air.source == "measured" and air.low_sd_k == 0.3 and air.site_sd_k == 0.5
    assert air.low_c == pytest.approx(-4.0, abs=0.1)
    assert frost_kind(air) == "windy frost"
    still = ask(shown_demo, "LOW", day=date(2022, 6, 29))
    assert still.low_c == pytest.approx(-4.4, abs=0.1) and frost_kind(still) == "still frost"


def test_typed_wind_wins_over_the_forecasts(shown_demo: Context) -> None:
    air = ask(shown_demo, "LOW", {"wind": "6"})
    assert air.source == "forecast" and set(air.wind_m_s) == {6.0}
    assert frost_kind(air) == "windy frost"


def test_a_typed_low_is_the_sites_and_gets_the_plots_learned_difference(shown_demo: Context) -> None:
    fields = {"sunset_temp": "9", "low": "-1", "dew_point": "0", "wind": "0.5", "cloud": "0.1"}
    low, yard = ask(shown_demo, "LOW", fields), ask(shown_demo, "YARD", fields)
    assert yard.offset is None and yard.low_c == pytest.approx(-1.0, abs=0.01)
    assert low.offset is not None and (low.offset.site, low.offset.used) == ("YARD", "still")
    assert low.offset.used_k == pytest.approx(-2.6, abs=0.1)
    assert low.low_c == pytest.approx(-3.6, abs=0.1) and low.air_c[0] == 9.0
    assert 0.5 < low.site_sd_k < 0.7
    assert low.source_words.endswith("What Lower paddock differs by from House yard was learned from 350 still nights.")
    windy = ask(shown_demo, "LOW", fields | {"wind": "5"})
    assert windy.offset is not None and windy.offset.used == "windy"
    assert windy.low_c == pytest.approx(-1.0, abs=0.1)
    assert ask(shown_demo, "LOW", fields | {"low_here": "yes"}).low_c == pytest.approx(-1.0, abs=0.01)


def test_the_sites_forecast_gets_the_plots_difference(demo: Context) -> None:
    own = ask(demo, "LOW")
    withdraw(demo, "LOW", "Forecast")
    air = ask(demo, "LOW")
    assert air.source == "forecast" and air.offset is not None
    assert air.low_c == pytest.approx(own.low_c, abs=0.25)
    assert "From the forecast “Forecast, House yard (YARD)”." in air.source_words


def test_the_difference_from_loggers_alone_with_their_errors_taken_out(demo: Context) -> None:
    """B reads 0.2 K low in ice water. As read the paddock would be 2.8 K colder than the yard's screen."""
    withdraw(demo, "LOW", "Lower paddock")
    with demo.book.read() as reader:
        found = {o.offset.plot: o for o in all_offsets(reader, demo.garden(), demo.knowledge.value)}
    low = found["LOW"]
    still, windy = low.offset.parts
    assert still.mean_k == pytest.approx(-2.6, abs=0.1) and still.low_k is not None and still.high_k is not None
    assert still.low_k <= -2.6 <= still.high_k and still.high_k - still.low_k < 0.6
    assert windy.mean_k == pytest.approx(0.0, abs=0.15)
    assert 100 < still.nights < 200
    assert low.notes == ("Logger B was corrected for its error in ice water.",)


def test_the_site_is_the_plot_said_to_differ_by_nothing(shown_demo: Context) -> None:
    with shown_demo.book.read() as reader:
        site = site_plot(reader)
    assert site is not None and site.code == "YARD"


def test_a_belief_is_used_where_nothing_was_measured(demo: Context) -> None:
    with demo.book.write() as writer:
        writer.append(Plot(**begin(demo, {}), code="DIP", name="The dip", walk_order=9, still_offset_k=-3.0))
        writer.append(Plot(**begin(demo, {}), code="NEW", name="New ground", walk_order=10))
    fields = {"sunset_temp": "9", "low": "-1", "dew_point": "0", "wind": "0.5", "cloud": "0.1"}
    air = ask(demo, "DIP", fields)
    assert air.offset is not None and (air.offset.used, air.offset.used_k) == ("typed", -3.0)
    assert air.low_c == pytest.approx(-4.0, abs=0.01) and air.site_sd_k == 1.0
    assert air.source_words.endswith("What The dip differs by from House yard is what you believe.")
    new = ask(demo, "NEW", fields)
    assert new.offset is None and new.low_c == pytest.approx(-1.0, abs=0.01)
    assert new.source_words.endswith("What New ground differs by from the site is not known.")


def test_the_low_foretold_from_ones_own_nights(shown_demo: Context) -> None:
    fields = {"temp_2h": "8", "dew_point": "0", "wind": "0.5", "cloud": "0"}
    air = ask(shown_demo, "YARD", fields)
    # the fit of 350 nights, worked out by numpy's polynomial fit in tests/engines/test_low.py for the published ones
    assert -3.0 < air.low_c < 2.0 and 0.5 < air.low_sd_k < 2.0
    assert "The low was foretold from 350 still nights of House yard." in air.source_words


def test_a_short_gap_is_drawn_over_said_and_widens(demo: Context) -> None:
    evening = date(2025, 8, 1)
    air = [12.0 - 0.5 * h for h in range(24)]
    for h in (10, 11):
        air[h] = float("nan")
    keep(demo, "BENCH", hours(evening, air))
    found = ask(demo, "BENCH", day=evening)
    assert found.low_sd_k == pytest.approx((0.3**2 + 1.0) ** 0.5)
    assert found.guessed == ("cloud", "wind_m_s", "dew_point_c", "air_temp_c")
    assert found.source_words == (
        "From “Post”. Readings from 21:00 to 00:00 are missing and were drawn straight across. "
        "The answer is wider for it."
    )
    assert found.air_c[(22 * 3600 + 1800 - _clock_s(found)) // 600] == pytest.approx(12.0 - 0.5 * 10.5, abs=0.1)


def _clock_s(found: NightAir) -> int:
    at = datetime.fromtimestamp(found.sunset_s, UTC) + timedelta(hours=found.utc_offset_h)
    return at.hour * 3600 + at.minute * 60


def test_a_long_gap_is_an_error_that_names_it(demo: Context) -> None:
    evening = date(2025, 8, 1)
    air = [12.0 - 0.5 * h for h in range(24)]
    for h in range(10, 15):
        air[h] = float("nan")
    keep(demo, "BENCH", hours(evening, air))
    with pytest.raises(InputError) as caught:
        ask(demo, "BENCH", day=evening)
    assert caught.value.message == (
        "Nothing is known about the air of that night.\n"
        "Given: night of 2025-08-01, BENCH; “Post” has nothing from 21:00 to 03:00\n"
        "Allowed: hours from sunset, 17:56, to sunrise, 07:27\n"
        "Next: Type the temperature at sunset and the expected low, or bring in a forecast or readings."
    )


def test_of_two_forecasts_the_later_one(demo: Context) -> None:
    evening = date(2025, 8, 1)
    for low in (3.0, -3.0):
        keep(demo, "BENCH", hours(evening, [low + 0.1 * abs(h - 18) for h in range(30)], "F", "forecast"))
    found = ask(demo, "BENCH", day=evening)
    assert found.source == "forecast" and found.low_c == pytest.approx(-3.0, abs=0.1)


# -- from a file --


def greensboro() -> str:
    spec = find_spec("pvlib")
    assert spec is not None and spec.origin is not None
    return str(Path(spec.origin).parent / "data" / "723170TYA.CSV")


def test_a_night_of_a_typical_year_from_a_file() -> None:
    """Greensboro TMY3: the year's low, −16.7 °C in the morning of 5 February, calm (its file, read by eye)."""
    air = night_air(
        None, None, date(2027, 2, 4), {"weather": greensboro()}, at=door(place(None, None)), knowledge=KNOWN
    )
    assert air.low_c == pytest.approx(-16.7, abs=0.05)
    assert air.source == "measured" and air.day == "2027-02-04" and air.utc_offset_h == -5.0
    assert "It is a night of a typical year, not one to come." in air.source_words
    assert frost_kind(air) in ("still frost", "windy frost")
    last = night_air(None, None, date(2028, 2, 29), {"weather": greensboro()}, at=door(place(None)), knowledge=KNOWN)
    turn = night_air(None, None, date(2027, 12, 31), {"weather": greensboro()}, at=door(place(None)), knowledge=KNOWN)
    assert np.isfinite([*last.air_c, *turn.air_c]).all()


def forecast_file(folder: Path, day: date) -> str:
    start = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    rows = [f"{start + timedelta(hours=h):%Y-%m-%d %H:%M},{12.0 - 0.75 * min(h, 20):.1f}" for h in range(30)]
    path = folder / "hours.csv"
    path.write_text("time,air temperature (°C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return str(path)


def test_a_file_for_a_night_to_come_is_a_forecast_for_the_site(shown_demo: Context, tmp_path: Path) -> None:
    path = forecast_file(tmp_path, TONIGHT)
    air = ask(shown_demo, "LOW", {"weather": path, "wind": "0.5", "cloud": "0"})
    assert air.source == "forecast" and air.low_sd_k == 1.5
    assert air.offset is not None and air.low_c == pytest.approx(-3.0 - 2.6, abs=0.15)
    here = ask(shown_demo, "LOW", {"weather": path, "wind": "0.5", "cloud": "0", "low_here": "yes"})
    assert here.offset is None and here.low_c == pytest.approx(-3.0, abs=0.05)


def test_a_file_without_the_night(shown_demo: Context, tmp_path: Path) -> None:
    path = forecast_file(tmp_path, TONIGHT)
    with pytest.raises(BarkslipError) as caught:
        ask(shown_demo, "LOW", {"weather": path}, day=date(2025, 7, 3))
    assert caught.value.message == (
        "Nothing is known about the air of that night.\nGiven: night of 2025-07-03, LOW\n"
        "Allowed: hours from sunset, 17:38, to sunrise, 07:40\n"
        "Next: Type the temperature at sunset and the expected low, or bring in a forecast or readings."
    )


# -- chill --


def test_hours_of_chill_are_counted_in_the_plots_own_air(shown_demo: Context) -> None:
    """Against a plain count over the readings: hours of 10 °C or less in the 500 h to noon."""
    with shown_demo.book.read() as reader:
        plot = reader.by_code(Plot, "LOW")
        record = next(r for r in reader.every(Record, "plot = :p", p=plot.thing) if r.name == "Lower paddock (LOW)")
        day = date(2024, 7, 20)
        noon = int(datetime(2024, 7, 20, 10, tzinfo=UTC).timestamp())
        air = store.readings(
            reader, record, columns=("air_temp_c",), start_s=noon - 500 * 3600 + 1, end_s=noon + 1
        ).columns["air_temp_c"]
    found = chill_hours(shown_demo, plot, day)
    assert air.size == 500
    assert found == pytest.approx(float((air <= 10.0).sum()), abs=1.5)
    assert 150 < found < 400
    assert chill_hours(shown_demo, plot, date(2025, 6, 30)) is not None
    assert chill_hours(shown_demo, plot, date(2025, 8, 30)) is None
    summer = chill_hours(shown_demo, plot, date(2024, 1, 20))
    assert summer is not None and summer < 20


def test_too_few_readings_count_no_chill(demo: Context) -> None:
    with demo.book.write() as writer:
        plot = Plot(**begin(demo, {}), code="DIP", name="The dip", walk_order=9)
        writer.append(plot)
    keep(demo, "DIP", hours(date(2025, 6, 20), [5.0] * 240))
    assert chill_hours(demo, plot, date(2025, 6, 30)) is None
    keep(demo, "DIP", hours(date(2025, 6, 1), [5.0] * 240 + [float("nan")] * 60 + [12.0] * 400, "Whole"))
    assert chill_hours(demo, plot, date(2025, 6, 28)) == pytest.approx(500 - 400 - 60 + 12, abs=60)


def test_limits_are_those_of_the_knowledge_base(shown_demo: Context) -> None:
    air = ask(shown_demo, "LOW", day=date(2024, 6, 10))
    assert frost_kind(air, replace(Limits(), windy_wind_m_s=20.0, still_wind_m_s=19.0)) == "still frost"
