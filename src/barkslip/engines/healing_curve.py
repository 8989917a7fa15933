"""Which healing curve a kind of tree has, and the ensemble's curves and clocks drawn about it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barkslip.domain.known import Row
from barkslip.domain.names import bare
from barkslip.domain.sourced import Value
from barkslip.domain.timing import HealingCurve
from barkslip.engines.frost_draws import Array, Draws, Known, middle
from barkslip.kernels import draws as quantile

#: Curves may lean on so little that it is said with every answer.
WEAK = ("weak", "guess")
#: Least distance of lowest, best and highest temperature of a member [K]: closer ones are no curve.
LEAST_APART_K = 3.0
#: A member's days are never less than this share of the best value: a normal spread may pass nothing.
LEAST_DAYS_SHARE = 0.25
#: Words after a name that name the kind no closer.
_AFTER = ("tree", "trees", "seedling", "seedlings", "stock", "stocks", "rootstock", "rootstocks", "type", "cutting")


def kind_of(words: str, kinds: Sequence[Row], *, also: Sequence[str] = ()) -> Row | None:
    """The row of the table of kinds that a grower's words mean; None if nothing is known: never the nearest one.

    Parameters
    ----------
    words : str
        "sweet orange", "'Hachiya' persimmon", "Diospyros kaki".
    kinds : sequence of Row
        Table `healing_kinds`.
    also : sequence of str
        Other words for the same thing: its group, its botanical name.
    """
    for said in (words, *also):
        tokens = _tokens(said)
        if not tokens or any(_ends(tokens, other) for row in kinds for other in _named_otherwise(row, kinds)):
            continue
        for row in kinds:
            if tokens[0] in {bare(g) for g in row.cell_list("genera")}:
                return row
        found = [(len(_tokens(name)), row) for row in kinds for name in _names(row) if _ends(tokens, name)]
        if found:
            return max(found, key=lambda pair: pair[0])[1]
    return None


def curve_of(words: str, kinds: Sequence[Row], known: Known, *, also: Sequence[str] = ()) -> HealingCurve | None:
    """The healing curve of a kind of tree; None if nothing is known of it.

    Parameters
    ----------
    words, kinds, also
        As in `kind_of`.
    known : callable
        key -> sourced number.
    """
    row = kind_of(words, kinds, also=also)
    if row is None:
        return None
    key = f"healing.{row.key}"
    return HealingCurve(
        species=row.key,
        t_min=known(f"{key}.t_min"),
        t_opt=known(f"{key}.t_opt"),
        t_max=known(f"{key}.t_max"),
        d_bridge=known(f"{key}.d_bridge"),
        d_xylem=known(f"{key}.d_xylem"),
        d_unwrap=known(f"{key}.d_unwrap"),
        evidence=row.cell("evidence"),
        hard_zero=known(f"{key}.hard_zero_below") if row.cell("hard_zero") == "yes" else None,
        habit=row.cell("habit"),
    )


def drawn_temps(curve: HealingCurve, draws: Draws, known: Known) -> Array:
    """Members' lowest, best and highest temperature and the line under which nothing heals [°C], float64[members, 4].

    Drawn together (`timing.curve_together`), in order, and at least `LEAST_APART_K` apart.
    """
    share = middle(known("timing.curve_together"))
    values = (curve.t_min, curve.t_opt, curve.t_max)
    out = np.empty((draws.members, 4))
    out[:, :3] = _together("curve", values, share, draws)
    out[:, :3].sort(axis=1)
    out[:, 0] = np.minimum(out[:, 0], out[:, 1] - LEAST_APART_K)
    out[:, 2] = np.maximum(out[:, 2], out[:, 1] + LEAST_APART_K)
    out[:, 3] = out[:, 0] if curve.hard_zero is None else draws.of("curve.zero", curve.hard_zero, normal=True)
    return out


def drawn_days(curve: HealingCurve, draws: Draws, known: Known) -> Array:
    """Members' days at the best temperature to the bridge, the first water path, unwrapping [d], float64[members, 3].

    Drawn together (`timing.days_together`) and in this order.
    """
    share = middle(known("timing.days_together"))
    values = (curve.d_bridge, curve.d_xylem, curve.d_unwrap)
    out = _together("days", values, share, draws)
    out = np.maximum(out, LEAST_DAYS_SHARE * np.array([middle(v) for v in values]))
    return np.asarray(np.sort(out, axis=1))


def _together(name: str, values: Sequence[Value], share: float, draws: Draws) -> Array:
    """Normal draws of several numbers that err together in part, float64[members, k]; low..high is one standard
    deviation either side."""
    common = quantile.normal(draws.share(f"healing.{name}"), 0.0, 1.0)
    out = np.empty((draws.members, len(values)))
    for k, value in enumerate(values):
        own = quantile.normal(draws.share(f"healing.{name}.{k}"), 0.0, 1.0)
        sd = 0.5 * (_high(value) - _low(value))
        out[:, k] = middle(value) + sd * (np.sqrt(share) * common + np.sqrt(1.0 - share) * own)
    return out


def _low(value: Value) -> float:
    return middle(value) if value.low is None else float(value.low)


def _high(value: Value) -> float:
    return middle(value) if value.high is None else float(value.high)


def _tokens(words: str) -> tuple[str, ...]:
    """Words of a name, bare; an epithet in quotation marks names the kind no closer and is left out."""
    plain = words.replace("‘", "'").replace("’", "'").replace("×", " ")
    parts = plain.split("'")
    if len(parts) >= 3:
        plain = parts[0] + " " + "'".join(parts[2:])
    tokens = tuple(bare(part) for part in plain.replace("-", " ").replace("/", " ").split())
    tokens = tuple(t for t in tokens if t)
    while len(tokens) > 1 and tokens[-1] in _AFTER:
        tokens = tokens[:-1]
    return tokens


def _ends(tokens: tuple[str, ...], name: str) -> bool:
    """Whether the words end in a name: "Valencia orange" ends in "orange"; a plural is the same."""
    asked = _tokens(name)
    if not asked or len(tokens) < len(asked):
        return False
    end, last = tokens[len(tokens) - len(asked) :], asked[-1]
    many = (last, f"{last}s", f"{last}es", f"{last[:-1]}ies" if last.endswith("y") else last)
    return end[:-1] == asked[:-1] and end[-1] in many


def _names(row: Row) -> tuple[str, ...]:
    return (row.cell("name"), *row.cell_list("synonyms"))


def _named_otherwise(row: Row, kinds: Sequence[Row]) -> tuple[str, ...]:
    """Names that end like this kind's and are another plant, unless a row has them as its own."""
    own = {_tokens(name) for other in kinds for name in _names(other)}
    return tuple(name for name in row.cell_list("not_these") if _tokens(name) not in own)
