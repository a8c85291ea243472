"""Spread and shares of few numbers: median, robust spread, quantiles, and how far a share can be trusted."""

import math
from collections.abc import Sequence
from statistics import NormalDist
from statistics import median as exact_median

from server.compute.errors import BadInput

# 1 / (75 % point of the standard normal): makes the median deviation estimate a normal sigma.
MAD_TO_SIGMA = 1.0 / NormalDist().inv_cdf(0.75)


def wilson_interval(successes: int, of: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval for a share that behaves with few trials and at 0 or all of them.

    Parameters
    ----------
    successes : int
        How often it happened, at least 0 and at most `of`. [-]
    of : int
        How often it could have happened, at least 1. [-]
    confidence : float
        Wanted coverage, above 0 and below 1. [-]

    Returns
    -------
    tuple of float
        Lower and upper share, within 0 to 1. [-]

    Raises
    ------
    BadInput
        When a count or the confidence is outside its range.

    Notes
    -----
    With z the normal quantile and p the share: centre (p + z²/2n)/(1 + z²/n), half width
    z/(1 + z²/n) · √(p(1-p)/n + z²/4n²).
    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    J. Am. Stat. Assoc. 22 (1927) 209-212, doi:10.1080/01621459.1927.10502953.

    Examples
    --------
    >>> low, high = wilson_interval(8, 10)
    >>> round(low, 4), round(high, 4)
    (0.4902, 0.9433)
    """
    if of < 1:
        raise BadInput("of", "must be at least 1: there is no share of nothing")
    if not 0 <= successes <= of:
        raise BadInput("successes", f"must be from 0 to {of}: count again")
    if not 0.0 < confidence < 1.0:
        raise BadInput("confidence", "must be above 0 and below 1, such as 0.95")
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    share, shrink = successes / of, 1 + z * z / of
    centre = (share + z * z / (2 * of)) / shrink
    half = z / shrink * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    # At the ends the bound is exact, and rounding may not push it past them.
    low = 0.0 if successes == 0 else max(0.0, centre - half)
    high = 1.0 if successes == of else min(1.0, centre + half)
    return low, high


def median(values: Sequence[float]) -> float:
    """The middle value; the mean of the two middle ones when there are two.

    Parameters
    ----------
    values : sequence of float
        At least one number, any finite size. [any unit]

    Returns
    -------
    float
        In the unit of `values`. [any unit]

    Raises
    ------
    BadInput
        When `values` is empty or holds something that isn't a finite number.

    Notes
    -----
    Definition.

    Examples
    --------
    >>> median([27.0, 31.0, 28.0])
    28.0
    """
    return float(exact_median(_checked(values)))


def robust_spread(values: Sequence[float]) -> float:
    """Spread that one wild value can't inflate: the scaled median of distances from the median.

    Parameters
    ----------
    values : sequence of float
        At least one number, any finite size. [any unit]

    Returns
    -------
    float
        Estimates the standard deviation of normal data; in the unit of `values`. [any unit]

    Raises
    ------
    BadInput
        When `values` is empty or holds something that isn't a finite number.

    Notes
    -----
    1.4826 · median(abs(x - median(x))). Few values make it too small: it says little below five.
    Source: F. R. Hampel, The influence curve and its role in robust estimation,
    J. Am. Stat. Assoc. 69 (1974) 383-393, doi:10.1080/01621459.1974.10482962.

    Examples
    --------
    >>> round(robust_spread([27.0, 28.0, 29.0, 30.0, 90.0]), 4)
    1.4826
    """
    checked = _checked(values)
    centre = exact_median(checked)
    return MAD_TO_SIGMA * float(exact_median([abs(value - centre) for value in checked]))


def quantile(values: Sequence[float], share: float) -> float:
    """The value below which a given share of the values lies, between neighbours on a straight line.

    Parameters
    ----------
    values : sequence of float
        At least one number, any finite size. [any unit]
    share : float
        From 0 to 1: the smallest to the largest. [-]

    Returns
    -------
    float
        In the unit of `values`. [any unit]

    Raises
    ------
    BadInput
        When `values` is empty or not finite, or `share` isn't from 0 to 1.

    Notes
    -----
    Definition 7 of the source: R. J. Hyndman and Y. Fan, Sample quantiles in statistical packages,
    Am. Stat. 50 (1996) 361-365, doi:10.1080/00031305.1996.10473566.

    Examples
    --------
    >>> quantile([10.0, 20.0, 30.0, 40.0], 0.25)
    17.5
    """
    ordered = sorted(_checked(values))
    if not 0.0 <= share <= 1.0:
        raise BadInput("share", "must be from 0 to 1, such as 0.9")
    place = share * (len(ordered) - 1)
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    part = place - below
    # Weighted this way round so that two huge values of opposite sign can't overflow their difference.
    return ordered[below] * (1 - part) + ordered[above] * part


def _checked(values: Sequence[float]) -> Sequence[float]:
    if not values:
        raise BadInput("values", "must hold at least one number")
    if not all(math.isfinite(value) for value in values):
        raise BadInput("values", "must all be finite numbers: leave out what wasn't measured")
    return values
