"""Looks as typed, and when a belief about the root counts as settled."""

import pytest

from barkslip.domain.errors import InputError
from barkslip.domain.root import (
    Clash,
    CountedLook,
    LookAnswer,
    LookQuestion,
    RootBelief,
    RootVerdict,
    read_looks,
)


def question(key, *answers):
    return LookQuestion(key, f"{key}?", tuple(LookAnswer(key, a, f"{key} {a}", {}) for a in answers))


QUESTIONS = (question("leaflets", "3", "1"), question("foot_rot", "yes", "no"), question("thorns", "many", "few"))


def test_looks_are_read_in_any_spacing_and_each_once():
    looks = read_looks(["leaflets=3", " Foot rot = YES ", "leaflets=3"], QUESTIONS)
    assert [look.key for look in looks] == ["leaflets=3", "foot_rot=yes"]


def test_a_question_spelled_wrongly_gets_the_nearest():
    with pytest.raises(InputError) as wrong:
        read_looks(["leflets=3"], QUESTIONS)
    assert wrong.value.message == (
        "Not a look that is known.\n"
        "Given: leflets=3\n"
        "Allowed: question=answer, such as leaflets=3; questions: leaflets, foot_rot, thorns\n"
        "Next: Did you mean leaflets?"
    )


def test_a_look_without_an_answer_is_refused():
    with pytest.raises(InputError) as wrong:
        read_looks(["bark"], QUESTIONS)
    assert wrong.value.message == (
        "A look is a question with its answer.\n"
        "Given: bark\n"
        "Allowed: question=answer, such as leaflets=3; questions: leaflets, foot_rot, thorns\n"
        "Next: Choose a question from the list."
    )


def test_an_answer_that_there_is_not_is_refused():
    with pytest.raises(InputError) as wrong:
        read_looks(["thorns=5"], QUESTIONS)
    assert wrong.value.message == (
        "Not an answer to that question.\n"
        "Given: thorns=5\n"
        "Allowed: thorns=many, thorns=few\n"
        "Next: Choose one of these; if you cannot tell, leave it out."
    )


def verdict(p, low, *looks, clashes=()):
    counted = tuple(CountedLook(look) for look in read_looks(looks, QUESTIONS))
    beliefs = (RootBelief("trifoliate orange", "trifoliate", p, low, 1.0, 0.1),)
    return RootVerdict(beliefs, (), counted, (), (), clashes)


def test_settled_takes_a_look_that_tells_something():
    assert verdict(0.97, 0.9, "leaflets=3").settled
    assert verdict(0.97, 0.9, "leaflets=3", "thorns=many").settled
    assert not verdict(0.97, 0.9, "thorns=many").settled
    assert not verdict(0.94, 0.9, "leaflets=3").settled
    assert not verdict(0.97, 0.7, "leaflets=3").settled


def test_contradictions_settle_nothing():
    looks = tuple(read_looks(["leaflets=3", "leaflets=1"], QUESTIONS))
    assert not verdict(0.99, 0.99, "leaflets=3", clashes=(Clash("two_answers", looks),)).settled
