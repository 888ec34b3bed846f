"""Behind a line of spectators: where people are taken to stand who watch from it.

The flight is before the line, and so is the place from which it is launched; people watch from the other
side, within 50 m (own choice). Where nobody can say which side that is both count.
"""

from typing import Final

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Plan

DEPTH_M: Final = 50.0
# Nearer than this to being as far from both sides, a place does not say which side is which.
_TELLS_M: Final = 1.0


def behind_line(item: BeneathItem, line: BaseGeometry, plan: Plan, frame: LocalFrame) -> BaseGeometry:
    """Return where people stand behind a drawn line of spectators in the plane; empty for all else.

    The side away from the launch point, else from the landing point, else from
    the middle of the path or of the flying area.
    """
    if item.kind is not BeneathKind.SPECTATOR_LINE or item.drawn_as is not DrawnAs.LINE:
        return shapely.Polygon()
    sides = [shapely.buffer(line, side * DEPTH_M, single_sided=True) for side in (1, -1)]
    for spot in _before_it(plan, frame):
        left_m, right_m = (float(shapely.distance(spot, side)) for side in sides)
        if abs(left_m - right_m) > _TELLS_M:
            return sides[0] if left_m > right_m else sides[1]
    return shapely.union_all(sides)


def _before_it(plan: Plan, frame: LocalFrame) -> list[BaseGeometry]:
    spots: list[BaseGeometry] = [
        shapely.Point(frame.place_to_xy(spot.place)) for spot in (plan.launch, plan.landing) if spot
    ]
    places = [point.place for point in plan.path] or list(plan.area.ring if plan.area else ())
    if places:
        spots.append(shapely.centroid(shapely.MultiPoint([frame.place_to_xy(place) for place in places])))
    return spots
