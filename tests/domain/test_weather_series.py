"""A weather series refuses what no series can be, and cuts cleanly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barkslip.domain.weather import COLUMNS, Gap, Series, SeriesInfo

INFO = SeriesInfo(name="Yard", kind="measured", source="made for this test")


def series(n: int = 5) -> Series:
    return Series(INFO, np.arange(n, dtype=np.int64) * 3600, {"air_temp_c": np.arange(float(n))})


def test_length_is_the_number_of_times() -> None:
    assert len(series(5)) == 5
    assert len(series(0)) == 0


def test_unknown_column_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^no such weather column: \['soil_c'\]$"):
        Series(INFO, np.array([0], dtype=np.int64), {"soil_c": np.array([1.0])})


def test_columns_must_be_as_long_as_the_times() -> None:
    with pytest.raises(ValueError, match=r"^all columns of a series must be as long as its times$"):
        Series(INFO, np.array([0, 1], dtype=np.int64), {"air_temp_c": np.array([1.0])})


@pytest.mark.parametrize("times", [[0, 0], [3600, 0]])
def test_times_must_rise(times: list[int]) -> None:
    with pytest.raises(ValueError, match=r"^the times of a series must rise$"):
        Series(INFO, np.array(times, dtype=np.int64), {})


@pytest.mark.parametrize(("field", "word"), [("kind", "guessed"), ("exposure", "sunny"), ("stamps", "start")])
def test_words_must_be_known(field: str, word: str) -> None:
    with pytest.raises(ValueError, match=f"^no such word in a weather series: {word}$"):
        replace(INFO, **{field: word})  # type: ignore[arg-type]


def test_between_takes_the_first_and_leaves_the_last() -> None:
    cut = series().between(3600, 3 * 3600)
    assert cut.time_s.tolist() == [3600, 7200]
    assert cut.columns["air_temp_c"].tolist() == [1.0, 2.0]
    assert cut.info is INFO


def test_two_series_can_be_compared_without_an_error() -> None:
    one = series()
    assert one == one
    assert one != series()


def test_gap_in_hours() -> None:
    assert Gap(0, 5400).hours == 1.5


def test_every_column_has_unit_words_and_cf_name() -> None:
    # CF names are lower case words joined by underscores (CF Conventions 1.8, section 3.3).
    for unit, words, standard_name in COLUMNS.values():
        assert unit and words
        assert standard_name.replace("_", "").isalpha() and standard_name == standard_name.lower()
    assert len({cf for _, _, cf in COLUMNS.values()}) == len(COLUMNS)
