"""Clean wood in words: every state of keeping, never rounded to certain, the default of moving."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.domain.keeping import KeepVerdict
from barkslip.domain.when import on
from barkslip.present import keeping, sticks


def kept(**more: object) -> KeepVerdict:
    given: dict[str, object] = {
        "lot": "W20", "name": "x", "kind": "citrus", "store": "fridge", "store_words": "Fridge.", "store_c": None,
        "cut": on(date(2025, 5, 1)), "on": "2025-05-20", "age_d": (19, 19), "sources": (), "shortest_d": 30.44,
        "longest_d": 91.32, "first_until": "2025-05-31", "last_until": "2025-07-31", "state": "within",
    }  # fmt: skip
    return KeepVerdict(**(given | more))  # type: ignore[arg-type]


NOTHING = {"shortest_d": None, "longest_d": None, "first_until": "", "last_until": ""}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "Use W20 by 31 May 2025 to be within every source; the longest runs to 31 Jul 2025."),
        (
            {"state": "between"},
            "Some sources say W20 is past it, some not: from 31 May 2025 to 31 Jul 2025. "
            "Test a bud before you set any.",
        ),
        (
            {"state": "past"},
            "W20 is past every source, the longest of which ran to 31 Jul 2025. Buds may still live: test one.",
        ),
        ({"state": "not cut yet"}, "W20 is not cut yet on that day."),
        (
            {"state": "no source", "store": "", **NOTHING},
            "How long W20 keeps is not known: where it is kept is not written down.",
        ),
        (
            {"state": "no source", "kind": "", **NOTHING},
            "How long W20 keeps is not known: what kind of wood it is, is not known.",
        ),
        (
            {"state": "no source", "kind": "avocado", **NOTHING},
            "How long W20 keeps is not known: no source speaks of avocado wood in a refrigerator.",
        ),
        ({"lot_state": "refused"}, "W20 was refused: it is not kept, and nothing is set from it."),
        (
            {"lot_state": "thrown away"},
            "W20 was thrown away. Sources give 1 to 3 months for citrus wood in a refrigerator.",
        ),
        (
            {"lot_state": "used", "used_d": (4, 9)},
            "W20 is used up; its grafts were set when it was 4 to 9 days old. Sources give 1 to 3 months for citrus "
            "wood in a refrigerator.",
        ),
    ],
)
def test_every_state_of_keeping(more: dict[str, object], words: str) -> None:
    assert keeping.headline(kept(**more)).replace("\u00a0", " ") == words


@pytest.mark.parametrize(
    ("days", "words"),
    [((30.44, 60.88), "1 to 2 months"), ((7.5, 8.0), "7.5 to 8 days"), ((120.0, 120.0), "120 days"),
     ((90.0, 210.0), "90 to 210 days"), ((6.0, 9.0), "6 to 9 days"), ((30.44, 30.44), "1 month")],
)  # fmt: skip
def test_spans(days: tuple[float, float], words: str) -> None:
    assert keeping.span_text(*days).replace("\u00a0", " ") == words


@pytest.mark.parametrize(
    ("share", "words"), [(1.0, "100 %"), (0.9951, "over 99 %"), (0.994, "99 %"), (0.004, "under 1 %"), (0.0, "0 %")]
)
def test_a_chance_is_never_rounded_to_certain(share: float, words: str) -> None:
    assert sticks.share(share).replace("\u00a0", " ") == words
