"""Pulls for the tests: our invented bar's house recipe, and streams of shots a few minutes apart."""

from server.compute.grind.model import observe

RECIPE = {"id": "house", "coffee_id": "tarn", "dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0, "time_s_tol": 3.0}
GRINDER = {"finer": "lower", "step": 0.1}
MINUTE_MS = 60_000
EIGHT_MS = 1_772_438_400_000  # 2026-03-02T08:00:00Z


def pull(time_s, minute=0, **other):
    """One shot, to the gram unless told otherwise."""
    shot = {"at_ms": EIGHT_MS + minute * MINUTE_MS, "dose_g": 18.0, "yield_g": 36.0, "time_s": time_s}
    return shot | {"setting": 4.2, "bag_id": "first", "first_drop_s": 7.0} | other


def pulled(*shots, state=None, recipe=RECIPE, grinder=GRINDER):
    """The state after shots, each a time or a whole shot, five minutes apart."""
    for i, shot in enumerate(shots):
        shot = shot if isinstance(shot, dict) else pull(shot, 5 * i)
        state = observe(state, shot, recipe, grinder)
    return state


def after(state, minutes=5, **other):
    """The shot to come."""
    return {"at_ms": state["last"]["at_ms"] + minutes * MINUTE_MS, **other}
