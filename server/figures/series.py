"""Time to target, shot by shot: one series for each grinder, coffee and recipe, with what changed in between."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from server.clock import as_text, from_ms
from server.compute.recipe import TOLERANCES
from server.figures.pulls import Pulled

POINTS_SHOWN = 60
SERIES_SHOWN = 12
LATELY_DAYS = 14


@dataclass(frozen=True)
class Around:
    """What the shots of a range were pulled with: recipes and bags by id, the grinders' changes and events by time."""

    recipes: dict[str, dict]
    bags: dict[str, dict]
    changes: list[dict]
    events: list[dict]


def time_to_target(pulls: list[Pulled], around: Around) -> list[dict]:
    """The series, the one pulled most often lately first."""
    by_key: dict[tuple, list[Pulled]] = {}
    for pull in pulls:
        if says_something(pull):
            by_key.setdefault((pull.row["grinder_id"], pull.row["recipe_id"]), []).append(pull)
    lately = pulls[-1].day - dt.timedelta(days=LATELY_DAYS - 1) if pulls else None

    def used(item: tuple[tuple, list[Pulled]]) -> tuple[int, int]:
        return sum(pull.day >= lately for pull in item[1]), item[1][-1].row["at_ms"]

    most = sorted(by_key.items(), key=used, reverse=True)[:SERIES_SHOWN]
    return [_series(*key, theirs[-POINTS_SHOWN:], around) for key, theirs in most]


def says_something(pull: Pulled) -> bool:
    """Whether a shot's time says anything about the grind: no warm-up, no fault, near enough to the yield."""
    carried = pull.figures["time_to_target_s"] is not None
    return carried and pull.purpose != "warm_up" and pull.row["fault"] is None


def time_tolerance_s(recipe: dict) -> float:
    """The recipe's own, or common practice."""
    return recipe["time_s_tol"] if recipe["time_s_tol"] is not None else TOLERANCES["time_s"]


def _series(grinder_id: str | None, recipe_id: str, pulls: list[Pulled], around: Around) -> dict:
    recipe = around.recipes[recipe_id]
    changes = [row for row in around.changes if row["grinder_id"] == grinder_id]
    events = [row for row in around.events if row["grinder_id"] == grinder_id]
    points = [_point(pull, changes) for pull in pulls]
    marks = (_marks(before, after, events, around.bags) for before, after in pairwise(points))
    return {
        "grinder_id": grinder_id,
        "coffee_id": recipe["coffee_id"],
        "recipe_id": recipe_id,
        "site_id": pulls[-1].row["site_id"],
        "target_s": recipe["time_s"],
        "tolerance_s": time_tolerance_s(recipe),
        "points": points,
        "marks": [mark for found in marks for mark in found],
    }


def _point(pull: Pulled, changes: list[dict]) -> dict:
    return {
        "shot_id": pull.row["id"],
        "at": as_text(pull.at),
        "time_to_target_s": pull.figures["time_to_target_s"],
        "u_s": pull.figures["u_time_to_target_s"],
        "on_recipe": pull.figures["on_recipe"],
        "setting": _setting(pull, changes),
        "bag_id": pull.row["bag_id"],
    }


def _setting(pull: Pulled, changes: list[dict]) -> float | None:
    """Where the grinder stood: as the shot says, else as it was last changed before."""
    if pull.row["setting"] is not None:
        return pull.row["setting"]
    before = [row["setting"] for row in changes if row["at_ms"] <= pull.row["at_ms"]]
    return before[-1] if before else None


def _marks(before: dict, after: dict, events: list[dict], bags: dict[str, dict]) -> Iterator[dict]:
    """What changed between two neighbours of a series; each mark belongs to the shot that came after it."""
    where = {"at": after["at"], "shot_id": after["shot_id"]}
    if None not in (before["setting"], after["setting"]) and before["setting"] != after["setting"]:
        yield {**where, "what": "setting", "from_setting": before["setting"], "to_setting": after["setting"]}
    if None not in (before["bag_id"], after["bag_id"]) and before["bag_id"] != after["bag_id"]:
        roasted_on = (bags.get(after["bag_id"]) or {}).get("roasted_on")
        yield {**where, "what": "bag", "bag_id": after["bag_id"], "roasted_on": roasted_on}
    for row in events:
        if before["at"] < as_text(from_ms(row["at_ms"])) <= after["at"]:
            yield {**where, "what": row["what"]}
