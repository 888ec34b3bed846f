"""Where over an area the aircraft may be looked at against the sun, and when."""

from datetime import timedelta

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.model import Plan
from planner.sight.over_area import LOW_M, AreaSight
from planner.sight.spot import Spot
from planner.sight.sun import LIMB_ALTITUDE_DEG, SUN_DEG_PER_S
from planner.track.samples import AreaSamples
from planner.world.sun_position import SunCourse, direction, sun_course

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_STEP_S = 60.0
_MOST_LOOKS = 12_000_000
"""Columns times moments. Of longer windows fewer moments are looked at, ten minutes apart at the most, and
each stands for all about it (`doubt_deg`)."""
_LONGEST_STEP_S = 600.0
_LEAST_LEVEL_M = 1e-6


@attrs.frozen(eq=False)
class Columns:
    """Upright pieces of the air over places, each from where it is seen up to the area's top; arrays (n,)."""

    x_m: Floats
    y_m: Floats
    low_amsl_m: Floats
    top_amsl_m: Floats


@attrs.frozen(eq=False)
class Dazzle:
    """Columns in the cone about the sun, arrays (moments, n): any height of them, and all of it."""

    some: Mask
    whole: Mask


def columns_seen(samples: AreaSamples, part: AreaSight) -> Columns:
    """Return what one viewer sees over the places of an area, without what is on the ground."""
    ground_m = samples.ground_amsl_m[part.which]
    from_m = np.where(np.isfinite(part.seen_from_agl_m), part.seen_from_agl_m, LOW_M)
    top_m = samples.planned_amsl_m[part.which]
    low_m = np.minimum(ground_m + np.maximum(from_m, LOW_M), top_m)
    return Columns(samples.x_m[part.which], samples.y_m[part.which], low_m, top_m)


def moments_of(plan: Plan, columns: int) -> Floats:
    """Return moments all through the plan's window [s after its start]: each minute, or somewhat fewer."""
    if plan.window is None:
        return np.empty(0)
    length_s = (plan.window.end_utc - plan.window.start_utc) / timedelta(seconds=1)
    step_s = min(max(_STEP_S, length_s * columns / _MOST_LOOKS), _LONGEST_STEP_S)
    return np.linspace(0.0, length_s, int(np.ceil(length_s / step_s)) + 1)


def doubt_deg(moments_s: Floats) -> float:
    """Return by how much the sun may come nearer between moments than at them; none of whole minutes."""
    step_s = float(np.diff(moments_s).max()) if len(moments_s) > 1 else 0.0
    return SUN_DEG_PER_S * step_s / 2 if step_s > _STEP_S else 0.0


def sun_in_window(plan: Plan, moments_s: Floats) -> SunCourse | None:
    """Return the sun at moments [s after the window's start]; None without window or place."""
    anchor = plan.anchor()
    if plan.window is None or anchor is None or not len(moments_s):
        return None
    return sun_course(anchor, plan.window.start_utc, moments_s)


def dazzle(eye: Spot, columns: Columns, sun: SunCourse, cone_deg: float, doubt_deg: float = 0.0) -> Dazzle:
    """Return which columns lie within an angle of the sun at each moment; none while it is down.

    `doubt_deg` is by how much the sun may stand elsewhere about each moment.

    A column's directions lie on one great circle: it is in the cone as a whole if both its ends are, and
    comes nearest to the sun at an end or where its slope is the sun's, seen from the side.
    """
    east_m, north_m = columns.x_m - eye.x_m, columns.y_m - eye.y_m
    # Nobody flies about the watcher's own head: from there on the lowest end is not straight above it.
    flat_m = np.maximum(np.hypot(east_m, north_m), LOW_M)
    low_m, top_m = columns.low_amsl_m - eye.amsl_m, columns.top_amsl_m - eye.amsl_m
    shape = (len(sun.altitude_deg), len(flat_m))
    some, whole = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
    least = np.cos(np.radians(cone_deg + doubt_deg))
    for moment in np.flatnonzero(sun.altitude_deg > LIMB_ALTITUDE_DEG - doubt_deg):
        sunward = direction(sun.azimuth_deg[moment], sun.altitude_deg[moment])
        level_m = sunward[0] * east_m + sunward[1] * north_m

        def cosine(up_m: Floats, level_m: Floats = level_m, rise: float = float(sunward[2])) -> Floats:
            return np.asarray((level_m + rise * up_m) / np.hypot(flat_m, up_m))

        best_m = np.where(level_m > 0.0, sunward[2] * flat_m**2 / np.maximum(level_m, _LEAST_LEVEL_M), top_m)
        low, top = cosine(low_m), cosine(top_m)
        nearest = np.fmax(np.fmax(low, top), cosine(np.clip(best_m, low_m, top_m)))
        some[moment], whole[moment] = nearest >= least, np.minimum(low, top) >= least
    return Dazzle(some, whole)
