"""Ways out of a bad fit: another stock, a piece between, or neither. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from barkslip.domain.fits import VERDICTS, Kind, PairFit, Remedy
from barkslip.engines.fit import Reports, pair_fit

#: Most stocks and most pieces that are offered.
_MOST = 4
#: Verdicts on which a remedy may stand, best first.
_USABLE = ("recorded_good", "no_record")


def remedies(
    pair: PairFit, stocks: Mapping[str, Kind], tops: Mapping[str, Kind], reports: Reports, *, no_cure: Remedy
) -> tuple[Remedy, ...]:
    """What may be done about a pair with something against it, what sources name for it first.

    Parameters
    ----------
    stocks, tops : mapping of str to Kind
        All stocks and all varieties, by key.
    no_cure : Remedy
        The rule that a piece between is no cure for what travels, with its source.
    """
    against = pair.against
    if not against:
        return ()
    out = [Remedy("said", words=r.remedy, source=r.years.source) for r in against if r.remedy]
    out = list({r.words: r for r in reversed(out)}.values())[::-1]
    named = tuple(dict.fromkeys(key for r in against for key in r.instead))
    out += _other_stocks(pair.upper, named, stocks, reports)
    own = [r for r in against if not r.by_disease]
    if any(r.carried == "yes" for r in against):
        out.append(no_cure)
    if not pair.through and any(r.carried == "no" for r in own):
        out += _pieces(pair, tuple(dict.fromkeys(k for r in own for k in r.between)), stocks, tops, reports)
    elif any(r.carried == "not known" for r in own):
        out.append(Remedy("piece_not_known"))
    return tuple(out)


def standing(pair: PairFit) -> tuple[Remedy, ...]:
    """What may be done about a pair that stands already: what sources say, and that no new top mends it."""
    said = {r.remedy: Remedy("said", words=r.remedy, source=r.years.source) for r in pair.against if r.remedy}
    return (Remedy("old_join"), *said.values()) if pair.against else ()


def _other_stocks(upper: Kind, named: Sequence[str], stocks: Mapping[str, Kind], reports: Reports) -> list[Remedy]:
    """Stocks a source names for this pair, then those on which the top is recorded good."""
    out = [
        Remedy("stock", stocks[key], pair_fit(upper, stocks[key], reports).verdict, named=True)
        for key in named
        if key in stocks
    ]
    out.sort(key=lambda r: VERDICTS.index(r.verdict))
    fits = [(s, pair_fit(upper, s, reports)) for k, s in stocks.items() if k not in named]
    # a selection is recorded good with the kind it comes from: that one is offered already
    good = [
        (s, f)
        for s, f in fits
        if f.verdict == "recorded_good" and any(r.lower == ("rootstocks", s.key) for r in f.reports)
    ]
    good.sort(key=lambda p: -len(p[1].sources))
    out += [Remedy("stock", s, "recorded_good") for s, _ in good[: max(_MOST - len(out), 0)]]
    return out


def _pieces(
    pair: PairFit, named: Sequence[str], stocks: Mapping[str, Kind], tops: Mapping[str, Kind], reports: Reports
) -> list[Remedy]:
    """Pieces between, each with both its joins: what a source names, else what is recorded good on the stock."""
    keys = named or [k for k, t in tops.items() if pair_fit(t, pair.lower, reports).verdict == "recorded_good"]
    found = []
    for key in keys:
        piece = tops.get(key) or stocks.get(key)
        if piece is None or piece == pair.upper:
            continue
        above = pair_fit(pair.upper, piece, reports).verdict
        below = pair_fit(piece, pair.lower, reports).verdict
        if named or (above in _USABLE and below in _USABLE):
            found.append(Remedy("between", piece, above, below, named=bool(named)))
    if named:
        return found[:_MOST]
    # one of each group is enough: what is known of them is known of the group
    one_each = {r.kind.group: r for r in reversed(found) if r.kind}
    best = sorted(one_each.values(), key=lambda r: VERDICTS.index(r.verdict) + VERDICTS.index(r.below))
    return best[:_MOST]
