"""What is done to a tree."""

from __future__ import annotations

import pytest

from barkslip.domain.act import ACTS, check_act
from barkslip.domain.errors import InputError


@pytest.mark.parametrize("kind", sorted(ACTS))
def test_every_act_is_read_as_written_or_with_hyphens(kind: str):
    assert check_act(kind, 1) == kind
    assert check_act(f" {kind.replace(' ', '-').upper()} ", 1) == kind


@pytest.mark.parametrize("kind", ["", "prune"])
def test_no_such_act(kind: str):
    with pytest.raises(InputError) as caught:
        check_act(kind, 1)
    assert str(caught.value) == (
        f"No such act.\nGiven: {kind or '(nothing)'}\n"
        "Allowed: release, rub, brace, cover on, cover off, wrap check, shade, head back, whiten, bark test, water, "
        "feed, other\n"
        "Next: Choose one, or take other and say it in the note."
    )


@pytest.mark.parametrize("targets", [0, 2])
def test_an_act_has_one_target(targets: int):
    with pytest.raises(InputError) as caught:
        check_act("release", targets)
    assert str(caught.value) == (
        f"An act is done to one thing.\nGiven: {targets} named\nAllowed: one graft, limb, tree or plot\n"
        "Next: Name exactly one; repeat the act for others."
    )
