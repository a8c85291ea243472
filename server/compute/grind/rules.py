"""Run rules that a bar may ask for: Western Electric's and Nelson's, and the tabular CUSUM."""

from collections.abc import Callable, Sequence
from itertools import pairwise

# Each rule looks at the points up to and including one, in standard units; True: a signal at that point.
Rule = Callable[[Sequence[float]], bool]


def _beyond(count: int, of: int, sigma: float) -> Rule:
    """`count` of the last `of` beyond `sigma` on one side, this point being one of them."""

    def rule(z: Sequence[float]) -> bool:
        way = 1.0 if z[-1] > 0 else -1.0
        return way * z[-1] > sigma and sum(way * value > sigma for value in z[-of:]) >= count

    return rule


def _monotone(z: Sequence[float]) -> bool:
    steps = [after - before for before, after in pairwise(z[-6:])]
    return len(z) >= 6 and (all(step > 0 for step in steps) or all(step < 0 for step in steps))


def _alternating(z: Sequence[float]) -> bool:
    steps = [after - before for before, after in pairwise(z[-14:])]
    return len(z) >= 14 and all(one * next_one < 0 for one, next_one in pairwise(steps))


def _hugging(z: Sequence[float]) -> bool:
    return len(z) >= 15 and all(abs(value) < 1 for value in z[-15:])


def _avoiding(z: Sequence[float]) -> bool:
    return len(z) >= 8 and all(abs(value) > 1 for value in z[-8:])


# Western Electric, Statistical Quality Control Handbook (1956), zone tests; Nelson, J. Qual. Technol. 16 (1984)
# 237-239: from memory, not verified. Eight in a row is Western Electric's, nine is Nelson's.
RULES: dict[str, tuple[str, Rule]] = {
    "western_electric_1": ("one beyond 3 sigma", _beyond(1, 1, 3.0)),
    "western_electric_2": ("two of three beyond 2 sigma on one side", _beyond(2, 3, 2.0)),
    "western_electric_3": ("four of five beyond 1 sigma on one side", _beyond(4, 5, 1.0)),
    "western_electric_4": ("eight in a row on one side", _beyond(8, 8, 0.0)),
    "nelson_1": ("one beyond 3 sigma", _beyond(1, 1, 3.0)),
    "nelson_2": ("nine in a row on one side", _beyond(9, 9, 0.0)),
    "nelson_3": ("six in a row, each further the same way", _monotone),
    "nelson_4": ("fourteen in a row, up and down by turns", _alternating),
    "nelson_5": ("two of three beyond 2 sigma on one side", _beyond(2, 3, 2.0)),
    "nelson_6": ("four of five beyond 1 sigma on one side", _beyond(4, 5, 1.0)),
    "nelson_7": ("fifteen in a row within 1 sigma", _hugging),
    "nelson_8": ("eight in a row beyond 1 sigma, on either side", _avoiding),
}
FAMILIES = ("western_electric", "nelson")


def rule_signals(z: Sequence[float], asked: Sequence[str]) -> list[dict]:
    """Where the asked rules signal.

    Parameters
    ----------
    z : sequence of float
        Points in order, in standard units, any numbers. [-]
    asked : sequence of str
        Rules by name, or a family: `western_electric`, `nelson`.

    Returns
    -------
    list of dict
        `index` (from 0), `rule`, `says`; by index, then in the order of the table.

    Raises
    ------
    Nothing

    Notes
    -----
    A rule is evaluated at a point that itself lies in the rule's zone. Definition; sources in `RULES`.

    Examples
    --------
    >>> rule_signals([0.1, 2.1, -0.3, 2.2], ["western_electric"])
    [{'index': 3, 'rule': 'western_electric_2', 'says': 'two of three beyond 2 sigma on one side'}]
    """
    names = [name for name in RULES if name in asked or name.rsplit("_", 1)[0] in asked]
    return [
        {"index": i, "rule": name, "says": RULES[name][0]}
        for i in range(len(z))
        for name in names
        if RULES[name][1](z[max(0, i - 14) : i + 1])
    ]


def cusum(z: Sequence[float], slack: float = 0.5, limit: float = 5.0) -> dict:
    """The two tabular cumulative sums, and the points at which one is beyond its limit.

    Parameters
    ----------
    z : sequence of float
        Points in order, in standard units, any numbers. [-]
    slack : float
        Half the shift worth finding, at least 0. [-]
    limit : float
        Above 0. [-]

    Returns
    -------
    dict
        `high` and `low`, a sum for each point [-], and `signals`, indices from 0.

    Raises
    ------
    Nothing

    Notes
    -----
    S+ = max(0, S+ + z - slack), S- = max(0, S- - z - slack). Source: NIST/SEMATECH e-Handbook of Statistical
    Methods, section 6.3.2.3, doi:10.18434/M32189.

    Examples
    --------
    >>> cusum([0.0, 2.0, 4.5])["high"], cusum([0.0, 2.0, 4.5])["signals"]
    ([0.0, 1.5, 5.5], [2])
    """
    high, low = [], []
    for value in z:
        high.append(max(0.0, (high[-1] if high else 0.0) + value - slack))
        low.append(max(0.0, (low[-1] if low else 0.0) - value - slack))
    signals = [i for i, sums in enumerate(zip(high, low, strict=True)) if max(sums) > limit]
    return {"high": high, "low": low, "signals": signals}
