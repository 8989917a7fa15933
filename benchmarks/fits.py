"""How long fits, fruit and the year take on the demo garden, and all varieties on all stocks.

python benchmarks/fits.py [FOLDER OF A BOOK]
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from barkslip.app.calendar import ripe_year
from barkslip.app.context import Context
from barkslip.app.fits import all_by_all, ask_fit, ask_table
from barkslip.app.fruit import ask_fruit
from barkslip.app.settings import Settings
from barkslip.fieldbook.book import Book


def best(do: Callable[[], object], times: int = 5) -> float:
    """Shortest of some runs [ms]."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        do()
        found.append(time.perf_counter() - start)
    return 1000.0 * min(found)


def main(folder: Path) -> None:
    """Print the table."""
    ctx = Context(Book(folder), Settings(folder))
    settings = ctx.settings
    rows: tuple[tuple[str, Callable[[], object]], ...] = (
        ("all varieties on all stocks", lambda: all_by_all(ctx.knowledge)),
        ("one variety on T02", lambda: ask_fit(ctx, settings, {"scion": "Washington", "tree": "T02"})),
        ("all varieties on T02", lambda: ask_table(ctx, settings, {"tree": "T02"})),
        ("all varieties on T04, whose root is partly not known", lambda: ask_table(ctx, settings, {"tree": "T04"})),
        ("fruit on T01, a second stock beside", lambda: ask_fruit(ctx, settings, {
            "scion": "Washington", "tree": "T01", "against": "Carrizo"})),
        ("the year of fruit", lambda: ripe_year(ctx)),
    )  # fmt: skip
    for words, do in rows:
        print(f"{words:55} {best(do):8.1f} ms")
    ctx.book.close()


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        from barkslip.app.demo import make_demo

        with TemporaryDirectory() as place:
            folder = Path(place) / "demo"
            make_demo(Settings(folder)).book.close()
            main(folder)
