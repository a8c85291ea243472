"""A recipe's time with its tolerance, and the chance of landing in it."""

import math

from server.compute.grind.student_t import t_cdf

# Common practice, no source.
TIME_TOL_S = 3.0


def window(recipe: dict) -> tuple[float, float]:
    """The recipe's tolerance of time, as logarithms of the share of the target.

    Parameters
    ----------
    recipe : dict
        `time_s` and `time_s_tol` [s]; 3 s where there is none, and never more than nine tenths of the time.

    Returns
    -------
    tuple of float
        Below 0 and above 0. [ln]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition.

    Examples
    --------
    >>> low, high = window({"time_s": 27.0, "time_s_tol": 3.0})
    >>> round(low, 4), round(high, 4)
    (-0.1178, 0.1054)
    """
    share = min(0.9, (recipe.get("time_s_tol") or TIME_TOL_S) / recipe["time_s"])
    return math.log(1.0 - share), math.log(1.0 + share)


def centre(recipe: dict) -> float:
    """The target that the model sees: ln of seconds per gram.

    Parameters
    ----------
    recipe : dict
        `time_s` [s] and `yield_g` [g], both above 0.

    Returns
    -------
    float
        Any number. [ln(s/g)]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition.
    """
    return math.log(recipe["time_s"] / recipe["yield_g"])


def chance(mean: float, sd: float, dof: int, recipe: dict) -> float:
    """The chance that a shot lands in its recipe's tolerance of time.

    Parameters
    ----------
    mean : float
        Middle of what is expected of ln(time to target / target yield), any. [ln(s/g)]
    sd : float
        Its scale, above 0. [ln]
    dof : int
        Its degrees of freedom, at least 1. [-]
    recipe : dict
        `time_s`, `time_s_tol` [s], `yield_g` [g].

    Returns
    -------
    float
        From 0 to 1. [-]

    Raises
    ------
    BadInput
        When `dof` is below 1.

    Notes
    -----
    Student's t with the belief's degrees of freedom.
    Source: West and Harrison 1997 (see `belief`), section 4.6: forecast with unknown variance.

    Examples
    --------
    >>> recipe = {"time_s": 28.0, "time_s_tol": 3.0, "yield_g": 36.0}
    >>> round(chance(centre(recipe), 0.07, 120, recipe), 3)
    0.872
    """
    low, high = window(recipe)
    gap = centre(recipe) - mean
    return t_cdf((gap + high) / sd, dof) - t_cdf((gap + low) / sd, dof)
