"""How sure a figure is: each cause's share of its standard uncertainty, kept by name.

A cause that two figures have in common (the same scale, the same refractometer, the same Brix factor)
bears the same name in both. Subtracting one set of shares from the other, name by name, then cancels
what is common: that is all there is to comparing two readings.
"""

import math
from statistics import NormalDist

from server.compute.choices import one_of
from server.compute.extraction import FORMS
from server.compute.ranges import within

COVERAGE_95 = NormalDist().inv_cdf(0.975)

# Standard uncertainties of one reading when none are given. Convention of this app, no source: a 0.1 g
# scale as it is used, drips and grounds included; a server weighed to the gram; a refractometer read twice.
U_READING = {
    "espresso": {"u_dose_g": 0.1, "u_yield_g": 0.1, "u_brew_water_g": 0.5, "u_strength_pct": 0.05},
    "filter": {"u_dose_g": 0.1, "u_yield_g": 1.0, "u_brew_water_g": 1.0, "u_strength_pct": 0.03},
}


def standard_uncertainty(shares: dict[str, float]) -> float:
    """The root of the sum of squares of independent causes.

    Parameters
    ----------
    shares : dict of str to float
        For each cause, sensitivity times standard uncertainty, signed, any finite size. [unit of the figure]

    Returns
    -------
    float
        Combined standard uncertainty. [unit of the figure]

    Raises
    ------
    Nothing

    Notes
    -----
    u²(y) = Σ (∂f/∂x · u(x))². Causes are independent of one another; what is common to several inputs is
    one cause, with its sensitivities added first. Source: JCGM 100:2008, Guide to the expression of
    uncertainty in measurement, 5.1.2 eq. 10 and 5.2.2 eq. 13.

    Examples
    --------
    >>> standard_uncertainty({"dose": -0.3, "yield": 0.4})
    0.5
    """
    return math.hypot(*shares.values())


def difference(first: dict[str, float], second: dict[str, float]) -> dict[str, float]:
    """Each cause's share of the uncertainty of first minus second: what they have in common cancels.

    Parameters
    ----------
    first, second : dict of str to float
        Shares by cause, as for `standard_uncertainty`, any finite size. [unit of the figures]

    Returns
    -------
    dict of str to float
        Shares by cause. [unit of the figures]

    Raises
    ------
    Nothing

    Notes
    -----
    Source: JCGM 100:2008, 5.2.2, eq. 13, with f = first - second.

    Examples
    --------
    >>> difference({"scale_gain": 0.2, "yield 1": 0.1}, {"scale_gain": 0.2, "yield 2": 0.1})
    {'scale_gain': 0.0, 'yield 1': 0.1, 'yield 2': -0.1}
    """
    causes = list(first) + [cause for cause in second if cause not in first]
    return {cause: first.get(cause, 0.0) - second.get(cause, 0.0) for cause in causes}


def interval_95(value: float, u: float) -> tuple[float, float]:
    """Where the true value lies with a chance of about 95 %.

    Parameters
    ----------
    value : float
        The figure, any finite size. [any unit]
    u : float
        Its standard uncertainty, at least 0. [unit of `value`]

    Returns
    -------
    tuple of float
        Low and high end. [unit of `value`]

    Raises
    ------
    BadInput
        When `u` is negative or not a number.

    Notes
    -----
    value ± 1.96 u, for errors that are about normal. Source: JCGM 100:2008, 6.2 and annex G.

    Examples
    --------
    >>> low, high = interval_95(19.0, 0.15469)
    >>> round(low, 3), round(high, 3)
    (18.697, 19.303)
    """
    half = COVERAGE_95 * within("u", u, 0.0, math.inf, "")
    return value - half, value + half


def extraction_shares(
    extraction: float,
    dose_g: float,
    liquid_g: float,
    strength_pct: float,
    u_dose_g: float,
    u_liquid_g: float,
    u_strength_pct: float,
    biases: dict[str, float] | None = None,
    form: str = "beverage",
    brix_gain: float = 0.0,
) -> dict[str, float]:
    """Each cause's share of the standard uncertainty of an extraction.

    Parameters
    ----------
    extraction : float
        The extraction itself, at least 0. [% of the dose]
    dose_g : float
        Dry mass of the dose, above 0. [g]
    liquid_g : float
        Mass of the beverage, or of the brew water for immersion, above 0. [g]
    strength_pct : float
        Dissolved solids, above 0 and below 100. [% by mass]
    u_dose_g, u_liquid_g : float
        Standard uncertainty of one weighing, 0 to 100. [g]
    u_strength_pct : float
        Standard uncertainty of one reading of strength, 0 to 10. [% by mass]
    biases : dict of str to float, optional
        Standard uncertainties of what is wrong with an instrument all day, each 0 to 10: `scale_gain`
        and `strength_gain` as a share of the reading, `scale_offset_g`, `strength_offset_pct`.
        [-, g, % by mass]
    form : str
        `beverage` or `immersion`.
    brix_gain : float
        Relative standard uncertainty of the Brix factor, 0 to 1; a bias that readings with one factor
        share. [-]

    Returns
    -------
    dict of str to float
        Shares by cause. [% of the dose]

    Raises
    ------
    BadInput
        When an uncertainty is outside its range, a bias has an unknown name, or `form` is neither of the two.

    Notes
    -----
    First-order propagation. E ∝ liquid · T / dose, so relative sensitivities are +1, +1, -1; for immersion
    that of T is 1/(1 - T). Dose and liquid are weighed on one scale, so its gain cancels.
    Source: JCGM 100:2008, 5.1.2 eq. 10, 5.1.6 eq. 12, 5.2.2 eq. 13.

    Examples
    --------
    >>> shares = extraction_shares(19.0, 18.0, 36.0, 9.5, 0.1, 0.1, 0.05)
    >>> {cause: round(share, 4) for cause, share in shares.items()}
    {'dose': -0.1056, 'liquid': 0.0528, 'strength': 0.1}
    >>> round(standard_uncertainty(shares), 5)
    0.15469
    """
    immersion = one_of("form", form, FORMS) == "immersion"
    steepness = 1.0 / (1.0 - strength_pct / 100.0) if immersion else 1.0
    by_dose, by_liquid = -extraction / dose_g, extraction / liquid_g
    by_strength = extraction / strength_pct * steepness
    u_liquid = "u_brew_water_g" if immersion else "u_yield_g"
    shares = {
        "dose": by_dose * within("u_dose_g", u_dose_g, 0.0, 100.0, "g"),
        "liquid": by_liquid * within(u_liquid, u_liquid_g, 0.0, 100.0, "g"),
        "strength": by_strength * within("u_strength_pct", u_strength_pct, 0.0, 10.0, "% by mass"),
    }
    sensitivity = {
        "scale_gain": 0.0,  # +extraction through the liquid, -extraction through the dose
        "scale_offset_g": by_dose + by_liquid,
        "strength_gain": extraction * steepness,
        "strength_offset_pct": by_strength,
    }
    for bias, u in (biases or {}).items():
        one_of("biases", bias, tuple(sensitivity))
        shares[bias] = sensitivity[bias] * within(bias, u, 0.0, 10.0, "")
    if brix_gain:
        shares["brix_factor"] = extraction * steepness * within("u_brix_factor", brix_gain, 0.0, 1.0, "")
    return shares
