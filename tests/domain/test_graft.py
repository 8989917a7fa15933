"""Looks, and the verdict folded from them."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.entry import uuid7
from barkslip.domain.errors import InputError
from barkslip.domain.graft import (
    ALIVE,
    LOST,
    MARKS,
    STATES,
    VERDICTS,
    Look,
    Turn,
    alive_on,
    check_look_day,
    check_state,
    ordered,
    standing,
)
from barkslip.domain.when import When, on

SET = on(date(2024, 8, 20))
FALSE_TAKE = 21


def look(days: int, state: str, n: int = 0, spread: int = 0) -> Look:
    first = SET.first + timedelta(days=days)
    number = uuid7(1_700_000_000_000, n)
    return Look(
        id=number,
        thing=number,
        made_utc="2024-12-01T00:00:00Z",
        graft="g",
        state=state,
        on=When(first, first + timedelta(days=spread)),
    )


def fold(*looks: Look):
    return standing(looks, SET, false_take_days=FALSE_TAKE)


LOOKS = st.lists(st.tuples(st.integers(0, 400), st.sampled_from(sorted(STATES)), st.integers(0, 9)), max_size=12).map(
    lambda rows: [look(d, s, i, spread) for i, (d, s, spread) in enumerate(rows)]
)


def test_every_state_is_alive_lost_or_unknown():
    assert set(ALIVE) | set(LOST) | {"unknown"} == set(STATES)
    assert not set(ALIVE) & set(LOST)


def test_without_looks_a_graft_waits():
    stand = fold()
    assert (stand.word, stand.state, stand.mark, stand.turns, stand.last_on, stand.looks) == (
        "waiting", "unknown", "unknown", (), None, 0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("state", "word", "mark"),
    [
        ("green and still", "waiting", "waiting"),
        ("swelling", "waiting", "waiting"),
        ("pushing", "took", "took"),
        ("stalled", "waiting", "stalled"),
        ("shrivelled", "did not take", "lost"),
        ("black", "did not take", "lost"),
        ("broken", "did not take", "lost"),
        ("choked", "did not take", "lost"),
        ("eaten", "did not take", "lost"),
        ("unknown", "waiting", "unknown"),
    ],
)
def test_one_look_after_the_false_take(state: str, word: str, mark: str):
    stand = fold(look(60, state))
    assert (stand.word, stand.mark, stand.state) == (word, mark, state)
    assert stand.last_on == date(2024, 10, 19)


def test_pushing_early_may_be_from_the_scions_own_store():
    assert fold(look(FALSE_TAKE - 1, "pushing")).word == "waiting"
    assert fold(look(FALSE_TAKE - 1, "pushing")).mark == "pushing"
    assert fold(look(FALSE_TAKE, "pushing")).word == "took"


def test_of_a_day_not_known_exactly_the_fewest_days_count():
    set_on = When(SET.first, SET.first + timedelta(days=5))
    assert standing([look(FALSE_TAKE + 4, "pushing")], set_on, false_take_days=FALSE_TAKE).word == "waiting"
    assert standing([look(FALSE_TAKE + 5, "pushing")], set_on, false_take_days=FALSE_TAKE).word == "took"


def test_green_for_fifteen_months_then_growing():
    early = [look(30 * m, "green and still", m) for m in range(1, 16)]
    assert fold(*early).word == "waiting"
    assert fold(*early, look(470, "pushing", 99)).word == "took"


def test_a_loss_that_was_none_is_taken_back():
    looks = (look(30, "shrivelled", 1), look(270, "pushing", 2))
    assert (fold(looks[0]).word, fold(looks[0]).taken_back) == ("did not take", False)
    stand = fold(*looks)
    assert (stand.word, stand.mark, stand.taken_back, stand.lost_after) == ("took", "took", True, False)
    assert [(t.state, t.word) for t in stand.turns] == [("shrivelled", "did not take"), ("pushing", "took")]


def test_taken_and_lost_later_is_no_failure_of_the_graft():
    looks = (look(60, "pushing", 1), look(200, "broken", 2), look(230, "pushing", 3), look(300, "broken", 4))
    stand = fold(*looks[:2])
    assert (stand.word, stand.mark, stand.lost_after, stand.taken_back) == ("took", "lost", True, False)
    stand = fold(*looks)
    assert (stand.word, stand.lost_after, stand.taken_back) == ("took", True, True)
    # every change is told, also the second loss in the same way
    assert stand.turns == tuple(Turn(k.on.first, k.id, k.state, "took") for k in looks)


def test_looks_of_one_day_go_in_the_order_they_were_written():
    first, second = look(60, "pushing", 1), look(60, "broken", 2)
    assert ordered([second, first]) == [first, second]
    assert fold(second, first).state == "broken"


@given(LOOKS, st.randoms(use_true_random=False))
def test_the_order_in_which_looks_come_does_not_matter(looks: list[Look], random):
    mixed = list(looks)
    random.shuffle(mixed)
    assert fold(*mixed) == fold(*looks)


@given(LOOKS)
def test_words_are_from_the_list(looks: list[Look]):
    stand = fold(*looks)
    assert stand.word in VERDICTS and stand.mark in MARKS and stand.looks == len(looks)
    assert stand.lost_after <= (stand.word == "took" and stand.mark == "lost")
    assert stand.word != "took" or any(k.state == "pushing" for k in looks)
    assert stand.word != "did not take" or stand.state in LOST


@given(LOOKS, st.sampled_from(ALIVE))
def test_a_later_living_look_always_revives(looks: list[Look], state: str):
    stand = fold(*looks, look(500, state, 999))
    assert stand.word != "did not take" and stand.mark != "lost" and not stand.lost_after
    assert stand.taken_back or not any(k.state in LOST for k in looks)


@given(LOOKS, st.integers(401, 20_000))
def test_time_alone_never_changes_the_verdict(looks: list[Look], days: int):
    """A look that saw nothing is all that time can bring."""
    before, after = fold(*looks), fold(*looks, look(days, "unknown", 999))
    assert (after.word, after.mark, after.state, after.turns) == (before.word, before.mark, before.state, before.turns)


@given(LOOKS)
def test_the_last_turn_is_the_verdict(looks: list[Look]):
    stand = fold(*looks)
    assert stand.word == (stand.turns[-1].word if stand.turns else "waiting")
    by_id = {k.id: k for k in looks}
    assert all(by_id[t.look].state == t.state for t in stand.turns)


def test_alive_on_a_day():
    day = SET.first + timedelta(days=100)
    assert alive_on([], day) is None
    assert alive_on([look(99, "pushing")], day) is None
    assert alive_on([look(100, "pushing")], day) is True
    assert alive_on([look(150, "stalled")], day) is True
    assert alive_on([look(100, "black")], day) is False
    assert alive_on([look(150, "black")], day) is None
    # a loss taken back later was none
    assert alive_on([look(50, "shrivelled", 1), look(300, "pushing", 2)], day) is True
    assert alive_on([look(50, "shrivelled", 1), look(70, "swelling", 2)], day) is None
    assert alive_on([look(50, "black", 1), look(80, "unknown", 2)], day) is False


@given(LOOKS, st.integers(0, 400))
def test_alive_on_a_day_agrees_with_the_verdict(looks: list[Look], days: int):
    day = SET.first + timedelta(days=days)
    alive = alive_on(looks, day)
    if alive is False:
        assert any(k.state in LOST and k.on.last <= day for k in looks)
        assert not any(k.state in ALIVE and k.on.first >= day for k in looks)


@pytest.mark.parametrize(
    ("text", "state"),
    [("green", "green and still"), ("Still-green", "green and still"), ("PUSHING", "pushing"), ("?", "unknown"),
     ("shriveled", "shrivelled")],
)  # fmt: skip
def test_states_as_typed(text: str, state: str):
    assert check_state(text) == state


@pytest.mark.parametrize("text", ["", "dead"])
def test_no_such_state(text: str):
    with pytest.raises(InputError) as caught:
        check_state(text)
    assert str(caught.value) == (
        f"No such state of a graft.\nGiven: {text or '(nothing)'}\n"
        "Allowed: green and still, swelling, pushing, stalled, shrivelled, black, broken, choked, eaten, unknown\n"
        "Next: Choose what you see; the verdict follows from the looks."
    )


def test_a_look_is_never_older_than_its_graft():
    check_look_day(SET, SET)
    with pytest.raises(InputError) as caught:
        check_look_day(on(date(2024, 8, 19)), SET)
    assert str(caught.value) == (
        "That look is older than the graft.\nGiven: look on 2024-08-19, graft set 2024-08-20\n"
        "Allowed: 2024-08-20 or later\nNext: Correct the day of the look, or the day the graft was set."
    )
