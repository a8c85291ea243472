"""How often the default signals cry wolf, and the limits that keep it rarer than a bar is told."""

import math

LIMITS = (1.6, 1.8, 2.0, 2.2, 2.4, 2.6, 2.8, 3.1, 3.5, 4.0)
# Shots between false alarms of the two default signals together, one point beyond 3.5 sigma and an EWMA of
# weight 0.2 beyond each of LIMITS. Both tables come out of tests/compute/grind/make_run_lengths.py.
# Centre and sigma known: exact.
KNOWN = (19.9, 29.4, 44.3, 68.1, 107.5, 173.4, 284.3, 590.8, 1292.4, 1973.9)
# Centre and sigma from so many first shots: simulated, seeded.
ESTIMATED = {
    5: (9.9, 13.2, 17.6, 23.3, 30.8, 40.5, 53.3, 80.4, 178.1, 380.9),
    8: (12.5, 17.6, 24.6, 34.2, 47.5, 65.6, 90.7, 147.3, 317.4, 725.5),
    12: (13.9, 20.0, 28.7, 41.0, 58.3, 82.4, 116.2, 195.2, 410.8, 979.2),
    20: (15.3, 22.8, 33.8, 50.0, 74.0, 108.9, 160.2, 286.7, 611.7, 1422.9),
    30: (15.9, 24.1, 36.5, 55.2, 83.7, 127.2, 192.4, 357.9, 805.4, 1818.2),
    50: (16.3, 25.0, 38.5, 59.2, 91.8, 143.1, 222.3, 431.8, 975.0, 1899.1),
    100: (16.5, 25.6, 39.6, 61.7, 97.4, 156.2, 250.0, 502.8, 1107.6, 1928.9),
}
LEAST_SHOTS = 50.0


def ewma_limit(shots: float, baseline_n: int | None = None) -> float:
    """The EWMA's limit that lets a false alarm come once in so many shots, or more rarely.

    Parameters
    ----------
    shots : float
        Wanted run length, above 0; below 50 counts as 50. [shots]
    baseline_n : int, optional
        How many shots centre and sigma were taken from, at least 2; None where they are known. [shots]

    Returns
    -------
    float
        From 1.6 to 4, in standard deviations of the EWMA. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    Straight lines in ln(shots) through a computed table.
    Source of the method: J. M. Lucas and M. S. Saccucci, Exponentially weighted moving average control schemes,
    Technometrics 32 (1990) 1-12, doi:10.1080/00401706.1990.10484583.

    Examples
    --------
    >>> round(ewma_limit(68.1), 3)
    2.2
    """
    runs = [math.log(run) for run in _runs(baseline_n)]
    return _between(math.log(max(LEAST_SHOTS, shots)), runs, LIMITS)


def run_length(limit: float, baseline_n: int | None = None) -> float:
    """Shots between false alarms of the two default signals together.

    Parameters
    ----------
    limit : float
        Of the EWMA, 1.6 to 4; outside it the nearer end counts. [-]
    baseline_n : int, optional
        As for `ewma_limit`. [shots]

    Returns
    -------
    float
        Above 0. [shots]

    Raises
    ------
    Nothing

    Notes
    -----
    Source: as for `ewma_limit`. Valid range as stated.

    Examples
    --------
    >>> round(run_length(2.2), 1), round(run_length(2.2, 20), 1)
    (68.1, 50.0)
    """
    return math.exp(_between(limit, LIMITS, [math.log(run) for run in _runs(baseline_n)]))


def _runs(baseline_n: int | None) -> tuple[float, ...]:
    """The row for so many shots, or the next fewer: it promises no more than they can keep."""
    return KNOWN if baseline_n is None else ESTIMATED[max(n for n in ESTIMATED if n <= max(5, baseline_n))]


def _between(x: float, xs, ys) -> float:
    """On straight lines through the points; beyond them, the nearer end."""
    if x <= xs[0]:
        return ys[0]
    for i in range(1, len(xs)):
        if x <= xs[i]:
            return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])
    return ys[-1]


def individuals_dof(shots: int) -> int:
    """Degrees of freedom that a sigma from moving ranges is worth.

    Parameters
    ----------
    shots : int
        How many shots the moving ranges were taken from, at least 2. [shots]

    Returns
    -------
    int
        At least 1. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    The variance of a mean moving range of two is 0.826/(n-1) of its square, where a standard deviation's is
    0.5/dof: 0.605 (n-1). Source: J. D. Cryer and T. P. Ryan, The estimation of sigma for an X chart, J. Qual.
    Technol. 22 (1990) 187-192, from memory, not verified; the tests simulate it.

    Examples
    --------
    >>> individuals_dof(21)
    12
    """
    return max(1, math.floor(0.605 * (shots - 1)))
