"""A store made by the migrations is the store that the code expects."""

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from server.store.database import Base, db
from server.store.setup import bring_up_to_date


@pytest.mark.parametrize("store", ["sqlite", "postgresql"])
def test_the_migrations_make_exactly_the_tables_that_the_code_declares(app):
    with app.app_context(), db.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_bringing_a_store_up_to_date_twice_changes_nothing(app):
    with app.app_context():
        before = db.engine.connect().exec_driver_sql("SELECT database_id, seq FROM store_state").all()
        bring_up_to_date(db.engine)
        assert db.engine.connect().exec_driver_sql("SELECT database_id, seq FROM store_state").all() == before


@pytest.mark.parametrize("store", ["sqlite"])
def test_a_sqlite_store_is_durable_and_checks_foreign_keys(app):
    with app.app_context(), db.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
