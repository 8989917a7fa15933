"""Logger tables: what is understood, what is asked, what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barkslip.domain.errors import InputError, QuestionError, WeatherFileError
from barkslip.domain.weather import Series
from barkslip.weather.logger_columns import guess_column, heading_unit
from barkslip.weather.options import ReadOptions
from barkslip.weather.read import read_weather


def read(tmp_path: Path, text: str, kind: str | None = None, **options: Any) -> Series:
    file = tmp_path / "logger.csv"
    file.write_text(text, encoding="utf-8")
    return read_weather(file, kind=kind, options=ReadOptions(**options))


def asked(tmp_path: Path, text: str, **options: Any) -> QuestionError:
    with pytest.raises(QuestionError) as caught:
        read(tmp_path, text, **options)
    return caught.value


def refused(tmp_path: Path, text: str, **options: Any) -> WeatherFileError:
    with pytest.raises(WeatherFileError) as caught:
        read(tmp_path, text, **options)
    return caught.value


def stamps(series: Series) -> list[str]:
    return [s[:16] for s in series.time_s.astype("datetime64[s]").astype(str)]


class TestUnderstood:
    @pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
    def test_delimiters(self, tmp_path: Path, delimiter: str) -> None:
        text = "time,T (°C),RH (%)\n2024-01-01 10:00,1.5,80\n2024-01-01 11:00,2.5,79\n".replace(",", delimiter)
        series = read(tmp_path, text)
        assert series.columns["air_temp_c"].tolist() == [1.5, 2.5]
        assert series.columns["rel_humidity_pct"].tolist() == [80.0, 79.0]

    def test_preamble_blank_lines_and_decimal_commas(self, tmp_path: Path) -> None:
        text = "Logger;7\nPlot;Lower paddock\n\nDatum;Uhrzeit;Temperatur [°C]\n"
        text += "31.01.2024;10:00;3,5\n\n31.01.2024;11:00;-0,5\n"
        series = read(tmp_path, text)
        assert series.columns["air_temp_c"].tolist() == [3.5, -0.5]
        assert stamps(series) == ["2024-01-31T10:00", "2024-01-31T11:00"]
        assert series.info.notes[:2] == (
            "Dates are read day first, as its dates decide.",
            "Numbers have decimal commas.",
        )

    def test_units_in_a_line_of_their_own(self, tmp_path: Path) -> None:
        text = '"TS","Air_Avg","RH"\n"","Deg C","%"\n"","Avg","Smp"\n'
        text += '"2024-01-01 10:00:00",1.5,50\n"2024-01-01 10:15:00",1.6,51\n'
        series = read(tmp_path, text)
        assert series.columns["air_temp_c"].tolist() == [1.5, 1.6]
        assert series.info.step_s == 900

    def test_fahrenheit_and_wind_and_pressure_and_rain_become_si(self, tmp_path: Path) -> None:
        text = (
            'Date Time,"Temp, °F",Dew Point (°F),Wind (mph),Gust (km/h),Wind Dir (deg),'
            "Pressure (inHg),Rain (in),Solar (W/m²)\n"
            "2024-01-01 10:00,50,41,10,36,270,29.92,0.1,500\n2024-01-01 11:00,32,32,0,0,0,30,0,600\n"
        )
        columns = read(tmp_path, text).columns
        # NIST SP 811 B.8: 1 mi/h = 0.44704 m/s, 1 inHg = 3386.389 Pa, 1 in = 25.4 mm.
        assert {name: float(values[0]) for name, values in columns.items()} == pytest.approx(
            {"air_temp_c": 10.0, "dew_point_c": 5.0, "wind_m_s": 4.4704, "gust_m_s": 10.0, "wind_from_deg": 270.0,
             "pressure_pa": 29.92 * 3386.389, "rain_mm": 2.54, "ghi_w_m2": 500.0}
        )  # fmt: skip

    @pytest.mark.parametrize(
        ("first", "expected"),
        [
            ("1/31/2024 12:00 AM", "2024-01-31T00:00"), ("1/31/2024 12:30 PM", "2024-01-31T12:30"),
            ("31-Jan-24 10:00", "2024-01-31T10:00"), ("Jan 31, 2024 10:00", "2024-01-31T10:00"),
            ("2024/1/31 10:00:59", "2024-01-31T10:00"), ("2024-01-31T10:00:00Z", "2024-01-31T10:00"),
            ("2024-01-31T10:00:00.123+02:00", "2024-01-31T08:00"), ("2024-01-30 24:00", "2024-01-31T00:00"),
            ("20240131 10:00", "2024-01-31T10:00"), ("202401311000", "2024-01-31T10:00"),
            ("2024013110", "2024-01-31T10:00"), ("1706695200", "2024-01-31T10:00"),
            ("1706695200000", "2024-01-31T10:00"),
        ],
    )  # fmt: skip
    def test_times(self, tmp_path: Path, first: str, expected: str) -> None:
        assert stamps(read(tmp_path, f'time;T (°C)\n"{first}";1.5\n')) == [expected]

    def test_offset_in_the_heading_wins_over_the_garden(self, tmp_path: Path) -> None:
        series = read(tmp_path, '"Date Time, GMT-05:00",T (°C)\n2024-01-01 10:00,1\n', utc_offset_h=2.0)
        assert stamps(series) == ["2024-01-01T15:00"]
        assert series.info.utc_offset_h == 2.0
        assert series.info.notes == ("The heading says that the times are UTC-5 h.",)

    def test_the_gardens_offset_serves_where_the_file_says_nothing(self, tmp_path: Path) -> None:
        series = read(tmp_path, "time,T (°C)\n2024-01-01 10:00,1\n", utc_offset_h=2)
        assert stamps(series) == ["2024-01-01T08:00"]
        assert series.info.notes == ("The times are taken as local standard time, UTC+2 h.",)

    def test_no_reading_is_no_number(self, tmp_path: Path) -> None:
        rows = "".join(f"2024-01-01 {h:02}:00,{v}\n" for h, v in enumerate(["1", "", "NA", "--", "-9999", "2"]))
        series = read(tmp_path, "time,T (°C)\n" + rows)
        assert [v if np.isfinite(v) else None for v in series.columns["air_temp_c"]] == [1, None, None, None, None, 2]
        assert [(gap.start_s % 86400 // 3600, gap.hours) for gap in series.info.gaps] == [(1, 4.0)]
        assert "1 readings of T (°C) are written as a number that stands for none." in series.info.notes

    def test_thousands_are_understood(self, tmp_path: Path) -> None:
        series = read(tmp_path, 'time,T (°C),Pressure (hPa)\n2024-01-01 10:00,1.5,"1,013.2"\n')
        assert series.columns["pressure_pa"].tolist() == pytest.approx([101_320.0])

    def test_newest_first_is_turned_round(self, tmp_path: Path) -> None:
        series = read(tmp_path, "time,T (°C)\n2024-01-01 12:00,3\n2024-01-01 11:00,2\n2024-01-01 10:00,1\n")
        assert series.columns["air_temp_c"].tolist() == [1, 2, 3]
        assert series.info.flags == ()

    def test_invented_data_stay_invented(self, tmp_path: Path) -> None:
        assert read(tmp_path, "time,T (°C)\n2024-01-01 12:00,3\n", kind="invented").info.kind == "invented"


class TestDateOrder:
    def test_open_order_is_asked(self, tmp_path: Path) -> None:
        question = asked(tmp_path, "time,T (°C)\n03/04/2024 10:00,1\n05/04/2024 10:00,2\n")
        assert question.code == "date-order"
        assert question.answers == (
            ("dmy", "day first: 3 April 2024 to 5 April 2024"),
            ("mdy", "month first: 4 March 2024 to 4 May 2024"),
        )
        assert question.message == (
            "Day first or month first?\nGiven: time: 03/04/2024\nAllowed: dmy, mdy\n"
            "Next: Say how the dates of this file are to be read."
        )

    @pytest.mark.parametrize(("order", "expected"), [("dmy", "2024-04-03T10:00"), ("mdy", "2024-03-04T10:00")])
    def test_the_answer_is_taken(self, tmp_path: Path, order: str, expected: str) -> None:
        series = read(tmp_path, "time,T (°C)\n03/04/2024 10:00,1\n", date_order=order)
        assert stamps(series) == [expected]

    def test_a_day_above_12_decides(self, tmp_path: Path) -> None:
        assert stamps(read(tmp_path, "time,T (°C)\n12/04/2024 10:00,1\n13/04/2024 10:00,1\n"))[0] == "2024-04-12T10:00"
        assert stamps(read(tmp_path, "time,T (°C)\n04/12/2024 10:00,1\n04/13/2024 10:00,1\n"))[0] == "2024-04-12T10:00"

    def test_only_one_order_runs_one_way(self, tmp_path: Path) -> None:
        # Day first: 11 April, 12 April, 1 May rise. Month first: 4 November, 4 December, 5 January of one year do not.
        text = "time,T (°C)\n11/04/2024 10:00,1\n12/04/2024 10:00,1\n01/05/2024 10:00,1\n"
        assert stamps(read(tmp_path, text)) == ["2024-04-11T10:00", "2024-04-12T10:00", "2024-05-01T10:00"]

    def test_both_orders_the_same_day_are_no_question(self, tmp_path: Path) -> None:
        assert stamps(read(tmp_path, "time,T (°C)\n04/04/2024 10:00,1\n")) == ["2024-04-04T10:00"]

    def test_short_years_have_three_orders(self, tmp_path: Path) -> None:
        text = "time,T (°C)\n10/11/12 10:00,1\n"
        assert [a for a, _ in asked(tmp_path, text).answers] == ["dmy", "mdy", "ymd"]
        assert stamps(read(tmp_path, text, date_order="ymd")) == ["2010-11-12T10:00"]

    def test_year_first_is_never_asked(self, tmp_path: Path) -> None:
        assert stamps(read(tmp_path, "time,T (°C)\n2024-03-04 10:00,1\n")) == ["2024-03-04T10:00"]


class TestUnit:
    def test_a_garden_in_fahrenheit_is_plainly_so(self, tmp_path: Path) -> None:
        question = asked(tmp_path, "time,Temp\n2024-01-01 10:00,70\n2024-01-01 11:00,75\n")
        assert question.code == "unit"
        assert question.answers == (("°F", "°F: that is 21 to 24 °C"), ("°C", "°C: that is 70 to 75 °C"))
        assert question.message == (
            "Is “Temp” in °C or in °F?\nGiven: Temp: mostly 70.0 to 75.0\n"
            "Allowed: °C, °F; only °F gives air as it can be\nNext: Say the unit."
        )

    def test_both_possible_is_said(self, tmp_path: Path) -> None:
        question = asked(tmp_path, "time,Temp\n2024-01-01 10:00,20\n2024-01-01 11:00,30\n")
        assert question.allowed == "°C, °F; both are possible"

    def test_the_answer_is_taken(self, tmp_path: Path) -> None:
        text = "time,Temp\n2024-01-01 10:00,50\n"
        assert read(tmp_path, text, unit="°F").columns["air_temp_c"].tolist() == pytest.approx([10.0])
        assert read(tmp_path, text, unit="K").columns["air_temp_c"].tolist() == pytest.approx([-223.15])

    def test_a_unit_in_the_heading_wins_over_the_answer(self, tmp_path: Path) -> None:
        assert read(tmp_path, "time,T (°C)\n2024-01-01 10:00,5\n", unit="°F").columns["air_temp_c"].tolist() == [5.0]

    def test_a_unit_said_for_the_column_wins_over_the_heading(self, tmp_path: Path) -> None:
        series = read(tmp_path, "time,T (°C)\n2024-01-01 10:00,50\n", units={"air_temp_c": "°F"})
        assert series.columns["air_temp_c"].tolist() == pytest.approx([10.0])

    def test_a_unit_behind_the_numbers_serves(self, tmp_path: Path) -> None:
        assert read(tmp_path, "time,Temp\n2024-01-01 10:00,50 °F\n").columns["air_temp_c"].tolist() == pytest.approx(
            [10.0]
        )

    def test_wind_without_a_unit_is_left_out_unless_wanted(self, tmp_path: Path) -> None:
        text = "time,T (°C),Wind\n2024-01-01 10:00,5,3\n"
        series = read(tmp_path, text)
        assert list(series.columns) == ["air_temp_c"]
        assert "Left out, because its unit is not written: Wind." in series.info.notes
        question = asked(tmp_path, text, columns={"wind_m_s": "Wind"})
        assert (question.code, question.field) == ("unit", "units.wind_m_s")
        series = read(tmp_path, text, columns={"wind_m_s": "Wind"}, units={"wind_m_s": "km/h"})
        assert series.columns["wind_m_s"].tolist() == pytest.approx([3 / 3.6])

    def test_humidity_as_a_fraction(self, tmp_path: Path) -> None:
        series = read(tmp_path, "time,T (°C),RH\n2024-01-01 10:00,5,0.8\n")
        assert series.columns["rel_humidity_pct"].tolist() == [80.0]
        assert "RH is taken as a fraction: no value is above 1." in series.info.notes

    def test_a_unit_of_something_else_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(InputError) as caught:
            read(tmp_path, "time,T (°C)\n2024-01-01 10:00,5\n", units={"air_temp_c": "hPa"})
        assert caught.value.problem == "Cannot turn hPa into °C."


class TestColumn:
    TEXT = "time,North (°C),South (°C),Dew point (°C)\n2024-01-01 10:00,1,3,0\n2024-01-01 11:00,2,4,0\n"

    def test_two_temperatures_are_asked(self, tmp_path: Path) -> None:
        question = asked(tmp_path, self.TEXT)
        assert question.code == "column"
        assert question.answers == (("North (°C)", "North (°C): 1, 2 ..."), ("South (°C)", "South (°C): 3, 4 ..."))
        assert question.message == (
            "More than one column may be the air temperature.\n"
            "Given: time, North (°C), South (°C), Dew point (°C)\nAllowed: North (°C), South (°C)\n"
            "Next: Say which column is the air temperature; read the file once for each plot."
        )

    @pytest.mark.parametrize("theirs", ["South (°C)", "south (°c)", "3", "column 3"])
    def test_the_answer_is_taken_and_the_plain_ones_too(self, tmp_path: Path, theirs: str) -> None:
        series = read(tmp_path, self.TEXT, columns={"air_temp_c": theirs})
        assert series.columns["air_temp_c"].tolist() == [3, 4]
        assert series.columns["dew_point_c"].tolist() == [0, 0]

    def test_an_unknown_heading_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(InputError) as caught:
            read(tmp_path, self.TEXT, columns={"air_temp_c": "East"})
        assert caught.value.message == (
            "The file has no such column.\nGiven: East\nAllowed: time, North (°C), South (°C), Dew point (°C)\n"
            "Next: Name a column as in the heading of the file, or by its number."
        )

    def test_headings_that_stand_twice_get_their_number(self, tmp_path: Path) -> None:
        question = asked(tmp_path, "time,T (°C),T (°C)\n2024-01-01 10:00,1,3\n")
        assert [a for a, _ in question.answers] == ["T (°C) (column 2)", "T (°C) (column 3)"]

    def test_no_heading_is_asked(self, tmp_path: Path) -> None:
        text = "2024-01-01 10:00,1.5,80\n2024-01-01 11:00,2.5,79\n"
        question = asked(tmp_path, text)
        assert [a for a, _ in question.answers] == ["column 2", "column 3"]
        series = read(tmp_path, text, columns={"air_temp_c": "2", "rel_humidity_pct": "3"}, unit="°C")
        assert series.columns["rel_humidity_pct"].tolist() == [80.0, 79.0]

    @pytest.mark.parametrize(
        ("heading", "ours", "unit"),
        [
            ("Temp, °F", "air_temp_c", "°F"), ("T(C)", "air_temp_c", "°C"), ("temp_f", "air_temp_c", "°F"),
            ("Temperature_C_Avg", "air_temp_c", "°C"), ("Lower paddock (℃)", "air_temp_c", "°C"),
            ("Â°C air", "air_temp_c", "°C"), ("Dew Point (deg F)", "dew_point_c", "°F"), ("RH", "rel_humidity_pct", ""),
            ("Humidity %", "rel_humidity_pct", "%"), ("Bark N (°C)", "surface_temp_c", "°C"),
            ("Soil temp (°C)", "", "°C"),
            ("Indoor Temp (°C)", "", "°C"), ("Heat Index (°C)", "", "°C"), ("Wind Dir (deg)", "wind_from_deg", "°"),
            ("Wind Speed (m/s)", "wind_m_s", "m/s"), ("Gust kn", "gust_m_s", "kn"), ("Rain rate (mm/h)", "", ""),
            ("Rain (mm)", "rain_mm", "mm"), ("Sea level pressure (hPa)", "", "hPa"),
            ("Barometer (hPa)", "pressure_pa", "hPa"),
            ("Battery (V)", "", ""), ("Solar Radiation W/m2", "ghi_w_m2", "W/m²"), ("#", "", ""),
        ],
    )  # fmt: skip
    def test_headings(self, heading: str, ours: str, unit: str) -> None:
        assert (guess_column(heading), heading_unit(heading)) == (ours, unit)


class TestBroken:
    TEXT = "time,T (°C)\n2024-01-01 10:00,1\n2024-01-01 11:00,warm\n2024-01-01 12:00,3\nyesterday,4\n2024-01-01 14:00\n"

    def test_the_first_is_named_and_the_others_counted(self, tmp_path: Path) -> None:
        error = refused(tmp_path, self.TEXT)
        assert (error.line, error.column) == (3, "T (°C)")
        assert error.message == (
            "Line 3 of logger.csv cannot be read: not a number. 2 more lines are broken.\n"
            "Given: T (°C): warm\nNext: Mend the file, or keep the lines that can be read."
        )

    def test_the_rest_can_be_kept(self, tmp_path: Path) -> None:
        series = read(tmp_path, self.TEXT, keep_rest=True)
        assert series.columns["air_temp_c"].tolist() == [1, 3]
        assert [(b.line, b.column, b.text, b.why) for b in series.info.broken] == [
            (3, "T (°C)", "warm", "not a number"),
            (5, "time", "yesterday", "not a time"),
            (6, "line", "2024-01-01 14:00", "it has 1 fields, the others have 2"),
        ]

    def test_a_quotation_mark_that_is_not_closed_hurts_its_line_only(self, tmp_path: Path) -> None:
        text = 'time,T (°C)\n2024-01-01 10:00,1\n"2024-01-01 11:00,2\n2024-01-01 12:00,3\n'
        assert refused(tmp_path, text).problem == "Line 3 of logger.csv cannot be read: a quotation mark is not closed."
        assert read(tmp_path, text, keep_rest=True).columns["air_temp_c"].tolist() == [1, 3]

    def test_31_february_is_named(self, tmp_path: Path) -> None:
        error = refused(tmp_path, "time,T (°C)\n2024-01-31 10:00,1\n2024-02-31 11:00,2\n")
        assert error.problem == "Line 3 of logger.csv cannot be read: not a time."

    def test_decimal_commas_between_commas_are_not_swallowed(self, tmp_path: Path) -> None:
        error = refused(tmp_path, "time,T (°C)\n2024-01-01 10:00,3,4\n2024-01-01 11:00,3,5\n")
        assert error.message == (
            "The heading of logger.csv has 2 fields, its lines have 3.\nGiven: time | T (°C)\n"
            "Allowed: as many headings as fields\n"
            "Next: If the numbers have decimal commas, export with semicolons between the fields."
        )

    def test_heading_only(self, tmp_path: Path) -> None:
        assert refused(tmp_path, "Date,Time,T (°C)\n").message == (
            "The file has a heading but no readings.\nGiven: logger.csv\n"
            "Allowed: lines with a date, a time of day and numbers, separated by comma, semicolon or tab\n"
            "Next: Export the readings again, as CSV with date and time."
        )

    def test_a_letter(self, tmp_path: Path) -> None:
        error = refused(tmp_path, "Dear neighbour, the frost was hard.\nYours, in haste.\n")
        assert error.problem == "There is no table of readings in the file."

    def test_days_without_hours(self, tmp_path: Path) -> None:
        assert refused(tmp_path, "Date,Low (°C),High (°C)\n2024-01-01,3.4,15\n2024-01-02,3.5,16\n").message == (
            "The file has days but no times of day.\nGiven: logger.csv: Date, Low (°C), High (°C)\n"
            "Allowed: a date and a time of day in every line\n"
            "Next: Export hourly readings; daily lows and highs can be typed instead."
        )

    def test_nothing_but_missing(self, tmp_path: Path) -> None:
        assert refused(tmp_path, "time,T (°C)\n2024-01-01 10:00,NA\n").problem in (
            "There is no column of numbers beside the time.",
            "There is no reading in the file.",
        )


class TestClock:
    @staticmethod
    def table(times: list[str]) -> str:
        return "time,T (°C)\n" + "".join(f"{t},{i}\n" for i, t in enumerate(times))

    def test_put_back_at_the_end_of_summer_time(self, tmp_path: Path) -> None:
        # 2024-04-07 is a Sunday.
        times = [f"2024-04-07 {h:02}:00" for h in (0, 1, 2, 2, 3, 4)]
        times[3] = "2024-04-07 01:00"
        series = read(tmp_path, self.table(times))
        assert [f.code for f in series.info.flags] == ["clock doubt", "doubled time"]
        assert series.info.flags[0].words == (
            "After 2024-04-07 02:00 the clock runs back by 1 h. It may have been put from summer time to standard "
            "time: then the readings before it are 1 h off."
        )
        assert (
            series.info.flags[1].words == "Times that stand twice in the file: 1, of them with different readings: 1."
        )
        assert series.columns["air_temp_c"].tolist() == [0, 1, 2, 4, 5]

    def test_put_forward_at_the_start_of_summer_time(self, tmp_path: Path) -> None:
        # 2024-10-06 is a Sunday.
        times = [f"2024-10-06 {h:02}:00" for h in (0, 1, 3, 4)]
        flags = read(tmp_path, self.table(times)).info.flags
        assert [f.code for f in flags] == ["clock doubt"]
        assert flags[0].words == (
            "One hour is missing after 2024-10-06 01:00, a Sunday: the clock may have been put to summer time. "
            "Then the readings after it are 1 h off."
        )

    @pytest.mark.parametrize("day", ["2024-10-07", "2024-07-07"])
    def test_an_hour_missing_on_another_day_is_only_a_gap(self, tmp_path: Path, day: str) -> None:
        info = read(tmp_path, self.table([f"{day} {h:02}:00" for h in (0, 1, 3, 4)])).info
        assert info.flags == ()
        assert len(info.gaps) == 1

    def test_the_same_line_twice_is_said(self, tmp_path: Path) -> None:
        series = read(tmp_path, "time,T (°C)\n2024-01-01 10:00,1\n2024-01-01 10:00,1\n2024-01-01 11:00,2\n")
        assert (
            series.info.flags[0].words == "Times that stand twice in the file: 1, of them with different readings: 0."
        )
        assert len(series) == 2
