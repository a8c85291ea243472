"""Masses of elements, salts and ions, and the charges of the ions."""

import re

from server.compute.errors import BadInput

# Abridged standard atomic weights, IUPAC/CIAAW 2021 (Prohaska et al., Pure Appl. Chem. 94, 2022, 573-600,
# doi:10.1515/pac-2019-0603). [g/mol]
ATOMIC_MASS_G_MOL = {
    "H": 1.008,
    "C": 12.011,
    "O": 15.999,
    "Na": 22.990,
    "Mg": 24.305,
    "S": 32.06,
    "Cl": 35.45,
    "K": 39.098,
    "Ca": 40.078,
}


def molar_mass_g_mol(formula: str) -> float:
    """Mass of one mole of a salt, its water of crystallisation included.

    Parameters
    ----------
    formula : str
        As a chemist writes it, the hydrate after a dot: `MgSO4.7H2O`.

    Returns
    -------
    float
        Formula mass, > 0. [g/mol]

    Raises
    ------
    BadInput
        When a part of the formula isn't an element that matters in water, with its count.

    Notes
    -----
    Definition: the sum over the atoms. Atomic weights: CIAAW 2021, doi:10.1515/pac-2019-0603.

    Examples
    --------
    >>> round(molar_mass_g_mol("CaCO3"), 3)
    100.086
    >>> round(molar_mass_g_mol("MgSO4.7H2O"), 2)
    246.47
    """
    return sum(_part_mass(part, formula) for part in formula.split("."))


def _part_mass(part: str, formula: str) -> float:
    count, plain = re.fullmatch(r"(\d*)(.*)", part).groups()
    if not re.fullmatch(r"([A-Z][a-z]?\d*|\(([A-Z][a-z]?\d*)+\)\d*)+", plain):
        raise BadInput("salts", f"{formula} isn't a formula: write it as in MgSO4.7H2O")
    bracketed = re.sub(r"\((.*?)\)(\d*)", lambda m: m[1] * int(m[2] or 1), plain)
    atoms = re.findall(r"([A-Z][a-z]?)(\d*)", bracketed)
    unknown = [name for name, _ in atoms if name not in ATOMIC_MASS_G_MOL]
    if unknown:
        raise BadInput("salts", f"{formula} holds {unknown[0]}, which has no place in brewing water")
    return int(count or 1) * sum(ATOMIC_MASS_G_MOL[name] * int(n or 1) for name, n in atoms)


# Each ion that a label or a lab names, by its field's stem: mass [g/mol] and charge [elementary charges].
MASS_G_MOL = {
    "calcium": molar_mass_g_mol("Ca"),
    "magnesium": molar_mass_g_mol("Mg"),
    "sodium": molar_mass_g_mol("Na"),
    "potassium": molar_mass_g_mol("K"),
    "bicarbonate": molar_mass_g_mol("HCO3"),
    "chloride": molar_mass_g_mol("Cl"),
    "sulphate": molar_mass_g_mol("SO4"),
}
CHARGE = {
    "calcium": 2,
    "magnesium": 2,
    "sodium": 1,
    "potassium": 1,
    "bicarbonate": -1,
    "chloride": -1,
    "sulphate": -2,
}
CALCITE_G_MOL = molar_mass_g_mol("CaCO3")
EQUIVALENT_CACO3_G = CALCITE_G_MOL / 2  # 1 eq of hardness or alkalinity, as CaCO3. [g]
