"""Bend a path round airspace closed to it or not permitted, and round the guy wires of masts."""

from itertools import pairwise

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.assessment import Assessment
from planner.permission.besides import BESIDE_M
from planner.plan.geometry import LegShape, PathPoint
from planner.remedy.close_beside import passes_close_beside
from planner.remedy.detour import LEAST_SLACK_M, keep_out, shortest_way
from planner.remedy.heights import as_given
from planner.remedy.in_the_way import runs_among_wires, shut_to, wire_circles
from planner.remedy.remedy import NoRemedy, Remedy, path_remedy
from planner.remedy.trial import Trial, trial_of, try_path
from planner.saying import Kind, Quantity
from planner.track.build import amsl_m

Floats = NDArray[np.float64]

_SLACK_SHARE = 0.1
_MOST_SLACK_M = 25.0
_REACH_M = 10_000.0


def bend_path(assessment: Assessment, clearance_m: float) -> Remedy | NoRemedy:
    """Return the edit that leads the path round airspace and guy wires by the shortest way.

    Everything entered, or passed too close beside, is kept clear of by `clearance_m`, and so is whatever
    else is closed at the heights of the path nearby, and where the wires of
    guyed masts are taken to be (`track.guy_wires`). Points inside are left
    out; heights between are interpolated along the new way, above ground on
    legs that follow it.
    """
    trial = trial_of(assessment)
    if trial is None:
        return NoRemedy("the plan has no path of two points to bend")
    after = bent(trial, clearance_m)
    return path_remedy(bend_title(clearance_m), trial, after) if isinstance(after, Trial) else after


def bend_title(clearance_m: float) -> str:
    """Return what the undo step is called."""
    return f"Bend path round airspace and wires, {Quantity(Kind.WAY, clearance_m)} clear"


def bent(trial: Trial, clearance_m: float) -> Trial | NoRemedy:
    """Return the path of a trial led round airspace and guy wires."""
    wires = wire_circles(trial, _REACH_M)
    inside = trial.profile.in_closed | trial.profile.in_unpermitted | trial.in_asked()
    entered = bool(inside.any()) or passes_close_beside(trial, BESIDE_M)
    if not (entered or wires.among):
        return NoRemedy("the path enters no airspace and no guy wires that it would have to keep out of")
    slack_m = max(min(clearance_m * _SLACK_SHARE, _MOST_SLACK_M), LEAST_SLACK_M)
    corners = _path_xy(trial)
    outlines = trial.scene.mapped.outlines
    shapes = [
        *(outlines.polygon(column) for column in (shut_to(trial, _REACH_M) if entered else ())),
        *wires.shapes(clearance_m + slack_m, corners[[0, -1]]),
    ]
    blocked = keep_out(shapely.union_all(shapes), clearance_m, slack_m)
    shapely.prepare(blocked)
    outside = ~shapely.intersects_xy(blocked, corners[:, 0], corners[:, 1])
    for end, name in ((0, "starts"), (-1, "ends")):
        if not outside[end]:
            return NoRemedy(
                f"the path {name} in what it should keep out of, or within "
                f"{Quantity(Kind.WAY, clearance_m)} of it: "
                "move that point first"
            )
    path = _bent_path(trial, corners, outside, blocked)
    if path is None:
        return NoRemedy("there is no way round")
    after = try_path(trial, path)
    if mast := runs_among_wires(after):
        return NoRemedy(f"the way round leads among the guy wires of {mast}: move its points by hand")
    return after


def _path_xy(trial: Trial) -> Floats:
    return np.array([trial.track.frame.place_to_xy(point.place) for point in trial.path])


@attrs.frozen(eq=False)
class _Way:
    """A detour from one path point to a later one, as plane corners with both ends."""

    first: int
    last: int
    corners: Floats


def _bent_path(
    trial: Trial, corners: Floats, outside: NDArray[np.bool_], blocked: BaseGeometry
) -> list[PathPoint] | None:
    path = [trial.path[0]]
    kept = np.flatnonzero(outside)
    for first, last in pairwise(int(corner) for corner in kept):
        legs = shapely.linestrings(corners[first : last + 1])
        if last == first + 1 and not shapely.intersects(blocked, legs):
            path.append(trial.path[last])
            continue
        found = shortest_way(corners[first], corners[last], blocked)
        if found is None:
            return None
        way = _Way(first, last, found)
        path += [*_between(trial, way), trial.path[last]]
    return path


def _between(trial: Trial, way: _Way) -> list[PathPoint]:
    """Return the new points of a detour, without its ends."""
    mapped, launch_m = trial.scene.mapped, trial.track.launch_ground_amsl_m
    model = trial.path[way.first]
    x_m, y_m = way.corners.T
    ground_m = mapped.ground.ground(x_m, y_m) if mapped.ground else np.full(len(x_m), np.nan)
    ends = trial.path[way.first], trial.path[way.last]
    high = [
        amsl_m(point.height, float(ground_m[at]), launch_m) for at, point in zip((0, -1), ends, strict=True)
    ]
    share = _shares(way.corners)
    if model.leg.shape is LegShape.FOLLOW_GROUND:
        above = high[0] - ground_m[0], high[1] - ground_m[-1]
        heights = ground_m + above[0] + (above[1] - above[0]) * share
    else:
        heights = high[0] + (high[1] - high[0]) * share
    return _points(trial, model, way.corners[1:-1], heights[1:-1], ground_m[1:-1])


def _points(
    trial: Trial, model: PathPoint, corners: Floats, heights_m: Floats, ground_m: Floats
) -> list[PathPoint]:
    return [
        PathPoint(
            trial.track.frame.xy_to_place(float(x_m), float(y_m)),
            as_given(model.height, float(height), float(ground), trial.track.launch_ground_amsl_m),
            model.leg,
        )
        for (x_m, y_m), height, ground in zip(corners, heights_m, ground_m, strict=True)
    ]


def _shares(corners: Floats) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    return along / max(float(along[-1]), 1e-9)
