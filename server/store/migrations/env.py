"""Runs the migrations on the connection that `server.store.setup` hands over."""

from alembic import context

from server.store import record_tables, tables  # noqa: F401  (they fill the metadata)
from server.store.database import Base

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Base.metadata, render_as_batch=True, compare_type=True)
with context.begin_transaction():
    context.run_migrations()
