"""Answers about nights.

Revision ID: 0002
Revises: 0001
"""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

STATEMENTS = (
    """CREATE TABLE night_answer (
    id TEXT NOT NULL,
    thing TEXT NOT NULL,
    made_utc TEXT NOT NULL,
    corrects TEXT,
    withdrawn BOOLEAN NOT NULL,
    plot TEXT NOT NULL,
    day TEXT NOT NULL,
    source TEXT NOT NULL,
    forecast_low_c FLOAT,
    low_p10_c FLOAT NOT NULL,
    low_p50_c FLOAT NOT NULL,
    low_p90_c FLOAT NOT NULL,
    target FLOAT NOT NULL,
    chance FLOAT NOT NULL,
    measured_low_c FLOAT,
    knowledge_hash TEXT NOT NULL,
    seed INTEGER NOT NULL,
    current BOOLEAN DEFAULT 1 NOT NULL,
    PRIMARY KEY (id),
    FOREIGN KEY(thing) REFERENCES thing (id),
    FOREIGN KEY(corrects) REFERENCES night_answer (id),
    FOREIGN KEY(plot) REFERENCES thing (id)
)""",
    """CREATE INDEX ix_night_answer_corrects ON night_answer (corrects) WHERE corrects IS NOT NULL""",
    """CREATE INDEX ix_night_answer_plot_day ON night_answer (plot, day) WHERE current AND NOT withdrawn""",
    """CREATE INDEX ix_night_answer_thing ON night_answer (thing)""",
)


def upgrade() -> None:
    """Make the table; nothing that is there changes."""
    for statement in STATEMENTS:
        op.execute(statement)


def downgrade() -> None:
    """Books only move forward; a backup is made before each move."""
    raise NotImplementedError("books only move forward")
