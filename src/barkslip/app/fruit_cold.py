"""How a variety, its stock and the place meet in the cold; and what a stock stands, source by source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.kinds import Kinds
from barkslip.domain.fits import Kind
from barkslip.domain.fruit import ColdFit, Score, StockFruit
from barkslip.domain.garden import Plot
from barkslip.domain.tree import Tree
from barkslip.fieldbook import series as store

if TYPE_CHECKING:
    from barkslip.domain.record import Record
    from barkslip.fieldbook.reader import Reader

#: What a root is asked about, in the order in which it is shown.
TRAITS = (
    "tol_calcareous", "tol_salinity", "tol_wet_soil", "tol_drought", "cold_effect", "tol_phytophthora",
    "tol_citrus_nematode", "tol_ctv_decline", "tol_exocortis", "tol_xyloporosis", "tol_blight",
)  # fmt: skip


def stock_scores(kinds: Kinds, stock: str) -> tuple[Score, ...]:
    """What each source says of a stock, and the step it is pooled to; what is not known is there with no step."""
    if not stock:
        return ()
    knowledge = kinds.knowledge
    rows = knowledge.rows("stock_scores")
    said = knowledge.rows("rootstocks")[stock].values
    names = knowledge.rows("traits")
    out = []
    for trait in TRAITS:
        row = rows.get(f"{stock}.{trait}")
        step = row.value.value if row is not None and row.value is not None else None
        number = float(step) if isinstance(step, (int, float)) else None
        named = names.get(f"rootstocks.{trait}")
        out.append(
            Score(
                trait,
                named.cell("name") if named else trait,
                number,
                _step_words(kinds, trait, number),
                said.get(trait, ()),
                row is not None and row.cell("differ") == "yes",
            )
        )
    return tuple(out)


def _step_words(kinds: Kinds, trait: str, step: float | None) -> str:
    """The words of a step; between two where it is a half."""
    if step is None:
        return ""
    column = "cold" if trait == "cold_effect" else "tolerance"
    words = {float(r.cell("score")): r.cell(column) for r in kinds.knowledge.table("score_steps")}
    if step in words:
        return words[step]
    below, above = words.get(step - 0.5, ""), words.get(step + 0.5, "")
    return f"{below} to {above}" if below and above else below or above


def cold_fit(ctx: Context | None, kinds: Kinds, variety: Kind, stock: StockFruit, tree: Tree | None) -> ColdFit:
    """What is told of the variety's group in the cold, what the stock does to it, and the lows of the tree's plot."""
    found = next(v for v in kinds.knowledge.varieties if v.key == variety.key)
    limits = tuple(
        (row.cell("topic"), row.value)
        for row in kinds.knowledge.table("cold_told")
        if row.cell("kind") == "top" and variety.group in row.cell_list("groups") and row.value is not None
    )
    score = next((s for s in stock.scores if s.trait == "cold_effect"), None)
    lows: tuple[tuple[int, float], ...] = ()
    plot = ""
    if ctx is not None and tree is not None:
        with ctx.book.read() as reader:
            at = reader.get(Plot, tree.plot)
            plot = at.name
            lows = _lows(reader, at)
    return ColdFit(found.value("cold_class"), limits, score, lows, plot)


def _lows(reader: Reader, plot: Plot) -> tuple[tuple[int, float], ...]:
    """Lowest air of each year in a plot, from its best series."""
    from barkslip.app.plot_offset import air_records

    records: list[Record] = air_records(reader, plot)
    if not records:
        return ()
    import numpy as np

    found = store.readings(reader, records[0], columns=("air_temp_c",))
    air = found.columns["air_temp_c"]
    years = found.time_s.astype("datetime64[s]").astype("datetime64[Y]").astype(int) + 1970
    out = []
    for year in np.unique(years):
        some = air[(years == year) & np.isfinite(air)]
        if some.size:
            out.append((int(year), float(some.min())))
    return tuple(out)
