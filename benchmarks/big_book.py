"""A big invented book: 10,000 grafts and 300,000 looks on 500 trees, with four plots of hourly weather.

    python benchmarks/big_book.py FOLDER

Used by pages.py; kept apart so that one book serves several runs.
"""

from __future__ import annotations

import sys
import time
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from barkslip.app.context import Context
from barkslip.app.derive import refresh_all
from barkslip.app.lines import begin
from barkslip.app.settings import Settings
from barkslip.demo.garden import build
from barkslip.domain.budwood import WoodLot
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import Graft, Look
from barkslip.domain.record import Record
from barkslip.domain.tree import BEARINGS, Candidate, ChainLink, Limb, Tree
from barkslip.domain.when import on
from barkslip.fieldbook import series as store
from barkslip.fieldbook.book import Book

TREES, GRAFTS, LOOKS = 500, 10_000, 300_000
STATES = ("green and still", "swelling", "pushing")


def make(folder: Path, *, trees: int = TREES, grafts: int = GRAFTS, looks: int = LOOKS) -> Context:
    """Make the book; deterministic but for its identifiers."""
    rng = np.random.default_rng(20250630)
    ctx = Context(Book.create(folder), Settings(folder))
    demo = build()
    garden = next(e for e in demo.entries if isinstance(e, Garden))
    plots = [e for e in demo.entries if isinstance(e, Plot) and e.corrects is None]
    with ctx.book.write() as w:
        w.append(garden)
        w.append_all(plots)
        for one in demo.series[:4]:
            store.put(w, Record(**begin(ctx, {}), name="", kind="invented", plot=one.plot, info={}), one.series)
        lots = [
            WoodLot(**begin(ctx, {}), code=f"W{i:03d}", name="'Owari' satsuma", cut=on(date(2015, 1, 1)))
            for i in range(60)
        ]
        w.append_all(lots)
        each = grafts // trees
        start = date(2016, 9, 1)
        number = 0
        for t in range(trees):
            plot = plots[t % len(plots)]
            tree = Tree(
                **begin(ctx, {}), code=f"T{t:04d}", name=f"Row {t // 25} tree {t % 25}", plot=plot.thing, walk_order=t
            )
            w.append(tree)
            answers = (Candidate("rough lemon", 0.6), Candidate("sour orange", 0.3))
            w.append(ChainLink(**begin(ctx, {}), tree=tree.thing, level="rootstock", candidates=answers, on=on(start)))
            limbs = [Limb(**begin(ctx, {}), tree=tree.thing, bearing=b, band="M") for b in BEARINGS]
            w.append_all(limbs)
            for g in range(each):
                day = start + timedelta(days=int(rng.integers(0, 3100)))
                graft = Graft(
                    **begin(ctx, {}), code=f"G{t:04d}-{g + 1}", campaign=f"G{t:04d}", tree=tree.thing,
                    limb=limbs[g % 8].thing, lot=lots[g % len(lots)].thing, method="bark graft", set_on=on(day),
                    binding="vinyl tape",
                )  # fmt: skip
                w.append(graft)
                for k in range(looks // grafts):
                    seen = day + timedelta(days=7 * (k + 1))
                    state = STATES[min(k // 3, 2)] if g % 4 else "shrivelled"
                    w.append(Look(**begin(ctx, {}), graft=graft.thing, state=state, on=on(seen), shoot_mm=10.0 * k))
                    number += 1
        refresh_all(w, ctx.care)
        w.set_meta("knowledge_hash", ctx.knowledge.hash)
    print(f"{trees} trees, {grafts} grafts, {number} looks")
    return ctx


if __name__ == "__main__":
    began = time.perf_counter()
    make(Path(sys.argv[1]))
    print(f"made in {time.perf_counter() - began:.1f} s")
