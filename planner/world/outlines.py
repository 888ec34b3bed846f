"""Outlines on the map, laid into the local plane once, ready to be crossed."""

import math
from collections.abc import Hashable, Iterable, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.geo.place import Place

Floats = NDArray[np.float64]

_EARTH_RADIUS_M = 6_371_008.8
_METRES_PER_DEGREE = 111_320.0
_CHORD_ERROR_M = 0.01


@attrs.frozen(eq=False)
class Disc:
    """A circle in the local plane [m]."""

    x_m: float
    y_m: float
    radius_m: float


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
    shapes: tuple[BaseGeometry | Disc, ...]
    boxes: Floats
    edges: Floats
    edge_owner: NDArray[np.int64]

    def __len__(self) -> int:
        """Return the number of outlines."""
        return len(self.keys)

    def columns_near(self, box: Floats) -> NDArray[np.int64]:
        """Return the columns whose box meets `box` (west, south, east, north)."""
        apart = (
            (self.boxes[:, 0] > box[2])
            | (self.boxes[:, 2] < box[0])
            | (self.boxes[:, 1] > box[3])
            | (self.boxes[:, 3] < box[1])
        )
        return np.flatnonzero(~apart)

    def contains(self, column: int, x_m: Floats, y_m: Floats) -> NDArray[np.bool_]:
        """Return which plane positions lie in outline `column`, its edge included."""
        shape = self.shapes[column]
        if isinstance(shape, Disc):
            return np.asarray(np.hypot(x_m - shape.x_m, y_m - shape.y_m) <= shape.radius_m)
        return np.asarray(shapely.intersects_xy(shape, x_m, y_m), dtype=bool)

    def polygon(self, column: int) -> BaseGeometry:
        """Return outline `column` as a plane polygon; discs by 256 corners."""
        shape = self.shapes[column]
        if isinstance(shape, Disc):
            return shapely.Point(shape.x_m, shape.y_m).buffer(shape.radius_m, quad_segs=64)
        return shape


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
    fine = shapely.segmentize(shapely.force_2d(geometries), longest_m / _METRES_PER_DEGREE)
    plane = shapely.transform(fine, lambda points: np.column_stack(frame.forward(points[:, 0], points[:, 1])))
    return np.asarray(plane, dtype=object)


def lay_out(
    polygons: Iterable[tuple[Hashable, BaseGeometry]],
    discs: Iterable[tuple[Hashable, Place, float]],
    frame: LocalFrame,
) -> Outlines:
    """Return the outlines of lon/lat polygons and of discs (centre, radius [m])."""
    keys: list[Hashable] = []
    shapes: list[BaseGeometry | Disc] = []
    for key, geometry in polygons:
        plane = polygons_in_plane(geometry, frame)
        shapely.prepare(plane)
        keys.append(key)
        shapes.append(plane)
    for key, centre, radius_m in discs:
        x_m, y_m = frame.place_to_xy(centre)
        keys.append(key)
        shapes.append(Disc(x_m, y_m, radius_m))
    edges, owner = _edges(shapes)
    return Outlines(tuple(keys), tuple(shapes), _boxes(shapes), edges, owner)


def _boxes(shapes: Sequence[BaseGeometry | Disc]) -> Floats:
    boxes = np.empty((len(shapes), 4))
    for row, shape in enumerate(shapes):
        if isinstance(shape, Disc):
            boxes[row] = (
                shape.x_m - shape.radius_m,
                shape.y_m - shape.radius_m,
                shape.x_m + shape.radius_m,
                shape.y_m + shape.radius_m,
            )
        else:
            boxes[row] = shape.bounds
    return boxes


def _edges(shapes: Sequence[BaseGeometry | Disc]) -> tuple[Floats, NDArray[np.int64]]:
    pieces: list[Floats] = [np.empty((0, 4))]
    owners: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
    for column, shape in enumerate(shapes):
        if isinstance(shape, Disc):
            continue
        for line in shapely.get_parts(shapely.boundary(shapely.get_parts(shape))).ravel():
            for ring in shapely.get_parts(line):
                points = shapely.get_coordinates(ring)
                pieces.append(np.hstack([points[:-1], points[1:]]))
                owners.append(np.full(len(points) - 1, column, dtype=np.int64))
    return np.vstack(pieces), np.concatenate(owners)
