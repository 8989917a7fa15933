"""Rows of the tables as the nouns of the domain."""

from __future__ import annotations

from collections.abc import Mapping

from barkslip.domain.known import Row
from barkslip.domain.method import Binding, Method
from barkslip.domain.stage import Stage
from barkslip.domain.variety import Rootstock, Variety
from barkslip.domain.word import REGIONS, Word


def variety(row: Row, groups: Mapping[str, Row]) -> Variety:
    """A `Variety` from its row; the botanical name is that of its group."""
    group = groups.get(row.cell("group"))
    return Variety(
        key=row.key,
        epithet=row.cell("epithet"),
        common_name=row.cell("common_name"),
        group=row.cell("group"),
        rank=row.cell("rank"),
        taxon=group.cell("taxon") if group else "",
        trade_name=row.cell("trade_name"),
        synonyms=row.cell_list("synonyms"),
        values=row.values,
        owner=row.owner,
    )


def rootstock(row: Row) -> Rootstock:
    """A `Rootstock` from its row."""
    return Rootstock(
        key=row.key,
        epithet=row.cell("epithet"),
        common_name=row.cell("common_name"),
        group=row.cell("group"),
        sucker_leaf=row.cell("sucker_leaf"),
        rank=row.cell("rank"),
        parentage=row.cell("parentage"),
        synonyms=row.cell_list("synonyms"),
        values=row.values,
        owner=row.owner,
    )


def method(row: Row) -> Method:
    """A `Method` from its row."""
    return Method(
        key=row.key,
        name=row.cell("name"),
        bark_must_lift=row.cell("bark_must_lift"),
        synonyms=row.cell_list("synonyms"),
        scion=row.cell("scion"),
        aftercare=row.cell("aftercare"),
        values=row.values,
        owner=row.owner,
    )


def binding(row: Row) -> Binding:
    """A `Binding` from its row."""
    yields = row.first("yields")
    return Binding(
        key=row.key,
        name=row.cell("name"),
        yields=str(yields.value) if yields and yields.value is not None else "not known",
        synonyms=row.cell_list("synonyms"),
        avoid=row.cell("avoid") == "yes",
        note=row.cell("note"),
        values=row.values,
        owner=row.owner,
    )


def stage(row: Row) -> Stage:
    """A `Stage` from its row."""
    return Stage(
        code=row.cell("code"),
        principal=row.cell("principal"),
        meaning=row.cell("meaning"),
        crop=row.cell("crop"),
        source=row.cell("source"),
        status=row.cell("status"),
        owner=row.owner,
    )


def word(row: Row) -> Word:
    """A `Word` from its row."""
    return Word(
        key=row.key,
        term=row.cell("term"),
        label=row.cell("label"),
        definition=row.cell("definition"),
        regional={region: words for region in REGIONS if (words := row.cell_list(region))},
        recalled=row.cell_list("recalled"),
        not_for_labels=row.cell_list("not_for_labels"),
        source=row.cell("source"),
        status=row.cell("status"),
        note=row.cell("note"),
        owner=row.owner,
    )
