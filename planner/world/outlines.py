"""Outlines on the map, laid into the local plane once, ready to be crossed."""

import math
from collections.abc import Hashable, Iterable, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.antimeridian import unwrapped
from planner.geo.frame import LocalFrame
from planner.geo.place import Place

Floats = NDArray[np.float64]

_EARTH_RADIUS_M = 6_371_008.8
_METRES_PER_DEGREE = 111_320.0
_CHORD_ERROR_M = 0.01
_SPARE_M = 50.0


@attrs.frozen(eq=False)
class Disc:
    """A circle in the local plane [m]."""

    x_m: float
    y_m: float
    radius_m: float


Shape = BaseGeometry | Disc
"""An outline in the plane."""


@attrs.frozen(eq=False)
class Outlines:
    """Polygons and discs in the local plane; column k belongs to `keys[k]`.

    Parameters
    ----------
    keys : what each outline belongs to; a key may own several outlines.
    shapes : a prepared plane polygon, or a disc.
    boxes : (outlines, 4) west, south, east, north [m].
    edges : (edges, 4) x0, y0, x1, y1 [m] of all polygon edges.
    edge_owner : (edges,) column of each edge.
    """

    keys: tuple[Hashable, ...]
    shapes: tuple[Shape, ...]
    boxes: Floats
    edges: Floats
    edge_owner: NDArray[np.int64]
    circles: Floats = attrs.field(init=False)
    """(outlines, 3) centre and radius of discs [m], NaN of polygons."""

    @circles.default
    def _circles(self) -> Floats:
        none = (math.nan, math.nan, math.nan)
        known = [(s.x_m, s.y_m, s.radius_m) if isinstance(s, Disc) else none for s in self.shapes]
        return np.array(known, dtype=float).reshape(-1, 3)

    def __len__(self) -> int:
        """Return the number of outlines."""
        return len(self.keys)

    def columns_near(self, box: Floats) -> NDArray[np.int64]:
        """Return the columns whose box meets `box` (west, south, east, north)."""
        return np.flatnonzero(self.near_each(box[None, :])[0])

    def near_each(self, boxes: Floats) -> NDArray[np.bool_]:
        """Return, for each of some boxes (n, 4), which columns have a box that meets it, (n, outlines)."""
        return boxes_meet(boxes, self.boxes)

    def contains(self, column: int, x_m: Floats, y_m: Floats) -> NDArray[np.bool_]:
        """Return which plane positions lie in outline `column`, its edge included."""
        shape = self.shapes[column]
        if isinstance(shape, Disc):
            return np.asarray(np.hypot(x_m - shape.x_m, y_m - shape.y_m) <= shape.radius_m)
        return np.asarray(shapely.intersects_xy(shape, x_m, y_m), dtype=bool)

    def contains_each(self, columns: NDArray[np.int64], x_m: Floats, y_m: Floats) -> NDArray[np.bool_]:
        """Return `contains` of position k and outline `columns[k]`, shape (n,)."""
        centre_x, centre_y, radius_m = self.circles[columns].T
        inside = np.asarray(np.hypot(x_m - centre_x, y_m - centre_y) <= radius_m)
        of_polygons = np.flatnonzero(np.isnan(radius_m))
        for column in np.unique(columns[of_polygons]).tolist():
            there = of_polygons[columns[of_polygons] == column]
            inside[there] = self.contains(column, x_m[there], y_m[there])
        return inside

    def polygon(self, column: int) -> BaseGeometry:
        """Return outline `column` as a plane polygon; discs by 256 corners."""
        shape = self.shapes[column]
        if isinstance(shape, Disc):
            return shapely.Point(shape.x_m, shape.y_m).buffer(shape.radius_m, quad_segs=64)
        return shape


def boxes_meet(some: Floats, others: Floats) -> NDArray[np.bool_]:
    """Return which of some boxes (n, 4) meet which of others (m, 4), shape (n, m)."""
    apart = others[:, 0] > some[:, 2, None]
    apart |= others[:, 2] < some[:, 0, None]
    apart |= others[:, 1] > some[:, 3, None]
    apart |= others[:, 3] < some[:, 1, None]
    return ~apart


def polygons_in_plane(geometry: BaseGeometry, frame: LocalFrame) -> BaseGeometry:
    """Lay a lon/lat geometry into the plane; its edges stay straight in lon/lat.

    Edges are cut so that the plane's chord leaves the lon/lat line by no more
    than 1 cm; a 100-km edge uncut would differ by some 144 m.
    """
    plane: BaseGeometry = shapes_in_plane(np.array([geometry], dtype=object), frame)[0]
    return plane


def shapes_in_plane(geometries: NDArray[np.object_], frame: LocalFrame) -> NDArray[np.object_]:
    """Lay lon/lat geometries (n,) into the plane at once, as `polygons_in_plane` does."""
    latitude_deg = min(abs(frame.origin.lat_deg) + 1.0, 85.0)
    longest_m = math.sqrt(
        8 * _EARTH_RADIUS_M * _CHORD_ERROR_M / max(math.tan(math.radians(latitude_deg)), 0.1)
    )
    flat = unwrapped(np.asarray(shapely.force_2d(geometries), dtype=object), frame.origin.lon_deg)
    fine = _cut(flat, longest_m / _METRES_PER_DEGREE)
    plane = shapely.transform(fine, lambda points: np.column_stack(frame.forward(points[:, 0], points[:, 1])))
    return np.asarray(plane, dtype=object)


def _cut(flat: NDArray[np.object_], longest_deg: float) -> NDArray[np.object_]:
    """Cut long edges; a line with all of its length in one place, which GEOS refuses, stays as it is."""
    try:
        return np.asarray(shapely.segmentize(flat, longest_deg), dtype=object)
    except shapely.GEOSException:
        if len(flat) == 1:
            return flat
    return np.concatenate([_cut(flat[k : k + 1], longest_deg) for k in range(len(flat))])


def lay_out(
    polygons: Iterable[tuple[Hashable, BaseGeometry]],
    discs: Iterable[tuple[Hashable, Place, float]],
    frame: LocalFrame,
) -> Outlines:
    """Return the outlines of lon/lat polygons and of discs (centre, radius [m])."""
    polygons, discs = list(polygons), list(discs)
    given = np.empty(len(polygons), dtype=object)
    given[:] = [geometry for _, geometry in polygons]
    # All at once: one by one they would take ten times as long.
    plane = shapes_in_plane(given, frame)
    shapely.prepare(plane)
    round_ones = _round_ones(discs, frame)
    edges, owner = _edges(plane)
    boxes = [(one.x_m, one.y_m, one.x_m, one.y_m) for one in round_ones]
    reach = [(-one.radius_m, -one.radius_m, one.radius_m, one.radius_m) for one in round_ones]
    return Outlines(
        keys=(*(key for key, _ in polygons), *(key for key, _, _ in discs)),
        shapes=(*plane.tolist(), *round_ones),
        boxes=np.vstack([shapely.bounds(plane), np.reshape(boxes, (-1, 4)) + np.reshape(reach, (-1, 4))]),
        edges=edges,
        edge_owner=owner,
    )


def _round_ones(discs: Sequence[tuple[Hashable, Place, float]], frame: LocalFrame) -> list[Disc]:
    centres = np.array([(place.lon_deg, place.lat_deg) for _, place, _ in discs]).reshape(-1, 2)
    x_m, y_m = frame.forward(centres[:, 0], centres[:, 1])
    return [
        Disc(x, y, radius_m) for x, y, (_, _, radius_m) in zip(x_m.tolist(), y_m.tolist(), discs, strict=True)
    ]


def _edges(plane: NDArray[np.object_]) -> tuple[Floats, NDArray[np.int64]]:
    """Return all edges of polygons (x0, y0, x1, y1), and the column of each."""
    parts, column = shapely.get_parts(plane, return_index=True)
    lines, part = shapely.get_parts(shapely.boundary(parts), return_index=True)
    points, line = shapely.get_coordinates(lines, return_index=True)
    joined = line[1:] == line[:-1]
    edges = np.hstack([points[:-1], points[1:]])[joined]
    return edges, column[part[line[:-1][joined]]].astype(np.int64)


def earth_box(box: tuple[float, float, float, float], frame: LocalFrame) -> BaseGeometry:
    """Return a box of lon/lat that holds one of the plane: west, south, east, north [m]."""
    west, south, east, north = box
    lon_deg, lat_deg = frame.inverse(
        np.array([west, west, east, east]), np.array([south, north, south, north])
    )
    spare_deg = _SPARE_M / _METRES_PER_DEGREE
    around: BaseGeometry = shapely.box(
        lon_deg.min() - spare_deg,
        lat_deg.min() - spare_deg,
        lon_deg.max() + spare_deg,
        lat_deg.max() + spare_deg,
    )
    return around
