"""How each person's shots lie beside the team's: offset and spread, shrunk to the team, never a ranking.

For the lead's eyes. A person is compared with the team as a whole and only once there are enough shots to say
anything; no order among people is computed here, and the answer keeps the order in which they were given.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from server.compute.pooling import ENOUGH_SHOTS, Group, Pooled, group, pooled
from server.compute.spread_pooling import pooled_spreads
from server.compute.why import Why

SOURCE = (
    "Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), ch. 5; Harville, J. Am. Stat. Assoc. 72 (1977) 320; "
    "spreads: Smyth, Stat. Appl. Genet. Mol. Biol. 3 (2004), article 3, doi:10.2202/1544-6115.1027"
)


@dataclass(frozen=True)
class Person:
    """One person beside the team. `offset_says`: `too_early`, `no_difference_shown`, `above` or `below`;
    `spread_says`: `too_early`, `no_difference_shown`, `wider` or `steadier`."""

    person: str
    shots: int
    offset: float
    offset_interval: tuple[float, float]
    offset_says: str
    spread: float
    spread_interval: tuple[float, float]
    spread_says: str


@dataclass(frozen=True)
class Team:
    """The house level, the usual shot-to-shot spread, how far people differ, and each of them."""

    house_level: float
    team_spread: float
    people_spread: float
    people: tuple[Person, ...]
    why: tuple[Why, ...]


def people(values: Mapping[str, Sequence[float]]) -> Team:
    """Offset and spread of each person, with 95 % intervals, shrunk to the team as far as the shots are few.

    Parameters
    ----------
    values : mapping of str to sequence of float
        For each person, how far each shot lay from what was expected of it, such as percent of the time to
        target; 2 to 200 people, at least 4 values in all, each at most 1e6 in size. [any unit]

    Returns
    -------
    Team
        In the unit of the values; people in the order given.

    Raises
    ------
    BadInput
        When there are too few people or values, or a value is outside its range.

    Notes
    -----
    value = house level + offset + shot, the last two normal, both spreads unknown; the house level is that of
    the shots of everybody with ten or more. Sources: Gelman et al. (2013)
    for the offsets, Smyth (2004) for the spreads; see `server.compute.pooling`. "Too early" below ten shots
    is a convention of this app.

    Examples
    --------
    >>> team = people({"Ida": [0.0, 1.0, -1.0] * 8, "Teo": [0.5, -0.5, 0.0] * 8, "Mara": [9.0, 8.0]})
    >>> [person.offset_says for person in team.people]
    ['no_difference_shown', 'no_difference_shown', 'too_early']
    """
    groups = [group(shots) for shots in values.values()]
    offsets = pooled(groups)
    spreads = pooled_spreads(groups)
    told = tuple(
        Person(
            person=name,
            shots=one.count,
            offset=offset,
            offset_interval=offset_interval,
            offset_says=_says(one.count, offset_interval, 0.0, "below", "above"),
            spread=spread,
            spread_interval=spread_interval,
            spread_says=_says(one.count, spread_interval, spreads.team_spread, "steadier", "wider"),
        )
        for name, one, offset, offset_interval, spread, spread_interval in zip(
            values,
            groups,
            offsets.offsets,
            offsets.intervals,
            spreads.spreads,
            spreads.intervals,
            strict=True,
        )
    )
    return Team(
        offsets.house_level, spreads.team_spread, offsets.people_spread, told, (_why(groups, offsets),)
    )


def _says(shots: int, interval: tuple[float, float], team: float, under: str, over: str) -> str:
    if shots < ENOUGH_SHOTS:
        return "too_early"
    low, high = interval
    if high < team:
        return under
    return over if low > team else "no_difference_shown"


def _why(groups: Sequence[Group], offsets: Pooled) -> Why:
    return Why(
        "offset",
        "person's mean, drawn to the others' by 1 / (1 + n r²), less the house level; averaged over r, people's "
        "spread over shots' spread",
        {
            "people": len(groups),
            "shots": sum(one.count for one in groups),
            "shot_spread": offsets.shot_spread,
            "people_spread": offsets.people_spread,
        },
        SOURCE,
        (
            "who pulled which shot was chance: somebody who always opens meets the colder machine",
            f"below {ENOUGH_SHOTS} shots nothing is said of a person",
        ),
    )
