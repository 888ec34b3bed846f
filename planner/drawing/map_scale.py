"""Where the scale of a map stands: in a corner in which it hides nothing of the flight."""

import attrs
import shapely

from planner.drawing.map_sheet import MapSheet
from planner.plan.model import Plan

_HIGH_PT, _WORDS_PT, _SIGN_PT = 28.0, 54.0, 9.0
_LEFT_PT, _BELOW_PT = 10.0, 14.0


@attrs.frozen
class ScalePlace:
    """Where the two bars meet [pt], and the box that they and their words take."""

    x: float
    y: float
    box: tuple[float, float, float, float]


def scale_place(sheet: MapSheet, plan: Plan, longest: float) -> ScalePlace:
    """Return the place of bars up to `longest` [pt]: the first corner without a sign or piece of the path.

    Left below, right below, left above; where each has something, the one with the fewest.
    """
    width, height, wide = sheet.width, sheet.height, longest + _WORDS_PT
    signs = [shapely.Point(*sheet.of_place(place)).buffer(_SIGN_PT) for place in plan.places()]
    path = [sheet.of_place(point.place) for point in plan.path]
    line = shapely.LineString(path if len(path) > 1 else [])
    corners = ((0.0, height - _HIGH_PT), (width - wide, height - _HIGH_PT), (0.0, 0.0))

    def hidden(corner: tuple[float, float]) -> int:
        box = shapely.box(*corner, corner[0] + wide, corner[1] + _HIGH_PT)
        return sum(1 for sign in (*signs, line) if sign.intersects(box))

    left, top = min(corners, key=hidden)
    return ScalePlace(left + _LEFT_PT, top + _HIGH_PT - _BELOW_PT, (left, top, left + wide, top + _HIGH_PT))
