"""Alembic's entry: runs on the connection that `fieldbook.migrate` hands over."""

from __future__ import annotations

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=None, transaction_per_migration=False)
context.run_migrations()
