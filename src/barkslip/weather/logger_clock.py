"""What a logger's clock did: newest first, twice the same hour, put back, put forward.

The clock is never corrected by itself: an hour too many and an hour too few look alike from inside one file. What
was seen is said in flags.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barkslip.domain.weather import Flag

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Summer time begins and ends on Sundays of these months, north and south (common practice; not every country).
_CHANGE_MONTHS = (3, 4, 9, 10, 11)
_MOST_FLAGS = 20


def settle_order(clock_s: Ints, time_s: Ints, columns: dict[str, Floats]) -> tuple[Ints, list[Flag], list[str]]:
    """Rows to keep, in the order of time, and what was odd about them.

    Parameters
    ----------
    clock_s : int64 array, shape (n,)
        Times as the file writes them [s since 1970-01-01 00:00 of its own clock], in the order of the lines.
    time_s : int64 array, shape (n,)
        The same in UTC.
    columns : dict of str to float64 array, shape (n,)

    Returns
    -------
    rows : int64 array
        Indices of the rows to keep; of rows with the same time the first.
    flags : list of Flag
        Codes "doubled time" and "clock doubt".
    notes : list of str
    """
    notes: list[str] = []
    flags: list[Flag] = []
    n = time_s.shape[0]
    rows = np.arange(n, dtype=np.int64)
    if n < 2:
        return rows, flags, notes
    if np.count_nonzero(np.diff(time_s) < 0) > 0.8 * (n - 1):
        rows = rows[::-1].copy()
        notes.append("The file runs from the newest reading to the oldest; it was turned round.")
    steps = np.diff(time_s[rows])
    for i in np.flatnonzero(steps < 0)[:_MOST_FLAGS]:
        flags.append(_put_back(int(clock_s[rows[i]]), int(time_s[rows[i + 1]]), int(steps[i])))
    order = rows[np.argsort(time_s[rows], kind="stable")]
    same = np.flatnonzero(np.diff(time_s[order]) == 0)
    if same.size:
        flags.append(_doubled(order, same, time_s, columns))
        notes.append(f"Left out because their time was there before: {same.size}; the first reading is kept.")
        order = np.delete(order, same + 1)
    flags += _put_forward(clock_s[order], time_s[order])
    return order, flags, notes


def _stamp(clock_s: int) -> str:
    return str(np.datetime64(clock_s, "s")).replace("T", " ")[:16]


def _put_back(before_clock_s: int, after_time_s: int, step: int) -> Flag:
    hours = -step / 3600.0
    words = f"After {_stamp(before_clock_s)} the clock runs back by {hours:.3g} h."
    if 0.5 <= hours <= 2.0:
        words += " It may have been put from summer time to standard time: then the readings before it are 1 h off."
    return Flag("clock doubt", "time", after_time_s, after_time_s, 1, words)


def _doubled(order: Ints, same: Ints, time_s: Ints, columns: dict[str, Floats]) -> Flag:
    first, second = order[same], order[same + 1]
    differ = np.zeros(same.size, dtype=bool)
    for values in columns.values():
        a, b = values[first], values[second]
        differ |= ~((a == b) | (np.isnan(a) & np.isnan(b)))
    count = int(np.count_nonzero(differ))
    words = f"Times that stand twice in the file: {same.size}, of them with different readings: {count}."
    times = time_s[first]
    return Flag("doubled time", "time", int(times[0]), int(times[-1]), int(same.size), words)


def _put_forward(clock_s: Ints, time_s: Ints) -> list[Flag]:
    """One hour missing in the night of a Sunday in a month when summer time begins."""
    steps = np.diff(clock_s)
    step = int(np.median(steps))
    jumps = np.flatnonzero(steps == step + 3600) if step <= 3600 else np.array([], dtype=np.int64)
    flags = []
    for i in jumps:
        from_s = int(clock_s[i]) + step
        day = np.datetime64(from_s, "s").astype("datetime64[D]")
        month = int(day.astype("datetime64[M]").astype(int)) % 12 + 1
        sunday = (int(day.astype(int)) + 3) % 7 == 6  # 1970-01-01 was a Thursday
        hour = from_s % 86400 / 3600.0
        if sunday and month in _CHANGE_MONTHS and 0.0 <= hour <= 3.0:
            words = (
                f"One hour is missing after {_stamp(int(clock_s[i]))}, a Sunday: the clock may have been put to "
                "summer time. Then the readings after it are 1 h off."
            )
            flags.append(Flag("clock doubt", "time", int(time_s[i]), int(time_s[i + 1]), 1, words))
    return flags[:_MOST_FLAGS]
