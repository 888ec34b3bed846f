"""Surfaces and centrelines of AIXM as outlines in lon/lat degrees."""

from xml.etree.ElementTree import Element

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.world.readers.aixm.coordinates import Axes, axes_of, axes_within, points_of
from planner.world.readers.aixm.element import child, children, local_name
from planner.world.readers.aixm.segments import joined, refuse_gap, segments_within, whole_area
from planner.world.readers.mend import mend
from planner.world.readers.row import RefusedError

Floats = NDArray[np.float64]


def surface(element: Element) -> BaseGeometry:
    """Return the area of a surface: its patches less their holes.

    Raises
    ------
    RefusedError
        If any curve of it can't be read.
    """
    patches = [patch for patch in element.iter() if local_name(patch) == "PolygonPatch"]
    if not patches:
        raise RefusedError("its surface has no patches")
    frame = axes_within(element)
    areas = []
    for patch in patches:
        outer = _ring_area(child(patch, "exterior"), frame)
        holes = [_ring_area(hole, frame) for hole in children(patch, "interior")]
        areas.append(shapely.difference(outer, shapely.union_all(holes)) if holes else outer)
    return areas[0] if len(areas) == 1 else shapely.union_all(areas)


def line(element: Element) -> Floats:
    """Return the points (n, 2) of a curve.

    Raises
    ------
    RefusedError
        If any segment of it can't be read.
    """
    return joined(list(segments_within(element, axes_within(element))))


def _ring_area(boundary: Element | None, axes: Axes) -> BaseGeometry:
    if boundary is None:
        raise RefusedError("its surface has no outer ring")
    axes = axes_of(boundary, axes)
    linear = child(boundary, "LinearRing")
    if linear is None:
        segments = list(segments_within(boundary, axes))
        whole = whole_area(segments)
        if whole is not None:
            return whole
        points = joined(segments)
    else:
        points = points_of(linear, axes)
    if len(points) < 3:
        raise RefusedError("a ring has fewer than three corners")
    refuse_gap(points[-1], points[0], "its outline ends away from where it began")
    area = mend(shapely.Polygon(points))
    if area is None:
        raise RefusedError("its outline encloses nothing, or crosses itself too often to be made out")
    return area
