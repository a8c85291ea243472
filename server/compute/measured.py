"""One reading of a shot or a brew: strength and extraction, how sure they are, and what is doubtful about them."""

from server.compute.choices import one_of
from server.compute.doubts import METHODS, extraction_doubts, ratio_doubts, strength_doubts
from server.compute.errors import BadInput
from server.compute.extraction import (
    FORMS,
    extraction_pct,
    immersion_extraction_pct,
    ratio,
    water_ratio,
    why_extraction,
)
from server.compute.ranges import within
from server.compute.refractometer import BRIX_FACTOR, U_BRIX_FACTOR, strength_from_brix_pct, why_strength
from server.compute.uncertainty import U_READING, extraction_shares, interval_95, standard_uncertainty
from server.compute.why import Why

BIASES = {
    "u_scale_gain": "scale_gain",
    "u_scale_offset_g": "scale_offset_g",
    "u_strength_gain": "strength_gain",
    "u_strength_offset_pct": "strength_offset_pct",
}


def extraction_reading(given: dict) -> dict:
    """Strength, extraction and their uncertainty from one set of figures.

    Parameters
    ----------
    given : dict
        `dose_g`, 0.1 to 250 [g]; `yield_g`, 0.1 to 3000 [g], or for immersion `brew_water_g`, 0.1 to 5000 [g];
        `strength_pct`, 0.001 to 30 [% by mass], or `brix_pct`, 0 to 40 [°Bx], with `brix_factor` and
        `sample_temp_c`; `method` (`espresso`, `filter`) and `form` (`beverage`, `immersion`). Standard
        uncertainties of one reading: `u_dose_g`, `u_yield_g`, `u_brew_water_g` [g], `u_strength_pct`
        [% by mass]; of the Brix factor: `u_brix_factor` [% per °Bx]; of an instrument's bias: `u_scale_gain`,
        `u_strength_gain` [-], `u_scale_offset_g` [g], `u_strength_offset_pct` [% by mass].

    Returns
    -------
    dict
        `ratio` and `ratio_is`; `strength_pct`, `u_strength_pct` [% by mass]; `extraction_pct`,
        `u_extraction_pct`, `interval_95` [% of the dose]; `shares` of the extraction's uncertainty by cause
        [% of the dose] and `strength_shares` [% by mass]; `doubts` and `assumed` [sentences]; `why`.

    Raises
    ------
    BadInput
        When a figure is missing, outside its range, or given twice over.

    Notes
    -----
    Sources as in `extraction_pct`, `strength_from_brix_pct` and `extraction_shares`. A `u_strength_pct` that is
    given beside °Brix covers the factor too, unless `u_brix_factor` is given as well.

    Examples
    --------
    >>> found = extraction_reading({"dose_g": 18.0, "yield_g": 36.0, "strength_pct": 9.5})
    >>> found["extraction_pct"], round(found["u_extraction_pct"], 5), found["doubts"]
    (19.0, 0.15469, [])
    """
    method = one_of("method", given.get("method") or "espresso", METHODS)
    form = one_of("form", given.get("form") or "beverage", FORMS)
    liquid = "brew_water_g" if form == "immersion" else "yield_g"
    for name in ("dose_g", liquid):
        if given.get(name) is None:
            raise BadInput(name, f"is needed for an extraction by {form}: weigh it")
    strength = strength_reading(given)
    formula = immersion_extraction_pct if form == "immersion" else extraction_pct
    extraction = formula(given["dose_g"], given[liquid], strength["strength_pct"])
    shares = _shares(given, method, form, liquid, extraction, strength)
    u = standard_uncertainty(shares)
    return {
        **_ratio(given, form),
        "strength_pct": strength["strength_pct"],
        "u_strength_pct": strength["u_strength_pct"],
        "extraction_pct": extraction,
        "u_extraction_pct": u,
        "interval_95": list(interval_95(extraction, u)),
        "shares": shares,
        "strength_shares": strength["shares"],
        "doubts": _doubts(given, method, form, strength["strength_pct"], extraction),
        "assumed": [*strength["assumed"], *_stated(given, method, liquid)],
        "why": [
            why_extraction(given["dose_g"], strength["strength_pct"], given[liquid], form),
            *strength["why"],
            _why_uncertainty(shares),
        ],
    }


def strength_reading(given: dict) -> dict:
    """Strength and its uncertainty, read as such or from °Brix.

    Parameters
    ----------
    given : dict
        As for `extraction_reading`; masses aren't needed.

    Returns
    -------
    dict
        `strength_pct`, `u_strength_pct`, the part of it that is new in every reading, `u_reading_pct`
        [% by mass]; `brix_gain`, relative uncertainty of the Brix factor [-]; `shares` by cause [% by mass];
        `assumed`; `why`.

    Raises
    ------
    BadInput
        When there is neither strength nor °Brix, or both, or one is outside its range.

    Notes
    -----
    Sources as in `extraction_reading`.

    Examples
    --------
    >>> found = strength_reading({"brix_pct": 11.2})
    >>> round(found["strength_pct"], 2), round(found["u_strength_pct"], 2)
    (9.52, 0.26)
    """
    method = one_of("method", given.get("method") or "espresso", METHODS)
    brix_pct, strength_pct = given.get("brix_pct"), given.get("strength_pct")
    if (brix_pct is None) == (strength_pct is None):
        raise BadInput("strength_pct", "give either strength_pct or brix_pct, one of the two")
    gain, assumed, why = 0.0, [], []
    if strength_pct is None:
        strength_pct, gain, assumed, why = _from_brix(given)
    within("strength_pct", strength_pct, 0.001, 30.0, "% by mass")
    u_reading_pct = within("u_strength_pct", _u(given, "u_strength_pct", method), 0.0, 10.0, "% by mass")
    biases = _biases(given)
    shares = {
        "strength": u_reading_pct,
        "strength_gain": strength_pct * biases.get("strength_gain", 0.0),
        "strength_offset_pct": biases.get("strength_offset_pct", 0.0),
        "brix_factor": strength_pct * gain,
    }
    return {
        "strength_pct": strength_pct,
        "u_strength_pct": standard_uncertainty(shares),
        "u_reading_pct": u_reading_pct,
        "brix_gain": gain,
        "shares": {cause: share for cause, share in shares.items() if share},
        "assumed": assumed,
        "why": why,
    }


def _shares(
    given: dict, method: str, form: str, liquid: str, extraction: float, strength: dict
) -> dict[str, float]:
    return extraction_shares(
        extraction,
        given["dose_g"],
        given[liquid],
        strength["strength_pct"],
        _u(given, "u_dose_g", method),
        _u(given, f"u_{liquid}", method),
        strength["u_reading_pct"],
        _biases(given),
        form,
        strength["brix_gain"],
    )


def _biases(given: dict) -> dict[str, float]:
    """The instruments' biases that were stated, by cause."""
    stated = {field: given[field] for field in BIASES if given.get(field) is not None}
    return {BIASES[field]: within(field, u, 0.0, 10.0, "") for field, u in stated.items()}


def _from_brix(given: dict) -> tuple[float, float, list[str], list[Why]]:
    """Strength, relative uncertainty of the factor, what was assumed, and the reasons."""
    brix_pct, sample_temp_c, assumed = given["brix_pct"], given.get("sample_temp_c"), []
    factor, u_factor = given.get("brix_factor"), given.get("u_brix_factor")
    if factor is None:
        factor = BRIX_FACTOR
        assumed.append(f"strength = {factor:g} x °Brix: a factor in common use, not peer-reviewed")
    if u_factor is None and given.get("u_strength_pct") is None:
        u_factor = U_BRIX_FACTOR
        assumed.append(f"standard uncertainty by default: u_brix_factor = {u_factor:g}")
    strength_pct = strength_from_brix_pct(brix_pct, factor, sample_temp_c)
    if not 0.001 <= strength_pct <= 30.0:
        raise BadInput(
            "brix_pct", f"gives a strength of {strength_pct:.3g} %: zero the instrument, read again"
        )
    gain = within("u_brix_factor", u_factor or 0.0, 0.0, 0.3, "% per °Bx") / factor
    return strength_pct, gain, assumed, [why_strength(brix_pct, factor, sample_temp_c)]


def _u(given: dict, name: str, method: str) -> float:
    """A standard uncertainty as given, or this app's default for the method."""
    return U_READING[method][name] if given.get(name) is None else given[name]


def _ratio(given: dict, form: str) -> dict:
    if form == "immersion":
        return {
            "ratio": water_ratio(given["brew_water_g"], given["dose_g"]),
            "ratio_is": "brew water to dose",
        }
    return {"ratio": ratio(given["yield_g"], given["dose_g"]), "ratio_is": "beverage to dose"}


def _doubts(given: dict, method: str, form: str, strength_pct: float, extraction: float) -> list[str]:
    masses = []
    if given.get("yield_g") is not None:
        masses = ratio_doubts(given["dose_g"], given["yield_g"], method, given.get("brew_water_g"))
    if form == "immersion" and method == "espresso":
        masses = ["espresso is no immersion: choose the method filter, or the form beverage", *masses]
    return [*masses, *strength_doubts(strength_pct, method), *extraction_doubts(extraction)]


def _stated(given: dict, method: str, liquid: str) -> list[str]:
    names = ["u_dose_g", f"u_{liquid}", "u_strength_pct"]
    missing = [f"{name} = {U_READING[method][name]:g}" for name in names if given.get(name) is None]
    return [f"standard uncertainties by default: {', '.join(missing)}"] if missing else []


def _why_uncertainty(shares: dict[str, float]) -> Why:
    return Why(
        "u_extraction_pct",
        "square root of the sum of squares of each cause's share",
        {f"share of {cause}": share for cause, share in shares.items()},
        "JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2 eq. 10, 5.2.2 eq. 13",
    )
