"""How many of the trials' own values lie within ranges made without the trial: what docs/models/fruit.md states.

python benchmarks/fruit_coverage.py
"""

from __future__ import annotations

from barkslip.app.fruit_trials import STEPPED, left_out_levels, left_out_solids, left_out_steps
from barkslip.knowledge.load import Knowledge, load


def table(knowledge: Knowledge) -> list[tuple[str, int, int]]:
    """(what, values within, values) by quantity; ranges are meant to hold eight in ten."""

    def number(key: str) -> float:
        value = knowledge.value(f"fruit_pool.{key}").value
        return float(value) if isinstance(value, (int, float)) else 0.0

    solids = left_out_solids(knowledge)
    levels = left_out_levels(knowledge, (number("same_variety"), number("same_group")))
    out = [
        ("soluble solids, stock against stock", sum(a <= v <= b for _, _, a, v, b in solids), len(solids)),
        ("soluble solids, level of a trial", sum(a <= v <= b for _, a, v, b in levels), len(levels)),
    ]
    for code in STEPPED:
        rows = left_out_steps(knowledge, code)
        out.append((code, sum(a <= v <= b for _, _, a, v, b in rows), len(rows)))
    return out


def lines(knowledge: Knowledge) -> list[str]:
    """The table as it stands in the documentation."""
    rows = table(knowledge)
    total, held = sum(n for _, _, n in rows), sum(k for _, k, _ in rows)
    out = ["| quantity | held | of | share |", "|---|---|---|---|"]
    out += [f"| {what} | {k} | {n} | {k / n:.0%} |" for what, k, n in rows]
    return [*out, f"| all | {held} | {total} | {held / total:.0%} |"]


if __name__ == "__main__":
    print("\n".join(lines(load())))
