"""Words and drawings of what a tree stands on."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from barkslip.domain.root import LookAnswer, LookQuestion, NextLook, RootBelief, RootVerdict
from barkslip.present import root, root_drawings

N = "\u00a0"


def belief(stock, p, low=None, high=None, **more):
    return RootBelief(stock, more.pop("group", "mandarin"), p, p if low is None else low, p if high is None else high,
                      0.1, **more)  # fmt: skip


def verdict(*beliefs, **more):
    return RootVerdict(beliefs, (), more.pop("looks", ()), more.pop("next_looks", ()), (), **more)


@pytest.mark.parametrize(
    ("p", "low", "high", "words"),
    [
        (0.602, 0.562, 0.641, f"60{N}% (56 to 64{N}%)"),
        (0.45, 0.45, 0.45, f"45{N}%"),
        (0.003, 0.0, 0.012, f"less than 1{N}% (0 to 1{N}%)"),
        (0.999, 0.97, 0.9999, f"more than 99{N}% (97 to more than 99{N}%)"),
    ],
)
def test_a_belief_with_its_range(p, low, high, words):
    assert root.range_text(p, low, high) == words


def test_beliefs_as_people_say_them():
    said = [root.likely_words(p) for p in (1.0, 0.95, 0.8, 0.6, 0.3, 0.1, 0.01)]
    assert said == ["nearly sure", "nearly sure", "very likely", "likely", "perhaps", "unlikely", "very unlikely"]


def test_the_fewest_answers_that_hold_nine_in_ten():
    v = verdict(belief("a", 0.6), belief("b", 0.31), belief("c", 0.09))
    assert [b.stock for b in root.held_by(v)] == ["a", "b"]


def test_small_beliefs_are_named_together_but_those_of_the_book_stay():
    v = verdict(belief("a", 0.985), belief("b", 0.006, named=True), belief("c", 0.005), belief("d", 0.004))
    big, rest = root.shown(v)
    assert [b.stock for b in big] == ["a", "b"]
    assert root.rest_text(rest) == f"Next to nothing, but not ruled out, together 1{N}%: c; d."


def test_nothing_known_yet():
    assert root.headline(verdict(belief("a", 0.5), belief("b", 0.5))) == "Not known yet. Each look moves the beliefs."


@pytest.mark.parametrize(
    ("bits", "words"),
    [(0.66, "much"), (0.3, "some"), (0.1, "little"), (0.001, "next to nothing")],
)
def test_bits_in_words(bits, words):
    assert root.bits_text(bits) == f"tells {words} ({bits:.2f}{N}bits)"


def test_the_look_that_tells_most_is_said_to():
    first, second = (NextLook(LookQuestion(k, f"{k}?", ()), b, ()) for k, b in (("union", 0.6), ("size", 0.2)))
    v = verdict(belief("a", 1.0), next_looks=(first, second))
    assert root.telling_text(v, first) == f"Of all looks this one tells most: it tells much (0.60{N}bits)."
    assert root.telling_text(v, second) == f"It tells some (0.20{N}bits)."


def test_a_look_within_a_sentence():
    assert root.look_words(LookAnswer("q", "a", "The union is smooth", {})) == "the union is smooth"
    assert root.look_words(LookAnswer("q", "a", "A shoot of it", {})) == "a shoot of it"


@pytest.mark.parametrize("look", sorted(root_drawings._PICTURES))
def test_drawings_are_sound_and_lie_in_their_frame(look):
    picture = ElementTree.fromstring(root_drawings.drawing(look))
    assert picture.attrib["viewBox"] == "0 0 64 64"
    assert len(list(picture)) > 0


def test_answers_to_one_question_are_drawn_differently():
    by_question: dict[str, list[str]] = {}
    for look in root_drawings._PICTURES:
        by_question.setdefault(look.partition("=")[0], []).append(str(root_drawings.drawing(look)))
    for question, pictures in by_question.items():
        assert len(pictures) > 1, question
        assert len(set(pictures)) == len(pictures), question
    assert root_drawings.drawing("place=elsewhere") == ""


def test_the_bar_is_as_long_as_the_belief():
    bar = ElementTree.fromstring(root_drawings.belief_bar(0.5, 0.25, 0.75))
    widths = [float(r.attrib["width"]) for r in bar]
    assert widths == [200.0, 100.0, 100.0]
