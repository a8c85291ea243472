"""What came out of the dose: ratio, flow, extraction.

Strengths are percent by mass, never fractions. Beverage and brew water are kept apart: two ratios,
two forms of the extraction, each with its own name.
"""

from server.compute.choices import one_of
from server.compute.ranges import within
from server.compute.why import Why

FORMS = ("beverage", "immersion")


def ratio(yield_g: float, dose_g: float) -> float:
    """Mass in the cup per mass of dry dose: beverage to dose, not water to dose.

    Parameters
    ----------
    yield_g : float
        Mass of the beverage, 0.1 to 3000. [g]
    dose_g : float
        Dry mass in the basket, 0.1 to 250. [g]

    Returns
    -------
    float
        Written 1 : x. [-]

    Raises
    ------
    BadInput
        When a mass is outside its range.

    Notes
    -----
    Definition, so exact. Filter recipes often quote water to dose instead: `water_ratio`.

    Examples
    --------
    >>> ratio(40.0, 16.0)
    2.5
    """
    return _yield(yield_g) / _dose(dose_g)


def water_ratio(brew_water_g: float, dose_g: float) -> float:
    """Mass of brew water per mass of dry dose: larger than `ratio` by what the grounds keep.

    Parameters
    ----------
    brew_water_g : float
        Mass of water poured, 0.1 to 5000. [g]
    dose_g : float
        Dry mass of the dose, 0.1 to 250. [g]

    Returns
    -------
    float
        Written 1 : x. [-]

    Raises
    ------
    BadInput
        When a mass is outside its range.

    Notes
    -----
    Definition, so exact.

    Examples
    --------
    >>> round(water_ratio(1000.0, 60.0), 2)
    16.67
    """
    return _water(brew_water_g) / _dose(dose_g)


def flow_g_s(yield_g: float, time_s: float, first_drop_s: float) -> float:
    """Mean flow while coffee ran: the yield over the time after the first drop.

    Parameters
    ----------
    yield_g : float
        Mass of the beverage, 0.1 to 3000. [g]
    time_s : float
        Water on to water off, above `first_drop_s`, 0.1 to 3600. [s]
    first_drop_s : float
        Water on to the first drop, at least 0. [s]

    Returns
    -------
    float
        Mean flow. [g/s]

    Raises
    ------
    BadInput
        When a figure is outside its range, or the first drop doesn't come before the end.

    Notes
    -----
    Definition of this app: what drips after water off counts into the yield.

    Examples
    --------
    >>> flow_g_s(36.0, 28.0, 8.0)
    1.8
    """
    time_s = within("time_s", time_s, 0.1, 3600.0, "s")
    within("first_drop_s", first_drop_s, 0.0, time_s - 0.1, "s (before the shot ends)")
    return _yield(yield_g) / (time_s - first_drop_s)


def extraction_pct(dose_g: float, yield_g: float, strength_pct: float) -> float:
    """Share of the dose that is dissolved in the beverage: espresso, and filter by the beverage's mass.

    Parameters
    ----------
    dose_g : float
        Dry mass of the dose, 0.1 to 250. [g]
    yield_g : float
        Mass of the beverage, 0.1 to 3000. [g]
    strength_pct : float
        Dissolved solids of the beverage, 0.001 to 30, in percent: 9.5, not 0.095. [% by mass]

    Returns
    -------
    float
        Extraction. [% of the dose]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    yield_g · strength_pct / dose_g. Conservation of mass, so exact.
    Source: M. E. Batali, W. D. Ristenpart, J.-X. Guinard, Brew temperature, at fixed brew strength and
    extraction, has little impact on the sensory profile of drip brew coffee, Sci. Rep. 10 (2020) 16450,
    doi from memory: 10.1038/s41598-020-73341-4 (introduction).

    Examples
    --------
    >>> extraction_pct(18.0, 36.0, 9.5)
    19.0
    """
    return _yield(yield_g) * _strength(strength_pct) / _dose(dose_g)


def immersion_extraction_pct(dose_g: float, brew_water_g: float, strength_pct: float) -> float:
    """Share of the dose that is dissolved when grounds and all of the water steep together.

    Parameters
    ----------
    dose_g : float
        Dry mass of the dose, 0.1 to 250. [g]
    brew_water_g : float
        Mass of water poured, 0.1 to 5000. [g]
    strength_pct : float
        Dissolved solids of the liquid, 0.001 to 30, in percent. [% by mass]

    Returns
    -------
    float
        Extraction. [% of the dose]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    (W/D) · T/(1 - T) with T as a fraction. Identity, from T = S/(W + S): the liquid that the grounds keep is
    as strong as what is poured off, so the beverage's mass alone would understate it.
    Source: rearranged from the mass balance of J. Liang, K. C. Chan, W. D. Ristenpart, An equilibrium
    desorption model for the strength and extraction yield of full immersion brewed coffee, Sci. Rep. 11
    (2021) 6904, doi:10.1038/s41598-021-85787-1.

    Examples
    --------
    >>> round(immersion_extraction_pct(60.0, 1000.0, 1.25), 3)
    21.097
    """
    strength_pct = _strength(strength_pct)
    return _water(brew_water_g) / _dose(dose_g) * strength_pct / (1.0 - strength_pct / 100.0)


def why_extraction(dose_g: float, strength_pct: float, liquid_g: float, form: str = "beverage") -> Why:
    """The reasons of an extraction, as data.

    Parameters
    ----------
    dose_g : float
        Dry mass of the dose, 0.1 to 250. [g]
    strength_pct : float
        Dissolved solids, 0.001 to 30. [% by mass]
    liquid_g : float
        Mass of the beverage, or of the brew water for immersion, 0.1 to 5000. [g]
    form : str
        `beverage` or `immersion`.

    Returns
    -------
    Why
        Formula, inputs and source.

    Raises
    ------
    BadInput
        When `form` is neither of these two.

    Notes
    -----
    Sources as in `extraction_pct` and `immersion_extraction_pct`.

    Examples
    --------
    >>> why_extraction(18.0, 9.5, 36.0).formula
    'yield_g x strength_pct / dose_g'
    """
    inputs = {"dose_g": dose_g, "strength_pct": strength_pct}
    if one_of("form", form, FORMS) == "immersion":
        return Why(
            "extraction_pct",
            "brew_water_g / dose_g x strength_pct / (1 - strength_pct / 100)",
            {**inputs, "brew_water_g": liquid_g},
            "mass balance; Liang, Chan, Ristenpart 2021, Sci. Rep. 11:6904, doi:10.1038/s41598-021-85787-1",
        )
    return Why(
        "extraction_pct",
        "yield_g x strength_pct / dose_g",
        {**inputs, "yield_g": liquid_g},
        "mass balance; Batali, Ristenpart, Guinard 2020, Sci. Rep. 10:16450 "
        "(doi from memory: 10.1038/s41598-020-73341-4)",
    )


def _dose(dose_g: float) -> float:
    return within("dose_g", dose_g, 0.1, 250.0, "g")


def _yield(yield_g: float) -> float:
    return within("yield_g", yield_g, 0.1, 3000.0, "g")


def _water(brew_water_g: float) -> float:
    return within("brew_water_g", brew_water_g, 0.1, 5000.0, "g")


def _strength(strength_pct: float) -> float:
    return within("strength_pct", strength_pct, 0.001, 30.0, "% by mass")
