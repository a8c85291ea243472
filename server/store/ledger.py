"""The ledger: the only writer of entries, and of the records that they add up to.

Every write holds the same lock from its first statement (`lock`), so numbers are given out in the order in which
they commit: whoever reads up to `seq` has missed nothing below it.
"""

from collections.abc import Iterable

from sqlalchemy import delete, func, insert, or_, select, update
from sqlalchemy.orm import Session

from server.clock import to_ms
from server.compute.fold import fold
from server.fields import parse_instant
from server.records.kinds import KINDS
from server.store.record_tables import TABLES
from server.store.tables import Entry, StoreState

REDACT = "redact"
# A phone's clock within this of ours is taken as right: the rest is the network's delay.
CLOCK_TOLERANCE_S = 120
ENTRY = Entry.__table__


def lock(session: Session) -> StoreState:
    """Take the writers' lock and return the store's state. First statement of every write transaction.

    On SQLite the transaction already holds the only write lock; on PostgreSQL this row's lock serialises writers.
    """
    session.execute(update(StoreState).values(seq=StoreState.seq))
    return session.execute(select(StoreState).execution_options(populate_existing=True)).scalar_one()


def append(session: Session, state: StoreState, rows: list[dict]) -> None:
    """Add `rows` (dicts of Entry's columns without `seq`) in order, and bring their records up to date.

    The caller holds the lock and has judged each row. All or nothing within the caller's transaction or savepoint.
    """
    if not rows:
        return
    for number, row in enumerate(rows, start=state.seq + 1):
        row.update(seq=number, about_ms=_about_ms(row, row["fields"], _offset_s(row)), running=True)
    session.execute(insert(ENTRY), rows)
    state.seq = rows[-1]["seq"]
    refold(session, {row["record_id"] for row in rows})
    session.flush()


def refold(session: Session, record_ids: Iterable[str]) -> None:
    """Merge all entries of these records anew and write their rows. Doing it twice changes nothing."""
    groups: dict[str, list[dict]] = {}
    for part in _slices(sorted(record_ids), 400):
        query = select(ENTRY).where(ENTRY.c.record_id.in_(part)).order_by(ENTRY.c.seq)
        for row in session.execute(query).mappings():
            groups.setdefault(row["record_id"], []).append(dict(row))
    fresh: dict[str, list[dict]] = {}
    for record_id, entries in groups.items():
        _redact(session, entries)
        own = [entry for entry in entries if entry["kind"] != REDACT]
        if own:
            kind, row = own[0]["kind"], _record_row(record_id, own)
            fresh.setdefault(kind, []).append(row)
            _mark(session, entries, row)
    for kind, rows in fresh.items():
        table = TABLES[kind]
        for part in _slices([row["id"] for row in rows], 400):
            session.execute(delete(table).where(table.c.id.in_(part)))
        session.execute(insert(table), rows)
    _mark_finished_bags(session, groups)


def rebuild(session: Session) -> None:
    """Empty the record tables and make them again from the ledger alone."""
    for table in TABLES.values():
        session.execute(delete(table))
    refold(session, session.execute(select(ENTRY.c.record_id).distinct()).scalars().all())


def _record_row(record_id: str, entries: list[dict]) -> dict:
    kind = KINDS[entries[0]["kind"]]
    merged = fold([{**entry, "effective_at": entry["effective_ms"]} for entry in entries])
    fields = merged["fields"]
    supplier = {entry["entry_id"]: entry for entry in entries}
    timed = supplier.get(merged["heads"].get(kind.at), entries[0])
    offset_s = _offset_s(timed)
    row = {name: fields.get(name) for name in kind.fields}
    return {
        **row,
        "id": record_id,
        "site_id": fields.get("site_id"),
        "at_ms": _at_ms(fields.get(kind.at), offset_s) if kind.at else None,
        "retracted": merged["retracted"],
        "complete": all(fields.get(name) is not None for name, field in kind.fields.items() if field.required),
        "heads": merged["heads"],
        "clashes": merged["clashes"],
        "changed_seq": max(entry["seq"] for entry in entries),
        "clock_offset_s": offset_s if abs(offset_s) > CLOCK_TOLERANCE_S else None,
        "clock_doubt_s": timed["clock_doubt_s"],
        "_running": set(merged["running"]),
        "_about_ms": _about_ms(entries[0], fields, offset_s),
    }


def _offset_s(entry: dict) -> float:
    """How far the sender's clock was behind ours when it made the entry."""
    return (entry["effective_ms"] - to_ms(parse_instant(entry["made_at"]))) / 1000


def _about_ms(entry: dict, fields: dict, offset_s: float) -> int | None:
    """When the entry's record happened, if that is a reason to leave it out of a snapshot some day."""
    kind = KINDS.get(entry["kind"])
    if kind is None or kind.at is None or kind.lasting:
        return None
    return _at_ms(fields.get(kind.at), offset_s)


def _at_ms(at: str | None, offset_s: float) -> int | None:
    if at is None:
        return None
    return to_ms(parse_instant(at)) + (round(offset_s * 1000) if abs(offset_s) > CLOCK_TOLERANCE_S else 0)


def _mark(session: Session, entries: list[dict], row: dict) -> None:
    """Note on each entry whether it still counts and when its record happened: what a snapshot goes by."""
    running, about = row.pop("_running"), row.pop("_about_ms")
    for entry in entries:
        counts = entry["kind"] == REDACT or entry["entry_id"] in running
        if (entry["running"], entry["about_ms"]) != (counts, about):
            change = {"running": counts, "about_ms": about}
            session.execute(update(ENTRY).where(ENTRY.c.seq == entry["seq"]).values(change))


def _mark_finished_bags(session: Session, groups: dict[str, list[dict]]) -> None:
    """A bag and what happened to it stay in every snapshot until some weeks after it is finished.

    Looked up anew for each bag that the entries ever named, so that the order in which they came is no matter.
    """
    events = TABLES["bag_event"]
    for part in _slices(sorted(_bags_named(groups)), 400):
        ends = select(events.c.bag_id, func.max(events.c.at_ms)).group_by(events.c.bag_id)
        ends = ends.where(events.c.bag_id.in_(part), events.c.what == "finished", events.c.retracted.is_(False))
        end_ms = {bag_id: at_ms for bag_id, at_ms in session.execute(ends)}
        for bag_id in part:
            about, own = end_ms.get(bag_id), select(events.c.id).where(events.c.bag_id == bag_id)
            of_bag = or_(ENTRY.c.record_id == bag_id, ENTRY.c.record_id.in_(own))
            changed = ENTRY.c.about_ms.is_distinct_from(about)
            session.execute(update(ENTRY).where(of_bag, changed).values(about_ms=about))


def _bags_named(groups: dict[str, list[dict]]) -> set[str]:
    entries = [entry for entries in groups.values() for entry in entries]
    bags = {entry["record_id"] for entry in entries if entry["kind"] == "bag"}
    return bags | {entry["fields"].get("bag_id") for entry in entries if entry["kind"] == "bag_event"} - {None}


def _redact(session: Session, entries: list[dict]) -> None:
    """Empty what redactions among `entries` name; the id, the order and the fingerprint stay."""
    for redaction in (entry for entry in entries if entry["kind"] == REDACT):
        for entry in entries:
            if entry["entry_id"] != redaction["fields"]["entry_id"]:
                continue
            left = {name: None if name in redaction["fields"]["fields"] else v for name, v in entry["fields"].items()}
            if left != entry["fields"]:
                entry["fields"] = left
                session.execute(update(ENTRY).where(ENTRY.c.seq == entry["seq"]).values(fields=left))


def after(session: Session, seq: int, site_id: str, limit: int) -> list[dict]:
    """The entries with a number above `seq` that concern a site: its own and the shared ones."""
    query = select(ENTRY).where(ENTRY.c.seq > seq, _concerns(site_id)).order_by(ENTRY.c.seq).limit(limit)
    return [dict(row) for row in session.execute(query).mappings()]


def snapshot(session: Session, upto: int, seq: int, site_id: str, since_ms: int, limit: int) -> list[dict]:
    """The entries that still count, numbered above `seq` up to `upto`, for a phone that holds nothing yet:
    shared things, and its site's facts since `since_ms`."""
    query = (
        select(ENTRY)
        .where(ENTRY.c.seq > seq, ENTRY.c.seq <= upto, ENTRY.c.running)
        .where(_concerns(site_id))
        .where(or_(ENTRY.c.about_ms.is_(None), ENTRY.c.about_ms >= since_ms))
        .order_by(ENTRY.c.seq)
        .limit(limit)
    )
    return [dict(row) for row in session.execute(query).mappings()]


def these(session: Session, entry_ids: Iterable[str], upto: int) -> list[dict]:
    """The entries with these ids that are numbered up to `upto`; whichever aren't there are left out."""
    found = []
    for part in _slices(sorted(entry_ids), 400):
        query = select(ENTRY).where(ENTRY.c.entry_id.in_(part), ENTRY.c.seq <= upto)
        found += [dict(row) for row in session.execute(query).mappings()]
    return found


def entry_at(session: Session, seq: int) -> str | None:
    """The id of entry number `seq`, if there is one."""
    return session.execute(select(ENTRY.c.entry_id).where(ENTRY.c.seq == seq)).scalar()


def made_at(session: Session, entry_id: str) -> str | None:
    """When an entry says that it was made, if the ledger has it."""
    return session.execute(select(ENTRY.c.made_at).where(ENTRY.c.entry_id == entry_id)).scalar()


def history(session: Session, record_id: str) -> list[dict]:
    """Every entry about a record, in the order of the ledger."""
    query = select(ENTRY).where(ENTRY.c.record_id == record_id).order_by(ENTRY.c.seq)
    return [dict(row) for row in session.execute(query).mappings()]


def _concerns(site_id: str):
    return or_(ENTRY.c.site_id.is_(None), ENTRY.c.site_id == site_id)


def _slices(values: list, size: int) -> Iterable[list]:
    return (values[start : start + size] for start in range(0, len(values), size))
