"""Streams of shots with what the server's advice makes of them, for the phone's twin to answer alike.

    python -m tests.vectors.make_advice [COUNT] > streams.json

Streams hold what a bar does and what it gets wrong: new bags and coffees, two people, moves with and without a
purge, nights, faults, warm-ups, missing settings, minutes for seconds, another grinder's scale, interventions.
"""

import json
import math
import random
import sys

from server.compute.grind.advice import advise
from server.compute.grind.carried import carried
from server.compute.grind.model import intervene, observe

EIGHT_MS = 1_772_438_400_000
EVENTS = ("cleaned", "re_zeroed", "new_burrs")
FAULTS = ("channelling", "spill", "wrong_dose", "machine", "interrupted")


def streams(seed: int, count: int) -> list[dict]:
    """`count` streams, each with every state's end and every advice on the way."""
    return [stream(random.Random(f"{seed} {i}")) for i in range(count)]


def stream(chance: random.Random) -> dict:
    recipes = [recipe(chance, "house"), recipe(chance, "guest")]
    grinder = {"finer": chance.choice(["lower", "higher"]), "step": chance.choice([None, 0.1, 0.2, 1.0])}
    if chance.random() < 0.3:
        grinder["seconds_per_step"] = chance.choice([-1, 1]) * chance.uniform(0.5, 9)
    state, steps, at_ms, setting, bag, level = None, [], EIGHT_MS, 4.0, 0, chance.gauss(0, 0.3)
    for _ in range(chance.randint(3, 16)):
        at_ms += int(chance.choice([3, 5, 20, 60, 60 * 15]) * 60_000 * chance.uniform(0.5, 1.5))
        if chance.random() < 0.12:
            bag, level = bag + 1, level + chance.gauss(0, 0.12)
        moved = chance.random() < 0.25
        setting += moved * chance.choice([-2, -1, 1, 2]) * (grinder["step"] or 0.25)
        pulled_to = recipes[chance.random() < 0.15]
        shot = pull(chance, pulled_to, at_ms, setting, bag, level) | (
            {"purge_g": 3.0} if moved and chance.random() < 0.5 else {}
        )
        state = observe(state, shot, pulled_to, grinder)
        step = {"shot": shot, "recipe": pulled_to, "verdict": state["last"]["verdict"]}
        if chance.random() < 0.03:
            step["event"] = chance.choice(EVENTS)
            state = intervene(state, step["event"])
        asked = question(chance, at_ms, setting)
        told = advise(state, asked["upcoming"], pulled_to, grinder, asked["taste"], asked["bag"], asked["water"])
        steps.append(step | {"asked": asked, "told": told})
    return {"grinder": grinder, "steps": steps, "state": state}


def recipe(chance: random.Random, name: str) -> dict:
    made = {
        "id": name,
        "coffee_id": f"{name} coffee",
        "dose_g": 18.0,
        "yield_g": chance.choice([32.0, 36.0, 40.0]),
        "time_s": 28.0,
    }
    return made | chance.choice([{}, {"time_s_tol": 2.0}, {"time_s_tol": 4.0}])


def pull(chance: random.Random, pulled_to: dict, at_ms: int, setting: float, bag: int, level: float) -> dict:
    time_s = pulled_to["time_s"] * math.exp(level + chance.gauss(0, 0.07))
    shot = {
        "at_ms": at_ms, "setting": round(setting, 2), "dose_g": round(chance.gauss(18, 0.2), 1),
        "yield_g": round(chance.gauss(pulled_to["yield_g"], 1.2), 1), "time_s": round(time_s, 1),
        "bag_id": f"bag {bag}", "coffee_id": pulled_to["coffee_id"],
    }  # fmt: skip
    maybe = {
        "first_drop_s": (0.5, lambda: round(time_s * 0.25, 1)), "person_id": (0.8, lambda: chance.choice("it")),
        "group": (0.7, lambda: chance.choice("12")), "age_days": (0.7, lambda: 8 + bag * 7 + chance.randint(0, 5)),
        "purpose": (0.5, lambda: chance.choice(["service", "dial_in", "dial_in", "warm_up", "practice"])),
        "fault": (0.05, lambda: chance.choice(FAULTS)), "mixed_with": (0.1, lambda: f"bag {bag - 1}"),
        "assumed": (0.05, lambda: [chance.choice(["yield_g", "time_s", "dose_g"])]),
        "time_s": (0.08, lambda: round(time_s * chance.choice([1 / 60, 1.5, 1.5, 2.5, 0.5]), 2)),
        "setting": (0.06, lambda: chance.choice([None, setting + 40.0])),
    }  # fmt: skip
    return shot | {name: value() for name, (odds, value) in maybe.items() if chance.random() < odds}


def question(chance: random.Random, at_ms: int, setting: float) -> dict:
    words = ("acidity", "sweetness", "bitterness", "body")
    tasted = {word: chance.randint(-2, 2) for word in chance.sample(words, chance.randint(1, 4))}
    upcoming = {"at_ms": at_ms + chance.choice([4, 30, 900]) * 60_000}
    upcoming["setting"] = chance.choice([round(setting, 2), None])
    if chance.random() < 0.1:
        upcoming |= {"bag_id": "the next bag", "age_days": 9}
    return {
        "upcoming": upcoming,
        "taste": chance.choice([None, None, None, {"right": True}, tasted]),
        "bag": {"freshness": chance.choices(["in_window", "past_window", "resting"], [9, 1, 1])[0]},
        "water": {"status": chance.choices(["ok", "check"], [9, 1])[0]},
    }


if __name__ == "__main__":
    made = {"carried": carried(), "streams": streams(1, int(sys.argv[1]) if sys.argv[1:] else 200)}
    json.dump(made, sys.stdout, allow_nan=False)
