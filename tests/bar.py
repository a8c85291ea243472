"""A real server on a store of its own, in this process, with a bar to serve: tests may set its clock and its limits."""

import dataclasses
import datetime as dt
import shutil
import sqlite3
import threading
from contextlib import closing
from pathlib import Path

from werkzeug.serving import make_server

from server import create_app
from server.ids import uuid7
from server.settings import Settings, sqlite_url
from server.store.database import db
from tests.world import Person


class Bar:
    """`with Bar(folder, first) as bar:` serves a copy of the store `first` on `bar.url` until the block ends;
    `bar.clock_s` shifts its clock."""

    def __init__(self, folder: Path, first: Path):
        self.store, self.clock_s = Path(shutil.copy(first, Path(folder) / "bar.sqlite3")), 0.0
        self.app = create_app(Settings(sqlite_url(self.store)), clock=self.now)
        self.manager = Person.signed_in(self.app, "Mara").http
        self.site_id = self.make("sites", name="Lantern Quay", time_zone="Europe/London")

    def now(self) -> dt.datetime:
        return dt.datetime.now(dt.UTC) + dt.timedelta(seconds=self.clock_s)

    def make(self, plural: str, **fields) -> str:
        """One record by the manager's hand; its id."""
        answer = self.manager.post(f"/api/{plural}", json=fields)
        assert answer.status_code == 201, answer.text
        return answer.json["id"]

    def code(self, site_id: str | None = None) -> str:
        """A pairing code, as the manager reads it out."""
        return self.manager.post("/api/pairings", json={"site_id": site_id or self.site_id}).json["code"]

    def rows(self, query: str, *values) -> list[tuple]:
        """What the store says, asked behind the server's back."""
        with closing(sqlite3.connect(self.store)) as connection:
            return connection.execute(query, values).fetchall()

    def stored_ids(self, kind: str = "shot") -> list[str]:
        return [entry_id for (entry_id,) in self.rows("SELECT entry_id FROM entry WHERE kind = ?", kind)]

    def limit(self, **settings) -> None:
        """Set some of the server's limits anew, while it runs."""
        running = self.app.extensions["evenpull"]
        running.settings = dataclasses.replace(running.settings, **settings)

    def redact(self, shot_id: str, entry_id: str, fields: list[str]) -> None:
        """Empty fields of one entry about a shot, as the manager does."""
        wanted = {"entry_id": entry_id, "fields": fields}
        answer = self.manager.post(f"/api/shots/{shot_id}/redactions", json=wanted)
        assert answer.status_code == 201, answer.text

    def backup(self) -> Path:
        """A consistent copy of the store as it is now."""
        copy = self.store.with_name(f"backup-{len(list(self.store.parent.glob('backup-*')))}.sqlite3")
        with closing(sqlite3.connect(self.store)) as source, closing(sqlite3.connect(copy)) as target:
            source.backup(target)
        return copy

    def restore(self, copy: Path) -> None:
        """Put a copy in the store's place and tell nobody: it keeps the `database_id` that phones know."""
        with closing(sqlite3.connect(copy)) as source, closing(sqlite3.connect(self.store)) as target:
            source.backup(target)

    def rename(self) -> None:
        """Give the store another `database_id`, as every announced restore does."""
        with closing(sqlite3.connect(self.store)) as connection, connection:
            connection.execute("UPDATE store_state SET database_id = ?", (uuid7(),))

    def __enter__(self):
        self._http = make_server("127.0.0.1", 0, self.app, threaded=True)
        self._thread = threading.Thread(target=self._http.serve_forever, kwargs={"poll_interval": 0.02})
        self._thread.start()
        self.url = f"http://127.0.0.1:{self._http.server_port}"
        return self

    def __exit__(self, *_):
        self._http.shutdown()
        self._http.server_close()
        self._thread.join()
        self.close()

    def close(self) -> None:
        with self.app.app_context():
            db.engine.dispose()
