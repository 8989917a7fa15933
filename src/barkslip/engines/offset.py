"""What a plot's nights differ by from the site's screen: still and windy nights apart.

Cold air gathers in low places on clear nights without wind and is mixed away on others, so one mean over all nights
would be wrong on each. Checked by tests/engines/test_offset.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import comb, hypot, pi, prod, sqrt

from barkslip.domain.night import Offset, OffsetPart
from barkslip.domain.sourced import Value
from barkslip.engines.own_nights import OwnNight

#: From so many nights on the interval is read from the nights' own order, below from Student's t.
ORDERED_FROM = 6
#: Student's t: 97.5 % quantile at these degrees of freedom.
STUDENT_95 = {2: 4.302653, 3: 3.182446, 4: 2.776445}
#: A normal 95 % interval reaches so many standard deviations either way.
NORMAL_95 = 1.959964
#: The middle of normal values scatters so much more than their mean (large samples).
MIDDLE_OVER_MEAN = sqrt(pi / 2.0)


@dataclass(frozen=True)
class Limits:
    """Where a night is still, where windy, and what a few nights are worth; numbers from the knowledge base.

    Parameters
    ----------
    still_wind_m_s, windy_wind_m_s : float
        Mean wind up to which a night is still, from which it is windy [m/s].
    clear_cloud, cloudy_cloud : float
        Cloud up to which it is clear, from which it is mixed [0..1].
    still_fall_k, windy_fall_k : float
        Fall from sunset to the low that stands in for wind or cloud where they were not measured [K].
    still_frost_air_c, frost_c : float
        Air below which frost is possible on a still, on a windy night [°C].
    few, belief_nights : float
        Nights from which a learned part stands alone, and what a belief weighs before.
    floor_k : float
        Least half width of an interval [K].
    """

    still_wind_m_s: float = 1.0
    windy_wind_m_s: float = 2.0
    clear_cloud: float = 0.25
    cloudy_cloud: float = 0.6
    still_fall_k: float = 10.0
    windy_fall_k: float = 5.0
    still_frost_air_c: float = 2.0
    frost_c: float = 0.0
    few: int = 3
    belief_nights: float = 3.0
    floor_k: float = 0.1


def limits_from(known: Callable[[str], Value]) -> Limits:
    """The limits as the knowledge base has them."""

    def number(key: str) -> float:
        value = known(key).value
        return float(value) if isinstance(value, (int, float)) else 0.0

    return Limits(
        still_wind_m_s=number("night.still_wind"),
        windy_wind_m_s=number("night.windy_wind"),
        clear_cloud=number("night.clear_cloud"),
        cloudy_cloud=number("night.cloudy_cloud"),
        still_fall_k=number("night.still_fall"),
        windy_fall_k=number("night.windy_fall"),
        still_frost_air_c=number("night.still_frost_air"),
        frost_c=number("healing.frost.line"),
        few=round(number("night.offset_nights")),
        belief_nights=number("night.belief_nights"),
        floor_k=number("night.offset_floor"),
    )


def still_share(
    wind_m_s: float | None, cloud: float | None, limits: Limits, *, fall_k: float | None = None
) -> float | None:
    """How still a night is: 1 if its wind and its cloud are below the still limits, 0 if one is above the windy one.

    Parameters
    ----------
    wind_m_s, cloud : float or None
        Means of the night; the fall stands in for one that is None.
    fall_k : float or None
        From sunset to the low [K].

    Returns
    -------
    float or None
        0..1, straight in between; None if nothing is known.
    """
    shares = []
    if wind_m_s is not None:
        shares.append(1.0 - _between(wind_m_s, limits.still_wind_m_s, limits.windy_wind_m_s))
    if cloud is not None:
        shares.append(1.0 - _between(cloud, limits.clear_cloud, limits.cloudy_cloud))
    if len(shares) < 2 and fall_k is not None:
        shares.append(_between(fall_k, limits.windy_fall_k, limits.still_fall_k))
    return prod(shares) if shares else None


def _between(value: float, low: float, high: float) -> float:
    if high <= low:
        return float(value >= high)
    return min(1.0, max(0.0, (value - low) / (high - low)))


@dataclass(frozen=True)
class PairedNight:
    """One night seen at the site and in the plot."""

    day: str
    difference_k: float
    still: float | None


def paired(
    site: Sequence[OwnNight], plot: Sequence[OwnNight], sky: Sequence[OwnNight], limits: Limits
) -> tuple[PairedNight, ...]:
    """Nights that were whole in both places.

    Parameters
    ----------
    site, plot : sequences of OwnNight
    sky : sequence of OwnNight
        Nights whose wind and cloud are taken; those of the site where they were measured there.
    """
    by_day = {night.day: night for night in plot}
    skies = {night.day: night for night in sky}
    out = []
    for night in site:
        there = by_day.get(night.day)
        if there is None:
            continue
        above = skies.get(night.day, night)
        wind = night.wind_m_s if night.wind_m_s is not None else above.wind_m_s
        cloud = night.cloud if night.cloud is not None else above.cloud
        still = still_share(wind, cloud, limits, fall_k=night.fall_k)
        out.append(PairedNight(night.day, there.low_c - night.low_c, still))
    return tuple(out)


def learned(nights: Sequence[PairedNight], limits: Limits) -> tuple[OffsetPart, OffsetPart]:
    """The difference on still and on windy nights; nights in between count for neither."""
    still = [n.difference_k for n in nights if n.still is not None and n.still >= 1.0]
    windy = [n.difference_k for n in nights if n.still is not None and n.still <= 0.0]
    return _part("still", still, limits.floor_k), _part("windy", windy, limits.floor_k)


def _part(kind: str, values: Sequence[float], floor_k: float) -> OffsetPart:
    n = len(values)
    if n == 0:
        return OffsetPart(kind, None, None, None, None, 0)
    middle = _middle(sorted(values))
    if n < 3:
        return OffsetPart(kind, middle, None, None, None, n)
    mean = sum(values) / n
    sd = sqrt(sum((v - mean) ** 2 for v in values) / (n - 1))
    low, high = middle_interval(values)
    return OffsetPart(kind, middle, min(low, middle - floor_k), max(high, middle + floor_k), sd, n)


def _middle(ordered: Sequence[float]) -> float:
    n = len(ordered)
    return 0.5 * (ordered[(n - 1) // 2] + ordered[n // 2])


def middle_interval(values: Sequence[float]) -> tuple[float, float]:
    """95 % interval of the middle (median) of three values or more.

    From six values on it is the pair of ordered values between which the middle lies with at least that chance, by
    the binomial distribution, whatever the values' own distribution; below it is Student's t on the scatter of the
    values, widened because a middle scatters more than a mean.
    """
    ordered = sorted(values)
    n = len(ordered)
    if n < ORDERED_FROM:
        mean = sum(ordered) / n
        sd = sqrt(sum((v - mean) ** 2 for v in ordered) / (n - 1))
        half = STUDENT_95[n - 1] * MIDDLE_OVER_MEAN * sd / sqrt(n)
        return _middle(ordered) - half, _middle(ordered) + half
    outside, k = 0, 0
    while 2 * (outside + comb(n, k)) <= 0.05 * 2**n:
        outside += comb(n, k)
        k += 1
    # at most 2.5 % each way: k values below the lower end
    return ordered[k - 1], ordered[n - k]


@dataclass(frozen=True)
class Used:
    """What is added tonight.

    Parameters
    ----------
    offset : Offset
        With `used` and `used_k` filled in.
    sd_k : float or None
        How far a night of this kind strays from it [K]; None if it was not learned.
    few : bool
        True if fewer nights than needed stand behind it.
    """

    offset: Offset
    sd_k: float | None
    few: bool


def offset_for(
    offset: Offset, wind_m_s: float | None, cloud: float | None, limits: Limits, *, belief_k: float | None = None
) -> Used:
    """What a plot's low differs by on a night with such wind and cloud.

    Parameters
    ----------
    offset : Offset
        Learned.
    wind_m_s, cloud : float or None
        Expected means of the night. Of what is not known the stiller is taken.
    belief_k : float or None
        What the grower believes of still nights [K]: used with too few nights, as worth `limits.belief_nights`.

    Notes
    -----
    A night between still and windy gets its share of both. With too few windy nights their difference is drawn
    towards none.
    """
    share = still_share(wind_m_s, cloud, limits)
    share = 1.0 if share is None else share
    still, windy = offset.parts
    still_k, typed = _still_k(still, belief_k, limits)
    enough = windy.nights >= limits.few
    weight = 1.0 if enough else windy.nights / (windy.nights + limits.belief_nights)
    windy_k = weight * (windy.mean_k or 0.0)
    word = ("typed" if typed else "still" if still.nights else "") if share >= 0.5 else "windy"
    used = replace(offset, used=word, used_k=share * still_k + (1.0 - share) * windy_k)
    leading = still if share >= 0.5 else windy
    few = leading.nights < limits.few
    return Used(used, None if few else _sd(leading), few)


def _still_k(still: OffsetPart, belief_k: float | None, limits: Limits) -> tuple[float, bool]:
    if still.nights >= limits.few or belief_k is None:
        return still.mean_k or 0.0, False
    total = limits.belief_nights * belief_k + still.nights * (still.mean_k or 0.0)
    return total / (limits.belief_nights + still.nights), True


def _sd(part: OffsetPart) -> float:
    half = 0.5 * ((part.high_k or 0.0) - (part.low_k or 0.0))
    return hypot(part.sd_k or 0.0, half / NORMAL_95)
