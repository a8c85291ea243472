"""The engine, and the two kinds of transaction.

SQLite has one writer. Its lock is taken before anything is read (`BEGIN IMMEDIATE`), so that what a write decided on
is still true when it commits, and ledger numbers are given out in the order in which they commit. PostgreSQL gets the
same promise from the row lock that `store_state` puts first in every write (see `ledger.lock`).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import MetaData, event
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.orm import DeclarativeBase, Session

BUSY_TIMEOUT_S = 30


class Base(DeclarativeBase):
    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


db = SQLAlchemy(model_class=Base)


def prepare_engine(engine: Engine) -> None:
    """Make a SQLite engine durable and honest about transactions; leave any other as it is."""
    if engine.dialect.name != "sqlite":
        return

    @event.listens_for(engine, "connect")
    def on_connect(connection, record):
        connection.isolation_level = None  # the driver's own BEGIN comes too late: ours is below
        cursor = connection.cursor()
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_S * 1000}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def on_begin(connection: Connection):
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def writing() -> Iterator[Session]:
    """One write transaction: commits at the end, undoes everything if anything is raised."""
    session = db.session()
    session.rollback()  # a read transaction left open would make this one start from an old picture
    try:
        session.connection(execution_options={"writes": True})
        yield session
        session.commit()
    except BaseException:
        session.rollback()
        raise


@contextmanager
def reading() -> Iterator[Session]:
    """One read transaction: everything read inside is of the same moment."""
    session = db.session()
    session.rollback()
    if session.get_bind().dialect.name == "postgresql":  # SQLite's transactions are of one moment anyway
        session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
    try:
        yield session
    finally:
        session.rollback()
