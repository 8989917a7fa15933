"""Trials and ratings of the knowledge base as readings and opinions, pooled."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from barkslip.domain.fruit import Opinion, Reading
from barkslip.domain.known import Row

if TYPE_CHECKING:
    from barkslip.engines.fruit import Belief, Pool, StepPool
    from barkslip.knowledge.load import Knowledge

#: Quantity -> the trait that rates stocks by it, and the variables of trials that order or measure it.
STEPPED = {
    "acid": ("fruit_acid", ()),
    "size": ("fruit_size", ("fruit_size_order",)),
    "yield": ("yield_class", ("yield_order", "growth_order", "yield_per_year", "yield_cumulative")),
    "juice": ("fruit_juice", ()),
    "ripening": ("fruit_maturity", ("days_later",)),
}
#: A figure far out counts for no more steps than this.
_MOST_STEPS = 2.5
LEMON_TYPE = "lemon_type"


@dataclass(frozen=True)
class Trials:
    """The trials of the knowledge base, ready to be pooled; `without` leaves trials and sources out.

    Parameters
    ----------
    without : frozenset of str
        Trials ("T20") and sources left out: to see how ranges hold what they were not made from.
    """

    knowledge: Knowledge
    without: frozenset[str] = frozenset()

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """Lines of trials."""
        return tuple(
            r for r in self.knowledge.table("fruit_trials") if not {r.cell("trial"), _source(r)} & self.without
        )

    @cached_property
    def _groups(self) -> Mapping[str, str]:
        return {s.key: s.group for s in self.knowledge.rootstocks}

    # -- figures ----------------------------------------------------------------------------------------

    @cached_property
    def solids(self) -> tuple[Reading, ...]:
        """Soluble solids of stocks by trial: a range counts as its middle, one stock once a trial."""
        out: dict[tuple[str, str], Reading] = {}
        grown = self.grown
        for row in self.rows:
            value = row.value
            if row.cell("variable") != "soluble_solids" or value is None:
                continue
            middle = middle_of(value.value, value.low, value.high)
            for stock in row.cell_list("stocks"):
                key = (row.cell("trial"), stock)
                if middle is not None and key not in out:
                    out[key] = Reading(stock, key[0], middle, value.source, *grown[key[0]])
        return tuple(out.values())

    @cached_property
    def grown(self) -> dict[str, tuple[tuple[str, ...], tuple[str, ...]]]:
        """Trial -> (varieties, groups) it was made with."""
        varieties = self.knowledge.rows("varieties")
        found: dict[str, tuple[dict[str, None], dict[str, None]]] = {}
        for row in self.rows:
            of, groups = found.setdefault(row.cell("trial"), ({}, {}))
            if row.cell("scion_in") == "varieties":
                of[row.cell("scion")] = None
                groups[varieties[row.cell("scion")].cell("group")] = None
            elif row.cell("scion_in") == "groups":
                groups[row.cell("scion")] = None
        return {trial: (tuple(of), tuple(groups)) for trial, (of, groups) in found.items()}

    def prior(self, stock: str) -> Belief:
        """What a stock does to the solids before any trial: a range of eight in ten as a normal belief."""
        from barkslip.engines.fruit import Belief, reach_of

        kind = "lemon_type" if self._groups.get(stock) == LEMON_TYPE else "others"
        value = self.knowledge.value(f"fruit.solids.{kind}")
        low, high = float(value.low or 0.0), float(value.high or 0.0)
        sd = (high - low) / 2 / reach_of(math.inf)
        return Belief(float(value.value) if isinstance(value.value, (int, float)) else 0.0, sd**2)

    @cached_property
    def solids_pool(self) -> Pool:
        """Effects of stocks on soluble solids."""
        from barkslip.engines.fruit import pool

        return pool(self.solids, self.prior)

    @cached_property
    def _kept(self) -> dict[str, Any]:
        """Opinions and pools by quantity, once they were asked for."""
        return {}

    # -- steps ------------------------------------------------------------------------------------------

    def opinions(self, code: str) -> tuple[Opinion, ...]:
        """Opinions on one quantity: ratings in words, orders, and figures turned into steps. A source is one voice."""
        key = f"opinions {code}"
        if key not in self._kept:
            self._kept[key] = self._opinions(code)
        found: tuple[Opinion, ...] = self._kept[key]
        return found

    def _opinions(self, code: str) -> tuple[Opinion, ...]:
        trait, variables = STEPPED[code]
        out = self._rated(trait)
        for row in self.rows:
            if row.cell("variable") in variables:
                out += self._of_trial(row)
        if code == "acid":
            out += self._acid()
        return tuple(out)

    def _rated(self, trait: str) -> list[Opinion]:
        out = []
        for stock in self.knowledge.rootstocks:
            for value in stock.values.get(trait, ()):
                if value.source in self.without or not isinstance(value.value, str):
                    continue
                step = self.word_step(value.value)
                if step is not None:
                    out.append(Opinion(stock.key, value.source, step, value.source, value.status == "recalled"))
        return out

    def word_step(self, words: str) -> float | None:
        """The step that the words of a rating stand for; "medium to large" lies between; None for other words."""
        steps = [self._words.get(part.strip().replace(" ", "_")) for part in words.split(" to ")]
        known = [s for s in steps if s is not None]
        return sum(known) / len(known) if known and len(known) == len(steps) else None

    @cached_property
    def _words(self) -> dict[str, float]:
        found = self.knowledge.entries("fruit_pool.word.")
        return {
            e.key.rpartition(".")[2]: float(e.value.value) for e in found if isinstance(e.value.value, (int, float))
        }

    def _of_trial(self, row: Row) -> list[Opinion]:
        from barkslip.engines.fruit import steps_of_order

        source, recalled = _source(row), row.cell("status") == "recalled"
        if row.cell("order"):
            steps = steps_of_order(tiers_of(row.cell("order")))
            return [Opinion(s, source, steps[s], source, recalled) for s in row.cell_list("stocks") if s in steps]
        if row.cell("variable") == "days_later":
            return self._days(row)
        if row.cell("ratio") and row.cell("stocks"):
            step = math.log(float(row.cell("ratio"))) / self.spread_of("yield")
            step = max(-_MOST_STEPS, min(_MOST_STEPS, step))
            return [Opinion(s, source, step, source, recalled) for s in row.cell_list("stocks")]
        return []

    def _days(self, row: Row) -> list[Opinion]:
        """Days of a stock as steps about the middle of its trial."""
        days = [float(r.cell("difference")) for r in self.rows if r.cell("variable") == "days_later"] + [0.0]
        middle = sum(days) / len(days)
        source = _source(row)
        step = (float(row.cell("difference")) - middle) / self.spread_of("ripening")
        out = [Opinion(s, source, step, source) for s in row.cell_list("stocks")]
        return [*out, Opinion(row.cell("against"), source, -middle / self.spread_of("ripening"), source)]

    def _acid(self) -> list[Opinion]:
        """Acid by stock of a trial as steps about its mean, in logarithms."""
        by_trial: dict[str, list[tuple[str, float, str]]] = {}
        for row in self.rows:
            value = row.value
            if row.cell("variable") == "acid" and value is not None and isinstance(value.value, (int, float)):
                for stock in row.cell_list("stocks"):
                    logged = math.log(value.value)
                    by_trial.setdefault(row.cell("trial"), []).append((stock, logged, value.source))
        out = []
        for some in by_trial.values():
            mean = sum(v for _, v, _ in some) / len(some)
            out += [Opinion(s, source, (v - mean) / self.spread_of("acid"), source) for s, v, source in some]
        return out

    def spread_of(self, code: str) -> float:
        """One step of a quantity: the standard deviation over stocks; logarithms, but for ripening [d]."""
        from barkslip.engines.fruit import sd_of_spread

        if code == "acid":
            value = self.knowledge.value("fruit_pool.acid_spread").value
            return float(value) if isinstance(value, (int, float)) else 0.0
        every = self.knowledge.table("fruit_trials")
        if code == "ripening":
            days = [float(r.cell("difference")) for r in every if r.cell("variable") == "days_later"] + [0.0]
            return sd_of_spread(max(days) - min(days), len(days))
        if code == "yield":
            # the lowest and the highest of sixteen, each against the mean of its trial
            ratios = [
                float(r.cell("ratio"))
                for r in every
                if r.cell("ratio") and not r.cell("against") and not r.cell("stocks")
            ]
            n = max(int(r.cell("n_stocks")) for r in every if r.cell("ratio") and not r.cell("against"))
            return sd_of_spread(math.log(max(ratios) / min(ratios)), n)
        variable = {"size": "spread_girth", "juice": "spread_juice"}[code]
        row = next(r for r in every if r.cell("variable") == variable)
        value = row.value.value if row.value else None
        percent = float(value) if isinstance(value, (int, float)) else 0.0
        return sd_of_spread(math.log(1 + percent / 100), int(row.cell("n_stocks")))

    def steps(self, code: str) -> StepPool:
        """Stocks pooled by one quantity."""
        from barkslip.engines.fruit import pool_steps

        key = f"steps {code}"
        if key not in self._kept:
            least = self.knowledge.value("fruit_pool.place_share").value
            share = float(least) if isinstance(least, (int, float)) else 0.0
            self._kept[key] = pool_steps(self.opinions(code), least_rest=share)
        found: StepPool = self._kept[key]
        return found


def trials_of(knowledge: Knowledge, kept: dict[str, Any] | None) -> Trials:
    """The trials of a knowledge base; made anew only if `kept` does not have them."""
    if kept is None:
        return Trials(knowledge)
    found = kept.get("trials")
    if not isinstance(found, Trials) or found.knowledge is not knowledge:
        found = kept["trials"] = Trials(knowledge)
    return found


def _source(row: Row) -> str:
    return row.value.source if row.value else row.cell("source")


def tiers_of(order: str) -> list[list[str]]:
    """An order as tiers, best first: 'a > b, c > "the others"'."""
    return [[name.strip() for name in tier.split(",")] for tier in order.split(">")]


def middle_of(value: object, low: float | None, high: float | None) -> float | None:
    """Best value, else the middle of the range."""
    if isinstance(value, (int, float)):
        return float(value)
    return (low + high) / 2 if low is not None and high is not None else None


def left_out_solids(knowledge: Knowledge) -> list[tuple[str, str, float, float, float]]:
    """Each trial's solids against the range made without it, about its mean: (trial, stock, low, value, high)."""
    from barkslip.engines.fruit import Belief

    out = []
    for trial in dict.fromkeys(r.trial for r in Trials(knowledge).solids):
        rest = Trials(knowledge, frozenset((trial,)))
        mine = [r for r in Trials(knowledge).solids if r.trial == trial]
        effects = [rest.solids_pool.effect(r.stock) for r in mine]
        n = len(mine)
        mean_value = sum(r.value for r in mine) / n
        mean_effect = sum(e.mean for e in effects) / n
        for reading, effect in zip(mine, effects, strict=True):
            others = sum(e.var for e in effects) - effect.var
            var = effect.var * (1 - 1 / n) ** 2 + others / n**2
            span = Belief(effect.mean - mean_effect, var, effect.df).range()
            out.append((trial, reading.stock, span.low, reading.value - mean_value, span.high))
    return out


def left_out_levels(knowledge: Knowledge, alike: tuple[float, float]) -> list[tuple[str, float, float, float]]:
    """Each trial's level of solids against the range made without it: (trial, low, level, high)."""
    from barkslip.engines.fruit import level

    varieties = knowledge.rows("varieties")
    whole = Trials(knowledge)
    out = []
    for trial, value in whole.solids_pool.levels.items():
        rest = Trials(knowledge, frozenset((trial,))).solids_pool.levels
        key = whole.grown[trial][0][0]
        found, _ = level(
            key, varieties[key].cell("group"), rest, whole.grown, same_variety=alike[0], same_group=alike[1]
        )
        span = found.range()
        out.append((trial, span.low, value, span.high))
    return out


def left_out_steps(knowledge: Knowledge, code: str) -> list[tuple[str, str, float, float, float]]:
    """Each voice's steps against the range made without it, about its mean: (source, stock, low, step, high)."""
    from barkslip.engines.fruit import Belief

    every = Trials(knowledge).opinions(code)
    out: list[tuple[str, str, float, float, float]] = []
    for source in dict.fromkeys(o.source for o in every if not o.recalled):
        mine: dict[str, list[float]] = {}
        for one in every:
            if one.source == source:
                mine.setdefault(one.stock, []).append(one.step)
        if len(mine) < 3:
            continue
        pooled = Trials(knowledge, frozenset((source,))).steps(code)
        out += _held(source, {s: sum(v) / len(v) for s, v in mine.items()}, {s: pooled.step(s) for s in mine}, Belief)
    return out


def _held(
    source: str, seen: Mapping[str, float], said: Mapping[str, Belief], belief: type[Belief]
) -> Sequence[tuple[str, str, float, float, float]]:
    n = len(seen)
    mean_seen = sum(seen.values()) / n
    mean_said = sum(b.mean for b in said.values()) / n
    total = sum(b.var for b in said.values())
    rows = []
    for stock, step in seen.items():
        one = said[stock]
        var = one.var * (1 - 1 / n) ** 2 + (total - one.var) / n**2
        span = belief(one.mean - mean_said, var).range()
        rows.append((source, stock, span.low, step - mean_seen, span.high))
    return rows
