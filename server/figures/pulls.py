"""Shots as the manager's charts take them: each with its figures, its coffee, its site's working day and local hour."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from server.clock import to_ms
from server.compute.statistics import wilson_interval
from server.figures.gather import Surroundings, at_of, day_began, working_day
from server.figures.records import one_shot
from server.store import board, queries

DAY = dt.timedelta(days=1)
KNOWN_AT_MOST = 50_000  # about half a kilobyte each
_known: dict[tuple, dict] = {}


@dataclass(frozen=True)
class Pulled:
    """One shot of a range."""

    row: dict
    figures: dict
    coffee_id: str | None
    day: dt.date
    hour: int

    @property
    def at(self) -> dt.datetime:
        return at_of(self.row)

    @property
    def purpose(self) -> str:
        return self.row["purpose"] or "service"

    @property
    def sunk(self) -> bool:
        """Meant for a guest, and not served."""
        return self.purpose == "service" and self.row["fate"] == "sunk"

    @property
    def judged(self) -> bool:
        """Meant for a guest, and held against a recipe."""
        return self.purpose == "service" and self.figures["on_recipe"] is not None


def span_ms(sites: Iterable[dict], first: dt.date, last: dt.date) -> tuple[int, int]:
    """From when the first of these working days began anywhere, until the last one ended everywhere."""
    sites = list(sites) or [None]
    since = min(day_began(first, site) for site in sites)
    until = max(day_began(last + DAY, site) for site in sites)
    return to_ms(since), to_ms(until)


def pulled(session: Session, sites: dict[str, dict], first: dt.date, last: dt.date) -> list[Pulled]:
    """Every shot of these working days, oldest first."""
    rows = board.facts_between(session, "shot", sites, *span_ms(sites.values(), first, last))
    bags = queries.by_ids(session, "bag", {row["bag_id"] for row in rows if not row["recipe_id"]})
    # Without the bags: how fresh a shot's bag was is nothing that a chart shows, and would cost the most.
    around = Surroundings(recipes=queries.by_ids(session, "recipe", {row["recipe_id"] for row in rows}), sites=sites)
    found = (_pulled(row, around, bags) for row in rows)
    return [pull for pull in found if first <= pull.day <= last]


def _pulled(row: dict, around: Surroundings, bags: dict[str, dict]) -> Pulled:
    at, site = at_of(row), around.sites.get(row["site_id"])
    of = around.recipes.get(row["recipe_id"]) or bags.get(row["bag_id"])
    coffee_id = of["coffee_id"] if of else None
    hour = at.astimezone(ZoneInfo(around.zone(row["site_id"]))).hour
    return Pulled(row, _figures(row, around), coffee_id, working_day(at, site), hour)


def _figures(row: dict, around: Surroundings) -> dict:
    """A shot's figures, worked out once for each state of its record: the picture is asked for all day."""
    recipe = around.recipes.get(row["recipe_id"])
    key = row["id"], row["changed_seq"], recipe["changed_seq"] if recipe else None
    if key not in _known:
        if len(_known) >= KNOWN_AT_MOST:
            _known.clear()
        _known[key] = one_shot(row, around)
    return _known[key]


def on_recipe(pulls: Iterable[Pulled]) -> dict:
    """How many of the shots meant for guests were on recipe, and how far that share can be trusted."""
    judged = [pull.figures["on_recipe"] for pull in pulls if pull.judged]
    on, of = sum(judged), len(judged)
    low, high = wilson_interval(on, of) if of else (None, None)
    return {"on": on, "of": of, "share": on / of if of else None, "low": low, "high": high}
