"""Finding a threshold by halving: slow, short, and sure to arrive."""

from collections.abc import Callable


def threshold(still_below: Callable[[float], bool], low: float, high: float, steps: int = 50) -> float:
    """The point at which a question turns from yes to no.

    Parameters
    ----------
    still_below : callable
        True left of the threshold, False right of it, for any number in between. [unit of `low`]
    low, high : float
        Any two numbers with the threshold between them. [any unit]
    steps : int
        Halvings, at least 1. [-]

    Returns
    -------
    float
        The threshold, to within 2**-steps of the width; `low` or `high` if it isn't between them. [unit of `low`]

    Raises
    ------
    Nothing
        Any two numbers do.

    Notes
    -----
    Definition of bisection.

    Examples
    --------
    >>> round(threshold(lambda x: x * x < 2.0, 0.0, 2.0), 12)
    1.414213562373
    """
    for _ in range(steps):
        middle = (low + high) / 2
        low, high = (middle, high) if still_below(middle) else (low, middle)
    return (low + high) / 2
