"""The sheet: what the server works out for one site and its phones carry all day, in parts with their own ETags.

plan      which bag to open next and where each stands now; last setting and taste of each grinder
calendar  for each bag, its state on each of the next 60 local days
water     the last sample with its figures
advice    what the phone needs to carry the advice forward
"""

import datetime as dt
import hashlib
import json

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from server.clock import as_text
from server.compute.shelf import bag_calendar
from server.figures.advice import advice_part
from server.figures.gather import Surroundings, around_bags, at_of, plain, working_day
from server.figures.records import BAG, COFFEE, EVENT, bags_figures
from server.figures.waters import water_figures
from server.records.kinds import KINDS
from server.store import queries
from server.store.record_tables import TABLES
from server.store.tables import StoreState

PARTS = ("plan", "calendar", "water", "advice")
# The records that each part is made from: a part's ETag changes when one of them does, or the day does.
MADE_FROM = {
    "plan": ("site", "bag", "bag_event", "coffee", "recipe", "grinder", "grind_change", "shot"),
    "calendar": ("site", "bag", "bag_event", "coffee"),
    "water": ("water", "machine"),
    "advice": ("site", "bag", "bag_event", "coffee", "recipe", "grinder", "grind_change", "grinder_event", "shot"),
}
CALENDAR_DAYS = 60


def sheet_etags(session: Session, site_id: str, now: dt.datetime) -> dict[str, str]:
    """Each part's ETag, without working the part out."""
    changed = {
        kind: _last_change(session, kind, site_id) for kind in {k for kinds in MADE_FROM.values() for k in kinds}
    }
    database_id = session.execute(select(StoreState.database_id)).scalar_one()
    site = queries.by_ids(session, "site", [site_id]).get(site_id)
    day = working_day(now, site).isoformat()
    return {
        part: hashlib.sha256(
            json.dumps([database_id, site_id, part, day, [changed[kind] for kind in MADE_FROM[part]]]).encode()
        ).hexdigest()[:20]
        for part in PARTS
    }


def sheet_part(session: Session, part: str, site_id: str, now: dt.datetime) -> tuple[dict, str]:
    """One part of a site's sheet, and its ETag."""
    made = {"plan": plan, "calendar": calendar, "water": water, "advice": advice_part}[part](session, site_id, now)
    return {"part": part, "site_id": site_id, "made_at": as_text(now), **made}, sheet_etags(session, site_id, now)[part]


def plan(session: Session, site_id: str, now: dt.datetime) -> dict:
    """Where each bag stands, which to open next, and the last setting of each grinder."""
    rows = {row["id"]: row for row in queries.open_bags(session)}
    figures = bags_figures(session, rows, now)
    bags = [{"bag_id": i, "coffee_id": row["coffee_id"], **figures[i]} for i, row in rows.items()]
    bags = [bag for bag in bags if bag.get("condition") != "finished"]
    return {"bags": bags, "open_next": _open_next(bags), "grinders": _settings(session)}


def calendar(session: Session, site_id: str, now: dt.datetime) -> dict:
    """The state of each bag on each of the next days: right on the phone with no server in reach."""
    around = _shelf(session)
    zone = around.zone(site_id)
    return {
        "days": CALENDAR_DAYS,
        "bags": {bag_id: _bag_days(row, around, now, zone) for bag_id, row in around.bags.items()},
    }


def water(session: Session, site_id: str, now: dt.datetime) -> dict:
    """The site's last sample with its figures; null before the first."""
    row = queries.latest(session, "water", site_id)
    if row is None:
        return {"water": None, "figures": None}
    return {"water": {"id": row["id"], **plain(row, KINDS["water"].fields)}, "figures": water_figures(session, row)}


def _shelf(session: Session) -> Surroundings:
    rows = {row["id"]: row for row in queries.open_bags(session)}
    return around_bags(session, rows)


def _bag_days(row: dict, around: Surroundings, now: dt.datetime, zone: str) -> dict:
    coffee = around.coffee_of(row)
    return bag_calendar(
        plain(row, BAG),
        [plain(event, EVENT) for event in around.events.get(row["id"], [])],
        coffee=plain(coffee, COFFEE) if coffee else None,
        now=now,
        zone=zone,
        days=CALENDAR_DAYS,
    )


def _open_next(bags: list[dict]) -> str | None:
    """Of the sealed bags in window, the first to leave it."""
    ready = [bag for bag in bags if bag.get("condition") == "sealed" and bag.get("freshness") == "in_window"]
    return min(ready, key=lambda bag: (bag["window_until"], bag["bag_id"]))["bag_id"] if ready else None


def _settings(session: Session) -> list[dict]:
    last = {}
    for change in queries.last_grind_changes(session):
        last[change["grinder_id"]] = {"setting": change["setting"], "at": as_text(at_of(change))}
    return [{"grinder_id": grinder_id, **what} for grinder_id, what in sorted(last.items())]


def _last_change(session: Session, kind: str, site_id: str) -> int:
    table = TABLES[kind]
    query = select(func.coalesce(func.max(table.c.changed_seq), 0))
    if KINDS[kind].scope == "site":
        query = query.where(table.c.site_id == site_id)
    return session.execute(query).scalar_one()
