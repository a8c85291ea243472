"""From a sample to totals that can be speciated: fills what is missing, and says what it filled."""

from dataclasses import dataclass, field

from server.compute.ranges import within
from server.compute.water.checks import charges_meq_l, ions_mg_l
from server.compute.water.equilibrium import Totals
from server.compute.water.ions import CHARGE, MASS_G_MOL
from server.compute.water.sample import HARDNESS_PER_MG, Sample

CALCIUM_SHARE = 0.75  # of the hardness, when only that is known: common practice, no source
ASSUMED_PH = 7.5  # common practice, no source
ASSUMED_TEMP_C = 25.0


@dataclass(frozen=True)
class Analysis:
    """A complete analysis: totals [mol/kg], pH at `temp_c` [°C], water per litre [kg/L]; ions used [mg/L]."""

    totals: Totals
    ph: float
    temp_c: float
    water_kg_l: float
    ions: dict[str, float]
    assumed: tuple[str, ...] = field(default=())


def complete(sample: Sample, calcium_share: float = CALCIUM_SHARE) -> Analysis | None:
    """Fill what is missing so that the water can be speciated, and list every filling in words.

    Parameters
    ----------
    sample : Sample
        What was measured.
    calcium_share : float
        Of the hardness, when only that is known, 0 to 1. [mol/mol]

    Returns
    -------
    Analysis or None
        None when alkalinity, or both calcium and hardness, are missing: then nothing sensible can be filled.

    Raises
    ------
    BadInput
        When the share is out of range.

    Notes
    -----
    Convention of this app. A litre is counted as 1 kg of solution (true to 0.3 % at room temperature). The ion
    that closes the charges is one that wasn't measured: chloride, else sulphate; sodium, else potassium.

    Examples
    --------
    >>> kit = complete(Sample(hardness_mg_l_caco3=100.0, alkalinity_mg_l_caco3=80.0))
    >>> round(kit.ions["calcium"], 1), len(kit.assumed)
    (30.0, 5)
    """
    ions, assumed = fill_ions(sample, calcium_share)
    if ions is None:
        return None
    ph, temp_c = sample.ph, sample.temp_c
    if ph is None:
        ph = ASSUMED_PH
        assumed.append(f"pH {ASSUMED_PH:g}: it wasn't measured, and saturation moves one for one with it.")
    if temp_c is None:
        temp_c = ASSUMED_TEMP_C
        assumed.append(f"The sample's pH was measured at {ASSUMED_TEMP_C:g} °C.")
    water_kg_l = 1.0 - sum(ions.values()) / 1e6
    return Analysis(_totals(ions, water_kg_l), ph, temp_c, water_kg_l, ions, tuple(assumed))


def fill_ions(
    sample: Sample, calcium_share: float = CALCIUM_SHARE
) -> tuple[dict[str, float] | None, list[str]]:
    """All seven main ions, the missing ones filled, and each filling in words.

    Parameters
    ----------
    sample : Sample
        What was measured.
    calcium_share : float
        Of the hardness, when only that is known, 0 to 1. [mol/mol]

    Returns
    -------
    tuple of dict of str to float, and list of str
        The ions [mg/L], None as in `complete`; what was assumed.

    Raises
    ------
    BadInput
        When the share is out of range.

    Notes
    -----
    Convention of this app, see `complete`.

    Examples
    --------
    >>> fill_ions(Sample(hardness_mg_l_caco3=100.0))[0] is None
    True
    """
    within("calcium_share", calcium_share, 0.0, 1.0, "")
    assumed: list[str] = []
    ions = ions_mg_l(sample)
    if sample.alkalinity_mg_l_caco3 is None and sample.bicarbonate_mg_l is not None:
        assumed.append("Alkalinity is all bicarbonate, as the label has it.")
    if ions["calcium"] is None and sample.hardness_mg_l_caco3 is not None:
        _split_hardness(ions, sample, calcium_share, assumed)
    if ions["calcium"] is None or ions["bicarbonate"] is None:
        return None, assumed
    _close_charges(ions, assumed)
    return ions, assumed


def _split_hardness(ions: dict, sample: Sample, share: float, assumed: list[str]) -> None:
    for name, part in (("calcium", share), ("magnesium", 1.0 - share)):
        ions[name] = part * sample.hardness_mg_l_caco3 / HARDNESS_PER_MG[name]
    assumed.append(
        f"{share:.0%} of the hardness is calcium ({ions['calcium']:.3g} mg/L), the rest magnesium."
    )


def _close_charges(ions: dict, assumed: list[str]) -> None:
    """Take unmeasured ions as none, but for the one that closes the charges."""
    missing = [name for name, amount in ions.items() if amount is None]
    cations, anions = charges_meq_l(ions)
    closing = ("chloride", "sulphate") if cations > anions else ("sodium", "potassium")
    filled = next((name for name in closing if name in missing), None) if cations != anions else None
    for name in missing:
        ions[name] = 0.0
    if filled:
        ions[filled] = abs(cations - anions) / abs(CHARGE[filled]) * MASS_G_MOL[filled]
        assumed.append(f"{filled.capitalize()} {ions[filled]:.3g} mg/L, to close the charges: not measured.")
    none = [name for name in missing if name != filled]
    if none:
        assumed.append(f"No {', '.join(none)}: not measured.")


def _totals(ions: dict[str, float], water_kg_l: float) -> Totals:
    molal = {name: amount / MASS_G_MOL[name] / 1000 / water_kg_l for name, amount in ions.items()}
    return Totals(alkalinity=molal.pop("bicarbonate"), **molal)
