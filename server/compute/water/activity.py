"""How far ions fall short of acting at their concentration: the extended Debye-Hückel law.

Law and ion sizes: A. H. Truesdell & B. F. Jones, WATEQ, a computer program for calculating chemical
equilibria of natural waters, J. Res. US Geol. Survey 2 (1974) 233-248; sodium, chloride and the pairs as in
Parkhurst & Appelo 2013, doi:10.3133/tm6A43 (phreeqc.dat). Where no size was fitted: C. W. Davies, Ion
Association (Butterworths, London, 1962).
"""

import math

from server.compute.ranges import within
from server.compute.steam import ZERO_CELSIUS_K
from server.compute.water.constants import TEMP_RANGE_C, water_density_kg_l

# Charge, ion size [Å], linear term [kg/mol]; no size where Davies's equation serves.
IONS = {
    "H+": (1, 9.0, 0.0),
    "OH-": (-1, 3.5, 0.0),
    "Ca+2": (2, 5.0, 0.165),
    "Mg+2": (2, 5.5, 0.20),
    "Na+": (1, 4.08, 0.082),
    "K+": (1, 3.5, 0.015),
    "Cl-": (-1, 3.63, 0.017),
    "SO4-2": (-2, 5.0, -0.04),
    "HSO4-": (-1, None, 0.0),
    "CO3-2": (-2, 5.4, 0.0),
    "HCO3-": (-1, 5.4, 0.0),
    "CaHCO3+": (1, 6.0, 0.0),
    "CaOH+": (1, None, 0.0),
    "MgHCO3+": (1, 4.0, 0.0),
    "MgOH+": (1, 6.5, 0.0),
    "NaCO3-": (-1, None, 0.0),
    "NaSO4-": (-1, 5.4, 0.0),
    "KSO4-": (-1, 5.4, 0.0),
}
_SALTING_OUT = 0.1  # log10 of a neutral's coefficient per mol/kg of ionic strength (Parkhurst & Appelo 2013)

# U1..U9 of D. J. Bradley & K. S. Pitzer, Thermodynamics of electrolytes 12: dielectric properties of water
# and Debye-Hückel parameters to 350 °C and 1 kbar, J. Phys. Chem. 83 (1979) 1599-1603,
# doi:10.1021/j100475a009.
_U = (342.79, -5.0866e-3, 9.4690e-7, -2.0525, 3115.9, -182.89, -8032.5, 4.2142e6, 2.1417)
_PRESSURE_BAR = 1.01325


def dielectric_constant(temp_c: float) -> float:
    """How strongly liquid water screens charges.

    Parameters
    ----------
    temp_c : float
        Temperature, 0 to 150. [°C]

    Returns
    -------
    float
        Relative permittivity at one atmosphere. [-]

    Raises
    ------
    BadInput
        When the temperature is outside its range.

    Notes
    -----
    Source: Bradley & Pitzer 1979, doi:10.1021/j100475a009, equation 1; fitted from 0 to 350 °C. The few bar
    of a steam boiler change it by less than 0.02 %.

    Examples
    --------
    >>> round(dielectric_constant(25.0), 2)
    78.38
    """
    t = within("temp_c", temp_c, *TEMP_RANGE_C, "°C") + ZERO_CELSIUS_K
    at_1000_bar = _U[0] * math.exp(_U[1] * t + _U[2] * t**2)
    b, c = _U[6] + _U[7] / t + _U[8] * t, _U[3] + _U[4] / (_U[5] + t)
    return at_1000_bar + c * math.log((b + _PRESSURE_BAR) / (b + 1000.0))


def debye_hueckel(temp_c: float) -> tuple[float, float]:
    """The two parameters of the Debye-Hückel law.

    Parameters
    ----------
    temp_c : float
        Temperature, 0 to 150. [°C]

    Returns
    -------
    tuple of float
        A [(kg/mol)^½], for decimal logarithms, and B [(kg/mol)^½ / Å].

    Raises
    ------
    BadInput
        When the temperature is outside its range.

    Notes
    -----
    Source: the law's definition with the constants of nature put in, as in Truesdell & Jones 1974:
    A = 1.8248e6 √ρ (εT)^-1.5, B = 50.292 √ρ (εT)^-0.5, ρ in kg/L.

    Examples
    --------
    >>> a, b = debye_hueckel(25.0)
    >>> round(a, 3), round(b, 3)
    (0.51, 0.328)
    """
    root_density = math.sqrt(water_density_kg_l(temp_c))
    product = dielectric_constant(temp_c) * (temp_c + ZERO_CELSIUS_K)
    return 1.8248e6 * root_density / product**1.5, 50.292 * root_density / math.sqrt(product)


def activity_coefficients(ionic_strength: float, a: float, b: float) -> dict[str, float]:
    """Activity over molality, for every ion in `IONS` and, under "neutral", for what has no charge.

    Parameters
    ----------
    ionic_strength : float
        0 to 1; the law is good to about 0.1 in mixed waters. [mol/kg water]
    a, b : float
        From `debye_hueckel`, > 0. [(kg/mol)^½ and (kg/mol)^½ / Å]

    Returns
    -------
    dict of str to float
        Coefficients. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    log γ = -A z² √I / (1 + B å √I) + b I where a size å was fitted, else Davies's equation. Source: the
    module's.

    Examples
    --------
    >>> round(activity_coefficients(0.01, 0.5096, 0.3286)["Ca+2"], 3)
    0.671
    """
    root = math.sqrt(ionic_strength)
    davies = root / (1 + root) - 0.3 * ionic_strength
    found = {"neutral": 10 ** (_SALTING_OUT * ionic_strength)}
    for ion, (charge, size, linear) in IONS.items():
        reach = davies if size is None else root / (1 + b * size * root)
        found[ion] = 10 ** (linear * ionic_strength - a * charge**2 * reach)
    return found
