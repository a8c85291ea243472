"""A day's work on one coffee: warm-up, dialling in, and a check shot now and then among many that nobody logs."""

import datetime as dt
import math
from dataclasses import dataclass, field

from .bar import ZONE, Bar, local
from .beans import Bag, Shelf
from .pulls import HANDS, Grind, pull, steps_wanted
from .taps import Shot, log
from .things import RECIPES

LOUD = 0.105  # a miss of about 3 s in 28, as ln: beyond it somebody moves the grinder
FAULTS = (("channelling", 0.022), ("spill", 0.006), ("interrupted", 0.005), ("machine", 0.003))


@dataclass
class Line:
    """One coffee as it is served in one place."""

    bar: Bar
    coffee: str
    recipe: str
    place: str  # "bar" or "cart"
    grinder: str
    grind: Grind
    shelf: Shelf
    pulls_a_day: float
    logged_a_day: float
    warm_ups: int = 0
    single_dosed: bool = False  # the grinder is set to this coffee and back for each shot
    misses: list[float] = field(default_factory=list)
    last_at: dt.datetime | None = None

    @property
    def target(self) -> dict:
        return RECIPES[self.recipe]

    def work(self, day: dt.date, opens: float, closes: float, busy: float) -> None:
        """One day between two local hours; `busy` scales the trade."""
        rng = self.bar.book.rng
        if self.shelf.open is None:
            self.shelf.open_next(local(day, opens))
        self.grind.pass_night(rng)
        self.misses.clear()
        at = local(day, opens) - dt.timedelta(minutes=30)
        for group in range(1, self.warm_ups + 1):
            self._log(at + dt.timedelta(minutes=group), "warm_up", group=str(group))
        at = self._dial_in(at + dt.timedelta(minutes=5), most=4)
        self.last_at = at
        grams_an_hour = self.pulls_a_day * busy * self.target["dose_g"] / (closes - opens)
        for check_at in self._check_times(day, max(opens, _hour(at)), closes, busy):
            if check_at > self.last_at:  # else dialling in is still going on
                self._check(check_at, grams_an_hour)
        self._use_until(local(day, closes), grams_an_hour)

    def one(self, at: dt.datetime, purpose: str = "service") -> None:
        """A single shot, away from the day's run."""
        self._log(at, purpose)

    def clean(self, at: dt.datetime) -> None:
        """The grinder is taken apart and cleaned: it grinds a little differently afterwards."""
        phone = self._phone(at)
        said = {"grinder_id": self.bar.grinders[self.grinder], "at": phone.says(at), "what": "cleaned"}
        self.bar.book.new(phone, at, "grinder_event", **said)
        self.grind.new_bag(self.bar.book.rng)

    def _check_times(self, day, opens: float, closes: float, busy: float) -> list[dt.datetime]:
        rng = self.bar.book.rng
        number = max(0, round(rng.gauss(self.logged_a_day * busy, 0.2 * self.logged_a_day)))
        return sorted(local(day, rng.uniform(opens, closes)) for _ in range(number))

    def _check(self, at: dt.datetime, grams_an_hour: float) -> None:
        empty = self._use_until(at, grams_an_hour)
        if empty is not None:
            self.misses.clear()
            self.last_at = self._dial_in(at, most=2, mixed_with=empty.id)
            return
        self.misses.append(self._log(at, "service"))
        recent = self.misses[-2:]
        loud = len(recent) == 2 and abs(sum(recent) / 2) > LOUD
        if loud and (steps := steps_wanted(recent, self.grind, most=2)):
            self._move(at + dt.timedelta(seconds=70), steps)

    def _use_until(self, at: dt.datetime, grams_an_hour: float) -> Bag | None:
        """Everything that is pulled in between, logged or not. Returns the bag before if another had to be opened."""
        hours = max(0.0, (at - self.last_at) / dt.timedelta(hours=1))
        self.last_at = at
        self.grind.pass_hours(self.bar.book.rng, hours)
        empty = self.shelf.use(1.03 * grams_an_hour * hours, at - dt.timedelta(minutes=3))
        if empty is not None:
            self.grind.new_bag(self.bar.book.rng)
        return empty

    def _dial_in(self, at: dt.datetime, most: int, mixed_with: str | None = None) -> dt.datetime:
        """Pull, taste, move, until one lands in tolerance or patience ends. Returns when that was."""
        for number in range(most):
            miss = self._log(at, "dial_in", mixed_with=mixed_with if number == 0 else None)
            at += dt.timedelta(minutes=3)
            steps = steps_wanted([miss], self.grind, most=3)
            if abs(miss) < 0.09 or steps == 0:
                break
            self._move(at - dt.timedelta(minutes=1), steps)
        return at

    def _move(self, at: dt.datetime, steps_finer: int) -> None:
        self.grind.move(steps_finer)
        self.misses.clear()
        if not self.single_dosed:
            self._say_setting(at, self.grind.setting)

    def _say_setting(self, at: dt.datetime, setting: float) -> None:
        phone = self._phone(at)
        said = {"grinder_id": self.bar.grinders[self.grinder], "at": phone.says(at), "setting": setting}
        self.bar.book.new(phone, at, "grind_change", **said, purge_g=self.bar.book.rng.choice((3, 4, 5)))

    def _log(
        self, at: dt.datetime, purpose: str, mixed_with: str | None = None, group: str | None = None
    ) -> float:
        """Pull a shot and save it. Returns how far it missed its time, as ln; nought where that says nothing."""
        rng, person = self.bar.book.rng, on_duty(self.place, at)
        shot, fault = pull(rng, self.grind, self.target, HANDS[person]), None
        if purpose == "service":
            fault = next((name for name, chance in FAULTS if rng.random() < chance), None)
        if fault in ("channelling", "interrupted"):
            shot.time_s = round(shot.time_s * (0.72 if fault == "channelling" else 0.4), 1)
            shot.yield_g = round(shot.yield_g * (1.0 if fault == "channelling" else 0.5), 1)
        elif fault == "spill":
            shot.yield_g = round(shot.yield_g * 0.6, 1)
        shot.first_drop_s = min(shot.first_drop_s, round(0.6 * shot.time_s, 1))
        group = group or (rng.choice("12") if self.place == "bar" else None)
        told = {"purpose": purpose, "fault": fault, "mixed_with": mixed_with, "group": group}
        told |= {"setting": self.grind.setting, "bag_id": self.shelf.open.id}
        log(self.bar, Shot(at, shot, self.recipe, person, self.grinder, self.place, **told))
        return 0.0 if fault else shot.miss(self.target)

    def _phone(self, at: dt.datetime):
        return self.bar.cart_phone if self.place == "cart" else self.bar.phone_of(on_duty(self.place, at))


def on_duty(place: str, at: dt.datetime) -> str:
    """Who has the machine: Ida early, Teo late; Mara takes Monday mornings, Thursday afternoons, and the cart."""
    day, early = at.astimezone(ZONE).date(), _hour(at) < 13
    if place == "cart":
        return "Mara" if day.weekday() != 5 else "Teo"
    if early:
        return "Mara" if day.weekday() == 0 else "Ida"
    return "Mara" if day.weekday() == 3 else "Teo"


def _hour(at: dt.datetime) -> float:
    there = at.astimezone(ZONE)
    return there.hour + there.minute / 60 + there.second / 3600


def busy_on(day: dt.date, rng) -> float:
    """How busy a day is against the mean: Sundays slow, Saturdays full."""
    usual = {5: 1.2, 6: 0.75, 0: 0.9}.get(day.weekday(), 1.03)
    return usual * math.exp(rng.gauss(0, 0.08))
