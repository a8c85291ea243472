"""Exactly what crosses the wire in one round, and in one entry of it."""

import hashlib
import json

from marshmallow import RAISE, Schema, ValidationError, fields, validate

from server.fields import Id, Instant, Quantity, flat
from server.records.kinds import KINDS

PROTOCOL = 1
PROTOCOLS_TAKEN = (1,)  # every version ever shipped: an entry may have waited on a phone for months
PROTOCOLS_SERVED = (1,)  # the last two
OLDEST_APP = "0.1.0"
REDACT = "redact"
ENTRY_LIMIT = 500


class _Strict(Schema):
    class Meta:
        unknown = RAISE


class Uuid(fields.UUID):
    """A UUID of any version: an installation's identity."""

    def _deserialize(self, value, attr, data, **kwargs):
        return str(super()._deserialize(value, attr, data, **kwargs))


class EntrySchema(_Strict):
    """One change to one record, as a phone sends it; what the server added to it may come back and is ignored."""

    entry_id = Id(required=True)
    kind = fields.String(required=True, validate=validate.OneOf([*KINDS, REDACT], error="is no kind of record here"))
    record_id = Id(required=True)
    fields_ = fields.Dict(keys=fields.String(), data_key="fields", attribute="fields", load_default=dict)
    retract = fields.Boolean(truthy={True}, falsy={False}, allow_none=True, load_default=None)
    replica_id = Uuid(required=True)
    n = Quantity(1, 2**53, "", whole=True, required=True)
    base = fields.Dict(keys=fields.String(), values=Id(allow_none=True), allow_none=True, load_default=None)
    made_at = Instant(required=True)
    protocol = Quantity(1, 1000, "", whole=True, required=True)
    app = fields.String(validate=validate.Length(max=40), allow_none=True, load_default=None)
    effective_at = Instant(load_default=None, metadata={"description": "only on an entry that came from a server"})


class RoundSchema(_Strict):
    """One round of the sync protocol, as a phone sends it. Entries are judged one by one, not here."""

    protocol = Quantity(1, 1000, "", whole=True, required=True)
    app = fields.String(validate=validate.Length(max=40), load_default=None, allow_none=True)
    replica_id = Uuid(required=True)
    sent_at = Instant(required=True)
    known_offset_s = Quantity(-(10**10), 10**10, "s", allow_none=True, load_default=None)
    waiting = Quantity(0, 10**7, "entries", whole=True, load_default=None, allow_none=True)
    cursor = fields.Dict(allow_none=True, load_default=None)
    entries = fields.List(fields.Raw(), load_default=list)


ENTRY_SCHEMA = EntrySchema()  # made once: making one costs ten times as much as reading an entry with it
ADDED_BY_SERVER = frozenset({"seq", "received_at", "phone_id", "clock_doubt_s"})


def read_entry(raw: object) -> tuple[dict | None, dict]:
    """An entry as it arrived -> (entry, {}) or (None, errors)."""
    if not isinstance(raw, dict):
        return None, {"entry": ["must be a JSON object"]}
    try:
        return ENTRY_SCHEMA.load({k: v for k, v in raw.items() if k not in ADDED_BY_SERVER}), {}
    except ValidationError as wrong:
        return None, flat(wrong.normalized_messages())


def fingerprint(entry: dict) -> str:
    """What an entry says, in 64 hex digits: the same id with another fingerprint is another entry.

    `replica_id` and `n` are left out: a cloned phone numbers its entries anew.
    """
    said = {name: entry.get(name) for name in ("kind", "record_id", "fields", "retract", "base", "made_at")}
    said["base"] = said["base"] or None
    return hashlib.sha256(canonical(said).encode()).hexdigest()


def canonical(value: object) -> str:
    """JSON in one fixed form; 18.0 and 18 are the same figure.

    >>> canonical({"b": 18.0, "a": [1.5, None]})
    '{"a":[1.5,null],"b":18}'
    """
    return json.dumps(_plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    return value
