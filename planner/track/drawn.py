"""What the pilot drew, laid into the plane."""

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathItem, DrawnAs
from planner.world.outlines import polygons_in_plane

USUAL_HALF_WIDTH_M = 2.0
"""Radius of a spot, half the width of a line whose width nobody gives: own choice."""


def drawn_shape(item: BeneathItem, frame: LocalFrame) -> BaseGeometry:
    """Return the spot, line or area of a drawn item in the plane [m], without width."""
    points = [(place.lon_deg, place.lat_deg) for place in item.places]
    match item.drawn_as:
        case DrawnAs.SPOT:
            shape: BaseGeometry = shapely.Point(points[0])
        case DrawnAs.LINE:
            shape = shapely.LineString(points)
        case _:
            shape = shapely.Polygon(points)
    return polygons_in_plane(shape, frame)


def drawn_outline(item: BeneathItem, frame: LocalFrame) -> BaseGeometry:
    """Return the outline of a drawn item in the plane [m], as wide as it is."""
    shape = drawn_shape(item, frame)
    if item.drawn_as is DrawnAs.AREA:
        return shape
    return shapely.buffer(shape, item.half_width_m or USUAL_HALF_WIDTH_M)
