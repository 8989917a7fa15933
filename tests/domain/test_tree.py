"""Limb addresses and chains of beliefs."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.errors import InputError
from barkslip.domain.tree import (
    BANDS,
    BEARING_DEG,
    BEARINGS,
    LEVEL_HELP,
    LEVELS,
    UNKNOWN,
    Candidate,
    ChainLink,
    Limb,
    check_candidates,
    complete,
    parse_address,
)
from barkslip.domain.when import on

PATHS = st.from_regex(r"\A[A-Z0-9]{0,4}\Z")
SHARES = st.lists(st.floats(0, 1), min_size=1, max_size=5)


def limb(bearing: str, band: str, path: str) -> Limb:
    return Limb(id="l", thing="l", made_utc="", tree="t", bearing=bearing, band=band, path=path)


def link(*candidates: Candidate) -> ChainLink:
    return ChainLink(
        id="c", thing="c", made_utc="", tree="t", level="rootstock", candidates=candidates, on=on(date(2024, 1, 1))
    )


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("NW-M-L", ("NW", "M", "L")),
        ("nw m l", ("NW", "M", "L")),
        ("NW-ML", ("NW", "M", "L")),
        ("sw/h/2a", ("SW", "H", "2A")),
        (" c-h ", ("C", "H", "")),
        ("N-L", ("N", "L", "")),
        ("E_M_1", ("E", "M", "1")),
    ],
)
def test_addresses(text: str, parts: tuple[str, str, str]):
    assert parse_address(text) == parts


@given(st.sampled_from([*BEARINGS, "C"]), st.sampled_from(sorted(BANDS)), PATHS)
def test_an_address_reads_back(bearing: str, band: str, path: str):
    assert parse_address(limb(bearing, band, path).address) == (bearing, band, path)


@pytest.mark.parametrize("text", ["", "NNW-M", "NW", "M-NW", "NW-X", "NW-M-L-2", "X-M-L"])
def test_no_address(text: str):
    with pytest.raises(InputError) as caught:
        parse_address(text)
    assert str(caught.value) == (
        f"Not a limb's address.\nGiven: {text or '(nothing)'}\n"
        "Allowed: bearing-height-path: N, NE, E, SE, S, SW, W, NW or C; L, M or H; then any letters, as in NW-M-L\n"
        "Next: Stand at the trunk, take the bearing of the limb and its height on the tree."
    )
    assert caught.value.field == "limb"


def test_bearings_go_clockwise_from_north():
    assert [BEARING_DEG[b] for b in BEARINGS] == [0, 45, 90, 135, 180, 225, 270, 315]


def test_every_level_is_explained():
    assert set(LEVEL_HELP) == set(LEVELS)


def test_what_is_missing_to_certainty_is_unknown():
    shown = complete((Candidate("rough lemon", 0.75, "leaf"),))
    assert shown == (Candidate("rough lemon", 0.75, "leaf"), Candidate(UNKNOWN, 0.25, ""))


def test_unknown_is_added_up_once():
    shown = complete((Candidate(UNKNOWN, 0.3, "no sucker"), Candidate("citrange", 0.2)))
    assert shown == (Candidate(UNKNOWN, pytest.approx(0.8), "no sucker"), Candidate("citrange", 0.2))


def test_the_best_answer_may_be_unknown():
    assert link(Candidate("citrange", 0.4)).best.taxon == UNKNOWN
    # a name goes before unknown when both are as likely
    assert link(Candidate("citrange", 0.5)).best.taxon == "citrange"


@given(SHARES)
def test_beliefs_are_shown_as_a_whole(shares: list[float]):
    total = sum(shares)
    given_ones = tuple(Candidate(f"name {i}", s / total if total > 1 else s) for i, s in enumerate(shares))
    shown = complete(given_ones)
    assert sum(c.belief for c in shown) == pytest.approx(1.0, abs=2e-6)
    assert [c.belief for c in shown] == sorted((c.belief for c in shown), reverse=True)
    assert set(given_ones) <= set(shown)
    check_candidates("rootstock", given_ones)


@pytest.mark.parametrize(
    ("level", "candidates", "message"),
    [
        (
            "trunk",
            (Candidate("rough lemon", 1.0),),
            "No such level of a chain.\nGiven: trunk\nAllowed: rootstock, own roots, interstock, framework, scion\n"
            "Next: Choose one from the list.",
        ),
        (
            "scion",
            (),
            "A link of the chain needs at least one answer.\nAllowed: a name, or unknown\n"
            "Next: Write unknown: it is a full answer.",
        ),
        (
            "scion",
            (Candidate("'Valencia' orange", 75.0),),
            "A belief is a share.\nGiven: 'Valencia' orange: 75\nAllowed: 0 to 1 (or 0 to 100 %)\n"
            "Next: Correct the belief.",
        ),
        (
            "scion",
            (Candidate("rough lemon", float("nan")),),
            "A belief is a share.\nGiven: rough lemon: nan\nAllowed: 0 to 1 (or 0 to 100 %)\nNext: Correct the belief.",
        ),
        (
            "rootstock",
            (Candidate("Rough  lemon", 0.2), Candidate("rough lemon", 0.3)),
            "The same answer stands twice in one link.\nGiven: Rough  lemon, rough lemon\nAllowed: each name once\n"
            "Next: Add the two beliefs up and keep one line.",
        ),
        (
            "rootstock",
            (Candidate("rough lemon", 0.75), Candidate("citrange", 0.5)),
            "Beliefs add up to more than certainty.\nGiven: 0.75 + 0.5 = 1.25\n"
            "Allowed: a sum of 1 at most; what is missing to 1 is shown as unknown\nNext: Lower one of them.",
        ),
    ],
)
def test_beliefs_that_cannot_be(level: str, candidates: tuple[Candidate, ...], message: str):
    with pytest.raises(InputError) as caught:
        check_candidates(level, candidates)
    assert str(caught.value) == message
