"""The discard clock for chilled milk: cold, on the clock, or to be thrown out, and by when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from server.compute.choices import one_of
from server.compute.cold_clock import ColdClock, Move, Reading
from server.compute.cold_rules import cold_rule
from server.compute.errors import BadInput
from server.compute.ranges import within

CAUTIONS = (
    "A guide: local food law and your own food plan overrule it.",
    "In doubt, throw it out: milk can turn before it smells.",
)


@dataclass(frozen=True)
class ColdChain:
    """Where the milk stands; `minutes_left` only while the clock runs."""

    state: str
    discard_by: datetime | None
    minutes_left: float | None
    may_go_back: bool
    reasons: tuple[str, ...]
    assumed: tuple[str, ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]


def cold_chain(
    jurisdiction: str, now: datetime, readings: Sequence[Reading] = (), moves: Sequence[Move] = ()
) -> ColdChain:
    """Whether chilled milk is cold, on the clock, or to be discarded, and by when.

    Parameters
    ----------
    jurisdiction : str
        Name of a rule, as in `server.compute.cold_rules.COLD_RULES`.
    now : datetime
        The instant of the question, with its offset.
    readings : sequence of Reading
        Of this milk, in any order, none after `now`; temperatures from -5 to 100 °C.
    moves : sequence of Move
        Out of the cold and back, in any order, none after `now`.

    Returns
    -------
    ColdChain
        `state` is `not_read`, `cold`, `on_the_clock` or `discard`; the reasons stand in the order in which
        they came up. `discard_by` is the last instant allowed, or the first that isn't, as the rule has it.

    Raises
    ------
    BadInput
        When a name is unknown, a time has no offset or lies after `now`, a temperature is outside its range.

    Notes
    -----
    Source: the rule's own sections, see `server.compute.cold_rules`. Where they are silent, convention of
    this app, always on the strict side: milk found warm without a mark counts from its last cold reading,
    or is discarded when there is none; six hours need a reading within the first four.

    Examples
    --------
    >>> from datetime import UTC, timedelta
    >>> out = datetime(2026, 3, 1, 8, 0, tzinfo=UTC)
    >>> milk = cold_chain("us_4h", out + timedelta(hours=1), [Reading(out, 4.0)], [Move(out, "out")])
    >>> milk.state, milk.discard_by.hour, milk.minutes_left
    ('on_the_clock', 12, 180.0)
    """
    rule = cold_rule(jurisdiction)
    _check(now, readings, moves)
    clock = ColdClock(rule)
    for event in _in_order(readings, moves):
        clock.take(event)
    clock.expire(now)
    runs = clock.state == "on_the_clock"
    discard_by = clock.deadline() if runs else clock.discard_by
    return ColdChain(
        state=clock.state,
        discard_by=discard_by,
        minutes_left=(discard_by - now).total_seconds() / 60 if runs else None,
        may_go_back=clock.may_go_back(now),
        reasons=(*clock.reasons, _last_read(clock.last, now)),
        assumed=tuple(clock.assumed),
        sources=tuple(text for text in (rule.cold_source, rule.time_source, rule.longer_source) if text),
        cautions=(*CAUTIONS, *rule.notes),
    )


def _last_read(last: Reading | None, now: datetime) -> str:
    if last is None:
        return "never read: hold a thermometer in the milk"
    return f"last read at {last.temp_c:g} °C, {(now - last.at).total_seconds() / 3600:.1f} h ago"


def _check(now: datetime, readings: Sequence[Reading], moves: Sequence[Move]) -> None:
    if now.utcoffset() is None:
        raise BadInput("now", "must be a time with its offset from UTC")
    for name, events in (("readings", readings), ("moves", moves)):
        for event in events:
            if event.at.utcoffset() is None:
                raise BadInput(name, "must have times with their offset from UTC")
            if event.at > now:
                raise BadInput(name, f"{event.at.isoformat()} is after now: check the phone's clock")
    for reading in readings:
        within("readings", reading.temp_c, -5.0, 100.0, "°C")
    for move in moves:
        one_of("moves", move.what, ("out", "back"))


def _in_order(readings: Sequence[Reading], moves: Sequence[Move]) -> list[Reading | Move]:
    """By time; at the same instant: put back, then read, then taken out."""

    def place(event: Reading | Move) -> tuple[datetime, int]:
        if isinstance(event, Reading):
            return event.at, 1
        return event.at, 0 if event.what == "back" else 2

    return sorted([*readings, *moves], key=place)
