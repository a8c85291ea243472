"""Time to target, shot by shot: one series for each grinder, coffee and recipe, with what changed in between."""

from collections.abc import Iterator
from itertools import pairwise

from server.clock import as_text, from_ms
from server.compute.recipe import TOLERANCES
from server.figures.pulls import Pulled

POINTS_SHOWN = 60
SERIES_SHOWN = 12


def time_to_target(
    pulls: list[Pulled], recipes: dict[str, dict], changes: list[dict], events: list[dict]
) -> list[dict]:
    """The series, the one pulled last first. `changes` and `events` are the grinders', oldest first."""
    by_key: dict[tuple, list[Pulled]] = {}
    for pull in pulls:
        if _says_something(pull):
            by_key.setdefault((pull.row["grinder_id"], pull.row["recipe_id"]), []).append(pull)
    newest = sorted(by_key.items(), key=lambda item: item[1][-1].row["at_ms"], reverse=True)[:SERIES_SHOWN]
    return [_series(*key, theirs[-POINTS_SHOWN:], recipes, changes, events) for key, theirs in newest]


def _says_something(pull: Pulled) -> bool:
    """Whether a shot's time says anything about the grind: no warm-up, no fault, near enough to the yield."""
    carried = pull.figures["time_to_target_s"] is not None
    return carried and pull.purpose != "warm_up" and pull.row["fault"] is None


def _series(grinder_id, recipe_id, pulls: list[Pulled], recipes, changes: list[dict], events: list[dict]) -> dict:
    recipe = recipes[recipe_id]
    theirs = [row for row in changes if row["grinder_id"] == grinder_id]
    points = [_point(pull, theirs) for pull in pulls]
    happened = [row for row in events if row["grinder_id"] == grinder_id]
    return {
        "grinder_id": grinder_id,
        "coffee_id": recipe["coffee_id"],
        "recipe_id": recipe_id,
        "site_id": pulls[-1].row["site_id"],
        "target_s": recipe["time_s"],
        "tolerance_s": recipe["time_s_tol"] if recipe["time_s_tol"] is not None else TOLERANCES["time_s"],
        "points": points,
        "marks": [mark for before, after in pairwise(points) for mark in _marks(before, after, happened)],
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


def _marks(before: dict, after: dict, happened: list[dict]) -> Iterator[dict]:
    """What changed between two neighbours of a series; each mark belongs to the shot that came after it."""
    where = {"at": after["at"], "shot_id": after["shot_id"]}
    if None not in (before["setting"], after["setting"]) and before["setting"] != after["setting"]:
        yield {**where, "what": "setting", "from_setting": before["setting"], "to_setting": after["setting"]}
    if None not in (before["bag_id"], after["bag_id"]) and before["bag_id"] != after["bag_id"]:
        yield {**where, "what": "bag", "bag_id": after["bag_id"]}
    for row in happened:
        if before["at"] < as_text(from_ms(row["at_ms"])) <= after["at"]:
            yield {**where, "what": row["what"]}
