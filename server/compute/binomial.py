"""Exact odds of so many out of so many: the binomial distribution and Clopper and Pearson's interval."""

from math import fsum

from server.compute.halving import threshold
from server.compute.ranges import within

MOST_TRIALS = 400


def chances(of: int, share: float) -> list[float]:
    """Chance of each count, from none to all, when each trial succeeds with the same chance.

    Parameters
    ----------
    of : int
        Trials, 1 to 400. [-]
    share : float
        Chance of success in one trial, 0 to 1. [-]

    Returns
    -------
    list of float
        `of` + 1 chances that add up to 1. [-]

    Raises
    ------
    BadInput
        When an argument is outside its range.

    Notes
    -----
    Definition of the binomial distribution, by the ratio of neighbouring terms, from the rarer outcome's
    end, so that nothing underflows within the valid range.

    Examples
    --------
    >>> chances(2, 0.5)
    [0.25, 0.5, 0.25]
    """
    within("of", of, 1, MOST_TRIALS, "trials")
    within("share", share, 0.0, 1.0, "")
    if share > 0.5:
        return chances(of, 1.0 - share)[::-1]
    odds = share / (1.0 - share)
    terms = [(1.0 - share) ** of]
    for count in range(of):
        terms.append(terms[-1] * odds * (of - count) / (count + 1))
    return terms


def chance_at_least(count: int, of: int, share: float) -> float:
    """Chance of a count or more.

    Parameters
    ----------
    count : int
        At least 0; above `of` it never happens. [-]
    of : int
        Trials, 1 to 400. [-]
    share : float
        Chance of success in one trial, 0 to 1. [-]

    Returns
    -------
    float
        From 0 to 1. [-]

    Raises
    ------
    BadInput
        When an argument is outside its range.

    Notes
    -----
    Definition: the sum of the chances from `count` up.

    Examples
    --------
    >>> chance_at_least(1, 2, 0.5)
    0.75
    """
    within("count", count, 0, float("inf"), "")
    return min(1.0, fsum(chances(of, share)[count:]))


def exact_bounds(count: int, of: int, confidence: float) -> tuple[float, float]:
    """Clopper and Pearson's bounds: shares that the count doesn't contradict.

    Parameters
    ----------
    count : int
        Successes, at least 0 and at most `of`. [-]
    of : int
        Trials, 1 to 400. [-]
    confidence : float
        Of each bound taken alone, 0.5 to 0.999999: 0.975 each makes a 95 % interval. [-]

    Returns
    -------
    tuple of float
        Lower and upper share, within 0 to 1. [-]

    Raises
    ------
    BadInput
        When an argument is outside its range.

    Notes
    -----
    The shares at which a tail beyond the count is just 1 - confidence, found by halving.
    Source: C. J. Clopper and E. S. Pearson, The use of confidence or fiducial limits illustrated in the
    case of the binomial, Biometrika 26 (1934) 404-413, doi:10.1093/biomet/26.4.404.

    Examples
    --------
    >>> low, high = exact_bounds(0, 10, 0.95)
    >>> low, round(high, 4)
    (0.0, 0.2589)
    """
    within("of", of, 1, MOST_TRIALS, "trials")
    within("count", count, 0, of, "successes")
    within("confidence", confidence, 0.5, 0.999999, "")
    tail = 1.0 - confidence
    low = 0.0 if count == 0 else threshold(lambda share: chance_at_least(count, of, share) < tail, 0.0, 1.0)
    high = (
        1.0
        if count == of
        else threshold(lambda share: 1.0 - chance_at_least(count + 1, of, share) > tail, 0.0, 1.0)
    )
    return low, high
