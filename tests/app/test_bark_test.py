"""A test of the bark is written down for a tree or a limb, in one of three words, and is found again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from barkslip.app.acts import correct_act, log_act
from barkslip.app.bark_tests import last_bark_test
from barkslip.app.context import Context
from barkslip.app.trees import tree_story
from barkslip.domain.errors import BarkslipError, InputError
from barkslip.fieldbook.digest import book_digest
from barkslip.present.act import text


def refused(ctx: Context, do: Callable[[], object]) -> str:
    before = book_digest(ctx.book)
    with pytest.raises(InputError) as caught:
        do()
    assert book_digest(ctx.book) == before
    return caught.value.message


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("lifts", "lifts"), ("Bark tears", "tears"), ("sun-side only", "sun side only"), ("sticks", "tears")],
)
def test_what_a_flap_did_is_kept_in_one_word(demo: Context, typed: str, kept: str) -> None:
    act = log_act(demo, {"kind": "bark test", "tree": "T01", "detail": typed})
    assert (act.kind, act.detail) == ("bark test", kept)
    shown = tree_story(demo, "T01").acts[0]
    assert shown.id == act.id
    assert text(shown) == f"flap of bark lifted to see whether it parts: {kept}"


def test_a_limb_may_be_tested_alone(demo: Context) -> None:
    act = log_act(demo, {"kind": "bark test", "tree": "T02", "limb": "L5", "detail": "lifts"})
    assert act.limb
    assert not act.tree
    assert act.id in {a.id for a in tree_story(demo, "T02").acts}


@pytest.mark.parametrize("typed", ["", "maybe"])
def test_other_words_are_refused(demo: Context, typed: str) -> None:
    message = refused(demo, lambda: log_act(demo, {"kind": "bark test", "tree": "T01", "detail": typed}))
    assert message == (
        "Not what a test of the bark can show.\n"
        f"Given: {typed or '(nothing)'}\n"
        "Allowed: lifts, tears, sun side only\n"
        "Next: Lift a small flap with the knife and say how it parts."
    )


@pytest.mark.parametrize(("field", "code"), [("graft", "G14-5"), ("plot", "LOW")])
def test_neither_a_graft_nor_a_plot_has_a_bark_to_test(demo: Context, field: str, code: str) -> None:
    message = refused(demo, lambda: log_act(demo, {"kind": "bark test", field: code, "detail": "lifts"}))
    assert message == (
        "The bark is tested on a tree or one of its limbs.\n"
        f"Given: a {field}\n"
        "Allowed: a tree, with or without a limb\n"
        "Next: Name the tree that is to be grafted on, and the limb if only one was tested."
    )


def test_a_test_is_corrected_only_to_another_of_the_words(demo: Context) -> None:
    act = log_act(demo, {"kind": "bark test", "tree": "T01", "detail": "lifts"})
    refused(demo, lambda: correct_act(demo, act.id, {"detail": "perhaps"}))
    assert correct_act(demo, act.id, {"detail": "tears"}).detail == "tears"
    assert correct_act(demo, act.id, {"note": "second flap"}).detail == "lifts"


def test_other_work_does_not_become_a_test_without_a_word_of_the_bark(demo: Context) -> None:
    act = log_act(demo, {"kind": "whiten", "tree": "T01", "detail": "white wash"})
    message = refused(demo, lambda: correct_act(demo, act.id, {"kind": "bark test"}))
    assert "Given: white wash" in message


def test_the_last_test_within_ten_days_is_found(shown_demo: Context) -> None:
    found = last_bark_test(shown_demo, "T08", date(2022, 11, 12))
    assert found is not None
    assert (found.detail, found.on.first) == ("lifts", date(2022, 11, 12))
    assert last_bark_test(shown_demo, "T08", date(2022, 11, 22)) is not None
    assert last_bark_test(shown_demo, "T08", date(2022, 11, 23)) is None
    assert last_bark_test(shown_demo, "T08", date(2022, 11, 11)) is None
    assert last_bark_test(shown_demo, "T01", date(2022, 11, 12)) is None


def test_a_limb_is_judged_by_its_own_test_before_the_trees(demo: Context) -> None:
    day = {"kind": "bark test", "tree": "T02"}
    log_act(demo, {**day, "limb": "L5", "detail": "tears", "on": "2025-06-25"})
    log_act(demo, {**day, "detail": "lifts", "on": "2025-06-28"})
    on = date(2025, 6, 30)
    whole, five, one = (last_bark_test(demo, "T02", on, limb=limb) for limb in ("", "L5", "L1"))
    assert whole is not None and whole.detail == "lifts"
    assert five is not None and five.detail == "tears"
    assert one is not None and one.detail == "lifts"


def test_a_test_of_another_limb_speaks_for_the_tree_where_nothing_else_does(demo: Context) -> None:
    log_act(demo, {"kind": "bark test", "tree": "T02", "limb": "L5", "detail": "tears", "on": "2025-06-29"})
    found = last_bark_test(demo, "T02", date(2025, 6, 30), limb="L1")
    assert found is None
    whole = last_bark_test(demo, "T02", date(2025, 6, 30))
    assert whole is not None and whole.detail == "tears"


def test_no_such_tree(shown_demo: Context) -> None:
    with pytest.raises(BarkslipError) as caught:
        last_bark_test(shown_demo, "T99")
    assert caught.value.problem == "There is no such tree in the book."
