"""How long milk may be out of the cold, by jurisdiction: the law's figures as data, each with its section."""

from dataclasses import dataclass, field
from datetime import timedelta

from server.compute.choices import one_of


@dataclass(frozen=True)
class ColdRule:
    """One jurisdiction's rule for chilled milk. A guide: local food law overrules it.

    `returns` says what a spell out of the cold means for milk that is cold again: `never` (once on the clock,
    always on it), `once` (one warm spell is forgiven, a second isn't), `adds_up` (spells are summed).
    `last_instant_counts`: "within 4 hours" still allows the fourth hour's end, "less than four" doesn't.
    """

    name: str
    title: str
    cold_at_most_c: float
    hours: float
    last_instant_counts: bool
    returns: str
    cold_source: str
    time_source: str
    put_back_hours: float | None = None
    longer_hours: float | None = None
    longer_at_most_c: float | None = None
    longer_source: str = ""
    notes: tuple[str, ...] = field(default=())

    def allows(self, spell: timedelta, hours: float | None = None) -> bool:
        """Whether so long out of the cold is still within the time.

        >>> COLD_RULES["us_4h"].allows(timedelta(hours=4)), COLD_RULES["england"].allows(timedelta(hours=4))
        (True, False)
        """
        limit = timedelta(hours=hours or self.hours)
        return spell <= limit if self.last_instant_counts else spell < limit


FOOD_CODE = "FDA Food Code (2017 and 2022)"
US_COLD = f"{FOOD_CODE}, 3-501.16(A)(2): cold at 5 °C (41 °F) or below"

COLD_RULES = {
    rule.name: rule
    for rule in (
        ColdRule(
            "us_4h",
            "United States, FDA Food Code, four hours",
            cold_at_most_c=5.0,
            hours=4.0,
            last_instant_counts=True,
            returns="never",
            cold_source=US_COLD,
            time_source=f"{FOOD_CODE}, 3-501.19(B): 5 °C or below when it leaves the cold, marked, "
            "served or discarded within 4 hours",
            notes=("a state's or a city's own code may be stricter",),
        ),
        ColdRule(
            "us_6h",
            "United States, FDA Food Code, six hours",
            cold_at_most_c=5.0,
            hours=4.0,
            last_instant_counts=True,
            returns="never",
            cold_source=US_COLD,
            time_source=f"{FOOD_CODE}, 3-501.19(B): 4 hours where the conditions for 6 aren't shown",
            longer_hours=6.0,
            longer_at_most_c=21.0,
            longer_source=f"{FOOD_CODE}, 3-501.19(C): 5 °C or below when it leaves the cold, watched, "
            "never above 21 °C (70 °F), within 6 hours",
            notes=(
                "needs the written procedure of 3-501.19(A)",
                "a state's or a city's code may be stricter",
            ),
        ),
        ColdRule(
            "england",
            "England, Wales and Northern Ireland",
            cold_at_most_c=8.0,
            hours=4.0,
            last_instant_counts=False,
            returns="once",
            cold_source="Food Safety and Hygiene (England) Regulations 2013, SI 2013/2996, Schedule 4, "
            "paragraph 2: keeping it above 8 °C is an offence",
            time_source="the same Schedule, paragraph 5: for service, once, for less than four hours "
            "(read in the Northern Ireland text, SR 2006/3, Schedule 4; England's from memory, not verified)",
            notes=("a defence in law, not a permission: 8 °C or below is the rule",),
        ),
        ColdRule(
            "australia",
            "Australia, two hours and four hours",
            cold_at_most_c=5.0,
            hours=4.0,
            last_instant_counts=False,
            returns="adds_up",
            put_back_hours=2.0,
            cold_source="Food Standards Code, Standard 3.2.2: 5 °C or below",
            time_source="NSW Food Authority and FSANZ, 2-hour / 4-hour rule: below 2 hours in all, use or "
            "put back; 2 to 4, use; 4 or more, throw out",
        ),
    )
}


def cold_rule(jurisdiction: str) -> ColdRule:
    """The rule of this jurisdiction.

    Parameters
    ----------
    jurisdiction : str
        One of the names in `COLD_RULES`.

    Returns
    -------
    ColdRule
        Its limits and sources.

    Raises
    ------
    BadInput
        When no jurisdiction has this name.

    Notes
    -----
    Each rule carries its own source.

    Examples
    --------
    >>> cold_rule("england").cold_at_most_c
    8.0
    """
    return COLD_RULES[one_of("jurisdiction", jurisdiction, tuple(COLD_RULES))]
