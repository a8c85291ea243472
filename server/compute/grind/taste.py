"""From what a tongue says to one change: a table to be read, and argued with.

Two wants come out of the words: to extract more or less (`extraction`), and a stronger or a weaker cup
(`strength`), the two axes of the brewing control chart (Lockhart 1957, as quoted by Batali, Ristenpart and Guinard
2020, doi from memory: 10.1038/s41598-020-73341-4).
Ground coffee gives up what is sour first and what is bitter last: common
practice, no source.
"""

PRACTICE = "common practice, no source"
CHART = "axes of the brewing control chart (Lockhart 1957, quoted by Batali et al. 2020); for espresso common practice"
HEAT = (
    "common practice; at fixed strength and extraction 87 to 93 °C made no appreciable difference in drip coffee "
    "(Batali et al. 2020), so temperature can act through extraction only"
)

# The first row whose extraction, strength and time all fit is the answer; None fits anything.
# extraction: 1 more is wanted, -1 less, "both" the words pull both ways, "flat" too little of either.
# strength: 1 a stronger cup is wanted, -1 a weaker one. time: the typical pull against the target.
TABLE = tuple(
    dict(zip(("extraction", "strength", "time", "advice", "reason", "source"), row, strict=True))
    for row in (
        ("both", None, None, "look at the prep", "sour and bitter contradict each other: an uneven puck", PRACTICE),
        ("flat", None, None, "hotter", "neither acid nor bitter: little was dissolved of anything", HEAT),
        (1, 1, "long", "hotter", "sour and thin, yet late: the words ask for finer, the clock doesn't", HEAT),
        (1, 1, None, "finer", "sour and thin: finer extracts more and keeps the cup small", CHART),
        (1, -1, None, "more yield", "sour and heavy: more water extracts more and thins it", CHART),
        (-1, -1, "short", "cooler", "bitter and heavy, yet early: the words ask for coarser, the clock doesn't", HEAT),
        (-1, -1, None, "coarser", "bitter and heavy: coarser extracts less and thins it", CHART),
        (-1, 1, None, "less yield", "bitter and thin: less water extracts less and strengthens it", CHART),
        (1, 0, "short", "finer", "sour and early: finer slows it and extracts more", PRACTICE),
        (1, 0, "long", "hotter", "sour though late: more heat extracts more without slowing it", HEAT),
        (1, 0, None, "more yield", "sour in time: more water extracts more and leaves the grind alone", CHART),
        (-1, 0, "long", "coarser", "bitter and late: coarser speeds it and extracts less", PRACTICE),
        (-1, 0, "short", "cooler", "bitter though early: less heat extracts less without speeding it", HEAT),
        (-1, 0, None, "less yield", "bitter in time: less water extracts less and leaves the grind alone", CHART),
        (0, 1, None, "less yield", "thin, else as wanted: less water strengthens it", CHART),
        (0, -1, None, "more yield", "heavy, else as wanted: more water thins it", CHART),
        (0, 0, None, "hold", "nothing here that a change would put right", PRACTICE),
    )
)  # fmt: skip


def wants(taste: dict) -> tuple[int | str, int]:
    """What the words ask for: more or less extraction, a stronger or a weaker cup.

    Parameters
    ----------
    taste : dict
        `acidity`, `sweetness`, `bitterness`, `body`: -2 to 2 against what is wanted; 0 where nothing was said.

    Returns
    -------
    tuple of int or str
        Extraction (1, 0, -1, "both", "flat") and strength (1, 0, -1). [-]

    Raises
    ------
    Nothing

    Notes
    -----
    Common practice, no source. A lack of sweetness alone counts as too little extraction.

    Examples
    --------
    >>> wants({"acidity": 1, "body": -1})
    (1, 1)
    >>> wants({"acidity": 2, "bitterness": 1})
    ('both', 0)
    """
    acidity, bitterness = taste.get("acidity") or 0, taste.get("bitterness") or 0
    body = taste.get("body") or 0
    strength = (body < 0) - (body > 0)
    if acidity > 0 and bitterness > 0:
        return "both", strength
    if acidity < 0 and bitterness < 0:
        return "flat", strength
    more, less = acidity > 0 or bitterness < 0, bitterness > 0 or acidity < 0
    lacks_sweetness = (taste.get("sweetness") or 0) < 0
    return (more or (lacks_sweetness and not less)) - less, strength


def one_change(taste: dict, time: str) -> dict:
    """The table's row for these words.

    Parameters
    ----------
    taste : dict
        As for `wants`.
    time : str
        `short`, `within` or `long`: the typical pull against the target.

    Returns
    -------
    dict
        `advice`, `reason`, `source`, and what it was found by.

    Raises
    ------
    Nothing

    Notes
    -----
    Each row carries its own source, or says that it has none.

    Examples
    --------
    >>> one_change({"bitterness": 1, "body": 1}, "within")["advice"]
    'coarser'
    """
    asked = (*wants(taste), time)
    keys = ("extraction", "strength", "time")
    return next(row for row in TABLE if all(row[k] in (None, want) for k, want in zip(keys, asked, strict=True)))
