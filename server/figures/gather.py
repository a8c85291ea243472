"""Fetches what a set of shots or bags is computed from, a handful of selects however many there are."""

import datetime as dt
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from server.clock import from_ms
from server.compute.bag_history import inherited
from server.store import queries

DEFAULT_ZONE = "UTC"
DEFAULT_DAY_START = "04:00"


@dataclass
class Surroundings:
    """The records around some shots or bags, by id."""

    bags: dict[str, dict] = field(default_factory=dict)
    events: dict[str, list[dict]] = field(default_factory=dict)
    coffees: dict[str, dict] = field(default_factory=dict)
    recipes: dict[str, dict] = field(default_factory=dict)
    sites: dict[str, dict] = field(default_factory=dict)

    def coffee_of(self, bag: dict | None) -> dict | None:
        return self.coffees.get(bag["coffee_id"]) if bag else None

    def site_of_bag(self, bag: dict) -> str | None:
        """Where a bag is: where it was last moved to, else where it arrived."""
        moved = [event["to_site_id"] for event in self.events.get(bag["id"], []) if event["what"] == "moved"]
        return next((site_id for site_id in reversed(moved) if site_id), bag["site_id"])

    def zone(self, site_id: str | None) -> str:
        return (self.sites.get(site_id) or {}).get("time_zone") or DEFAULT_ZONE


def around_shots(session: Session, shots: list[dict]) -> Surroundings:
    bag_ids = {shot["bag_id"] for shot in shots}
    found = around_bags(session, queries.by_ids(session, "bag", bag_ids))
    found.recipes = queries.by_ids(session, "recipe", {shot["recipe_id"] for shot in shots})
    return found


def around_bags(session: Session, bags: dict[str, dict]) -> Surroundings:
    return Surroundings(
        bags=bags,
        events=_events_with_inherited(session, bags),
        coffees=queries.by_ids(session, "coffee", {bag["coffee_id"] for bag in bags.values()}),
        sites={site["id"]: site for site in queries.everything(session, "site")},
    )


def _events_with_inherited(session: Session, bags: dict[str, dict]) -> dict[str, list[dict]]:
    """What happened to each bag; for one that was split off another, what that one had been through comes first."""
    family, missing = dict(bags), {bag["parent_bag_id"] for bag in bags.values()} - {None}
    while missing := missing - family.keys():
        parents = queries.by_ids(session, "bag", missing)
        family |= {bag_id: parents.get(bag_id, {"parent_bag_id": None}) for bag_id in missing}
        missing = {bag["parent_bag_id"] for bag in parents.values()} - {None}
    own = queries.events_of(session, family)

    def whole(bag_id: str, seen: frozenset = frozenset()) -> list[dict]:
        parent_id = family[bag_id]["parent_bag_id"]
        before = inherited(whole(parent_id, seen | {bag_id}), bag_id) if parent_id and parent_id not in seen else []
        return [*before, *own.get(bag_id, [])]

    return {bag_id: events for bag_id in bags if (events := whole(bag_id))}


def plain(row: dict, names) -> dict:
    """A row's own fields that hold something: what a computation takes."""
    return {name: row[name] for name in names if row.get(name) is not None}


def day_start(site: dict | None) -> dt.time:
    return dt.time.fromisoformat((site or {}).get("day_starts_at") or DEFAULT_DAY_START)


def working_day(at: dt.datetime, site: dict | None) -> dt.date:
    """The working day that an instant belongs to: a shot at 01:00 belongs to the day before."""
    zone = ZoneInfo((site or {}).get("time_zone") or DEFAULT_ZONE)
    start = day_start(site)
    local = at.astimezone(zone)
    return local.date() if local.time() >= start else local.date() - dt.timedelta(days=1)


def day_began(day: dt.date, site: dict | None) -> dt.datetime:
    """The instant at which a working day begins."""
    zone = ZoneInfo((site or {}).get("time_zone") or DEFAULT_ZONE)
    return dt.datetime.combine(day, day_start(site), zone).astimezone(dt.UTC)


def at_of(row: dict) -> dt.datetime:
    return from_ms(row["at_ms"])
