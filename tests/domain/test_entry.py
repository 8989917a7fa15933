"""Lines of the book and their numbers."""

from __future__ import annotations

import uuid
from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barkslip.domain.entry import Entry, uuid7

MS = st.integers(0, 2**48 - 1)
BITS = st.integers(0, 2**74 - 1)


def test_uuid7_against_rfc_9562():
    """RFC 9562 (2024), Appendix A.6: unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0b01 and 0x8C4DC0C0C07398F."""
    rand_b = 0b01 << 60 | 0x8C4DC0C0C07398F
    assert uuid7(0x017F22E279B0, 0xCC3 << 62 | rand_b) == "017F22E2-79B0-7CC3-98C4-DC0C0C07398F".lower()
    # the same example: Tuesday, February 22, 2022 2:22:22.00 PM GMT-05:00
    assert 0x017F22E279B0 == 1645557742000


@given(MS, BITS)
def test_uuid7_has_version_variant_and_its_parts(ms: int, bits: int):
    """Python's own uuid module reads the fields."""
    number = uuid.UUID(uuid7(ms, bits))
    assert (number.version, number.variant) == (7, uuid.RFC_4122)
    assert number.int >> 80 == ms
    assert (number.int >> 64 & 0xFFF) << 62 | number.int & 2**62 - 1 == bits


@given(MS, MS, BITS, BITS)
def test_uuid7_sorts_by_time(a: int, b: int, x: int, y: int):
    if a != b:
        assert (uuid7(a, x) < uuid7(b, y)) == (a < b)


def test_a_line_is_never_changed():
    line = Entry(id="a", thing="a", made_utc="2024-09-01T08:00:00Z")
    assert (line.corrects, line.withdrawn) == (None, False)
    with pytest.raises(FrozenInstanceError):
        line.thing = "b"  # type: ignore[misc]
