"""Reads the fields of an entry or of a POST: by schema, then by what only makes sense in time."""

import datetime as dt

from marshmallow import ValidationError

from server.fields import flat, parse_instant
from server.records.kind import Kind

# A clock that runs a little ahead is no reason to refuse a shot; a year typed wrong is.
AHEAD = dt.timedelta(days=1)
EARLIEST = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class Refused(ValueError):
    """The fields can't be taken; `errors` is {field: [what is wrong and what to do]}."""

    def __init__(self, errors: dict[str, list[str]]):
        super().__init__(str(errors))
        self.errors = errors


def read_new(kind: Kind, fields: dict, made_at: dt.datetime) -> dict:
    """The fields of a new record, checked against its whole schema. Raises Refused."""
    return _read(kind, fields, made_at, new=True)


def read_change(kind: Kind, fields: dict, made_at: dt.datetime) -> dict:
    """The fields that an edit sets; null clears an optional field. Raises Refused."""
    if kind.fixed and fields:
        raise Refused({name: [f"a {kind.name} is never edited: make a new one that replaces it"] for name in fields})
    return _read(kind, fields, made_at, new=False)


def _read(kind: Kind, fields: dict, made_at: dt.datetime, new: bool) -> dict:
    if not isinstance(fields, dict):
        raise Refused({"fields": ["must be a JSON object of field names and values"]})
    cleared = {name for name, value in fields.items() if value is None and name in kind.fields}
    needed = {name for name, field in kind.fields.items() if field.required}
    if cleared & needed:
        raise Refused({name: ["is needed and can't be cleared: enter a value"] for name in sorted(cleared & needed)})
    try:
        loaded = kind.reader(partial=not new).load({k: v for k, v in fields.items() if k not in cleared})
    except ValidationError as wrong:
        raise Refused(flat(wrong.normalized_messages())) from wrong
    _check_times(kind, loaded, made_at)
    return {name: None if name in cleared else loaded[name] for name in fields}


def _check_times(kind: Kind, loaded: dict, made_at: dt.datetime) -> None:
    wrong = {}
    for name in (n for n, f in kind.fields.items() if n in loaded and f.metadata.get("format") == "date-time"):
        at = parse_instant(loaded[name])
        if at > made_at + AHEAD and kind.name != "event":
            wrong[name] = ["lies in the future: check the date"]
        elif at < EARLIEST:
            wrong[name] = ["lies before the year 2000: check the date"]
    for name in (n for n, f in kind.fields.items() if n in loaded and f.metadata.get("format") == "date"):
        if not EARLIEST.date() <= dt.date.fromisoformat(loaded[name]) <= (made_at + AHEAD).date():
            wrong[name] = ["lies in the future, or before the year 2000: check the date"]
    spans = not wrong and kind.name == "tally" and "from" in loaded and "to" in loaded
    if spans and parse_instant(loaded["from"]) > parse_instant(loaded["to"]):
        wrong["to"] = ["lies before from: swap them"]
    if wrong:
        raise Refused(wrong)
