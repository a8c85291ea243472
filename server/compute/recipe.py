"""A shot against the recipe that it was pulled to."""

from server.compute.why import Why

# Common practice, no source. The recipe's own `_tol` comes first; pressure is judged only where it has one.
TOLERANCES = {"dose_g": 0.2, "yield_g": 1.5, "time_s": 3.0, "water_temp_c": 0.5, "pressure_bar": None}
# A shot is on recipe by these; nobody can say so while one of them wasn't measured.
DECIDING = ("yield_g", "time_s")
ROUNDING = 1e-9  # 18.2 - 18 is a hair more than 0.2 in binary


def against_recipe(shot: dict, recipe: dict | None) -> dict:
    """Which figures are outside the recipe's tolerances, and whether the shot as a whole is on it.

    Parameters
    ----------
    shot : dict
        `dose_g`, `yield_g` [g], `time_s` [s], `water_temp_c` [°C], `pressure_bar` [bar], `assumed` [field
        names]; what is absent isn't judged.
    recipe : dict or None
        Targets of the same names, each with its `_tol` if it has one.

    Returns
    -------
    dict
        `on_recipe`: True, False, or None where there is no recipe, or where yield or time wasn't measured and
        nothing else is outside; `outside`: names of the measured figures that are. [field names]

    Raises
    ------
    Nothing

    Notes
    -----
    Common practice, no source: dose 0.2 g, yield 1.5 g, time 3 s, water 0.5 °C either way. An assumed figure
    is never judged: it would only be compared with the recipe that it was filled in from.

    Examples
    --------
    >>> recipe = {"dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0, "time_s_tol": 2.0}
    >>> against_recipe({"dose_g": 18.2, "yield_g": 37.0, "time_s": 30.5}, recipe)
    {'on_recipe': False, 'outside': ['time_s']}
    >>> against_recipe({"dose_g": 18.0, "yield_g": 36.0, "time_s": 28.0, "assumed": ["yield_g"]}, recipe)
    {'on_recipe': None, 'outside': []}
    """
    if recipe is None:
        return {"on_recipe": None, "outside": []}
    assumed = shot.get("assumed") or []
    measured = [name for name in TOLERANCES if shot.get(name) is not None and name not in assumed]
    outside = [name for name in measured if _is_outside(name, shot[name], recipe)]
    decided = all(name in measured for name in DECIDING)
    return {"on_recipe": False if outside else (True if decided else None), "outside": outside}


def why_on_recipe(shot: dict, recipe: dict) -> Why:
    """Why a shot is on its recipe or not, as data.

    Parameters
    ----------
    shot, recipe : dict
        As for `against_recipe`.

    Returns
    -------
    Why
        Each target that the shot has a figure for, with the tolerance that was used.

    Raises
    ------
    Nothing

    Notes
    -----
    Common practice, no source, where the recipe has no tolerance of its own.

    Examples
    --------
    >>> why_on_recipe({"time_s": 30.5}, {"dose_g": 18.0, "time_s": 28.0, "time_s_tol": 2.0}).inputs
    {'time_s': 30.5, 'target time_s': 28.0, 'tolerance time_s': 2.0}
    """
    inputs, usual = {}, []
    for name in TOLERANCES:
        tolerance = _tolerance(name, recipe)
        if shot.get(name) is None or recipe.get(name) is None or tolerance is None:
            continue
        inputs |= {name: shot[name], f"target {name}": recipe[name], f"tolerance {name}": tolerance}
        if recipe.get(f"{name}_tol") is None:
            usual.append(f"tolerance of {name}: {tolerance:g}, common practice, no source")
    formula = "every measured figure within target ± tolerance; yield and time both measured"
    return Why("on_recipe", formula, inputs, "the recipe", tuple(usual))


def _tolerance(name: str, recipe: dict) -> float | None:
    own = recipe.get(f"{name}_tol")
    return TOLERANCES[name] if own is None else own


def _is_outside(name: str, value: float, recipe: dict) -> bool:
    target, tolerance = recipe.get(name), _tolerance(name, recipe)
    return target is not None and tolerance is not None and abs(value - target) > tolerance + ROUNDING
