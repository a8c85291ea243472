"""Hands entries out: page by page, in the order of the ledger, from a cursor that names where it stood.

A cursor is opaque to the phone. It names the database, the phone's site, and the entry that it ended at; if any of
these isn't so any more, the phone is told to start again, and offers what it holds.
"""

import datetime as dt
import json
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from server.clock import as_text, from_ms, to_ms
from server.store import ledger
from server.store.tables import StoreState


@dataclass(frozen=True)
class Limits:
    """How much one page may hold, and how far back a snapshot goes."""

    entries: int
    bytes: int
    snapshot_days: int


@dataclass
class Page:
    """One page of what a phone hasn't seen yet."""

    database_id: str
    entries: list[dict]
    cursor: dict | None
    more: bool = False
    snapshot: bool = False
    restart: str | None = None


def pull(
    session: Session, cursor: dict | None, site_id: str, offered: list[str], limits: Limits, now: dt.datetime
) -> Page:
    """The page after `cursor`; a snapshot first for a phone without one. One read transaction, by the caller.

    `offered` are the ids that the phone sent along. An entry leaves its outbox only when it comes back, so any of them
    that no page would contain (replaced already, too old for a snapshot, of a site that the phone has left) is added.
    """
    page = _page(session, cursor, site_id, limits, now)
    if page.restart is None and (missing := set(offered) - {entry["entry_id"] for entry in page.entries}):
        reach = page.cursor["upto"] if page.cursor.get("snapshot") else page.cursor["seq"]
        page.entries += [wire(row) for row in ledger.these(session, missing, reach)]
        page.entries.sort(key=lambda entry: entry["seq"])
    return page


def _page(session: Session, cursor: dict | None, site_id: str, limits: Limits, now: dt.datetime) -> Page:
    state = session.execute(select(StoreState)).scalar_one()
    if cursor is None:
        since_ms = to_ms(now - dt.timedelta(days=limits.snapshot_days))
        cursor = {"snapshot": True, "seq": 0, "upto": state.seq, "since_ms": since_ms, "site_id": site_id}
        cursor |= {"database_id": state.database_id, "entry_id": ledger.entry_at(session, state.seq)}
    if (restart := _why_restart(session, state, cursor, site_id)) is not None:
        return Page(state.database_id, [], None, restart=restart)
    if cursor.get("snapshot"):
        return _snapshot_page(session, state, cursor, limits)
    rows = ledger.after(session, cursor["seq"], site_id, limits.entries + 1)
    entries, more = _fit(rows, limits)
    # At the end of what concerns it, a phone skips what doesn't: else a quiet site would scan the others' for ever.
    seq = entries[-1]["seq"] if more else state.seq
    last_id = entries[-1]["entry_id"] if more else ledger.entry_at(session, seq)
    return Page(state.database_id, entries, _cursor(state, seq, last_id, site_id), more)


def _snapshot_page(session: Session, state: StoreState, cursor: dict, limits: Limits) -> Page:
    upto = cursor["upto"]
    rows = ledger.snapshot(session, upto, cursor["seq"], cursor["site_id"], cursor["since_ms"], limits.entries + 1)
    entries, more = _fit(rows, limits)
    if more:
        return Page(state.database_id, entries, {**cursor, "seq": entries[-1]["seq"]}, True, True)
    at_end = _cursor(state, upto, cursor["entry_id"], cursor["site_id"])
    return Page(state.database_id, entries, at_end, more=state.seq > upto, snapshot=True)


def _cursor(state: StoreState, seq: int, entry_id: str | None, site_id: str) -> dict:
    return {"database_id": state.database_id, "seq": seq, "entry_id": entry_id, "site_id": site_id}


def _why_restart(session: Session, state: StoreState, cursor: dict, site_id: str) -> str | None:
    whole = isinstance(cursor.get("seq"), int) and not isinstance(cursor["seq"], bool) and cursor["seq"] >= 0
    if cursor.get("snapshot"):
        whole = whole and all(isinstance(cursor.get(name), int) for name in ("upto", "since_ms"))
    if not whole or cursor.get("database_id") != state.database_id:
        return "database"
    if ledger.entry_at(session, cursor["upto" if cursor.get("snapshot") else "seq"]) != cursor.get("entry_id"):
        return "database"
    return "site" if cursor.get("site_id") != site_id else None


def _fit(rows: list[dict], limits: Limits) -> tuple[list[dict], bool]:
    """As many rows as one page may hold, as they travel; and whether more wait."""
    entries, size = [], 0
    for row in rows[: limits.entries]:
        entry = wire(row)
        size += len(json.dumps(entry, separators=(",", ":")))
        if entries and size > limits.bytes:
            return entries, True
        entries.append(entry)
    return entries, len(rows) > len(entries)


def wire(row: dict) -> dict:
    """A ledger row as it travels."""
    entry = {name: row[name] for name in ("entry_id", "kind", "record_id", "fields", "replica_id", "n", "base")}
    entry |= {name: row[name] for name in ("made_at", "protocol", "app", "seq", "phone_id", "clock_doubt_s")}
    if row["retract"] is not None:
        entry["retract"] = row["retract"]
    entry["received_at"] = as_text(from_ms(row["received_ms"]))
    entry["effective_at"] = as_text(from_ms(row["effective_ms"]))
    return entry
