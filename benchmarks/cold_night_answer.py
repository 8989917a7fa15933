"""Speed of whole answers about a cold night: python benchmarks/cold_night_answer.py. Wall times of five runs."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from barkslip.app.frost import ask_night, cold_table, night_door
from barkslip.app.night_air import night_air
from barkslip.app.settings import Settings
from barkslip.domain.night import Measures, NightTree
from barkslip.engines import frost
from barkslip.knowledge.load import load

NOWHERE = Settings(Path("/none"))
TYPED = {
    "lat": "36.1", "date": "2026-01-15", "sunset_temp": "5", "low": "-4", "dew_point": "-4.5", "wind": "0.5",
    "cloud": "0", "species": "sweet orange", "height": "2", "width": "1.5", "seed": "1",
}  # fmt: skip


def row(name: str, do: Callable[[], object]) -> None:
    """One line of the table."""
    found = []
    for _ in range(5):
        began = time.perf_counter()
        do()
        found.append(time.perf_counter() - began)
    print(f"| {name} | {min(found):.2f} | {statistics.median(found):.2f} |", flush=True)


def main() -> None:
    """Measure and print."""
    began = time.perf_counter()
    ask_night(None, NOWHERE, TYPED)
    print(f"first answer of a process, model compiled before: {time.perf_counter() - began:.2f} s\n")
    print("| answer | least s | middle s |\n|---|---|---|")
    row("typed night, 11 usual sets, 400 members", lambda: ask_night(None, NOWHERE, TYPED))
    own = TYPED | {"cover": "blanket", "lamps": "100W", "bucket": "19L@60C", "members": "1000"}
    row("typed night, 7 own sets, 1,000 members", lambda: ask_night(None, NOWHERE, own))
    known = load()
    at = night_door(None, NOWHERE, TYPED)
    air = night_air(None, None, at.day(TYPED, "date", future=True).first, TYPED, at=at, knowledge=known)
    blanket = Measures(cover="blanket")
    sets = [replace(blanket, skirt_m=0.1 * (i % 8), lamp_w=25.0 * (i // 8)) for i in range(40)]
    tree = NightTree("sweet orange", 2.0, 1.5)
    row(
        "40 sets, 1,000 members",
        lambda: frost.assess(tree, air, sets, cold_table(known), known.value, target=0.1, members=1000, seed=1),
    )


if __name__ == "__main__":
    main()
