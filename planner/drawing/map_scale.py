"""Where the scale of a map and its norths stand: in a corner in which they hide nothing of the flight."""

from collections.abc import Callable

import attrs
import shapely

from planner.drawing.map_sheet import MapSheet
from planner.plan.model import Plan

Box = tuple[float, float, float, float]
_HIGH_PT, _WORDS_PT, _SIGN_PT = 28.0, 54.0, 9.0
_LEFT_PT, _BELOW_PT = 10.0, 14.0
_NORTHS_WIDE_PT, _NORTHS_HIGH_PT = 50.0, 62.0
_NORTHS_LEFT_PT, _NORTHS_BELOW_PT = 27.0, 24.0


@attrs.frozen
class MapPlace:
    """Where the two bars meet, or the arrows' middle [pt], and the box that they and their words take."""

    x: float
    y: float
    box: Box


def norths_place(sheet: MapSheet, plan: Plan) -> MapPlace:
    """Return the place of the arrows to north: the first corner without a sign or piece of the path.

    Right above, left above, right below, left below; where each has something, the one with the fewest.
    """
    right, below = sheet.width - _NORTHS_WIDE_PT, sheet.height - _NORTHS_HIGH_PT
    corners = ((right, 0.0), (0.0, 0.0), (right, below), (0.0, below))
    boxes = [(left, top, left + _NORTHS_WIDE_PT, top + _NORTHS_HIGH_PT) for left, top in corners]
    box = min(boxes, key=_hidden_by(sheet, plan))
    return MapPlace(box[0] + _NORTHS_LEFT_PT, box[1] + _NORTHS_BELOW_PT, box)


def scale_place(sheet: MapSheet, plan: Plan, longest: float, taken: Box) -> MapPlace:
    """Return the place of bars up to `longest` [pt]: the first corner without a sign or piece of the path.

    Left below, right below, left above, right above, but not in a box that is taken; where each has
    something, the one with the fewest.
    """
    width, height, wide = sheet.width, sheet.height, longest + _WORDS_PT
    right, below = width - wide, height - _HIGH_PT
    corners = ((0.0, below), (right, below), (0.0, 0.0), (right, 0.0))
    boxes = [(left, top, left + wide, top + _HIGH_PT) for left, top in corners]
    free = [box for box in boxes if not shapely.box(*box).intersects(shapely.box(*taken))]
    box = min(free or boxes, key=_hidden_by(sheet, plan))
    return MapPlace(box[0] + _LEFT_PT, box[3] - _BELOW_PT, box)


def _hidden_by(sheet: MapSheet, plan: Plan) -> Callable[[Box], int]:
    """Return what counts the signs and pieces of the path in a box."""
    signs = [shapely.Point(*sheet.of_place(place)).buffer(_SIGN_PT) for place in plan.places()]
    path = [sheet.of_place(point.place) for point in plan.path]
    line = shapely.LineString(path if len(path) > 1 else [])
    return lambda box: sum(1 for sign in (*signs, line) if sign.intersects(shapely.box(*box)))
