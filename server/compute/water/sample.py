"""What was measured of a water, and what follows from it without assuming anything."""

from dataclasses import dataclass

from server.compute.errors import BadInput
from server.compute.ranges import within
from server.compute.water.ions import CALCITE_G_MOL, EQUIVALENT_CACO3_G, MASS_G_MOL
from server.compute.water.units import drops_mg_l_caco3, mg_l_caco3

# What a figure of drinking water, or of water made up from salts, can be: low, high, unit.
RANGES = {
    "hardness_mg_l_caco3": (0.0, 2000.0, "mg/L as CaCO₃"),
    "alkalinity_mg_l_caco3": (0.0, 1500.0, "mg/L as CaCO₃"),
    "calcium_mg_l": (0.0, 800.0, "mg/L"),
    "magnesium_mg_l": (0.0, 500.0, "mg/L"),
    "sodium_mg_l": (0.0, 1200.0, "mg/L"),
    "potassium_mg_l": (0.0, 500.0, "mg/L"),
    "bicarbonate_mg_l": (0.0, 1830.0, "mg/L"),
    "chloride_mg_l": (0.0, 2000.0, "mg/L"),
    "sulphate_mg_l": (0.0, 2000.0, "mg/L"),
    "ph": (4.0, 11.0, ""),
    "conductivity_us_cm": (0.0, 10000.0, "µS/cm"),
    "dry_residue_mg_l": (0.0, 10000.0, "mg/L"),
    "free_chlorine_mg_l": (0.0, 20.0, "mg/L"),
    "temp_c": (0.0, 100.0, "°C"),
}
HARDNESS_PER_MG = {name: CALCITE_G_MOL / MASS_G_MOL[name] for name in ("calcium", "magnesium")}
ALKALINITY_PER_MG = EQUIVALENT_CACO3_G / MASS_G_MOL["bicarbonate"]


@dataclass(frozen=True)
class Sample:
    """One water as measured; None where nobody measured. Concentrations in mg/L, pH at `temp_c` [°C]."""

    hardness_mg_l_caco3: float | None = None
    alkalinity_mg_l_caco3: float | None = None
    calcium_mg_l: float | None = None
    magnesium_mg_l: float | None = None
    sodium_mg_l: float | None = None
    potassium_mg_l: float | None = None
    bicarbonate_mg_l: float | None = None
    chloride_mg_l: float | None = None
    sulphate_mg_l: float | None = None
    ph: float | None = None
    conductivity_us_cm: float | None = None
    dry_residue_mg_l: float | None = None
    free_chlorine_mg_l: float | None = None
    temp_c: float | None = None

    def __post_init__(self):
        for name, value in vars(self).items():
            if value is not None:
                within(name, value, *RANGES[name])


def read_sample(fields: dict) -> Sample:
    """A water's fields, as a record or a request carries them, in the units that the sums are done in.

    Parameters
    ----------
    fields : dict
        `hardness` and `alkalinity` as {`value`, `unit`} or {`drops`, `per_drop`, `unit`}; any other field of
        `Sample` by its own name. Fields that aren't about the water itself are passed over.

    Returns
    -------
    Sample
        What was measured.

    Raises
    ------
    BadInput
        When a value is out of range, or a unit isn't known.

    Notes
    -----
    Convention of this app. Valid ranges: `RANGES`.

    Examples
    --------
    >>> round(read_sample({"hardness": {"value": 8, "unit": "dh"}, "ph": 7.4}).hardness_mg_l_caco3, 1)
    142.8
    """
    known = {name: fields[name] for name in RANGES if fields.get(name) is not None}
    for of in ("hardness", "alkalinity"):
        if fields.get(of) is not None:
            name = f"{of}_mg_l_caco3"
            known[name] = within(of, _amount(fields[of], of), *RANGES[name])
    return Sample(**known)


def _amount(told: dict, of: str) -> float:
    if told.get("value") is not None:
        return mg_l_caco3(told["value"], told["unit"], of)
    if told.get("drops") is None or told.get("per_drop") is None:
        raise BadInput(of, "give value and unit, or drops, per_drop and unit")
    return drops_mg_l_caco3(told["drops"], told["per_drop"], told["unit"], of)


def hardness_of(sample: Sample) -> float | None:
    """Total hardness: as measured, or from calcium and magnesium when both are known.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    float or None
        At least 0; None when it can't be known. [mg/L as CaCO3]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition: 2.497 Ca + 4.118 Mg. Source: Standard Methods for the Examination of Water and Wastewater,
    2340 B.

    Examples
    --------
    >>> round(hardness_of(Sample(calcium_mg_l=40.0, magnesium_mg_l=12.0)), 1)
    149.3
    >>> hardness_of(Sample(calcium_mg_l=40.0)) is None
    True
    """
    if sample.hardness_mg_l_caco3 is not None:
        return sample.hardness_mg_l_caco3
    if sample.calcium_mg_l is None or sample.magnesium_mg_l is None:
        return None
    calcium, magnesium = HARDNESS_PER_MG["calcium"], HARDNESS_PER_MG["magnesium"]
    return sample.calcium_mg_l * calcium + sample.magnesium_mg_l * magnesium


def alkalinity_of(sample: Sample) -> float | None:
    """Total alkalinity: as measured, or from the bicarbonate on a label.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    float or None
        At least 0; None when it isn't known. [mg/L as CaCO3]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition: 1 meq/L is 50.04 mg/L CaCO3 and 61.02 mg/L HCO3-. Below pH 8.3 bicarbonate is nearly all of
    it.

    Examples
    --------
    >>> round(alkalinity_of(Sample(bicarbonate_mg_l=130.0)), 1)
    106.6
    """
    if sample.alkalinity_mg_l_caco3 is not None:
        return sample.alkalinity_mg_l_caco3
    return None if sample.bicarbonate_mg_l is None else sample.bicarbonate_mg_l * ALKALINITY_PER_MG


def cation_of(sample: Sample, name: str) -> float | None:
    """Calcium or magnesium: as measured, or as what hardness and the other of the two leave.

    Parameters
    ----------
    sample : Sample
        What was measured.
    name : str
        `calcium` or `magnesium`.

    Returns
    -------
    float or None
        At least 0; None when it can't be known. [mg/L]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition of hardness, turned round. A small negative difference is two readings' error: 0.

    Examples
    --------
    >>> round(cation_of(Sample(hardness_mg_l_caco3=149.3, calcium_mg_l=40.0), "magnesium"), 1)
    12.0
    """
    measured = getattr(sample, f"{name}_mg_l")
    other = {"calcium": "magnesium", "magnesium": "calcium"}[name]
    other_mg_l = getattr(sample, f"{other}_mg_l")
    if measured is not None or sample.hardness_mg_l_caco3 is None or other_mg_l is None:
        return measured
    left = sample.hardness_mg_l_caco3 - other_mg_l * HARDNESS_PER_MG[other]
    return max(0.0, left) / HARDNESS_PER_MG[name]
