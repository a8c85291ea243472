"""The rest of a shift: counters, water, fridge, milk, cleaning, the handover."""

import datetime as dt
from random import Random

from .bar import Bar, local
from .phones import Phone
from .service import on_duty

MINUTE = dt.timedelta(minutes=1)
WORDS = (
    "House runs a little fast since the new bag, one step finer holds it.",
    "Steam tip of group 2 side clogs: soaked, keep an eye on it.",
    "Oat is down to two cartons, ordered for tomorrow.",
    "Quiet morning. Guest tastes best around 31 seconds today.",
    "Left hopper emptied and wiped. Cart took its own beans.",
    "Fridge by the door was ajar after lunch; checked again, fine.",
)
# A complete analysis, of which cations and anions balance within about 1 %. Invented.
LAB_REPORT = {
    "calcium_mg_l": 52.0,
    "magnesium_mg_l": 8.0,
    "sodium_mg_l": 14.0,
    "potassium_mg_l": 2.0,
    "bicarbonate_mg_l": 140.0,
    "chloride_mg_l": 28.0,
    "sulphate_mg_l": 38.0,
    "ph": 7.6,
    "conductivity_us_cm": 395.0,
    "dry_residue_mg_l": 235.0,
    "temp_c": 17.0,
}


def bar_day(bar: Bar, rng: Random, day: dt.date, number: int, opens: float, shots: float) -> None:
    """Everything of one day at the bar that isn't a shot or a bag. `shots` is what the day pulls in all."""
    _counters(bar, rng, day, opens, shots)
    _fridge(bar, rng, day, number, opens)
    for hour in sorted(rng.uniform(opens + 0.5, 17.5) for _ in range(rng.randint(1, 3))):
        _jug(bar, rng, local(day, hour))
    _care(bar, rng, day)
    _waters(bar, rng, day, number)
    if rng.random() < 0.85:
        _handover(bar, rng, local(day, 13.05))
    if number in (12, 33):
        _blind_test(bar, rng, local(day, 16.4))


def cart_day(bar: Bar, rng: Random, day: dt.date, shots: float) -> None:
    """The cart has no counter: at its end somebody guesses, from cups, how many it was."""
    phone, at = bar.cart_phone, local(day, 14.3)
    count = 5 * round(shots * rng.gauss(1.0, 0.08) / 5)
    span = {"from": phone.says(local(day, 8)), "to": phone.says(at)}
    _new(bar, phone, at, "tally", **span, shots=count, source="guess", note="from the sleeves of cups")
    early = local(day, 8.2)
    cool_box = {"at": phone.says(early), "fridge": "Cool box", "temp_c": _near(rng, 4.4, 0.8)}
    _new(bar, phone, early, "fridge_check", **cool_box)


def once(bar: Bar, rng: Random, first: dt.date) -> None:
    """What there is from the start: the cartridge, drinks on the menu, and a market to plan for."""
    at, phone = local(first, 6.7), bar.bar_phone
    fitted = {"capacity_l": 1200.0, "bypass_share": 0.2}
    _new(bar, phone, at, "cartridge", fitted_at=phone.says(at), name="Softening cartridge", **fitted)
    bar.book.new(phone, at, "drink", name="Flat white", shots=1, milk="whole", milk_g=140, allergens=["milk"])
    bar.book.new(
        phone, at, "drink", name="Oat cortado", shots=1, milk="oat", milk_g=70, allergens=["oats", "gluten"]
    )
    bar.book.new(phone, at, "drink", name="Espresso", shots=1)
    fair = local(first + dt.timedelta(days=39), 9)
    _new(bar, phone, at + MINUTE, "event", at=phone.says(fair), what="Harbour fair", demand_factor=1.4)


def _new(bar: Bar, phone: Phone, at: dt.datetime, kind: str, /, **fields) -> str:
    """A record of the phone's own site."""
    return bar.book.new(phone, at, kind, site_id=phone.site_id, **fields)


def _near(rng: Random, value: float, spread: float) -> float:
    return round(rng.gauss(value, spread), 1)


def _counters(bar: Bar, rng: Random, day: dt.date, opens: float, shots: float) -> None:
    """The machine's counter, read at the change of shift and at closing; some days only then, or not at all."""
    noon, end, phone = local(day, 13), local(day, 18.4), bar.bar_phone
    morning = round(0.56 * shots)
    spans = [(local(day, opens - 0.5), noon, morning), (noon, end, round(shots) - morning)]
    chance = rng.random()
    if chance < 0.1:
        return
    if chance < 0.25:
        spans = [(spans[0][0], end, round(shots))]
    for began, ended, count in spans:
        litres = round(count * 0.085 + rng.uniform(2, 4), 1)  # shots, flushes and steam
        read = {"from": phone.says(began), "to": phone.says(ended), "shots": count, "litres": litres}
        _new(bar, phone, ended + 2 * MINUTE, "tally", **read, source="machine_counter")
    if day.weekday() == 6:
        sold = {"from": phone.says(local(day, opens)), "to": phone.says(end), "drinks": round(0.93 * shots)}
        _new(bar, phone, end + 9 * MINUTE, "tally", **sold, source="till")


def _fridge(bar: Bar, rng: Random, day: dt.date, number: int, opens: float) -> None:
    for hour in (opens, 14.5):
        at = local(day, hour)
        phone, person = bar.phone_of(on_duty("bar", at)), bar.people[on_duty("bar", at)]
        for fridge in ("Under the bar", "Back room"):
            warm = number == 20 and hour == 14.5 and fridge == "Under the bar"
            temp_c = 9.1 if warm else _near(rng, 3.6, 0.5)
            said = {"at": phone.says(at), "fridge": fridge, "temp_c": temp_c, "person_id": person}
            _new(bar, phone, at, "fridge_check", **said, note="door stood ajar" if warm else None)
            if warm:
                later = at + 50 * MINUTE
                _new(bar, phone, later, "fridge_check", **{**said, "at": phone.says(later), "temp_c": 4.7})
            at += MINUTE


def _jug(bar: Bar, rng: Random, at: dt.datetime) -> None:
    """Milk steamed: about a twelfth of it is added as condensed steam."""
    person = on_duty("bar", at)
    phone, oat = bar.phone_of(person), rng.random() < 0.25
    milk_g, start_c = float(rng.choice((150, 180, 240, 300))), _near(rng, 5, 0.6)
    end_c = _near(rng, 59 if person != "Teo" else 63, 2.5)
    said = {
        "at": phone.says(at),
        "person_id": bar.people[person],
        "milk": "oat" if oat else "whole",
        "milk_g": milk_g,
    }
    said |= {"start_c": start_c, "end_c": end_c}
    if rng.random() < 0.5:
        said["final_g"] = round(milk_g * (1 + 0.0016 * (end_c - start_c)) + rng.gauss(0, 1.5), 1)
    if rng.random() < 0.4:
        said["poured_away_g"] = float(rng.choice((10, 20, 30, 60)))
    _new(bar, phone, at, "milk_jug", **said, texture=rng.choice(("right", "right", "too_thick", "too_thin")))


def _care(bar: Bar, rng: Random, day: dt.date) -> None:
    due = {"backflush": 0.93, "wands": 0.85, "hoppers": 1.0 if day.weekday() == 6 else 0.0}
    for number, (task, chance) in enumerate(due.items()):
        at = local(day, 18.1) + 6 * number * MINUTE
        if rng.random() < chance:
            phone, person = bar.phone_of(on_duty("bar", at)), bar.people[on_duty("bar", at)]
            said = {"at": phone.says(at), "care_task_id": bar.care[task], "person_id": person}
            _new(bar, phone, at, "care_done", **said)


def _waters(bar: Bar, rng: Random, day: dt.date, number: int) -> None:
    """Drops every other week after the cartridge, once at the market's standpipe; one report from a lab."""
    at = local(day, 10.2)
    if number in (1, 15, 29, 40):
        drops = 4 + (number > 20)  # a cartridge near its end lets a degree through
        _water(bar, bar.bar_phone, at, "after the cartridge", drops, drops - 1, temp_c=_near(rng, 18, 1))
    if number == 17:
        _water(bar, bar.cart_phone, at, "market standpipe", 17, 12, note="white crust in the kettle")
    if number == 22:
        said = {"sampled_at": bar.bar_phone.says(at), "source": "mains, lab report", **LAB_REPORT}
        _new(bar, bar.bar_phone, at + dt.timedelta(hours=28), "water", **said)


def _water(
    bar: Bar, phone: Phone, at: dt.datetime, source: str, hardness_dh: int, alkalinity_dh: int, **more
) -> None:
    found = {
        "hardness": {"value": float(hardness_dh), "unit": "dh"},
        "alkalinity": {"value": float(alkalinity_dh), "unit": "dh"},
    }
    _new(bar, phone, at, "water", sampled_at=phone.says(at), source=source, **found, **more)


def _handover(bar: Bar, rng: Random, at: dt.datetime) -> None:
    early, late = on_duty("bar", at - 10 * MINUTE), on_duty("bar", at + 10 * MINUTE)
    phone = bar.phone_of(early)
    said = {"at": phone.says(at), "person_id": bar.people[early], "words": rng.choice(WORDS)}
    note = _new(bar, phone, at, "handover", **said)
    if rng.random() < 0.8:
        read = at + rng.randint(3, 40) * MINUTE
        bar.book.edit(phone, read, "handover", note, read_at=phone.says(read), read_by=bar.people[late])


def _blind_test(bar: Bar, rng: Random, at: dt.datetime) -> None:
    phone = bar.till_phone
    right = sum(rng.random() < 0.6 for _ in range(8))
    said = {"at": phone.says(at), "test": "triangle", "right": right, "of": 8, "person_id": bar.people["Teo"]}
    _new(bar, phone, at, "tasting", **said, about="house, a bag of day 9 against one of day 20")
