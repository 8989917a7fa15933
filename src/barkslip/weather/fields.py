"""Fields of a text file turned into numbers, with the broken ones named by line and column."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.errors import WeatherFileError
from barkslip.domain.weather import BrokenLine

Floats = NDArray[np.float64]


def floats(tokens: Sequence[str], lines: Sequence[int], column: str) -> tuple[Floats, list[BrokenLine]]:
    """Plain decimal numbers; NaN where a token is none.

    Parameters
    ----------
    tokens : sequence of str, length n
    lines : sequence of int, length n
        Line of each token, from 1.
    column : str
        Title for the broken ones.

    Returns
    -------
    values : float64 array, shape (n,)
    broken : list of BrokenLine
    """
    try:
        values = np.array(tokens, dtype=np.float64)
        if bool(np.isfinite(values).all()):
            return values, []
    except ValueError:
        pass
    values = np.full(len(tokens), np.nan)
    broken = []
    for i, token in enumerate(tokens):
        try:
            values[i] = float(token)
        except ValueError:
            values[i] = np.nan
        if not np.isfinite(values[i]):
            values[i] = np.nan
            broken.append(BrokenLine(lines[i], column, token, "not a number"))
    return values, broken


def settle_broken(broken: list[BrokenLine], *, keep_rest: bool, name: str) -> tuple[BrokenLine, ...]:
    """The broken lines in order, if the rest is to be kept.

    Raises
    ------
    WeatherFileError
        Naming the first, if the rest is not to be kept.
    """
    broken.sort(key=lambda line: (line.line, line.column))
    if broken and not keep_rest:
        first = broken[0]
        others = len({b.line for b in broken}) - 1
        more = {0: "", 1: " One more line is broken."}.get(others, f" {others} more lines are broken.")
        raise WeatherFileError(
            f"Line {first.line} of {name} cannot be read: {first.why}.{more}",
            line=first.line,
            column=first.column,
            given=f"{first.column}: {first.text[:120] or '(nothing)'}",
            next_step="Mend the file, or keep the lines that can be read.",
            field="file",
        )
    return tuple(broken)


def masked(values: Floats, missing: float) -> Floats:
    """NaN where a value is the file's code for "missing" or beyond it."""
    return np.where(values >= missing if missing > 0 else values <= missing, np.nan, values)
