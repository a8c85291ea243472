"""Two ways to find where a curve crosses zero, both of which always get there."""

import math
from collections.abc import Callable

from server.compute.errors import BadInput

NO_BALANCE = "no balance was found for this analysis: check its figures"
_ENOUGH = 200


def rising_root(curve: Callable[[float], tuple[float, float]], start: float) -> float:
    """Where a rising curve that bends downwards crosses zero, from a point at or left of the crossing.

    Parameters
    ----------
    curve : callable
        Gives the curve's value and slope at any point. [any unit; per unit of the point]
    start : float
        A point where the curve is at or below zero, any. [unit of the point]

    Returns
    -------
    float
        The crossing, to about 12 digits. [unit of the point]

    Raises
    ------
    BadInput
        When the curve is not as described, so that no crossing is found.

    Notes
    -----
    Source: Newton's method. On such a curve each tangent meets zero left of the crossing, so the steps
    approach it from one side and can't overshoot.

    Examples
    --------
    >>> round(rising_root(lambda x: (x**0.5 - 3.0, 0.5 / x**0.5), 1.0), 9)
    9.0
    """
    point = start
    for _ in range(_ENOUGH):
        value, slope = curve(point)
        step = -value / slope
        point += step
        # Newton squares the relative error: what is left after such a step is beyond rounding.
        if step <= 1e-7 * abs(point):
            return point
    raise BadInput("water", NO_BALANCE)


def falling_root(curve: Callable[[float], float], low: float, high: float, tolerance: float) -> float:
    """Where a falling curve crosses zero, between two points.

    Parameters
    ----------
    curve : callable
        Gives the curve's value at any point; above zero at `low`, below at `high`. [any unit]
    low, high : float
        Any two points, low < high. [unit of the point]
    tolerance : float
        How near the crossing is near enough, > 0. [unit of the point]

    Returns
    -------
    float
        The crossing. [unit of the point]

    Raises
    ------
    BadInput
        When the curve doesn't cross zero between the two.

    Notes
    -----
    Source: D. J. Ridders, A new algorithm for computing a single root of a real continuous function, IEEE
    Trans. Circuits Syst. 26 (1979) 979-980, doi:10.1109/TCS.1979.1084580. The bracket halves at least in
    each step.

    Examples
    --------
    >>> round(falling_root(lambda x: 2.0 - x * x * x, 0.0, 2.0, 1e-9), 6)
    1.259921
    """
    at_low, at_high = curve(low), curve(high)
    if not at_low >= 0.0 >= at_high:
        raise BadInput("water", NO_BALANCE)
    found = low
    for _ in range(_ENOUGH):
        middle = (low + high) / 2
        at_middle = curve(middle)
        reach = math.sqrt(at_middle**2 - at_low * at_high)
        if reach == 0.0:
            return middle
        before, found = found, middle + (middle - low) * at_middle / reach
        if abs(found - before) <= tolerance:
            return found
        points = sorted([(low, at_low), (high, at_high), (middle, at_middle), (found, curve(found))])
        low, at_low = max(point for point in points if point[1] >= 0.0)
        high, at_high = min(point for point in points if point[1] <= 0.0)
    return found
