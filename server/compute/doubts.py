"""Entries that look like a slip of the hand: computed all the same, and flagged, each with what to check."""

from server.compute.choices import one_of
from server.compute.extraction import ratio, water_ratio
from server.compute.ranges import within

METHODS = ("espresso", "filter")

# Design limits of this app: outside them a figure is computed, and flagged as a doubtful entry.
# Espresso mostly shows 7 to 13 % (from memory, not verified); the brewing control chart has its centre at
# 1.15 to 1.35 % and 18 to 22 % (Lockhart 1957, as quoted by Batali, Ristenpart, Guinard 2020,
# doi from memory: 10.1038/s41598-020-73341-4).
USUAL_STRENGTH_PCT = {"espresso": (4.0, 18.0), "filter": (0.8, 2.5)}
USUAL_EXTRACTION_PCT = (12.0, 30.0)
# Common practice, no source: from a tight ristretto to a long lungo; for filter, beverage to dose.
USUAL_RATIO = {"espresso": (0.8, 6.0), "filter": (5.0, 16.0)}
USUAL_TIME_S = {"espresso": (8.0, 120.0), "filter": (45.0, 1800.0)}
# Grounds keep about 2 g of liquid per gram (1.8 to 2.5: from memory, not verified); wider here before we ask.
RETAINED_G_PER_G = (0.8, 4.0)


def strength_doubts(strength_pct: float, method: str = "espresso") -> list[str]:
    """Why a strength looks like a slip, each with what to check; an empty list when it doesn't.

    Parameters
    ----------
    strength_pct : float
        Dissolved solids, 0.001 to 30, in percent. [% by mass]
    method : str
        `espresso` or `filter`.

    Returns
    -------
    list of str
        Plain sentences.

    Raises
    ------
    BadInput
        When the strength is outside its range, or the method isn't one of the two.

    Notes
    -----
    Convention of this app: espresso 4 to 18 %, filter 0.8 to 2.5 %. A value that would be usual if it were a
    fraction is named as one.

    Examples
    --------
    >>> strength_doubts(0.095)
    ['strength 0.095 % looks like a fraction: if it was 9.5 %, enter 9.5']
    >>> strength_doubts(9.5)
    []
    """
    low, high = USUAL_STRENGTH_PCT[one_of("method", method, METHODS)]
    if low <= within("strength_pct", strength_pct, 0.001, 30.0, "% by mass") <= high:
        return []
    if low <= strength_pct * 100.0 <= high:
        meant = f"{strength_pct * 100.0:g}"
        return [f"strength {strength_pct:g} % looks like a fraction: if it was {meant} %, enter {meant}"]
    said = [
        f"strength {strength_pct:g} % is outside {low:g} to {high:g} %, usual for {method}: read it again"
    ]
    other = next(m for m in METHODS if m != method)
    other_low, other_high = USUAL_STRENGTH_PCT[other]
    return [f"{said[0]}, or is the method {other}?"] if other_low <= strength_pct <= other_high else said


def extraction_doubts(extraction: float) -> list[str]:
    """Why an extraction looks like a slip in one of its inputs; an empty list when it doesn't.

    Parameters
    ----------
    extraction : float
        Extraction, any number. [% of the dose]

    Returns
    -------
    list of str
        Plain sentences.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: 12 to 30 %. About 30 % of roasted coffee can dissolve (from memory, not verified).

    Examples
    --------
    >>> extraction_doubts(38.0)
    ['extraction 38 % is outside 12 to 30 %: check dose, yield and strength']
    """
    low, high = USUAL_EXTRACTION_PCT
    if low <= extraction <= high:
        return []
    return [f"extraction {extraction:.3g} % is outside {low:g} to {high:g} %: check dose, yield and strength"]


def ratio_doubts(
    dose_g: float, yield_g: float, method: str = "espresso", brew_water_g: float | None = None
) -> list[str]:
    """Why the masses don't go together: swapped, or brew water entered as beverage.

    Parameters
    ----------
    dose_g : float
        Dry mass of the dose, 0.1 to 250. [g]
    yield_g : float
        Mass of the beverage, 0.1 to 3000. [g]
    method : str
        `espresso` or `filter`.
    brew_water_g : float, optional
        Mass of water poured, if known, 0.1 to 5000. [g]

    Returns
    -------
    list of str
        Plain sentences.

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    Common practice, no source: espresso 1 : 0.8 to 1 : 6, filter 1 : 5 to 1 : 16 by the beverage's mass.

    Examples
    --------
    >>> ratio_doubts(60.0, 1000.0, "filter")
    ['ratio 1 : 16.7 is outside 1 : 5 to 1 : 16 for filter: was the water poured entered as the yield?']
    >>> ratio_doubts(36.0, 18.0)
    ['ratio 1 : 0.5 is outside 1 : 0.8 to 1 : 6 for espresso: are dose and yield swapped?']
    """
    low, high = USUAL_RATIO[one_of("method", method, METHODS)]
    found, said = ratio(yield_g, dose_g), []
    if not low <= found <= high:
        asks = "check dose and yield"
        if found < 1.0 and low <= 1.0 / found <= high:
            asks = "are dose and yield swapped?"
        elif method == "filter" and found > high:
            asks = "was the water poured entered as the yield?"
        said.append(f"ratio 1 : {found:.3g} is outside 1 : {low:g} to 1 : {high:g} for {method}: {asks}")
    if brew_water_g is not None:
        kept = water_ratio(brew_water_g, dose_g) - found
        if not RETAINED_G_PER_G[0] <= kept <= RETAINED_G_PER_G[1]:
            said.append(
                f"the grounds would hold {kept:.2g} g of liquid per gram, usual is about 2: "
                "check that the yield is the beverage and the brew water is what was poured"
            )
    return said


def time_doubts(time_s: float, method: str = "espresso") -> list[str]:
    """Why a time looks like minutes, or like a timer that nobody stopped.

    Parameters
    ----------
    time_s : float
        Water on to water off, above 0. [s]
    method : str
        `espresso` or `filter`.

    Returns
    -------
    list of str
        Plain sentences; empty when the time is usual.

    Raises
    ------
    BadInput
        When the method isn't one of the two.

    Notes
    -----
    Common practice, no source: espresso 8 to 120 s, filter 45 s to 30 min.

    Examples
    --------
    >>> time_doubts(3.5, "filter")
    ['time 3.5 s is outside 45 to 1800 s for filter: if it was 3.5 minutes, enter 210']
    >>> time_doubts(28.0)
    []
    """
    low, high = USUAL_TIME_S[one_of("method", method, METHODS)]
    if low <= time_s <= high:
        return []
    in_seconds = time_s * 60.0
    asks = (
        f"if it was {time_s:g} minutes, enter {in_seconds:g}"
        if low <= in_seconds <= high
        else "check the timer"
    )
    return [f"time {time_s:g} s is outside {low:g} to {high:g} s for {method}: {asks}"]
