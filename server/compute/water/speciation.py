"""What a water's salts are present as, and its pH: as sampled, heated in a closed vessel, open to air,
with calcite laid down. Solved from the balances in `equilibrium`.

The law is good for fresh waters, also concentrated: ionic strength to about 0.1 mol/kg. The activity of
water is taken as 1 (at that strength it is above 0.997).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.activity import IONS
from server.compute.water.equilibrium import PAIRS, Balance, Medium, Totals
from server.compute.water.roots import NO_BALANCE, falling_root, rising_root

PH_RANGE = (4.0, 11.0)  # of a sample
AIR_LOG_PCO2 = -3.4  # log10 of CO2's pressure in air [atm]: 4.0e-4, about the outdoor air of 2015
_PH_SEARCHED = (1.0, 14.0)
_NEAR = 0.002
_PASSES = 200


@dataclass(frozen=True)
class Solution:
    """A water at equilibrium: temperature [°C], pH, totals, every species [mol/kg water], saturation."""

    temp_c: float
    ph: float
    totals: Totals
    molality: dict[str, float]
    ionic_strength: float
    si_calcite: float | None
    log_pco2: float | None


def as_sampled(totals: Totals, ph: float, temp_c: float) -> Solution:
    """Speciate a sample whose pH and alkalinity were measured; this is what finds its total carbon.

    Parameters
    ----------
    totals : Totals
        The analysis; its `carbon` is ignored. [mol/kg]
    ph : float
        Measured at `temp_c`, 4 to 11. [-]
    temp_c : float
        Temperature of the sample, 0 to 150. [°C]

    Returns
    -------
    Solution
        With `totals.carbon` filled in. [mol/kg]

    Raises
    ------
    BadInput
        When a value is out of range, or so high a pH can't go with so little alkalinity.

    Notes
    -----
    Source of the model: mass balances over the constants and activities of `constants` and `activity`.

    Examples
    --------
    >>> water = Totals(calcium=1e-3, chloride=1e-3, alkalinity=1e-3)
    >>> round(as_sampled(water, 7.5, 25.0).totals.carbon * 1e3, 3)
    1.062
    """
    within("ph", ph, *PH_RANGE, "")

    def carbonate(balance: Balance) -> float:
        if balance.alkalinity(0.0)[0] > totals.alkalinity:
            raise BadInput("ph", "so high a pH needs more alkalinity than this: measure both again")
        return _where(balance.alkalinity, totals.alkalinity)

    return _settle(totals, temp_c, carbonate, ph)


def closed(totals: Totals, temp_c: float) -> Solution:
    """The same water heated or cooled with nothing let out: carbon and alkalinity stay, pH follows.

    Parameters
    ----------
    totals : Totals
        With its carbon, from `as_sampled`. [mol/kg]
    temp_c : float
        The new temperature, 0 to 150. [°C]

    Returns
    -------
    Solution
        At that temperature. [mol/kg]

    Raises
    ------
    BadInput
        When the temperature is out of range.

    Notes
    -----
    Source of the model: as in `as_sampled`; conserved sums by definition of a closed vessel.

    Examples
    --------
    >>> water = as_sampled(Totals(calcium=1e-3, chloride=1e-3, alkalinity=1e-3), 7.5, 25.0)
    >>> hot = closed(water.totals, 93.0)
    >>> round(hot.ph, 2), hot.si_calcite > water.si_calcite
    (7.39, True)
    """
    return _settle(totals, temp_c, lambda balance: _where(balance.carbon, totals.carbon))


def open_to_air(totals: Totals, temp_c: float, log_pco2: float = AIR_LOG_PCO2) -> Solution:
    """The same water once its CO2 has come to rest with the air or steam above it: alkalinity stays.

    Parameters
    ----------
    totals : Totals
        Its carbon is ignored. [mol/kg]
    temp_c : float
        Temperature, 0 to 150. [°C]
    log_pco2 : float
        Decimal logarithm of CO2's pressure, -6 to 0. [log10 atm]

    Returns
    -------
    Solution
        With the carbon that is left. [mol/kg]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Source of the model: as in `as_sampled`; Henry's constant by Plummer & Busenberg 1982.

    Examples
    --------
    >>> round(open_to_air(Totals(sodium=1e-3, alkalinity=1e-3), 25.0).ph, 2)
    8.2
    """
    return _settle(totals, temp_c, _carbonate_under(log_pco2))


def with_calcite(totals: Totals, temp_c: float, log_pco2: float | None = None) -> Solution:
    """The same water once calcite has come out of it, or gone into it, until it is just saturated.

    Parameters
    ----------
    totals : Totals
        With its carbon. [mol/kg]
    temp_c : float
        Temperature, 0 to 150. [°C]
    log_pco2 : float, optional
        If given, CO2 escapes to this pressure, -6 to 0; else the vessel is closed. [log10 atm]

    Returns
    -------
    Solution
        Its `totals.calcium` is less, by what came out, than before (more, if calcite dissolved). [mol/kg]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Source of the model: as in `as_sampled`; CaCO3 takes one calcium, one carbon and two equivalents of
    alkalinity.

    Examples
    --------
    >>> water = as_sampled(Totals(calcium=2e-3, chloride=1e-3, alkalinity=3e-3), 7.8, 25.0).totals
    >>> left = with_calcite(water, 93.0)
    >>> round((water.calcium - left.totals.calcium) * 1e3, 2)
    0.6
    """
    carbonate = _saturated_carbonate if log_pco2 is None else _carbonate_under(log_pco2)
    return _settle(totals, temp_c, lambda balance: balance.saturate(carbonate(balance)))


def _where(rising: Callable[[float], tuple[float, float]], wanted: float) -> float:
    """The free carbonate at which a rising sum comes to what is wanted."""

    def surplus(carbonate: float) -> tuple[float, float]:
        value, slope = rising(carbonate)
        return value - wanted, slope

    return rising_root(surplus, 0.0)


def _carbonate_under(log_pco2: float) -> Callable[[Balance], float]:
    pressure_atm = 10 ** within("log_pco2", log_pco2, -6.0, 0.0, "log10 atm")
    return lambda balance: balance.medium.co2_per_atm * pressure_atm / balance.co2


def _saturated_carbonate(balance: Balance) -> float:
    """Free carbonate at which calcite is just saturated and carbon less calcium is as before."""
    product = balance.medium.calcite * balance.held["calcium"][0]
    surplus_carbon = balance.totals.carbon - balance.totals.calcium

    def surplus(carbonate: float) -> tuple[float, float]:
        value, slope = balance.carbon(carbonate, without="calcium")
        return value - product / carbonate - surplus_carbon, slope + product / carbonate**2

    # Left of the crossing for certain: there even all the carbon that the cations could hold is too little.
    alone = 1.0 + balance.bicarbonate + balance.co2
    most_held = balance.totals.magnesium + balance.totals.sodium + abs(surplus_carbon)
    return rising_root(surplus, 2 * product / (most_held + math.sqrt(most_held**2 + 4 * alone * product)))


def _settle(
    totals: Totals, temp_c: float, carbonate: Callable[[Balance], float], ph: float | None = None
) -> Solution:
    """Repeat until ionic strength and free sulphate agree with the species that they lead to.

    `carbonate` gives the free carbonate at one pH. Without a `ph`, it is where the alkalinity is what it was,
    less what calcite took with it.
    """
    ionic_strength, sulphate, near = 0.0, totals.sulphate, None
    for _ in range(_PASSES):
        medium = Medium(temp_c, ionic_strength)

        def balance_at(trial_ph: float, medium=medium, sulphate=sulphate) -> tuple[Balance, float]:
            balance = Balance(totals, medium, trial_ph, sulphate)
            return balance, carbonate(balance)

        near = _ph(balance_at, totals, near) if ph is None else ph
        balance, amount = balance_at(near)
        species = balance.molalities(amount)
        before, ionic_strength = (ionic_strength, sulphate), _ionic_strength(species)
        sulphate *= totals.sulphate / _all_sulphate(species) if totals.sulphate else 0.0
        settled = abs(sulphate - before[1]) <= 1e-6 * totals.sulphate
        if settled and abs(ionic_strength - before[0]) <= 1e-8:
            return _solution(temp_c, near, balance, amount, species)
    raise BadInput("water", NO_BALANCE)


def _ph(balance_at: Callable, totals: Totals, near: float | None) -> float:
    """Where the alkalinity is what it was, less what calcite took; looked for first near the last answer."""

    def missing(ph: float) -> float:
        balance, carbonate = balance_at(ph)
        taken = totals.calcium - balance.amount["calcium"]
        return totals.alkalinity - 2 * taken - balance.alkalinity(carbonate)[0]

    if near is not None and missing(near - _NEAR) >= 0.0 >= missing(near + _NEAR):
        return falling_root(missing, near - _NEAR, near + _NEAR, 1e-10)
    return falling_root(missing, *_PH_SEARCHED, 1e-10)


def _ionic_strength(species: dict[str, float]) -> float:
    return sum(IONS[ion][0] ** 2 * m for ion, m in species.items() if ion in IONS) / 2


def _all_sulphate(species: dict[str, float]) -> float:
    return sum(species[name] for name in ("SO4-2", "HSO4-", *(pairs[2] for pairs in PAIRS.values())))


def _solution(
    temp_c: float, ph: float, balance: Balance, carbonate: float, species: dict[str, float]
) -> Solution:
    totals = replace(
        balance.totals,
        calcium=balance.amount["calcium"],
        carbon=balance.carbon(carbonate)[0],
        alkalinity=balance.alkalinity(carbonate)[0],
    )
    ions = species["Ca+2"] * carbonate
    return Solution(
        temp_c=temp_c,
        ph=ph,
        totals=totals,
        molality=species,
        ionic_strength=_ionic_strength(species),
        si_calcite=math.log10(ions / balance.medium.calcite) if ions > 0.0 else None,
        log_pco2=math.log10(species["CO2"] / balance.medium.co2_per_atm) if species["CO2"] > 0.0 else None,
    )
