"""Signs and causes, where loggers sat, tools, rules, wood handed on, things held back.

Revision ID: 0003
Revises: 0002
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

STATEMENTS = (
    """CREATE TABLE placement (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    logger TEXT NOT NULL,
    since_first TEXT NOT NULL,
    since_last TEXT NOT NULL,
    since_text TEXT NOT NULL,
    until_first TEXT NOT NULL,
    until_last TEXT NOT NULL,
    until_text TEXT NOT NULL,
    cover TEXT NOT NULL,
    graft TEXT,
    tree TEXT,
    side TEXT NOT NULL,
    touching BOOLEAN NOT NULL,
    arm TEXT NOT NULL,
    note TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES placement (id),
    FOREIGN KEY(logger) REFERENCES thing (id),
    FOREIGN KEY(graft) REFERENCES thing (id),
    FOREIGN KEY(tree) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_placement_corrects ON placement (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_placement_graft ON placement (graft) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_placement_logger ON placement (logger) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_placement_thing ON placement (thing)""",
    """CREATE TABLE sign (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    question TEXT NOT NULL,
    answer TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    tree TEXT,
    graft TEXT,
    note TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES sign (id),
    FOREIGN KEY(tree) REFERENCES thing (id),
    FOREIGN KEY(graft) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_sign_corrects ON sign (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_sign_graft ON sign (graft) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_sign_thing ON sign (thing)""",
    """CREATE INDEX ix_sign_tree ON sign (tree) WHERE current AND NOT withdrawn""",
    """CREATE TABLE cause (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    graft TEXT NOT NULL,
    cause TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    how TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES cause (id),
    FOREIGN KEY(graft) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_cause_corrects ON cause (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_cause_graft ON cause (graft) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_cause_thing ON cause (thing)""",
    """CREATE TABLE tool_use (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    tool TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    place INTEGER NOT NULL,
    tree TEXT,
    graft TEXT,
    lot TEXT,
    cleaned TEXT NOT NULL,
    note TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES tool_use (id),
    FOREIGN KEY(tree) REFERENCES thing (id),
    FOREIGN KEY(graft) REFERENCES thing (id),
    FOREIGN KEY(lot) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_tool_use_corrects ON tool_use (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_tool_use_on_first ON tool_use (on_first) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_tool_use_thing ON tool_use (thing)""",
    """CREATE TABLE handout (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    lot TEXT NOT NULL,
    receiver TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    sticks INTEGER,
    note TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES handout (id),
    FOREIGN KEY(lot) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_handout_corrects ON handout (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_handout_lot ON handout (lot) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_handout_thing ON handout (thing)""",
    """CREATE TABLE wood_rule (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    area TEXT NOT NULL,
    text TEXT NOT NULL,
    office TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    until_first TEXT,
    until_last TEXT,
    until_text TEXT,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES wood_rule (id)
)""",
    """CREATE INDEX ix_wood_rule_corrects ON wood_rule (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_wood_rule_thing ON wood_rule (thing)""",
    """CREATE TABLE hold (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    why TEXT NOT NULL,
    on_first TEXT NOT NULL,
    on_last TEXT NOT NULL,
    on_text TEXT NOT NULL,
    tree TEXT,
    graft TEXT,
    lot TEXT,
    agent TEXT NOT NULL,
    lifted_first TEXT,
    lifted_last TEXT,
    lifted_text TEXT,
    how TEXT NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES hold (id),
    FOREIGN KEY(tree) REFERENCES thing (id),
    FOREIGN KEY(graft) REFERENCES thing (id),
    FOREIGN KEY(lot) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_hold_corrects ON hold (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_hold_thing ON hold (thing)""",
)


def upgrade() -> None:
    """Make the tables; nothing that is there changes."""
    for statement in STATEMENTS:
        op.execute(statement)


def downgrade() -> None:
    """Books only move forward; a backup is made before each move."""
    raise NotImplementedError("books only move forward")
