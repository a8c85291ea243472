"""Do two readings differ, or is it the scale and the refractometer?"""

from statistics import NormalDist

from server.compute.errors import BadInput
from server.compute.measured import extraction_reading, strength_reading
from server.compute.uncertainty import COVERAGE_95, difference, standard_uncertainty
from server.compute.why import Why

# Causes that last all day, by the instrument they belong to; all others are new in every reading.
INSTRUMENT = {
    "scale_gain": "same_scale",
    "scale_offset_g": "same_scale",
    "strength_gain": "same_refractometer",
    "strength_offset_pct": "same_refractometer",
    "brix_factor": "same_refractometer",
}


def readings_differ(
    first: dict, second: dict, same_scale: bool = True, same_refractometer: bool = True
) -> dict:
    """Whether two readings differ by more than their own uncertainty.

    Parameters
    ----------
    first, second : dict
        Figures as for `extraction_reading`, with masses in both or in neither: then strengths are compared.
    same_scale : bool
        Both weighed on one scale: its bias is common, and cancels as far as it acts alike.
    same_refractometer : bool
        Both read on one refractometer, with one Brix factor: likewise.

    Returns
    -------
    dict
        `figure` compared (`extraction_pct` or `strength_pct`); `first`, `second`; `difference`, first less
        second, `u_difference`, `interval_95`, `least_difference` that could be told apart [% of the dose, or
        % by mass]; `differs`; `chance_if_equal` of a difference at least as large [-]; `sentence`;
        `doubts`; `why`.

    Raises
    ------
    BadInput
        When one of the readings can't be used (the field is named `first.…` or `second.…`), or only one has masses.

    Notes
    -----
    Two-sided at 5 %, errors about normal: they differ when |difference| > 1.96 u(difference).
    Source: JCGM 100:2008, 5.2.2 eq. 13 and annex G.

    Examples
    --------
    >>> one, other = {"dose_g": 18.0, "yield_g": 36.0, "strength_pct": 9.5}, {"dose_g": 18.0, "yield_g": 36.0}
    >>> found = readings_differ(one, {**other, "strength_pct": 9.3})
    >>> found["differs"], round(found["difference"], 2), round(found["least_difference"], 2)
    (False, 0.4, 0.43)
    """
    figure, (one, other) = _read_both(first, second)
    same = {"same_scale": same_scale, "same_refractometer": same_refractometer}
    shares = difference(_named(one, "first", same), _named(other, "second", same))
    u, gap = standard_uncertainty(shares), one[figure] - other[figure]
    differ = abs(gap) > COVERAGE_95 * u
    return {
        "figure": figure,
        "first": one[figure],
        "second": other[figure],
        "difference": gap,
        "u_difference": u,
        "interval_95": [gap - COVERAGE_95 * u, gap + COVERAGE_95 * u],
        "least_difference": COVERAGE_95 * u,
        "differs": differ,
        "chance_if_equal": _chance(gap, u),
        "sentence": _says(figure, gap, COVERAGE_95 * u, differ),
        "doubts": [
            f"{which}: {doubt}"
            for which, read in (("first", one), ("second", other))
            for doubt in read["doubts"]
        ],
        "why": [_why(one[figure], other[figure], shares)],
    }


def _read_both(first: dict, second: dict) -> tuple[str, list[dict]]:
    weighed = [reading.get("dose_g") is not None for reading in (first, second)]
    if any(weighed) != all(weighed):
        missing = "second" if weighed[0] else "first"
        raise BadInput(
            f"{missing}.dose_g", "only one reading has its masses: enter those of the other, or neither"
        )
    read = []
    for which, given in (("first", first), ("second", second)):
        try:
            read.append(
                extraction_reading(given) if weighed[0] else {**strength_reading(given), "doubts": []}
            )
        except BadInput as wrong:
            raise BadInput(f"{which}.{wrong.field}", wrong.errors[wrong.field][0]) from wrong
    return ("extraction_pct" if weighed[0] else "strength_pct"), read


def _named(read: dict, which: str, same: dict[str, bool]) -> dict[str, float]:
    """Shares by a name that two readings have in common only where the cause is the same thing."""
    common = {cause for cause, instrument in INSTRUMENT.items() if same[instrument]}
    return {
        cause if cause in common else f"{cause} ({which})": share for cause, share in read["shares"].items()
    }


def _chance(gap: float, u: float) -> float:
    if u == 0.0:
        return 1.0 if gap == 0.0 else 0.0
    return 2.0 * NormalDist().cdf(-abs(gap) / u)


def _says(figure: str, gap: float, least: float, differ: bool) -> str:
    name, unit = ("extraction", "points") if figure == "extraction_pct" else ("strength", "% by mass")
    if differ:
        more = "more" if gap > 0 else "less"
        return f"They differ: the first has {abs(gap):.2f} {unit} {more} {name}, and {least:.2f} could be told apart."
    return (
        f"They can't be told apart: {abs(gap):.2f} {unit} of {name} between them, "
        f"and with these instruments it takes {least:.2f}."
    )


def _why(first: float, second: float, shares: dict[str, float]) -> Why:
    return Why(
        "differs",
        "|first - second| > 1.96 x root of the sum of squares of each cause's share of the difference",
        {"first": first, "second": second} | {f"share of {cause}": share for cause, share in shares.items()},
        "JCGM 100:2008, 5.2.2 eq. 13 and annex G",
    )
