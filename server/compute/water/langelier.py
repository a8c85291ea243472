"""The textbook shortcut, kept as a named comparison: Langelier's index by its simple formula."""

import math

from server.compute.ranges import within

SAYS = (
    "The textbook shortcut puts the cold sample's pH into the hot formula and knows no ion pairs: at 93 to 125 °C it "
    "is off by up to 0.6, mostly too high. Shown to compare with other calculators, not used."
)


def langelier_terms(
    temp_c: float, solids_mg_l: float, calcium_mg_l_caco3: float, alkalinity_mg_l_caco3: float
) -> tuple[float, float, float, float]:
    """The four terms of the simple formula: salts, temperature, calcium, alkalinity.

    Parameters
    ----------
    temp_c : float
        Temperature, 0 to 150; the formula was made for 0 to 90. [°C]
    solids_mg_l : float
        Dissolved solids, 1 to 10000. [mg/L]
    calcium_mg_l_caco3 : float
        Calcium hardness: not total hardness, not mg/L of calcium; 0.1 to 2000. [mg/L as CaCO3]
    alkalinity_mg_l_caco3 : float
        Total alkalinity, 0.1 to 1500. [mg/L as CaCO3]

    Returns
    -------
    tuple of float
        A, B, C, D. [-]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    A = (log S - 1)/10, B = 34.55 - 13.12 log(t + 273), C = log Ca - 0.4, D = log Alk. Source: worked example
    of P. R. Roberge, corrosion-doctors.org, "Langelier Saturation Index calculation". It counts 273, not
    273.15.

    Examples
    --------
    >>> [round(term, 2) for term in langelier_terms(25.0, 320.0, 150.0, 34.0)]
    [0.15, 2.09, 1.78, 1.53]
    """
    within("temp_c", temp_c, 0.0, 150.0, "°C")
    salts = (math.log10(within("solids_mg_l", solids_mg_l, 1.0, 1e4, "mg/L")) - 1.0) / 10.0
    warmth = 34.55 - 13.12 * math.log10(temp_c + 273.0)
    calcium = math.log10(within("calcium_mg_l_caco3", calcium_mg_l_caco3, 0.1, 2000.0, "mg/L")) - 0.4
    alkalinity = math.log10(within("alkalinity_mg_l_caco3", alkalinity_mg_l_caco3, 0.1, 1500.0, "mg/L"))
    return salts, warmth, calcium, alkalinity


def langelier_simple(
    ph: float, temp_c: float, solids_mg_l: float, calcium_mg_l_caco3: float, alkalinity_mg_l_caco3: float
) -> float:
    """Langelier's index by the textbook shortcut.

    Parameters
    ----------
    ph : float
        Of the cold sample, 4 to 11. [-]
    temp_c, solids_mg_l, calcium_mg_l_caco3, alkalinity_mg_l_caco3 : float
        As in `langelier_terms`. Valid range as there. [°C, mg/L, mg/L as CaCO3, mg/L as CaCO3]

    Returns
    -------
    float
        pH - (9.3 + A + B - C - D). [-]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Source: as in `langelier_terms`. Valid range of every argument: there.

    Examples
    --------
    >>> round(langelier_simple(7.5, 82.0, 320.0, 150.0, 34.0), 2)
    0.27
    """
    within("ph", ph, 4.0, 11.0, "")
    a, b, c, d = langelier_terms(temp_c, solids_mg_l, calcium_mg_l_caco3, alkalinity_mg_l_caco3)
    return ph - (9.3 + a + b - c - d)
