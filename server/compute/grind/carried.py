"""What the phone needs, besides the states, to carry the advice forward: numbers, words and tables, said once."""

from server.compute import time_to_target
from server.compute.grind.advice import FAULTS, TASTE_SIZES
from server.compute.grind.priors import PRIORS
from server.compute.grind.run_length import KNOWN, LEAST_SHOTS, LIMITS
from server.compute.grind.student_t import EXPANSION_90, Z90
from server.compute.grind.taste import TABLE
from server.compute.grind.tolerance import TIME_TOL_S
from server.compute.grind.words import REASONS

OF_TIME_TO_TARGET = (
    "END_FLOW_FACTOR", "USABLE_WITHIN", "FIRST_DROP_SHARE", "U_TIME_S", "U_FIRST_DROP_S", "U_FIRST_DROP_USUAL_S",
    "U_FIRST_DROP_GUESSED_SHARE", "U_YIELD_G", "U_YIELD_ASSUMED_G", "U_END_FLOW_FACTOR",
)  # fmt: skip


def carried() -> dict:
    """Everything that `static/compute/advice.js` doesn't keep itself, as plain values for the sheet.

    Returns
    -------
    dict
        `priors`, `reasons`, `taste` (the table), `taste_sizes`, `faults`, `time` (of the time to target), `limits` and
        `runs` (of the EWMA), `least_shots`, `t_90` (coefficients), `time_tol_s`.

    Raises
    ------
    Nothing

    Notes
    -----
    Convention of this app: a number that both sides reckon with is written down on one.
    """
    return {
        "priors": PRIORS,
        "reasons": REASONS,
        "taste": list(TABLE),
        "taste_sizes": {advice: list(size) for advice, size in TASTE_SIZES.items()},
        "faults": FAULTS,
        "time": {name.lower(): getattr(time_to_target, name) for name in OF_TIME_TO_TARGET},
        "limits": list(LIMITS),
        "runs": list(KNOWN),
        "least_shots": LEAST_SHOTS,
        "t_90": [Z90, *EXPANSION_90],
        "time_tol_s": TIME_TOL_S,
    }
