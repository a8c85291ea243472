"""What a refractometer reads: °Brix to strength by a stated factor, and the sample's temperature.

Only for an instrument that doesn't compensate by itself; one that does has no `sample_temp_c` to enter.
"""

from bisect import bisect_right

from server.compute.ranges import within
from server.compute.why import Why

BRIX_FACTOR = 0.85
BRIX_FACTOR_SOURCE = (
    "regression of collected readings, 0.8491 ± 0.0043, single fits 0.83 to 0.91 (an independent calibration "
    "write-up of 2022, citing O. Gómez): not peer-reviewed; enter your own factor if you have one"
)
# Half the spread of the single fits, taken as the limits of a rectangular distribution: 0.04 / √3.
U_BRIX_FACTOR = 0.023

# What to add to a reading, °Bx, by sample temperature (rows, °C) and reading (columns, °Bx).
# 10 to 17 °C at 10, 15, 20 °Bx: OIV-MA-AS2-02, Table I (Oeno 21/2004, revised by Oeno 466/2012).
# At 0 °Bx: water's own refractive index at 589 nm (IAPWS R9-97), divided by 0.001454 per °Bx.
# Above 20 °C: water's index again, scaled to +0.36, +0.37, +0.38 at 25 °C (from memory, not verified).
READINGS_BX = (0.0, 10.0, 15.0, 20.0)
CORRECTIONS_BX = {
    10.0: (-0.49, -0.59, -0.62, -0.65),
    11.0: (-0.45, -0.54, -0.57, -0.59),
    12.0: (-0.41, -0.49, -0.51, -0.53),
    13.0: (-0.37, -0.43, -0.45, -0.47),
    14.0: (-0.33, -0.38, -0.39, -0.40),
    15.0: (-0.28, -0.32, -0.33, -0.34),
    16.0: (-0.23, -0.26, -0.27, -0.28),
    17.0: (-0.17, -0.20, -0.20, -0.21),
    20.0: (0.00, 0.00, 0.00, 0.00),
    22.0: (0.13, 0.14, 0.14, 0.14),
    25.0: (0.34, 0.36, 0.37, 0.38),
    27.0: (0.49, 0.52, 0.53, 0.55),
    30.0: (0.73, 0.78, 0.80, 0.82),
}


def temperature_correction_bx(brix_pct: float, sample_temp_c: float) -> float:
    """What to add to a reading taken at another temperature than 20 °C.

    Parameters
    ----------
    brix_pct : float
        The reading, uncompensated, 0 to 40; above 20 the column of 20 is used. [°Bx]
    sample_temp_c : float
        Temperature of the sample on the prism, 10 to 30. [°C]

    Returns
    -------
    float
        Negative below 20 °C, positive above. [°Bx]

    Raises
    ------
    BadInput
        When a figure is outside its range: let the sample come nearer to 20 °C and read again.

    Notes
    -----
    Straight lines between the entries of a table made for sucrose; coffee is taken to behave alike.
    Source: OIV-MA-AS2-02, Table I (Oeno 21/2004, revised by Oeno 466/2012), 10 to 17 °C; above 20 °C
    water's own index (IAPWS R9-97) scaled to values from memory, not verified.

    Examples
    --------
    >>> temperature_correction_bx(10.0, 15.0)
    -0.32
    >>> round(temperature_correction_bx(12.5, 18.5), 3)
    -0.1
    """
    within("brix_pct", brix_pct, 0.0, 40.0, "°Bx")
    within("sample_temp_c", sample_temp_c, 10.0, 30.0, "°C")
    by_temperature = [_on_line(brix_pct, READINGS_BX, row) for row in CORRECTIONS_BX.values()]
    return _on_line(sample_temp_c, tuple(CORRECTIONS_BX), by_temperature)


def strength_from_brix_pct(
    brix_pct: float, brix_factor: float = BRIX_FACTOR, sample_temp_c: float | None = None
) -> float:
    """Strength from a °Brix reading.

    Parameters
    ----------
    brix_pct : float
        The reading, 0 to 40. [°Bx]
    brix_factor : float
        Strength per °Brix, 0.5 to 1.2. [% per °Bx]
    sample_temp_c : float, optional
        Only for an instrument that doesn't compensate: the sample's temperature, 10 to 30. [°C]

    Returns
    -------
    float
        Dissolved solids, at least 0. [% by mass]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    strength = brix_factor · (reading + correction). The °Brix scale is made for sugar, so the factor is
    experience with coffee. Source of the default 0.85: not peer-reviewed, see `BRIX_FACTOR_SOURCE`.

    Examples
    --------
    >>> round(strength_from_brix_pct(11.2), 2)
    9.52
    >>> round(strength_from_brix_pct(11.2, 0.85, sample_temp_c=25.0), 2)
    9.83
    """
    within("brix_pct", brix_pct, 0.0, 40.0, "°Bx")
    within("brix_factor", brix_factor, 0.5, 1.2, "% per °Bx")
    correction = 0.0 if sample_temp_c is None else temperature_correction_bx(brix_pct, sample_temp_c)
    # Water read cold comes out a hair below nought; there is no negative strength.
    return max(0.0, brix_factor * (brix_pct + correction))


def why_strength(brix_pct: float, brix_factor: float, sample_temp_c: float | None) -> Why:
    """The reasons of a strength that came from °Brix, as data.

    Parameters
    ----------
    brix_pct : float
        The reading, 0 to 40. [°Bx]
    brix_factor : float
        Strength per °Brix, 0.5 to 1.2. [% per °Bx]
    sample_temp_c : float or None
        The sample's temperature, 10 to 30, if the instrument doesn't compensate. [°C]

    Returns
    -------
    Why
        Formula, inputs and source.

    Raises
    ------
    Nothing

    Notes
    -----
    Sources as in `strength_from_brix_pct`.

    Examples
    --------
    >>> why_strength(11.2, 0.85, None).assumed
    ('the instrument compensates for temperature, or the sample was at 20 °C',)
    """
    inputs = {"brix_pct": brix_pct, "brix_factor": brix_factor}
    if sample_temp_c is None:
        formula, assumed = (
            "brix_factor x brix_pct",
            "the instrument compensates for temperature, or the sample was at 20 °C",
        )
    else:
        formula, assumed = (
            "brix_factor x (brix_pct + correction)",
            "coffee's index follows temperature as sucrose's does",
        )
        inputs |= {
            "sample_temp_c": sample_temp_c,
            "correction": temperature_correction_bx(brix_pct, sample_temp_c),
        }
    source = f"{BRIX_FACTOR_SOURCE}; temperature: OIV-MA-AS2-02, Table I"
    return Why("strength_pct", formula, inputs, source, (assumed,))


def _on_line(x: float, xs, ys) -> float:
    """Between two entries on a straight line; beyond the last one, the last one."""
    if x >= xs[-1]:
        return ys[-1]
    right = bisect_right(xs, x)
    part = (x - xs[right - 1]) / (xs[right] - xs[right - 1])
    return ys[right - 1] + part * (ys[right] - ys[right - 1])
