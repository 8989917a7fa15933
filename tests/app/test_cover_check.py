"""The demo's logger under covers beside the model: what was planted is found once its errors are taken off.

The truth is the demo's own (quarrow_flat_days.toml, trial E1): scion over shielded air on clear days from 13 to 15 h,
foil sleeve 1.6 K, foil-lined pouch 2.6 K, film alone 3.6 K, brown paper bag 6.7 K.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from barkslip.app.context import Context
from barkslip.app.cover_check import check_cover, learn, learned_covers
from barkslip.app.lines import begin
from barkslip.domain.errors import BarkslipError, InputError
from barkslip.domain.heat import CoverCheck, Wrap
from barkslip.domain.record import Record
from barkslip.domain.trial import Logger
from barkslip.domain.weather import Series
from barkslip.fieldbook import series as store

TRUTH = {"foil sleeve": 1.6, "foil-lined pouch": 2.6, "film alone": 3.6, "brown paper bag": 6.7}


def check(ctx: Context, cover: str, **fields: str) -> CoverCheck:
    return check_cover(ctx, {"logger": "D", "cover": cover, "members": "40", "seed": "1", **fields})


def trial(ctx: Context, cover: str, **fields: str) -> CoverCheck:
    return check(ctx, cover, trial="E1", **{"from": "2021-11-22", "to": "2021-12-12"}, **fields)


@pytest.mark.parametrize("cover", ["foil sleeve", "foil-lined pouch", "film alone"])
def test_a_loggers_week_comes_near_the_truth(shown_demo: Context, cover: str) -> None:
    found = check(shown_demo, cover)
    assert found.measured_k.p50 == pytest.approx(TRUTH[cover], abs=0.25)
    assert found.logger == "D" and (found.from_h, found.to_h) == (13.0, 15.0)
    assert found.corrections == ("In ice water logger D read +1.7 K: taken off.",)
    assert 5 <= len(found.days) <= 7 and found.left_out == 7 - len(found.days)
    assert not found.astray and 0.0 < found.weight_left <= 1.0
    raw = check(shown_demo, cover, as_read="yes")
    assert raw.measured_k.p50 - found.measured_k.p50 == pytest.approx(1.7, abs=1e-6)
    assert raw.corrections == ()


def test_before_correction_foil_cannot_be_told_from_the_pouch(shown_demo: Context) -> None:
    """The trial's single readings: in its first week foil was read by the logger that reads 1.7 K high."""
    foil, pouch = (trial(shown_demo, cover) for cover in ("foil sleeve", "foil-lined pouch"))
    raw_foil, raw_pouch = (trial(shown_demo, c, as_read="yes") for c in ("foil sleeve", "foil-lined pouch"))

    def mean(one: CoverCheck) -> float:
        return sum(d.measured_k for d in one.days) / len(one.days)

    assert mean(pouch) - mean(foil) == pytest.approx(1.0, abs=0.3)
    assert abs(mean(raw_pouch) - mean(raw_foil)) < 0.5
    assert foil.corrections == ("Logger D, 28 readings: +1.7 K taken off.",)
    assert pouch.corrections == ()


@pytest.mark.parametrize("cover", sorted(TRUTH))
def test_the_single_readings_of_the_trial_come_near_the_truth(shown_demo: Context, cover: str) -> None:
    found = trial(shown_demo, cover)
    assert sum(d.measured_k for d in found.days) / len(found.days) == pytest.approx(TRUTH[cover], abs=0.35)
    assert len(found.days) >= 12


def test_paper_was_hotter_than_film_by_the_readings_and_by_the_model(shown_demo: Context) -> None:
    paper, film = trial(shown_demo, "brown paper bag"), trial(shown_demo, "film alone")
    assert paper.measured_k.p50 > film.measured_k.p50 + 2.0
    assert paper.before_k.p50 > film.before_k.p50 + 2.0
    # learning takes the model towards the readings, and makes it surer
    assert abs(paper.after_k.p50 - paper.measured_k.p50) < abs(paper.before_k.p50 - paper.measured_k.p50)
    assert paper.after_k.p90 - paper.after_k.p10 < paper.before_k.p90 - paper.before_k.p10


def test_a_clock_that_is_off_is_set_right(demo: Context) -> None:
    """The logger's clock is put three hours ahead: as read, its early afternoon is another time of the day."""
    with demo.book.write() as writer:
        logger = writer.by_code(Logger, "D")
        writer.append(replace(logger, **begin(demo, {}, logger), clock_error_min=180.0))
        record = writer.every(Record, "logger = :logger", logger=logger.thing)[0]
        found = store.readings(writer, record)
        late = Series(found.info, found.time_s + 3 * 3600, found.columns)
        writer.append(replace(record, **begin(demo, {}, record), withdrawn=True))
        blank = Record(**begin(demo, {}), name="", kind="", plot=record.plot, logger=logger.thing, info={})
        store.put(writer, blank, late)
    right = check(demo, "film alone")
    assert right.measured_k.p50 == pytest.approx(TRUTH["film alone"], abs=0.25)
    assert right.corrections[1] == "Its clock stood +180 min off: set right."
    wrong = check(demo, "film alone", as_read="yes")
    assert abs(wrong.measured_k.p50 - right.measured_k.p50 - 1.7) > 0.5


def test_days_that_are_not_clear_are_left_out(demo: Context) -> None:
    """Two cloudy hours at noon of one day are put into the yard's sun."""
    with demo.book.write() as writer:
        plot = writer.rows("SELECT thing FROM plot WHERE code = 'YARD'")[0][0]
        for record in writer.every(Record, "plot = :plot", plot=plot):
            if "ghi_w_m2" not in record.columns or record.kind != "invented":
                continue
            found = store.readings(writer, record)
            start = int(datetime(2021, 12, 7, 11, tzinfo=UTC).timestamp())
            noon = (found.time_s >= start) & (found.time_s <= start + 2 * 3600)
            dim = {k: np.where(noon, 0.2 * v, v) if k.endswith("_w_m2") else v for k, v in found.columns.items()}
            writer.append(replace(record, **begin(demo, {}, record), withdrawn=True))
            blank = Record(**begin(demo, {}), name="", kind="", plot=plot, info={})
            store.put(writer, blank, Series(found.info, found.time_s, dim))
    days = [d.day for d in check(demo, "film alone").days]
    assert "2021-12-07" not in days and "2021-12-06" in days


def test_a_bare_bead_and_another_plot_are_no_shielded_air(demo: Context) -> None:
    """Logger E, bare beside D, reads 2 K high in full sun. Without the yard's screen nothing can be compared."""
    with demo.book.write() as writer:
        plot = writer.rows("SELECT thing FROM plot WHERE code = 'YARD'")[0][0]
        for record in writer.every(Record, "plot = :plot", plot=plot):
            if record.info["exposure"] == "screen":
                writer.append(replace(record, **begin(demo, {}, record), withdrawn=True))
        assert any("Logger E" in r.name for r in writer.every(Record, "plot = :plot", plot=plot))
    with pytest.raises(InputError) as caught:
        check(demo, "film alone")
    assert caught.value.problem == "No clear day with readings in these hours; there is nothing to compare."


def test_cover_and_days_come_from_where_the_logger_sat(shown_demo: Context) -> None:
    named = check(shown_demo, "", **{"from": "2021-11-29", "to": "2021-12-05"})
    assert named.wrap == Wrap("foil_pouch")
    assert named.days == check(shown_demo, "foil-lined pouch").days


def test_what_was_learned_is_kept_for_the_answer(shown_demo: Context) -> None:
    found = learned_covers(shown_demo, members=40, seed=1)
    assert set(found) == {"foil_sleeve", "foil_pouch", "film"}
    pouch = found["foil_pouch"]
    assert (pouch.days, len(pouch.weights)) == (len(check(shown_demo, "foil-lined pouch").days), 40)
    assert sum(pouch.weights) == pytest.approx(1.0)
    assert learn(shown_demo, {"logger": "D", "cover": "foil-lined pouch", "members": "40"}) == pouch
    assert learned_covers(shown_demo, members=40, seed=1)["film"] is found["film"]


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"logger": ""},
            "The logger is missing.\nGiven: (nothing)\nAllowed: any words\n"
            "Next: Type the logger; if it is not known, write unknown.",
        ),
        (
            {"cover": "brown bag"},
            "Nothing says when logger D sat under that cover.\nGiven: (no days)\n"
            "Allowed: the first and the last whole day\nNext: Type both days, or write down where the logger sat.",
        ),
        (
            {"cover": ""},
            "Logger D sat under more than one cover.\nGiven: foil sleeve, foil-lined pouch, film alone\n"
            "Allowed: one cover, such as foil sleeve\nNext: Name the cover.",
        ),
        (
            {"from": "2021-11-22"},
            "The last day is missing.\nGiven: (nothing)\nAllowed: the first and the last whole day under the cover\n"
            "Next: Type it.",
        ),
        (
            {"from": "2021-12-12", "to": "2021-11-22"},
            "These days cannot be compared.\nGiven: 2021-12-12 to 2021-11-22\n"
            "Allowed: a first day not after the last, at most 400 days\nNext: Correct them.",
        ),
        (
            {"from_h": "15", "to_h": "13"},
            "The hours compared end before they begin.\nGiven: 15 to 13 h\nAllowed: the first hour not after the last\n"
            "Next: Swap the two.",
        ),
        (
            {"from": "2023-01-01", "to": "2023-01-07"},
            "Logger D has no readings of a scion or a surface on those days.\nGiven: 2023-01-01 to 2023-01-07\n"
            "Allowed: readings of a bead against the scion, brought in as a surface temperature\n"
            "Next: Bring its readings in, or take other days.",
        ),
        (
            {"trial": "E99"},
            "There is no such trial in the book.\nGiven: E99\nAllowed: E1, E2, E3, E4, E5\nNext: Check the code.",
        ),
    ],
)
def test_what_is_refused(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(BarkslipError) as caught:
        check_cover(shown_demo, {"logger": "D", "cover": "film alone", "members": "20"} | fields)
    assert caught.value.message == message
