"""What a shot stands for: where its levels are, how they moved since the last one, and what weighs on its time.

Levels are nested: a coffee (with its recipe) lies around its grinder, a bag around its coffee. They wander
together, because what moves them, the room and the burrs, is common to them.
"""

import math

from server.compute.grind.belief import Belief
from server.compute.grind.priors import PRIORS

HOUR_MS = 3_600_000
LEVELS = ("grinder", "coffee:", "bag:")
HANDS = ("person:", "group:")
# The oldest are forgotten beyond these numbers, so that a state stays small enough to travel.
MOST = {"bag:": 4, "coffee:": 6, "person:": 8, "group:": 4}
USUAL_AGE_DAYS = 10.0


def names_of(belief: Belief, kinds: tuple[str, ...]) -> list[str]:
    """The unknowns of some kinds, oldest first.

    Parameters
    ----------
    belief : Belief
        What is believed.
    kinds : tuple of str
        How their names begin.

    Returns
    -------
    list of str
        Names.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.
    """
    return [name for name in belief.names if name.startswith(kinds)]


def coffee_name(shot: dict, recipe: dict) -> str:
    """The unknown that holds a coffee's level under a recipe: going back to it restores its baseline.

    Parameters
    ----------
    shot, recipe : dict
        Plain records; the shot's own `coffee_id` comes first.

    Returns
    -------
    str
        A name in the belief.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> coffee_name({"coffee_id": "tarn"}, {"id": "r1"})
    'coffee:tarn|r1'
    """
    return f"coffee:{shot.get('coffee_id') or recipe.get('coffee_id') or '-'}|{recipe.get('id') or '-'}"


def bag_name(shot: dict, recipe: dict) -> str:
    """The unknown that holds a bag's level under a recipe.

    Parameters
    ----------
    shot, recipe : dict
        Plain records.

    Returns
    -------
    str
        A name in the belief.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app.

    Examples
    --------
    >>> bag_name({"bag_id": "b7", "coffee_id": "tarn"}, {"id": "r1"})
    'bag:b7|coffee:tarn|r1'
    """
    return f"bag:{shot.get('bag_id') or '-'}|{coffee_name(shot, recipe)}"


def wander(state: dict, belief: Belief, at_ms: int) -> bool:
    """Let the levels move for the time since the last shot; says whether a night lay between.

    Parameters
    ----------
    state : dict
        A grinder's state.
    belief : Belief
        Changed in place.
    at_ms : int
        Milliseconds since 1970, any. [ms]

    Returns
    -------
    bool
        True after a night, and before the first shot ever.

    Raises
    ------
    Nothing

    Notes
    -----
    A gap of five hours or more is a night (or several): convention of this app, so that no time zone is needed.
    """
    if state["last"] is None:
        return True
    gap_h = max(0.0, (at_ms - state["last"]["at_ms"]) / HOUR_MS)
    slept = gap_h >= PRIORS["night_gap_h"]
    nights = max(1, math.floor(gap_h / 24 + 0.5))
    sd = PRIORS["night_sd"] * math.sqrt(nights) if slept else PRIORS["hour_sd"] * math.sqrt(gap_h)
    belief.loosen(names_of(belief, LEVELS), sd)
    return slept


def meet(belief: Belief, shot: dict, recipe: dict) -> list[str]:
    """The unknowns that a shot shows, its bag first; those never met before are drawn around their kin.

    Parameters
    ----------
    belief : Belief
        Changed in place.
    shot, recipe : dict
        Plain records.

    Returns
    -------
    list of str
        Names in the belief: the bag, then person and group where they are known.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: a bag lies around its coffee, or around itself under the recipe before.
    """
    coffee, bag = coffee_name(shot, recipe), bag_name(shot, recipe)
    _add_near(belief, coffee, "recipe_sd", "coffee_sd", "grinder")
    _add_near(belief, bag, "recipe_sd", "bag_sd", coffee)
    shown = [bag]
    for kind, key in (("person:", "person_id"), ("group:", "group")):
        if shot.get(key) is not None:
            shown.append(f"{kind}{shot[key]}")
            if shown[-1] not in belief.names:
                belief.add(shown[-1], 0.0, PRIORS["person_sd" if kind == "person:" else "group_sd"])
    for kind, most in MOST.items():
        known = names_of(belief, (kind,))
        for name in [n for n in known if n != coffee and n not in shown][: max(0, len(known) - most)]:
            belief.drop(name)
    return shown


def _add_near(belief: Belief, name: str, near_sd: str, far_sd: str, parent: str) -> None:
    """Add a level around the same coffee or bag under another recipe; failing that, around its parent."""
    if name not in belief.names:
        same = names_of(belief, (name.split("|")[0] + "|",))
        belief.add(name, 0.0, PRIORS[near_sd if same else far_sd], same[-1] if same else parent)


def steps_finer(state: dict, setting: float, grinder: dict) -> float:
    """How many steps finer a setting is than the first one that this grinder was seen at.

    Parameters
    ----------
    state : dict
        A grinder's state.
    setting : float
        Where the grinder stands, any. [marks]
    grinder : dict
        `finer` (`lower` or `higher` numbers; lower unless told), `step` [marks]; without one a mark counts as a step.

    Returns
    -------
    float
        Negative when coarser. [steps]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition.

    Examples
    --------
    >>> steps_finer({"setting_ref": 4.5}, 4.1, {"finer": "lower", "step": 0.2})
    2.0
    """
    way = 1.0 if grinder.get("finer") == "higher" else -1.0
    steps = way * (setting - state["setting_ref"]) / (grinder.get("step") or 1.0)
    return math.floor(steps * 1e6 + 0.5) / 1e6  # 4.5 - 4.1 isn't two steps of 0.2 in binary


def plain_row(state: dict, belief: Belief, shot: dict, recipe: dict, bag: str, slept: bool) -> dict[str, float]:
    """What weighs on a shot by the bar's average hand, setting apart.

    Parameters
    ----------
    state : dict
        A grinder's state.
    belief : Belief
        What is believed.
    shot : dict
        `age_days`, `dose_g`; the recipe's dose where there is none.
    recipe : dict
        `dose_g` [g].
    bag : str
        Name of the bag's level.
    slept : bool
        Whether a night lies before the shot.

    Returns
    -------
    dict
        Weight of each unknown. [its unit]

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app. An age that nobody knows counts as ten days.
    """
    age_days = shot.get("age_days")
    pulls = 0 if slept or not state["last"] else state["last"]["pulls_today"]
    row = {
        bag: 1.0,
        "dose": (shot.get("dose_g") or recipe["dose_g"]) - state["dose_ref_g"],
        "age": (USUAL_AGE_DAYS if age_days is None else age_days) - USUAL_AGE_DAYS,
        "warm": 1.0 if pulls < PRIORS["first_shots"] else 0.0,
    }
    for kind in HANDS:
        known = names_of(belief, (kind,))
        row |= {name: 1.0 / len(known) for name in known}
    return row


def hands_noise(belief: Belief) -> float:
    """How much more variable a shot is when nobody knows whose hands, at which group, will pull it.

    Parameters
    ----------
    belief : Belief
        What is believed.

    Returns
    -------
    float
        At least 0, in units of a plain shot's variance. [-]

    Raises
    ------
    Nothing

    Notes
    -----
    Variance of the believed offsets. Convention of this app.
    """
    extra = 0.0
    for kind in HANDS:
        offsets = [belief.mean[belief.names.index(name)] for name in names_of(belief, (kind,))]
        if offsets:
            centre = sum(offsets) / len(offsets)
            extra += sum((offset - centre) ** 2 for offset in offsets) / len(offsets)
    return extra / belief.variance
