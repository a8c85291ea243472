"""How a water sits in published ranges for brewing coffee, property by property. Ranges are settings."""

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.water.checks import dissolved_solids_mg_l
from server.compute.water.sample import HARDNESS_PER_MG, Sample, alkalinity_of, cation_of, hardness_of

_STANDARD = "SCAA standard: water for brewing specialty coffee"
_LATER = "later revision of that standard, as roasters quote it (not read in the original)"

# property: low, high, source. The earlier standard gives no tolerance around its 40 (alkalinity) and 10
# (sodium).
PUBLISHED = {
    "hardness_mg_l_caco3": (50.0, 175.0, _LATER),
    "calcium_hardness_mg_l_caco3": (17.0, 85.0, _STANDARD),
    "alkalinity_mg_l_caco3": (40.0, 75.0, _LATER + "; the earlier says at or near 40"),
    "ph": (6.5, 7.5, _STANDARD),
    "dissolved_solids_mg_l": (75.0, 250.0, _STANDARD),
    "sodium_mg_l": (0.0, 30.0, "convention of this app; the standard says at or near 10"),
    "free_chlorine_mg_l": (0.0, 0.0, _STANDARD),
}
PROPERTIES = (
    *PUBLISHED,
    "chloride_mg_l",
    "sulphate_mg_l",
    "calcium_mg_l",
    "magnesium_mg_l",
    "conductivity_us_cm",
)


def verdict(value: float | None, low: float | None, high: float | None) -> str:
    """Where a value sits against a range.

    Parameters
    ----------
    value : float or None
        Any; None when nobody measured it. [unit of the range]
    low, high : float or None
        Ends that still count as within, any; None for an open end. [unit of the range]

    Returns
    -------
    str
        `below`, `within`, `above`, or `unknown` without a value or without either end.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> verdict(50.0, 50.0, 175.0), verdict(30.1, None, 30.0), verdict(None, 50.0, 175.0)
    ('within', 'above', 'unknown')
    """
    if value is None or (low is None and high is None):
        return "unknown"
    if low is not None and value < low:
        return "below"
    return "above" if high is not None and value > high else "within"


def properties_of(sample: Sample) -> dict[str, float | None]:
    """Every property that a range can be set for, as far as it is known.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    dict of str to float or None
        By the names in `PROPERTIES`, each in the unit of its name. [mg/L, µS/cm, -]

    Raises
    ------
    Nothing

    Notes
    -----
    Definitions, see `sample` and `checks`.

    Examples
    --------
    >>> round(properties_of(Sample(calcium_mg_l=27.2))["calcium_hardness_mg_l_caco3"], 1)
    67.9
    """
    calcium, solids = cation_of(sample, "calcium"), dissolved_solids_mg_l(sample)
    return {
        "hardness_mg_l_caco3": hardness_of(sample),
        "calcium_hardness_mg_l_caco3": None if calcium is None else calcium * HARDNESS_PER_MG["calcium"],
        "alkalinity_mg_l_caco3": alkalinity_of(sample),
        "ph": sample.ph,
        "dissolved_solids_mg_l": None if solids is None else solids[0],
        "sodium_mg_l": sample.sodium_mg_l,
        "free_chlorine_mg_l": sample.free_chlorine_mg_l,
        "chloride_mg_l": sample.chloride_mg_l,
        "sulphate_mg_l": sample.sulphate_mg_l,
        "calcium_mg_l": calcium,
        "magnesium_mg_l": cation_of(sample, "magnesium"),
        "conductivity_us_cm": sample.conductivity_us_cm,
    }


def fit(sample: Sample, ranges: dict[str, dict] | None = None) -> dict[str, dict]:
    """Each property with its range and its verdict.

    Parameters
    ----------
    sample : Sample
        What was measured; an assumed value is never judged.
    ranges : dict of str to dict, optional
        Ranges of one's own, {property: {`low`, `high`}}; they take the place of the published ones.

    Returns
    -------
    dict of str to dict
        {property: {`value`, `low`, `high`, `verdict`, `source`}}.

    Raises
    ------
    BadInput
        When a property isn't known, or a range is upside down.

    Notes
    -----
    Source: SCAA water standard, and a later revision as quoted; guidance, not law. Valid range: any.

    Examples
    --------
    >>> fit(Sample(hardness_mg_l_caco3=320.0))["hardness_mg_l_caco3"]["verdict"]
    'above'
    """
    chosen = {
        name: {"low": low, "high": high, "source": told} for name, (low, high, told) in PUBLISHED.items()
    }
    chosen |= {
        name: {**own, "source": "your own range"}
        for name, own in checked_ranges(ranges or {}, "ranges").items()
    }
    return judged(properties_of(sample), chosen)


def checked_ranges(ranges: dict[str, dict], field: str) -> dict[str, dict]:
    """The ranges that a person or a machine's maker set, refused when they make no sense.

    Parameters
    ----------
    ranges : dict of str to dict
        {property: {`low`, `high`}}, either end may be missing.
    field : str
        Where they came from, for the error.

    Returns
    -------
    dict of str to dict
        {property: {`low`, `high`}}, None for an open end.

    Raises
    ------
    BadInput
        When a property isn't known, or low is above high, or both are missing.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> checked_ranges({"chloride_mg_l": {"high": 30.0}}, "maker_limits")
    {'chloride_mg_l': {'low': None, 'high': 30.0}}
    """
    found = {}
    for name, ends in ranges.items():
        one_of(field, name, PROPERTIES)
        low, high = ends.get("low"), ends.get("high")
        if low is None and high is None:
            raise BadInput(field, f"{name} needs a low or a high end")
        if low is not None and high is not None and low > high:
            raise BadInput(field, f"{name}: low is above high, swap them")
        found[name] = {"low": low, "high": high}
    return found


def judged(values: dict[str, float | None], ranges: dict[str, dict]) -> dict[str, dict]:
    """Each range with the value that it is for, and where that sits.

    Parameters
    ----------
    values : dict of str to float or None
        By property, any. [unit of the property's name]
    ranges : dict of str to dict
        As from `checked_ranges`.

    Returns
    -------
    dict of str to dict
        The ranges, with `value` and `verdict` added.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> judged({"ph": 7.0}, {"ph": {"low": 6.5, "high": 7.5}})["ph"]["verdict"]
    'within'
    """
    return {
        name: {**ends, "value": values[name], "verdict": verdict(values[name], ends["low"], ends["high"])}
        for name, ends in ranges.items()
    }


def maker_ranges(limits: dict[str, float | None]) -> dict[str, dict]:
    """The machine maker's limits, as the machine's record has them, as ranges.

    Parameters
    ----------
    limits : dict of str to float or None
        Such as `hardness_max_mg_l_caco3` or `ph_min`, each at least 0. [unit of its name]

    Returns
    -------
    dict of str to dict
        {property: {`low`, `high`}}, None for an open end. [unit of the property's name]

    Raises
    ------
    BadInput
        When a limit is for no property that is known, or a least is above a most.

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> maker_ranges({"chloride_max_mg_l": 30.0})
    {'chloride_mg_l': {'low': None, 'high': 30.0}}
    """
    found: dict[str, dict] = {}
    for name, value in limits.items():
        if value is not None:
            end = "low" if "_min" in name else "high"
            found.setdefault(name.replace("_min", "").replace("_max", ""), {})[end] = value
    return checked_ranges(found, "maker_limits")
