"""Student's t for whole degrees of freedom, short enough to be the same on the phone."""

import math

from server.compute.ranges import within


def t_cdf(value: float, dof: int) -> float:
    """Chance that Student's t is at most `value`.

    Parameters
    ----------
    value : float
        Any number. [-]
    dof : int
        Degrees of freedom, at least 1. [-]

    Returns
    -------
    float
        From 0 to 1. [-]

    Raises
    ------
    BadInput
        When `dof` is below 1.

    Notes
    -----
    The finite trigonometric series for whole degrees of freedom: exact but for rounding.
    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, NBS 1964, 26.7.3 and 26.7.4.

    Examples
    --------
    >>> round(t_cdf(1.372184, 10), 6)
    0.9
    """
    within("dof", dof, 1, 1e6, "")
    angle = math.atan(value / math.sqrt(dof))
    cos2 = math.cos(angle) ** 2
    odd = dof % 2
    term = math.cos(angle) if odd else 1.0
    total = term if dof > 1 else 0.0
    for k in range(2 + odd, dof - 1, 2):
        term *= cos2 * (k - 1) / k
        total += term
    inside = math.sin(angle) * total
    if odd:
        inside = (angle + inside) * 2 / math.pi
    return 0.5 + inside / 2


# 90 % point of the normal, and from it the coefficients of 1/dof ... 1/dof^4.
Z90 = 1.2815515655446004
EXPANSION_90 = (
    (Z90**3 + Z90) / 4,
    (5 * Z90**5 + 16 * Z90**3 + 3 * Z90) / 96,
    (3 * Z90**7 + 19 * Z90**5 + 17 * Z90**3 - 15 * Z90) / 384,
    (79 * Z90**9 + 776 * Z90**7 + 1482 * Z90**5 - 1920 * Z90**3 - 945 * Z90) / 92160,
)


def t_90(dof: int) -> float:
    """The value that Student's t stays below nine times in ten: half the width of an 80 % interval.

    Parameters
    ----------
    dof : int
        Degrees of freedom, at least 5. [-]

    Returns
    -------
    float
        In standard units. [-]

    Raises
    ------
    BadInput
        When `dof` is below 5: the expansion is off by more than 2e-4 there.

    Notes
    -----
    Asymptotic expansion in 1/dof up to the fourth power; off by less than 1e-6 from 12 degrees up.
    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, NBS 1964, 26.7.5.

    Examples
    --------
    >>> round(t_90(20), 4)
    1.3253
    """
    within("dof", dof, 5, 1e6, "")
    g1, g2, g3, g4 = EXPANSION_90
    return Z90 + g1 / dof + g2 / dof**2 + g3 / dof**3 + g4 / dof**4
