"""Curves of GML 3.2.1 as points in longitude and latitude: those whose course the standard settles.

Splines, clothoids and offset curves are not read: nothing says in which plane of a
geographic system they are to be drawn.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from xml.etree.ElementTree import Element

import attrs
import numpy as np
import pyproj
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.world.readers.aixm.coordinates import (
    Axes,
    axes_of,
    azimuth_deg,
    figures_of,
    length_m,
    place_of,
    points_of,
    vector_of,
)
from planner.world.readers.aixm.element import child, children, local_name, reference
from planner.world.readers.curves import arc, arc_through, circle, circle_through, geodesic
from planner.world.readers.row import RefusedError

Floats = NDArray[np.float64]

_WIDEST_GAP_M = 2_000.0
_WGS84 = pyproj.Geod(ellps="WGS84")


@attrs.frozen(eq=False)
class Segment:
    """One segment of a curve, the axes of its coordinates, and whether it is gone along from its end."""

    element: Element
    axes: Axes
    backward: bool = False

    def points(self) -> Floats:
        """Return its points (n, 2) in the direction it is gone along.

        Raises
        ------
        RefusedError
            If it is of a kind that is not read, or can't be read.
        """
        kind = local_name(self.element)
        if kind in _WHOLE:
            raise RefusedError("a whole circle is only a part of its outline")
        if kind not in _POINTS:
            raise RefusedError(f"curves of the kind {kind[:40]!r} are not read")
        points = _POINTS[kind](self.element, self.axes)
        return points[::-1] if self.backward else points


def segments_within(element: Element, axes: Axes, *, backward: bool = False) -> Iterator[Segment]:
    """Yield the segments of all curves below an element, in the order they are gone along.

    Raises
    ------
    RefusedError
        If a curve is only referred to.
    """
    found = [part for part in element if local_name(part) not in _BESIDE]
    for part in reversed(found) if backward else found:
        own_axes = axes_of(part, axes)
        match local_name(part):
            case "segments":
                segments = [one for one in part if local_name(one)]
                for one in reversed(segments) if backward else segments:
                    yield Segment(one, axes_of(one, own_axes), backward)
            case "LineString":
                yield Segment(part, own_axes, backward)
            case "OrientableCurve":
                turned = part.get("orientation") == "-"
                yield from segments_within(part, own_axes, backward=backward != turned)
            case "curveMember" | "baseCurve" if reference(part) and not len(part):
                raise RefusedError("a part of its outline is only referred to, such as a border is")
            case _:
                yield from segments_within(part, own_axes, backward=backward)


def whole_area(segments: Sequence[Segment]) -> BaseGeometry | None:
    """Return the area of an outline that is one whole circle, None for any other.

    Raises
    ------
    RefusedError
        If the circle can't be read.
    """
    if len(segments) != 1:
        return None
    area = _WHOLE.get(local_name(segments[0].element))
    return None if area is None else area(segments[0].element, segments[0].axes)


def joined(segments: Sequence[Segment]) -> Floats:
    """Return the points (n, 2) of segments that follow each other.

    Raises
    ------
    RefusedError
        If there are none, one can't be read, or they lie apart.
    """
    if not segments:
        raise RefusedError("its outline has no curves of its own")
    pieces = [segment.points() for segment in segments]
    for one, other in pairwise(pieces):
        refuse_gap(one[-1], other[0], "its curves miss each other")
    return pieces[0] if len(pieces) == 1 else np.vstack(pieces)


def refuse_gap(one: Floats, other: Floats, what: str) -> None:
    """Refuse two ends that ought to meet and lie far apart.

    Raises
    ------
    RefusedError
        If they do.
    """
    if np.array_equal(one, other):
        return
    _, _, gap_m = _WGS84.inv(*one, *other)
    if gap_m > _WIDEST_GAP_M:
        raise RefusedError(f"{what} by {gap_m / 1000:,.1f} km")


def _geodesics(segment: Element, axes: Axes) -> Floats:
    return geodesic(points_of(segment, axes))


def _arc_about_centre(segment: Element, axes: Axes) -> Floats:
    return arc(
        place_of(segment, axes),
        length_m(child(segment, "radius"), "a radius"),
        azimuth_deg(child(segment, "startAngle"), axes, "a start angle"),
        azimuth_deg(child(segment, "endAngle"), axes, "an end angle"),
    )


def _arc(segment: Element, axes: Axes) -> Floats:
    points = points_of(segment, axes)
    if len(points) != 3:
        raise RefusedError(f"an arc has {len(points)} points instead of three")
    return arc_through(*(Place(*point) for point in points))


def _arcs(segment: Element, axes: Axes) -> Floats:
    """Return arcs of three points each, the last of one the first of the next."""
    points = points_of(segment, axes)
    if len(points) < 3 or len(points) % 2 == 0:
        raise RefusedError(f"a string of arcs has {len(points)} points")
    places = [Place(*point) for point in points]
    return np.vstack([arc_through(*places[first : first + 3]) for first in range(0, len(places) - 2, 2)])


def _arcs_by_bulge(segment: Element, axes: Axes) -> Floats:
    """Return arcs whose middle lies at the chord's middle plus bulge times normal, in the file's system."""
    points = points_of(segment, axes)
    bulges = figures_of(segment, "bulge")
    normals = [vector_of(part, axes) for part in children(segment, "normal")]
    if len(points) < 2 or not len(points) - 1 == len(bulges) == len(normals):
        raise RefusedError(
            f"arcs by bulge have {len(points)} points, {len(bulges)} bulges and {len(normals)} normals"
        )
    pieces = []
    for (start, end), bulge, normal in zip(pairwise(points), bulges, normals, strict=True):
        middle = (start + end) / 2.0 + bulge * normal
        if not (np.abs(middle) <= (180.0, 90.0)).all():
            raise RefusedError("an arc bulges beyond the earth")
        straight = not (bulge * normal).any()
        ends = np.stack([start, end])
        pieces.append(ends if straight else arc_through(Place(*start), Place(*middle), Place(*end)))
    return np.vstack(pieces)


def _circle_about_centre(segment: Element, axes: Axes) -> BaseGeometry:
    return circle(place_of(segment, axes), length_m(child(segment, "radius"), "a radius"))


def _circle_of_three(segment: Element, axes: Axes) -> BaseGeometry:
    points = points_of(segment, axes)
    if len(points) != 3:
        raise RefusedError(f"a circle has {len(points)} points instead of three")
    return circle(*circle_through(*(Place(*point) for point in points)))


_BESIDE = frozenset(
    {"", "annotation", "metaDataProperty", "description", "descriptionReference", "identifier", "name"}
)
_POINTS: Mapping[str, Callable[[Element, Axes], Floats]] = MappingProxyType(
    {
        "Geodesic": _geodesics,
        "GeodesicString": _geodesics,
        "LineStringSegment": points_of,
        "LineString": points_of,
        "ArcByCenterPoint": _arc_about_centre,
        "Arc": _arc,
        "ArcString": _arcs,
        "ArcByBulge": _arcs_by_bulge,
        "ArcStringByBulge": _arcs_by_bulge,
    }
)
_WHOLE: Mapping[str, Callable[[Element, Axes], BaseGeometry]] = MappingProxyType(
    {"CircleByCenterPoint": _circle_about_centre, "Circle": _circle_of_three}
)
