"""A world for random search: the real server with its clock in the test's hand, and everything that can happen to a
request between a phone and it. What a phone is (Python here, the real client in `tests/browser`) is not known here."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from server import create_app
from server.ids import uuid7
from server.settings import Settings, sqlite_url
from server.sync.pull import wire
from tests.conftest import Clock, close
from tests.world import Person, Phone

PAGE_ENTRIES = 3
NOBODY = {"Content-Type": "text/html"}, "<h1>Welcome to the free network</h1>"
FATES = ("ok", "ok", "ok", "request_lost", "response_lost", "delayed", "too_big", "portal", "revoked")


class Shop:
    """Two sites and the server that both sync with."""

    def __init__(self, folder: Path, first: Path):
        self.store, self.backup_file = folder / "shop.sqlite3", folder / "backup.sqlite3"
        shutil.copy(first, self.store)
        self.first, self.clock = first, Clock()
        settings = Settings(sqlite_url(self.store), page_limit_entries=PAGE_ENTRIES)
        self.app = create_app(settings, self.clock)
        self.reader = sqlite3.connect(self.store, isolation_level=None)
        self.reader.row_factory = sqlite3.Row
        self.read_at, self.read = None, []

    def open(self) -> None:
        """An empty store again, with two sites and nobody paired."""
        copy(self.first, self.store)
        self.backup_file.unlink(missing_ok=True)
        self.manager = Person.signed_in(self.app, "Mara")
        self.sites = [
            self.manager.add("sites", name=n, time_zone="Europe/Lisbon")["id"] for n in ("Quay", "Cart")
        ]
        self.http, self.fates, self.in_the_air = {}, {}, []

    def close(self) -> None:
        self.reader.close()
        close(self.app)

    def pair(self, name: str, site: int) -> None:
        self.http[name] = Phone.paired(self.app, self.manager, self.sites[site], self.clock, name).http
        self.fates[name] = []

    def answer(self, name: str, path: str, body: str | None) -> dict | None:
        """What phone `name` hears: {status, headers, body}, or None where it hears nothing."""
        fate = self.fates[name].pop(0) if self.fates[name] and path == "/api/sync" else "ok"
        self.clock.pass_(seconds=1)
        if fate == "request_lost":
            return None
        if fate == "delayed":
            self.in_the_air.append((name, path, body, self.clock()))
            return None
        if fate in ("too_big", "revoked"):
            status = {"too_big": 413, "revoked": 401}[fate]
            return {"status": status, "headers": {"Content-Type": "application/problem+json"}, "body": "{}"}
        if fate == "portal":
            return {"status": 200, "headers": NOBODY[0], "body": NOBODY[1]}
        heard = self.deliver(name, path, body)
        return None if fate == "response_lost" else heard

    def deliver(self, name: str, path: str, body: str | None) -> dict:
        """Hand a request to the server as phone `name`."""
        method = self.http[name].get if body is None else self.http[name].post
        answer = method(path, data=body, content_type="application/json")
        assert answer.status_code < 500, answer.text
        return {
            "status": answer.status_code,
            "headers": {"Content-Type": answer.content_type},
            "body": answer.text,
        }

    def old_request_arrives(self) -> float:
        """Deliver what was delayed, with nobody there to hear the answer; how long it took. [s]"""
        name, path, body, sent = self.in_the_air.pop(0)
        self.deliver(name, path, body)
        return (self.clock() - sent).total_seconds()

    def back_up(self) -> None:
        copy(self.store, self.backup_file)

    def restore(self, announced: bool) -> None:
        """Put the backup in the store's place; unannounced, it keeps the name that phones know it by."""
        copy(self.backup_file, self.store)
        if announced:
            with closing(sqlite3.connect(self.store)) as connection, connection:
                connection.execute("UPDATE store_state SET database_id = ?", (uuid7(),))

    def ledger(self) -> list[dict]:
        """Every entry as it travels, and the site that it belongs to."""
        (version,) = self.reader.execute("PRAGMA data_version").fetchone()
        if self.read_at != version:
            self.read_at, self.read = version, self._read_ledger()
        return self.read

    def _read_ledger(self) -> list[dict]:
        rows = self._rows("SELECT * FROM entry ORDER BY seq")
        for row in rows:
            row.update(
                fields=json.loads(row["fields"]), base=json.loads(row["base"]) if row["base"] else None
            )
            row["retract"] = None if row["retract"] is None else bool(row["retract"])
        return [{**wire(row), "site_id": row["site_id"]} for row in rows]

    def refused(self) -> set[str]:
        return {row["entry_id"] for row in self._rows("SELECT entry_id FROM refused_entry")}

    def database_id(self) -> str:
        return self._rows("SELECT database_id FROM store_state")[0]["database_id"]

    def _rows(self, query: str) -> list[dict]:
        return [dict(row) for row in self.reader.execute(query)]


def copy(source: Path, target: Path) -> None:
    """Put the content of one store in the place of another's, under whoever holds it open."""
    with closing(sqlite3.connect(source)) as one, closing(sqlite3.connect(target)) as other:
        one.backup(other)
