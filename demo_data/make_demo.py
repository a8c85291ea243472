"""Six weeks at an invented bar and its market cart, as the entries that their phones would have sent.

    python demo_data/make_demo.py --seed 7 --today 2026-03-02

writes them as JSON lines, in the order in which they reached the server. The same seed and day give the same lines.
"""

import argparse
import datetime as dt
import json
import sys
from pathlib import Path
from random import Random

if __package__ in (None, ""):  # run as a script: find the package that this file is part of (PEP 366)
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
    __package__ = "demo_data"

from .bar import MARKET_DAYS, Bar, found, lengthen_house_recipe, local, working_day
from .beans import Larder
from .phones import Round
from .pulls import Grind
from .service import Line, busy_on
from .upkeep import bar_day, cart_day, once

DAYS = 42
OPENS, CLOSES = 7.0, 18.0
CART_OPENS, CART_CLOSES = 8.5, 14.0
PULLS_A_DAY = {"house": 110, "guest": 28, "decaf": 12, "cart": 60}
NEW_RECIPE_ON = 24  # these count the days from 0
CLEANED_ON = 19
PRACTICE_ON = (5, 12, 13)
CLASH_FROM = 30


def rounds(seed: int, now: dt.datetime, days: int = DAYS) -> list[Round]:
    """What had reached the server by `now` of the `days` that end today, round by round."""
    rng = Random(seed)
    dates = [working_day(now) - dt.timedelta(days=back) for back in range(days - 1, -1, -1)]
    bar = found(rng, dates, now)
    larder = Larder.stocked(bar, rng, dates[0])
    lines = _lines(bar, larder)
    once(bar, rng, dates[0])
    clash_on = next((day for day in dates[CLASH_FROM:] if day.weekday() in MARKET_DAYS), None)
    for number, day in enumerate(dates):
        opens = _opens(day, now)
        larder.morning(day, number)
        if number == NEW_RECIPE_ON:
            lengthen_house_recipe(bar, local(day, 6.3))
            lines["house"].recipe = "house, longer"
        _work(bar, lines, day, number, opens)
        if day == clash_on:
            _edit_on_two_phones(bar, larder, day)
        larder.evening(day, number)
    return bar.book.rounds(now)


def _opens(day: dt.date, now: dt.datetime) -> float:
    """Today opens early if it must, so that there is something to see at any hour."""
    hours_in = (now - local(day, 0)) / dt.timedelta(hours=1)
    return max(4.6, min(OPENS, hours_in - 2.5))


def _lines(bar: Bar, larder: Larder) -> dict[str, Line]:
    shelves = larder.shelves

    def line(name: str, grinder: str, grind: Grind, logged: float, **more) -> Line:
        place = "cart" if name == "cart" else "bar"
        coffee = name if name in shelves else "guest"
        return Line(
            bar,
            coffee,
            name,
            place,
            grinder,
            grind,
            shelves[coffee],
            PULLS_A_DAY.get(name, 0),
            logged,
            **more,
        )

    return {
        "house": line("house", "house", Grind(7.5, 0.5, -1, 0.062), 13, warm_ups=2),
        "guest": line("guest", "guest", Grind(14, 1, -1, 0.075), 4),
        "decaf": line("decaf", "guest", Grind(11, 1, -1, 0.075), 1.3, single_dosed=True),
        "filter": line("filter", "guest", Grind(31, 1, -1, 0.03), 0, single_dosed=True),
        "cart": line("cart", "cart", Grind(22, 1, 1, 0.055), 7, warm_ups=1),
    }


def _work(bar: Bar, lines: dict[str, Line], day: dt.date, number: int, opens: float) -> None:
    rng = bar.book.rng
    busy = busy_on(day, rng)
    if number % 3 == 0:
        lines["filter"].one(local(day, opens + 0.4))
    for name in ("house", "guest", "decaf"):
        lines[name].work(day, opens, CLOSES, busy)
    if number in PRACTICE_ON:
        for minutes in (4, 8, 12):
            lines["house"].one(local(day, CLOSES + minutes / 60), "practice")
    if number == CLEANED_ON:
        lines["house"].clean(local(day, CLOSES + 0.4))
    bar_day(
        bar, rng, day, number, opens, busy * sum(PULLS_A_DAY[name] for name in ("house", "guest", "decaf"))
    )
    if day.weekday() in MARKET_DAYS:
        lines["cart"].work(day, CART_OPENS, CART_CLOSES, busy)
        cart_day(bar, rng, day, busy * PULLS_A_DAY["cart"])


def _edit_on_two_phones(bar: Bar, larder: Larder, day: dt.date) -> None:
    """A bag's batch, put right at the bar and, before it had heard of that, at the cart: a clash to look at."""
    bag = larder.shelves["cart"].open
    bar.book.edit(bar.bar_phone, local(day, 9.1), "bag", bag.id, batch="TH, lot 12")
    bar.book.edit(bar.cart_phone, local(day, 10.4), "bag", bag.id, batch="lot 12")


def main() -> None:
    parser = argparse.ArgumentParser(description="Writes the demo's entries as JSON lines.")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--today", type=dt.date.fromisoformat, required=True, help="the last day, YYYY-MM-DD")
    parser.add_argument("--days", type=int, default=DAYS)
    arguments = parser.parse_args()
    for sent in rounds(arguments.seed, local(arguments.today, 15.6), arguments.days):
        for entry in sent.entries:
            print(json.dumps(entry, ensure_ascii=False, separators=(",", ":")))


if __name__ == "__main__":
    main()
