"""Small gardens to trace through: trees, lots, grafts, cuts, wood given away, and what was done to blades."""

from __future__ import annotations

import itertools
from datetime import date

from barkslip.domain.budwood import WoodLot
from barkslip.domain.clean import Handout, ToolUse
from barkslip.domain.graft import Graft
from barkslip.domain.trace import CERTAIN, NEVER, Agent, Cleaning, Node, Odds
from barkslip.domain.tree import Tree
from barkslip.domain.when import When, parse_when
from barkslip.engines.trace import Asked
from barkslip.engines.trace_contacts import Garden

TODAY = date(2025, 6, 30)


def day(text: str) -> When:
    return parse_when(text, today=TODAY)


class Plot:
    """A garden in the making. Things are called by their codes, which are their thing ids too."""

    def __init__(self) -> None:
        self.trees, self.lots, self.grafts, self.uses, self.handouts = [], [], [], [], []
        self.took, self.lost = {}, {}
        self._n = itertools.count(1)

    def _line(self, code=""):
        n = next(self._n)
        return {"id": code or f"n{n}", "thing": code or f"n{n}", "made_utc": f"2025-01-01T00:00:{n % 60:02d}Z"}

    def tree(self, code, fruit="citrus", count=1, planted=""):
        self.trees.append(
            Tree(**self._line(code), code=code, name=code.lower(), plot="P", fruit=fruit, count=count,
                 planted=day(planted) if planted else None)
        )  # fmt: skip

    def lot(self, code, cut, tree=None, graft=None, limb=None, name="x", state="in store", crop="citrus"):
        stem = next((g.tree for g in self.grafts if g.code == graft), tree)
        self.lots.append(
            WoodLot(**self._line(code), code=code, name=name, cut=day(cut), from_tree=stem, from_graft=graft,
                    from_limb=limb, lot_state=state, crop=crop, source_class="own tree" if stem else "neighbour")
        )  # fmt: skip

    def graft(self, code, lot, tree, on, limb=None, name="x", took=True, lost=""):
        self.grafts.append(
            Graft(**self._line(code), code=code, campaign=code.split("-")[0], tree=tree, limb=limb, lot=lot, name=name,
                  method="bark graft", set_on=day(on))
        )  # fmt: skip
        if not took:
            self.took[code] = False
        if lost:
            self.lost[code] = day(lost).first

    def cut(self, tool, on, place, what, cleaned=""):
        kind = (
            "tree"
            if what in {t.code for t in self.trees}
            else "lot"
            if what in {k.code for k in self.lots}
            else "graft"
        )
        self.uses.append(ToolUse(**self._line(), tool=tool, on=day(on), place=place, cleaned=cleaned, **{kind: what}))

    def give(self, lot, who, on, sticks=None):
        self.handouts.append(Handout(**self._line(), lot=lot, receiver=who, on=day(on), sticks=sticks))

    def garden(self) -> Garden:
        nodes = {t.code: Node("tree", t.code, t.code, name=t.name) for t in self.trees}
        nodes |= {
            k.code: Node("lot", k.code, k.code, k.lot_state, k.lot_state != "in store", k.name) for k in self.lots
        }
        nodes |= {g.code: Node("graft", g.code, g.code, "took", g.code in self.lost, g.name) for g in self.grafts}
        return Garden(self.trees, self.lots, self.grafts, self.uses, self.handouts, self.took, self.lost, nodes)


def agent(wood=0.9, union=0.8, blade=0.3, crop="citrus"):
    """A disease whose chances are known; a pair is a range around its middle."""

    def odds(p):
        if isinstance(p, Odds):
            return p
        return Odds(sum(p) / 2.0, *p) if isinstance(p, tuple) else Odds(p, p, p)

    return Agent("test", "test disease", odds(wood), odds(union), odds(blade), crop=crop)


def cleans(words="bleach", p=1.0):
    return {words: Cleaning(words, "works", None, CERTAIN if p == 1.0 else NEVER if p == 0.0 else Odds(p, p, p))}


def asked(kind, key, *, backward=False, since="", worlds=65_536, seed=1):
    return Asked((kind, key), backward, day(since).first if since else None, TODAY, seed, worlds)


def reached(trace):
    """Code -> chance."""
    return {trace.nodes[r.node].id: r.odds.best for r in trace.reached}


def days(trace):
    """Code -> first day (backward: last day)."""
    return {trace.nodes[r.node].id: str(r.latest if trace.backward else r.earliest) for r in trace.reached}
