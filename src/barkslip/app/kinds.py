"""Kinds by the names people use, and the reports on what fits, from the knowledge base."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from barkslip.domain.errors import InputError
from barkslip.domain.fits import CLASS, GROUP, ITSELF, WHOLE, Kind, PairFit, Report
from barkslip.domain.known import Row
from barkslip.domain.sourced import Value

if TYPE_CHECKING:
    from barkslip.domain.variety import Rootstock, Variety
    from barkslip.engines.fit import Reports
    from barkslip.knowledge.load import Knowledge

_UNKNOWN = ("", "?", "unknown", "not known")
_WORD = re.compile(r"[a-z0-9]+")
_BRACKETS = re.compile(r"\(.*?\)")
_RAISED = re.compile(r"\b(cuttings?|layers?|seedlings?|own[- ]rooted)\b", re.IGNORECASE)
#: Words that say nothing about which kind is meant.
_EMPTY_WORDS = {"a", "or", "and", "of", "its", "type", "the", "some", "any", "old", "line", "seedling", "cutting"}


class Kinds:
    """All kinds of the knowledge base with what reports on them hold for. Made once for a knowledge base."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self._classes = knowledge.table("classes")
        self._written: dict[tuple[str, bool], tuple[Kind, ...]] = {}
        self._judged: dict[tuple[str, ...], PairFit] = {}

    @cached_property
    def tops(self) -> dict[str, Kind]:
        """Varieties by key."""
        return {v.key: self._top(v) for v in self.knowledge.varieties}

    @cached_property
    def stocks(self) -> dict[str, Kind]:
        """Rootstocks by key."""
        return {s.key: self._stock(s) for s in self.knowledge.rootstocks}

    @cached_property
    def reports(self) -> Reports:
        """Every report on a fit, ready to be asked."""
        from barkslip.engines.fit import in_order

        diseases = self.knowledge.rows("pathogens")
        return in_order(_report(row, diseases) for row in self.knowledge.table("pairs"))

    def judged(self, present: frozenset[str]) -> dict[tuple[str, ...], PairFit]:
        """Pairs judged before, to be added to; those with diseases present are not kept."""
        return {} if present else self._judged

    def _top(self, variety: Variety) -> Kind:
        scopes = {("varieties", variety.key): ITSELF, ("groups", variety.group): GROUP}
        if variety.key in self.knowledge.rows("rootstocks"):
            scopes["rootstocks", variety.key] = ITSELF  # one plant in two tables, such as calamondin
        return Kind(variety.name, "varieties", variety.key, variety.group, scopes | self._wider(variety.group, ""))

    def _stock(self, stock: Rootstock) -> Kind:
        scopes = {("rootstocks", stock.key): ITSELF, ("groups", stock.group): GROUP}
        for other in self.knowledge.rootstocks:
            if _selected_from(stock, other):
                scopes["rootstocks", other.key] = GROUP
        return Kind(stock.name, "rootstocks", stock.key, stock.group, scopes | self._wider(stock.group, stock.key))

    def _wider(self, group: str, stock: str) -> dict[tuple[str, str], int]:
        """Classes that hold a kind."""
        out = {}
        for row in self._classes:
            if row.cell("whole") == "yes":
                out["classes", row.key] = WHOLE
            elif group in row.cell_list("groups") or (stock and stock in row.cell_list("stocks")):
                out["classes", row.key] = CLASS
        return out

    # -- by name ----------------------------------------------------------------------------------------

    def top(self, text: str, *, field: str = "scion") -> tuple[Kind, ...]:
        """The variety that a typed name means, or all of the group of that name.

        Raises
        ------
        InputError
            If none is meant; the nearest three are named.
        """
        variety = self.knowledge.variety(_without_marks(text))
        if variety is not None:
            return (self.tops[variety.key],)
        group = self._whole_group(text, {t.group for t in self.tops.values()})
        if group is not None:
            return tuple(t for t in self.tops.values() if t.group == group.key)
        raise self._not_named(text, [*self.tops.values()], "variety", field)

    def below(self, text: str, *, field: str = "chain") -> tuple[Kind, ...]:
        """The kinds that a typed name for a part under the top may mean; empty if it says unknown.

        Raises
        ------
        InputError
            If none is meant; the nearest three are named.
        """
        if text.strip().lower() in _UNKNOWN:
            return ()
        found = self._below(text)
        if not found:
            raise self._not_named(text, [*self.stocks.values(), *self.tops.values()], "rootstock or variety", field)
        return found

    def written(self, text: str, *, top: bool = False) -> tuple[Kind, ...]:
        """The kinds that a name in the book may mean; one that is not known if nothing can be made of it."""
        if (text, top) not in self._written:
            self._written[text, top] = self._read(text, top=top)
        return self._written[text, top]

    def _read(self, text: str, *, top: bool) -> tuple[Kind, ...]:
        if text.strip().lower() in _UNKNOWN:
            return ()
        found: tuple[Kind, ...] = ()
        for name in (text, _BRACKETS.sub(" ", text)):
            variety = self.knowledge.variety(_without_marks(name)) if top else None
            found = found or ((self.tops[variety.key],) if variety else () if top else self._below(name))
        return found or self._roughly(text) or (Kind(" ".join(text.split())),)

    def _below(self, text: str) -> tuple[Kind, ...]:
        plain = _without_marks(text)
        stock = self.knowledge.rootstock(plain)
        if stock is not None:
            return (self.stocks[stock.key],)
        variety = self.knowledge.variety(plain)
        if variety is not None:
            return (self.tops[variety.key],)
        group = self._whole_group(text, {s.group for s in self.stocks.values()})
        if group is not None:
            return tuple(s for s in self.stocks.values() if s.group == group.key)
        group = self._whole_group(text, {t.group for t in self.tops.values()})
        if group is not None:
            return (group,)
        return self._several(text)

    def _whole_group(self, text: str, groups: set[str]) -> Kind | None:
        """The group called exactly so."""
        asked = _words(text)
        for row in self.knowledge.table("groups"):
            if row.key in groups and asked in (_words(row.cell("name")), _words(row.key)):
                return self.group(row.key)
        return None

    def group(self, key: str) -> Kind:
        """A whole group as one kind: reports on single members do not hold for it."""
        name = self.knowledge.rows("groups")[key].cell("name")
        return Kind(name, "groups", key, key, {("groups", key): ITSELF} | self._wider(key, ""))

    def _several(self, text: str) -> tuple[Kind, ...]:
        """Stocks named together ("citrange, Carrizo or Troyer type"), or a class of them ("trifoliate type")."""
        asked = _words(text)
        for row in self.knowledge.table("stock_groups"):
            if asked in (_words(row.cell("name")), _words(row.key)):
                return self.members(row)
        if "type" in asked or "hybrid" in asked:
            for row in self._classes:
                if _words(row.key) <= asked:
                    held = self.members(row)
                    if held:
                        return held
        by_words = {key: _words(self.knowledge.rows("rootstocks")[key].cell("epithet")) for key in self.stocks}
        around = {
            word for key, words in by_words.items() if words <= asked for word in _words(self.stocks[key].name) | words
        }
        named = [key for key, words in by_words.items() if words and words <= asked]
        if named and asked - _EMPTY_WORDS <= around:
            return tuple(self.stocks[key] for key in named)
        return ()

    def members(self, row: Row) -> tuple[Kind, ...]:
        """Stocks of a class or of a group told by looks."""
        groups = row.cell_list("groups")
        own = row.cell_list("stocks")
        return tuple(s for k, s in self.stocks.items() if s.group in groups or k in own)

    def _roughly(self, text: str) -> tuple[Kind, ...]:
        """The group whose whole name occurs in a name that is not known: "willow-leaf mandarin"."""
        asked = _words(text)
        fitting = [row for row in self.knowledge.table("groups") if _words(row.cell("name")) <= asked]
        fitting.sort(key=lambda row: -len(_words(row.cell("name"))))
        return (self.group(fitting[0].key),) if fitting else ()

    def _not_named(self, text: str, kinds: list[Kind], what: str, field: str) -> InputError:
        near = self.nearest(text, kinds)
        return InputError(
            f"No {what} of that name is known.",
            given=text or "(nothing)",
            allowed="; nearest: ".join(("a name or synonym of the knowledge base", ", ".join(near))),
            next_step=f"Did you mean {near[0]}? barkslip know NAME looks names up.",
            field=field,
        )

    def nearest(self, text: str, kinds: list[Kind], n: int = 3) -> list[str]:
        """Names of the kinds spelled most like a text, synonyms counted."""
        asked = " ".join(_WORD.findall(text.lower()))
        best: dict[str, float] = {}
        for kind in kinds:
            row = self.knowledge.rows(kind.table)[kind.key]
            names = (kind.name, row.cell("epithet"), *row.cell_list("synonyms"))
            score = max(difflib.SequenceMatcher(None, asked, " ".join(_WORD.findall(s.lower()))).ratio() for s in names)
            best[kind.name] = max(best.get(kind.name, 0.0), score)
        return sorted(best, key=lambda name: -best[name])[:n]


def kinds_of(knowledge: Knowledge, kept: dict[str, object] | None = None) -> Kinds:
    """The kinds of a knowledge base; made anew only if `kept` does not have them."""
    if kept is None:
        return Kinds(knowledge)
    found = kept.get("kinds")
    if not isinstance(found, Kinds) or found.knowledge is not knowledge:
        found = Kinds(knowledge)
        kept["kinds"] = found
    return found


def _without_marks(text: str) -> str:
    """A name without brackets and without words on how the plant was raised."""
    return _RAISED.sub(" ", text.replace("(", " ").replace(")", " "))


def _words(text: str) -> set[str]:
    """Words of a name, one only where there may be several."""
    return {w[:-1] if len(w) > 3 and w.endswith("s") else w for w in _WORD.findall(text.lower())}


def _selected_from(stock: Rootstock, other: Rootstock) -> bool:
    """True if `stock` is a selection of `other`, by its parentage: 'Schaub' of rough lemon, 'Kuharske' of 'Carrizo'."""
    if stock.key == other.key or stock.group != other.group:
        return False
    if other.rank == "species":
        return _bare(stock.parentage).startswith(_bare(other.parentage))
    parent = f"{other.epithet}-type selection"
    return stock.parentage == parent or (other.rank == "landrace" and stock.common_name == other.epithet)


def _bare(parentage: str) -> str:
    return parentage.partition("(")[0].strip()


def _report(row: Row, diseases: Mapping[str, Row]) -> Report:
    value = row.value or Value(None, "year", row.cell("source"), row.cell("status"))
    pathogen = row.cell("pathogen")
    return Report(
        key=row.key,
        name=row.cell("name"),
        upper=(row.cell("upper_in"), row.cell("upper")),
        lower=(row.cell("lower_in"), row.cell("lower")),
        verdict=row.cell("verdict"),
        strength=row.cell("strength"),
        years=value,
        cause=row.cell("cause"),
        carried=row.cell("carried"),
        sign=row.cell("sign"),
        remedy=row.cell("remedy"),
        condition=row.cell("condition"),
        instead=row.cell_list("instead"),
        between=row.cell_list("between"),
        pathogen=pathogen,
        pathogen_name=diseases[pathogen].cell("name") if pathogen else "",
    )
