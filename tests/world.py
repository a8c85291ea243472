"""Stand-ins for those who talk to the server: a manager's browser, a phone with its outbox, a script."""

import datetime as dt

from server.clock import as_text, to_ms
from server.ids import uuid7
from server.store import access
from server.store.database import writing


class Person:
    """A browser with its own cookies."""

    def __init__(self, app):
        self.app, self.http = app, app.test_client()

    @classmethod
    def signed_in(cls, app, name: str) -> "Person":
        """A browser that signed in a while ago: checking a password is slow on purpose, and tested elsewhere."""
        person = cls(app)
        with app.app_context(), writing() as session:
            token = access.new_session(session, access.manager_called(session, name), to_ms(person.now()), days=14)
        person.http.set_cookie("evenpull_manager", token)
        return person

    def now(self) -> dt.datetime:
        return self.app.extensions["evenpull"].clock()

    def sign_in(self, name: str, password: str) -> None:
        answer = self.http.post("/api/session", json={"name": name, "password": password})
        assert answer.status_code == 200, answer.json

    def add(self, plural: str, **fields) -> dict:
        answer = self.http.post(f"/api/{plural}", json=fields)
        assert answer.status_code == 201, answer.json
        return answer.json

    def get(self, path: str, **arguments) -> dict:
        answer = self.http.get(path, query_string=arguments)
        assert answer.status_code == 200, answer.json
        return answer.json


class Phone:
    """The protocol's phone in Python: an outbox, a mirror, a cursor. Mirrors static/outbox and static/sync."""

    def __init__(self, app, clock, http):
        self.app, self.clock, self.http = app, clock, http
        self.replica_id, self.n = uuid7(), 0
        self.outbox: dict[str, dict] = {}
        self.mirror: dict[str, dict] = {}
        self.refused: dict[str, dict] = {}
        self.cursor = None
        self.known_offset_s = None
        self.behind = dt.timedelta(0)  # how far this phone's own clock is behind
        self.last: dict = {}

    @classmethod
    def paired(cls, app, manager: Person, site_id: str, clock, name: str = "bar phone", http=None) -> "Phone":
        """`http` is what it reaches the server by, if not the app in this process."""
        code = manager.http.post("/api/pairings", json={"site_id": site_id}).json["code"]
        phone = cls(app, clock, http or app.test_client())
        answer = phone.http.post("/api/pair", json={"code": code, "name": name})
        assert answer.status_code == 200, answer.json
        phone.phone_id, phone.site_id = answer.json["phone_id"], answer.json["site_id"]
        return phone

    def now(self) -> str:
        return as_text(self.clock() - self.behind)

    def save(self, kind: str, fields: dict, record_id: str | None = None, base: dict | None = None, **more) -> dict:
        """Make an entry and put it in the outbox, as a tap does."""
        self.n += 1
        entry = {
            "entry_id": uuid7(to_ms(self.clock())),
            "kind": kind,
            "record_id": record_id or uuid7(to_ms(self.clock())),
            "fields": fields,
            "replica_id": self.replica_id,
            "n": self.n,
            "base": base,
            "made_at": self.now(),
            "protocol": 1,
            "app": "test",
            **more,
        }
        self.outbox[entry["entry_id"]] = entry
        return entry

    def shot(self, **fields) -> dict:
        whole = {"pulled_at": self.now(), "site_id": self.site_id, "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0}
        return self.save("shot", {**whole, **fields})

    def request(self, limit: int = 500) -> dict:
        return {
            "protocol": 1,
            "app": "test",
            "replica_id": self.replica_id,
            "sent_at": self.now(),
            "known_offset_s": self.known_offset_s,
            "cursor": self.cursor,
            "waiting": len(self.outbox),
            "entries": list(self.outbox.values())[:limit],
        }

    def round(self, limit: int = 500) -> dict:
        """One whole round, with an answer that arrives."""
        answer = self.http.post("/api/sync", json=self.request(limit))
        assert answer.status_code == 200, answer.json
        self.take(answer.json)
        return answer.json

    def sync(self) -> dict:
        """Rounds until nothing waits, here or there."""
        for _ in range(100):
            answer = self.round()
            if not answer["more"] and not self.outbox and "restart" not in answer:
                return answer
        raise AssertionError(f"never drains: {list(self.outbox)[:3]}")

    def take(self, answer: dict) -> None:
        for receipt in answer["receipts"]:
            if receipt["receipt"] == "refused" and receipt["entry_id"] in self.outbox:
                self.refused[receipt["entry_id"]] = {**receipt, "entry": self.outbox.pop(receipt["entry_id"])}
        if answer.get("restart") == "database":
            again = {i: {k: v for k, v in e.items() if k not in ADDED} for i, e in self.mirror.items()}
            self.outbox = {**again, **self.outbox}
        if "restart" in answer:
            self.mirror, self.cursor = {}, None
            return
        for entry in answer["entries"]:
            self.mirror[entry["entry_id"]] = entry
            self.outbox.pop(entry["entry_id"], None)
        self.cursor = answer["cursor"]
        self.last = answer


class Script:
    """A script with a token."""

    def __init__(self, app, site_id: str):
        with app.app_context(), writing() as session:
            _, self.token = access.add_phone(session, "scale script", site_id, 0, is_script=True)
        self.app, self.http = app, app.test_client()

    def post(self, path: str, body=None, **headers):
        headers = {"Authorization": f"Bearer {self.token}", **headers}
        return self.http.post(path, json=body, headers=headers)


ADDED = {"seq", "received_at", "phone_id", "clock_doubt_s"}
