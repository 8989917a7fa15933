"""Grafts of the book as the question of take needs them: lives, groups, heat had, age of wood, side, a year on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from barkslip.app.context import Context
from barkslip.app.names import finds_by_lot, tree_chain, variety_of
from barkslip.app.past_grafts import set_day
from barkslip.app.plot_offset import air_records, corrected, number
from barkslip.domain.budwood import LotFind, WoodLot
from barkslip.domain.garden import Garden, Plot
from barkslip.domain.graft import ALIVE, LOST, Graft
from barkslip.domain.take import UNKNOWN, TakeGraft
from barkslip.domain.tree import BEARINGS, ChainLink, Tree
from barkslip.fieldbook import lists
from barkslip.fieldbook import series as store
from barkslip.fieldbook.reader import Reader

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from barkslip.engines.take_life import Seen

#: Sides with the afternoon sun, south and north of the equator.
AFTERNOON = {True: ("N", "NW", "W"), False: ("S", "SW", "W")}
QUARTERS = ("January to March", "April to June", "July to September", "October to December")
#: Part of the first weeks that must have readings before a graft counts as one without heat [0..1].
READ_SHARE = 0.5
_DAY_S = 86_400


def take_grafts(ctx: Context, reader: Reader, grafts: Sequence[Graft], today: date) -> list[TakeGraft]:
    """What the book says of each graft, in the order given."""
    from barkslip.engines.take_life import life

    known = ctx.knowledge.value
    garden = ctx.garden()
    trees = reader.many(Tree, [g.tree for g in grafts])
    plots = reader.many(Plot, [t.plot for t in trees.values()])
    lots = reader.many(WoodLot, [g.lot for g in grafts if g.lot])
    stood = lists.standings(reader, [g.thing for g in grafts])
    seen = looks_of(reader, {g.thing for g in grafts})
    levels = _Levels(ctx, reader, garden, trees, plots, lots)
    heat = _Heat(reader, garden, number(known, "take.hot_air"), round(number(known, "take.hot_days")))
    old_from, year = number(known, "take.old_wood_days"), round(number(known, "trials.year_days"))
    out = []
    for g in grafts:
        day, lot, stand = set_day(g.set_on), lots.get(g.lot or ""), stood.get(g.thing)
        mine = seen.get(g.thing, [])
        age = _age(g, lot)
        hot = heat.of(plots[trees[g.tree].plot], day, today) if day else None
        old = None if age is None else age > old_from
        due = g.set_on.last + timedelta(days=year)
        out.append(
            TakeGraft(
                code=g.code,
                levels=levels.of(g) | {"heat": _word(hot, "had heat", "no heat"), "wood": _word(old, "old", "fresh")},
                verdict=stand.word if stand else "waiting",
                lost_after=bool(stand and stand.lost_after),
                life=life(mine, day) if day else None,
                hot=hot,
                old=old,
                sunny=_sunny(g.side, garden),
                stock_mm=g.stock_mm,
                year_due=due,
                alive_year=_alive(mine, due) if due <= today else None,
            )
        )
    return out


def _word(answer: bool | None, yes: str, no: str) -> str:
    return UNKNOWN if answer is None else yes if answer else no


def _age(graft: Graft, lot: WoodLot | None) -> float | None:
    """Age of the wood on the day it was set, the middle of what it can have been [d]."""
    if lot is None:
        return None
    least, most = (graft.set_on.first - lot.cut.last).days, (graft.set_on.last - lot.cut.first).days
    return (max(least, 0) + max(most, 0)) / 2.0


def _sunny(side: str, garden: Garden) -> bool | None:
    if garden.lat is None or side.upper() not in BEARINGS:
        return None
    return side.upper() in AFTERNOON[garden.lat < 0.0]


def _alive(seen: Sequence[Seen], day: date) -> bool | None:
    """Whether it was alive on a day, as `domain.graft.alive_on` says it of looks."""
    if any(state in ALIVE and first >= day for first, _, state in seen):
        return True
    before = [state for _, last, state in seen if last <= day and state in ALIVE + LOST]
    return False if before and before[-1] in LOST else None


def looks_of(reader: Reader, wanted: set[str]) -> dict[str, list[Seen]]:
    """First day, last day and state of all looks at some grafts, oldest first; of one day as they were written down.

    Plain rows: a book of a hundred thousand grafts has a million looks.
    """
    rows = reader.rows(
        """SELECT graft, on_first, on_last, state FROM look WHERE current AND NOT withdrawn
           ORDER BY on_first, made_utc, id"""
    )
    days: dict[str, date] = {}
    out: dict[str, list[Seen]] = {}
    for graft, first, last, state in rows:
        if graft not in wanted:
            continue
        for text in (first, last):
            if text not in days:
                days[text] = date.fromisoformat(text)
        out.setdefault(graft, []).append((days[first], days[last], state))
    return out


class _Levels:
    """What each graft is by each grouping; trees, lots and names are looked up once."""

    def __init__(
        self,
        ctx: Context,
        reader: Reader,
        garden: Garden,
        trees: Mapping[str, Tree],
        plots: Mapping[str, Plot],
        lots: Mapping[str, WoodLot],
    ) -> None:
        self.ctx, self.trees, self.plots, self.lots = ctx, trees, plots, lots
        self.south = garden.lat is not None and garden.lat < 0.0
        self.finds = finds_by_lot([f for f in reader.every(LotFind) if f.lot in lots])
        self.links: dict[str, list[ChainLink]] = {}
        for link in reader.every(ChainLink, "level IN ('rootstock', 'own roots')"):
            self.links.setdefault(link.tree, []).append(link)
        self.stocks: dict[tuple[str, str | None], str] = {}
        self.methods: dict[str, str] = {}

    def of(self, g: Graft) -> dict[str, str]:
        """Levels of one graft."""
        tree, lot = self.trees[g.tree], self.lots.get(g.lot or "")
        claimed, found = variety_of(g, lot, self.finds.get(g.lot or "", []))
        variety = _known(self.ctx.names.written(found or claimed))
        stock = self._stock(g.tree, g.limb)
        vague = (g.set_on.first.year, g.set_on.first.month) != (g.set_on.last.year, g.set_on.last.month)
        first = g.set_on.first
        season = _season(first, self.south)
        return {
            "method": self._method(g.method),
            "cover": g.cover or "no cover",
            "side": g.side or UNKNOWN,
            "months": UNKNOWN if vague else QUARTERS[(first.month - 1) // 3],
            "season": season if season == _season(g.set_on.last, self.south) else UNKNOWN,
            "tree": tree.code,
            "plot": self.plots[tree.plot].code,
            "variety": variety,
            "stock": stock,
            "pair": f"{variety} on {stock}",
            "lot": lot.code if lot else UNKNOWN,
            "campaign": g.campaign or UNKNOWN,
            "binding": g.binding or UNKNOWN,
            "arm": g.arm or "in no trial",
        }

    def _method(self, name: str) -> str:
        if name not in self.methods:
            method = self.ctx.knowledge.method(name)
            self.methods[name] = method.name if method is not None else name or UNKNOWN
        return self.methods[name]

    def _stock(self, tree: str, limb: str | None) -> str:
        if (tree, limb) not in self.stocks:
            parts = tree_chain(self.links.get(tree, ()), self.ctx.names, limb=limb)
            self.stocks[tree, limb] = _known(parts[-1].name) if parts else UNKNOWN
        return self.stocks[tree, limb]


def _known(name: str) -> str:
    return UNKNOWN if name in ("", "?") else name


def _season(day: date, south: bool) -> str:
    """Growing year: July to June south of the equator, the calendar's year north of it."""
    if not south:
        return str(day.year)
    year = day.year if day.month >= 7 else day.year - 1
    return f"{year}/{(year + 1) % 100:02d}"


class _Heat:
    """Whether a graft had heat in its first weeks, by the readings of its plot."""

    def __init__(self, reader: Reader, garden: Garden, hot_c: float, days: int) -> None:
        self.reader, self.garden, self.hot_c, self.days = reader, garden, hot_c, days
        self.read: dict[str, list[tuple[NDArray[np.int64], NDArray[np.float64], int]]] = {}
        self.answers: dict[tuple[str, date], bool | None] = {}

    def of(self, plot: Plot, day: date, today: date) -> bool | None:
        """True or False; None if nothing tells."""
        if (plot.thing, day) not in self.answers:
            self.answers[plot.thing, day] = self._had(plot, day, today)
        return self.answers[plot.thing, day]

    def _had(self, plot: Plot, day: date, today: date) -> bool | None:
        import numpy as np

        midnight = (day - date(1970, 1, 1)).days * _DAY_S - round(3600 * self.garden.utc_offset_h)
        end = min(midnight + self.days * _DAY_S, midnight + ((today - day).days + 1) * _DAY_S)
        for time_s, temps, step_s in self._series(plot):
            i, j = np.searchsorted(time_s, [midnight, end])
            # the best sheltered series that covers the time speaks; heat seen in a shorter one is heat all the same
            if (j - i) * step_s >= READ_SHARE * self.days * _DAY_S or (temps[i:j] >= self.hot_c).any():
                return bool((temps[i:j] >= self.hot_c).any())
        return None

    def _series(self, plot: Plot) -> list[tuple[NDArray[np.int64], NDArray[np.float64], int]]:
        """Readings of air of a plot, corrected, without gaps."""
        import numpy as np

        if plot.thing not in self.read:
            out = []
            for record in air_records(self.reader, plot):
                found = store.readings(self.reader, record, columns=("air_temp_c",))
                found, _ = corrected(self.reader, record, found)
                temps = found.columns["air_temp_c"]
                good = ~np.isnan(temps)
                out.append((found.time_s[good], temps[good], max(found.info.step_s, 1)))
            self.read[plot.thing] = out
        return self.read[plot.thing]
