"""One shot as the model reads it: whether it says anything about the grind, and how much."""

import math
from dataclasses import dataclass

from server.compute.grind.priors import PRIORS
from server.compute.grind.situation import steps_finer
from server.compute.grind.tolerance import window
from server.compute.time_to_target import END_FLOW_FACTOR, time_to_target


@dataclass(frozen=True)
class Reading:
    """A shot beside the one before it. `verdict` is `ok`, or why it says nothing about the grind."""

    verdict: str
    setting: float | None
    carried_setting: bool
    steps: float
    leap: float
    unpurged: bool
    changed: bool
    time_s: float | None
    u_ln: float
    tail: float

    @classmethod
    def of(cls, state: dict, shot: dict, recipe: dict, grinder: dict) -> "Reading":
        """Read a shot as the next one after what the state last saw."""
        written, last = shot.get("setting"), state["last"]
        before = last["setting"] if last else None
        setting = before if written is None else written
        steps = 0.0 if setting is None else steps_finer(state, setting, grinder)
        moved = 0.0 if before is None or setting is None else steps - steps_finer(state, before, grinder)
        verdict = _left_out(shot, setting)
        carried = None if verdict else _carried(state, shot, recipe)
        if carried and not (carried["usable"] and carried["time_to_target_s"]):
            verdict, carried = "unusable", None
        time_s = carried["time_to_target_s"] if carried else None
        return cls(
            verdict=verdict or "ok",
            setting=setting,
            carried_setting=written is None,
            steps=steps,
            leap=moved if abs(moved) > PRIORS["leap_steps"] else 0.0,
            unpurged=moved != 0 and (shot.get("purge_g") or 0.0) < PRIORS["purged_g"],
            changed=moved != 0,
            time_s=time_s,
            u_ln=carried["u_s"] / time_s if carried else 0.0,
            tail=END_FLOW_FACTOR * (time_s - shot["time_s"]) / time_s if carried else 0.0,
        )

    def noise(self, share: float, variance: float) -> float:
        """How much less the shot says than a plain one, `share` of it from its own bag: a multiple of its variance."""
        noise = 1.0 + self.u_ln * self.u_ln / variance
        if self.unpurged:
            noise *= PRIORS["after_change_noise"]
        if share < 1.0:
            noise *= PRIORS["mixed_noise"]
        if self.carried_setting:
            noise *= PRIORS["carried_noise"]
        return noise

    def off(self, recipe: dict, tolerances: float) -> int:
        """Above (1) or below (-1) so many tolerances of the recipe's time; else 0."""
        if self.time_s is None:
            return 0
        low, high = (tolerances * (math.exp(edge) - 1.0) for edge in window(recipe))
        share = self.time_s / recipe["time_s"] - 1.0
        return (share > high) - (share < low)


def usual_first_drop(state: dict, shot: dict) -> dict:
    """This grinder's usual first drop, after one more shot.

    Parameters
    ----------
    state : dict
        A grinder's state.
    shot : dict
        `first_drop_s` [s], if it was marked.

    Returns
    -------
    dict
        `usual_s` [s], a mean that leans to the last twenty, and `shots` it is from.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    usual, marked_s = state["first_drop"], shot.get("first_drop_s")
    if marked_s is None:
        return usual
    shots = min(usual["shots"] + 1, 20)
    before = marked_s if usual["usual_s"] is None else usual["usual_s"]
    return {"usual_s": before + (marked_s - before) / shots, "shots": shots}


def _left_out(shot: dict, setting: float | None) -> str | None:
    if shot.get("fault"):
        return "fault"
    if shot.get("purpose") in ("warm_up", "practice"):
        return "left_out"
    if shot["time_s"] < PRIORS["least_time_s"] or "time_s" in (shot.get("assumed") or ()):
        return "no_time"
    return "no_setting" if setting is None else None


def _carried(state: dict, shot: dict, recipe: dict) -> dict:
    """The shot's time, carried over to the recipe's yield."""
    marked_s = shot.get("first_drop_s")
    return time_to_target(
        shot["time_s"],
        shot["yield_g"],
        recipe["yield_g"],
        marked_s if marked_s is not None and 0 <= marked_s <= shot["time_s"] - 0.1 else None,
        first_drop_usual_s=state["first_drop"]["usual_s"],
        yield_assumed="yield_g" in (shot.get("assumed") or ()),
    )
