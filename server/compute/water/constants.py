"""Equilibrium constants of water, carbonate, calcite and the ion pairs, with temperature.

Each reaction is written beside its numbers. Sources, by the letters in the tables:

- PB: L. N. Plummer & E. Busenberg, The solubilities of calcite, aragonite and vaterite in CO2-H2O solutions
  between 0 and 90 °C, Geochim. Cosmochim. Acta 46 (1982) 1011-1040, doi:10.1016/0016-7037(82)90056-4.
- N: D. K. Nordstrom et al., Revised chemical equilibrium data for major water-mineral reactions and their
  limitations, ACS Symp. Ser. 416 (1990) 398-413, doi:10.1021/bk-1990-0416.ch031.
- PA: D. L. Parkhurst & C. A. J. Appelo, Description of input and examples for PHREEQC version 3, USGS
  Techniques and Methods 6-A43 (2013), doi:10.3133/tm6A43, database phreeqc.dat.
- BL: A. V. Bandura & S. N. Lvov, The ionization constant of water over wide ranges of temperature and
  density, J. Phys. Chem. Ref. Data 35 (2006) 15-30, doi:10.1063/1.1928231, as in IAPWS R11-07(2019).
"""

import math

from server.compute.choices import one_of
from server.compute.ranges import within
from server.compute.steam import CRITICAL_DENSITY_KG_M3, CRITICAL_TEMP_K, LIQUID_DENSITY, ZERO_CELSIUS_K

TEMP_RANGE_C = (0.0, 150.0)
CALCITE_FITTED_C = (0.0, 90.0)  # PB measured between these; beyond, the expression is carried on
GAS_CONSTANT_KJ = 8.314462618e-3  # kJ/(mol K), CODATA 2018
KCAL_KJ = 4.184
WATER_G_MOL = 18.015268  # as in the release on Kw

# log10 K = a + b T + c/T + d log10 T + e/T², T in kelvin.
_FITTED = {
    # CaCO3 = Ca+2 + CO3-2 (PB)
    "calcite": (-171.9065, -0.077993, 2839.319, 71.595, 0.0),
    # CO2(g) = CO2 (PB), per atmosphere
    "co2_gas": (108.3865, 0.01985076, -6919.53, -40.45154, 669365.0),
    # CO2 + H2O = HCO3- + H+ (PB)
    "carbonic_1": (-356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0),
    # HCO3- = CO3-2 + H+ (PB)
    "carbonic_2": (-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9),
    # Ca+2 + HCO3- = CaHCO3+ (PB)
    "CaHCO3+": (1209.120, 0.31294, -34765.05, -478.782, 0.0),
    # Ca+2 + CO3-2 = CaCO3 (PB)
    "CaCO3": (-1228.732, -0.299444, 35512.75, 485.818, 0.0),
    # Mg+2 + HCO3- = MgHCO3+ (N)
    "MgHCO3+": (-59.215, 0.0, 2537.455, 20.92298, 0.0),
    # Mg+2 + CO3-2 = MgCO3 (N)
    "MgCO3": (0.991, 0.00667, 0.0, 0.0, 0.0),
    # H+ + SO4-2 = HSO4- (N)
    "HSO4-": (-56.889, 0.006473, 2307.9, 19.8858, 0.0),
    # K+ + SO4-2 = KSO4- (N)
    "KSO4-": (3.106, 0.0, -673.6, 0.0, 0.0),
}
# log10 K at 25 °C and the reaction's enthalpy [kcal/mol], carried to other temperatures by van 't Hoff.
_AT_25_C = {
    "CaOH+": (-12.78, 0.0),  # Ca+2 + H2O = CaOH+ + H+ (PA; no enthalpy is given)
    "MgOH+": (-11.44, 15.952),  # Mg+2 + H2O = MgOH+ + H+ (N)
    "CaSO4": (2.25, 1.325),  # Ca+2 + SO4-2 = CaSO4 (PA)
    "MgSO4": (2.37, 4.55),  # Mg+2 + SO4-2 = MgSO4 (N)
    "NaCO3-": (1.27, 8.91),  # Na+ + CO3-2 = NaCO3- (N)
    "NaHCO3": (-0.25, -1.0),  # Na+ + HCO3- = NaHCO3 (PA)
    "NaSO4-": (0.7, 1.12),  # Na+ + SO4-2 = NaSO4- (N)
}
REACTIONS = ("water", *_FITTED, *_AT_25_C)


def log_k(reaction: str, temp_c: float) -> float:
    """Decimal logarithm of an equilibrium constant.

    Parameters
    ----------
    reaction : str
        One of `REACTIONS`: calcite or an acid as it comes apart, an ion pair as it forms, `water` as it
        splits.
    temp_c : float
        Temperature, 0 to 150. [°C]

    Returns
    -------
    float
        log10 K; activities in mol per kg of water, gases in atmospheres. [-]

    Raises
    ------
    BadInput
        When the temperature is outside its range, or the reaction isn't known.

    Notes
    -----
    Source of each: the module's list. Calcite was measured between 0 and 90 °C; to 150 °C its expression is
    carried on, which is uncertain by about 0.1.

    Examples
    --------
    >>> round(log_k("calcite", 25.0), 3), round(log_k("carbonic_1", 25.0), 3)
    (-8.48, -6.352)
    """
    one_of("reaction", reaction, REACTIONS)
    temp_k = within("temp_c", temp_c, *TEMP_RANGE_C, "°C") + ZERO_CELSIUS_K
    if reaction in _FITTED:
        a, b, c, d, e = _FITTED[reaction]
        return a + b * temp_k + c / temp_k + d * math.log10(temp_k) + e / temp_k**2
    if reaction in _AT_25_C:
        at_25, enthalpy_kcal = _AT_25_C[reaction]
        slope = enthalpy_kcal * KCAL_KJ / (math.log(10) * GAS_CONSTANT_KJ)
        return at_25 - slope * (1 / temp_k - 1 / (25.0 + ZERO_CELSIUS_K))
    return _log_kw(water_density_kg_l(temp_c), temp_k)


def water_density_kg_l(temp_c: float) -> float:
    """Density of liquid water on its saturation line.

    Parameters
    ----------
    temp_c : float
        Temperature, 0 to 150. [°C]

    Returns
    -------
    float
        Density; under one atmosphere within 0.005 % of it. [kg/L]

    Raises
    ------
    BadInput
        When the temperature is outside its range.

    Notes
    -----
    Source: Wagner & Pruss 1993, doi:10.1063/1.555926, equation 2, with the coefficients in
    `server.compute.steam`.

    Examples
    --------
    >>> round(water_density_kg_l(25.0), 4)
    0.997
    """
    temp_k = within("temp_c", temp_c, *TEMP_RANGE_C, "°C") + ZERO_CELSIUS_K
    root = (1.0 - temp_k / CRITICAL_TEMP_K) ** (1 / 3)
    relative = 1.0 + sum(coefficient * root**power for power, coefficient in LIQUID_DENSITY)
    return CRITICAL_DENSITY_KG_M3 * relative / 1000.0


def _log_kw(density_kg_l: float, temp_k: float) -> float:
    """H2O = H+ + OH-: equations 1 to 4 of IAPWS R11-07(2019) (BL)."""
    gas = 0.61415 + 48251.33 / temp_k - 67707.93 / temp_k**2 + 10102100.0 / temp_k**3
    exponent = -0.702132 + 8681.05 / temp_k - 24145.1 / temp_k**2 * density_kg_l ** (2 / 3)
    solvated = density_kg_l * math.exp(exponent)
    second = density_kg_l * (0.813876 - 51.4471 / temp_k - 0.469920 * density_kg_l)
    bulk = math.log10(1 + solvated) - solvated / (1 + solvated) * second
    return 12 * bulk - gas - 2 * math.log10(WATER_G_MOL / 1000)
