"""The machine behind the discard clock: what readings and moves, in order of time, say of one milk."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from server.compute.cold_rules import ColdRule


@dataclass(frozen=True)
class Reading:
    """A thermometer held in the milk: when, and what it showed [°C]."""

    at: datetime
    temp_c: float


@dataclass(frozen=True)
class Move:
    """Milk taken `out` of the cold, or put `back`."""

    at: datetime
    what: str


@dataclass
class ColdClock:
    """States: `not_read`, `cold`, `on_the_clock`, `discard`; the last is final.

    Only a reading shows that milk is cold again; being back in the fridge doesn't.
    """

    rule: ColdRule
    state: str = "not_read"
    since: datetime | None = None  # start of the spell out of the cold that is running
    spent: timedelta = timedelta(0)  # earlier spells, where they add up
    discard_by: datetime | None = None  # set once it is to be discarded
    last: Reading | None = None
    last_cold_at: datetime | None = None
    is_out: bool = False
    marked: bool = False  # this spell began with a move that somebody marked
    warm_seen: bool = False  # read warm in this spell
    watched: bool = False  # read in this spell within the shorter time and below the longer time's limit
    spell_used: bool = False  # warm once before, where once is forgiven
    reasons: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)

    def take(self, event: Reading | Move) -> None:
        """Move on to the next event; events come in order of time."""
        self.expire(event.at)
        if self.state == "discard":
            return
        if isinstance(event, Reading):
            self._read(event)
        elif event.what == "out":
            self._taken_out(event.at)
        else:
            self.is_out = False

    def expire(self, at: datetime) -> None:
        """Discard if the time has run out by `at`."""
        if self.since is not None and not self.rule.allows(self.spell(at), self.hours()):
            source = self.rule.longer_source if self.watched else self.rule.time_source
            self._discard(self.deadline(), f"{self.hours():g} hours are over ({source})")

    def spell(self, at: datetime) -> timedelta:
        """Time out of the cold by `at`, while the clock runs."""
        return self.spent + (at - self.since)

    def hours(self) -> float:
        """Time allowed for the spell that is running."""
        return self.rule.longer_hours if self.watched else self.rule.hours

    def deadline(self) -> datetime:
        """When the spell that is running uses up its time."""
        return self.since - self.spent + timedelta(hours=self.hours())

    def may_go_back(self, at: datetime) -> bool:
        """Whether the milk may be kept in the fridge for later."""
        if self.state != "on_the_clock":
            return self.state == "cold"
        return self.rule.returns != "never" and not self._too_long_to_keep(at)

    def _read(self, reading: Reading) -> None:
        cold = reading.temp_c <= self.rule.cold_at_most_c
        if self.since is not None:
            self._read_on_the_clock(reading, cold)
        elif cold:
            self.state = "cold"
        else:
            self._found_warm(reading)
        self.last = reading
        if cold:
            self.last_cold_at = reading.at

    def _taken_out(self, at: datetime) -> None:
        self.is_out = True
        left_warm = self.last is not None and self.last.temp_c > self.rule.cold_at_most_c
        if self.rule.returns == "never" and left_warm:
            self._discard(at, f"it left the cold at {self.last.temp_c:g} °C ({self.rule.time_source})")
        elif self.since is None:
            if self.last is None:
                self.assumed.append(f"nobody read it when it left the cold: taken as {self._cold()} or below")
            self._start(at, "taken out of the cold", marked=True)

    def _found_warm(self, reading: Reading) -> None:
        found = f"found at {reading.temp_c:g} °C, above {self._cold()} ({self.rule.cold_source})"
        if self.last_cold_at is None:
            self._discard(reading.at, f"{found}; nothing shows since when")
            return
        self._start(self.last_cold_at, f"{found}; counted from its last cold reading", marked=False)
        self.warm_seen = True

    def _read_on_the_clock(self, reading: Reading, cold: bool) -> None:
        self.warm_seen = self.warm_seen or not cold
        limit = self.rule.longer_at_most_c
        if limit is not None and reading.temp_c > limit:
            over = f"{reading.temp_c:g} °C is above {limit:g} °C ({self.rule.longer_source})"
            self._discard(reading.at, over)
        elif limit is not None and self.marked and self.last is not None and reading.at > self.since:
            self.watched = True
        if cold and self.state != "discard":
            self._read_cold_again(reading.at)

    def _read_cold_again(self, at: datetime) -> None:
        if self.is_out:
            if self.rule.returns == "once" and not self.warm_seen:
                self.since = at
                self.reasons.append(f"still at or below {self._cold()} while out: counted from there")
        elif self.rule.returns == "never":
            return
        elif self._too_long_to_keep(at):
            self.reasons.append(f"out too long to be kept: use it in time ({self.rule.time_source})")
        else:
            if self.rule.returns == "adds_up":
                self.spent = self.spell(at)
            self.spell_used = self.spell_used or self.warm_seen
            self.state, self.since = "cold", None
            self.reasons.append(f"read at or below {self._cold()} again")

    def _too_long_to_keep(self, at: datetime) -> bool:
        put_back = self.rule.put_back_hours
        return put_back is not None and self.spell(at) >= timedelta(hours=put_back)

    def _start(self, at: datetime, reason: str, marked: bool) -> None:
        self.reasons.append(reason)
        self.state, self.since = "on_the_clock", at
        self.marked, self.warm_seen, self.watched = marked, False, False
        if self.spell_used and self.rule.returns == "once":
            self._discard(at, f"warm once before, and once is all ({self.rule.time_source})")

    def _discard(self, by: datetime, reason: str) -> None:
        self.state, self.since, self.discard_by = "discard", None, by
        self.reasons.append(reason)

    def _cold(self) -> str:
        return f"{self.rule.cold_at_most_c:g} °C"
