"""Saturated steam and liquid water: the few properties that a steam wand and a kettle need.

All from one source, the IAPWS equations for the saturation line: W. Wagner and A. Pruss, International
equations for the saturation properties of ordinary water substance, revised according to the international
temperature scale of 1990, J. Phys. Chem. Ref. Data 22 (1993) 783-787, doi:10.1063/1.555926, which is IAPWS
release SR1-86(1992). Letters and numbering of the coefficients are the source's.
"""

import math

from server.compute.ranges import within

CRITICAL_TEMP_K = 647.096
CRITICAL_PRESSURE_KPA = 22064.0
CRITICAL_DENSITY_KG_M3 = 322.0
ZERO_CELSIUS_K = 273.15

LOWEST_C, HIGHEST_C = 0.01, 200.0
SOURCE = "Wagner & Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, doi:10.1063/1.555926 (IAPWS SR1-86(1992))"

# Each pair: exponent, coefficient.
PRESSURE = (  # a1..a6, in tau = 1 - T/Tc
    (1.0, -7.85951783),
    (1.5, 1.84408259),
    (3.0, -11.7866497),
    (3.5, 22.6807411),
    (4.0, -15.9618719),
    (7.5, 1.80122502),
)
LIQUID_DENSITY = (  # b1..b6, in tau^(1/3)
    (1.0, 1.99274064),
    (2.0, 1.09965342),
    (5.0, -0.510839303),
    (16.0, -1.75493479),
    (43.0, -45.5170352),
    (110.0, -6.74694450e5),
)
STEAM_DENSITY = (  # c1..c6, in tau^(1/6)
    (2.0, -2.03150240),
    (4.0, -2.68302940),
    (8.0, -5.38626492),
    (18.0, -17.2991605),
    (37.0, -44.7586581),
    (71.0, -63.9201063),
)
ALPHA = (  # d_alpha, d1..d5, in theta = T/Tc
    (0.0, -1135.905627715),
    (-19.0, -5.65134998e-8),
    (1.0, 2690.66631),
    (4.5, 127.287297),
    (5.0, -135.003439),
    (54.5, 0.981825814),
)


def saturation_pressure_kpa(temp_c: float) -> float:
    """Absolute pressure at which water of this temperature boils.

    Parameters
    ----------
    temp_c : float
        From 0.01 to 200. [°C]

    Returns
    -------
    float
        Absolute, not gauge. [kPa]

    Raises
    ------
    BadInput
        When the temperature is outside the range.

    Notes
    -----
    Equation 1 of the module's source. Within 0.02 % of IAPWS-IF97 over the range.

    Examples
    --------
    >>> round(saturation_pressure_kpa(93.0), 2)
    78.57
    """
    temp_k = within("temp_c", temp_c, LOWEST_C, HIGHEST_C, "°C") + ZERO_CELSIUS_K
    return _pressure_and_slope(temp_k)[0]


def saturation_temp_c(pressure_kpa: float) -> float:
    """Temperature at which water boils at this absolute pressure.

    Parameters
    ----------
    pressure_kpa : float
        Absolute, from 0.62 to 1600. [kPa]

    Returns
    -------
    float
        On the scale of 1990, where water boils at 99.974 under 101.325 kPa. [°C]

    Raises
    ------
    BadInput
        When the pressure is outside the range.

    Notes
    -----
    Equation 1 of the module's source, solved by Newton's method for ln p against 1/T, which is nearly
    a straight line: five steps are far more than rounding needs.

    Examples
    --------
    >>> round(saturation_temp_c(101.325), 3)
    99.974
    """
    wanted = math.log(within("pressure_kpa", pressure_kpa, 0.62, 1600.0, "kPa absolute"))
    inverse = 1.0 / 373.0
    for _ in range(5):
        pressure, slope = _pressure_and_slope(1.0 / inverse)
        # d(ln p)/d(1/T) = -T² (dp/dT)/p
        inverse += (wanted - math.log(pressure)) / (-slope / pressure / inverse**2)
    return 1.0 / inverse - ZERO_CELSIUS_K


def steam_enthalpy_kj_kg(pressure_kpa: float, quality: float = 1.0) -> float:
    """Heat content of saturated steam as it leaves the boiler.

    Parameters
    ----------
    pressure_kpa : float
        Absolute, from 0.62 to 1600. [kPa]
    quality : float
        Share of the mass that is vapour, 0 to 1: water to dry steam. [-]

    Returns
    -------
    float
        Counted from liquid water at the triple point. [kJ/kg]

    Raises
    ------
    BadInput
        When an argument is outside its range.

    Notes
    -----
    h = alpha + (T/rho) dp/dT for liquid and vapour: equations 1 to 4, 6 and 7 of the module's source.
    Throttling through the wand's tip keeps h, so the boiler's pressure is the one that counts.
    Within 0.1 % of IAPWS-IF97 and of CoolProp from 0.2 to 3 bar gauge.

    Examples
    --------
    >>> round(steam_enthalpy_kj_kg(221.325), 1)
    2711.1
    """
    within("quality", quality, 0.0, 1.0, "")
    temp_k = saturation_temp_c(pressure_kpa) + ZERO_CELSIUS_K
    liquid = _enthalpy_kj_kg(temp_k, _liquid_density_kg_m3(temp_k))
    return liquid + quality * (_enthalpy_kj_kg(temp_k, _steam_density_kg_m3(temp_k)) - liquid)


def water_enthalpy_kj_kg(temp_c: float, pressure_kpa: float = 101.325) -> float:
    """Heat content of liquid water at a given pressure.

    Parameters
    ----------
    temp_c : float
        From 0.01 to 200. [°C]
    pressure_kpa : float
        Absolute, at least the saturation pressure at `temp_c`, at most 1600. [kPa]

    Returns
    -------
    float
        Counted from liquid water at the triple point. [kJ/kg]

    Raises
    ------
    BadInput
        When an argument is outside its range, or the water would boil.

    Notes
    -----
    The saturated liquid's enthalpy (module's source) plus (p - p_sat)/density. What that leaves out,
    the liquid's own warming under pressure, is below 0.1 kJ/kg under one atmosphere.

    Examples
    --------
    >>> round(water_enthalpy_kj_kg(55.0), 1)
    230.3
    """
    temp_k = within("temp_c", temp_c, LOWEST_C, HIGHEST_C, "°C") + ZERO_CELSIUS_K
    boiling_kpa, _ = _pressure_and_slope(temp_k)
    within("pressure_kpa", pressure_kpa, boiling_kpa, 1600.0, "kPa absolute, or the water boils")
    density = _liquid_density_kg_m3(temp_k)
    return _enthalpy_kj_kg(temp_k, density) + (pressure_kpa - boiling_kpa) / density


def _pressure_and_slope(temp_k: float) -> tuple[float, float]:
    """Saturation pressure [kPa] and its slope [kPa/K]."""
    tau = 1.0 - temp_k / CRITICAL_TEMP_K
    log_ratio = CRITICAL_TEMP_K / temp_k * sum(a * tau**n for n, a in PRESSURE)
    pressure = CRITICAL_PRESSURE_KPA * math.exp(log_ratio)
    return pressure, -pressure / temp_k * (log_ratio + sum(n * a * tau ** (n - 1) for n, a in PRESSURE))


def _liquid_density_kg_m3(temp_k: float) -> float:
    root = (1.0 - temp_k / CRITICAL_TEMP_K) ** (1 / 3)
    return CRITICAL_DENSITY_KG_M3 * (1.0 + sum(b * root**n for n, b in LIQUID_DENSITY))


def _steam_density_kg_m3(temp_k: float) -> float:
    root = (1.0 - temp_k / CRITICAL_TEMP_K) ** (1 / 6)
    return CRITICAL_DENSITY_KG_M3 * math.exp(sum(c * root**n for n, c in STEAM_DENSITY))


def _enthalpy_kj_kg(temp_k: float, density_kg_m3: float) -> float:
    alpha = sum(d * (temp_k / CRITICAL_TEMP_K) ** n for n, d in ALPHA)
    return alpha + temp_k / density_kg_m3 * _pressure_and_slope(temp_k)[1]
