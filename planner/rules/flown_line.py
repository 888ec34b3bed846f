"""The height really flown where the aircraft can't keep to the path: over edges, and up to walls."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from planner.rules.case import Case
from planner.rules.drawn_slope import own_word
from planner.rules.finding import Finding
from planner.rules.followed_ground import able_of, flown_as

Floats = NDArray[np.float64]

NOT_AS_DRAWN = frozenset({"ground-falls-too-fast", "ground-rises-too-fast"})
"""The findings that a path is not flown as it is drawn."""
_APART_M = 1.0
"""From so far beside the path on it is worth a line of its own; own choice."""


def flown_line(case: Case | None, findings: Iterable[Finding]) -> Floats | None:
    """Return how high the path is flown where that is not as drawn (n,) [m AMSL], None if nowhere.

    NaN elsewhere. Of legs that follow the ground, by the rates that are given, else at 45 degrees; of
    straight legs steeper than those rates where a finding says that it matters.
    """
    if case is None or case.track is None:
        return None
    told = any(found.rule in NOT_AS_DRAWN for found in findings)
    able = able_of(case)
    by_rates = told and not (able.descent_mps is None and able.climb_mps is None)
    flown = flown_as(case, own_word(case, case.track) if by_rates else None)
    if flown is None:
        return None
    planned_m = case.track.planned_amsl_m
    with np.errstate(invalid="ignore"):
        high, low = flown.still_amsl_m > planned_m + _APART_M, flown.only_amsl_m < planned_m - _APART_M
    if not (high | low).any():
        return None
    # It leaves the path and comes back to it at the samples beside.
    joined = np.where(high, flown.still_amsl_m, np.where(low, flown.only_amsl_m, np.nan))
    apart = high | low
    beside = np.append(apart[1:], False) | np.insert(apart[:-1], 0, False)
    return np.where(beside & ~apart, planned_m, joined)
