"""What to say beside a jug of milk: burns, heat, leftovers, allergens. By key, so that a screen can translate."""

from server.compute.milk_kinds import MilkKind

CAUTION_FROM_C, SCALD_FROM_C = 65.0, 60.0

CAUTIONS = {
    "steam": "Steam, the wand and the jug burn: purge away from hands, wipe with a thick cloth. "
    "The machine maker's manual comes first.",
    "scald": "From 60 °C a spill burns adult skin in under five seconds, a child's sooner.",
    "hot": "From 65 °C milk burns the mouth within about two seconds, loses sweetness and foams worse: "
    "stop earlier unless somebody asked for it.",
    "leftover": "Milk once steamed isn't kept or steamed again. Local food law comes first.",
    "milk": "Allergen: milk.",
    "oats": "Allergen: oats.",
    "gluten": "Allergen: gluten, unless the carton says that it is free of it.",
    "soya": "Allergen: soya.",
    "nuts": "Allergen: nuts.",
    "label": "Read the carton's own label for allergens, and keep a jug and a cloth for each kind.",
}


def milk_cautions(kind: MilkKind, target_c: float) -> tuple[str, ...]:
    """What to say beside a jug: burns, heat by temperature, leftovers, allergens.

    Parameters
    ----------
    kind : MilkKind
        The milk in the jug.
    target_c : float
        Temperature it is steamed to, any. [°C]

    Returns
    -------
    tuple of str
        Keys of `CAUTIONS`, the most urgent first.

    Raises
    ------
    Nothing

    Notes
    -----
    Scald times: a burn-institute table as circulated, about 5 s at 60 °C, 1.5 s at 66 °C (quoted by others,
    original not read). Flatter taste from 65 °C: common practice, no source.

    Examples
    --------
    >>> from server.compute.milk_kinds import MILKS
    >>> milk_cautions(MILKS["soy"], 58.0)
    ('steam', 'leftover', 'soya', 'label')
    """
    keys = ["steam"]
    if target_c >= SCALD_FROM_C:
        keys.append("scald")
    if target_c >= CAUTION_FROM_C:
        keys.append("hot")
    return (*keys, "leftover", *kind.allergens, "label")
