"""Brings a store up to date: makes it if it isn't there, runs the migrations, gives it an identity."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, insert, select
from sqlalchemy.engine import Engine

from server.ids import uuid7
from server.store.tables import StoreState

MIGRATIONS = Path(__file__).parent / "migrations"


def migration_config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.attributes["connection"] = connection
    return config


def bring_up_to_date(engine: Engine) -> None:
    """Run what migrations are due and make sure of the one row of `store_state`. Harmless to repeat."""
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        command.upgrade(migration_config(connection), "head")
        if connection.execute(select(StoreState.id)).first() is None:
            connection.execute(insert(StoreState).values(id=1, database_id=uuid7(), seq=0))
