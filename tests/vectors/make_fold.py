"""Cases of the merge, generated from the server's fold, that the phone's twin has to answer alike.

Write the file anew with: python -m tests.vectors.make_fold
"""

import json
import random
from pathlib import Path

from server.compute.fold import fold

FILE = Path(__file__).with_name("fold.json")
FIELDS = ("dose_g", "yield_g", "note")
REPLICAS = ("p", "q", "r")


def cases(seed: int, count: int) -> list[dict]:
    """`count` small sets of entries about one record, with what each adds up to."""
    chance = random.Random(seed)
    return [case(entries(chance)) for _ in range(count)]


def case(about_one_record: list[dict]) -> dict:
    return {"entries": about_one_record, "fold": fold(about_one_record)}


def entries(chance: random.Random) -> list[dict]:
    """Anything that phones could send, and some that only a broken one would: bases that never arrived, that
    name an entry of another field, or each other in a ring; clocks that agree to the millisecond; repeats."""
    ids = [f"e{place:02}" for place in chance.sample(range(100), chance.randint(1, 7))]
    counts = dict.fromkeys(REPLICAS, 0)
    made = [entry(chance, entry_id, ids, counts) for entry_id in ids]
    made += chance.sample(made, chance.randint(0, 1))
    chance.shuffle(made)
    return made


def entry(chance: random.Random, entry_id: str, ids: list[str], counts: dict[str, int]) -> dict:
    replica_id = chance.choice(REPLICAS)
    counts[replica_id] += 1
    names = chance.sample(FIELDS, chance.randint(0, len(FIELDS)))
    made = {
        "entry_id": entry_id,
        "replica_id": replica_id,
        "n": counts[replica_id],
        "fields": {name: chance.choice([None, chance.randint(1, 40), {"right": True}]) for name in names},
        "base": {
            name: chance.choice([*ids, "never"]) for name in (*names, "retract") if chance.random() < 0.5
        },
        "effective_at": f"2026-03-02T08:00:0{chance.randint(0, 4)}.000Z",
    }
    if not names or chance.random() < 0.3:
        made["retract"] = chance.random() < 0.6
    return made


if __name__ == "__main__":
    lines = ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases(seed=1, count=150))
    FILE.write_text(f"[\n{lines}\n]\n")
