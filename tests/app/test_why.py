"""Why grafts of the demo garden were lost; no verdict on a disease, none from a count of days."""

from __future__ import annotations

import itertools
import re

import pytest

from barkslip.app.context import Context
from barkslip.app.why import ask_why, log_cause, log_looks
from barkslip.domain.errors import InputError, NotFoundError
from barkslip.domain.why import CAUSES, CIRCUMSTANCES, LOOKS, WhyAnswer
from barkslip.present import why as words
from barkslip.present.why_data import why_data


def ask(ctx: Context, grafts: str, looks: str = "", *, model: bool = False) -> WhyAnswer:
    return ask_why(ctx, {"grafts": grafts, "looks": looks}, model=model)


def test_the_persimmon_scions_had_wood_that_was_moving(shown_demo: Context) -> None:
    v = ask(shown_demo, "G02-1", "union=brown", model=True)
    g = v.grafts[0]
    assert g.beliefs[0].cause == "late_or_weak_wood"
    assert {(a.question, a.answer, a.how) for a in g.answers} == {
        ("scion", "wilted", "looks"), ("neighbours", "dead", "book"), ("wood", "old", "book"),
        ("pair", "established", "book"), ("heat", "shaded", "model"), ("union", "brown", "typed"),
    }  # fmt: skip
    assert g.last is not None
    assert g.last.days == 14
    assert g.last.scion_c is not None
    assert g.last.scion_c < 38.0


def test_model_says_how_hot_the_tangelo_got(shown_demo: Context) -> None:
    """Set in late November under a brown bag: the scion went far over 38 °C."""
    g = ask(shown_demo, "G05-2", model=True).grafts[0]
    heat = next(a for a in g.answers if a.question == "heat")
    assert heat.answer == "hot"
    assert g.last is not None
    assert g.last.dose is not None
    assert g.last.dose > 0.7


def test_beliefs_are_shares(shown_demo: Context) -> None:
    g = ask(shown_demo, "G06-6").grafts[0]
    assert {b.cause for b in g.beliefs} == set(CAUSES)
    assert sum(b.p for b in g.beliefs) == pytest.approx(1.0)
    assert all(b.low <= b.high for b in g.beliefs)


def test_no_disease_is_ever_named(shown_demo: Context) -> None:
    """Whatever is seen, no answer names a disease or its agent; the way to a laboratory stands beside it."""
    named = re.compile(r"phytophthora|gummosis|greening|tristeza|viroid|canker disease|fungus|bacteri|virus", re.I)
    for union, line, ooze in itertools.product(LOOKS["union"], LOOKS["line"], LOOKS["ooze"]):
        v = ask(shown_demo, "G02-2", f"union={union}, line={line}, ooze={ooze}")
        said = " ".join(
            [words.headline(v), words.lead(v), words.next_time(v), *words.notes(v), *words.CAUSE_WORDS.values(),
             *(words.next_text(n) for n in v.next_looks)]
        )  # fmt: skip
        assert not named.search(said)
        assert "disease" not in words.headline(v)
        assert "plant-health authority" in words.never_text()
        assert why_data(v)["no_disease_verdict"]
    v = ask(shown_demo, "G02-2", "ooze=yes, scion=other, neighbours=none, pair=neither, wood=fresh")
    assert v.cause == "disease"
    assert words.headline(v) == (
        "G02-2 'Fuyu' persimmon: have it looked at. What was seen points to something living, and no look tells what."
    )


def test_a_graft_that_lives_or_waits_has_no_cause(shown_demo: Context) -> None:
    v = ask(shown_demo, "G01-1")
    assert not v.grafts[0].lost
    assert words.headline(v) == "G01-1 'Owari' satsuma is not lost by its looks: it took. Nothing to explain yet."


def test_what_was_seen_to_break_it_is_the_cause(shown_demo: Context) -> None:
    v = ask(shown_demo, "G04-4")
    assert v.cause == ""
    assert "snapped or knocked out" in words.headline(v)


def test_a_loss_long_after_is_not_explained_by_the_causes_of_young_grafts(shown_demo: Context) -> None:
    v = ask(shown_demo, "G01-2")
    assert v.cause == ""
    assert v.grafts[0].late
    assert "long after" in words.headline(v)


def test_several_share_a_cause_more_often_than_apart(shown_demo: Context) -> None:
    v = ask(shown_demo, "G02-1, G02-2")
    assert v.same is not None
    assert v.same > sum(b.p**2 for b in v.grafts[0].beliefs)
    assert sum(p for _, p in v.shared) == pytest.approx(v.same)
    assert "Both lost to one and the same cause" in words.shared_text(v)


def test_without_looks_it_cannot_tell(shown_demo: Context) -> None:
    v = ask(shown_demo, "G11-4")
    assert v.cause == ""
    assert words.headline(v).startswith("Cannot tell why G11-4")
    assert v.cannot_tell > 0.5


def test_looks_written_down_count(demo: Context) -> None:
    signs = log_looks(demo, {"graft": "G11-4", "looks": "union=none, line=no"})
    assert [(s.question, s.answer) for s in signs] == [("union", "none"), ("line", "no")]
    counted = {(a.question, a.answer, a.how) for a in ask(demo, "G11-4").grafts[0].answers}
    assert {("union", "none", "signs"), ("line", "no", "signs")} <= counted


def test_a_cause_found_out_teaches_the_others(demo: Context) -> None:
    """One loss found to be of poor contact: its share before any look goes from 0.25 to 6/21."""
    cause = log_cause(demo, {"graft": "G11-4", "cause": "poor_cambium", "how": "gap seen in the cut union"})
    assert cause.cause == "poor_cambium"
    v = ask(demo, "G11-9")
    assert v.found == {"poor_cambium": 1}
    assert next(b.before for b in v.grafts[0].beliefs if b.cause == "poor_cambium") == pytest.approx(6.0 / 21.0)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"grafts": ""}, "Which graft was lost?\nGiven: (nothing)\nAllowed: 1 to 12 codes of grafts\n"
                         "Next: Name the graft; name several if they were lost together."),
        ({"grafts": "G02-1", "looks": "union"}, "No such answer to that question.\nGiven: union\n"
         "Allowed: union=callus, union=none, union=brown\n"
         "Next: Choose one of these; leave it out if you did not look."),
        ({"grafts": "G02-1", "looks": "leaf=red"}, "No such question about a lost graft.\nGiven: leaf=red\n"
         f"Allowed: {', '.join([*LOOKS, *CIRCUMSTANCES])}\nNext: Write question=answer, such as union=brown."),
    ],
)  # fmt: skip
def test_bad_input_is_told_plainly(shown_demo: Context, fields: dict[str, str], message: str) -> None:
    with pytest.raises(InputError) as caught:
        ask_why(shown_demo, fields, model=False)
    assert str(caught.value) == message


def test_a_graft_that_is_not_there(shown_demo: Context) -> None:
    with pytest.raises(NotFoundError):
        ask(shown_demo, "X9")


def test_every_question_has_its_words() -> None:
    every = {**{q: set(a) for q, a in LOOKS.items()}, **{q: set(a) for q, a in CIRCUMSTANCES.items()}}
    assert {q: set(a) for q, a in words.ANSWERS.items()} == every
    assert set(words.QUESTIONS) == set(every)
    assert set(words.CAUSE_WORDS) == set(words.NEXT_TIME) == set(CAUSES)
