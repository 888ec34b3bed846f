"""How high each metre of a path could be flown."""

import numpy as np
from numpy.typing import NDArray

from planner.remedy.trial import Trial

Floats = NDArray[np.float64]

LEAST_HEIGHT_M = 3.0
"""What must be left between ground and ceiling for a height to be worth flying, common practice."""


def cap_amsl_m(trial: Trial) -> Floats:
    """Return the height to stay under [m AMSL], NaN where unknown.

    The ceiling; where only the authority can say what it is, what is open
    without asking; where the permissions on record allow nothing, what could
    still be asked for; where nobody can say what that is, the height limit.
    """
    profile, ground_m = trial.profile, trial.track.ground_amsl_m
    limit_m, ceiling_m = profile.ground_limit_amsl_m, profile.ceiling_amsl_m
    if profile.unasked_amsl_m is not None:
        ceiling_m = np.where(np.isnan(ceiling_m), profile.unasked_amsl_m, ceiling_m)
    with np.errstate(invalid="ignore"):
        flyable = ceiling_m > ground_m + LEAST_HEIGHT_M
        askable = profile.requestable_amsl_m > ground_m + LEAST_HEIGHT_M
    allowed = np.where(flyable, ceiling_m, np.where(askable, profile.requestable_amsl_m, limit_m))
    return np.asarray(np.minimum(allowed, limit_m), dtype=float)
