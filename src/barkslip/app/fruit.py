"""What the fruit of a variety on a chain may be, on one stock or on two side by side; own tastings move it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from barkslip.app.calendar import ripe_of
from barkslip.app.context import Context
from barkslip.app.fits import knowledge_of, level_notes, levels_of
from barkslip.app.fruit_cold import cold_fit, stock_scores
from barkslip.app.fruit_own import own_tastings
from barkslip.app.fruit_trials import STEPPED, Trials, middle_of, trials_of
from barkslip.app.kinds import Kinds, kinds_of
from barkslip.app.settings import Settings
from barkslip.domain.calendar import KITCHEN
from barkslip.domain.errors import InputError
from barkslip.domain.fits import Kind, Level
from barkslip.domain.fruit import Beside, Counted, FruitVerdict, OwnTasting, Quantity, Range, StockFruit
from barkslip.domain.sourced import Source, Value

if TYPE_CHECKING:
    from barkslip.engines.fruit import Belief
    from barkslip.knowledge.load import Knowledge

Fields = Mapping[str, str]
#: Times that count from the grafting of a grown tree.
_YEARS = ("topwork_first_fruit", "topwork_full_crop", "topwork_quality")
#: Stocks believed less than this are not named [1].
_LIKELY = 0.05
#: What a root stands is shown of a stock believed this much or more [1].
_ROOT_SHOWN = 0.3
Shared = list[tuple["Belief", float]]


def ask_fruit(ctx: Context | None, settings: Settings, fields: Fields) -> FruitVerdict:
    """What the fruit may be.

    Parameters
    ----------
    ctx : Context or None
        The book; None if the chain is typed and no book is needed (no place and no tastings then).
    fields : mapping
        scion; chain, or tree with limb; against (another stock, to be seen beside it); hemisphere ("north", "south").

    Raises
    ------
    InputError
        For a name that is not known; the nearest three are named.
    """
    knowledge = knowledge_of(ctx, settings)
    kinds = kinds_of(knowledge, ctx.kept if ctx else None)
    variety = _one_variety(kinds, fields.get("scion", ""))
    levels, tree, notes = levels_of(ctx, settings, kinds, fields)
    own = own_tastings(ctx, kinds, variety.key, tree) if ctx is not None else ()
    work = _Work(kinds, trials_of(knowledge, ctx.kept if ctx else None), variety, own)
    root = levels[-1]
    stocks = [work.on(_root_words(root), _kinds_of(root))]
    if fields.get("against"):
        other = kinds.below(fields["against"], field="against")
        words = other[0].name if len(other) == 1 else fields["against"]
        stocks.append(work.on(words, [(k, 1.0 / len(other)) for k in other] or [(Kind("?"), 1.0)]))
    garden = ctx.garden() if ctx is not None else None
    south = _south(fields, None if garden is None else garden.lat)
    ripe = ripe_of(kinds, variety.key, bool(south), ())
    found = FruitVerdict(
        variety=variety,
        levels=levels,
        stocks=tuple(stocks),
        beside=work.beside() if len(stocks) > 1 else (),
        counted=work.counted(),
        months=ripe.windows,
        season=ripe.season,
        turned=south,
        years=_years(kinds, variety.key),
        cold=cold_fit(ctx, kinds, variety, stocks[0], tree),
        standards=_standards(knowledge, variety.group),
        alike=tuple(
            (r.cell("scion"), r.value)
            for r in knowledge.table("fruit_trials")
            if r.cell("variable") == "no_difference" and r.value
        ),
        dry_causes=tuple(
            (r.cell("name"), r.cell("acts"), Value(r.cell("detail") or None, "", r.cell("source"), r.cell("status")))
            for r in knowledge.table("granulation")
            if r.cell("lies_in") != "stock" and r.cell("acts") in ("more", "less")
        ),
        own=own,
        notes=(*notes, *level_notes(levels, ()), *_own_notes(work)),
        soil=garden.soil if garden else "",
        water=garden.water if garden else "",
        tree=tree.code if tree else "",
        tree_name=tree.name if tree else "",
    )
    return replace(found, sources=_sources(knowledge, found))


def _one_variety(kinds: Kinds, text: str) -> Kind:
    found = kinds.top(text)
    if len(found) > 1:
        raise InputError(
            "That is a whole group of varieties.",
            given=text,
            allowed=", ".join(k.name for k in found),
            next_step="Name one of them: fruit differs from variety to variety.",
            field="scion",
        )
    return found[0]


def _south(fields: Fields, lat: float | None) -> bool | None:
    asked = fields.get("hemisphere", "").strip().lower()
    if asked and asked not in ("north", "south"):
        raise InputError(
            "Not a half of the world.",
            given=fields["hemisphere"],
            allowed="north, south",
            next_step="Choose one of the two.",
            field="hemisphere",
        )
    return asked == "south" if asked else None if lat is None else lat < 0


def _root_words(root: Level) -> str:
    best = max(root.choices, key=lambda c: c.share)
    if len(root.choices) == 1:
        return best.kinds[0].name if len(best.kinds) == 1 else best.words
    return "?"


def _kinds_of(root: Level) -> list[tuple[Kind, float]]:
    """Kinds that a level may be, with their shares; a broad answer's share is spread over its kinds."""
    out: dict[tuple[str, str], tuple[Kind, float]] = {}
    for choice in root.choices:
        for kind in choice.kinds:
            key = (kind.key, kind.name)
            out[key] = (kind, out.get(key, (kind, 0.0))[1] + choice.share / len(choice.kinds))
    return sorted(out.values(), key=lambda k: -k[1])


class _Work:
    """Ranges for one variety on stocks; keeps what it was asked, so that two stocks can be set side by side."""

    def __init__(self, kinds: Kinds, trials: Trials, variety: Kind, own: Sequence[OwnTasting]) -> None:
        self.kinds = kinds
        self.trials = trials
        self.variety = variety
        self.own = [t for t in own if not t.left_out]
        self._asked: list[dict[str, Shared]] = []
        self._knows = trials.knowledge.value

    def number(self, key: str) -> float:
        """A number of the pool."""
        value = self._knows(f"fruit_pool.{key}").value
        return float(value) if isinstance(value, (int, float)) else 0.0

    def on(self, words: str, some: list[tuple[Kind, float]]) -> StockFruit:
        """Everything about the fruit on a stock, or on the beliefs about it."""
        shared: dict[str, Shared] = {"solids": self._solids(some)}
        shared |= {code: self._steps(code, some) for code in STEPPED}
        self._asked.append(shared)
        quantities = [q for q in (self._level(shared["solids"]), self._acid_level(shared["acid"])) if q is not None]
        quantities.append(self._against("solids", "°Brix", shared["solids"], some, 1.0))
        quantities += [
            self._against(code, "d" if code == "ripening" else "1", shared[code], some, self.trials.spread_of(code))
            for code in STEPPED
        ]
        best, believed = some[0]
        return StockFruit(
            words,
            tuple(some),
            tuple(quantities),
            self._dry(some),
            stock_scores(self.kinds, best.key if best.table == "rootstocks" and believed >= _ROOT_SHOWN else ""),
        )

    def _solids(self, some: list[tuple[Kind, float]]) -> Shared:
        pool = self.trials.solids_pool
        return [(pool.effect(k.key if k.table == "rootstocks" else ""), share) for k, share in some]

    def _steps(self, code: str, some: list[tuple[Kind, float]]) -> Shared:
        pool = self.trials.steps(code)
        return [(pool.step(k.key if k.table == "rootstocks" else ""), share) for k, share in some]

    def _against(self, code: str, unit: str, shared: Shared, some: list[tuple[Kind, float]], spread: float) -> Quantity:
        """A quantity against a middling stock."""
        from barkslip.engines.fruit import mixed

        likely = {k.key: share for k, share in some if share >= _LIKELY}
        if code == "solids":
            said = [(r.stock, r.source, False) for r in self.trials.solids if r.stock in likely]
        else:
            said = [(o.stock, o.source, o.recalled) for o in self.trials.opinions(code) if o.stock in likely]
        # what is said of stocks that it most likely is not says nothing of this one
        if sum(likely[stock] for stock in {stock for stock, _, _ in said}) < 0.5:
            said = []
        sources = dict.fromkeys(source for _, source, _ in said)
        recalled = bool(said) and all(r for _, _, r in said)
        found = _scaled(mixed(shared), unit, spread)
        return Quantity(
            code, unit, found, True, len(sources), tuple(sources), recalled, basis="stocks" if sources else "none"
        )

    def _level(self, shared: Shared) -> Quantity | None:
        """Soluble solids themselves: level of the variety, effect of the stock, own tastings. None for sour fruit."""
        from barkslip.engines.fruit import Belief, level, mixed, with_own

        if self.variety.group in KITCHEN:
            return None
        pool = self.trials.solids_pool
        middle, basis = level(
            self.variety.key,
            self.variety.group,
            pool.levels,
            self.trials.grown,
            same_variety=self.number("same_variety"),
            same_group=self.number("same_group"),
        )
        shift, more = self._moved("solids", shared, 1.0)
        year_sd = math.sqrt(self.number("year_solids") ** 2 + more)
        own = [(t.brix + shift, t.fruit_n or 1) for t in self.own if t.brix is not None]
        both = []
        for effect, share in shared:
            belief = Belief(middle.mean + effect.mean, middle.var + effect.var, middle.df)
            moved = with_own(belief, own, year_sd=year_sd, fruit_sd=self.number("fruit_solids"))
            both.append((moved, share))
        sources = tuple(dict.fromkeys(r.source for r in self.trials.solids))
        return Quantity(
            "solids",
            "°Brix",
            mixed(both),
            False,
            len(pool.levels),
            sources,
            own=len(own),
            basis="own" if own else basis,
        )

    def _moved(self, code: str, shared: Shared, step: float) -> tuple[float, float]:
        """What own fruit, that hung on the first stock, says less of a second: shift and variance, none for the first.

        Parameters
        ----------
        step : float
            One step of `shared` in the quantity's own unit.
        """
        from barkslip.engines.fruit import mean_and_var

        if len(self._asked) < 2:
            return 0.0, 0.0
        first, here = mean_and_var(self._asked[0][code]), mean_and_var(shared)
        return (here[0] - first[0]) * step, (here[1] + first[1]) * step**2

    def _acid_level(self, shared: Shared) -> Quantity | None:
        """Acid itself: the span of what trials and rules say of such fruit, moved by own tastings."""
        from barkslip.engines.fruit import Belief, reach_of, with_own

        span = self._acid_span()
        shift, more = self._moved("acid", shared, self.trials.spread_of("acid"))
        own = [(math.log(t.acid_pct) + shift, t.fruit_n or 1) for t in self.own if t.acid_pct]
        if span is None:
            return None
        low, high, sources, recalled = span
        middle, half = (math.log(low) + math.log(high)) / 2, (math.log(high) - math.log(low)) / 2
        belief = Belief(middle, (half / reach_of(math.inf)) ** 2)
        year_sd = math.sqrt(self.number("year_acid") ** 2 + more)
        found = with_own(belief, own, year_sd=year_sd, fruit_sd=self.number("fruit_acid")).range()
        return Quantity(
            "acid",
            "%",
            Range(math.exp(found.low), math.exp(found.middle), math.exp(found.high)),
            False,
            len(sources),
            sources,
            recalled,
            own=len(own),
            basis="own" if own else "all",
        )

    def _acid_span(self) -> tuple[float, float, tuple[str, ...], bool] | None:
        """Lowest and highest acid of ripe fruit like this [%], with sources; None if nothing is known."""
        if self.variety.group in KITCHEN:
            for row in self.trials.knowledge.table("standards"):
                value = row.value
                usual = row.cell("criterion") == "usual_acid" and self.variety.group in row.cell_list("groups")
                if usual and value is not None and value.low is not None and value.high is not None:
                    return value.low, value.high, (value.source,), value.status == "recalled"
            return None
        values: list[float] = []
        sources: dict[str, None] = {}
        for row in self.trials.rows:
            value = row.value
            if row.cell("variable") != "acid" or value is None:
                continue
            per = 0.1 if value.unit == "g/L" else 1.0
            for x in (value.low, value.high, value.value):
                if isinstance(x, (int, float)):
                    values.append(x * per)
                    sources[value.source] = None
        return (min(values), max(values), tuple(sources), False) if values else None

    def _dry(self, some: list[tuple[Kind, float]]) -> tuple[Value, ...]:
        """What is said of dry fruit on these stocks."""
        rows = self.trials.knowledge.rows("rootstocks")
        likely = [k.key for k, share in some if share >= _LIKELY and k.key in rows]
        return tuple(v for key in likely for v in rows[key].values.get("granulation", ()))

    def beside(self) -> tuple[Beside, ...]:
        """The second stock against the first."""
        from barkslip.engines.fruit import more_on_second

        first, second = self._asked[:2]
        out = []
        for code in ("solids", *STEPPED):
            span, chance = more_on_second(first[code], second[code])
            unit = {"solids": "°Brix", "ripening": "d"}.get(code, "1")
            spread = 1.0 if code == "solids" else self.trials.spread_of(code)
            out.append(Beside(code, unit, _scaled(span, unit, spread), chance))
        return tuple(out)

    def counted(self) -> tuple[Counted, ...]:
        """How much root, piece between, line of the variety and place each count for, as far as is known."""
        pool = self.trials.solids_pool
        effects = [b.mean for b in pool.effects.values()]
        levels = list(pool.levels.values())
        piece = self.trials.knowledge.rows("interstock")["piece_shapes_fruit"].value
        return (
            Counted("root", None, Range(min(effects), 0.0, max(effects))),
            Counted("piece", piece),
            Counted("line", self._knows("fruit.solids.scion_line")),
            Counted("place", None, Range(min(levels), sum(levels) / len(levels), max(levels))),
        )


def _scaled(span: Range, unit: str, spread: float) -> Range:
    """Steps as a ratio to a middling stock, or as days; °Brix as they are."""
    if unit == "1":
        return Range(math.exp(span.low * spread), math.exp(span.middle * spread), math.exp(span.high * spread))
    return Range(span.low * spread, span.middle * spread, span.high * spread)


def _own_notes(work: _Work) -> tuple[str, ...]:
    return () if work.own else ("no_own",)


def _years(kinds: Kinds, key: str) -> tuple[tuple[str, Value], ...]:
    variety = next(v for v in kinds.knowledge.varieties if v.key == key)
    own = variety.value("years_to_fruit")
    rows = kinds.knowledge.rows("timelines")
    out = [("years from graft to first fruit, this variety", own)] if own else []
    out += [(rows[k].cell("topic"), v) for k in _YEARS if (v := rows[k].value) is not None]
    return tuple(out)


def _standards(knowledge: Knowledge, group: str) -> tuple[tuple[str, Value], ...]:
    out = []
    for row in knowledge.table("standards"):
        value = row.value
        if group in row.cell_list("groups") and value is not None and middle_of(value.value, value.low, value.high):
            out.append((row.cell("topic"), value))
    return tuple(out)


def _sources(knowledge: Knowledge, found: FruitVerdict) -> dict[str, Source]:
    keys: dict[str, None] = {}
    for stock in found.stocks:
        keys |= dict.fromkeys(s for q in stock.quantities for s in q.sources)
        keys |= dict.fromkeys(v.source for v in stock.dry)
        keys |= dict.fromkeys(v.source for s in stock.scores for v in s.opinions)
    values = [v for _, v in (*found.years, *found.standards, *found.alike, *found.cold.limits)]
    values += [v for _, _, v in found.dry_causes] + [c.value for c in found.counted if c.value]
    values += [v for v in (found.season, found.cold.variety_class) if v is not None]
    keys |= dict.fromkeys(v.source for v in values)
    return {key: knowledge.source(key) for key in keys}
