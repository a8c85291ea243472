"""Matches the names that a log uses (a coffee, a bag, a person, a grinder) with the records that there are."""

import datetime as dt
from dataclasses import dataclass, field
from difflib import get_close_matches

from sqlalchemy.orm import Session

from server.clock import to_ms
from server.exchange.headers import plain
from server.exchange.values import Unreadable
from server.fields import parse_instant
from server.ids import uuid8
from server.store import queries

CREATABLE = ("coffee", "person", "grinder", "machine", "bag")


@dataclass(frozen=True)
class Creation:
    """A record that a row needs and that isn't there yet."""

    kind: str
    record_id: str
    fields: dict

    @property
    def called(self) -> str:
        return self.fields.get("name") or self.fields["roasted_on"]


@dataclass
class Names:
    """What there is at a site, by the names that people use for it. What a good row creates is added by `keep`."""

    site: dict
    create: frozenset[str] = frozenset()
    named: dict[str, list[dict]] = field(default_factory=dict)
    bags: list[dict] = field(default_factory=list)
    events: dict[str, list[dict]] = field(default_factory=dict)

    @classmethod
    def at(cls, session: Session, site: dict, create: frozenset[str]) -> "Names":
        named = {
            kind: queries.everything(session, kind) for kind in ("coffee", "person", "grinder", "machine")
        }
        for kind in ("grinder", "machine"):
            named[kind] = [row for row in named[kind] if row["site_id"] in (None, site["id"])]
        bags = queries.everything(session, "bag")
        return cls(site, create, named, bags, queries.events_of(session, [bag["id"] for bag in bags]))

    @property
    def site_id(self) -> str:
        return self.site["id"]

    @property
    def site_names(self) -> set[str]:
        return {plain(self.site["name"]), self.site["id"]}

    def keep(self, creation: Creation) -> None:
        row = {"id": creation.record_id, "batch": None, "site_id": None, **creation.fields}
        (self.bags if creation.kind == "bag" else self.named[creation.kind]).append(row)

    def find(self, kind: str, name: str, more: dict | None = None) -> tuple[str, list[Creation]]:
        """The id of what is called `name`, and what has to be created for it. Raises Unreadable."""
        rows = [row for row in self.named[kind] if plain(name) in _names_of(row)]
        if len(rows) == 1:
            return rows[0]["id"], []
        if rows:
            raise Unreadable(f"“{name}” is the name of {len(rows)} records: rename one, or give {kind}_id")
        if kind not in self.create:
            raise Unreadable(self._unknown(kind, name))
        fields = {"name": name, **(more or {})}
        if kind in ("grinder", "machine"):
            fields["site_id"] = self.site_id
        creation = Creation(kind, uuid8("import", kind, plain(name)), fields)
        return creation.record_id, [creation]

    def find_bag(self, names: dict[str, str], pulled_at: str | None) -> tuple[str | None, list[Creation]]:
        """The bag that a shot was pulled from, by its coffee, roast date and batch. Raises Unreadable.

        Where only the coffee is named, it is the bag of it that was open at the time.
        """
        if not names.keys() & {"coffee", "roasted_on", "batch"}:
            return None, []
        coffee_id, creations = self.find("coffee", names["coffee"]) if "coffee" in names else (None, [])
        bags = [bag for bag in self.bags if _fits(bag, coffee_id, names)]
        if len(bags) > 1 and pulled_at:
            bags = [bag for bag in bags if self._was_open(bag, parse_instant(pulled_at))] or bags
        if len(bags) == 1:
            return bags[0]["id"], []
        if bags:
            raise Unreadable(f"{len(bags)} bags fit: add a column with the roast date or the batch")
        if "bag" not in self.create or not {"coffee", "roasted_on"} <= names.keys():
            raise Unreadable(_no_bag(names))
        return self._new_bag(coffee_id, names, creations)

    def _new_bag(
        self, coffee_id: str, names: dict[str, str], creations: list[Creation]
    ) -> tuple[str, list[Creation]]:
        fields = {"coffee_id": coffee_id, "roasted_on": names["roasted_on"], "site_id": self.site_id}
        fields |= {"batch": names["batch"]} if "batch" in names else {}
        bag_id = uuid8(
            "import", "bag", self.site_id, plain(names["coffee"]), names["roasted_on"], names.get("batch", "")
        )
        return bag_id, [*creations, Creation("bag", bag_id, fields)]

    def _was_open(self, bag: dict, at: dt.datetime) -> bool:
        before = [event["what"] for event in self.events.get(bag["id"], []) if event["at_ms"] <= to_ms(at)]
        return "opened" in before and "finished" not in before

    def _unknown(self, kind: str, name: str) -> str:
        known = {plain(row["name"]): row["name"] for row in self.named[kind]}
        near = get_close_matches(plain(name), known, 1)
        hint = f"did you mean {known[near[0]]}? Correct it" if near else "correct it"
        return f"“{name}” is no {kind} here: {hint}, or let it be made (--create {kind})"


def _names_of(row: dict) -> set[str]:
    names = {plain(row["name"]), row["id"]}
    if roaster := row.get("roaster"):
        names |= {plain(f"{roaster} {row['name']}"), plain(f"{row['name']} {roaster}")}
    return names


def _fits(bag: dict, coffee_id: str | None, names: dict[str, str]) -> bool:
    return (
        coffee_id in (None, bag["coffee_id"])
        and names.get("roasted_on") in (None, bag["roasted_on"])
        and ("batch" not in names or plain(names["batch"]) == plain(bag["batch"] or ""))
    )


def _no_bag(names: dict[str, str]) -> str:
    said = " ".join(names[name] for name in ("coffee", "roasted_on", "batch") if name in names)
    if {"coffee", "roasted_on"} <= names.keys():
        return f"there is no bag of {said}: correct it, or let it be made (--create bag)"
    return f"there is no bag of {said}: add a column with its roast date"
