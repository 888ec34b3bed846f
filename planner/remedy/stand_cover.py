"""The part of the flying area that one observer can cover, to shrink the plan to."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.geo.progress import Progress, Unwatched
from planner.sight.curvature import REFRACTION
from planner.sight.grid import box_about
from planner.sight.lines import Outlook, Targets, lines_to, slant_m
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot
from planner.sight.surfaces import Surfaces

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_PLACES_A_BATCH = 5_000


@attrs.frozen(eq=False)
class CoverQuestion:
    """Which part of an area is asked for.

    Parameters
    ----------
    area : plane polygon.
    low_agl_m, top_agl_m : lowest and highest flying height above ground [m];
        what is seen low down is seen higher up too, the top is farther away.
    """

    surfaces: Surfaces
    eye: Spot
    reach: SightRange
    area: BaseGeometry
    low_agl_m: float
    top_agl_m: float
    spacing_m: float = 10.0
    refraction: float = REFRACTION


@attrs.frozen(eq=False)
class Coverage:
    """Places of the area, arrays (n,), and what of it the eye covers.

    `covered` places are seen from `low_agl_m` to `top_agl_m` within judging
    range. `ring` bounds the largest covered piece without holes, empty if
    there is none; `share` is the covered share of the area's places.
    """

    x_m: Floats
    y_m: Floats
    covered: Mask
    share: float
    outline: shapely.Polygon
    ring: tuple[Place, ...]


def coverable(question: CoverQuestion, progress: Progress | None = None) -> Coverage:
    """Return the part of an area that an eye covers.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits.
    """
    progress = Unwatched() if progress is None else progress
    x_m, y_m = _grid(question)
    ground_m = question.surfaces.ground.ground(x_m, y_m)
    low = Targets(x_m, y_m, ground_m + question.low_agl_m, ground_m)
    top = Targets(x_m, y_m, ground_m + question.top_agl_m, ground_m)
    reach_m = question.reach.attitude_m
    covered = np.zeros(len(x_m), dtype=bool)
    if reach_m is not None and question.reach.detection_m is not None:
        covered = (slant_m(question.eye, low) <= reach_m) & (slant_m(question.eye, top) <= reach_m)
        covered &= ~np.isnan(ground_m)
        _keep_visible(covered, low, question, progress)
    outline = _outline(x_m[covered], y_m[covered], question)
    return Coverage(
        x_m, y_m, covered, float(covered.mean()) if len(covered) else 0.0, outline, _ring(question, outline)
    )


def _grid(question: CoverQuestion) -> tuple[Floats, Floats]:
    west, south, east, north = question.area.bounds
    half = question.spacing_m / 2
    axes = (
        np.arange(west + half, east, question.spacing_m),
        np.arange(south + half, north, question.spacing_m),
    )
    x_m, y_m = (axis.ravel() for axis in np.meshgrid(*axes))
    inside = shapely.intersects_xy(question.area, x_m, y_m)
    return x_m[inside], y_m[inside]


def _keep_visible(covered: Mask, low: Targets, question: CoverQuestion, progress: Progress) -> None:
    near = np.flatnonzero(covered)
    if not len(near):
        return
    eye = question.eye
    box = box_about(np.append(low.x_m[near], eye.x_m), np.append(low.y_m[near], eye.y_m))
    outlook = Outlook.over(question.surfaces, box)
    for begin in range(0, len(near), _PLACES_A_BATCH):
        batch = near[begin : begin + _PLACES_A_BATCH]
        lines = lines_to(outlook, eye, low.take(batch), question.refraction)
        covered[batch] = ~(lines.hidden | lines.unknown)
        progress.report(min(1.0, (begin + len(batch)) / len(near)))


def _outline(x_m: Floats, y_m: Floats, question: CoverQuestion) -> shapely.Polygon:
    """Return the largest piece of covered cells without holes, drawn in to the cells' centres."""
    half = question.spacing_m / 2
    cells = shapely.union_all(shapely.box(x_m - half, y_m - half, x_m + half, y_m + half), grid_size=0.001)
    inner = shapely.intersection(shapely.buffer(cells, -half, join_style="mitre"), question.area)
    return _largest(_without_holes(_largest(inner)))


def _largest(shape: BaseGeometry) -> shapely.Polygon:
    polygons = [part for part in shapely.get_parts(shape) if isinstance(part, shapely.Polygon)]
    return max(polygons, key=lambda part: float(part.area), default=shapely.Polygon())


def _without_holes(polygon: shapely.Polygon) -> shapely.Polygon:
    """Cut a polygon north to south through its largest hole and keep the larger side, until none is left."""
    while polygon.interiors:
        hole = max((shapely.Polygon(ring) for ring in polygon.interiors), key=lambda one: float(one.area))
        west, south, east, north = polygon.bounds
        sides = (
            shapely.box(west, south, hole.centroid.x, north),
            shapely.box(hole.centroid.x, south, east, north),
        )
        polygon = max(
            (_largest(shapely.intersection(polygon, side)) for side in sides),
            key=lambda part: float(part.area),
        )
    return polygon


def _ring(question: CoverQuestion, outline: shapely.Polygon) -> tuple[Place, ...]:
    if outline.is_empty:
        return ()
    frame = question.surfaces.ground.frame
    corners = shapely.get_coordinates(shapely.simplify(outline.exterior, 0.0))[:-1]
    return tuple(frame.xy_to_place(float(x_m), float(y_m)) for x_m, y_m in corners)
