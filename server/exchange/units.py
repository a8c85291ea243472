"""Units as people write them in a header or after a figure, and what a figure in them is in ours."""

from server.compute.water.units import ALKALINITY_UNITS, HARDNESS_UNITS

# Ours -> {theirs: (times, plus)}. The pound and so the ounce are exact since 1959; a psi follows from both.
_OUNCE_G = 28.349523125
_PSI_BAR = 0.0689475729
CONVERSIONS: dict[str, dict[str, tuple[float, float]]] = {
    "g": {"g": (1, 0), "gr": (1, 0), "gram": (1, 0), "grams": (1, 0), "gramm": (1, 0), "kg": (1000, 0),
          "oz": (_OUNCE_G, 0)},
    "s": {"s": (1, 0), "sec": (1, 0), "secs": (1, 0), "second": (1, 0), "seconds": (1, 0), "sek": (1, 0),
          "sekunden": (1, 0), "min": (60, 0), "m:s": (1, 0), "mm:ss": (1, 0), "min:sec": (1, 0)},
    "°C": {"°c": (1, 0), "c": (1, 0), "celsius": (1, 0), "deg c": (1, 0), "°f": (5 / 9, -160 / 9),
           "f": (5 / 9, -160 / 9)},
    "bar": {"bar": (1, 0), "psi": (_PSI_BAR, 0), "kpa": (0.01, 0), "mpa": (10, 0)},
    "% by mass": {"%": (1, 0), "pct": (1, 0), "percent": (1, 0), "prozent": (1, 0), "% tds": (1, 0)},
    "°Brix": {"%": (1, 0), "°bx": (1, 0), "bx": (1, 0), "°brix": (1, 0), "brix": (1, 0)},
    "mg/L": {"mg/l": (1, 0), "ppm": (1, 0), "mg l": (1, 0)},
    "µS/cm": {"µs/cm": (1, 0), "us/cm": (1, 0), "µs": (1, 0), "ms/cm": (1000, 0)},
    "marks": {"marks": (1, 0), "clicks": (1, 0), "klicks": (1, 0), "steps": (1, 0)},
    "": {},
}  # fmt: skip
_OF_WATER = {
    "°dh": "dh", "dh": "dh", "°d": "dh", "gdh": "dh", "°fh": "fh", "fh": "fh", "°f": "fh", "°e": "clark",
    "°clark": "clark", "clark": "clark", "gpg": "gpg", "grains": "gpg", "mmol/l": "mmol_l", "meq/l": "meq_l",
    "mval/l": "meq_l", "mg/l": "mg_l_caco3", "ppm": "mg_l_caco3", "mg/l caco3": "mg_l_caco3",
    "mg/l as caco3": "mg_l_caco3", "ppm caco3": "mg_l_caco3", "mg/l hco3": "mg_l_hco3", "mg/l hco3-": "mg_l_hco3",
}  # fmt: skip
WATER_UNITS = {"hardness": HARDNESS_UNITS, "alkalinity": ALKALINITY_UNITS}


class UnknownUnit(ValueError):
    """A unit that a field isn't measured in; the text says which it is."""


def is_unit(text: str) -> bool:
    """Whether a word can stand at the end of a header as its unit.

    >>> is_unit("g"), is_unit("[bar]"), is_unit("date")
    (True, False, False)
    """
    unit = tidy(text)
    return unit in _OF_WATER or any(unit in theirs for theirs in CONVERSIONS.values())


def tidy(unit: str) -> str:
    letters = unit.strip().lower().replace("μ", "µ").replace("º", "°").replace("˚", "°")
    return letters.translate(str.maketrans("₀₁₂₃₄₅", "012345")).replace("⁻", "-").rstrip(".")


def convert(value: float, theirs: str, ours: str) -> float:
    """A figure in a unit of theirs, in ours. Raises UnknownUnit.

    >>> convert(1.5, "kg", "g"), round(convert(200.0, "°F", "°C"), 2)
    (1500.0, 93.33)
    """
    known = CONVERSIONS.get(ours, {})
    if not theirs or tidy(theirs) == tidy(ours):
        return value
    if tidy(theirs) not in known:
        volume = (
            " (a mass, never a volume)" if ours == "g" and tidy(theirs) in ("ml", "l", "cl", "fl oz") else ""
        )
        raise UnknownUnit(
            f"“{theirs}” is no unit that this is read in: give {ours or 'a plain number'}{volume}"
        )
    times, plus = known[tidy(theirs)]
    return value * times + plus


def water_unit(of: str, unit: str) -> str:
    """Our name of a unit of hardness or alkalinity. Raises UnknownUnit: a figure without its unit says nothing.

    >>> water_unit("hardness", "°dH"), water_unit("alkalinity", "mg/L HCO₃⁻")
    ('dh', 'mg_l_hco3')
    """
    known = WATER_UNITS[of]
    found = unit if unit in known else _OF_WATER.get(tidy(unit))
    if found not in known:
        said = f"“{unit}” is none" if unit else "it needs its unit"
        raise UnknownUnit(
            f"{said}: put one in the header or after the figure, such as °dH, °fH, gpg or mg/L CaCO3"
        )
    return found
