"""A leg cut in two without changing what is flown."""

import math

import numpy as np

from planner.assessment import Assessment
from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveSeaLevel, Height, height_of, reference_of
from planner.geo.place import Place
from planner.plan.edits import InsertPoint
from planner.plan.geometry import LegShape
from planner.track.build import ground_at
from planner.track.track import Track

_NEAREST_M = 0.5


def cut(assessment: Assessment, at_m: float) -> InsertPoint:
    """Return the point that cuts the leg at a distance along the path [m].

    It lies on the leg, and at the height at which the leg leads there, in the
    kind of height of the point that the leg leaves where that can be told.

    Raises
    ------
    PlanError
        If there is no leg there, a point is there already, or the height there is not known.
    """
    track = assessment.track
    if track is None or not np.isfinite(track.distance_m).all():
        raise PlanError("there is no leg of known length to cut", remedy="draw a path, or add terrain")
    if float(np.abs(track.distance_m[track.point_sample] - at_m).min()) < _NEAREST_M:
        raise PlanError("there is a point already", remedy="point at another place of the path")
    leg = int(np.searchsorted(track.distance_m[track.point_sample], at_m)) - 1
    if not 0 <= leg < len(assessment.plan.path) - 1:
        raise PlanError("the path does not lead there", remedy="point at a place on it")
    return _cut_at(assessment, track, leg, at_m)


def middle_of(assessment: Assessment, leg: int) -> float:
    """Return how far along the path the middle of a leg is [m], NaN where that is not known."""
    track = assessment.track
    if track is None or not 0 <= leg < len(track.point_sample) - 1:
        return math.nan
    ends_m = track.distance_m[track.point_sample[leg : leg + 2]]
    return float(ends_m.mean())


def _cut_at(assessment: Assessment, track: Track, leg: int, at_m: float) -> InsertPoint:
    samples = np.flatnonzero(track.leg == leg)
    share = float(np.interp(at_m, track.distance_m[samples], track.fraction[samples]))
    x_m, y_m = (
        float(axis[samples[0]] + share * (axis[samples[-1]] - axis[samples[0]]))
        for axis in (track.x_m, track.y_m)
    )
    place = track.frame.xy_to_place(x_m, y_m)
    return InsertPoint(leg + 1, place, _height(assessment, track, samples, share, place))


def _height(assessment: Assessment, track: Track, samples: np.ndarray, share: float, place: Place) -> Height:
    point = assessment.plan.path[int(track.leg[samples[0]])]
    ends = samples[[0, -1]]
    ground_m = _ground(assessment, place)
    if point.leg.shape is LegShape.FOLLOW_GROUND:
        above_m = float(np.interp(share, (0.0, 1.0), track.planned_agl_m[ends]))
        amsl_m = ground_m + above_m
    else:
        amsl_m = float(np.interp(share, (0.0, 1.0), track.planned_amsl_m[ends]))
        above_m = amsl_m - ground_m
    in_kind = {
        "above-ground": above_m,
        "above-launch": amsl_m - track.launch_ground_amsl_m,
        "above-sea-level": amsl_m,
    }
    kind = reference_of(point.height)
    if math.isfinite(in_kind[kind]):
        return height_of(kind, in_kind[kind])
    if math.isfinite(amsl_m):
        return AboveSeaLevel(amsl_m)
    if math.isfinite(above_m):
        return AboveGround(above_m)
    raise PlanError("the height of the leg there is not known", remedy="add terrain that covers it")


def _ground(assessment: Assessment, place: Place) -> float:
    mapped = assessment.case.mapped if assessment.case is not None else None
    return math.nan if mapped is None else ground_at(place, mapped.frame, mapped.ground)
