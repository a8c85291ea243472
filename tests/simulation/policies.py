"""Ways to run a grinder: three rivals that people really use, an oracle, and the advice under test.

Each policy holds `steps`, how many steps finer than the bar's first setting the grinder stands. It is told of
logged shots only; each move costs it nothing here but what it does to the next shots.
"""

import math

from server.compute.grind.advice import advise
from server.compute.grind.model import observe
from server.compute.grind.watch import MOVED
from tests.simulation.truth import DOSE_G, TARGET_S, TOLERANCE, YIELD_G, Bar

RECIPE = {
    "id": "house", "coffee_id": "tarn", "dose_g": DOSE_G, "yield_g": YIELD_G, "time_s": TARGET_S,
    "time_s_tol": TOLERANCE * TARGET_S,
}  # fmt: skip
GRINDER = {"finer": "lower", "step": 1.0}


def side_off(ln_time: float) -> int:
    """Slow (1), fast (-1), or in tolerance."""
    share = math.expm1(ln_time)
    return (share > TOLERANCE) - (share < -TOLERANCE)


class Never:
    """(c) Never move."""

    key = "c"

    def __init__(self, bar: Bar):
        self.bar, self.steps, self.dialling_in = bar, 0.0, False
        self.alarm = self.look = False

    def open_bag(self) -> None:
        """A new bag goes into the hopper."""

    def give_up(self) -> None:
        """Dialling in took too long: on with the service."""
        self.dialling_in = False

    def morning(self, shot: int) -> None:
        """Before the first shot of a day."""

    def before(self, shot: int) -> None:
        """Before any shot, logged or not: for the oracle only."""

    def see(self, shot: int, record: dict, ln_time: float) -> None:
        """A shot was logged."""


class ChaseAll(Never):
    """(a) Move after every shot that is off, by as much as it was off; the true size of a step is known to it."""

    key = "a"

    def open_bag(self):
        self.dialling_in = True

    def see(self, shot, record, ln_time):
        off = side_off(ln_time)
        self.alarm = off != 0
        self.dialling_in = self.dialling_in and off != 0
        self.steps -= off * self.size(ln_time)

    def size(self, ln_time):
        return max(1, round(abs(ln_time) / self.bar.slope))


class ChaseOne(ChaseAll):
    """(a1) Move after every shot that is off, by one step."""

    key = "a1"

    def size(self, ln_time):
        return 1


class TwoOffs(Never):
    """(b) One step after two offs on the same side."""

    key = "b"

    def __init__(self, bar):
        super().__init__(bar)
        self.run = 0

    def open_bag(self):
        self.dialling_in, self.run = True, 0

    def see(self, shot, record, ln_time):
        off = side_off(ln_time)
        self.dialling_in = self.dialling_in and off != 0
        self.run = self.run + off if self.run * off > 0 else off
        self.alarm = abs(self.run) >= 2
        if self.alarm:
            self.steps, self.run = self.steps - off, 0


class Oracle(Never):
    """(o) Knows the level before each shot, and sets the nearest step."""

    key = "o"

    def before(self, shot):
        for _ in range(200):
            here = abs(self.bar.ln_off(shot, self.steps))
            way = next((w for w in (1.0, -1.0) if abs(self.bar.ln_off(shot, self.steps + w)) < here), 0.0)
            if not way:
                return
            self.steps += way


class Advised(Never):
    """(us) Does what the advice says, and purges 3 g after each move."""

    key = "us"

    def __init__(self, bar):
        super().__init__(bar)
        self.state, self.told, self.purged_for = None, None, 0.0

    def open_bag(self):
        self.dialling_in = True

    def upcoming(self, shot: int) -> dict:
        bag, at_h = self.bar.bag[shot], self.bar.at_h
        age_days = 8 + (at_h[shot] - at_h[self.bar.opens[bag]]) / 24
        return {
            "at_ms": int(at_h[shot] * 3_600_000),
            "setting": -self.steps,
            "bag_id": f"bag {bag}",
            "age_days": age_days,
        }

    def written(self, shot: int, record: dict) -> dict:
        """The record as it would come in."""
        written = record | self.upcoming(shot) | {"purpose": "dial_in" if self.dialling_in else "service"}
        bag = self.bar.bag[shot]
        if self.bar.mixed[bag] and shot - self.bar.opens[bag] < 12:
            written["mixed_with"] = f"bag {bag - 1}"
        if self.steps != self.purged_for:
            written["purge_g"], self.purged_for = 3.0, self.steps
        return written

    def give_up(self):
        self.dialling_in = False
        self.state["bags"][self.state["last"]["bag"]]["reached"] = True

    def see(self, shot, record, ln_time):
        self.learn(shot, self.written(shot, record))
        self.follow(shot)

    def learn(self, shot: int, written: dict) -> None:
        self.state = observe(self.state, written, RECIPE, GRINDER)

    def follow(self, shot: int) -> None:
        last = self.state["last"]
        self.dialling_in = not self.state["bags"][last["bag"]]["reached"]
        self.alarm = last["verdict"] in MOVED
        self.look = last["verdict"] in ("look", "apart")
        self.obey(shot)

    def obey(self, shot: int) -> None:
        told = advise(self.state, self.upcoming(shot), RECIPE, GRINDER)
        moved = told["advice"] in ("finer", "coarser") and told["size"]["field"] == "setting"
        self.told = told["choice"]["best" if moved else "now"]
        if moved:
            self.steps += told["size"]["steps"]
            self.alarm = True

    def morning(self, shot):
        self.obey(shot)


class OutOfTouch(Advised):
    """Two phones, one at each group, that meet the server at night only: by day each knows its own shots."""

    key = "offline"

    def __init__(self, bar):
        super().__init__(bar)
        self.server, self.phones = None, {}

    def learn(self, shot, written):
        group = written["group"]
        self.server = observe(self.server, written, RECIPE, GRINDER)
        self.phones[group] = observe(self.phones.get(group), written, RECIPE, GRINDER)
        self.state = self.phones[group]

    def give_up(self):
        super().give_up()
        for state in (self.server, *self.phones.values()):
            state["bags"][state["last"]["bag"]]["reached"] = True

    def morning(self, shot):
        self.phones = {group: self.server for group in ("1", "2")}
        self.state = self.server
        super().morning(shot)


RIVALS = (Never, ChaseAll, ChaseOne, TwoOffs, Oracle)
