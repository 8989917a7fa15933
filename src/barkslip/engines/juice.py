"""What a drop of juice says: corrections of Brix, acid from lye, ratio, the Californian score, standards. Pure.

Checked by tests/engines/test_juice.py against the printed tables and rules.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence

from barkslip.domain.known import Row
from barkslip.domain.sourced import Value
from barkslip.domain.taste import StandardCheck, Titration

Known = Callable[[str], Value]
#: Criteria that a juice can meet or miss.
CHECKED = ("min_juice", "min_ratio", "min_solids", "min_score", "usual_ratio", "usual_acid")


def number(known: Known, key: str) -> float:
    """Best value of a number of the knowledge base."""
    value = known(key).value
    return float(value) if isinstance(value, (int, float)) else 0.0


def for_acid(acid_pct: float, table: Sequence[Row]) -> float | None:
    """To be added to a refractometer for acid [°Brix], straight between the table's rows; None above the last."""
    points = sorted((float(row.cell("acid_pct")), _value(row)) for row in table)
    return between(acid_pct, points)


def for_temperature(brix: float, temp_c: float, table: Sequence[Row]) -> tuple[float, bool] | None:
    """To be added to a refractometer without compensation [°Brix], and whether that rests on recalled rows.

    Straight between the rows of temperature and the columns of solids; beyond the columns the last one holds. None
    outside the rows: the juice must be brought nearer to 20 °C.
    """
    columns: dict[float, list[tuple[float, float]]] = {}
    recalled_from = min(
        (float(r.cell("temp_c")) for r in table if r.value and r.value.status == "recalled"), default=1e9
    )
    firm_to = max(float(r.cell("temp_c")) for r in table if r.value and r.value.status != "recalled")
    for row in table:
        columns.setdefault(float(row.cell("reading_pct")), []).append((float(row.cell("temp_c")), _value(row)))
    across = []
    for solids, points in sorted(columns.items()):
        at = between(temp_c, sorted(points))
        if at is None:
            return None
        across.append((solids, at))
    held = min(max(brix, across[0][0]), across[-1][0])
    found = between(held, across)
    return None if found is None else (found, temp_c > firm_to and recalled_from < 1e9)


def between(x: float, points: Sequence[tuple[float, float]]) -> float | None:
    """Straight between points in order; None outside them."""
    if not points or not points[0][0] <= x <= points[-1][0]:
        return None
    i = min(bisect_right([p[0] for p in points], x), len(points) - 1)
    (x0, y0), (x1, y1) = points[i - 1], points[i]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _value(row: Row) -> float:
    best = row.value.value if row.value is not None else None
    return float(best) if isinstance(best, (int, float)) else 0.0


def titrated(lye_ml: float, normality: float, juice_ml: float, known: Known) -> Titration:
    """Acid from the lye that turned the juice."""
    acid = lye_ml * normality * number(known, "quality_formulas.titration.equivalent") / juice_ml
    density = number(known, "quality_formulas.titration.juice_density")
    return Titration(lye_ml, normality, juice_ml, acid, acid / density)


def index_16_5(brix: float, acid_pct: float, known: Known) -> float:
    """(Brix - 4 acid) 16.5: the score of 3 CCR 1430.35."""
    weight, scale = (number(known, f"quality_formulas.california.{k}") for k in ("acid_weight", "scale"))
    return (brix - weight * acid_pct) * scale


def florida_ratio(solids: float, known: Known) -> float | None:
    """Least ratio of 7 CFR 51.1178 at these solids; None below the least solids."""
    n = {k: number(known, f"quality_formulas.cfr_51_1178.{k}") for k in (
        "least_solids", "at_least_solids_ratio", "slope", "flat_from", "flat_ratio",
    )}  # fmt: skip
    if solids < n["least_solids"]:
        return None
    if solids >= n["flat_from"]:
        return n["flat_ratio"]
    return n["at_least_solids_ratio"] - n["slope"] * (solids - n["least_solids"])


def standards(
    rows: Sequence[Row], group: str, names: frozenset[str], found: Mapping[str, float | None], known: Known
) -> tuple[StandardCheck, ...]:
    """Standards that speak of a kind of fruit, each met, missed or not to be told.

    Parameters
    ----------
    rows : sequence of Row
        The table of standards.
    group : str
        Group of the variety ("navel_orange").
    names : frozenset of str
        Words of the variety's name and synonyms, small letters: lines for one variety of a group hold for it alone.
    found : mapping
        juice, ratio, solids, score, acid -> what was measured, or None.
    """
    out = []
    for row in rows:
        value = row.value
        if row.cell("criterion") not in CHECKED or value is None or (value.value, value.low, value.high) == (None,) * 3:
            continue
        if group not in row.cell_list("groups") or not _of_variety(row, names):
            continue
        out.append(_check(row, value, found, known))
    return tuple(out)


def _of_variety(row: Row, names: frozenset[str]) -> bool:
    """Lines that name a single variety of a wider group hold for it alone."""
    single = {"Persian lime": {"tahiti", "persian", "bearss"}, "Mexican lime": {"mexican", "key"},
              "Oroblanco": {"oroblanco"}}.get(row.cell("fruit"))  # fmt: skip
    return single is None or bool(single & names)


def _check(row: Row, value: Value, found: Mapping[str, float | None], known: Known) -> StandardCheck:
    criterion = row.cell("criterion")
    have = found.get({"min_juice": "juice", "min_ratio": "ratio", "usual_ratio": "ratio", "min_solids": "solids",
                      "min_score": "score", "usual_acid": "acid"}[criterion])  # fmt: skip
    least = float(value.value) if isinstance(value.value, (int, float)) else None
    met: bool | None
    if row.key == "cfr_florida":
        solids = found.get("solids")
        least = None if solids is None else florida_ratio(solids, known)
        met = None if solids is None or have is None else False if least is None else have >= least
    elif criterion.startswith("usual"):
        low, high = value.low, value.high
        met = None if have is None or low is None or high is None else low <= have <= high
        least = low
    else:
        met = None if have is None or least is None else have >= least - 1e-9
    return StandardCheck(
        row.key, row.cell("standard"), row.cell("fruit"), criterion, row.cell("condition"), least, value.unit, have,
        met, value,
    )  # fmt: skip
