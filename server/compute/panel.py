"""Blind tests before they are poured: how many right answers it takes, and how many tasters to ask.

In a triangle test two cups are alike and one is odd; in a duo-trio one of two matches a reference; in a paired
test two cups are compared in one respect.
"""

from server.compute.binomial import MOST_TRIALS, chance_at_least, chances
from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within

LUCK = {"triangle": 1 / 3, "duo_trio": 1 / 2, "paired": 1 / 2}
SOURCE = "ISO 4120:2021 (triangle), ISO 10399:2017 (duo-trio), ISO 5495:2005 (paired): exact binomial"
# A difference that half of all people can taste, found 8 times in 10: convention of this app.
WORTH_FINDING, POWER, ALPHA = 0.5, 0.8, 0.05


def luck(test: str, two_sided: bool = False) -> float:
    """Chance of one right answer from somebody who can't tell.

    Parameters
    ----------
    test : str
        `triangle`, `duo_trio` or `paired`.
    two_sided : bool
        Only for `paired`: votes for either cup count.

    Returns
    -------
    float
        1/3 for the triangle, 1/2 for the others. [-]

    Raises
    ------
    BadInput
        When the name is unknown, or a test other than `paired` is two-sided.

    Notes
    -----
    Definition of the tests.

    Examples
    --------
    >>> luck("duo_trio")
    0.5
    """
    one_of("test", test, tuple(LUCK))
    if two_sided and test != "paired":
        raise BadInput("two_sided", "is only for a paired test: a triangle or duo-trio has a right answer")
    return LUCK[test]


def needed_right(test: str, of: int, alpha: float = ALPHA, *, two_sided: bool = False) -> int | None:
    """Fewest right answers that luck alone gives no more often than `alpha`.

    Parameters
    ----------
    test : str
        `triangle`, `duo_trio` or `paired`.
    of : int
        Answers in all, 1 to 400. [-]
    alpha : float
        Chance of a false "different" that is put up with, 0.0001 to 0.5. [-]
    two_sided : bool
        Only for `paired`: votes for either cup count.

    Returns
    -------
    int or None
        The count; None when even all of them wouldn't do. [-]

    Raises
    ------
    BadInput
        When a name is unknown or a figure outside its range.

    Notes
    -----
    Source: the tables of ISO 4120, ISO 10399 and ISO 5495 hold the same counts, from the exact binomial.

    Examples
    --------
    >>> needed_right("triangle", 24), needed_right("triangle", 2)
    (13, None)
    """
    by_luck = luck(test, two_sided)
    within("alpha", alpha, 0.0001, 0.5, "")
    allowed = alpha / 2 if two_sided else alpha
    tail, needed = 0.0, None
    for count, chance in reversed(list(enumerate(chances(of, by_luck)))):
        tail += chance
        if tail > allowed:
            break
        needed = count
    return needed


def chance_to_find(
    test: str, of: int, worth_finding: float = WORTH_FINDING, alpha: float = ALPHA, *, two_sided: bool = False
) -> float:
    """Chance that a test of this size shows a difference that a given share of people can taste.

    Parameters
    ----------
    test : str
        `triangle`, `duo_trio` or `paired`.
    of : int
        Answers in all, 1 to 400. [-]
    worth_finding : float
        Share of people able to tell, 0.01 to 1. [-]
    alpha : float
        Chance of a false "different" that is put up with, 0.0001 to 0.5. [-]
    two_sided : bool
        Only for `paired`: votes for either cup count.

    Returns
    -------
    float
        The test's power, 0 to 1. [-]

    Raises
    ------
    BadInput
        When a name is unknown or a figure outside its range.

    Notes
    -----
    Definition: the chance of `needed_right` or more when each is right with d + (1 - d) · luck.

    Examples
    --------
    >>> round(chance_to_find("triangle", 6, 0.5), 2)
    0.35
    """
    by_luck = luck(test, two_sided)
    within("worth_finding", worth_finding, 0.01, 1.0, "of all people")
    needed = needed_right(test, of, alpha, two_sided=two_sided)
    if needed is None:
        return 0.0
    share = worth_finding + (1.0 - worth_finding) * by_luck
    found = chance_at_least(needed, of, share)
    return found + chance_at_least(needed, of, 1.0 - share) if two_sided else found


def tasters_needed(
    test: str,
    worth_finding: float = WORTH_FINDING,
    alpha: float = ALPHA,
    power: float = POWER,
    *,
    two_sided: bool = False,
) -> int | None:
    """Fewest tasters with whom a difference worth finding is found with the wanted chance.

    Parameters
    ----------
    test : str
        `triangle`, `duo_trio` or `paired`.
    worth_finding : float
        Share of people able to tell that would matter, 0.01 to 1. [-]
    alpha : float
        Chance of a false "different" that is put up with, 0.0001 to 0.5. [-]
    power : float
        Wanted chance of finding the difference, 0.5 to 0.999. [-]
    two_sided : bool
        Only for `paired`: votes for either cup count.

    Returns
    -------
    int or None
        The number; None when it would take more than 400. [-]

    Raises
    ------
    BadInput
        When a name is unknown or a figure outside its range.

    Notes
    -----
    Definition: the smallest number whose `chance_to_find` reaches `power`. One taster more can be a little
    worse, since right answers come in whole numbers.

    Examples
    --------
    >>> tasters_needed("triangle", 0.5), tasters_needed("paired", 0.5)
    (16, 23)
    """
    within("power", power, 0.5, 0.999, "")
    return next(
        (
            of
            for of in range(1, MOST_TRIALS + 1)
            if chance_to_find(test, of, worth_finding, alpha, two_sided=two_sided) >= power
        ),
        None,
    )
