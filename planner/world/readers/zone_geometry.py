"""Outlines of zones for unmanned aircraft: polygons, and circles about a point."""

from collections import deque
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.errors import PlanError
from planner.geo.place import Place
from planner.world.readers.curves import circle
from planner.world.readers.json_values import Json, mapping, number, sequence
from planner.world.readers.mend import mend
from planner.world.readers.row import RefusedError

_MOST_PARTS = 2_000


def layered_geometries(geometry: object, layer: object = None) -> Iterator[tuple[Json, object]]:
    """Yield each simple geometry of a GeoJSON geometry with its layer of height.

    Raises
    ------
    RefusedError
        If there are more than any zone has.
    """
    waiting: deque[tuple[object, object]] = deque([(geometry, layer)])
    count = 0
    while waiting:
        shape, inherited = waiting.popleft()
        members = mapping(shape)
        own = members.get("layer", inherited)
        if members.get("type") == "GeometryCollection":
            waiting.extend((part, own) for part in sequence(members.get("geometries")))
        else:
            yield members, own
        count += 1
        if count > _MOST_PARTS:
            raise RefusedError(f"its outline has more than {_MOST_PARTS:,} parts")


def outline_of(geometry: Json) -> BaseGeometry:
    """Return the area of a polygon, or of a point with an extent.

    Raises
    ------
    RefusedError
        If it is none.
    """
    kind = geometry.get("type")
    if kind == "Point":
        extent = mapping(geometry.get("extent"))
        if str(extent.get("subType", "")).casefold() != "circle":
            raise RefusedError("a point without a circle about it is no area")
        return disc(geometry.get("coordinates"), extent.get("radius"))
    if not isinstance(kind, str) or kind not in {"Polygon", "MultiPolygon"}:
        raise RefusedError(f"a {str(kind)[:30]} is no area")
    return _area(kind, geometry.get("coordinates"))


def disc(centre: object, radius: object) -> BaseGeometry:
    """Return the area of a circle about [longitude, latitude], radius in metres.

    Raises
    ------
    RefusedError
        If centre or radius can't be read.
    """
    figures = [number(value) for value in sequence(centre)[:2]]
    radius_m = number(radius)
    if len(figures) != 2 or figures[0] is None or figures[1] is None or radius_m is None:
        raise RefusedError("a circle has no centre or no radius")
    try:
        return circle(Place(figures[0], figures[1]), radius_m)
    except PlanError as error:
        raise RefusedError(error.what) from None


def _area(kind: str, coordinates: object) -> BaseGeometry:
    polygons = [coordinates] if kind == "Polygon" else sequence(coordinates)
    shapes = [_polygon(rings) for rings in polygons]
    shape = shapes[0] if len(shapes) == 1 else shapely.MultiPolygon(shapes)
    area = None if shape.is_empty else mend(shape)
    if area is None or area.is_empty:
        raise RefusedError("its outline encloses nothing, or crosses itself too often to be made out")
    return area


def _polygon(rings: object) -> shapely.Polygon:
    corners = [_corners(ring) for ring in sequence(rings)]
    if not corners or any(len(ring) < 3 for ring in corners):
        raise RefusedError("its outline is no GeoJSON geometry")
    return shapely.Polygon(corners[0], corners[1:])


def _corners(ring: object) -> NDArray[np.float64]:
    """Return a ring's corners (n, 2); a third coordinate is left aside."""
    points = sequence(ring)
    try:
        corners = np.array([_pair(point) for point in points], dtype=np.float64).reshape(-1, 2)
    except (TypeError, ValueError, OverflowError):
        raise RefusedError("its outline is no GeoJSON geometry") from None
    if not np.isfinite(corners).all() or (np.abs(corners) > np.array([180.0, 90.0])).any():
        raise RefusedError("a corner is no longitude and latitude")
    return corners


def _pair(point: object) -> Sequence[object]:
    if (
        not isinstance(point, list)
        or len(point) < 2
        or isinstance(point[0], str)
        or isinstance(point[1], str)
    ):
        raise TypeError("no position")
    return point[0], point[1]
