"""Steaming milk: how much steam condenses in it, what the jug then weighs, and what to take care of."""

from dataclasses import dataclass

from server.compute.atmosphere import air_pressure_kpa, boiling_point_c
from server.compute.errors import BadInput
from server.compute.milk_cautions import milk_cautions
from server.compute.milk_kinds import CHOI_OKOS, MilkKind, mean_specific_heat_kj_kg_k, milk_kind
from server.compute.ranges import within
from server.compute.steam import SOURCE as STEAM_SOURCE
from server.compute.steam import steam_enthalpy_kj_kg, water_enthalpy_kj_kg
from server.compute.why import Why

# 50 to 60 °C foams best: Int. Dairy J. 135 (2022) 105476. The app's default sits in its upper half.
TARGET_FROM_C, TARGET_TO_C, DEFAULT_TARGET_C = 55.0, 60.0, 58.0
# Common practice, no source; from 1.0 to 1.5 bar the steam needed changes by 0.4 %.
DEFAULT_STEAM_GAUGE_BAR = 1.2
# Stainless steel, 0.50 kJ/kg K: a general engineering figure (from memory, not verified).
JUG_SPECIFIC_HEAT_KJ_KG_K = 0.50
# Jug, losses to the air and wet steam move a real jug by about this much: common practice, no source.
REAL_JUG_SHARE = 0.10


@dataclass(frozen=True)
class SteamedMilk:
    """A jug of milk after steaming, predicted. `cautions` are keys of `CAUTIONS`."""

    steam_g: float
    final_g: float
    final_g_between: tuple[float, float]
    stop_at_g: float
    added_water_pct: float
    water_in_drink_pct: float
    energy_kj: float
    cautions: tuple[str, ...]
    why: tuple[Why, ...]


def steamed_milk(
    milk_g: float,
    milk: str,
    start_c: float,
    target_c: float = DEFAULT_TARGET_C,
    steam_gauge_bar: float = DEFAULT_STEAM_GAUGE_BAR,
    *,
    steam_quality: float = 1.0,
    jug_g: float = 0.0,
    altitude_m: float = 0.0,
) -> SteamedMilk:
    """Steam that condenses in a jug of milk on its way to a temperature, and the mass at which to stop.

    Parameters
    ----------
    milk_g : float
        Milk poured in, from 10 to 5000. [g]
    milk : str
        Name of the milk, as in `server.compute.milk_kinds.MILKS`.
    start_c : float
        Milk and jug before steaming, from 0 to 60. [°C]
    target_c : float
        Where to stop, above `start_c`, at most 95, and below the local boiling point. [°C]
    steam_gauge_bar : float
        Steam boiler's pressure as its gauge shows it, from 0.2 to 3. [bar]
    steam_quality : float
        Share of the steam's mass that is vapour, 0.5 to 1; the rest is droplets. [-]
    jug_g : float
        Empty steel jug, 0 to 3000; 0 leaves its heat out. [g]
    altitude_m : float
        Of the site, from -430 to 5500. [m]

    Returns
    -------
    SteamedMilk
        `added_water_pct` is steam per milk poured in, `water_in_drink_pct` steam per steamed milk;
        `stop_at_g` is what a scale shows with the jug on it, `final_g` without.

    Raises
    ------
    BadInput
        When a figure is outside its range, or the target isn't above the start.

    Notes
    -----
    energy = (milk · c + jug · 0.50) · (target - start); steam = energy / (h_steam - h_water(target)).
    Sources: c from Choi and Okos (1986); enthalpies from IAPWS SR1-86(1992). Air that is whipped in
    weighs nothing. A real jug lies within about ±10 %: common practice, no source.

    Examples
    --------
    >>> jug = steamed_milk(150.0, "whole", 4.0, 55.0, 1.2)
    >>> round(jug.steam_g, 2), round(jug.final_g, 1)
    (11.99, 162.0)
    """
    kind = milk_kind(milk)
    within("milk_g", milk_g, 10.0, 5000.0, "g")
    within("jug_g", jug_g, 0.0, 3000.0, "g")
    _check_temps(start_c, target_c, altitude_m)
    heat = mean_specific_heat_kj_kg_k(kind, start_c, target_c)
    energy_kj = (milk_g * heat + jug_g * JUG_SPECIFIC_HEAT_KJ_KG_K) / 1000 * (target_c - start_c)
    given_kj_kg = heat_given_kj_kg(steam_gauge_bar, target_c, steam_quality, altitude_m)
    steam_g = 1000 * energy_kj / given_kj_kg
    return SteamedMilk(
        steam_g=steam_g,
        final_g=milk_g + steam_g,
        final_g_between=(milk_g + steam_g * (1 - REAL_JUG_SHARE), milk_g + steam_g * (1 + REAL_JUG_SHARE)),
        stop_at_g=milk_g + steam_g + jug_g,
        added_water_pct=100 * steam_g / milk_g,
        water_in_drink_pct=100 * steam_g / (milk_g + steam_g),
        energy_kj=energy_kj,
        cautions=milk_cautions(kind, target_c),
        why=_why(
            kind,
            {
                "milk_g": milk_g,
                "jug_g": jug_g,
                "start_c": start_c,
                "target_c": target_c,
                "specific_heat_kj_kg_k": heat,
                "steam_gauge_bar": steam_gauge_bar,
                "steam_quality": steam_quality,
                "altitude_m": altitude_m,
                "heat_given_kj_kg": given_kj_kg,
            },
        ),
    )


def heat_given_kj_kg(
    steam_gauge_bar: float, target_c: float, steam_quality: float = 1.0, altitude_m: float = 0.0
) -> float:
    """Heat that each mass of steam leaves behind when it condenses and cools to the drink's temperature.

    Parameters
    ----------
    steam_gauge_bar : float
        Steam boiler's pressure as its gauge shows it, from 0.2 to 3. [bar]
    target_c : float
        Temperature of the drink, from 1 to 95, below the local boiling point. [°C]
    steam_quality : float
        Share of the steam's mass that is vapour, 0.5 to 1. [-]
    altitude_m : float
        Of the site, from -430 to 5500. [m]

    Returns
    -------
    float
        Enthalpy of the steam less that of water at the target. [kJ/kg]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    h_steam(p) - h_water(target): throttling in the wand keeps the enthalpy.
    Source: IAPWS SR1-86(1992), see `server.compute.steam`.

    Examples
    --------
    >>> round(heat_given_kj_kg(1.2, 55.0))
    2481
    """
    within("steam_gauge_bar", steam_gauge_bar, 0.2, 3.0, "bar on the steam gauge")
    within("steam_quality", steam_quality, 0.5, 1.0, "")
    within("target_c", target_c, 1.0, 95.0, "°C")
    air_kpa = air_pressure_kpa(altitude_m)
    steam = steam_enthalpy_kj_kg(air_kpa + 100 * steam_gauge_bar, steam_quality)
    return steam - water_enthalpy_kj_kg(target_c, air_kpa)


def _check_temps(start_c: float, target_c: float, altitude_m: float) -> None:
    within("start_c", start_c, 0.0, 60.0, "°C")
    within("target_c", target_c, 1.0, 95.0, "°C")
    if target_c <= start_c:
        raise BadInput("target_c", f"must be above start_c ({start_c:g} °C): steam only warms")
    boiling_c = boiling_point_c(altitude_m)
    if target_c >= boiling_c:
        raise BadInput("target_c", f"must be below {boiling_c:.0f} °C, where water boils at this altitude")


def _why(kind: MilkKind, inputs: dict[str, float]) -> tuple[Why, ...]:
    assumed = [] if inputs["jug_g"] else ["the jug's own heat is left out: weigh it empty and enter jug_g"]
    if inputs["steam_quality"] == 1.0:
        assumed.append("the steam is dry: a wand that spits needs a few percent more")
    heat = ("milk_g", "jug_g", "start_c", "target_c", "specific_heat_kj_kg_k")
    steam = ("steam_gauge_bar", "steam_quality", "altitude_m", "target_c", "heat_given_kj_kg")
    return (
        Why(
            "energy_kj",
            "(milk_g · specific heat + jug_g · 0.50) · (target_c - start_c) / 1000",
            {name: inputs[name] for name in heat},
            f"{CHOI_OKOS}; {kind.title}: {kind.source}",
        ),
        Why(
            "steam_g",
            "1000 · energy_kj / (enthalpy of the steam - enthalpy of water at target_c)",
            {name: inputs[name] for name in steam},
            STEAM_SOURCE,
            tuple(assumed),
        ),
    )
