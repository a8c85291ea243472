"""Why the figures of a water are what they are, as data."""

from server.compute.water.analysis import Analysis
from server.compute.water.sample import Sample, alkalinity_of
from server.compute.water.saturation import Saturation
from server.compute.why import Why

MODEL = (
    "Closed heating with ion pairs. Calcite and carbonic acid: Plummer & Busenberg, Geochim. Cosmochim. Acta 46 (1982) "
    "1011, doi:10.1016/0016-7037(82)90056-4; other pairs: Nordstrom et al. 1990, doi:10.1021/bk-1990-0416.ch031; "
    "activity: Truesdell & Jones, J. Res. USGS 2 (1974) 233; dielectric constant: Bradley & Pitzer 1979, "
    "doi:10.1021/j100475a009"
)
STANDARD_METHODS = "Standard Methods for the Examination of Water and Wastewater, "


def reasons(
    sample: Sample,
    analysis: Analysis | None,
    places: dict[str, Saturation | None],
    answer: dict,
    litres_per_week: float | None,
) -> list[Why]:
    """Formula, inputs and source of the figures that an answer has.

    Parameters
    ----------
    sample : Sample
        What was measured.
    analysis : Analysis or None
        What was speciated.
    places : dict of str to Saturation or None
        The water in each place.
    answer : dict
        The figures of `report.water_report`.
    litres_per_week : float or None
        Water through the machine, 0 to 100000. [L/week]

    Returns
    -------
    list of Why
        One per figure that is known.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app; each reason names its own source.

    Examples
    --------
    >>> answer = {"scale_g_per_week_at_most": None}
    >>> [why.figure for why in reasons(Sample(hardness_mg_l_caco3=100.0), None, {}, answer, None)]
    ['hardness_mg_l_caco3']
    """
    found = _of_the_sample(sample)
    known = {name: there for name, there in places.items() if there is not None}
    if known:
        found += _of_the_places(known, analysis)
    if answer["scale_g_per_week_at_most"] is not None:
        found.append(_of_the_scale(known, litres_per_week, analysis.assumed))
    return found


def _of_the_sample(sample: Sample) -> list[Why]:
    found = []
    if sample.hardness_mg_l_caco3 is not None:
        told = {"hardness_mg_l_caco3": sample.hardness_mg_l_caco3}
        found.append(
            Why("hardness_mg_l_caco3", "as measured, in mg/L as CaCO3", told, "definition of the unit")
        )
    elif sample.calcium_mg_l is not None and sample.magnesium_mg_l is not None:
        told = {"calcium_mg_l": sample.calcium_mg_l, "magnesium_mg_l": sample.magnesium_mg_l}
        formula = "2.497 calcium_mg_l + 4.118 magnesium_mg_l"
        found.append(Why("hardness_mg_l_caco3", formula, told, STANDARD_METHODS + "2340 B"))
    if sample.alkalinity_mg_l_caco3 is not None:
        told = {"alkalinity_mg_l_caco3": sample.alkalinity_mg_l_caco3}
        found.append(
            Why("alkalinity_mg_l_caco3", "as measured, in mg/L as CaCO3", told, "definition of the unit")
        )
    elif alkalinity_of(sample) is not None:
        told = {"bicarbonate_mg_l": sample.bicarbonate_mg_l}
        found.append(Why("alkalinity_mg_l_caco3", "0.8202 bicarbonate_mg_l", told, "definition of the unit"))
    return found


def _of_the_places(places: dict[str, Saturation], analysis: Analysis) -> list[Why]:
    inputs = {f"{ion}_mg_l": round(amount, 3) for ion, amount in analysis.ions.items()}
    inputs |= {"ph": analysis.ph, "sample_temp_c": analysis.temp_c}
    warnings = dict.fromkeys(analysis.assumed)
    for name, there in places.items():
        inputs |= {f"{name}_temp_c": there.temp_c, f"{name}_concentration": there.concentration}
        inputs[f"{name}_ph"] = round(there.ph, 3)
        warnings |= dict.fromkeys(there.warnings)
    index = "log10 of (calcium activity x carbonate activity / solubility product of calcite), hot"
    amount = (
        "CaCO3 out of each litre there until the index is 0; carbon less calcium, and alkalinity less twice "
        "calcium, stay"
    )
    return [
        Why("si_calcite", index, inputs, MODEL, tuple(warnings)),
        Why("precipitates_mg_l_caco3", amount, inputs, MODEL, tuple(warnings)),
    ]


def _of_the_scale(places: dict[str, Saturation], litres: float, assumed: tuple[str, ...]) -> Why:
    return Why(
        "scale_g_per_week_at_most",
        "the most that comes out of a litre of feed anywhere x litres_per_week / 1000",
        {
            **{f"{name}_mg_l_caco3_of_feed": there.most_mg_l_of_feed for name, there in places.items()},
            "litres_per_week": litres,
        },
        "convention of this app: an upper bound, as if all the water went there and its CO2 escaped",
        assumed,
    )
