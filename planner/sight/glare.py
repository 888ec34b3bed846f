"""When the sun stands out of the way, for a flight that would be looked at against it."""

from datetime import timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan.model import Plan
from planner.sight.answer import SightAnswer, conditions_at, starts_within, suns_at
from planner.sight.lines import Targets
from planner.sight.sun import sun_angle_deg
from planner.track.track import Track

_STEP_S: Final = 600.0
_HALF_DAY_S: Final = 43_200.0


def free_shift(plan: Plan, track: Track, answer: SightAnswer, keys: frozenset[str]) -> timedelta | None:
    """Return by how much the window must move, at the least, so that nobody of `keys` looks against the sun.

    In whole steps of ten minutes within half a day and only to times at which
    the sun is up all the while; None if there is none.
    """
    if plan.window is None or answer.times is None:
        return None
    length_s = (plan.window.end_utc - plan.window.start_utc) / timedelta(seconds=1)
    steps = int(_HALF_DAY_S / _STEP_S)
    room = int(np.ceil(max(length_s - answer.times.duration_s, 0.0) / _STEP_S))
    starts_s = np.arange(-steps, steps + room + 1).astype(np.float64) * _STEP_S
    bad = _dazzled_or_dark(plan, track, answer, keys, starts_s)
    for shift in sorted(range(-steps, steps + 1), key=lambda step: (abs(step), step)):
        seems_free = not bad[shift + steps : shift + steps + room + 1].any()
        if seems_free and _free_at_each_minute(plan, track, answer, keys, _STEP_S * shift):
            return timedelta(seconds=_STEP_S * shift)
    return None


def _free_at_each_minute(
    plan: Plan, track: Track, answer: SightAnswer, keys: frozenset[str], shift_s: float
) -> bool:
    """Whether nobody looks against the sun in a window so much later; between steps it may come nearer."""
    if plan.window is None or answer.times is None:
        return False
    starts_s = shift_s + starts_within(plan.window, answer.times.duration_s)
    conditions = conditions_at(plan, answer.times, starts_s)
    targets = _targets(track)
    return not any(
        (conditions.least_sun_angle_deg(viewer.eye, targets) <= answer.conditions.cone_deg).any()
        for viewer in answer.viewers
        if viewer.key in keys
    )


def _targets(track: Track) -> Targets:
    return Targets(track.x_m, track.y_m, track.planned_amsl_m, track.ground_amsl_m)


def _dazzled_or_dark(
    plan: Plan, track: Track, answer: SightAnswer, keys: frozenset[str], starts_s: NDArray[np.float64]
) -> NDArray[np.bool_]:
    targets = _targets(track)
    suns = suns_at(plan, answer.times, starts_s) if answer.times else ()
    bad = np.zeros(len(starts_s), dtype=bool)
    for viewer in answer.viewers:
        if viewer.key in keys:
            for row, sun in enumerate(suns):
                angle_deg = sun_angle_deg(viewer.eye, targets, sun)
                bad[row] |= bool((np.isnan(angle_deg) | (angle_deg <= answer.conditions.cone_deg)).any())
    return bad
