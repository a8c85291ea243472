"""Cases of the sums that a phone does before the server has seen a record: generated here, answered there alike.

Each case names its `sum` and gives `in` and `out`. A null `out` is a figure that the server refuses by name. For
`bag` the phone knows dates only: the local date of today, of the roast and of the opening, at 20 °C in a cupboard.

Write the file anew with: python -m tests.vectors.make_sums
"""

import datetime as dt
import json
import random
from pathlib import Path

from server.compute.errors import BadInput
from server.compute.extraction import extraction_pct, flow_g_s, ratio
from server.compute.freshness import freshness

FILE = Path(__file__).with_name("sums.json")
SUMS = {"ratio": ratio, "flow_g_s": flow_g_s, "extraction_pct": extraction_pct}
OF_A_BAG = ("rest_days", "stale_days", "freshness", "window_from", "window_until", "days_left")
# Edges of the ranges, and what lies a hair beyond them.
EDGES = [
    ("ratio", {"yield_g": 0.1, "dose_g": 250}),
    ("ratio", {"yield_g": 3000, "dose_g": 0.1}),
    ("ratio", {"yield_g": 0, "dose_g": 18}),
    ("ratio", {"yield_g": 36, "dose_g": 250.1}),
    ("flow_g_s", {"yield_g": 36, "time_s": 28, "first_drop_s": 0}),
    ("flow_g_s", {"yield_g": 36, "time_s": 28, "first_drop_s": 28}),
    ("flow_g_s", {"yield_g": 36, "time_s": 28, "first_drop_s": -1}),
    ("flow_g_s", {"yield_g": 36, "time_s": 3601, "first_drop_s": 8}),
    ("extraction_pct", {"dose_g": 18, "yield_g": 36, "strength_pct": 9.5}),
    ("extraction_pct", {"dose_g": 20, "yield_g": 40, "strength_pct": 9}),
    ("extraction_pct", {"dose_g": 18, "yield_g": 36, "strength_pct": 0}),
    ("extraction_pct", {"dose_g": 18, "yield_g": 36, "strength_pct": 30.1}),
]


def cases(seed: int, each: int) -> list[dict]:
    """The edges, then `each` shots of every sum, then three times as many bags."""
    chance = random.Random(seed)
    shots = [(name, a_shot(chance, name)) for name in SUMS for _ in range(each)]
    made = [{"sum": name, "in": given, "out": answer(name, given)} for name, given in [*EDGES, *shots]]
    return made + [a_bag(chance) for _ in range(3 * each)]


def answer(name: str, given: dict) -> float | None:
    try:
        return SUMS[name](**given)
    except BadInput:
        return None


def a_shot(chance: random.Random, name: str) -> dict:
    """Figures as they are typed; one in ten of them out of range."""
    time_s = round(chance.uniform(5, 60), 1)
    figures = {
        "dose_g": round(chance.uniform(7, 60), 1),
        "yield_g": round(chance.uniform(10, 900), 1),
        "time_s": time_s,
        "first_drop_s": round(chance.uniform(0, time_s), 1),
        "strength_pct": round(chance.uniform(0.8, 18), 2),
    }
    names = {
        "ratio": ("yield_g", "dose_g"),
        "flow_g_s": ("yield_g", "time_s", "first_drop_s"),
        "extraction_pct": ("dose_g", "yield_g", "strength_pct"),
    }[name]
    given = {field: figures[field] for field in names}
    if chance.random() < 0.1:
        given[chance.choice(names)] = chance.choice([-1, 4000])
    return given


def a_bag(chance: random.Random) -> dict:
    """A sealed or an open bag at any age, with all, some or none of a roaster's figures."""
    roasted = dt.date(2026, 1, 1) + dt.timedelta(days=chance.randint(0, 364))
    age = chance.randint(0, 60)
    given = {"roasted_on": roasted.isoformat(), "on": (roasted + dt.timedelta(days=age)).isoformat()}
    if chance.random() < 0.5:
        given["opened_on"] = (roasted + dt.timedelta(days=chance.randint(0, age))).isoformat()
        given["kept"] = chance.choice(["hopper", "resealed"])
    usual = {
        "rest_days": chance.choice([0, 4, 7, 10, 14, 25]),
        "best_until_days": chance.choice([28, 35, 60]),
        "open_days": chance.choice([1, 3, 7, 14]),
    }
    given["window"] = {name: days for name, days in usual.items() if chance.random() < 0.4}
    return {"sum": "bag", "in": given, "out": bag_answer(given)}


def bag_answer(given: dict) -> dict:
    found = freshness(
        given["roasted_on"],
        f"{given['on']}T12:00:00Z",
        opened_at=f"{given['opened_on']}T12:00:00Z" if "opened_on" in given else None,
        kept=given.get("kept", "hopper"),
        window=given["window"],
    )
    return {name: found[name] for name in OF_A_BAG}


if __name__ == "__main__":
    lines = ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases(seed=2, each=50))
    FILE.write_text(f"[\n{lines}\n]\n")
