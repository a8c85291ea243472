"""The invented bar and its cart: who works there, on which phones it is told, and all that the days refer to."""

import datetime as dt
from dataclasses import dataclass
from random import Random
from zoneinfo import ZoneInfo

from . import things
from .phones import Notebook, Phone, replica_id

ZONE = ZoneInfo("Europe/Lisbon")
DAY_STARTS = dt.time(4, 0)
MARKET_DAYS = (2, 4, 5)  # Wednesday, Friday, Saturday
SLOW_CLOCK = dt.timedelta(minutes=4, seconds=10)
CART_CLOCK = dt.timedelta(minutes=12)


@dataclass
class Bar:
    """Everything that the days refer to, by id."""

    book: Notebook
    manager: Phone
    bar_phone: Phone
    till_phone: Phone
    cart_phone: Phone
    people: dict[str, str]
    coffees: dict[str, str]
    grinders: dict[str, str]
    machines: dict[str, str]
    recipes: dict[str, str]
    refractometer: str
    care: dict[str, str]

    @property
    def bar_site(self) -> str:
        return self.bar_phone.site_id

    @property
    def cart_site(self) -> str:
        return self.cart_phone.site_id

    def phone_of(self, person: str) -> Phone:
        """Teo keeps the till's phone; the others share the one at the machine."""
        return self.till_phone if person == "Teo" else self.bar_phone


def local(day: dt.date, hour: float) -> dt.datetime:
    """An instant of a local day; hours may be fractions."""
    midnight = dt.datetime.combine(day, dt.time(0), ZONE)
    return (midnight + dt.timedelta(hours=hour)).astimezone(dt.UTC)


def working_day(at: dt.datetime) -> dt.date:
    return (at.astimezone(ZONE) - dt.timedelta(hours=DAY_STARTS.hour)).date()


def found(rng: Random, days: list[dt.date], now: dt.datetime) -> Bar:
    """The bar as it was set up on the evening before the first day."""
    book, evening = Notebook(rng), local(days[0] - dt.timedelta(days=1), 18)
    manager = Phone("Mara's browser", None, replica_id(rng), ZONE)
    sites = _sites(book, manager, evening)
    bar_phone, till_phone, cart_phone = _phones(rng, sites, days, evening, now)
    at = evening + dt.timedelta(minutes=6)
    people = {name: book.new(bar_phone, at, "person", name=name) for name in ("Ida", "Teo", "Mara")}
    coffees = things.coffees(book, bar_phone, at)
    return Bar(
        book,
        manager,
        bar_phone,
        till_phone,
        cart_phone,
        people,
        coffees,
        things.grinders(book, bar_phone, at, sites),
        things.machines(book, bar_phone, at, sites),
        things.recipes(book, bar_phone, at, coffees),
        book.new(
            bar_phone, at, "refractometer", name="Bar refractometer", brix_factor=0.85, u_reading_pct=0.05
        ),
        things.care(book, bar_phone, at, sites),
    )


def _sites(book: Notebook, manager: Phone, at: dt.datetime) -> dict[str, str]:
    common = {"time_zone": ZONE.key, "day_starts_at": f"{DAY_STARTS:%H:%M}", "currency": "EUR"}
    bar = book.new(manager, at, "site", name="Lantern Quay", **common, altitude_m=12, tests_due_days=14)
    cart = book.new(manager, at, "site", name="Market cart", **common, altitude_m=85)
    return {"bar": bar, "cart": cart}


def _phones(
    rng: Random, sites: dict, days: list[dt.date], evening: dt.datetime, now: dt.datetime
) -> list[Phone]:
    first = evening + dt.timedelta(minutes=10)
    # Every evening lately, twice a week before: each round costs the demo's start some time.
    often = [day for day in days if day >= days[-1] - dt.timedelta(days=7) or day.weekday() in (2, 6)]
    closings = [at for day in often if (at := local(day, 18.7)) < now]
    returns = [at for day in days if day.weekday() in MARKET_DAYS and (at := local(day, 16.5)) < now]
    bar = Phone("Bar phone", sites["bar"], replica_id(rng), ZONE, [first, *closings, now])
    till = Phone(
        "Till phone", sites["bar"], replica_id(rng), ZONE, [first, *closings, now], [(first, SLOW_CLOCK)]
    )
    cart = Phone("Cart phone", sites["cart"], replica_id(rng), ZONE, [first, *returns])
    if (
        len(returns) > 5
    ):  # one noon, halfway, somebody sets the cart phone's clock right while shots wait on it
        cart.clock_set = [
            (first, CART_CLOCK),
            (returns[len(returns) // 2] - dt.timedelta(hours=4), dt.timedelta(0)),
        ]
    return [bar, till, cart]


def lengthen_house_recipe(bar: Bar, at: dt.datetime) -> None:
    """Halfway through, the house recipe is replaced: a recipe is never edited."""
    more = {"coffee_id": bar.coffees["house"], "replaces": bar.recipes["house"]}
    bar.recipes["house, longer"] = bar.book.new(
        bar.bar_phone, at, "recipe", **things.RECIPES["house, longer"], **more
    )
