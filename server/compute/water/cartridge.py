"""How long a softening cartridge lasts: what it can take up against what the water brings."""

import datetime as dt
import math
from dataclasses import dataclass

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.sample import Sample, alkalinity_of, hardness_of
from server.compute.water.units import EQUIVALENT_CACO3_G, GRAIN_MG, mg_l_caco3
from server.compute.why import Why

# What one unit of a maker's capacity takes up. [g as CaCO3]
_CAPACITY_G_CACO3 = {
    "eq": EQUIVALENT_CACO3_G,
    "g_caco3": 1.0,
    "grain": GRAIN_MG / 1000.0,
    "l_dh": mg_l_caco3(1.0, "dh") / 1000.0,  # litres times German degrees: 1000 L at 10 °dH are 10000
    "l_fh": mg_l_caco3(1.0, "fh") / 1000.0,
}
CAPACITY_UNITS = (*_CAPACITY_G_CACO3, "l")  # "l": litres of this very water, from the maker's own table
REMOVES = ("hardness", "carbonate_hardness")
_LONGEST_DAYS = 3650


@dataclass(frozen=True)
class CartridgeLife:
    """Litres in all and left [L], share used (above 1 when overdue) [-], days left, day it is spent."""

    litres_total: float
    litres_left: float
    share_used: float
    days_left: int | None
    spent_on: dt.date | None


def load_mg_l_caco3(
    hardness: float | None, alkalinity: float | None, removes: str, bypass_share: float = 0.0
) -> float:
    """What each litre through the tap brings to the cartridge.

    Parameters
    ----------
    hardness : float or None
        Total hardness, at least 0. [mg/L as CaCO3]
    alkalinity : float or None
        Total alkalinity, at least 0; needed for `carbonate_hardness` only. [mg/L as CaCO3]
    removes : str
        `hardness` (a softener) or `carbonate_hardness` (a decarbonising cartridge).
    bypass_share : float
        Share of the water that goes around the resin, 0 to 0.95. [L/L]

    Returns
    -------
    float
        Per litre delivered, above 0. [mg/L as CaCO3]

    Raises
    ------
    BadInput
        When a figure is missing or out of range, or there is nothing to take up.

    Notes
    -----
    Definition: carbonate hardness is the lesser of hardness and alkalinity. Source: any text on water
    softening.

    Examples
    --------
    >>> load_mg_l_caco3(200.0, 120.0, "carbonate_hardness", bypass_share=0.5)
    60.0
    """
    one_of("removes", removes, REMOVES)
    within("bypass_share", bypass_share, 0.0, 0.95, "")
    if hardness is None:
        raise BadInput("water", "needs a hardness: measure it, or give calcium and magnesium")
    within("hardness", hardness, 0.0, 2000.0, "mg/L as CaCO₃")
    if removes == "carbonate_hardness":
        if alkalinity is None:
            raise BadInput("water", "needs an alkalinity for a cartridge that takes carbonate hardness")
        within("alkalinity", alkalinity, 0.0, 1500.0, "mg/L as CaCO₃")
    taken = hardness if removes == "hardness" else min(hardness, alkalinity)
    if taken * (1.0 - bypass_share) < 0.1:
        raise BadInput(
            "water", "has nothing for this cartridge to take up: its life can't be told from capacity"
        )
    return taken * (1.0 - bypass_share)


def capacity_litres(value: float, unit: str, load: float | None) -> float:
    """Litres that a new cartridge treats.

    Parameters
    ----------
    value : float
        The maker's capacity, above 0 to 10000000. [the unit named by `unit`]
    unit : str
        `eq`, `g_caco3`, `grain`, `l_dh` or `l_fh` (litres times degrees), or `l`.
    load : float or None
        From `load_mg_l_caco3`, above 0 to 2000; not needed for `l`. [mg/L as CaCO3]

    Returns
    -------
    float
        Above 0. [L]

    Raises
    ------
    BadInput
        When a value is out of range, or the unit isn't known.

    Notes
    -----
    Definition: capacity over load. An equivalent is 50.04 g CaCO3, a grain 64.8 mg.

    Examples
    --------
    >>> round(capacity_litres(1.2, "eq", 200.0), 1)
    300.3
    """
    one_of("capacity", unit, CAPACITY_UNITS)
    within("capacity", value, 1e-3, 1e7, unit)
    if unit == "l":
        return value
    if load is None:
        raise BadInput("water", "needs a hardness: measure it, or give calcium and magnesium")
    return value * _CAPACITY_G_CACO3[unit] * 1000.0 / within("load", load, 1e-3, 2000.0, "mg/L as CaCO₃")


def cartridge_life(
    litres_total: float,
    litres_used: float,
    litres_per_day: float | None = None,
    now: dt.date | None = None,
) -> CartridgeLife:
    """Litres that are left in a cartridge, and the day on which it is spent.

    Parameters
    ----------
    litres_total : float
        What it treats when new, above 0 to 10000000000. [L]
    litres_used : float
        Through it since it was new, 0 to 10000000. [L]
    litres_per_day : float, optional
        Usual use, 0.01 to 100000. [L/day]
    now : datetime.date, optional
        The day from which to count.

    Returns
    -------
    CartridgeLife
        Whole days, rounded down; no day without `litres_per_day` and `now`, nor past ten years. [days]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Identity. Makers state capacity for their own test water; resin also ages by time: their limit of months
    comes first.

    Examples
    --------
    >>> life = cartridge_life(300.0, 150.0, 20.0, dt.date(2026, 3, 1))
    >>> life.litres_left, life.share_used, life.spent_on.isoformat()
    (150.0, 0.5, '2026-03-08')
    """
    if not 0.0 < litres_total <= 1e10:
        raise BadInput("capacity", "must be above 0: the maker's leaflet has it")
    within("litres_used", litres_used, 0.0, 1e7, "L")
    left = max(0.0, litres_total - litres_used)
    days = None
    if litres_per_day is not None:
        days = math.floor(left / within("litres_per_day", litres_per_day, 0.01, 1e5, "L/day"))
        days = days if days <= _LONGEST_DAYS else None
    return CartridgeLife(
        litres_total=litres_total,
        litres_left=left,
        share_used=litres_used / litres_total,
        days_left=days,
        spent_on=None if days is None or now is None else now + dt.timedelta(days=days),
    )


def cartridge_plan(
    capacity: float,
    unit: str,
    water: Sample | None,
    litres_used: float,
    litres_per_day: float | None = None,
    now: dt.date | None = None,
    removes: str | None = None,
    bypass_share: float | None = None,
) -> dict:
    """A cartridge's life with all that a screen shows beside it.

    Parameters
    ----------
    capacity : float
        As in `capacity_litres`, above 0. [the unit named by `unit`]
    unit : str
        As in `capacity_litres`.
    water : Sample or None
        The water before the cartridge; not needed for unit `l`.
    litres_used, litres_per_day : float
        As in `cartridge_life`, at least 0. [L, L/day]
    now : datetime.date, optional
        The day from which to count.
    removes : str, optional
        As in `load_mg_l_caco3`; hardness is assumed.
    bypass_share : float, optional
        As in `load_mg_l_caco3`, 0 to 0.95; 0 is assumed. [L/L]

    Returns
    -------
    dict
        The fields of the question `cartridge`.

    Raises
    ------
    BadInput
        When a value is missing or out of range.

    Notes
    -----
    Definition: capacity over load.

    Examples
    --------
    >>> plan = cartridge_plan(1.2, "eq", Sample(hardness_mg_l_caco3=200.0), 400.0)
    >>> plan["litres_left"], plan["doubts"]
    (0.0, ['The cartridge is overdue by 100 L: what comes through is hard.'])
    """
    assumed = []
    if unit != "l" and removes is None:
        assumed.append("The cartridge takes all hardness, not only carbonate hardness: its leaflet says.")
    if unit != "l" and bypass_share is None:
        assumed.append("No water goes around the resin (bypass 0).")
    load = None
    if unit != "l":
        known = water or Sample()
        load = load_mg_l_caco3(
            hardness_of(known), alkalinity_of(known), removes or REMOVES[0], bypass_share or 0.0
        )
    life = cartridge_life(capacity_litres(capacity, unit, load), litres_used, litres_per_day, now)
    over = litres_used - life.litres_total
    inputs = {"capacity": capacity, "unit": unit, "load_mg_l_caco3": load, "litres_used": litres_used}
    return {
        **vars(life),
        "load_mg_l_caco3": load,
        "assumed": assumed,
        "doubts": [f"The cartridge is overdue by {over:.0f} L: what comes through is hard."]
        if over > 0
        else [],
        "why": [Why("litres_left", "capacity / load - litres_used", inputs, "definition", tuple(assumed))],
    }
