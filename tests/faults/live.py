"""A bar whose server is a process of its own, on a store that nothing else holds open: it can be killed at any time."""

import shutil
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import sqlalchemy as sa

from server import create_app
from server.clock import now
from server.settings import Settings
from server.store import ledger
from server.store.database import reading, writing
from server.store.record_tables import TABLES
from server.store.tables import Entry
from tests.conftest import close
from tests.faults.phone import LivePhone
from tests.faults.wire import Http
from tests.server_process import ServerProcess
from tests.world import Person


class LiveBar:
    """`bar.server` can be started, stopped and killed; `bar.desk()` looks into the store past it."""

    def __init__(self, database_url: str):
        self.database_url, self.server = database_url, ServerProcess(database_url)
        with self.desk() as manager:
            self.site_id = manager.add("sites", name="Lantern Quay", time_zone="Europe/Lisbon")["id"]

    @contextmanager
    def desk(self) -> Iterator[Person]:
        """A signed-in manager on an app of this process. It is gone after the block: a store that somebody else
        holds open would not be recovered by a server that starts again."""
        app = create_app(Settings(self.database_url))
        try:
            yield Person.signed_in(app, "Mara")
        finally:
            close(app)

    def pair(self, name: str = "bar phone", clock=now, port: int | None = None) -> LivePhone:
        """A phone paired over the wire; the server runs."""
        with self.desk() as manager:
            return LivePhone.paired(None, manager, self.site_id, clock, name, Http(port or self.server.port))

    def ledger(self) -> list[dict]:
        """Every row of the ledger, in its order."""
        engine = sa.create_engine(self.database_url)
        with engine.connect() as connection:
            in_order = sa.select(Entry.__table__).order_by(Entry.seq)
            rows = [dict(row) for row in connection.execute(in_order).mappings()]
        engine.dispose()
        return rows

    def left_by_a_kill(self, folder: Path) -> set[str]:
        """The ids that the store holds right after a kill. SQLite's file is checked for damage, in a copy, so that
        repairing it is left to the server."""
        if not self.database_url.startswith("sqlite"):
            return {row["entry_id"] for row in self.ledger()}
        path = Path(self.database_url.removeprefix("sqlite:///"))
        for suffix in ("", "-wal"):
            shutil.copy(f"{path}{suffix}", folder / f"left{suffix}")
        with closing(sqlite3.connect(folder / "left")) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            return {entry_id for (entry_id,) in connection.execute("SELECT entry_id FROM entry")}

    def check(self, *phones: LivePhone) -> None:
        """Lost: 0. Doubled: 0. Nothing is changed, and nothing is there that nobody saved."""
        saved = {entry_id: entry for phone in phones for entry_id, entry in phone.saved.items()}
        rows = self.ledger()
        assert [row["seq"] for row in rows] == list(range(1, len(rows) + 1))
        sent = [row for row in rows if row["phone_id"]]  # the rest is the desk's
        stored = Counter(row["entry_id"] for row in sent)
        lost, doubled = saved.keys() - stored.keys(), [i for i, count in stored.items() if count > 1]
        strangers = stored.keys() - saved.keys()
        assert not (lost or doubled or strangers), f"lost {lost}, doubled {doubled}, strange {strangers}"
        assert [row for row in sent if said(row) != said(saved[row["entry_id"]])] == []
        for phone in phones:
            assert not phone.outbox and not phone.refused and phone.acknowledged <= stored.keys()
            assert phone.mirror.keys() == phones[0].mirror.keys() >= saved.keys()
        self._check_records(saved)

    def _check_records(self, saved: dict[str, dict]) -> None:
        """One record of each that was saved, and a rebuild from the ledger would change none of them."""
        with self.desk() as manager, manager.app.app_context():
            kept = _records()
            with writing() as session:
                ledger.lock(session)
                ledger.rebuild(session)
            assert _records() == kept
        for kind in {entry["kind"] for entry in saved.values()}:
            ours = {entry["record_id"] for entry in saved.values() if entry["kind"] == kind}
            assert {row["id"] for row in kept[kind]} == ours


def said(entry: dict) -> list:
    """What an entry says, apart from what a server adds."""
    return [entry[name] for name in ("kind", "record_id", "fields", "base", "made_at", "replica_id", "n")]


def _records() -> dict[str, list[dict]]:
    with reading() as session:
        return {
            name: [dict(row) for row in session.execute(sa.select(table).order_by(table.c.id)).mappings()]
            for name, table in TABLES.items()
        }
