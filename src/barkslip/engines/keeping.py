"""How long wood keeps, from what the sources say of such wood in such a store."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta

from barkslip.domain.keeping import KeepSource, KeepVerdict
from barkslip.domain.known import Row
from barkslip.domain.sourced import Source, Value
from barkslip.domain.when import When

#: Row of the table of budwood -> kind of wood, store, what it says.
_SAYS: dict[str, tuple[str, str, str]] = {
    "fridge_months": ("citrus", "fridge", "keeps"),
    "keeps_growers": ("citrus", "fridge", "keeps"),
    "home_half_life": ("citrus", "fridge", "half dead"),
    "cold_120_baianinha": ("citrus", "cold", "alive"),
    "cold_120_pera": ("citrus", "cold", "alive"),
    "ambient_5": ("citrus", "room", "alive"),
    "ambient_10": ("citrus", "room", "alive"),
    "ambient_15": ("citrus", "room", "alive"),
    "ambient_half_life": ("citrus", "room", "half dead"),
    "deciduous_cold": ("deciduous", "fridge", "keeps"),
    "mango_ambient": ("mango", "room", "keeps"),
}
#: Days after which buds were counted, from the key of the row.
_COUNTED = re.compile(r"_(\d+)(?:_|$)")
_STORE_WORDS = (
    ("fridge", re.compile(r"\b(fridge|refrigerator|icebox|salad drawer)\b", re.IGNORECASE)),
    ("cold", re.compile(r"\b(cold (?:store|room)|cool(?:er| room| store)|cellar)\b", re.IGNORECASE)),
    ("room", re.compile(r"\b(room|shed|kitchen|bench|indoors|ambient|post|bucket|shade)\b", re.IGNORECASE)),
)
_TEMP = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*°\s*([CF])")
_WET = re.compile(r"\b(wet|soaked|soaking|dripping|sodden)\b", re.IGNORECASE)
_FRUIT = re.compile(r"\b(beside|with|among|next to)\b[^,;.]*\b(apples?|fruits?|pears?|bananas?)\b", re.IGNORECASE)
_DENIED = re.compile(r"\b(not|no|never|without)\b[^,;.]*$", re.IGNORECASE)


def store_of(words: str) -> str:
    """Key of the store that is written about; "" if none is."""
    return next((store for store, pattern in _STORE_WORDS if pattern.search(words)), "")


def store_temp(words: str) -> float | None:
    """The warmest temperature that is written about the store [°C]; None if none is."""
    found = [float(n.replace(",", ".")) for n, unit in _TEMP.findall(words) if unit == "C"]
    found += [(float(n.replace(",", ".")) - 32.0) / 1.8 for n, unit in _TEMP.findall(words) if unit == "F"]
    return max(found, default=None)


def sources_for(
    rows: Mapping[str, Row], kind: str, store: str, month_d: float, cited: Callable[[str], Source]
) -> tuple[KeepSource, ...]:
    """What every source says of wood of this kind; that of the lot's own store first."""
    out = []
    for key, (of, where, says) in _SAYS.items():
        row = rows.get(key)
        if of != kind or row is None or row.value is None:
            continue
        found = _source(row, row.value, says, month_d, cited)
        if found is not None:
            out.append(replace(found, here=where == store))
    return tuple(sorted(out, key=lambda s: (not s.here, ("keeps", "half dead", "alive").index(s.says))))


def _source(row: Row, value: Value, says: str, month_d: float, cited: Callable[[str], Source]) -> KeepSource | None:
    ends = [v for v in (value.low, value.value, value.high) if isinstance(v, (int, float))]
    if not ends:
        return None
    shares: tuple[float | None, float | None] = (None, None)
    if says == "alive":
        counted = _COUNTED.search(row.key)
        if counted is None:
            return None
        shares = (min(ends), max(ends))
        ends = [float(counted[1])]
    scale = month_d if value.unit == "month" else 1.0
    return KeepSource(
        key=row.key,
        words=row.cell("topic"),
        says=says,
        low_d=min(ends) * scale,
        high_d=max(ends) * scale,
        alive_low=shares[0],
        alive_high=shares[1],
        applies_to=value.applies_to,
        note=value.note,
        source=value.source,
        citation=cited(value.source).citation,
        status=value.status,
    )


def alive_at_room(days: float, half_d: float, slope: float) -> float:
    """Share of buds alive at room temperature after so many days [0..1]: logistic in time."""
    return 1.0 / (1.0 + math.exp(min(slope * (days - half_d), 700.0)))


def chance_half_alive(days: float, half_d: float, spread_d: float) -> float:
    """Chance that more than half of the buds live after so many days, if the day of the half is normal [0..1]."""
    return 0.5 * math.erfc((days - half_d) / (spread_d * math.sqrt(2.0)))


def judge(
    lot: str, name: str, kind: str, words: str, cut: When, on: date, rows: Mapping[str, Row], *,
    month_d: float, cited: Callable[[str], Source], used_d: tuple[int, int] | None = None,
    lot_state: str = "in store", store: str = "",
) -> KeepVerdict:  # fmt: skip
    """How long the wood of one lot keeps.

    Parameters
    ----------
    lot, name : str
    kind : str
        "citrus", "deciduous", "mango" or "".
    words : str
        What is written about its store.
    cut : When
    on : date
    rows : mapping
        Rows of the table of budwood.
    month_d : float
        Days of a month.
    cited : callable
        key -> source.
    used_d : (int, int) or None
        Ages at which grafts were set from it [d].
    lot_state : str
    store : str
        Key of `STORES` instead of the one that is written.
    """
    store = store or store_of(words)
    sources = sources_for(rows, kind, store, month_d, cited)
    spans = [s for s in sources if s.here and s.says == "keeps"]
    if not spans:
        # where nobody says how long it keeps, the day on which half are dead is the only line there is
        spans = [s for s in sources if s.here and s.says == "half dead"]
    shortest = min((s.low_d for s in spans), default=None)
    longest = max((s.high_d for s in spans), default=None)
    age = cut.days_to(on)
    alive = _room_shares(rows, age) if kind == "citrus" and store == "room" and age[1] >= 0 else (None, None)
    return KeepVerdict(
        lot=lot,
        name=name,
        kind=kind,
        store=store,
        store_words=words,
        store_c=store_temp(words),
        cut=cut,
        on=on.isoformat(),
        age_d=age,
        sources=sources,
        shortest_d=shortest,
        longest_d=longest,
        first_until=_until(cut.first, shortest),
        last_until=_until(cut.last, longest),
        state=_state(age, shortest, longest),
        alive_low=alive[0],
        alive_high=alive[1],
        half_alive=_half(rows, kind, store, age),
        signs=_signs(words, kind, rows),
        used_d=used_d,
        lot_state=lot_state,
    )


def _until(day: date, days: float | None) -> str:
    return "" if days is None else (day + timedelta(days=math.floor(days))).isoformat()


def _state(age: tuple[int, int], shortest: float | None, longest: float | None) -> str:
    if age[1] < 0:
        return "not cut yet"
    if shortest is None or longest is None:
        return "no source"
    if age[1] <= shortest:
        return "within"
    return "past" if age[0] > longest else "between"


def _room_shares(rows: Mapping[str, Row], age: tuple[int, int]) -> tuple[float | None, float | None]:
    """Least and most share alive, over both ends of the curve's numbers and of the age."""
    half, slope = _value(rows, "ambient_half_life"), _value(rows, "ambient_slope")
    if half is None or slope is None:
        return None, None
    found = [
        alive_at_room(float(max(days, 0)), h, s)
        for days in age
        for h in _ends(half)
        for s in _ends(slope)
    ]  # fmt: skip
    return min(found), max(found)


def _half(rows: Mapping[str, Row], kind: str, store: str, age: tuple[int, int]) -> float | None:
    value = _value(rows, "home_half_life")
    if kind != "citrus" or store != "fridge" or age[1] < 0 or value is None:
        return None
    low, high = value.low, value.high
    if not isinstance(value.value, (int, float)) or low is None or high is None:
        return None
    return chance_half_alive(float(age[1]), float(value.value), (high - low) / 2.0)


def _value(rows: Mapping[str, Row], key: str) -> Value | None:
    row = rows.get(key)
    return row.value if row is not None else None


def _ends(value: Value) -> list[float]:
    return [float(v) for v in (value.low, value.value, value.high) if isinstance(v, (int, float))]


def _signs(words: str, kind: str, rows: Mapping[str, Row]) -> tuple[str, ...]:
    """What is written about the store that the sources warn of."""
    out = []
    if any(not _DENIED.search(words[: m.start()]) for m in _WET.finditer(words)):
        out.append("wet")
    if _FRUIT.search(words):
        out.append("fruit")
    temp = store_temp(words)
    band = _value(rows, "fridge_temp")
    if temp is not None and kind == "citrus" and band is not None and band.low is not None and band.high is not None:
        out += ["warm"] if temp > band.high else ["cold"] if temp < band.low else []
    told = _value(rows, "too_warm_beside_fruit")
    if temp is not None and kind == "deciduous" and told is not None and isinstance(told.value, (int, float)):
        out += ["warm"] if temp >= told.value else []
    return tuple(out)
