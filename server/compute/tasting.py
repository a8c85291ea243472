"""Blind tests once they are tasted: what the answers say, in exact odds and in a plain sentence."""

import math
from dataclasses import dataclass

from server.compute.binomial import MOST_TRIALS, chance_at_least, exact_bounds
from server.compute.panel import (
    ALPHA,
    POWER,
    SOURCE,
    WORTH_FINDING,
    chance_to_find,
    luck,
    needed_right,
    tasters_needed,
)
from server.compute.ranges import within
from server.compute.why import Why

CAUTION = (
    "Espresso after espresso adds up: spit, and count your caffeine. "
    "Tell tasters of milk, nuts and other allergens first."
)


@dataclass(frozen=True)
class Discriminators:
    """Share of people who can really tell, while the others guess: estimate, 95 % interval, and the share it
    is at most with confidence 1 - alpha."""

    share: float
    interval: tuple[float, float]
    at_most: float


@dataclass(frozen=True)
class TastingOdds:
    """What one blind test says.

    `chance_by_luck`: of an answer at least so clear when nobody can tell. `needed`: right answers for `alpha`,
    None if even all of them wouldn't do. `discriminators`: None for a two-sided test, which asks for a
    preference. `power`: chance that a test of this size finds the difference worth finding.
    `tasters_needed`: for that chance to reach the wanted one, None above 400.
    """

    chance_by_luck: float
    needed: int | None
    differs: bool
    discriminators: Discriminators | None
    power: float
    tasters_needed: int | None
    sentence: str
    why: tuple[Why, ...]


def tasting_odds(
    test: str,
    right: int,
    of: int,
    *,
    alpha: float = ALPHA,
    two_sided: bool = False,
    worth_finding: float = WORTH_FINDING,
    power: float = POWER,
) -> TastingOdds:
    """What the answers of a blind test say, in exact odds and in a plain sentence.

    Parameters
    ----------
    test : str
        `triangle`, `duo_trio` or `paired`.
    right : int
        Right answers, at least 0 and at most `of`; in a two-sided test the votes for one cup. [-]
    of : int
        Answers in all, 1 to 400, each given without knowing the others. [-]
    alpha : float
        Chance of a false "different" that is put up with, 0.0001 to 0.5. [-]
    two_sided : bool
        Only for `paired`: nobody knew beforehand which cup should win.
    worth_finding : float
        Share of people able to tell that would matter, 0.01 to 1. [-]
    power : float
        Wanted chance of finding such a difference, 0.5 to 0.999. [-]

    Returns
    -------
    TastingOdds
        Odds, counts and shares.

    Raises
    ------
    BadInput
        When a name is unknown or a figure outside its range.

    Notes
    -----
    A taster is right with chance d + (1 - d) · luck, where d is the share that can tell.
    Sources: ISO 4120, ISO 10399 and ISO 5495 use the same exact binomial; bounds by Clopper and Pearson.

    Examples
    --------
    >>> odds = tasting_odds("triangle", 5, 6)
    >>> round(odds.chance_by_luck, 3), odds.needed, odds.differs
    (0.018, 5, True)
    """
    by_luck = luck(test, two_sided)
    within("of", of, 1, MOST_TRIALS, "answers")
    within("right", right, 0, of, "right answers")
    clearer = max(right, of - right) if two_sided else right
    tail = chance_at_least(clearer, of, by_luck)
    chance = min(1.0, 2 * tail) if two_sided else tail
    needed = needed_right(test, of, alpha, two_sided=two_sided)
    differs = needed is not None and clearer >= needed
    tellers = None if two_sided else _discriminators(right, of, by_luck, alpha)
    found = chance_to_find(test, of, worth_finding, alpha, two_sided=two_sided)
    tasters = tasters_needed(test, worth_finding, alpha, power, two_sided=two_sided)
    said = [_verdict(right, of, chance, differs, two_sided)]
    if not differs:
        said += [_how_sure(tellers, alpha), _enough(found, tasters, worth_finding, power)]
    return TastingOdds(
        chance_by_luck=chance,
        needed=needed,
        differs=differs,
        discriminators=tellers,
        power=found,
        tasters_needed=tasters,
        sentence=" ".join(text for text in said if text),
        why=(_why(test, right, of, two_sided),),
    )


def _discriminators(right: int, of: int, by_luck: float, alpha: float) -> Discriminators:
    def tellers(share_right: float) -> float:
        return max(0.0, (share_right - by_luck) / (1.0 - by_luck))

    low, high = exact_bounds(right, of, 0.975)
    _, at_most = exact_bounds(right, of, 1.0 - alpha)
    return Discriminators(tellers(right / of), (tellers(low), tellers(high)), tellers(at_most))


def _verdict(right: int, of: int, chance: float, differs: bool, two_sided: bool) -> str:
    if two_sided:
        verdict = "One cup is preferred." if differs else "No preference is shown."
        return f"{right} to {of - right}: guessing is as lopsided {_in_100(chance)}. {verdict}"
    verdict = "People can tell them apart." if differs else "No difference is shown."
    return f"{right} of {of} right: guessing gets that many {_in_100(chance)}. {verdict}"


def _how_sure(tellers: Discriminators | None, alpha: float) -> str:
    if tellers is None:
        return ""
    if tellers.at_most == 0.0:
        return "So few right is less than guessing gets: check that the cups weren't mixed up."
    return (
        f"That doesn't prove there is none: up to {math.ceil(100 * tellers.at_most)} % of people "
        f"might tell ({100 * (1 - alpha):g} % sure)."
    )


def _enough(found: float, tasters: int | None, worth_finding: float, power: float) -> str:
    matter = f"a difference that {100 * worth_finding:.0f} % of people can taste"
    if found >= power:
        return f"So many tasters find {matter} {_in_100(found)}."
    if tasters is None:
        return f"To find {matter} takes more than {MOST_TRIALS} tasters."
    return f"So few find {matter} only {_in_100(found)}: ask {tasters}."


def _in_100(chance: float) -> str:
    """A chance in words, never rounded to impossible or certain.

    >>> _in_100(0.3196), _in_100(0.0178), _in_100(0.00001), _in_100(0.9999)
    ('32 times in 100', '1.8 times in 100', 'less than once in 1000', 'more than 99 times in 100')
    """
    if chance < 0.001:
        return "less than once in 1000"
    if chance > 0.99:
        return "more than 99 times in 100"
    return f"{100 * chance:.0f} times in 100" if chance >= 0.1 else f"{100 * chance:.2g} times in 100"


def _why(test: str, right: int, of: int, two_sided: bool) -> Why:
    return Why(
        "chance_by_luck",
        "2 · P(max(right, of - right) or more)" if two_sided else "P(right or more out of of), each by luck",
        {"right": right, "of": of, "luck": luck(test, two_sided)},
        SOURCE,
        (
            "each answer was given blind and without hearing the others",
            "one person's repeated answers speak for that person only",
        ),
    )
