"""Partial pooling: what a few values of one person say, judged beside the whole team's.

A value is the person's own level plus shot-to-shot spread; levels vary from person to person. How far they do isn't
known: it is averaged over, weighted by what the values say, so that two good people aren't taken for proof that
everybody is alike, nor five shots of a newcomer for proof that they are not. Offsets are counted from the house
level, the mean of the levels of those with enough shots, weighted by shots: a newcomer's wild start doesn't move it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.mixture import mixture_interval
from server.compute.ranges import within

# Ratio of the people's spread to the shots' own. Its prior is half a normal of scale 1: people rarely differ by
# more than shots do. Convention of this app; some forty shots outweigh it.
RATIOS = tuple(step * 0.05 for step in range(81))
MOST_PEOPLE = 200
NEGLIGIBLE = 1e-6
# Below this many shots nothing is said of a person, nor do they count into the house level, while anybody else
# does: convention of this app.
ENOUGH_SHOTS = 10


@dataclass(frozen=True)
class Group:
    """One person's values, summed up: how many, their mean, the sum of squares about it."""

    count: int
    mean: float
    squares: float


@dataclass(frozen=True)
class Fit:
    """The team for one ratio of people's spread to shots' spread.

    `levels_mean` is what levels scatter about, `levels` each person's own; `offsets` and `variances` are each
    level less the house level, and how uncertain that is; `shot_variance` has `dof` degrees of freedom;
    `log_likelihood` is restricted, up to a constant.
    """

    ratio: float
    levels_mean: float
    levels: tuple[float, ...]
    shot_variance: float
    dof: int
    offsets: tuple[float, ...]
    variances: tuple[float, ...]
    log_likelihood: float


@dataclass(frozen=True)
class Pooled:
    """The team averaged over the ratio: house level, shots' spread, people's spread, offsets with 95 % intervals."""

    house_level: float
    shot_spread: float
    people_spread: float
    offsets: tuple[float, ...]
    intervals: tuple[tuple[float, float], ...]


def group(values: Sequence[float]) -> Group:
    """Sum up one person's values.

    Parameters
    ----------
    values : sequence of float
        At least one, each finite and at most 1e6 in size. [any unit]

    Returns
    -------
    Group
        In the unit of `values`, squares in its square.

    Raises
    ------
    BadInput
        When there is none, or one is outside the range.

    Notes
    -----
    Definition.

    Examples
    --------
    >>> group([1.0, 3.0])
    Group(count=2, mean=2.0, squares=2.0)
    """
    if not values:
        raise BadInput("values", "must hold at least one value of each person")
    for value in values:
        within("values", value, -1e6, 1e6, "")
    mean = math.fsum(values) / len(values)
    return Group(len(values), mean, math.fsum((value - mean) ** 2 for value in values))


def fit(groups: Sequence[Group], ratio: float) -> Fit:
    """Each person's level, and its offset from the house level, when the ratio of the two spreads is known.

    Parameters
    ----------
    groups : sequence of Group
        One for each person: 2 to 200 people with at least 4 values in all.
    ratio : float
        Standard deviation between people over that from shot to shot, 0 to 1000. [-]

    Returns
    -------
    Fit
        Best linear unbiased predictions, with the doubt about everybody's level in their variances.

    Raises
    ------
    BadInput
        When there are too few people or values, or the ratio is outside its range.

    Notes
    -----
    Source: D. A. Harville, Maximum likelihood approaches to variance component estimation and to related
    problems, J. Am. Stat. Assoc. 72 (1977) 320-338, doi:10.1080/01621459.1977.10480998, for one random
    intercept, where every sum has a closed form.

    Examples
    --------
    >>> team = fit([group([1.0, 2.0, 3.0]), group([3.0, 4.0, 5.0])], 1.0)
    >>> team.levels_mean, team.levels, team.offsets
    (3.0, (2.25, 3.75), (-0.75, 0.75))
    """
    within("ratio", ratio, 0.0, 1000.0, "")
    within("people", len(groups), 2, MOST_PEOPLE, "people with values")
    total = sum(one.count for one in groups)
    if total < 4:
        raise BadInput("values", "must be at least 4 in all: log more shots")
    between = ratio * ratio
    weights = [1.0 / (1.0 / one.count + between) for one in groups]
    weight = math.fsum(weights)
    mean = _dot(weights, [one.mean for one in groups]) / weight
    squares = math.fsum(
        one.squares + w * (one.mean - mean) ** 2 for w, one in zip(weights, groups, strict=True)
    )
    dof = total - 1
    # Values that are all the same, as rounded times can be, still leave a grain of spread.
    variance = max(squares / dof, 1e-12 * (1.0 + mean * mean))
    kept = [between * w for w in weights]
    levels = [mean + k * (one.mean - mean) for k, one in zip(kept, groups, strict=True)]
    shares = _shares(groups)
    house = _dot(shares, levels)
    return Fit(
        ratio=ratio,
        levels_mean=mean,
        levels=tuple(levels),
        shot_variance=variance,
        dof=dof,
        offsets=tuple(level - house for level in levels),
        variances=tuple(variance * part for part in _doubts(between, kept, shares, weight)),
        log_likelihood=-0.5
        * (
            math.fsum(math.log1p(one.count * between) for one in groups)
            + math.log(weight)
            + dof * math.log(variance)
        ),
    )


def _doubts(between: float, kept: list[float], shares: list[float], weight: float) -> list[float]:
    """Variance of each offset from the house level, in units of the shots' variance.

    A level keeps the share `kept` of the person's own mean; what it keeps not is the common mean, in doubt by
    1 / `weight`, which cancels in the offset but for the difference in what is kept.
    """
    own = [between * (1.0 - k) for k in kept]
    of_house = math.fsum(share * share * v for share, v in zip(shares, own, strict=True))
    house_kept = _dot(shares, kept)
    return [
        # max: rounding may leave a hair below nothing where one person has nearly all shots.
        max(0.0, v * (1.0 - 2.0 * share) + of_house + (k - house_kept) ** 2 / weight)
        for v, share, k in zip(own, shares, kept, strict=True)
    ]


def pooled(groups: Sequence[Group]) -> Pooled:
    """Each person's offset from the house level with a 95 % interval, the ratio of the spreads averaged over.

    Parameters
    ----------
    groups : sequence of Group
        One for each person: 2 to 200 people with at least 4 values in all.

    Returns
    -------
    Pooled
        Offsets are means of the posterior; intervals leave 2.5 % on each side.

    Raises
    ------
    BadInput
        When there are too few people or values.

    Notes
    -----
    Source: A. Gelman, J. B. Carlin, H. S. Stern, D. B. Dunson, A. Vehtari, D. B. Rubin, Bayesian Data Analysis,
    3rd ed. (2013), sections 5.4 and 5.7: flat priors on mean and log of the shots' variance. The prior of
    the ratio is a convention of this app. Shots are taken to spread
    alike whoever pulls them; where people's spreads differ by a fifth, the intervals hold 94 times in 100.

    Examples
    --------
    >>> steady, late = group([0.1, -0.2, 0.0, 0.1, 0.2] * 4), group([5.0, 4.8, 5.1, 4.9, 5.2] * 4)
    >>> [low > 0 for low, high in pooled([steady, late]).intervals]
    [False, True]
    """
    likely = _weighed(groups)

    def average(figure: Callable[[Fit], float]) -> float:
        return math.fsum(weight * figure(one) for weight, one in likely)

    people = range(len(groups))
    return Pooled(
        house_level=average(lambda one: one.levels[0] - one.offsets[0]),
        shot_spread=math.sqrt(average(lambda one: one.shot_variance)),
        people_spread=math.sqrt(average(lambda one: one.shot_variance * one.ratio**2)),
        offsets=tuple(average(lambda one, i=i: one.offsets[i]) for i in people),
        intervals=tuple(
            mixture_interval([(weight, one.offsets[i], one.variances[i], one.dof) for weight, one in likely])
            for i in people
        ),
    )


def _weighed(groups: Sequence[Group]) -> list[tuple[float, Fit]]:
    """The fits that the values leave likely, with weights that add up to 1."""
    fits = [fit(groups, ratio) for ratio in RATIOS]
    logs = [one.log_likelihood - 0.5 * one.ratio**2 for one in fits]
    top = max(logs)
    masses = [math.exp(log - top) for log in logs]
    whole = math.fsum(masses)
    return [(mass / whole, one) for mass, one in zip(masses, fits, strict=True) if mass > NEGLIGIBLE]


def _shares(groups: Sequence[Group]) -> list[float]:
    """Each person's part in the house level; they add up to 1."""
    counts = [one.count if one.count >= ENOUGH_SHOTS else 0 for one in groups]
    if not any(counts):
        counts = [one.count for one in groups]
    return [count / sum(counts) for count in counts]


def _dot(first: Sequence[float], second: Sequence[float]) -> float:
    return math.fsum(a * b for a, b in zip(first, second, strict=True))
