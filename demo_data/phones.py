"""Phones that save changes and send them later: turns what was done, and when, into entries and rounds of sync."""

import datetime as dt
from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass, field
from random import Random
from zoneinfo import ZoneInfo

from server.clock import to_ms
from server.ids import uuid7

APP, PROTOCOL = "0.1.0", 1
NO_TIME = dt.timedelta(0)


@dataclass
class Phone:
    """One installation of the app, with a clock of its own.

    `syncs` are the true instants at which it reaches the server; whoever has none sends at once.
    """

    name: str
    site_id: str | None
    replica_id: str
    zone: ZoneInfo
    syncs: list[dt.datetime] = field(default_factory=list)
    clock_set: list[tuple[dt.datetime, dt.timedelta]] = field(
        default_factory=list
    )  # (from when on, how far behind)

    def behind(self, at: dt.datetime) -> dt.timedelta:
        return next((behind for since, behind in reversed(self.clock_set) if since <= at), NO_TIME)

    def says(self, at: dt.datetime) -> str:
        """An instant as this phone writes it: by its own clock, with its own offset from UTC."""
        return (at - self.behind(at)).astimezone(self.zone).isoformat(timespec="milliseconds")

    def sent(self, at: dt.datetime) -> dt.datetime | None:
        """When a change made at `at` reaches the server; None if it still waits."""
        if not self.syncs:
            return at
        place = bisect_left(self.syncs, at)
        return self.syncs[place] if place < len(self.syncs) else None

    def last_sync(self, at: dt.datetime) -> dt.datetime:
        place = bisect_right(self.syncs, at)
        return (
            self.syncs[place - 1]
            if place
            else (at if not self.syncs else dt.datetime.min.replace(tzinfo=dt.UTC))
        )


@dataclass
class Change:
    """What somebody did on a phone at an instant."""

    at: dt.datetime
    phone: Phone
    kind: str
    record_id: str
    fields: dict
    retract: bool | None = None


@dataclass
class Round:
    """What one phone sends at one time, and what it says of its clock."""

    phone: Phone
    at: dt.datetime
    sent_at: str
    known_offset_s: float | None
    entries: list[dict]


@dataclass
class _Head:
    entry_id: str
    phone: Phone
    sent: dt.datetime


class Notebook:
    """Collects changes in any order; `rounds` puts them in the order in which they were made and numbers them."""

    def __init__(self, rng: Random):
        self.rng, self.changes = rng, []

    def new(self, phone: Phone, at: dt.datetime, kind: str, /, **fields) -> str:
        """A new record; fields that hold None are left out. Returns its id."""
        record_id = self._id(at)
        said = {name.rstrip("_"): value for name, value in fields.items() if value is not None}
        self.changes.append(Change(at, phone, kind, record_id, said))
        return record_id

    def edit(self, phone: Phone, at: dt.datetime, kind: str, record_id: str, /, **fields) -> None:
        self.changes.append(Change(at, phone, kind, record_id, fields))

    def retract(self, phone: Phone, at: dt.datetime, kind: str, record_id: str) -> None:
        self.changes.append(Change(at, phone, kind, record_id, {}, retract=True))

    def rounds(self, until: dt.datetime) -> list[Round]:
        """Everything that had reached the server by `until`, in the order in which it did."""
        made = sorted((change for change in self.changes if change.at <= until), key=lambda change: change.at)
        heads: dict[tuple[str, str], list[_Head]] = defaultdict(list)
        numbers: dict[str, int] = defaultdict(int)
        groups: dict[tuple[dt.datetime, str], list[dict]] = defaultdict(list)
        senders: dict[str, Phone] = {}
        for change in made:
            sent = change.phone.sent(change.at)
            if sent is None or sent > until:
                continue
            replica_id = change.phone.replica_id
            numbers[replica_id] += 1
            senders[replica_id] = change.phone
            entry = self._entry(change, sent, numbers[replica_id], heads)
            groups[sent, replica_id].append(entry)
        return _told(groups, senders)

    def _entry(self, change: Change, sent: dt.datetime, n: int, heads: dict) -> dict:
        """One change as it travels. Its base is what this phone showed when the change was made."""
        phone = change.phone
        entry_id = self._id(change.at - phone.behind(change.at))
        names = [*change.fields, *(["retract"] if change.retract is not None else [])]
        base, seen_until = {}, phone.last_sync(change.at)
        for name in names:
            known = heads[change.record_id, name]
            seen = [head.entry_id for head in known if head.phone is phone or head.sent <= seen_until]
            if seen:
                base[name] = seen[-1]
            known.append(_Head(entry_id, phone, sent))
        entry = {
            "entry_id": entry_id,
            "kind": change.kind,
            "record_id": change.record_id,
            "fields": change.fields,
        }
        entry |= {"base": base, "replica_id": phone.replica_id, "n": n, "made_at": phone.says(change.at)}
        entry |= {"protocol": PROTOCOL, "app": APP}
        return entry if change.retract is None else {**entry, "retract": change.retract}

    def _id(self, at: dt.datetime) -> str:
        return uuid7(to_ms(at), self.rng.getrandbits(74))


def _told(groups: dict, senders: dict[str, Phone]) -> list[Round]:
    """Rounds in the order in which they reached the server, each with the clock offset that the one before showed."""
    rounds, offsets = [], {}
    for (at, replica_id), entries in sorted(groups.items(), key=lambda item: item[0]):
        phone = senders[replica_id]
        rounds.append(Round(phone, at, phone.says(at), offsets.get(replica_id), entries))
        offsets[replica_id] = phone.behind(at).total_seconds()
    return rounds


def replica_id(rng: Random) -> str:
    return uuid7(0, rng.getrandbits(74))
