"""Every unit in which a kit, a label or a lab states hardness and alkalinity, in terms of mg/L as CaCO3."""

import math

from server.compute.errors import BadInput
from server.compute.water.ions import CALCITE_G_MOL, EQUIVALENT_CACO3_G, MASS_G_MOL, molar_mass_g_mol

GRAIN_MG = 64.79891  # international yard and pound agreement, 1959: exact
_US_GALLON_L = 3.785411784  # exact
_IMPERIAL_GALLON_L = 4.54609  # exact

_AS_CACO3 = {
    "mg_l_caco3": 1.0,
    "dh": 10.0 * CALCITE_G_MOL / molar_mass_g_mol("CaO"),  # German degree: 10 mg/L of CaO
    "fh": 10.0,  # French degree: 10 mg/L of CaCO3
    "clark": GRAIN_MG / _IMPERIAL_GALLON_L,  # English degree: a grain of CaCO3 per imperial gallon
    "gpg": GRAIN_MG / _US_GALLON_L,  # grain of CaCO3 per US gallon
    "meq_l": EQUIVALENT_CACO3_G,
}
# A millimole means two things. Of hardness it is Ca + Mg, each worth one CaCO3; of alkalinity it is the acid
# that the titration took (acid capacity), so half a CaCO3.
_HARDNESS = {**_AS_CACO3, "mmol_l": CALCITE_G_MOL}
_ALKALINITY = {
    **_AS_CACO3,
    "mmol_l": EQUIVALENT_CACO3_G,
    "mg_l_hco3": EQUIVALENT_CACO3_G / MASS_G_MOL["bicarbonate"],
}

HARDNESS_UNITS = tuple(_HARDNESS)
ALKALINITY_UNITS = tuple(_ALKALINITY)
UNIT_LABELS = {
    "mg_l_caco3": "mg/L as CaCO₃",
    "dh": "°dH",
    "fh": "°fH",
    "clark": "°Clark",
    "gpg": "gpg",
    "meq_l": "meq/L",
    "mmol_l": "mmol/L",
    "mg_l_hco3": "mg/L as HCO₃⁻",
}


def mg_l_caco3(value: float, unit: str, of: str = "hardness") -> float:
    """A hardness or an alkalinity in any unit, as mg/L CaCO3.

    Parameters
    ----------
    value : float
        What the kit, the label or the lab says, at least 0. [the unit named by `unit`]
    unit : str
        One of `HARDNESS_UNITS`, or of `ALKALINITY_UNITS` when `of` is "alkalinity".
    of : str
        "hardness" or "alkalinity": a millimole is twice as much of the one as of the other.

    Returns
    -------
    float
        The same amount, at least 0. [mg/L as CaCO3]

    Raises
    ------
    BadInput
        When the unit isn't known, or the value is negative or no number.

    Notes
    -----
    Definitions of the units, so exact but for atomic weights. Source of the degrees: 1 °dH = 10 mg/L CaO,
    1 °fH = 10 mg/L CaCO3, 1 °Clark and 1 gpg = one grain (64.79891 mg) per imperial and per US gallon.

    Examples
    --------
    >>> round(mg_l_caco3(8.0, "dh"), 1)
    142.8
    >>> round(mg_l_caco3(2.0, "mmol_l"), 1), round(mg_l_caco3(2.0, "mmol_l", of="alkalinity"), 1)
    (200.2, 100.1)
    """
    if not (isinstance(value, int | float) and math.isfinite(value) and value >= 0.0):
        raise BadInput(of, "must be a number, at least 0: read the kit or the label again")
    return value * _factor(unit, of)


def in_unit(value_mg_l_caco3: float, unit: str, of: str = "hardness") -> float:
    """A hardness or an alkalinity, as the unit that a person is used to.

    Parameters
    ----------
    value_mg_l_caco3 : float
        The amount, any. [mg/L as CaCO3]
    unit : str
        One of `HARDNESS_UNITS`, or of `ALKALINITY_UNITS` when `of` is "alkalinity".
    of : str
        "hardness" or "alkalinity".

    Returns
    -------
    float
        The same amount. [the unit named by `unit`]

    Raises
    ------
    BadInput
        When the unit isn't known.

    Notes
    -----
    Definition: the inverse of `mg_l_caco3`.

    Examples
    --------
    >>> round(in_unit(142.8, "fh"), 2)
    14.28
    """
    return value_mg_l_caco3 / _factor(unit, of)


def drops_mg_l_caco3(drops: float, per_drop: float, unit: str, of: str = "hardness") -> float:
    """A drop kit's count, by the factor that its leaflet states.

    Parameters
    ----------
    drops : float
        Drops until the colour changed, 0 to 200. [-]
    per_drop : float
        What one drop stands for at the volume of water used, > 0. [the unit named by `unit`]
    unit : str
        The leaflet's unit, one of `HARDNESS_UNITS` or `ALKALINITY_UNITS`.
    of : str
        "hardness" or "alkalinity".

    Returns
    -------
    float
        The amount; the last drop may be only partly needed, so it is known to one drop, downwards.
        [mg/L as CaCO3]

    Raises
    ------
    BadInput
        When the count or the factor is out of range, or the unit isn't known.

    Notes
    -----
    Definition: drops times factor. That a kit is read to one drop: common practice, no source.

    Examples
    --------
    >>> drops_mg_l_caco3(7, 1.0, "fh")
    70.0
    """
    if not 0.0 <= drops <= 200.0:
        raise BadInput(of, "drops must be 0 to 200: count again, or dilute the sample and say so")
    if not (math.isfinite(per_drop) and per_drop > 0.0):
        raise BadInput(of, "per_drop must be above 0: it is in the kit's leaflet")
    return mg_l_caco3(drops * per_drop, unit, of)


def _factor(unit: str, of: str) -> float:
    factors = {"hardness": _HARDNESS, "alkalinity": _ALKALINITY}[of]
    if unit not in factors:
        raise BadInput(of, f"{unit} isn't a unit of {of} known here: use one of {', '.join(factors)}")
    return factors[unit]
