"""The schema of the newest version, declared with SQLAlchemy.

Migrations move a book here; tests compare a migrated book with this page.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    text,
)

from barkslip.fieldbook.rows import NOUNS, REFERENCES, spec

metadata = MetaData()
_TYPES = {"text": Text, "int": Integer, "real": Float, "bool": Boolean, "json": Text, "when": Text}

thing = Table("thing", metadata, Column("id", Text, primary_key=True), Column("kind", Text, nullable=False))


def _noun_table(name: str) -> Table:
    columns: list[Column[object]] = []
    for c in spec(NOUNS[name]).columns:
        sql_type = _TYPES[c.kind]
        if c.name == "id":
            columns.append(Column("id", Text, primary_key=True))
        elif c.name == "thing":
            columns.append(Column("thing", Text, ForeignKey("thing.id"), nullable=False))
        elif c.name == "corrects":
            columns.append(Column("corrects", Text, ForeignKey(f"{name}.id")))
        elif c.name in REFERENCES and c.kind == "text":
            columns.append(Column(c.name, Text, ForeignKey("thing.id"), nullable=c.nullable))
        else:
            columns.append(Column(c.name, sql_type, nullable=c.nullable))
    columns.append(Column("current", Boolean, nullable=False, server_default=text("1")))
    return Table(name, metadata, *columns)


tables = {name: _noun_table(name) for name in NOUNS}

# (table, columns): what lists and pages look things up by; only current lines are indexed
LOOKUPS: dict[str, tuple[tuple[str, ...], ...]] = {
    "plot": (("code",),),
    "tree": (("code",), ("plot",)),
    "limb": (("tree",),),
    "chain_link": (("tree",),),
    "wood_lot": (("code",), ("from_tree",), ("from_graft",)),
    "lot_find": (("lot",),),
    "graft": (("code",), ("tree",), ("lot",), ("campaign",), ("limb",)),
    "look": (("graft", "on_first"),),
    "act": (("graft",), ("tree",), ("limb",), ("plot",)),
    "event": (("on_first",),),
    "photo": (("about",),),
    "tasting": (("tree",),),
    "record": (("plot",),),
    "night_answer": (("plot", "day"),),
    "placement": (("logger",), ("graft",)),
    "sign": (("tree",), ("graft",)),
    "cause": (("graft",),),
    "tool_use": (("on_first",),),
    "handout": (("lot",),),
    "trial_plan": (("trial",),),
    "trial_reading": (("trial",),),
    "canopy_share": (("tree",),),
}
UNIQUE_CODES = ("plot", "tree", "wood_lot", "graft")

#: Nouns hanging on a graft whose corrected lines are looked for on its page.
CORRECTED_BY_GRAFT = ("look", "act")

for _name, _table in tables.items():
    if _name in CORRECTED_BY_GRAFT:
        Index(f"ix_{_name}_graft_corrects", _table.c.graft, sqlite_where=text("corrects IS NOT NULL"))
    Index(f"ix_{_name}_thing", _table.c.thing)
    Index(f"ix_{_name}_corrects", _table.c.corrects, sqlite_where=text("corrects IS NOT NULL"))
    for _columns in LOOKUPS.get(_name, ()):
        Index(
            f"ix_{_name}_{'_'.join(_columns)}",
            *[_table.c[c] for c in _columns],
            unique=_columns == ("code",) and _name in UNIQUE_CODES,
            sqlite_where=text("current AND NOT withdrawn"),
        )

block = Table(
    "block",
    metadata,
    Column("record", Text, ForeignKey("thing.id"), primary_key=True),
    Column("month", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("readings", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
)

# Derived tables: what the lists need at a glance, always recomputable from the entries ("book check" does).
graft_now = Table(
    "graft_now",
    metadata,
    Column("graft", Text, ForeignKey("thing.id"), primary_key=True),
    Column("plot", Text, ForeignKey("thing.id"), nullable=False),
    Column("tree", Text, ForeignKey("thing.id"), nullable=False),
    Column("lot", Text, ForeignKey("thing.id")),
    Column("campaign", Text, nullable=False),
    Column("walk_key", Text, nullable=False),
    Column("word", Text, nullable=False),
    Column("mark", Text, nullable=False),
    Column("standing", Text, nullable=False),
    Column("open", Boolean, nullable=False),
)
Index("ix_graft_now_walk_key", graft_now.c.walk_key, sqlite_where=text("open"))
Index("ix_graft_now_order", graft_now.c.walk_key)
Index("ix_graft_now_tree", graft_now.c.tree, graft_now.c.mark)
Index("ix_graft_now_lot", graft_now.c.lot, graft_now.c.word)
Index("ix_graft_now_campaign", graft_now.c.campaign, graft_now.c.walk_key)
Index("ix_graft_now_word", graft_now.c.word, graft_now.c.walk_key)
Index("ix_graft_now_plot_word", graft_now.c.plot, graft_now.c.word)

due = Table(
    "due",
    metadata,
    Column("graft", Text, ForeignKey("thing.id")),
    Column("tree", Text, ForeignKey("thing.id"), nullable=False),
    Column("plot", Text, ForeignKey("thing.id"), nullable=False),
    Column("walk_key", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("opens", Text, nullable=False),
    Column("closes", Text),
    Column("ends", Text),
    Column("body", Text, nullable=False),
)
Index("ix_due_plot_opens", due.c.plot, due.c.opens, due.c.ends, due.c.closes)
Index("ix_due_plot_walk_key", due.c.plot, due.c.walk_key, due.c.opens)
Index("ix_due_graft", due.c.graft)
Index("ix_due_tree", due.c.tree)

meta = Table("meta", metadata, Column("key", Text, primary_key=True), Column("value", Text, nullable=False))
