"""How high each metre of a path could be flown."""

import numpy as np
from numpy.typing import NDArray

from planner.remedy.trial import Trial

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_HEIGHT_M = 3.0
"""What must be left between ground and ceiling for a height to be worth flying, common practice."""


def cap_amsl_m(trial: Trial) -> Floats:
    """Return the height to stay under [m AMSL], NaN where unknown.

    The ceiling; where only the authority can say what it is, what is open
    without asking; where the permissions on record allow nothing, what could
    still be asked for; where nobody can say what that is, the height limit.
    """
    limit_m, ceiling_m = trial.profile.ground_limit_amsl_m, _open_amsl_m(trial)
    asked_m = np.where(by_asking(trial), trial.profile.requestable_amsl_m, limit_m)
    allowed = np.where(_flyable(trial, ceiling_m), ceiling_m, asked_m)
    return np.asarray(np.minimum(allowed, limit_m), dtype=float)


def by_asking(trial: Trial) -> Mask:
    """Return where that is what could still be asked for, as nothing is allowed."""
    with np.errstate(invalid="ignore"):
        askable = trial.profile.requestable_amsl_m > trial.track.ground_amsl_m + LEAST_HEIGHT_M
    return np.asarray(askable & ~_flyable(trial, _open_amsl_m(trial)))


def _open_amsl_m(trial: Trial) -> Floats:
    ceiling_m, unasked_m = trial.profile.ceiling_amsl_m, trial.profile.unasked_amsl_m
    return ceiling_m if unasked_m is None else np.where(np.isnan(ceiling_m), unasked_m, ceiling_m)


def _flyable(trial: Trial, height_m: Floats) -> Mask:
    with np.errstate(invalid="ignore"):
        return np.asarray(height_m > trial.track.ground_amsl_m + LEAST_HEIGHT_M)
