"""The shelf: bags that arrive each week, are opened in turn, weighed, frozen, split, moved and used up."""

import datetime as dt
from dataclasses import dataclass, field
from random import Random

from .bar import Bar, local
from .phones import Phone

DELIVERY_DAY = 1  # Tuesday
ORDERED_G = {"house": (7300, 7300), "guest": (3800,), "decaf": (1500,)}
PRICE_PER_KG = {"house": 21.5, "guest": 29.0, "decaf": 24.0}
CART_BAGS_G = (1500, 1500)
PREFIX = {"house": "TH", "guest": "ER", "decaf": "LT"}


@dataclass
class Bag:
    id: str
    roasted_on: dt.date
    left_g: float
    frozen: bool = False


@dataclass
class Shelf:
    """The bags of one coffee at one site, the open one first."""

    bar: Bar
    rng: Random
    coffee: str
    phone: Phone
    bags: list[Bag] = field(default_factory=list)
    open: Bag | None = None

    def arrive(self, at: dt.datetime, roasted_on: dt.date, mass_g: float) -> Bag:
        """A bag is put on the shelf; the manager enters what it cost, mostly."""
        batch = f"{PREFIX[self.coffee]}-{roasted_on:%m%d}"
        said = {
            "coffee_id": self.bar.coffees[self.coffee],
            "roasted_on": roasted_on.isoformat(),
            "batch": batch,
        }
        bag_id = self.bar.book.new(self.phone, at, "bag", **said, mass_g=mass_g, site_id=self.phone.site_id)
        if self.rng.random() < 0.9:
            price = round(mass_g / 1000 * PRICE_PER_KG[self.coffee] * self.rng.uniform(0.98, 1.03), 2)
            paid = {"bag_id": bag_id, "price": price, "currency": "EUR"}
            self.bar.book.new(self.bar.manager, at + dt.timedelta(hours=9), "bag_price", **paid)
        self.bags.append(Bag(bag_id, roasted_on, mass_g))
        return self.bags[-1]

    def event(self, bag: Bag, at: dt.datetime, what: str, **more) -> None:
        said = {"bag_id": bag.id, "at": self.phone.says(at), "what": what}
        self.bar.book.new(self.phone, at, "bag_event", **said, **more)

    def open_next(self, at: dt.datetime) -> Bag:
        """Open the oldest bag that isn't in the freezer; if none is left, one is bought over the counter."""
        ready = [bag for bag in self.bags if not bag.frozen]
        if ready:
            self.open = min(ready, key=lambda bag: bag.roasted_on)
        else:
            self.open = self.arrive(at, at.date() - dt.timedelta(days=9), 1000)
        self.bags.remove(self.open)
        self.event(self.open, at + dt.timedelta(seconds=20), "opened")
        return self.open

    def use(self, grams: float, at: dt.datetime) -> Bag | None:
        """Take beans from the open bag. Returns the bag before if this one had to be opened."""
        self.open.left_g -= grams
        if self.open.left_g > 0:
            return None
        short, empty = -self.open.left_g, self.open
        self.event(empty, at, "finished")
        self.open_next(at)
        self.open.left_g -= short
        return empty

    def weigh(self, at: dt.datetime) -> None:
        self.event(
            self.open, at, "weighed", mass_g=max(0, 10 * round(self.open.left_g / 10 + self.rng.gauss(0, 1)))
        )

    def freeze(self, bag: Bag, at: dt.datetime) -> None:
        bag.frozen = True
        self.event(bag, at, "frozen", temp_c=-18)

    def thaw(self, bag: Bag, at: dt.datetime) -> None:
        bag.frozen = False
        self.event(bag, at, "thawed", temp_c=21)

    def split(self, bag: Bag, at: dt.datetime, mass_g: float) -> Bag:
        """Part of a bag becomes a bag of its own."""
        said = {"coffee_id": self.bar.coffees[self.coffee], "roasted_on": bag.roasted_on.isoformat()}
        said |= {"mass_g": mass_g, "parent_bag_id": bag.id, "site_id": self.phone.site_id}
        part = Bag(self.bar.book.new(self.phone, at, "bag", **said), bag.roasted_on, mass_g)
        bag.left_g -= mass_g
        self.event(bag, at + dt.timedelta(seconds=1), "split", mass_g=mass_g, into_bag_id=part.id)
        self.bags.append(part)
        return part

    def move_to(self, other: "Shelf", bag: Bag, at: dt.datetime) -> None:
        self.event(bag, at, "moved", to_site_id=other.phone.site_id)
        self.bags.remove(bag)
        other.bags.append(bag)


@dataclass
class Larder:
    """All shelves of the bar and the cart, and what arrives on them."""

    shelves: dict[str, Shelf]
    for_cart: list[Bag] = field(default_factory=list)  # rest at the bar for a week before they move

    @classmethod
    def stocked(cls, bar: Bar, rng: Random, first: dt.date) -> "Larder":
        """What stood there on the evening before the first day."""
        evening = local(first - dt.timedelta(days=1), 18.3)
        shelves = {name: Shelf(bar, rng, name, bar.bar_phone) for name in ORDERED_G}
        shelves["cart"] = Shelf(bar, rng, "house", bar.cart_phone)
        for name, masses, age in (
            ("house", (4000, 7300), 10),
            ("guest", (2500,), 12),
            ("decaf", (1100,), 11),
        ):
            for mass_g in masses:
                shelves[name].arrive(evening, first - dt.timedelta(days=age), mass_g)
        for name, masses in ORDERED_G.items():
            for mass_g in masses:
                shelves[name].arrive(evening, first - dt.timedelta(days=3), mass_g)
        # A sample that everybody forgot: past its window for weeks.
        shelves["guest"].arrive(evening, first - dt.timedelta(days=40), 250).frozen = True
        for name in ORDERED_G:
            shelves[name].open_next(evening + dt.timedelta(minutes=5))
        larder = cls(shelves)
        larder._set_aside(
            [shelves["house"].arrive(evening, first - dt.timedelta(days=3), g) for g in CART_BAGS_G]
        )
        parent, at = shelves["house"].bags[0], evening + dt.timedelta(minutes=12)
        for mass_g in CART_BAGS_G:
            shelves["house"].move_to(shelves["cart"], shelves["house"].split(parent, at, mass_g), at)
        return larder

    def morning(self, day: dt.date, number: int) -> None:
        """Deliveries and the week's chores before opening; `number` counts the days from 0."""
        if (
            day.weekday() == DELIVERY_DAY and number > 3 and not _late(number)
        ):  # the first days live on what was there
            self._deliver(local(day, 6.1), day - dt.timedelta(days=2))
        if day.weekday() == 0:
            for name in ORDERED_G:
                self.shelves[name].weigh(local(day, 6.4))
        guest = self.shelves["guest"]
        if number == 9 and guest.bags:
            part = guest.split(max(guest.bags, key=lambda bag: bag.roasted_on), local(day, 6.2), 1400)
            guest.freeze(part, local(day, 6.25))
        if number == 27:
            for bag in [bag for bag in guest.bags if bag.frozen and bag.left_g > 500]:
                guest.thaw(bag, local(day, 6.2))

    def evening(self, day: dt.date, number: int) -> None:
        """One delivery comes after closing on the next day, fresher than usual and without the cart's bags."""
        if day.weekday() == DELIVERY_DAY + 1 and _late(number - 1):
            self._deliver(local(day, 18.2), day - dt.timedelta(days=2), with_cart=False)

    def _deliver(self, at: dt.datetime, roasted_on: dt.date, with_cart: bool = True) -> None:
        for name, masses in ORDERED_G.items():
            for mass_g in masses:
                self.shelves[name].arrive(at, roasted_on, mass_g)
        house = self.shelves["house"]
        for bag in self.for_cart:
            house.bags.append(bag)
            house.move_to(self.shelves["cart"], bag, at + dt.timedelta(minutes=30))
        if with_cart:
            self._set_aside([house.arrive(at, roasted_on, mass_g) for mass_g in CART_BAGS_G])
        else:
            sack, later = max(house.bags, key=lambda bag: bag.roasted_on), at + dt.timedelta(minutes=8)
            self._set_aside([house.split(sack, later, mass_g) for mass_g in CART_BAGS_G])

    def _set_aside(self, bags: list[Bag]) -> None:
        self.for_cart = bags
        for bag in bags:
            self.shelves["house"].bags.remove(bag)


def _late(number: int) -> bool:
    return number // 7 == 3
