"""Stages of a growing year, by the two-digit BBCH code."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.known import SHIPPED


@dataclass(frozen=True)
class Stage:
    """One BBCH growth stage.

    Parameters
    ----------
    code : str
        Two digits; the first is the principal stage.
    principal : str
        Name of the principal stage.
    meaning : str
        What is seen.
    crop : str
        For which crop the code is written ("citrus").
    source, status : str
    owner : str
    """

    code: str
    principal: str
    meaning: str
    crop: str
    source: str
    status: str
    owner: str = SHIPPED

    @property
    def principal_digit(self) -> int:
        """0 to 9."""
        return int(self.code[0])
