"""How evenly each person pulls: their own shot-to-shot spread, judged beside the team's."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.halving import threshold
from server.compute.mixture import STEPS, normal_below
from server.compute.pooling import Group

# How many shots' worth the team's spread counts for each person: from people who hardly share a spread (4) to
# people within a tenth of each other (64). Weighted evenly over how far spreads differ, which goes as the inverse
# root. And the team's spread itself, as factors of the pooled one. Both conventions of this app.
PRIOR_SHOTS = tuple(4.0 * 2 ** (step / 2) for step in range(9))
TEAM_FACTORS = tuple(math.exp(0.15 * step) for step in range(-8, 9))
NEGLIGIBLE = 1e-4


@dataclass(frozen=True)
class Spreads:
    """The team's spread, and each person's with a 95 % interval."""

    team_spread: float
    spreads: tuple[float, ...]
    intervals: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class _Prior:
    """One way in which the people's variances may be drawn: about `team`, worth `shots`, with its weight."""

    team: float
    shots: float
    weight: float

    @property
    def scale(self) -> float:
        """Sum of squares that the prior is worth; its mean variance is the team's."""
        return (self.shots - 2.0) * self.team


def pooled_spreads(groups: Sequence[Group]) -> Spreads:
    """Each person's shot-to-shot standard deviation, shrunk to the team's as far as the shots are few.

    Parameters
    ----------
    groups : sequence of Group
        One for each person, at least one of them with two values.

    Returns
    -------
    Spreads
        In the unit of the values.

    Raises
    ------
    BadInput
        When nobody has two values.

    Notes
    -----
    A person's variance is drawn from an inverse chi-square about the team's; given that, the posterior is one
    too. Source: G. K. Smyth, Linear models and empirical Bayes methods for assessing differential expression
    in microarray experiments, Stat. Appl. Genet. Mol. Biol. 3 (2004), article 3, doi:10.2202/1544-6115.1027;
    here the prior's two figures are averaged over. Chi-square by E. B. Wilson and M. M. Hilferty, Proc. Natl.
    Acad. Sci. 17 (1931) 684-688, doi:10.1073/pnas.17.12.684.

    Examples
    --------
    >>> spreads = pooled_spreads([Group(30, 0.0, 29.0), Group(30, 0.0, 29.0), Group(2, 0.0, 50.0)])
    >>> spreads.spreads[2] < 5.0
    True
    """
    total = sum(one.count - 1 for one in groups)
    if total < 1:
        raise BadInput("values", "must hold two shots of at least one person")
    largest = max(one.mean * one.mean for one in groups)
    team = max(math.fsum(one.squares for one in groups) / total, 1e-12 * (1.0 + largest))
    priors = _weighed(groups, team)
    told = [_person(one, priors) for one in groups]
    return Spreads(
        math.sqrt(math.fsum(prior.weight * prior.team for prior in priors)),
        tuple(spread for spread, _ in told),
        tuple(interval for _, interval in told),
    )


def _weighed(groups: Sequence[Group], team: float) -> list[_Prior]:
    """The priors that the values leave likely, with weights that add up to 1."""
    priors = [_Prior(team * factor, shots, 1.0) for factor in TEAM_FACTORS for shots in PRIOR_SHOTS]
    logs = [_log_likelihood(groups, prior) - 0.5 * math.log(prior.shots) for prior in priors]
    top = max(logs)
    likely = [
        (prior, math.exp(log - top))
        for prior, log in zip(priors, logs, strict=True)
        if log - top > math.log(NEGLIGIBLE)
    ]
    whole = math.fsum(mass for _, mass in likely)
    return [_Prior(prior.team, prior.shots, mass / whole) for prior, mass in likely]


def _log_likelihood(groups: Sequence[Group], prior: _Prior) -> float:
    """Of the people's sums of squares, their own variances integrated out; up to a constant."""
    return math.fsum(
        math.lgamma((prior.shots + one.count - 1) / 2)
        - math.lgamma(prior.shots / 2)
        + prior.shots / 2 * math.log(prior.scale)
        - (prior.shots + one.count - 1) / 2 * math.log(prior.scale + one.squares)
        for one in groups
    )


def _person(one: Group, priors: list[_Prior]) -> tuple[float, tuple[float, float]]:
    parts = [(prior.weight, prior.shots + one.count - 1, prior.scale + one.squares) for prior in priors]
    variance = math.fsum(w * squares / (dof - 2.0) for w, dof, squares in parts)

    def below(log_spread: float) -> float:
        square = math.exp(2 * log_spread)
        return math.fsum(w * (1.0 - _chi2_below(squares / square, dof)) for w, dof, squares in parts)

    centre = math.log(variance) / 2
    low = threshold(lambda log_spread: below(log_spread) < 0.025, centre - 3.0, centre + 3.0, STEPS)
    high = threshold(lambda log_spread: below(log_spread) < 0.975, centre - 3.0, centre + 3.0, STEPS)
    return math.sqrt(variance), (math.exp(low), math.exp(high))


def _chi2_below(value: float, dof: float) -> float:
    """Chance of a chi-square below a value, by Wilson and Hilferty."""
    part = 2.0 / (9.0 * dof)
    return normal_below(((value / dof) ** (1 / 3) - (1.0 - part)) / math.sqrt(part))
