"""How one bag ages: where it was, how its two clocks run, what its limits are.

Both clocks are read once a day, at local midnight: a roast date has no time of day, so neither has an age.
"""

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.local_time import calendar_date, instant, local_date, zone_of
from server.compute.staling import (
    ACTIVATION_ENERGY_KJ_MOL,
    FREEZER_BELOW_C,
    FROZEN_RATE,
    REFERENCE_TEMP_C,
    staling_assumptions,
    staling_rate,
)
from server.compute.storage import A_HAIR, Rate, Spell, clock, day_when, spells
from server.compute.window import Window, window_of


@dataclass(frozen=True)
class Course:
    """How one bag ages: its spells, its clocks, its limits. Days are local day numbers."""

    today: int
    unbroken: list[Spell]
    stales: Rate
    window: Window
    opened_day: int | None
    assumed: list[str]

    def rest_days(self, day: float) -> float:
        """Days out of the freezer by then. [days]"""
        return clock(self.unbroken, _rests, day)

    def stale_days(self, day: float) -> float:
        """Days by then, each counted at its temperature's rate. [days]"""
        return clock(self.unbroken, self.stales, day)

    def opens(self) -> float:
        """The first day of the window; infinity while it rests for ever."""
        return _whole(math.ceil, day_when(self.unbroken, _rests, self.window.rest_days) - A_HAIR)

    def closes(self) -> float:
        """The last day of the window; infinity if no limit is ever passed."""
        last = day_when(self.unbroken, self.stales, self.window.best_until_days, leaves=True)
        if self.opened_day is not None:
            limit = self.rest_days(self.opened_day) + self.window.open_days
            last = min(last, day_when(self.unbroken, _rests, limit, leaves=True))
        return _whole(math.floor, last + A_HAIR)

    def state(self, day: int) -> str:
        """`resting`, `in_window` or `past_window` on a day: a passed limit outranks a rest not had."""
        if day > self.closes():
            return "past_window"
        return "in_window" if day >= self.opens() else "resting"


def course_of(
    roasted_on: str | dt.date,
    now: str | dt.datetime,
    zone: str | dt.tzinfo = "UTC",
    *,
    storage: Iterable[dict] = (),
    opened_at: str | dt.datetime | None = None,
    kept: str = "hopper",
    window: dict | None = None,
    activation_energy_kj_mol: float = ACTIVATION_ENERGY_KJ_MOL,
    reference_temp_c: float = REFERENCE_TEMP_C,
    frozen_rate: float = FROZEN_RATE,
) -> Course:
    """How a bag ages, from what is known of it at a moment.

    Parameters
    ----------
    roasted_on : str or date
        Not after the local date of `now`.
    now : str or datetime
        The moment to answer for, with its offset.
    zone : str or tzinfo
        The site's time zone.
    storage : iterable of dict
        Spells `from`, `to` (absent: still there), `temp_c` from -40 to 60 [°C].
    opened_at : str or datetime, optional
        When the bag was opened, from the roast date to `now`.
    kept : str
        Once open: `hopper` or `resealed`.
    window : dict, optional
        `rest_days`, `best_until_days`, `open_days`, as the roaster says; what is absent is common practice.
    activation_energy_kj_mol : float
        For the effect of temperature, 0 to 150. [kJ/mol]
    reference_temp_c : float
        Where a day stales by a day, 4 to 35; also what is assumed where no storage is given. [°C]
    frozen_rate : float
        Days of staling per day below 4 °C, 0 to 1. [days/day]

    Returns
    -------
    Course
        From the roast on, and as if the bag stayed where it is.

    Raises
    ------
    BadInput
        When a figure is outside its range, dates contradict one another, or spells overlap.

    Notes
    -----
    Convention of this app; temperature: source as in `staling_rate`.

    Examples
    --------
    >>> course = course_of("2026-03-01", "2026-03-10T08:00:00+00:00")
    >>> course.rest_days(course.today), course.state(course.today)
    (9.0, 'in_window')
    """
    zone = zone_of(zone) if isinstance(zone, str) else zone
    today = local_date(instant("now", now), zone).toordinal()
    roasted = calendar_date("roasted_on", roasted_on).toordinal()
    opened = None if opened_at is None else local_date(instant("opened_at", opened_at), zone).toordinal()
    if roasted > today:
        raise BadInput("roasted_on", "lies after the date asked about: check the date")
    if opened is not None and not roasted <= opened <= today:
        raise BadInput("opened_at", "must lie between the roast and today: check the date")

    def stales(temp_c: float) -> float:
        return staling_rate(temp_c, activation_energy_kj_mol, reference_temp_c, frozen_rate)

    stales(reference_temp_c)  # refuses a setting that is out of range, whatever the storage
    limits = window_of(window, kept)
    unbroken, cupboard = spells(storage, float(roasted), zone, reference_temp_c)
    assumed = [f"kept at {reference_temp_c:g} °C where no storage is given"] if cupboard else []
    assumed += staling_assumptions([spell.temp_c for spell in unbroken], reference_temp_c, frozen_rate)
    assumed += [text for text in limits.assumed if opened is not None or "once open" not in text]
    return Course(today, unbroken, stales, limits, opened, assumed)


def _rests(temp_c: float) -> float:
    """Whether gas leaves the beans: not in a freezer. Convention of this app."""
    return 0.0 if temp_c < FREEZER_BELOW_C else 1.0


def _whole(to_whole, day: float) -> float:
    return to_whole(day) if day < math.inf else day
