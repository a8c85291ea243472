"""Does calcite come out of this water where the machine heats it, and how much?"""

from dataclasses import dataclass
from functools import lru_cache

from server.compute.ranges import within
from server.compute.water.constants import CALCITE_FITTED_C, TEMP_RANGE_C
from server.compute.water.equilibrium import Totals
from server.compute.water.ions import CALCITE_G_MOL
from server.compute.water.speciation import AIR_LOG_PCO2, Solution, closed, open_to_air, with_calcite

CONCENTRATION_RANGE = (1.0, 10.0)
STRONGEST = 0.1  # mol/kg, to which the activity law is good in mixed waters
SI_UNCERTAINTY = 0.3
SI_UNCERTAINTY_BECAUSE = (
    "pH read to 0.1 or 0.2 moves the index by as much; a drop more or less of a kit by up to 0.1; calcite's "
    "solubility was measured to 90 °C only; and CO2 lost on the way from tap to boiler raises it."
)


@dataclass(frozen=True)
class Saturation:
    """One water in one place: index [-], pH, what comes out down to index 0 [mg/L CaCO3 of the water there]."""

    temp_c: float
    concentration: float
    si: float | None
    ph: float
    precipitates_mg_l_caco3: float
    si_if_co2_escapes: float | None
    precipitates_if_co2_escapes_mg_l_caco3: float
    warnings: tuple[str, ...]

    @property
    def most_mg_l_of_feed(self) -> float:
        """The most that can come out of each litre fed to this place. [mg/L as CaCO3]"""
        out = max(self.precipitates_mg_l_caco3, self.precipitates_if_co2_escapes_mg_l_caco3)
        return out / self.concentration


@lru_cache(maxsize=1024)  # a dashboard asks for the same water again and again; a fresh answer takes some ms
def saturation_at(totals: Totals, temp_c: float, concentration: float, water_kg_l: float) -> Saturation:
    """Heat a closed sample, let pH follow, and see whether calcite comes out; also where its CO2 can escape.

    Parameters
    ----------
    totals : Totals
        The feed water, with its carbon. [mol/kg]
    temp_c : float
        Temperature of the water in that place, 0 to 150. [°C]
    concentration : float
        How many times the salts have been concentrated, 1 to 10: in a steam boiler they stay behind. [-]
    water_kg_l : float
        Water per litre of sample, 0.9 to 1. [kg/L]

    Returns
    -------
    Saturation
        What comes out is per litre of the (concentrated) water there. [mg/L as CaCO3]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Source of the model: `speciation`. CO2 escaping to the pressure it has in air is the far end of what a
    vented or boiling vessel can do: a bound, not a prediction. Only calcite is counted; from softened or
    very alkaline water other salts can come out.

    Examples
    --------
    >>> from server.compute.water.speciation import as_sampled
    >>> water = as_sampled(Totals(calcium=1e-3, chloride=1e-3, alkalinity=1e-3), 7.5, 25.0).totals
    >>> round(saturation_at(water, 93.0, 1.0, 1.0).si, 2)
    0.23
    """
    within("concentration", concentration, *CONCENTRATION_RANGE, "")
    within("temp_c", temp_c, *TEMP_RANGE_C, "°C")
    water = totals.times(concentration)
    hot, vented = closed(water, temp_c), open_to_air(water, temp_c)
    return Saturation(
        temp_c=temp_c,
        concentration=concentration,
        si=hot.si_calcite,
        ph=hot.ph,
        precipitates_mg_l_caco3=_comes_out(water, hot, None, water_kg_l),
        si_if_co2_escapes=vented.si_calcite,
        precipitates_if_co2_escapes_mg_l_caco3=_comes_out(water, vented, AIR_LOG_PCO2, water_kg_l),
        warnings=tuple(_warnings(hot)),
    )


def calcite_to_equilibrium_mg_l(
    totals: Totals, temp_c: float, water_kg_l: float, log_pco2: float | None = None
) -> float:
    """Calcite that must come out for the water to be just saturated; negative, where it would dissolve some.

    Parameters
    ----------
    totals : Totals
        The water, with its carbon. [mol/kg]
    temp_c : float
        Temperature, 0 to 150. [°C]
    water_kg_l : float
        Water per litre, 0.9 to 1. [kg/L]
    log_pco2 : float, optional
        If given, CO2 escapes to this pressure, -6 to 0. [log10 atm]

    Returns
    -------
    float
        Any; known as calcium carbonate precipitation potential. [mg/L as CaCO3]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Definition: Standard Methods for the Examination of Water and Wastewater, 2330 C; alkalinity less twice
    calcium, and (in a closed vessel) carbon less calcium, are conserved.

    Examples
    --------
    >>> from server.compute.water.speciation import as_sampled
    >>> water = as_sampled(Totals(calcium=1e-3, chloride=1e-3, alkalinity=1e-3), 7.5, 25.0).totals
    >>> calcite_to_equilibrium_mg_l(water, 25.0, 1.0) < 0.0
    True
    """
    within("water_kg_l", water_kg_l, 0.9, 1.0, "kg/L")
    left = with_calcite(totals, temp_c, log_pco2)
    return (totals.calcium - left.totals.calcium) * CALCITE_G_MOL * 1000 * water_kg_l


def _comes_out(water: Totals, hot: Solution, log_pco2: float | None, water_kg_l: float) -> float:
    if hot.si_calcite is None or hot.si_calcite <= 0.0:
        return 0.0
    return calcite_to_equilibrium_mg_l(water, hot.temp_c, water_kg_l, log_pco2)


def _warnings(hot: Solution) -> list[str]:
    found = []
    if hot.temp_c > CALCITE_FITTED_C[1]:
        found.append(
            f"Calcite's solubility at {hot.temp_c:g} °C carries on what was measured to {CALCITE_FITTED_C[1]:g} °C."
        )
    if hot.ionic_strength > STRONGEST:
        found.append("So much salt is more than the activity law is good for: the index is a rough guide.")
    return found
