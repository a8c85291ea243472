"""The computed figures of single records, by kind."""

import datetime as dt
from collections.abc import Callable

from sqlalchemy.orm import Session

from server.clock import as_text, from_ms
from server.compute.shelf import bag_figures
from server.compute.shot import shot_figures
from server.figures.gather import Surroundings, around_bags, around_shots, plain
from server.figures.waters import water_figures
from server.records.kinds import KINDS
from server.store import queries

SHOT, BAG, EVENT, COFFEE, RECIPE = (KINDS[name].fields for name in ("shot", "bag", "bag_event", "coffee", "recipe"))


def figures_for(session: Session, touched: dict[str, list[str]], now: dt.datetime) -> dict[str, dict]:
    """The figures of each touched record that has any, by its id. `touched` is {kind: [record_id]}.

    What happened to a bag changes the bag's figures, so those are included too.
    """
    wanted = {kind: set(ids) for kind, ids in touched.items() if kind in KINDS}
    if "bag_event" in wanted:
        events = queries.by_ids(session, "bag_event", wanted["bag_event"])
        wanted.setdefault("bag", set()).update(event["bag_id"] for event in events.values())
    found: dict[str, dict] = {}
    for kind, of_kind in FIGURES.items():
        if ids := wanted.get(kind):
            rows = {i: row for i, row in queries.by_ids(session, kind, ids).items() if row["complete"]}
            found.update(of_kind(session, rows, now))
    return found


def shots_figures(session: Session, rows: dict[str, dict], now: dt.datetime) -> dict[str, dict]:
    around = around_shots(session, list(rows.values()))
    return {record_id: one_shot(row, around) for record_id, row in rows.items()}


def one_shot(row: dict, around: Surroundings) -> dict:
    """A shot's figures from its row and what is around it."""
    bag = around.bags.get(row["bag_id"])
    recipe = around.recipes.get(row["recipe_id"])
    coffee = around.coffee_of(bag)
    figures = shot_figures(
        plain(row, SHOT),
        recipe=plain(recipe, RECIPE) if recipe else None,
        bag=plain(bag, BAG) if bag and bag["complete"] else None,
        bag_events=[plain(event, EVENT) for event in around.events.get(row["bag_id"], [])],
        coffee=plain(coffee, COFFEE) if coffee else None,
        zone=around.zone(row["site_id"]),
    )
    if row["clock_offset_s"] is not None:
        figures["pulled_at_corrected"] = as_text(from_ms(row["at_ms"]))
    if row["clock_doubt_s"] is not None:
        figures["clock_doubt_s"] = row["clock_doubt_s"]
    return figures


def bags_figures(session: Session, rows: dict[str, dict], now: dt.datetime) -> dict[str, dict]:
    around, doses_g = around_bags(session, rows), queries.doses_since_weighed(session, rows)
    return {i: one_bag(row, around, now, doses_g.get(i, 0.0)) for i, row in rows.items()}


def one_bag(row: dict, around: Surroundings, now: dt.datetime, logged_dose_g: float) -> dict:
    """A bag's figures at an instant. `logged_dose_g`: what was dosed from it since it was last weighed."""
    coffee = around.coffee_of(row)
    return bag_figures(
        plain(row, BAG),
        [plain(event, EVENT) for event in around.events.get(row["id"], [])],
        coffee=plain(coffee, COFFEE) if coffee else None,
        now=now,
        zone=around.zone(around.site_of_bag(row)),
        logged_dose_g=logged_dose_g,
    )


def waters_figures(session: Session, rows: dict[str, dict], now: dt.datetime) -> dict[str, dict]:
    return {record_id: water_figures(session, row) for record_id, row in rows.items()}


FIGURES: dict[str, Callable[[Session, dict[str, dict], dt.datetime], dict[str, dict]]] = {
    "shot": shots_figures,
    "bag": bags_figures,
    "water": waters_figures,
}
