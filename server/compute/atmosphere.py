"""Air pressure at a bar's altitude, and where water boils there."""

from server.compute.ranges import within
from server.compute.steam import saturation_temp_c

SEA_LEVEL_KPA = 101.325
SEA_LEVEL_TEMP_K = 288.15
LAPSE_K_PER_M = 0.0065
EARTH_RADIUS_M = 6356766.0
# g0 M / (R L) with the standard's own constants: 9.80665 · 0.0289644 / (8.31432 · 0.0065).
EXPONENT = 9.80665 * 0.0289644 / (8.31432 * LAPSE_K_PER_M)
SOURCE = (
    "U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562, equations 18 and 33a (equal to ISO 2533:1975 here)"
)


def air_pressure_kpa(altitude_m: float) -> float:
    """Pressure of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude_m : float
        Above mean sea level, as on a map, from -430 to 5500. [m]

    Returns
    -------
    float
        Absolute. [kPa]

    Raises
    ------
    BadInput
        When the altitude is outside the range, which holds every town on earth.

    Notes
    -----
    H = r z/(r + z), p = 101.325 (1 - 0.0065 H/288.15)^5.2559.
    Source: U.S. Standard Atmosphere, 1976, equations 18 and 33a. Weather moves the real figure by
    about 2 kPa either way.

    Examples
    --------
    >>> round(air_pressure_kpa(1000.0), 3)
    89.876
    """
    within("altitude_m", altitude_m, -430.0, 5500.0, "m")
    geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)
    return SEA_LEVEL_KPA * (1.0 - LAPSE_K_PER_M * geopotential_m / SEA_LEVEL_TEMP_K) ** EXPONENT


def boiling_point_c(altitude_m: float) -> float:
    """Temperature at which water boils in an open jug at an altitude.

    Parameters
    ----------
    altitude_m : float
        Above mean sea level, from -430 to 5500. [m]

    Returns
    -------
    float
        In standard weather; show whole degrees, since ±2 kPa of weather is ±0.6 °C. [°C]

    Raises
    ------
    BadInput
        When the altitude is outside the range.

    Notes
    -----
    Source: the saturation line of `server.compute.steam` at the pressure of `air_pressure_kpa`.

    Examples
    --------
    >>> round(boiling_point_c(1500.0), 2)
    94.98
    """
    return saturation_temp_c(air_pressure_kpa(altitude_m))
