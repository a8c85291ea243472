"""The shelf as the manager sees it: every bag that isn't finished, where it stands and what is left of it."""

import datetime as dt

from sqlalchemy.orm import Session

from server.figures.gather import Surroundings, around_bags
from server.figures.records import one_bag
from server.store import queries

AGES = ("freshness", "rest_days", "window_from", "window_until", "days_left")
OLDEST = dt.timedelta(days=365)  # a bag that old, and never frozen, is on nobody's shelf
SHOWN = (*AGES, "condition", "left_g", "left_how", "doubts")


def shelf(session: Session, site_id: str | None, now: dt.datetime) -> list[dict]:
    """The bags of a site (of all, for None), those that leave their window first at the top."""
    since = (now - OLDEST).date().isoformat()
    around = around_bags(session, {row["id"]: row for row in queries.open_bags(session, since)})
    here = {i: row for i, row in around.bags.items() if site_id is None or around.site_of_bag(row) == site_id}
    doses_g = queries.doses_since_weighed(session, here)
    bags = [_bag(row, around, now, doses_g.get(i, 0.0)) for i, row in here.items()]
    return sorted(bags, key=lambda bag: (bag["window_until"] or "9999", bag["roasted_on"], bag["id"]))


def _bag(row: dict, around: Surroundings, now: dt.datetime, logged_dose_g: float) -> dict:
    figures = one_bag(row, around, now, logged_dose_g)
    coffee = around.coffee_of(row) or {}
    return {
        "id": row["id"],
        "coffee_id": row["coffee_id"],
        "coffee": coffee.get("name"),
        "site_id": around.site_of_bag(row),
        "roasted_on": row["roasted_on"],
        "mass_g": row["mass_g"],
        **{name: figures[name] for name in SHOWN},
    }
