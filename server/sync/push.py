"""Judges what phones send: each entry alone, once, with a receipt that stays the same however often it is asked for.

One transaction holds the writers' lock from its first statement, so a retry that arrives while the first try still
runs waits, and then finds what the first one stored.
"""

import datetime as dt
from dataclasses import dataclass, field

from sqlalchemy import insert, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from server.clock import to_ms
from server.fields import parse_instant
from server.ids import uuid8
from server.records.kind import Scope
from server.records.kinds import KINDS
from server.records.reading import Refused, read_change, read_new
from server.store import ledger
from server.store.tables import Entry, RefusedEntry
from server.sync.envelope import PROTOCOLS_TAKEN, REDACT, canonical, fingerprint, read_entry
from server.sync.sender import MANAGER_SCOPE, Sender

CLOCK_DOUBT_S = 120
LONGEST_WAIT = dt.timedelta(days=3650)
# A clone's entries are numbered anew and sent again under the same ids, so this refusal is not remembered.
NOT_REMEMBERED = {"cloned"}


@dataclass
class Timing:
    """When a request was sent and received: by the sender's clock, by ours, and by what the last round showed."""

    sent_at: dt.datetime
    received_at: dt.datetime
    known_offset_s: float | None = None

    def effective(self, made_at: dt.datetime) -> dt.datetime:
        """When an entry was really made: only its age by its own sender's clock counts."""
        return self.received_at - min(max(self.sent_at - made_at, dt.timedelta(0)), LONGEST_WAIT)

    @property
    def doubt_s(self) -> float | None:
        """How far two estimates of the sender's clock differ, if that is too far."""
        if self.known_offset_s is None:
            return None
        differ = abs((self.received_at - self.sent_at).total_seconds() - self.known_offset_s)
        return differ if differ > CLOCK_DOUBT_S else None


@dataclass
class _Known:
    """What the store already has that bears on this batch."""

    stored: dict[str, str] = field(default_factory=dict)  # entry_id -> fingerprint
    refused: dict[str, RefusedEntry] = field(default_factory=dict)
    numbered: dict[tuple[str, int], str] = field(default_factory=dict)  # (replica_id, n) -> entry_id
    records: dict[str, tuple[str, str | None]] = field(default_factory=dict)  # record_id -> (kind, scope)


class _Refuse(Exception):
    def __init__(self, reason: str, errors: dict[str, list[str]]):
        super().__init__(reason)
        self.reason, self.errors = reason, errors


def push(session: Session, raw_entries: list, sender: Sender, timing: Timing) -> list[dict]:
    """Take in a batch; return a receipt for each entry, in order. The caller's transaction must be a fresh write."""
    state = ledger.lock(session)
    read = [(raw, *read_entry(raw)) for raw in raw_entries]
    unread_ids = [_id_of(raw) for raw, entry, _ in read if not entry]
    known = _look_up(session, [entry for _, entry, _ in read if entry], unread_ids)
    rows, receipts = [], []
    for raw, entry, errors in read:
        receipt, row = _judge(session, raw, entry, errors, known, sender, timing)
        receipts.append(receipt)
        if row:
            rows.append(row)
            known.stored[row["entry_id"]] = row["fingerprint"]
            known.numbered[row["replica_id"], row["n"]] = row["entry_id"]
            known.records.setdefault(row["record_id"], (row["kind"], row["site_id"]))
    failed = _store(session, state, rows)
    return [_trouble(receipt, failed) for receipt in receipts]


def _store(session: Session, state, rows: list[dict]) -> set[str]:
    """Store the rows; return the ids of those that the store itself could not take.

    One that can't be stored, for whatever reason nobody foresaw, must not hold up the others for ever.
    """
    try:
        with session.begin_nested():
            ledger.append(session, state, rows)
        return set()
    except (SQLAlchemyError, ArithmeticError, ValueError):
        if len(rows) == 1:
            return {rows[0]["entry_id"]}
        session.refresh(state)
        return {failed for row in rows for failed in _store(session, state, [row])}


def _trouble(receipt: dict, failed: set[str]) -> dict:
    if receipt["entry_id"] not in failed:
        return receipt
    errors = {
        "entry": ["could not be stored: keep it on the phone, export it, and tell whoever looks after the server"]
    }
    return {"entry_id": receipt["entry_id"], "receipt": "refused", "reason": "trouble", "errors": errors}


def _judge(session, raw, entry, errors, known: _Known, sender: Sender, timing: Timing) -> tuple[dict, dict | None]:
    entry_id = entry["entry_id"] if entry else _id_of(raw)
    print_ = fingerprint(entry) if entry else _print_of(raw)
    try:
        if entry_id in known.stored:
            if known.stored[entry_id] != print_:
                raise _Refuse("id_reused", {"entry_id": ["was used for another entry: give this one a new id"]})
            return {"entry_id": entry_id, "receipt": "known"}, None
        if (before := known.refused.get(entry_id)) is not None:
            if before.fingerprint != print_:
                raise _Refuse("id_reused", {"entry_id": ["was refused with other content: give this one a new id"]})
            raise _Refuse(before.reason, before.errors)
        if entry is None:
            raise _Refuse("invalid", errors)
        return {"entry_id": entry_id, "receipt": "stored"}, _row(entry, print_, known, sender, timing)
    except _Refuse as refusal:
        remembered = entry_id in known.stored or entry_id in known.refused or refusal.reason in NOT_REMEMBERED
        if not remembered:
            known.refused[entry_id] = _keep_refused(session, entry_id, raw, print_, refusal, sender, timing)
        receipt = {"receipt": "refused", "reason": refusal.reason, "errors": refusal.errors}
        return {"entry_id": entry_id, **receipt}, None


def _row(entry: dict, print_: str, known: _Known, sender: Sender, timing: Timing) -> dict:
    """The ledger row of an entry that is fit to be stored. Raises _Refuse."""
    if entry["protocol"] not in PROTOCOLS_TAKEN:
        raise _Refuse("protocol", {"protocol": ["is newer than this server: update the server, then send again"]})
    if known.numbered.get((entry["replica_id"], entry["n"])) is not None:
        raise _Refuse("cloned", {"n": ["was used by another entry: this phone is a copy; number what waits anew"]})
    scope = _scope(entry, known, sender)
    made_at = parse_instant(entry["made_at"])
    values = _values(entry, known, sender, made_at)
    return {
        **{name: entry[name] for name in ("entry_id", "kind", "record_id", "retract", "replica_id", "n", "base")},
        **{name: entry[name] for name in ("made_at", "protocol", "app")},
        "fields": values,
        "site_id": scope,
        "phone_id": sender.phone_id,
        "received_ms": to_ms(timing.received_at),
        "effective_ms": to_ms(_effective(entry, made_at, timing)),
        "clock_doubt_s": timing.doubt_s,
        "fingerprint": print_,
    }


def _effective(entry: dict, made_at: dt.datetime, timing: Timing) -> dt.datetime:
    """When an entry was really made. One that a phone got from a server which is lost brings that server's answer:
    its sender's clock is not its maker's, so an age worked out now would be wrong by the difference."""
    if entry["effective_at"] is not None:
        return min(parse_instant(entry["effective_at"]), timing.received_at)
    return timing.effective(made_at)


def _scope(entry: dict, known: _Known, sender: Sender) -> str | None:
    """Whose entry it is: a site's id, None for what is shared. Raises _Refuse where the sender may not write."""
    kind_before, scope_before = known.records.get(entry["record_id"], (None, None))
    if entry["kind"] == REDACT:
        if not sender.is_manager:
            raise _Refuse("not_allowed", {"kind": ["only a manager erases: ask one"]})
        if kind_before is None:
            raise _Refuse("invalid", {"record_id": ["names no record: nothing to erase"]})
        return scope_before
    if kind_before not in (None, entry["kind"]):
        raise _Refuse("invalid", {"kind": [f"this record is a {kind_before}: a record never changes its kind"]})
    kind = KINDS[entry["kind"]]
    if not sender.may_write(kind):
        raise _Refuse("not_allowed", {"kind": ["only a manager writes this"]})
    if kind.scope is Scope.MANAGER:
        return MANAGER_SCOPE
    if kind.scope is Scope.SHARED:
        return None
    named = entry["fields"].get("site_id")
    scope = scope_before or named or sender.site_id
    if not sender.may_write_at(scope) or (named is not None and named != scope):
        raise _Refuse("other_site", {"site_id": ["is a site that this phone isn't paired to, or not the record's own"]})
    return scope


def _values(entry: dict, known: _Known, sender: Sender, made_at: dt.datetime) -> dict:
    """The fields, checked: against the whole schema for a new record, else just those that the edit sets."""
    if entry["kind"] == REDACT:
        return _redaction(entry)
    kind, fields = KINDS[entry["kind"]], entry["fields"]
    is_change = entry["record_id"] in known.records or entry["base"] or (entry["retract"] is not None and not fields)
    try:
        if is_change:
            return read_change(kind, fields, made_at)
        if kind.scope is Scope.SITE and "site_id" in kind.fields and sender.site_id:
            fields = {"site_id": sender.site_id, **fields}
        return read_new(kind, fields, made_at)
    except Refused as wrong:
        raise _Refuse("invalid", wrong.errors) from wrong


def _redaction(entry: dict) -> dict:
    target, names = entry["fields"].get("entry_id"), entry["fields"].get("fields")
    well_formed = isinstance(target, str) and isinstance(names, list) and all(isinstance(name, str) for name in names)
    if not well_formed or set(entry["fields"]) != {"entry_id", "fields"}:
        raise _Refuse("invalid", {"fields": ['must be {"entry_id": the entry to empty, "fields": [names]}']})
    return entry["fields"]


def _look_up(session: Session, entries: list[dict], unread_ids: list[str]) -> _Known:
    """What the store has under the ids of these entries, and of those that could not even be read."""
    known = _Known()
    for part in _slices([*unread_ids, *(entry["entry_id"] for entry in entries)]):
        for row in session.execute(select(Entry.entry_id, Entry.fingerprint).where(Entry.entry_id.in_(part))):
            known.stored[row.entry_id] = row.fingerprint
        for row in session.scalars(select(RefusedEntry).where(RefusedEntry.entry_id.in_(part))):
            known.refused[row.entry_id] = row
    for replica_id in {entry["replica_id"] for entry in entries}:
        counts = [entry["n"] for entry in entries if entry["replica_id"] == replica_id]
        for part in _slices(counts):
            query = select(Entry.n, Entry.entry_id).where(Entry.replica_id == replica_id, Entry.n.in_(part))
            known.numbered.update({(replica_id, n): entry_id for n, entry_id in session.execute(query)})
    for part in _slices([entry["record_id"] for entry in entries]):
        query = select(Entry.record_id, Entry.kind, Entry.site_id).where(
            Entry.record_id.in_(part), Entry.kind != REDACT
        )
        for record_id, kind, site_id in session.execute(query):
            known.records.setdefault(record_id, (kind, site_id))
    return known


def _keep_refused(session, entry_id, raw, print_, refusal: _Refuse, sender: Sender, timing: Timing) -> RefusedEntry:
    row = {
        "entry_id": entry_id,
        "raw": raw if isinstance(raw, dict) else {"raw": raw},
        "reason": refusal.reason,
        "errors": refusal.errors,
        "fingerprint": print_,
        "phone_id": sender.phone_id,
        "site_id": sender.site_id,
        "received_ms": to_ms(timing.received_at),
    }
    session.execute(insert(RefusedEntry), [row])
    return RefusedEntry(**row)


def _id_of(raw: object) -> str:
    """The id that a malformed entry came with, or one derived from what it says."""
    given = raw.get("entry_id") if isinstance(raw, dict) else None
    return given if isinstance(given, str) and 0 < len(given) <= 64 else uuid8("refused", canonical(raw))


def _print_of(raw: object) -> str:
    return fingerprint(raw) if isinstance(raw, dict) else uuid8("raw", canonical(raw))


def _slices(values: list, size: int = 400):
    return (values[start : start + size] for start in range(0, len(values), size))
