"""Wood lots."""

from __future__ import annotations

from datetime import date

import pytest

from barkslip.domain.budwood import LOT_STATES, SOURCE_CLASSES, WoodLot
from barkslip.domain.errors import InputError
from barkslip.domain.graft import check_wood_day
from barkslip.domain.when import When, on

CUT = When(date(2024, 7, 10), date(2024, 7, 20))


def test_a_lot_of_which_nothing_is_known_says_so():
    lot = WoodLot(id="w", thing="w", made_utc="", code="W08", name="unknown", cut=CUT)
    assert lot.source_class == "not known" and lot.source_class in SOURCE_CLASSES
    assert lot.lot_state in LOT_STATES
    assert (lot.sticks, lot.received, lot.from_tree) == (None, None, None)


def test_a_graft_may_be_as_old_as_its_wood_can_be():
    check_wood_day(on(date(2024, 7, 10)), CUT, "W08")
    check_wood_day(When(date(2024, 7, 1), date(2024, 7, 31)), CUT, "W08")


def test_a_graft_is_never_older_than_its_wood():
    with pytest.raises(InputError) as caught:
        check_wood_day(on(date(2024, 7, 9)), CUT, "W08")
    assert str(caught.value) == (
        "That graft would be older than its wood.\n"
        "Given: set 2024-07-09, lot W08 cut 2024-07-10/2024-07-20\n"
        "Allowed: 2024-07-10 or later\nNext: Check the day, or choose another lot."
    )
