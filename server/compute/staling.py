"""How fast coffee stales at a temperature, against its reference temperature."""

import math

from server.compute.ranges import within

GAS_CONSTANT_J_MOL_K = 8.314462618
ZERO_C_IN_K = 273.15

ACTIVATION_ENERGY_KJ_MOL = 13.0
REFERENCE_TEMP_C = 20.0
MODEL_FROM_C, MODEL_TO_C = 4.0, 35.0
# A setting. No source: the published model ends at 4 °C; nine weeks in a freezer still helped to keep aroma
# (Cotter & Hopfer 2018, doi from memory: 10.3390/beverages4030068), which gives no rate.
FROZEN_RATE = 0.1
FREEZER_BELOW_C = 0.0

STALING_SOURCE = (
    "C. Cardelli, T. P. Labuza, Application of Weibull hazard analysis to the determination of the shelf "
    "life of roasted and ground coffee, LWT 34 (2001) 273-278: about 13 kJ/mol, 15 to 23 % faster per 10 °C, "
    "measured from 4 to 35 °C on roasted and ground coffee"
)


def staling_rate(
    temp_c: float,
    activation_energy_kj_mol: float = ACTIVATION_ENERGY_KJ_MOL,
    reference_temp_c: float = REFERENCE_TEMP_C,
    frozen_rate: float = FROZEN_RATE,
) -> float:
    """Days of staling per day, 1 at the reference temperature.

    Parameters
    ----------
    temp_c : float
        Where the bag is kept, -40 to 60; the published model holds from 4 to 35. [°C]
    activation_energy_kj_mol : float
        Of the whole of staling, 0 to 150. [kJ/mol]
    reference_temp_c : float
        Where the rate is 1, 4 to 35. [°C]
    frozen_rate : float
        The rate below 4 °C, where the model doesn't reach, 0 to 1: a setting, an assumption. [-]

    Returns
    -------
    float
        Rate, at least 0. [days/day]

    Raises
    ------
    BadInput
        When a figure is outside its range.

    Notes
    -----
    exp(Ea/R · (1/T_ref - 1/T)), kelvin. Above 35 °C extrapolated: `staling_assumptions` says so.
    Source: C. Cardelli, T. P. Labuza, LWT 34 (2001) 273-278 (doi from memory: 10.1006/fstl.2000.0732), for
    roasted and ground coffee; whole beans are taken to follow it.

    Examples
    --------
    >>> round(staling_rate(30.0), 3), round(staling_rate(4.0), 3), staling_rate(-18.0)
    (1.192, 0.735, 0.1)
    """
    within("temp_c", temp_c, -40.0, 60.0, "°C")
    within("activation_energy_kj_mol", activation_energy_kj_mol, 0.0, 150.0, "kJ/mol")
    within("reference_temp_c", reference_temp_c, MODEL_FROM_C, MODEL_TO_C, "°C")
    within("frozen_rate", frozen_rate, 0.0, 1.0, "")
    if temp_c < MODEL_FROM_C:
        return frozen_rate
    colder = 1.0 / (reference_temp_c + ZERO_C_IN_K) - 1.0 / (temp_c + ZERO_C_IN_K)
    return math.exp(activation_energy_kj_mol * 1000.0 / GAS_CONSTANT_J_MOL_K * colder)


def staling_assumptions(
    temps_c: list[float], reference_temp_c: float = REFERENCE_TEMP_C, frozen_rate: float = FROZEN_RATE
) -> list[str]:
    """What was taken for granted about staling at these temperatures, in plain sentences.

    Parameters
    ----------
    temps_c : list of float
        Where the bag was kept, each -40 to 60. [°C]
    reference_temp_c : float
        Where the rate is 1, 4 to 35. [°C]
    frozen_rate : float
        The rate below 4 °C, 0 to 1. [-]

    Returns
    -------
    list of str
        Empty for a bag that never left the reference temperature.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app; the limits of the model as in `staling_rate`.

    Examples
    --------
    >>> staling_assumptions([20.0])
    []
    >>> staling_assumptions([-18.0])
    ['below 4 °C the published model does not reach: staling taken as 0.1 of that at 20 °C, a setting']
    """
    said = []
    if any(temp_c >= MODEL_FROM_C and temp_c != reference_temp_c for temp_c in temps_c):
        said.append("whole beans are taken to follow temperature as ground coffee was measured to")
    if any(temp_c < MODEL_FROM_C for temp_c in temps_c):
        said.append(
            "below 4 °C the published model does not reach: "
            f"staling taken as {frozen_rate:g} of that at {reference_temp_c:g} °C, a setting"
        )
    if any(temp_c > MODEL_TO_C for temp_c in temps_c):
        said.append("above 35 °C the published model is extrapolated")
    return said
