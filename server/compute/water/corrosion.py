"""What a water does to the machine's metal: chloride against its maker's limit first, an index second."""

from server.compute.errors import BadInput
from server.compute.water.fit import verdict
from server.compute.water.ions import CHARGE, MASS_G_MOL
from server.compute.water.sample import Sample
from server.compute.water.units import EQUIVALENT_CACO3_G

LARSON_SKOLD_MADE_FOR = (
    "Larson-Skold was made from mild-steel pipes carrying Great Lakes water: a hint, not a limit, for the "
    "stainless steel, copper and brass of a coffee machine."
)
NO_LIMIT = "Enter your machine maker's chloride limit: makers differ, and it decides the warranty."


def larson_skold(chloride_mg_l: float, sulphate_mg_l: float, alkalinity_mg_l_caco3: float) -> float:
    """Chloride and sulphate, which attack, against the alkalinity, which protects.

    Parameters
    ----------
    chloride_mg_l, sulphate_mg_l : float
        At least 0. [mg/L]
    alkalinity_mg_l_caco3 : float
        Above 0; bicarbonate and carbonate together. [mg/L as CaCO3]

    Returns
    -------
    float
        Ratio of equivalents, at least 0. [-]

    Raises
    ------
    BadInput
        When there is no alkalinity, or a value is negative.

    Notes
    -----
    Definition: (Cl + SO4)/(HCO3 + CO3), meq/L. Source: T. E. Larson & R. V. Skold, Laboratory studies relating
    mineral quality of water to corrosion of steel and cast iron, Corrosion 14 (1958) 285-288.

    Examples
    --------
    >>> round(larson_skold(25.0, 35.0, 106.6), 2)
    0.67
    """
    if not alkalinity_mg_l_caco3 > 0.0:
        raise BadInput("alkalinity", "must be above 0 for a corrosion ratio: measure it")
    if not (chloride_mg_l >= 0.0 and sulphate_mg_l >= 0.0):
        raise BadInput("chloride_mg_l" if not chloride_mg_l >= 0.0 else "sulphate_mg_l", "must be at least 0")
    attacking = sum(
        amount * abs(CHARGE[name]) / MASS_G_MOL[name]
        for name, amount in (("chloride", chloride_mg_l), ("sulphate", sulphate_mg_l))
    )
    return attacking / (alkalinity_mg_l_caco3 / EQUIVALENT_CACO3_G)


def larson_skold_says(ratio: float) -> str:
    """The ratio in words.

    Parameters
    ----------
    ratio : float
        From `larson_skold`, at least 0. [-]

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    Nothing

    Notes
    -----
    Source: limits of 0.8 and 1.2 as secondary texts quote P. R. Roberge (2006), appendix B (not read there).

    Examples
    --------
    >>> larson_skold_says(0.67)
    'Chloride and sulphate are unlikely to disturb the protecting film on mild steel.'
    """
    if ratio < 0.8:
        return "Chloride and sulphate are unlikely to disturb the protecting film on mild steel."
    if ratio <= 1.2:
        return "Chloride and sulphate may disturb the protecting film on mild steel."
    return "High rates of local corrosion would be expected of mild steel."


def corrosion(
    sample: Sample,
    alkalinity_mg_l_caco3: float | None,
    chloride_limit_mg_l: float | None,
    steam_concentration: tuple[float, float],
) -> dict:
    """What is known about corrosion, the maker's limit first.

    Parameters
    ----------
    sample : Sample
        What was measured.
    alkalinity_mg_l_caco3 : float or None
        Of the sample, at least 0. [mg/L as CaCO3]
    chloride_limit_mg_l : float or None
        The machine maker's limit for the feed water, at least 0. [mg/L]
    steam_concentration : tuple of float
        How many times a steam boiler concentrates its water, both ends, at least 1. [-]

    Returns
    -------
    dict
        `chloride` {`value`, `low`, `high`, `verdict`, `says`}, `chloride_in_steam_boiler_mg_l` [lo, hi],
        `larson_skold`, `larson_skold_says`, `larson_skold_made_for`. None where not known. [mg/L, -]

    Raises
    ------
    BadInput
        When a value is out of range.

    Notes
    -----
    Convention of this app, but for the ratio: see `larson_skold`.

    Examples
    --------
    >>> corrosion(Sample(chloride_mg_l=45.0), 100.0, 30.0, (1.0, 5.0))["chloride"]["verdict"]
    'above'
    """
    chloride = sample.chloride_mg_l
    judged = verdict(chloride, None, chloride_limit_mg_l)
    known = None not in (chloride, sample.sulphate_mg_l) and bool(alkalinity_mg_l_caco3)
    ratio = larson_skold(chloride, sample.sulphate_mg_l, alkalinity_mg_l_caco3) if known else None
    return {
        "chloride": {
            "value": chloride,
            "low": None,
            "high": chloride_limit_mg_l,
            "verdict": judged,
            "says": _chloride_says(chloride, chloride_limit_mg_l, judged),
        },
        "chloride_in_steam_boiler_mg_l": None
        if chloride is None
        else [chloride * f for f in steam_concentration],
        "larson_skold": ratio,
        "larson_skold_says": None if ratio is None else larson_skold_says(ratio),
        "larson_skold_made_for": LARSON_SKOLD_MADE_FOR,
    }


def _chloride_says(chloride: float | None, limit: float | None, judged: str) -> str:
    if limit is None:
        return NO_LIMIT
    if chloride is None:
        return "Chloride isn't known: a lab, the supplier's report or the label tells it."
    if judged == "above":
        return f"Chloride {chloride:g} mg/L is above the maker's limit of {limit:g}: ask the maker before using it."
    return f"Chloride {chloride:g} mg/L is within the maker's limit of {limit:g}."
