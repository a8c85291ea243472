"""The sheet's part that carries the advice: for each grinder of a site, what is believed of it after its last logged
shot, and what to do now. The phone goes on from the same state when it is out of reach.

A grinder's state is the fold of its shots, oldest first. Folding starts where the last one ended as long as nothing
before that point has changed, so a saved shot costs one step, not six weeks of them.
"""

import datetime as dt
from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from sqlalchemy.orm import Session

from server.clock import to_ms
from server.compute.errors import BadInput
from server.compute.grind.advice import advise
from server.compute.grind.model import intervene, observe
from server.figures.gather import Surroundings, around_shots, plain
from server.figures.records import bags_figures, one_shot
from server.records.kinds import KINDS
from server.store import queries

DAYS_BACK = 60
KEPT_STATES = 64
GRINDER, RECIPE = KINDS["grinder"].fields, KINDS["recipe"].fields
OF_A_SHOT = (
    "dose_g", "yield_g", "time_s", "first_drop_s", "setting", "bag_id", "mixed_with", "person_id", "group", "purpose",
    "fault", "assumed",
)  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One thing that a grinder's state learns from; equal keys mean that nothing about it has changed."""

    key: tuple
    shot: dict | None = None
    recipe: dict | None = None
    event: str | None = None


def advice_part(session: Session, site_id: str, now: dt.datetime) -> dict:
    """Each grinder's state, the advice after its last shot, and which shot that was."""
    since_ms, until_ms = to_ms(now - dt.timedelta(days=DAYS_BACK)), to_ms(now + dt.timedelta(days=1))
    shots = queries.between(session, "shot", site_id, since_ms, until_ms)
    around = around_shots(session, shots)
    changes = _by_grinder(queries.between(session, "grind_change", None, since_ms, until_ms))
    events = _by_grinder(queries.between(session, "grinder_event", None, since_ms, until_ms))
    own = _by_grinder([shot for shot in shots if shot["recipe_id"] in around.recipes])
    grinders = queries.by_ids(session, "grinder", own)
    told = [
        _one_grinder(session, grinders[i], own[i], events.get(i, []), changes.get(i, []), around, now)
        for i in sorted(grinders)
    ]
    return {"grinders": [one for one in told if one is not None]}


def _by_grinder(rows: list[dict]) -> dict[str, list[dict]]:
    found: dict[str, list[dict]] = {}
    for row in rows:
        if row["grinder_id"]:
            found.setdefault(row["grinder_id"], []).append(row)
    return found


def _one_grinder(session, row, shots, events, changes, around: Surroundings, now) -> dict | None:
    grinder = plain(row, GRINDER)
    state = STATES.after(row["id"], _steps(row, shots, events, changes, around), grinder)
    if state is None:
        return None
    last = shots[-1]
    bag_row = around.bags.get(last["bag_id"])
    bag = bags_figures(session, {bag_row["id"]: bag_row}, now)[bag_row["id"]] if bag_row else {}
    recipe = _recipe(around, last)
    upcoming = {**_shot(last, around, changes), "at_ms": to_ms(now), "setting": _setting_now(last, changes)}
    answer = advise(state, upcoming, recipe, grinder, last["taste"], {"freshness": bag.get("freshness")})
    return {
        "grinder_id": row["id"],
        "shot_id": last["id"],
        "bag_id": last["bag_id"],
        "recipe_id": last["recipe_id"],
        "state": state,
        **answer,
    }


def _steps(row: dict, shots, events, changes, around: Surroundings) -> list[Step]:
    settings = (row["finer"], row["step"], row["seconds_per_step"])
    steps = [
        (event["at_ms"], Step((settings, event["id"], event["changed_seq"]), event=event["what"])) for event in events
    ]
    for shot in shots:
        bag = around.bags.get(shot["bag_id"]) or {}
        change = _last_change(changes, shot)
        key = (settings, shot["id"], shot["changed_seq"], bag.get("changed_seq"), change and change["changed_seq"])
        steps.append((shot["at_ms"], Step(key, _shot(shot, around, changes), _recipe(around, shot))))
    return [step for _, step in sorted(steps, key=lambda timed: (timed[0], timed[1].key[1]))]


def _shot(row: dict, around: Surroundings, changes: list[dict]) -> dict:
    """A shot as the model takes it."""
    bag = around.bags.get(row["bag_id"])
    change = _last_change(changes, row)
    shot = {**plain(row, OF_A_SHOT), "at_ms": row["at_ms"]}
    if bag:
        shot |= {"coffee_id": bag["coffee_id"], "age_days": one_shot(row, around).get("rest_days")}
    if change:
        shot = {"setting": change["setting"], "purge_g": change["purge_g"], **shot}
    return {name: value for name, value in shot.items() if value is not None}


def _last_change(changes: list[dict], shot: dict) -> dict | None:
    """The setting's last change before a shot."""
    return next((change for change in reversed(changes) if change["at_ms"] <= shot["at_ms"]), None)


def _recipe(around: Surroundings, shot: dict) -> dict:
    return {"id": shot["recipe_id"], **plain(around.recipes[shot["recipe_id"]], RECIPE)}


def _setting_now(last: dict, changes: list[dict]) -> float | None:
    later = [change["setting"] for change in changes if change["at_ms"] > last["at_ms"]]
    return later[-1] if later else last["setting"]


class States:
    """The states that were folded last, so that the next fold starts where one of them ended."""

    def __init__(self, most: int = KEPT_STATES):
        self.kept: OrderedDict[str, tuple[list[tuple], dict]] = OrderedDict()
        self.most, self.lock = most, Lock()

    def after(self, grinder_id: str, steps: list[Step], grinder: dict) -> dict | None:
        keys = [step.key for step in steps]
        with self.lock:
            done, state = self.kept.get(grinder_id, ([], None))
        if keys[: len(done)] != done:
            done, state = [], None
        for step in steps[len(done) :]:
            state = _taken_in(state, step, grinder)
        with self.lock:
            self.kept[grinder_id] = (keys, state)
            self.kept.move_to_end(grinder_id)
            while len(self.kept) > self.most:
                self.kept.popitem(last=False)
        return state


def _taken_in(state: dict | None, step: Step, grinder: dict) -> dict | None:
    if step.event is not None:
        return intervene(state, step.event) if state else None
    try:
        return observe(state, step.shot, step.recipe, grinder)
    except BadInput:  # a figure that can't be: the shot itself says so in its doubts, and teaches nothing
        return state


STATES = States()
