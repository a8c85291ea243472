"""Where most of a mixture of bell curves lies: intervals for a figure whose spread is itself in doubt."""

import math
from collections.abc import Sequence

from server.compute.halving import threshold

# Halvings: an interval's ends to a millionth of its width.
STEPS = 28


def normal_below(z: float) -> float:
    """Chance of the standard normal below a value.

    Parameters
    ----------
    z : float
        Any number. [-]

    Returns
    -------
    float
        From 0 to 1. [-]

    Raises
    ------
    Nothing
        Any number does.

    Notes
    -----
    Definition, by the complementary error function.

    Examples
    --------
    >>> round(normal_below(1.959964), 6)
    0.975
    """
    return 0.5 * math.erfc(-z * math.sqrt(0.5))


def mixture_interval(parts: Sequence[tuple[float, float, float, int]]) -> tuple[float, float]:
    """95 % interval of a mixture of Student's t's.

    Parameters
    ----------
    parts : sequence of tuple
        For each t its weight (they add up to 1), centre, variance (at least 0) and degrees of freedom
        (at least 3). [-], [any unit], [its square], [-]

    Returns
    -------
    tuple of float
        The points with 2.5 % of the mixture below the first and above the second. [any unit]

    Raises
    ------
    Nothing
        Parts as described always have such points.

    Notes
    -----
    Definition of the points, found by halving to a millionth of the width. Student's t by an approximation.
    Source: D. L. Wallace, Bounds on normal approximations to Student's and the chi-square distributions,
    Ann. Math. Stat. 30 (1959) 1121-1130, doi:10.1214/aoms/1177706094.

    Examples
    --------
    >>> low, high = mixture_interval([(1.0, 10.0, 4.0, 10)])
    >>> round(low, 1), round(high, 1)
    (5.5, 14.5)
    """
    reach = 60 * max(math.sqrt(variance) for _, _, variance, _ in parts)
    low = min(centre for _, centre, _, _ in parts) - reach
    high = max(centre for _, centre, _, _ in parts) + reach

    def below(value: float) -> float:
        return math.fsum(w * _t_below(value - centre, variance, dof) for w, centre, variance, dof in parts)

    return (
        threshold(lambda value: below(value) < 0.025, low, high, STEPS),
        threshold(lambda value: below(value) < 0.975, low, high, STEPS),
    )


def _t_below(distance: float, variance: float, dof: int) -> float:
    """Chance of Student's t, scaled, below a distance from its centre; off by 0.002 at most from 3 degrees up."""
    if variance == 0.0:
        return float(distance >= 0.0)
    size = math.sqrt(dof * math.log1p(distance * distance / variance / dof)) * (8 * dof + 1) / (8 * dof + 3)
    return normal_below(math.copysign(size, distance))
