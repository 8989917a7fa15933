"""Answers kept for the morning after, and how they are held against what happened."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from barkslip.app.context import Context
from barkslip.app.lines import begin
from barkslip.app.scores import keep_answer, measured_low, scores, type_low
from barkslip.domain.answer import NightAnswer
from barkslip.domain.errors import InputError, NotFoundError, QuestionError
from barkslip.domain.garden import Plot
from barkslip.domain.night import NightAir, NightScore, NightTree, NightVerdict, Offset, OrganNight, Spread
from barkslip.domain.record import Record
from barkslip.domain.score import ScoreSummary, summed_up
from barkslip.domain.sourced import Value
from barkslip.domain.weather import Series, SeriesInfo
from barkslip.fieldbook import series as store
from barkslip.fieldbook.check import check
from barkslip.fieldbook.export import export
from barkslip.fieldbook.imports import import_folder


def verdict(day: str = "2025-06-29", plot: str = "LOW", low: float = -2.4, **air: object) -> NightVerdict:
    spread = Spread(low - 2.0, low, low + 1.75)
    organ = OrganNight("leaf_exposed", Value(-2.0, "°C", "x", "assumption"), 0.0, spread, spread, spread, "06:40", 0.43)
    night = NightAir(
        "forecast", "", day, 0, 7200, 2.0, (0, 3600, 7200), (5.0, low, low + 6.0), (low,) * 3, (0.5,) * 3, (0.0,) * 3,
        (0.0,) * 3, 1.5, 1.0,
    )  # fmt: skip
    return NightVerdict(
        tree=NightTree("sweet orange", 2.0, 1.5), plot=plot, air=replace(night, **air), frost="still frost",
        organs=(organ, replace(organ, organ="bark", chance=0.02)), air_low_c=spread, times=(), series=(), ladder=(),
        least=None, runner_up=None, target=0.1, would_change=(), unknowns=(), cautions=(), members=1000, seed=7,
        knowledge_hash="abc",
    )  # fmt: skip


def plot_of(ctx: Context, code: str = "LOW") -> Plot:
    with ctx.book.read() as reader:
        return reader.by_code(Plot, code)


def lines(ctx: Context) -> int:
    with ctx.book.read() as reader:
        return int(reader.rows("SELECT count(*) FROM night_answer")[0][0])


def answers(ctx: Context) -> list[NightAnswer]:
    with ctx.book.read() as reader:
        return reader.every(NightAnswer)


def test_an_answer_is_kept_as_it_was_given(demo: Context) -> None:
    offset = Offset("LOW", "YARD", (), "still", -2.6)
    kept = keep_answer(demo, verdict(low=-2.4, offset=offset))
    assert answers(demo) == [kept]
    assert (kept.plot, kept.day, kept.source) == (plot_of(demo).thing, "2025-06-29", "forecast")
    # what the forecast said is the low without what the plot differs by
    assert kept.forecast_low_c == pytest.approx(0.2)
    assert (kept.low_p10_c, kept.low_p50_c, kept.low_p90_c) == (-4.4, -2.4, -0.65)
    assert (kept.target, kept.chance, kept.seed, kept.knowledge_hash) == (0.1, 0.43, 7, "abc")


def test_keeping_it_twice_is_keeping_it_once(demo: Context) -> None:
    first = keep_answer(demo, verdict())
    assert keep_answer(demo, verdict()) == first
    assert lines(demo) == 1


def test_a_newer_answer_corrects_the_older_and_keeps_the_measured_low(demo: Context) -> None:
    first = keep_answer(demo, verdict())
    type_low(demo, "LOW", {"date": "2025-06-29", "low": "-3.1"})
    second = keep_answer(demo, verdict(low=-3.0))
    assert second.thing == first.thing and second.corrects != first.id
    assert answers(demo) == [second]
    assert (second.low_p50_c, second.measured_low_c) == (-3.0, -3.1)
    assert lines(demo) == 3
    keep_answer(demo, verdict(day="2025-06-28"))
    keep_answer(demo, verdict(plot="YARD"))
    assert len(answers(demo)) == 3


def test_what_is_not_kept(demo: Context) -> None:
    with pytest.raises(InputError) as caught:
        keep_answer(demo, verdict(plot=""))
    assert caught.value.message == (
        "An answer is kept for a plot.\nGiven: no plot\nAllowed: a plot of the book\n"
        "Next: Ask again with a plot or a tree of the book."
    )
    with pytest.raises(InputError) as caught:
        keep_answer(demo, verdict(source="measured"))
    assert caught.value.message == (
        "That night has been measured already, so there is nothing to keep for the morning after.\n"
        "Given: night of 2025-06-29\nAllowed: a night from a forecast, or typed\nNext: Nothing needs to be done."
    )
    assert lines(demo) == 0


def test_the_low_typed_the_morning_after(demo: Context) -> None:
    keep_answer(demo, verdict())
    typed = type_low(demo, "low", {"low": "-3.1"})  # yesterday evening if no day is typed
    assert typed.measured_low_c == -3.1
    assert type_low(demo, "LOW", {"low": "-3.1", "date": "2025-06-29"}) == typed
    assert lines(demo) == 2
    with pytest.raises(QuestionError) as asked:
        type_low(demo, "LOW", {"low": "27"})
    assert asked.value.message.startswith("27 is unusual in °C here. Is it °F?\nGiven: 27\n")
    with pytest.raises(InputError) as caught:
        type_low(demo, "LOW", {"low": "-3", "date": "2025-06-30"})
    assert caught.value.message == (
        "That night is not over.\nGiven: 2025-06-30\nAllowed: an evening up to 2025-06-29\n"
        "Next: Write the low down the morning after."
    )
    with pytest.raises(NotFoundError) as missing:
        type_low(demo, "LOW", {"low": "-3", "date": "2025-06-27"})
    assert missing.value.message == (
        "No answer was kept for that night.\nGiven: LOW, 2025-06-27\nAllowed: 2025-06-29\n"
        "Next: Lows by the day are typed with: barkslip weather typed"
    )


def test_scores_take_the_low_from_the_plots_own_readings(demo: Context) -> None:
    """The demo's windy frost of 11 June 2024: −3.9 °C in the yard, −4.0 °C in the paddock (its scenario)."""
    keep_answer(demo, verdict(day="2024-06-10", low=-5.0))
    keep_answer(demo, verdict(day="2025-07-05", low=1.0))
    assert scores(demo, plot_of(demo)) == (
        NightScore("2025-07-05", "LOW", 1.0, Spread(-1.0, 1.0, 2.75), None),
        NightScore("2024-06-10", "LOW", -5.0, Spread(-7.0, -5.0, -3.25), -4.0),
    )
    assert scores(demo, plot_of(demo, "YARD")) == ()


def test_a_typed_low_counts_where_nothing_was_read(demo: Context) -> None:
    with demo.book.write() as writer:
        writer.append(Plot(**begin(demo, {}), code="DIP", name="The dip", walk_order=9))
    keep_answer(demo, verdict(plot="DIP"))
    type_low(demo, "DIP", {"low": "-3.1"})
    assert [s.measured_low_c for s in scores(demo, plot_of(demo, "DIP"))] == [-3.1]


def test_a_night_with_a_gap_has_no_measured_low(demo: Context) -> None:
    with demo.book.write() as writer:
        plot = Plot(**begin(demo, {}), code="DIP", name="The dip", walk_order=9)
        writer.append(plot)
        start = int(datetime(2025, 6, 27, 10, tzinfo=UTC).timestamp())
        air = np.array([10.0 - 0.5 * (h % 24) for h in range(72)])
        air[24 + 10] = np.nan
        series = Series(
            SeriesInfo("Post", "measured", "x", utc_offset_h=2.0),
            start + 3600 * np.arange(72, dtype=np.int64),
            {"air_temp_c": air},
        )
        store.put(writer, Record(**begin(demo, {}), name="", kind="", plot=plot.thing, info={}), series)
    with demo.book.read() as reader:
        found = [measured_low(reader, plot, demo.garden(), date(2025, 6, 27) + timedelta(days=d)) for d in range(4)]
    # the reading after sunrise still belongs to the night
    assert found == [pytest.approx(0.0), None, pytest.approx(0.0), None]


def test_sums_of_scores() -> None:
    """By hand: ours off by +1 and −2, the forecast by +3; a night without a measured low does not count."""
    ours = Spread(-4.0, -2.0, 0.0)
    nights = [
        NightScore("a", "LOW", 0.0, ours, -3.0),
        NightScore("b", "LOW", None, replace(ours, p50=-3.0, p90=-1.5), -1.0),
        NightScore("c", "LOW", 5.0, ours, None),
        NightScore("d", "LOW", 5.0, None, 1.0),
    ]
    found = summed_up(nights)
    assert found == ScoreSummary(2, -0.5, pytest.approx(2.5**0.5), 1, 3.0, 3.0, 1)
    assert summed_up([]) == ScoreSummary(0, None, None, 0, None, None, 0)


def test_kept_answers_go_out_and_come_back(demo: Context, tmp_path) -> None:
    keep_answer(demo, verdict())
    type_low(demo, "LOW", {"low": "-3.1"})
    assert check(demo.book) == ()
    report = export(demo.book, tmp_path / "out")
    assert report.lines["night_answer"] == 2
    text = (tmp_path / "out" / "night_answer.csv").read_text(encoding="utf-8")
    assert "low_p50_c" in text and "LOW" in text
    made = import_folder(tmp_path / "out", tmp_path / "new")
    assert made.same and made.lines["night_answer"] == 2
