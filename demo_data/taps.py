"""What gets typed of a shot, and when: a dose taken as read, a taste, a reading later, now and then a mistake."""

import datetime as dt
from dataclasses import dataclass

from .bar import Bar
from .pulls import Pull, extraction_pct
from .things import RECIPES

SECOND = dt.timedelta(seconds=1)
BRIX_FACTOR = 0.85


@dataclass
class Shot:
    """One logged shot: how it really was, and the circumstances."""

    at: dt.datetime
    pull: Pull
    recipe: str
    person: str
    grinder: str
    machine: str
    setting: float
    bag_id: str
    purpose: str = "service"
    fault: str | None = None
    mixed_with: str | None = None
    group: str | None = None


def log(bar: Bar, shot: Shot) -> None:
    """Save a shot on its person's phone, and whatever is put right or added to it afterwards."""
    rng, book, phone = bar.book.rng, bar.book, _phone(bar, shot)
    saved_at = shot.at + shot.pull.time_s * SECOND
    fields = _fields(bar, shot, phone)
    typed, right = _slip(bar, fields, shot)
    if rng.random() < 0.3 and shot.purpose == "service" and not shot.fault:
        typed["assumed"] = ["dose_g"]
        typed["dose_g"] = RECIPES[shot.recipe]["dose_g"]
    taste_later = "taste" in typed and rng.random() < 0.4
    taste = typed.pop("taste") if taste_later else None
    shot_id = book.new(phone, saved_at, "shot", **typed)
    if taste_later:
        book.edit(phone, saved_at + 50 * SECOND, "shot", shot_id, taste=taste)
    if right:
        book.edit(phone, saved_at + rng.randint(25, 400) * SECOND, "shot", shot_id, **right)
    if shot.purpose != "warm_up" and not shot.fault and rng.random() < 0.06:
        _read_strength(bar, shot, shot_id, phone, saved_at + rng.randint(150, 420) * SECOND)
    if rng.random() < 0.004:  # saved twice, and one of them withdrawn
        twice = book.new(phone, saved_at + 4 * SECOND, "shot", **typed)
        book.retract(phone, saved_at + 30 * SECOND, "shot", twice)


def _phone(bar: Bar, shot: Shot):
    return bar.cart_phone if shot.machine == "cart" else bar.phone_of(shot.person)


def _fields(bar: Bar, shot: Shot, phone) -> dict:
    rng, pull = bar.book.rng, shot.pull
    said = {
        "pulled_at": phone.says(shot.at),
        "site_id": phone.site_id,
        "method": RECIPES[shot.recipe]["method"],
    }
    said |= {"dose_g": pull.dose_g, "yield_g": pull.yield_g, "time_s": pull.time_s, "setting": shot.setting}
    said |= {
        "bag_id": shot.bag_id,
        "recipe_id": bar.recipes[shot.recipe],
        "grinder_id": bar.grinders[shot.grinder],
    }
    said |= {
        "machine_id": bar.machines[shot.machine],
        "person_id": bar.people[shot.person],
        "purpose": shot.purpose,
    }
    said |= {
        "group": shot.group,
        "mixed_with": shot.mixed_with,
        "fault": shot.fault,
        "fate": _fate(rng, shot),
    }
    if said["method"] == "espresso":
        said |= {"cups": 2, "yield_of": "all"} if rng.random() < 0.5 else {}
        said["first_drop_s"] = pull.first_drop_s if rng.random() < 0.6 else None
    if (
        not shot.fault
        and shot.purpose != "warm_up"
        and rng.random() < (0.9 if shot.purpose == "dial_in" else 0.35)
    ):
        said["taste"] = _taste(rng, pull.miss(RECIPES[shot.recipe]))
    if shot.fault == "spill":
        said["note"] = "cup knocked over"
    return said


def _fate(rng, shot: Shot) -> str:
    if shot.purpose in ("warm_up", "practice"):
        return "sunk"
    if shot.purpose == "dial_in":
        return "sunk" if rng.random() < 0.8 else "served"
    return "sunk" if rng.random() < (0.75 if shot.fault else 0.02) else "served"


def _taste(rng, miss: float) -> dict:
    felt = miss + rng.gauss(0, 0.06)
    if abs(felt) < 0.09:
        return {"right": True}
    if felt < 0:
        return {"acidity": 2 if felt < -0.2 else 1, "body": -1}
    return {"bitterness": 2 if felt > 0.2 else 1, "acidity": -1}


def _slip(bar: Bar, fields: dict, shot: Shot) -> tuple[dict, dict]:
    """The fields as typed, and what somebody puts right soon after."""
    rng, chance = bar.book.rng, bar.book.rng.random()
    if chance < 0.008:
        tens, units = divmod(round(fields["yield_g"]), 10)
        return {**fields, "yield_g": float(units * 10 + tens) or 8.0}, {"yield_g": fields["yield_g"]}
    if chance < 0.014 and shot.mixed_with:
        return {**fields, "bag_id": shot.mixed_with, "mixed_with": None}, {"bag_id": fields["bag_id"]}
    if chance < 0.018:
        other = rng.choice([name for name in bar.people if name != shot.person])
        return {**fields, "person_id": bar.people[other]}, {"person_id": fields["person_id"]}
    return dict(fields), {}


def _read_strength(bar: Bar, shot: Shot, shot_id: str, phone, at: dt.datetime) -> None:
    rng, pull = bar.book.rng, shot.pull
    if RECIPES[shot.recipe]["method"] == "filter" or shot.machine == "cart":
        return
    strength_pct = extraction_pct(rng, pull, RECIPES[shot.recipe]) * pull.dose_g / pull.yield_g
    read = {"strength_pct": round(strength_pct, 2)}
    if rng.random() < 0.3:
        read = {"brix_pct": round(strength_pct / BRIX_FACTOR, 1), "sample_temp_c": 21.0}
    bar.book.edit(phone, at, "shot", shot_id, refractometer_id=bar.refractometer, **read)
