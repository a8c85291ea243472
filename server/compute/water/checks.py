"""Do an analysis's figures go together? Charge balance, conductivity, dry residue; each doubt in words."""

import math

from server.compute.water.ions import CHARGE, MASS_G_MOL
from server.compute.water.sample import (
    ALKALINITY_PER_MG,
    HARDNESS_PER_MG,
    Sample,
    alkalinity_of,
    cation_of,
)

BALANCE_DOUBT_PCT = 5.0  # as laboratories commonly use: common practice, no source
APART_DOUBT = 0.2  # measured and computed conductivity or residue: the spread of such sums; common practice

# Molar conductivity at infinite dilution and 25 °C, per charge [S cm²/mol]: CRC Handbook of Chemistry and
# Physics, "Ionic conductivity and diffusion at infinite dilution".
_CONDUCTIVITY = {
    "calcium": 59.47,
    "magnesium": 53.0,
    "sodium": 50.08,
    "potassium": 73.48,
    "bicarbonate": 44.5,
    "chloride": 76.31,
    "sulphate": 80.0,
}
# Of dissolved bicarbonate, what leaves as water and CO2 on drying: 2 HCO3- -> CO3-2 + H2O + CO2.
_DRIED_OFF = 1.0 - 60.008 / (2 * MASS_G_MOL["bicarbonate"])
# Dissolved solids per conductivity: 0.55 to 0.7 is usual and no constant holds for all waters. A. F. Rusydi,
# Correlation between conductivity and total dissolved solid in various type of water, IOP Conf. Ser. Earth
# Environ. Sci. 118 (2018) 012019, doi:10.1088/1755-1315/118/1/012019.
SOLIDS_PER_US_CM = 0.64


def ions_mg_l(sample: Sample) -> dict[str, float | None]:
    """The seven main ions, with what follows from hardness and alkalinity; None where not known.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    dict of str to float or None
        calcium, magnesium, sodium, potassium, bicarbonate (all alkalinity counted as it), chloride,
        sulphate. [mg/L]

    Raises
    ------
    Nothing

    Notes
    -----
    Definitions of hardness and alkalinity.

    Examples
    --------
    >>> ions_mg_l(Sample(calcium_mg_l=40.0))["magnesium"] is None
    True
    """
    alkalinity = alkalinity_of(sample)
    return {
        "calcium": cation_of(sample, "calcium"),
        "magnesium": cation_of(sample, "magnesium"),
        "sodium": sample.sodium_mg_l,
        "potassium": sample.potassium_mg_l,
        "bicarbonate": None if alkalinity is None else alkalinity / ALKALINITY_PER_MG,
        "chloride": sample.chloride_mg_l,
        "sulphate": sample.sulphate_mg_l,
    }


def charges_meq_l(ions: dict[str, float | None]) -> tuple[float, float]:
    """Positive and negative charge of the ions that are known.

    Parameters
    ----------
    ions : dict of str to float or None
        As from `ions_mg_l`; None counts as 0. [mg/L]

    Returns
    -------
    tuple of float
        Cations, anions; both at least 0. [meq/L]

    Raises
    ------
    Nothing

    Notes
    -----
    Definition. Valid range: any amounts.

    Examples
    --------
    >>> [round(charge, 2) for charge in charges_meq_l({"sodium": 23.0, "chloride": 35.45})]
    [1.0, 1.0]
    """
    charge = {name: (amount or 0.0) / MASS_G_MOL[name] * CHARGE[name] for name, amount in ions.items()}
    return sum(c for c in charge.values() if c > 0), -sum(c for c in charge.values() if c < 0)


def charge_balance_pct(sample: Sample) -> float | None:
    """By how much positive charges outweigh negative ones; a real water has as many of both.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    float or None
        100 (cations - anions) / (cations + anions), -100 to 100; None unless calcium, magnesium, sodium,
        alkalinity, chloride and sulphate are all known (potassium, mostly little, counts as 0 then). [%]

    Raises
    ------
    Nothing

    Notes
    -----
    Source: Standard Methods for the Examination of Water and Wastewater, 1030 E.

    Examples
    --------
    >>> charge_balance_pct(Sample(calcium_mg_l=40.0)) is None
    True
    """
    ions = ions_mg_l(sample)
    if any(amount is None for name, amount in ions.items() if name != "potassium"):
        return None
    cations, anions = charges_meq_l(ions)
    return 100 * (cations - anions) / (cations + anions) if cations + anions else None


def conductivity_us_cm(ions: dict[str, float]) -> float:
    """Conductivity at 25 °C that these ions would give.

    Parameters
    ----------
    ions : dict of str to float
        As from `ions_mg_l`, all known. [mg/L]

    Returns
    -------
    float
        At least 0; fresh waters within some 6 % (pairs of ions carry less). [µS/cm]

    Raises
    ------
    Nothing

    Notes
    -----
    Source: each ion's conductivity at infinite dilution times its Davies activity coefficient to the power
    0.6/√|z|: C. A. J. Appelo, Specific conductance: how to calculate the specific conductance with PHREEQC
    (2010). Valid range: ionic strength to 0.1. A kit's standard of 0.01 mol/L KCl comes out within 0.5 %.

    Examples
    --------
    >>> round(conductivity_us_cm({"potassium": 390.98, "chloride": 354.5}))
    1408
    """
    millimoles = {name: amount / MASS_G_MOL[name] for name, amount in ions.items()}
    strength = sum(m * CHARGE[name] ** 2 for name, m in millimoles.items()) / 2000
    root = math.sqrt(strength)
    davies = -0.509 * (root / (1 + root) - 0.3 * strength)
    return sum(
        m * abs(CHARGE[name]) * _CONDUCTIVITY[name] * 10 ** (davies * 0.6 * abs(CHARGE[name]) ** 1.5)
        for name, m in millimoles.items()
    )


def dissolved_solids_mg_l(sample: Sample) -> tuple[float, str] | None:
    """Dissolved solids, and how they are known: dried, from the ions, or guessed from the conductivity.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    tuple of float and str, or None
        The solids, at least 0 [mg/L], and the way in words; None when nothing tells.

    Raises
    ------
    Nothing

    Notes
    -----
    Dry residue counts bicarbonate as the carbonate that it dries to (identity of mass). From conductivity:
    factor 0.64; source: Rusydi 2018, doi:10.1088/1755-1315/118/1/012019, who finds no constant that holds
    for all waters.

    Examples
    --------
    >>> dissolved_solids_mg_l(Sample(conductivity_us_cm=300.0))
    (192.0, '0.64 times the conductivity, good to about 20 %')
    """
    if sample.dry_residue_mg_l is not None:
        return sample.dry_residue_mg_l, "dry residue as measured"
    ions = ions_mg_l(sample)
    if all(amount is not None for name, amount in ions.items() if name != "potassium"):
        return _residue_mg_l(ions), "sum of the ions, bicarbonate as it dries"
    if sample.conductivity_us_cm is not None:
        return SOLIDS_PER_US_CM * sample.conductivity_us_cm, "0.64 times the conductivity, good to about 20 %"
    return None


def doubts(sample: Sample) -> list[str]:
    """What in this analysis doesn't go together, in plain sentences.

    Parameters
    ----------
    sample : Sample
        What was measured.

    Returns
    -------
    list of str
        Empty when nothing contradicts.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: charges 5 %, hardness against its ions 10 %, conductivity and residue 20 % apart.

    Examples
    --------
    >>> doubts(Sample(hardness_mg_l_caco3=100.0, calcium_mg_l=60.0))
    ['Calcium alone (150 mg/L as CaCO3) is more than the hardness (100): one of the two was misread.']
    """
    found = _hardness_doubts(sample)
    both = sample.alkalinity_mg_l_caco3, sample.bicarbonate_mg_l
    if None not in both and not _near(both[0], both[1] * ALKALINITY_PER_MG, 0.1):
        found.append("Alkalinity and bicarbonate are more than 10 % apart: one of the two was misread.")
    balance = charge_balance_pct(sample)
    if balance is None:
        return found
    if abs(balance) > BALANCE_DOUBT_PCT:
        more = "positive" if balance > 0 else "negative"
        found.append(
            f"There is {abs(balance):.0f} % more {more} charge than can be: an ion is missing or misread."
        )
    ions = {name: amount or 0.0 for name, amount in ions_mg_l(sample).items()}
    measured = {
        "conductivity": (sample.conductivity_us_cm, conductivity_us_cm(ions), "µS/cm"),
        "dry residue": (sample.dry_residue_mg_l, _residue_mg_l(ions), "mg/L"),
    }
    for name, (read, expected, unit) in measured.items():
        if read is not None and not _near(read, expected, APART_DOUBT):
            found.append(
                f"The ions would give a {name} of about {expected:.0f} {unit}, measured was {read:.0f}."
            )
    return found


def _hardness_doubts(sample: Sample) -> list[str]:
    hardness = sample.hardness_mg_l_caco3
    parts = {
        name: getattr(sample, f"{name}_mg_l") * factor
        for name, factor in HARDNESS_PER_MG.items()
        if getattr(sample, f"{name}_mg_l") is not None
    }
    if hardness is None or not parts:
        return []
    if len(parts) == 2 and not _near(hardness, sum(parts.values()), 0.1):
        return [
            f"Calcium and magnesium make a hardness of {sum(parts.values()):.0f} mg/L as CaCO3, measured was "
            f"{hardness:.0f}: one of the three was misread."
        ]
    name, part = next(iter(parts.items()))
    if len(parts) == 1 and part > 1.02 * hardness:
        return [
            f"{name.capitalize()} alone ({part:.0f} mg/L as CaCO3) is more than the hardness "
            f"({hardness:.0f}): one of the two was misread."
        ]
    return []


def _residue_mg_l(ions: dict[str, float | None]) -> float:
    return sum(amount or 0.0 for amount in ions.values()) - _DRIED_OFF * (ions["bicarbonate"] or 0.0)


def _near(a: float, b: float, share: float) -> bool:
    # 3 mg/L: below that, kits and labels round more than they tell.
    return abs(a - b) <= max(share * max(a, b), 3.0)
