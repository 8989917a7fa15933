"""What the fruit will be, in words: ranges, what they rest on, and never a promise."""

from __future__ import annotations

from dataclasses import dataclass

from barkslip.domain.fruit import Beside, ColdFit, Counted, FruitVerdict, OwnTasting, Quantity, Range, Score, StockFruit
from barkslip.domain.sourced import Value
from barkslip.domain.units import METRIC, UnitChoice
from barkslip.present import calendar, counts, dates
from barkslip.present import units as u

NAMES = {
    "solids": "soluble solids",
    "acid": "acid",
    "size": "size of the fruit",
    "yield": "yield",
    "juice": "share of juice",
    "ripening": "ripening",
}
_LESS_MORE = {
    "solids": ("less sweet", "sweeter"), "acid": ("less sour", "sourer"), "size": ("smaller", "larger"),
    "yield": ("less fruit", "more fruit"), "juice": ("less juice", "more juice"), "ripening": ("earlier", "later"),
}  # fmt: skip
#: Chance from which on two stocks are said to differ.
_LEANS = 0.9
_BASIS = {
    "variety": "from trials with this variety, and how trials differ from each other",
    "group": "from trials with its near kin, and how trials differ from each other",
    "all": "from trials with other kinds of citrus: wide, as nothing is measured of this one",
    "own": "moved by your own tastings",
}
_PARTS = {
    "root": "the root, least to most of the stocks tried",
    "piece": "a piece between",
    "line": "one line of a variety against another, on the same stocks",
    "place": "place, variety and year together, lowest to highest trial",
}


def headline(v: FruitVerdict) -> str:
    """The answer in one line: soluble solids if they can be told, else the yield."""
    where = f" on {v.tree_name}" if v.tree_name else f" on {v.stocks[0].words}" if v.stocks[0].words != "?" else ""
    told = next((q for q in v.stocks[0].quantities if q.code == "solids" and not q.against), None)
    if told is None:
        return f"{v.variety.name}{where}: what can be told of its fruit"
    return f"{v.variety.name}{where}: {span_text(told.range, told.unit)}, eight times in ten."


def lead(v: FruitVerdict) -> str:
    """What that range rests on."""
    told = next((q for q in v.stocks[0].quantities if q.code == "solids" and not q.against), None)
    if told is None:
        return "Of the sugar of such fruit no trial is known here; what the stock does to it is below."
    own = f" ({counts.many(told.own, 'tasting')})" if told.own else ""
    return f"Soluble solids of ripe fruit, {_BASIS[told.basis]}{own}."


def no_promise(v: FruitVerdict) -> str:
    """What a stock cannot be trusted to do."""
    return (
        f"A stock moves sugar little: {counts.many(len(v.alike), 'trial')} found no difference of quality worth "
        "having, and the others contradict each other. Choose a stock for its health and its soil; a line of the "
        "variety can matter as much for the taste."
    )


def span_text(span: Range, unit: str) -> str:
    """ "10.0 to 13.1 °Brix"."""
    digits = 1 if unit in ("°Brix", "%") else 0
    if unit == "%" and span.high < 3:
        digits = 2
    return f"{u.number(span.low, digits)} to {u.number(span.high, digits)}{u.NBSP}{unit}"


def against_text(q: Quantity | Beside) -> str:
    """ "12 % less to 40 % more", "17 days earlier to 16 days later"."""
    less, more = _SIDES[q.code]
    if q.unit == "1":
        return _sided((q.range.low - 1) * 100, (q.range.high - 1) * 100, f"{u.NBSP}%", less, more, 0)
    if q.unit == "d":
        return _sided(q.range.low, q.range.high, f"{u.NBSP}days", less, more, 0)
    return _sided(q.range.low, q.range.high, f"{u.NBSP}{q.unit}", less, more, 1)


_SIDES = {code: ("earlier", "later") if code == "ripening" else ("less", "more") for code in NAMES}


def _sided(low: float, high: float, unit: str, less: str, more: str, digits: int) -> str:
    def one(x: float) -> str:
        return f"{u.number(abs(x), digits)}{unit} {less if x < 0 else more}"

    if low < 0 < high:
        return f"{one(low)} to {one(high)}"
    word = less if high <= 0 else more
    near, far = sorted((abs(low), abs(high)))
    return f"{u.number(near, digits)} to {u.number(far, digits)}{unit} {word}"


def rests_on(q: Quantity) -> str:
    """ "3 voices", "no trial of this stock: chosen by its kind"."""
    if not q.against:
        return counts.opening(_BASIS[q.basis])
    if q.basis == "none":
        return "Nothing is known of this stock here: the spread over all stocks"
    recalled = ", all recalled" if q.recalled else ""
    return f"{counts.opening(counts.many(q.voices, 'source'))} on this stock{recalled}"


def _voices(q: Quantity) -> str:
    return "nothing known" if q.basis == "none" else counts.many(q.voices, "source")


@dataclass(frozen=True)
class QuantityRow:
    """One quantity as a row: on one stock, or on two beside each other."""

    name: str
    values: tuple[str, ...]
    rests: str
    sources: tuple[str, ...]
    code: str


def level_rows(v: FruitVerdict) -> tuple[QuantityRow, ...]:
    """The fruit itself: solids and acid."""
    return _rows(v, against=False)


def against_rows(v: FruitVerdict) -> tuple[QuantityRow, ...]:
    """What the stock does, against a middling stock."""
    return _rows(v, against=True)


def _rows(v: FruitVerdict, *, against: bool) -> tuple[QuantityRow, ...]:
    out = []
    for code in NAMES:
        found = [q for s in v.stocks for q in s.quantities if q.code == code and q.against == against]
        if not found:
            continue
        texts = tuple(against_text(q) if against else span_text(q.range, q.unit) for q in found)
        sources = tuple(dict.fromkeys(s for q in found for s in q.sources))
        rests = rests_on(found[0]) if len(found) == 1 or not against else " / ".join(_voices(q) for q in found)
        out.append(QuantityRow(counts.opening(NAMES[code]), texts, rests, sources, code))
    return tuple(out)


def beside_text(b: Beside) -> str:
    """The second stock against the first in a sentence: "cannot tell" where the range holds no difference."""
    less, more = _LESS_MORE[b.code]
    if max(b.chance, 1 - b.chance) < _LEANS:
        return f"{counts.opening(NAMES[b.code])}: cannot tell ({against_text(b)})."
    word = more if b.chance > 0.5 else less
    chance = max(b.chance, 1 - b.chance)
    return f"{counts.opening(NAMES[b.code])}: probably {word} ({against_text(b)}; {u.tenths(chance)})."


def beside_head(v: FruitVerdict) -> str:
    """ "Volkamer lemon against trifoliate orange"."""
    first, second = (s.words if s.words != "?" else "what it stands on now" for s in v.stocks)
    return f"{counts.opening(second)} against {first}"


def stock_words(s: StockFruit) -> str:
    """What the ranges are on, with shares where it is not sure."""
    shown = [(k, share) for k, share in s.kinds if share >= 0.05][:4]
    if sum(share for _, share in shown) < 0.5:
        return "On a stock that is not known: every stock is thought possible."
    if len(s.kinds) == 1:
        return f"On {s.kinds[0][0].name}."
    listed = ", ".join(f"{k.name if k.name != '?' else 'not known'} {u.percent(share)}" for k, share in shown)
    rest = 1 - sum(share for _, share in shown)
    return f"On {listed}{f', others {u.percent(rest)}' if rest > 0.005 else ''}."


# -- what counts, months, years, cold ------------------------------------------------------------------------


def counted_rows(v: FruitVerdict) -> tuple[tuple[str, str, str], ...]:
    """(part, how much, how known) of root, piece between, line and place."""
    return tuple((counts.opening(_PARTS[c.part]), _counted(c), _counted_known(c)) for c in v.counted)


def _counted(c: Counted) -> str:
    if c.range is not None and c.part == "root":
        return f"{u.number(c.range.high - c.range.low, 1)}{u.NBSP}°Brix apart"
    if c.range is not None:
        return f"{u.number(c.range.low, 1)} to {u.number(c.range.high, 1)}{u.NBSP}°Brix"
    if c.value is None or not isinstance(c.value.value, (int, float)):
        return "not known"
    unit = "% more citric acid" if c.part == "piece" else "°Brix apart"
    return f"{u.number(c.value.value, 2 if c.part == 'piece' else 1)}{u.NBSP}{unit}"


def _counted_known(c: Counted) -> str:
    if c.value is None:
        return "pooled from the trials here"
    note = f"; {c.value.note}" if c.value.note else ""
    where = f" ({c.value.applies_to})" if c.value.applies_to else ""
    return f"{c.value.status}{where}{note}"


def months_text(v: FruitVerdict) -> str:
    """When it is ripe here, in months."""
    if not v.months:
        return "When it is ripe was not written down."
    spans = counts.listed([calendar.window_text(w) for w in v.months], "or")
    half = "" if v.turned is not None else " in the northern half of the world; six months on in the southern"
    shift = next(q for q in v.stocks[0].quantities if q.code == "ripening")
    return f"Ripe {spans}{half}. The stock moves that by {against_text(shift)} than on a middling one."


def years_rows(v: FruitVerdict) -> tuple[tuple[str, str, str], ...]:
    """(what, how long, how known)."""
    return tuple((counts.opening(topic), _years_text(value), value.status) for topic, value in v.years)


def _years_text(value: Value) -> str:
    text = u.value_text(value)
    return text if text == f"1{u.NBSP}year" else text.replace("year", "years")


def cold_text(cold: ColdFit, units: UnitChoice = METRIC) -> tuple[str, ...]:
    """How variety, stock and place meet in the cold, a sentence each."""
    out = []
    if cold.variety_class is not None:
        out.append(f"The variety counts as {cold.variety_class.value} ({cold.variety_class.status}).")
    if cold.limits:
        topic, value = cold.limits[0]
        out.append(f"{counts.opening(topic)} {u.value_text(value, units)} ({value.status}).")
    if cold.stock is not None and cold.stock.words:
        out.append(f"The stock {cold.stock.words}{'; sources differ' if cold.stock.differ else ''}.")
    elif cold.stock is not None:
        out.append("What the stock does to that is not known.")
    if cold.lows:
        year, low = min(cold.lows, key=lambda x: x[1])
        years = counts.many(len(cold.lows), "year")
        out.append(f"Lowest air in {cold.plot} over {years}: {u.temperature(low, units)} ({year}).")
        out += _meets(cold, low)
    return tuple(out)


def _meets(cold: ColdFit, low: float) -> list[str]:
    """Whether the plot's low comes near what such tops bear."""
    tops = [v.high if v.high is not None else v.value for _, v in cold.limits]
    known = [t for t in tops if isinstance(t, (int, float))]
    if not known:
        return []
    first = max(known)
    if low <= first:
        return ["Nights like that are told to hurt such tops: cover it, or take a hardier kind."]
    if low <= first + 2:
        return ["That comes within two degrees of what is told to hurt: leaves lie below the air on still nights."]
    return ["That stays clear of what is told to hurt the wood; fruit and flowers bear less."]


def dry_text(v: FruitVerdict) -> tuple[str, ...]:
    """What is said of dry fruit on this stock, and by own fruit."""
    said = v.stocks[0].dry
    out = []
    if said:
        where = counts.listed(dict.fromkeys(x.note.rstrip(".") for x in said if x.note))
        out.append(f"Dry fruit is said to be more on this stock{f' ({where})' if where else ''}.")
    else:
        out.append("Nothing is written of dry fruit on this stock; push and large fruit bring it on.")
    seen = [(t.dry_n, t.fruit_n) for t in v.own if t.dry_n is not None and t.fruit_n]
    if seen:
        dry, all_of_them = sum(d for d, _ in seen if d), sum(n for _, n in seen if n)
        out.append(f"Of your own fruit {dry} of {all_of_them} were dry.")
    return tuple(out)


def dry_causes(v: FruitVerdict) -> tuple[str, ...]:
    """Other causes, with how they act."""
    return tuple(
        f"{counts.opening(name)}: {acts} of it{f' ({value.value})' if value.value else ''}"
        for name, acts, value in v.dry_causes
    )


def own_rows(v: FruitVerdict) -> tuple[tuple[str, str, str], ...]:
    """(day and tree, what was read, whether it counts) of own tastings."""
    return tuple((f"{dates.day_text(t.on)}, {t.tree}", _read(t), _counts(t)) for t in v.own)


def _read(t: OwnTasting) -> str:
    parts = [
        f"{u.number(t.brix, 1)}{u.NBSP}°Brix" if t.brix is not None else "",
        f"acid {u.number(t.acid_pct, 2)}{u.NBSP}%" if t.acid_pct is not None else "",
        f"liked {u.number(t.score9, 1)} of 9" if t.score9 is not None else "",
        counts.many(t.fruit_n, "fruit", "fruits") if t.fruit_n else "",
    ]
    return ", ".join(p for p in parts if p) or "nothing read"


def _counts(t: OwnTasting) -> str:
    words = {"early": "too early to count: first crops of young wood", "other tree": "another tree", "": "counts"}
    return words[t.left_out]


# -- roots --------------------------------------------------------------------------------------------------


def score_sign(s: Score) -> str:
    """A step as filled and open dots: ●●●○○."""
    if s.step is None:
        return "?"
    whole = int(s.step + 0.25)
    half = s.step - int(s.step) >= 0.25
    return "●" * int(s.step) + ("◐" if half else "") + "○" * (5 - whole - (1 if half and whole == int(s.step) else 0))


def score_words(s: Score) -> str:
    """The step in words, or that nothing is known."""
    if s.step is None:
        return "not known"
    return f"{s.words}; sources differ" if s.differ else s.words


def opinion_text(value: Value) -> str:
    """One source's word, with its status: "poor (chain.WA-DPIRD, published)"."""
    note = f"; {value.note.rstrip('.')}" if value.note else ""
    return f"{u.value_text(value)} ({value.source}, {value.status}{note})"


def score_rows(v: FruitVerdict) -> tuple[tuple[str, tuple[Score, ...]], ...]:
    """Traits with the scores of each stock that has any, side by side."""
    shown = [s for s in v.stocks if s.scores]
    return tuple((some[0].label, some) for some in zip(*(s.scores for s in shown), strict=True)) if shown else ()


def stock_name(s: StockFruit) -> str:
    """Head of a stock's column."""
    return "as it stands" if s.words == "?" else s.words


def best_stock(s: StockFruit) -> str:
    """The stock whose scores are shown."""
    kind, share = s.kinds[0]
    return kind.name if share >= 0.995 else f"{kind.name}, the likeliest ({u.percent(share)})"


def standard_text(topic: str, value: Value) -> str:
    """ "Least juice: navel orange, UNECE FFV-14: 33 % (published)"."""
    return f"{counts.opening(topic)}: {u.value_text(value)} ({value.status})"


_NOTES = {"no_own": "No tasting of your own counts yet: yours would weigh more than all of this."}


def notes(codes: tuple[str, ...]) -> tuple[str, ...]:
    """What else must be said."""
    from barkslip.present import fits

    return tuple(_NOTES[c] for c in codes if c in _NOTES) + fits.notes(tuple(c for c in codes if c not in _NOTES))
