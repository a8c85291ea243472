"""Two waters mixed. What is conserved mixes in proportion; pH and saturation are solved again, never averaged."""

from dataclasses import replace

from server.compute.choices import one_of
from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.analysis import ASSUMED_TEMP_C, Analysis, complete
from server.compute.water.checks import ions_mg_l
from server.compute.water.equilibrium import Totals
from server.compute.water.fit import checked_ranges, properties_of
from server.compute.water.sample import Sample, alkalinity_of, hardness_of
from server.compute.water.speciation import as_sampled, closed

MIXES_LINEARLY = (
    "hardness_mg_l_caco3",
    "calcium_hardness_mg_l_caco3",
    "alkalinity_mg_l_caco3",
    "calcium_mg_l",
    "magnesium_mg_l",
    "sodium_mg_l",
    "chloride_mg_l",
    "sulphate_mg_l",
)
MET_WITHIN = 0.005  # of the target: closer than anybody sets a bypass valve; convention of this app


def mix(first: Sample, second: Sample, share_first: float) -> tuple[Sample, Analysis | None]:
    """The water that two waters make, and its analysis for speciation.

    Parameters
    ----------
    first, second : Sample
        The two waters as measured.
    share_first : float
        Volume of the first in the mix, 0 to 1. [L/L]

    Returns
    -------
    tuple of Sample, and Analysis or None
        Figures that both waters have; pH solved for a closed mix at 25 °C. None without alkalinity or
        calcium.

    Raises
    ------
    BadInput
        When the share is out of range, or one water's pH and alkalinity contradict each other.

    Notes
    -----
    Definition: ions, alkalinity and total carbon are conserved, so they mix by volume (a litre counted as 1
    kg); pH follows from alkalinity and carbon. Conductivity isn't conserved and is left out.

    Examples
    --------
    >>> hard, soft = Sample(hardness_mg_l_caco3=250.0), Sample(hardness_mg_l_caco3=5.0)
    >>> mix(hard, soft, 0.2)[0].hardness_mg_l_caco3
    54.0
    """
    within("share_first", share_first, 0.0, 1.0, "")
    shares = (share_first, 1.0 - share_first)
    known = {
        "hardness_mg_l_caco3": _linear(shares, hardness_of(first), hardness_of(second)),
        "alkalinity_mg_l_caco3": _linear(shares, alkalinity_of(first), alkalinity_of(second)),
        "free_chlorine_mg_l": _linear(shares, first.free_chlorine_mg_l, second.free_chlorine_mg_l),
        "dry_residue_mg_l": _linear(shares, first.dry_residue_mg_l, second.dry_residue_mg_l),
        "temp_c": ASSUMED_TEMP_C,
    }
    ions, other_ions = ions_mg_l(first), ions_mg_l(second)
    known |= {
        f"{name}_mg_l": _linear(shares, ions[name], other_ions[name])
        for name in ions
        if name != "bicarbonate"
    }
    analysis = _mixed_analysis((complete(first), complete(second)), shares)
    # A pH that rests on an assumed one is the analysis's, not a figure of the mix.
    known_ph = analysis is not None and first.ph is not None and second.ph is not None
    return Sample(**known, ph=analysis.ph if known_ph else None), analysis


def _linear(shares: tuple[float, float], first: float | None, second: float | None) -> float | None:
    return None if first is None or second is None else shares[0] * first + shares[1] * second


def _mixed_analysis(
    parts: tuple[Analysis | None, Analysis | None], shares: tuple[float, float]
) -> Analysis | None:
    if None in parts:
        return None
    water_kg_l = sum(share * part.water_kg_l for share, part in zip(shares, parts, strict=True))
    weights = [share * part.water_kg_l / water_kg_l for share, part in zip(shares, parts, strict=True)]
    totals = [as_sampled(part.totals, part.ph, part.temp_c).totals for part in parts]
    mixed = Totals(
        **{
            name: weights[0] * amount + weights[1] * getattr(totals[1], name)
            for name, amount in vars(totals[0]).items()
        }
    )
    return replace(
        parts[0],
        totals=mixed,
        ph=closed(mixed, ASSUMED_TEMP_C).ph,
        temp_c=ASSUMED_TEMP_C,
        water_kg_l=water_kg_l,
        ions={name: _linear(shares, amount, parts[1].ions[name]) for name, amount in parts[0].ions.items()},
        assumed=tuple(
            f"{which} water: {told}"
            for which, part in zip(("First", "Second"), parts, strict=True)
            for told in part.assumed
        ),
    )


def share_for(first: Sample, second: Sample, target: dict[str, float | dict]) -> tuple[float, list[str]]:
    """How much of the first water brings the mix to its targets, and what it can't reach.

    Parameters
    ----------
    first, second : Sample
        The two waters as measured.
    target : dict of str to float or dict
        A value, or {`low`, `high`}, for any of `MIXES_LINEARLY`; each at least 0. [mg/L, as the name says]

    Returns
    -------
    tuple of float and list of str
        Share of the first, 0 to 1 [L/L]; one sentence per target that this mix misses, empty when all are
        met.

    Raises
    ------
    BadInput
        When there is no target, or one that doesn't mix linearly, or a figure that it needs wasn't measured.

    Notes
    -----
    Convention of this app. Each target holds for an interval of shares (a straight line in the share). Where
    the intervals overlap: the middle of the overlap; else the share with the least sum of squared relative
    misses.

    Examples
    --------
    >>> hard, soft = Sample(hardness_mg_l_caco3=250.0), Sample(hardness_mg_l_caco3=5.0)
    >>> round(share_for(hard, soft, {"hardness_mg_l_caco3": 68.0})[0], 4)
    0.2571
    """
    lines = _lines(first, second, target)
    spans = [_shares_within(line) for line in lines.values()]
    low, high = max(span[0] for span in spans), min(span[1] for span in spans)
    share = (low + high) / 2 if low <= high else _least_miss(list(lines.values()))
    return share, [told for name, line in lines.items() if (told := _miss(name, line, share))]


_Line = tuple[float, float, float, float]  # at none of the first, at all of it, low, high


def _lines(first: Sample, second: Sample, target: dict[str, float | dict]) -> dict[str, _Line]:
    if not target:
        raise BadInput("target", "give at least one figure to reach, such as hardness_mg_l_caco3")
    wanted = {name: to if isinstance(to, dict) else {"low": to, "high": to} for name, to in target.items()}
    ours, theirs, lines = properties_of(first), properties_of(second), {}
    for name, ends in checked_ranges(
        {one_of("target", n, MIXES_LINEARLY): e for n, e in wanted.items()}, "target"
    ).items():
        for which, figures in (("first", ours), ("second", theirs)):
            if figures[name] is None:
                raise BadInput(
                    which, f"{name} isn't known of this water: measure it, or leave that target out"
                )
        low, high = ends["low"] or 0.0, float("inf") if ends["high"] is None else ends["high"]
        lines[name] = (theirs[name], ours[name], low, high)
    return lines


def _shares_within(line: _Line) -> tuple[float, float]:
    """The shares, between 0 and 1, at which one figure is in its range; low above high when there are none."""
    none, whole, low, high = line
    if none == whole:
        return (0.0, 1.0) if low <= none <= high else (1.0, 0.0)
    ends = sorted(((low - none) / (whole - none), (high - none) / (whole - none)))
    return max(ends[0], 0.0), min(ends[1], 1.0)


def _off(line: _Line, share: float) -> float:
    """How far a figure is out of its range, relative to the range's end (10 mg/L at least)."""
    none, whole, low, high = line
    value = none + share * (whole - none)
    end = low if value < low else high
    return abs(value - end) / max(end, 10.0) if not low <= value <= high else 0.0


def _least_miss(lines: list[_Line]) -> float:
    """Where the sum of squared misses, which is convex in the share, is least: by thirds."""

    def miss(share: float) -> float:
        return sum(_off(line, share) ** 2 for line in lines)

    low, high = 0.0, 1.0
    for _ in range(60):
        third = (high - low) / 3
        if miss(low + third) <= miss(high - third):
            high -= third
        else:
            low += third
    return min(0.0, 1.0, (low + high) / 2, key=miss)


def _miss(name: str, line: _Line, share: float) -> str | None:
    if _off(line, share) <= MET_WITHIN:
        return None
    none, whole, low, high = line
    value = none + share * (whole - none)
    wanted = f"{low:g}" if low == high else f"{low:g} to {high:g}".replace(" to inf", " or more")
    if max(none, whole) < low or min(none, whole) > high:
        side, remedy = ("below", "richer in it") if max(none, whole) < low else ("above", "poorer in it")
        return (
            f"{name}: no mix reaches {wanted}, both waters are {side} it ({whole:.3g} and {none:.3g}): "
            f"a third water, {remedy}, would."
        )
    alone = _shares_within(line)
    middle = (alone[0] + alone[1]) / 2
    return (
        f"{name}: {wanted} alone would take {middle:.0%} of the first water, but the other targets pull away: "
        f"this mix has {value:.3g}."
    )
