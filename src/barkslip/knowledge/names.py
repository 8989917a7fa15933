"""Looking things up by the names people use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Protocol, TypeVar

from barkslip.domain.known import SHIPPED, Entry, Found, Row
from barkslip.domain.method import Binding, Method
from barkslip.domain.sourced import Source
from barkslip.domain.variety import Rootstock, Variety, written_name
from barkslip.domain.word import REGIONS, Word
from barkslip.knowledge.files import TableShape
from barkslip.knowledge.find import Name, fold, search

Kind = TypeVar("Kind", Variety, Rootstock)
Called = TypeVar("Called", Method, Binding)

#: Tables whose rows can be found, in the order in which equal fits are shown.
_TABLES = ("varieties", "rootstocks", "methods", "bindings", "vocabulary", "bbch", "mcpd", "budwood", "notation")
_OFFERED_FIRST = {table: number for number, table in enumerate(_TABLES)}
_TABLE_COLUMNS = ("upper_in", "lower_in", "scion_in")
_QUIET_COLUMNS = ("key", "source", "status", *("value", "unit", "low", "high", "where"), *_TABLE_COLUMNS)


class Searched(Protocol):
    """What a search needs of the knowledge base."""

    @property
    def folders(self) -> tuple[Path, ...]: ...
    @property
    def shapes(self) -> dict[str, TableShape]: ...
    @property
    def sources(self) -> dict[str, Source]: ...
    def source(self, key: str) -> Source: ...
    def table(self, name: str) -> tuple[Row, ...]: ...
    def rows(self, name: str) -> Mapping[str, Row]: ...
    def entry(self, key: str) -> Entry: ...
    def entries(self, start: str = "") -> tuple[Entry, ...]: ...
    def row_entries(self, row: Row) -> tuple[Entry, ...]: ...


def one_named(name: str, kinds: Iterable[Kind]) -> Kind | None:
    """The one kind that the words of `name` allow, or None if none or several do.

    Every word of the epithet (or of a synonym, or the key) must be there; the words left over must belong to the
    common name or the group, so "washington navel" and "navel orange Washington" fit, "Washington apple" does not.
    The longest fitting name wins: "W. Murcott" is not "Murcott".
    """
    asked = set(fold(name).split())
    if not asked:
        return None
    fitting = [(length, kind) for kind in kinds if (length := _words_met(asked, kind))]
    if not fitting:
        return None
    longest = max(length for length, _ in fitting)
    winners = [kind for length, kind in fitting if length == longest]
    return winners[0] if len(winners) == 1 else None


def _words_met(asked: set[str], kind: Variety | Rootstock) -> int:
    """Words of the longest name of `kind` that `asked` holds with nothing foreign left over; 0 if none."""
    around = set(fold(f"{kind.common_name} {kind.group} {' '.join(kind.synonyms)} {kind.epithet}").split())
    names = (set(fold(one).split()) for one in (kind.epithet, kind.key, *kind.synonyms))
    return max((len(words) for words in names if words and words <= asked and asked - words <= around), default=0)


def one_called(name: str, kinds: Iterable[Called]) -> Called | None:
    """The one whose key, name or synonym is exactly `name` but for case, accents and hyphens."""
    asked = fold(name)
    for kind in kinds:
        if asked in _callings(kind):
            return kind
    return None


def _callings(kind: Method | Binding) -> list[str]:
    return [fold(one) for one in (kind.key, kind.name, *kind.synonyms)]


def one_word(text: str, words: Iterable[Word]) -> Word | None:
    """The one word of the trade that `text` means: its own name first, then its regional words."""
    asked = fold(text)
    every = list(words)
    own = [w for w in every if asked in (fold(w.term), fold(w.label), fold(w.key))]
    if len(own) == 1:
        return own[0]
    regional = [w for w in every if any(asked == fold(one) for said in w.regional.values() for one in said)]
    return regional[0] if len(regional) == 1 else None


def found_in(knowledge: Searched, text: str, kinds: tuple[str, ...], limit: int) -> list[Found]:
    """What `Knowledge.find` returns."""
    names = _names(knowledge)
    if kinds:
        names = [name for name in names if _label(knowledge, name.kind) in kinds]
    return [_found(knowledge, how, place, key) for how, place, key in search(text, names, limit)]


def _label(knowledge: Searched, place: str) -> str:
    return knowledge.shapes[place].label if place in knowledge.shapes else place


def _names(knowledge: Searched) -> list[Name]:
    """Every name of everything. Names are folded once per search; there are a few thousand."""
    names = []
    tables = [*_TABLES, *(t for t in knowledge.shapes if t not in _OFFERED_FIRST and t not in ("traits", "groups"))]
    for number, table in enumerate(tables):
        for row in knowledge.table(table):
            names += [Name(fold(one), table, row.key, number) for one in _row_names(knowledge, row)]
    weight = len(tables)
    for entry in knowledge.entries():
        names += [Name(fold(one), "number", entry.key, weight) for one in (entry.key, entry.label)]
    for source in knowledge.sources.values():
        names.append(Name(fold(source.key), "source", source.key, weight + 1))
    return [name for name in names if name.folded]


def _row_names(knowledge: Searched, row: Row) -> Iterator[str]:
    shape = knowledge.shapes[row.table]
    if "upper" in shape.columns:  # found by the names of both kinds, but never shown ahead of either
        yield f"fit of {row.key}"
        yield f"fit of {row.cell('name')}"
        return
    yield row.key
    if "epithet" in shape.columns:
        yield f"{row.cell('epithet')} {row.cell('common_name')}"
        yield row.cell("epithet")
    if "code" in shape.columns:
        yield f"BBCH {row.cell('code')}"
        yield row.cell("code")
        yield row.cell("meaning")
    for column in ("term", "label", "name", "what", "rule"):
        if column in shape.columns:
            yield row.cell(column)
    for column in shape.names:
        yield from row.cell_list(column)
    for region in REGIONS:
        if region in shape.columns:
            yield from row.cell_list(region)


def _found(knowledge: Searched, how: str, place: str, key: str) -> Found:
    if place == "number":
        entry = knowledge.entry(key)
        return Found("number", key, entry.label, how, (), (entry,), (entry.source,), entry.owner)
    if place == "source":
        source = knowledge.sources[key]
        words = (("citation", source.citation), ("where", source.where), ("seen", source.seen))
        return Found("source", key, key, how, words, (), (source,), source.owner)
    row = knowledge.rows(place)[key]
    sources: tuple[Source, ...] = ()
    if row.cell("source"):
        sources = (knowledge.source(row.cell("source")),)
    return Found(
        kind=_label(knowledge, place),
        key=key,
        name=_shown_name(knowledge, row),
        how=how,
        words=_words(row),
        values=knowledge.row_entries(row),
        sources=sources,
        owner=row.owner if not row.theirs or row.owner != SHIPPED else knowledge.folders[-1].name,
    )


def _shown_name(knowledge: Searched, row: Row) -> str:
    if row.table in ("varieties", "rootstocks"):
        return written_name(
            row.cell("epithet"), row.cell("common_name"), rank=row.cell("rank"), trade_name=row.cell("trade_name")
        )
    if row.table == "bbch":
        return f"BBCH {row.cell('code')}"
    for column in ("label", "name", "topic", "term", "rule", "what"):
        if row.cell(column):
            return row.cell(column)
    return row.key


def _words(row: Row) -> tuple[tuple[str, str], ...]:
    """The words of a row, labelled; a region's words that are recalled say so."""
    recalled = row.cell_list("recalled")
    words = []
    for column, text in row.cells.items():
        if not text or column in _QUIET_COLUMNS or column in ("recalled", "not_for_labels"):
            continue
        label = REGIONS.get(column, column.replace("_", " ")) if row.table == "vocabulary" else column.replace("_", " ")
        words.append((label, f"{text} (recalled)" if column in recalled else text))
    if row.cell("status"):
        words.append(("status", row.cell("status")))
    return tuple(words)
