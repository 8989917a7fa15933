"""Graft chimeras: which kind each tissue would be like, and how rare such a thing is at most."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import product

from barkslip.domain.chimera import AGAINST, LAYERS, TISSUES, Arrangement, Odds, Tissue

#: The rule of three is close enough from so many unions on (Hanley and Lippman-Hand 1983).
LEAST_FOR_THREE = 30


def written(one: str, other: str) -> str:
    """Both kinds with the plus sign: 'Robertson' navel orange + 'Owari' satsuma, in the order of the letters."""
    return " + ".join(sorted((one, other), key=lambda n: n.strip("'").casefold()))


def arrange(layers: tuple[str, str, str], known: Callable[[str, str], str] = lambda kind, tissue: "") -> Arrangement:
    """What each tissue would be like.

    Parameters
    ----------
    layers : (str, str, str)
        Kind in L1, L2 and L3.
    known : callable
        (kind, tissue) -> what is known of that kind there.
    """
    place = dict(zip(LAYERS, layers, strict=True))
    tissues = []
    for name, (layer, fact) in TISSUES.items():
        donor = place[layer] if layer else ""
        against = tuple(key for key, touched in AGAINST.items() if name in touched)
        tissues.append(Tissue(name, layer or "", donor, fact, against, known(donor, name) if donor else ""))
    kinds = sorted(set(layers))
    return Arrangement(layers, written(kinds[0], kinds[-1]), tuple(tissues))


def all_arrangements(
    one: str, other: str, known: Callable[[str, str], str] = lambda kind, tissue: ""
) -> tuple[Arrangement, ...]:
    """The six ways in which two kinds share three layers; all of one kind is no chimera."""
    return tuple(
        arrange((a, b, c), known)
        for a, b, c in product((one, other), repeat=3)
        if len({a, b, c}) == 2
    )  # fmt: skip


def exact_limits(seen: int, unions: int, sure: float) -> tuple[float, float]:
    """Exact two-sided limits of a share (Clopper and Pearson 1934) [0..1]."""
    from scipy.special import betaincinv  # heavy

    tail = (1.0 - sure) / 2.0
    low = 0.0 if seen == 0 else float(betaincinv(seen, unions - seen + 1, tail))
    high = 1.0 if seen == unions else float(betaincinv(seen + 1, unions - seen, 1.0 - tail))
    return low, high


def upper_limit(seen: int, unions: int, sure: float) -> float:
    """Exact one-sided upper limit of a share [0..1]; 1 - (1 - sure)^(1/n) where none was seen."""
    if seen == unions:
        return 1.0
    if seen == 0:
        return -math.expm1(math.log1p(-sure) / unions)
    from scipy.special import betaincinv  # heavy

    return float(betaincinv(seen + 1, unions - seen, sure))


def odds(seen: int, unions: int, sure: float) -> Odds | None:
    """How rare it is at most; None if no union was watched.

    Parameters
    ----------
    seen, unions : int
        Chimeras among unions watched.
    sure : float
        How sure the bounds shall be (0..1).
    """
    if unions <= 0:
        return None
    low, high = exact_limits(seen, unions, sure)
    upper = upper_limit(seen, unions, sure)
    even = math.ceil(math.log(0.5) / math.log1p(-upper)) if 0.0 < upper < 1.0 else None
    three = 3.0 / unions if seen == 0 and unions >= LEAST_FOR_THREE else None
    return Odds(unions, seen, sure, low, high, upper, three, even)
