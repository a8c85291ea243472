"""Finishes a row: names become ids, the record's own schema judges it, and its id follows from what it says."""

import datetime as dt
from dataclasses import dataclass, field

from marshmallow import ValidationError

from server.exchange.cells import Reading, Said, Wrong
from server.exchange.headers import plain
from server.exchange.names import Creation, Names
from server.exchange.values import Unreadable
from server.fields import Id
from server.ids import uuid8
from server.records.reading import Refused, read_new
from server.sync.envelope import canonical

PEOPLE_AND_THINGS = {"person": "person_id", "grinder": "grinder_id", "machine": "machine_id"}
NEEDED = "is needed and the cell is empty: enter it"


@dataclass
class Finished:
    """A row that is fit to be stored, with the records that have to be made for it."""

    line: int
    record_id: str
    fields: dict
    creations: list[Creation] = field(default_factory=list)


def finish(said: Said, read: Reading, names: Names, now: dt.datetime) -> Finished | list[Wrong]:
    """The record that a row stands for, or all that is wrong with it."""
    if any(problem.field == "row" for problem in said.wrong):
        return said.wrong
    wrong, creations = list(said.wrong), []
    fields = {"site_id": names.site_id, **said.fields} if "site_id" in read.kind.fields else dict(said.fields)
    for name, resolve in _LOOK_UPS[read.kind.name].items():
        try:
            found, made = resolve(said, names)
        except Unreadable as unknown:
            wrong.append(Wrong(said.line, name, read.header_of(name), str(unknown)))
            continue
        creations += made
        if found is not None:
            fields.setdefault(name, found)
    failed = {problem.field.split(".")[0] for problem in wrong}
    wrong += [
        problem for problem in _judged(said, read, fields, now) if problem.field.split(".")[0] not in failed
    ]
    if wrong:
        return wrong
    try:
        record_id = _record_id(said, read, names.site_id)
    except ValidationError as bad:
        return [Wrong(said.line, "id", read.header_of("id"), bad.messages[0])]
    return Finished(said.line, record_id, fields, creations)


def _judged(said: Said, read: Reading, fields: dict, now: dt.datetime) -> list[Wrong]:
    """What the record's schema says: the same judge as for a phone."""
    try:
        read_new(read.kind, fields, now)
    except Refused as refused:
        return [
            Wrong(said.line, name, read.header_of(name), text if name.partition(".")[0] in fields else NEEDED)
            for name, texts in refused.errors.items()
            for text in texts
        ]
    return []


def _record_id(said: Said, read: Reading, site_id: str) -> str:
    """Our own export's id where there is one; else derived from kind, site and what the row says.

    From the names as they are typed and not from what they were matched with: a bag that is added later must not
    make the same row another record.
    """
    if "id" in said.names:
        return Id().deserialize(said.names["id"])
    typed = {name: plain(text) for name, text in said.names.items()}
    return uuid8("import", read.kind.name, site_id, canonical({"fields": said.fields, "names": typed}))


def _site(said: Said, names: Names):
    """A log is of one site: a row that names another one is not stored under this one."""
    wanted = said.names.get("site")
    if wanted is not None and plain(wanted) not in names.site_names:
        raise Unreadable(f"“{wanted}” is not the site that this is imported for: import it with --site")
    return None, []


def _named(kind: str):
    def resolve(said: Said, names: Names):
        return names.find(kind, said.names[kind]) if kind in said.names else (None, [])

    return resolve


def _bag(said: Said, names: Names):
    if "bag_id" in said.fields:
        return None, []
    return names.find_bag(said.names, said.fields.get("pulled_at"))


def _coffee(said: Said, names: Names):
    if "coffee_id" in said.fields or "coffee" not in said.names:
        return None, []
    more = {"roaster": said.names["roaster"]} if "roaster" in said.names else {}
    return names.find("coffee", said.names["coffee"], more)


_LOOK_UPS = {
    "shot": {
        "site_id": _site,
        "bag_id": _bag,
        **{of: _named(kind) for kind, of in PEOPLE_AND_THINGS.items()},
    },
    "bag": {"site_id": _site, "coffee_id": _coffee},
    "water": {"site_id": _site},
}
