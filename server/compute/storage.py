"""Where a bag was kept, as unbroken spells of local days, and clocks that run at each spell's own rate."""

import datetime as dt
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.local_time import day_number, instant
from server.compute.ranges import within

A_HAIR = 1e-9  # days: sums of thirds of days aren't exact
Rate = Callable[[float], float]  # temperature [°C] -> how fast a clock runs there [days/day]


@dataclass(frozen=True)
class Spell:
    """From one local day number to another (infinity: until further notice) at one temperature."""

    start: float
    end: float
    temp_c: float


def spells(
    storage: Iterable[dict], from_day: float, zone: dt.tzinfo, cupboard_temp_c: float
) -> tuple[list[Spell], bool]:
    """Unbroken spells from a day on; whatever nobody wrote down is a cupboard.

    Parameters
    ----------
    storage : iterable of dict
        Each with `from`, `to` (absent or None: still there) and `temp_c`, -40 to 60 [°C]; any order.
    from_day : float
        Local day number to begin at, any. [local days]
    zone : tzinfo
        The site's.
    cupboard_temp_c : float
        What to take for days that aren't covered, -40 to 60. [°C]

    Returns
    -------
    list of Spell
        In order, without gap or overlap, from `from_day` to infinity. [local days, °C]
    bool
        Whether a cupboard had to be assumed.

    Raises
    ------
    BadInput
        When a spell ends before it begins, overlaps another, or its temperature is outside its range.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> storage = [{"from": "1970-01-03T00:00:00+00:00", "temp_c": -18.0}]
    >>> found, assumed = spells(storage, 719163.0, dt.UTC, 20.0)
    >>> [(spell.start, spell.end, spell.temp_c) for spell in found], assumed
    ([(719163.0, 719165.0, 20.0), (719165.0, inf, -18.0)], True)
    """
    unbroken, day, assumed = [], from_day, False
    for given in sorted((_read(one, zone) for one in storage), key=lambda spell: (spell.start, spell.end)):
        if unbroken and given.start < unbroken[-1].end:
            raise BadInput("storage", "two spells overlap: a bag is in one place at a time")
        start, end = max(given.start, from_day), max(given.end, from_day)
        if start > day:
            unbroken.append(Spell(day, start, cupboard_temp_c))
            assumed = True
        if end > start:
            unbroken.append(Spell(start, end, given.temp_c))
            day = end
    if day < math.inf:
        unbroken.append(Spell(day, math.inf, cupboard_temp_c))
        assumed = True
    return unbroken, assumed


def clock(unbroken: list[Spell], rate: Rate, day: float) -> float:
    """How far a clock has run by a day.

    Parameters
    ----------
    unbroken : list of Spell
        As `spells` returns them.
    rate : callable
        Temperature to rate, at least 0.
    day : float
        Local day number, any. [local days]

    Returns
    -------
    float
        Days on the clock; 0 before it began. [days]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition: the sum over the spells of rate times length.

    Examples
    --------
    >>> clock([Spell(10.0, 14.0, 20.0), Spell(14.0, math.inf, -18.0)], lambda temp_c: float(temp_c > 0), 30.0)
    4.0
    """
    past = [spell for spell in unbroken if spell.start < day]
    return math.fsum((min(spell.end, day) - spell.start) * rate(spell.temp_c) for spell in past)


def day_when(unbroken: list[Spell], rate: Rate, reads: float, *, leaves: bool = False) -> float:
    """The day on which a clock reaches a reading, or on which it leaves it.

    The two differ where the clock stands still on that very reading: in a freezer.

    Parameters
    ----------
    unbroken : list of Spell
        As `spells` returns them.
    rate : callable
        Temperature to rate, at least 0.
    reads : float
        The reading, at least 0. [days]
    leaves : bool
        The last day of the reading rather than the first.

    Returns
    -------
    float
        Local day number; infinity if it never does. [local days]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition: the inverse of `clock`.

    Examples
    --------
    >>> kept = [Spell(10.0, 14.0, 20.0), Spell(14.0, math.inf, -18.0)]
    >>> outside_freezer = lambda temp_c: float(temp_c > 0)
    >>> day_when(kept, outside_freezer, 3.0), day_when(kept, outside_freezer, 4.0)
    (13.0, 14.0)
    >>> day_when(kept, outside_freezer, 4.0, leaves=True)
    inf
    """
    left = reads
    for spell in unbroken:
        speed = rate(spell.temp_c)
        gained = (spell.end - spell.start) * speed if speed else 0.0
        here = left < gained - A_HAIR if leaves else left <= gained + A_HAIR
        if here:
            return spell.start + (left / speed if speed else 0.0)
        left -= gained
    return math.inf


def _read(given: dict, zone: dt.tzinfo) -> Spell:
    start = day_number(instant("storage", given["from"]), zone)
    until = given.get("to")
    end = math.inf if until is None else day_number(instant("storage", until), zone)
    if end < start:
        raise BadInput("storage", "a spell ends before it begins: swap from and to")
    return Spell(start, end, within("storage", given["temp_c"], -40.0, 60.0, "°C"))
