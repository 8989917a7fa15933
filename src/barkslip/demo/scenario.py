"""The data files of the demo garden, read once a call."""

from __future__ import annotations

import tomllib
from datetime import date
from importlib.resources import files
from typing import Any

from barkslip.domain.when import When, parse_when

#: One table of a data file; every file of the demo is marked INVENTED.
Table = dict[str, Any]
PARTS = ("quarrow_flat", "quarrow_flat_grafts", "quarrow_flat_days", "quarrow_flat_weather")


def read_part(name: str) -> Table:
    """One of `PARTS` as a table.

    Raises
    ------
    ValueError
        If the file is not marked INVENTED: nothing real belongs here.
    """
    text = files("barkslip.demo").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    part: Table = tomllib.loads(text)
    if part.get("status") != "INVENTED":
        raise ValueError(f"{name}.toml is not marked INVENTED")
    return part


def read_scenario() -> Table:
    """All parts in one table; no key stands in two parts but the status."""
    whole: Table = {}
    for name in PARTS:
        whole |= read_part(name)
    return whole


def when(text: str, today: date) -> When:
    """A date as the book writes it; today is the day on which the demo's clock stands."""
    return parse_when(text, today=today, order="dmy")
