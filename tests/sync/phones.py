"""The protocol's phone in Python, for random search: what static/outbox and static/sync do, without a browser."""

import copy
import datetime as dt
import itertools
import json

from server.clock import as_text, to_ms
from server.compute.fold import fold
from server.ids import uuid7
from tests.sync.machine import NOT_YET, group, names_of, part
from tests.sync.shop import Shop

MOST_TRIES = 3


class PythonPhone:
    """What one phone holds, and the four things that it does: save, offer, take, start anew."""

    def __init__(self, shop: Shop, name: str):
        self.shop, self.name, self.behind = shop, name, dt.timedelta(0)
        self.outbox, self.mirror, self.refused = {}, {}, {}
        self.cursor, self.known_offset_s = None, None
        self.replica_id, self.n = uuid7(), 0

    def held(self) -> dict:
        """Everything on the phone, by entry or record."""
        held = {name: getattr(self, name) for name in ("outbox", "mirror", "refused", "cursor")}
        return {**held, "records": self.records()}

    def records(self) -> dict[str, dict]:
        waiting = [{"effective_at": NOT_YET, **entry} for entry in self.outbox.values()]
        groups = group([*self.mirror.values(), *waiting])
        return {i: {"id": i, "kind": about[0]["kind"], **part(fold(about))} for i, about in groups.items()}

    def save(self, kind, record_id, fields, retract=None, cut=0) -> dict | None:
        """The record, or None where the phone died before the save was complete."""
        if cut == 1:
            return None
        record = self.records().get(record_id)
        self.n += 1
        entry = {
            "entry_id": uuid7(to_ms(self.now())),
            "kind": kind,
            "record_id": record_id or uuid7(),
            "fields": fields,
        }
        entry |= {"replica_id": self.replica_id, "n": self.n, "made_at": as_text(self.now()), "protocol": 1}
        entry |= {} if retract is None else {"retract": retract}
        entry["base"] = {name: record["heads"].get(name) for name in names_of(entry)} if record else {}
        self.outbox[entry["entry_id"]] = entry
        return self.records()[entry["record_id"]]

    def sync(self, cut: int) -> None:
        """A cycle of rounds. The phone dies before it has taken the `cut / 2`-th answer."""
        offered, limit, tries = set(), 500, 0
        for taken in itertools.count(1):
            batch = self.waiting(offered)[:limit]
            heard = self.shop.answer(self.name, "/api/sync", json.dumps(self.request(batch)))
            if heard is not None and heard["status"] == 413 and len(batch) > 1:
                limit = len(batch) // 2
                continue
            if (
                heard is None
                or heard["status"] != 200
                or "json" not in heard["headers"].get("Content-Type", "")
            ):
                return
            if cut == 2 * taken:
                return
            answer = json.loads(heard["body"])
            cloned = self.take(answer)
            offered = (offered | {entry["entry_id"] for entry in batch}) - cloned
            if answer.get("restart"):
                offered = set()
            tries += bool(cloned) or "restart" in answer
            if tries > MOST_TRIES or not (answer["more"] or answer.get("restart") or self.waiting(offered)):
                return

    def waiting(self, offered: set[str]) -> list[dict]:
        """Those that a server once gave out, in its order, then this phone's own as they were made."""
        left = [entry for entry in self.outbox.values() if entry["entry_id"] not in offered]
        return sorted(left, key=lambda entry: (entry.get("seq", float("inf")), entry["n"]))

    def request(self, batch: list[dict]) -> dict:
        known = {"replica_id": self.replica_id, "cursor": self.cursor, "known_offset_s": self.known_offset_s}
        known |= {"protocol": 1, "app": "test", "sent_at": as_text(self.now()), "waiting": len(self.outbox)}
        return {**known, "entries": batch}

    def take(self, answer: dict) -> set[str]:
        """All of an answer in one step; the ids of entries that were numbered anew."""
        cloned = self.settle(answer["receipts"])
        if answer.get("restart") == "database":
            self.outbox = {**self.mirror, **self.outbox}
        if answer.get("restart"):
            self.mirror, self.cursor = {}, None
            return cloned
        for entry in answer["entries"]:
            self.mirror[entry["entry_id"]] = entry
            self.outbox.pop(entry["entry_id"], None)
        self.cursor = answer["cursor"]
        return cloned

    def settle(self, receipts: list[dict]) -> set[str]:
        cloned = set()
        for receipt in receipts:
            entry = self.outbox.get(receipt["entry_id"])
            if receipt["receipt"] != "refused" or entry is None:
                continue
            if receipt["reason"] == "cloned":
                if entry["replica_id"] == self.replica_id:
                    self.replica_id, self.n = uuid7(), 0
                self.n += 1
                self.outbox[entry["entry_id"]] = {**entry, "replica_id": self.replica_id, "n": self.n}
                cloned.add(entry["entry_id"])
            else:
                self.refused[entry["entry_id"]] = {**receipt, "entry": self.outbox.pop(entry["entry_id"])}
        return cloned

    def now(self) -> dt.datetime:
        return self.shop.clock() - self.behind

    def step_clock(self, seconds: int) -> None:
        self.behind = dt.timedelta(seconds=seconds)

    def copy_to(self, name: str) -> "PythonPhone":
        other = PythonPhone(self.shop, name)
        for what in ("outbox", "mirror", "refused", "cursor", "known_offset_s", "replica_id", "n", "behind"):
            setattr(other, what, copy.deepcopy(getattr(self, what)))
        return other

    def take_from(self, other: "PythonPhone") -> None:
        """Take an exported file of another phone in."""
        theirs = {**other.mirror, **{i: one["entry"] for i, one in other.refused.items()}, **other.outbox}
        known = {*self.mirror, *self.refused, *self.outbox}
        self.outbox |= copy.deepcopy({i: entry for i, entry in theirs.items() if i not in known})
