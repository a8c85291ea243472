"""The records over HTTP: lists, one, its history; and one at a time from a script, through the same ledger."""

from flask import Blueprint, jsonify, request
from marshmallow import RAISE, Schema, fields, validate

from server.clock import as_text, to_ms
from server.fields import Id, parse_instant
from server.figures.records import figures_for
from server.ids import uuid7, uuid8
from server.problems import Problem
from server.records.kind import Kind, Scope
from server.records.kinds import BY_PLURAL
from server.store import ledger, queries
from server.store.database import reading, writing
from server.sync.envelope import PROTOCOL, REDACT
from server.sync.pull import wire
from server.sync.push import Timing, push
from server.web.asking import clock, json_body, query_arguments
from server.web.who import current_manager, current_phone, known_only, managers_only, sender, visible_site

bp = Blueprint("records", __name__)
APP = "api"


class ListArguments(Schema):
    """What a list of records can be narrowed by."""

    class Meta:
        unknown = RAISE

    site_id = Id()
    since = fields.String()
    until = fields.String()
    bag_id = Id()
    limit = fields.Integer(load_default=100, validate=validate.Range(1, 500, error="must be 1 to 500"))
    cursor = fields.String(validate=validate.Regexp(r"\d{1,15}\.[0-9a-f-]{36}\Z", error="must come from a page before"))


class Redaction(Schema):
    """Which entry to empty of which fields."""

    class Meta:
        unknown = RAISE

    entry_id = Id(required=True)
    fields_ = fields.List(
        fields.String(), required=True, validate=validate.Length(1), data_key="fields", attribute="fields"
    )


def kind_of(plural: str) -> Kind:
    kind = BY_PLURAL.get(plural)
    if kind is None:
        raise Problem(404, f"there are no records called {plural}")
    if kind.scope is Scope.MANAGER and current_manager() is None:
        raise Problem(403, "only a manager sees this")
    return kind


@bp.get("/api/<plural>")
@known_only
def list_records(plural: str):
    """Records of a kind with their computed figures, newest first, page by page."""
    kind, asked = kind_of(plural), query_arguments(ListArguments())
    at, _, last_id = asked.get("cursor", "").partition(".")
    filters = queries.Filters(
        site_id=visible_site(asked.get("site_id")),
        since_ms=_ms(asked, "since"),
        until_ms=_ms(asked, "until"),
        bag_id=asked.get("bag_id"),
        limit=asked["limit"],
        before=(int(at), last_id) if at else None,
    )
    with reading() as session:
        rows = queries.listing(session, kind, filters)
        items = shown(session, kind, rows)
    last = rows[-1] if len(rows) == asked["limit"] else None
    cursor = f"{last['at_ms' if kind.at else 'changed_seq']}.{last['id']}" if last else None
    return jsonify(items=items, cursor=cursor)


@bp.get("/api/<plural>/<record_id>")
@known_only
def one_record(plural: str, record_id: str):
    """One record with its computed figures, a retracted one included."""
    kind = kind_of(plural)
    with reading() as session:
        return jsonify(shown(session, kind, [_row(session, kind, record_id)])[0])


@bp.get("/api/<plural>/<record_id>/history")
@known_only
def record_history(plural: str, record_id: str):
    """Every entry about a record: what each set, where, when, and which of them counts."""
    kind = kind_of(plural)
    with reading() as session:
        row = _row(session, kind, record_id)
        entries = [wire(entry) for entry in ledger.history(session, record_id)]
    return jsonify(id=record_id, heads=row["heads"], clashes=row["clashes"], entries=entries)


@bp.post("/api/<plural>")
@known_only
def add_record(plural: str):
    """Make one record. `Idempotency-Key` makes a repeat harmless: the same key answers with the same record."""
    kind, body = kind_of(plural), json_body()
    record_id, entry_id = _ids(kind)
    answer, stored = _send(kind, {"entry_id": entry_id, "record_id": record_id, "fields": body}, body.get("site_id"))
    return answer, 201 if stored else 200


@bp.patch("/api/<plural>/<record_id>")
@known_only
def change_record(plural: str, record_id: str):
    """Set some fields of a record; null clears an optional one."""
    kind, body = kind_of(plural), json_body()
    with reading() as session:
        row = _row(session, kind, record_id)
    base = {name: row["heads"].get(name) for name in body if name in kind.fields}
    entry = {"entry_id": uuid7(), "record_id": record_id, "fields": body, "base": base}
    return _send(kind, entry, row["site_id"])[0]


@bp.delete("/api/<plural>/<record_id>")
@known_only
def retract_record(plural: str, record_id: str):
    """Withdraw a record; it stays in the ledger and can be brought back."""
    kind = kind_of(plural)
    with reading() as session:
        row = _row(session, kind, record_id)
    base = {"retract": row["heads"].get("retract")}
    entry = {"entry_id": uuid7(), "record_id": record_id, "fields": {}, "retract": True, "base": base}
    return _send(kind, entry, row["site_id"])[0]


@bp.post("/api/<plural>/<record_id>/redactions")
@managers_only
def redact(plural: str, record_id: str):
    """Empty fields of one entry about a record, for good: a person's name, a note. Everything else about it stays."""
    kind, asked = kind_of(plural), json_body(Redaction())
    with reading() as session:
        row = _row(session, kind, record_id)
    entry = {"entry_id": uuid7(), "record_id": record_id, "kind": REDACT, "fields": asked, "base": None}
    return _send(kind, entry, row["site_id"])[0], 201


def shown(session, kind: Kind, rows: list[dict]) -> list[dict]:
    """Records as they are shown: their fields, their computed figures, and where each stands."""
    figures = figures_for(session, {kind.name: [row["id"] for row in rows]}, clock())
    return [
        {
            "id": row["id"],
            **{name: row[name] for name in kind.fields if row[name] is not None},
            **figures.get(row["id"], {}),
            "retracted": row["retracted"],
            "clashes": row["clashes"],
        }
        for row in rows
    ]


def _send(kind: Kind, entry: dict, site_id: str | None) -> tuple[dict, bool]:
    """One entry through the ledger's only door; the record as it then stands, and whether it was new."""
    now, who = clock(), sender(site_id if isinstance(site_id, str) else None)
    replica_id = uuid7()  # each request is a writer of its own, so that its entry is number 1
    whole = {"kind": kind.name, "replica_id": replica_id, "n": 1, "made_at": as_text(now), "protocol": PROTOCOL}
    with writing() as session:
        ledger.lock(session)
        if (before := ledger.made_at(session, entry["entry_id"])) is not None:
            whole["made_at"] = before  # a repeat under the same key says the same thing at the same time
        timing = Timing(now, now)
        receipt = push(session, [{**whole, "app": APP, **entry}], who, timing)[0]
        if receipt["receipt"] == "refused":
            session.rollback()
            raise _refusal(receipt)
        row = queries.by_ids(session, kind.name, [entry["record_id"]])[entry["record_id"]]
        return shown(session, kind, [row])[0], receipt["receipt"] == "stored"


def _refusal(receipt: dict) -> Problem:
    status = {"other_site": 403, "not_allowed": 403}.get(receipt["reason"], 422)
    detail = "the Idempotency-Key was used with another body" if receipt["reason"] == "id_reused" else "not stored"
    return Problem(status, detail, receipt["errors"])


def _ids(kind: Kind) -> tuple[str, str]:
    key = request.headers.get("Idempotency-Key")
    if key is None:
        return uuid7(), uuid7()
    if not 1 <= len(key) <= 200:
        raise Problem(400, "an Idempotency-Key has 1 to 200 characters")
    asker = current_phone() or current_manager()
    return uuid8("record", asker.id, kind.name, key), uuid8("entry", asker.id, kind.name, key)


def _row(session, kind: Kind, record_id: str) -> dict:
    row = queries.by_ids(session, kind.name, [record_id]).get(record_id)
    allowed = row and (kind.scope is not Scope.SITE or current_manager() or row["site_id"] == current_phone().site_id)
    if not allowed:
        raise Problem(404, f"there is no such {kind.name}")
    return row


def _ms(asked: dict, name: str) -> int | None:
    if name not in asked:
        return None
    try:
        return to_ms(parse_instant(asked[name]))
    except (ValueError, OverflowError) as wrong:
        text = "must be a time with its offset, such as 2026-03-01T08:15:00Z"
        raise Problem(422, "some fields can't be taken", {name: [text]}) from wrong
