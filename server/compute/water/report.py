"""The whole answer for one water: hardness, alkalinity, scale, corrosion, fit, and what was assumed."""

from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.analysis import Analysis, complete
from server.compute.water.checks import charge_balance_pct, dissolved_solids_mg_l, doubts
from server.compute.water.constants import TEMP_RANGE_C
from server.compute.water.corrosion import corrosion
from server.compute.water.fit import fit, judged, maker_ranges, properties_of
from server.compute.water.langelier import SAYS, langelier_simple
from server.compute.water.reasons import reasons
from server.compute.water.sample import HARDNESS_PER_MG, Sample, alkalinity_of, cation_of, hardness_of
from server.compute.water.saturation import (
    CONCENTRATION_RANGE,
    SI_UNCERTAINTY,
    SI_UNCERTAINTY_BECAUSE,
    Saturation,
    saturation_at,
)
from server.compute.water.speciation import as_sampled
from server.compute.water.units import EQUIVALENT_CACO3_G

GROUP_TEMP_C = 93.0
STEAM_TEMP_C = 125.0  # a boiler at about 1.3 bar on its gauge
STEAM_CONCENTRATION = (1.0, 5.0)  # common practice, no source
PLACES = ("group", "steam", "steam_concentrated_low", "steam_concentrated")
CAUTIONS = (
    "A guide: the machine maker's limits come first, and decide the warranty.",
    "Boilers are hot and under pressure: descaling and opening one is for qualified people, by its manual.",
)


def water_report(
    sample: Sample,
    group_temp_c: float | None = None,
    steam_temp_c: float | None = None,
    steam_concentration: tuple[float, float] | None = None,
    litres_per_week: float | None = None,
    maker_limits: dict[str, float | None] | None = None,
    ranges: dict[str, dict] | None = None,
    analysis: Analysis | None = None,
) -> dict:
    """Everything that can be said of one water in one machine.

    Parameters
    ----------
    sample : Sample
        What was measured.
    group_temp_c, steam_temp_c : float, optional
        Water temperatures, 0 to 150; 93 and 125 are assumed. [°C]
    steam_concentration : tuple of float, optional
        How many times the steam boiler concentrates its salts, both ends, 1 to 10; 1 to 5 is assumed. [-]
    litres_per_week : float, optional
        Water through the machine, 0 to 100000. [L/week]
    maker_limits : dict of str to float, optional
        As in the machine's record, see `fit.maker_ranges`; any. [unit of its name]
    ranges : dict of str to dict, optional
        Own ranges for the fit, see `fit.fit`.
    analysis : Analysis, optional
        Of a blend, whose pH was solved from its parts; else it is made from the sample.

    Returns
    -------
    dict
        The fields of the question `water`; None for whatever can't be known.

    Raises
    ------
    BadInput
        When a value is out of range. A pH and an alkalinity that contradict each other are a doubt instead.

    Notes
    -----
    Source of each figure: its entry in `why`. Valid range of the index: see `saturation`.

    Examples
    --------
    >>> kit = Sample(hardness_mg_l_caco3=145.0, alkalinity_mg_l_caco3=107.0, ph=7.6)
    >>> round(water_report(kit)["si_calcite"]["group"], 1)
    0.6
    """
    analysis = analysis or complete(sample)
    assumed = list(analysis.assumed) if analysis else []
    group_temp_c = _temp_c("group_temp_c", group_temp_c, GROUP_TEMP_C, "Water at the group", assumed)
    steam_temp_c = _temp_c("steam_temp_c", steam_temp_c, STEAM_TEMP_C, "Water in the steam boiler", assumed)
    if steam_concentration is None:
        assumed.append("The steam boiler concentrates salts 1 to 5 times: common practice, no source.")
    low, high = _concentration(steam_concentration or STEAM_CONCENTRATION)
    where = ((group_temp_c, 1.0), (steam_temp_c, 1.0), (steam_temp_c, low), (steam_temp_c, high))
    places, contradictions = _places(analysis, where)
    makers = maker_ranges(maker_limits or {})
    alkalinity = alkalinity_of(sample)
    chloride_limit = makers.get("chloride_mg_l", {}).get("high")
    answer = {
        "hardness_mg_l_caco3": hardness_of(sample),
        "alkalinity_mg_l_caco3": alkalinity,
        "calcium_mg_l": cation_of(sample, "calcium"),
        "magnesium_mg_l": cation_of(sample, "magnesium"),
        "ph": sample.ph,
        "charge_balance_pct": charge_balance_pct(sample),
        **_scale(places, litres_per_week),
        "si_uncertainty": SI_UNCERTAINTY,
        "si_uncertainty_because": SI_UNCERTAINTY_BECAUSE,
        "langelier_shortcut": _shortcut(sample, analysis, where),
        "corrosion": corrosion(sample, alkalinity, chloride_limit, (low, high)),
        "fit": fit(sample, ranges),
        "maker": judged(properties_of(sample), makers),
        "used": None if analysis is None else _used(analysis),
        "assumed": assumed + _warnings(places),
        "doubts": doubts(sample) + contradictions,
        "cautions": list(CAUTIONS),
    }
    return {
        **answer,
        "why": [why.as_dict() for why in reasons(sample, analysis, places, answer, litres_per_week)],
    }


def _temp_c(field: str, given: float | None, default: float, which: str, assumed: list[str]) -> float:
    if given is None:
        assumed.append(f"{which} has {default:g} °C.")
        return default
    return within(field, given, *TEMP_RANGE_C, "°C")


def _concentration(ends: tuple[float, float]) -> tuple[float, float]:
    low, high = (within("steam_concentration", end, *CONCENTRATION_RANGE, "") for end in ends)
    if low > high:
        raise BadInput("steam_concentration", "the low end is above the high end: swap them")
    return low, high


def _places(analysis: Analysis | None, where: tuple) -> tuple[dict[str, Saturation | None], list[str]]:
    """The water in each place; None, with the reason, where it can't be speciated."""
    nowhere = dict.fromkeys(PLACES)
    if analysis is None:
        return nowhere, ["Saturation needs a hardness (or calcium) and an alkalinity."]
    try:
        totals = as_sampled(analysis.totals, analysis.ph, analysis.temp_c).totals
    except BadInput as contradiction:
        return nowhere, [f"{contradiction}."]
    known = {spot: saturation_at(totals, *spot, analysis.water_kg_l) for spot in dict.fromkeys(where)}
    return {name: known[spot] for name, spot in zip(PLACES, where, strict=True)}, []


def _scale(places: dict[str, Saturation | None], litres_per_week: float | None) -> dict:
    def each(figure: str) -> dict:
        return {name: None if there is None else getattr(there, figure) for name, there in places.items()}

    return {
        "ph_there": each("ph"),
        "si_calcite": each("si"),
        "si_calcite_if_co2_escapes": each("si_if_co2_escapes"),
        "precipitates_mg_l_caco3": each("precipitates_mg_l_caco3"),
        "precipitates_if_co2_escapes_mg_l_caco3": each("precipitates_if_co2_escapes_mg_l_caco3"),
        "scale_g_per_week_at_most": scale_g_per_week(places, litres_per_week),
    }


def scale_g_per_week(places: dict[str, Saturation | None], litres_per_week: float | None) -> float | None:
    """Calcite that a week's water can leave behind at most.

    Parameters
    ----------
    places : dict of str to Saturation or None
        The water in each place.
    litres_per_week : float or None
        Water through the machine, 0 to 100000. [L/week]

    Returns
    -------
    float or None
        At least 0; None where saturation or use isn't known. [g/week]

    Raises
    ------
    BadInput
        When the litres are out of range.

    Notes
    -----
    Convention of this app: all the water goes where the most comes out of each litre of feed, and its CO2
    escapes. What comes out of concentrated water is divided by the concentration, to count per litre of feed.

    Examples
    --------
    >>> scale_g_per_week({"group": None}, 100.0) is None
    True
    """
    known = [there for there in places.values() if there is not None]
    if litres_per_week is None or not known:
        return None
    within("litres_per_week", litres_per_week, 0.0, 1e5, "L/week")
    return max(there.most_mg_l_of_feed for there in known) * litres_per_week / 1000.0


def _shortcut(sample: Sample, analysis: Analysis | None, where: tuple) -> dict | None:
    """The textbook index at feed strength, to compare; None where its own inputs are missing."""
    solids = dissolved_solids_mg_l(sample)
    if analysis is None or solids is None or solids[0] < 1.0:
        return None
    calcium = analysis.ions["calcium"] * HARDNESS_PER_MG["calcium"]
    alkalinity = analysis.totals.alkalinity * analysis.water_kg_l * 1000 * EQUIVALENT_CACO3_G
    if calcium < 0.1 or alkalinity < 0.1:
        return None
    index = {
        name: langelier_simple(analysis.ph, temp_c, solids[0], calcium, alkalinity)
        for name, (temp_c, _) in zip(PLACES[:2], where, strict=False)
    }
    return {**index, "says": SAYS}


def _used(analysis: Analysis) -> dict:
    return {
        **{f"{name}_mg_l": amount for name, amount in analysis.ions.items()},
        "ph": analysis.ph,
        "temp_c": analysis.temp_c,
    }


def _warnings(places: dict[str, Saturation | None]) -> list[str]:
    return list(dict.fromkeys(told for there in places.values() if there for told in there.warnings))
