"""What the path and its fall zone come over."""

import math
from collections.abc import Sequence
from itertools import pairwise

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.track.track import Track
from planner.world.outlines import polygons_in_plane
from planner.world.sites import GroundFeature, GroundKind

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Feature:
    """A ground feature laid into the plane."""

    kind: GroundKind
    name: str
    shape: BaseGeometry


@attrs.frozen(eq=False)
class Crossing:
    """A place where the path passes over a feature, or only its fall zone does.

    Parameters
    ----------
    feature : index into the features given.
    from_m, to_m : distances along the path; equal for a line. Where only the
        fall zone reaches the feature, the place of the path that is nearest.
    angle_deg : acute angle between path and line, None for an area or where
        only the fall zone reaches.
    overhead : whether the path itself passes over it.
    apart_m : horizontal distance of path and feature, 0 where overhead.
    """

    feature: int
    kind: GroundKind
    name: str
    from_m: float
    to_m: float
    angle_deg: float | None
    overhead: bool
    apart_m: float


def features_in_plane(features: Sequence[GroundFeature], frame: LocalFrame) -> tuple[Feature, ...]:
    """Lay features into the plane."""
    return tuple(
        Feature(feature.kind, feature.name, polygons_in_plane(feature.shape, frame)) for feature in features
    )


def crossings(track: Track, zone: BaseGeometry, features: Sequence[Feature]) -> tuple[Crossing, ...]:
    """Return what lies under the path or within the fall zone, in order along the path."""
    if not features or not len(track):
        return ()
    legs = _Legs.of(track)
    shapes = np.array([feature.shape for feature in features], dtype=object)
    under = _overhead(legs, features, shapes)
    shapely.prepare(zone)
    near = np.flatnonzero(shapely.intersects(zone, shapes)).tolist()
    known = {one.feature for one in under}
    beside = [_beside(legs, index, features[index]) for index in near if index not in known]
    return tuple(sorted([*under, *beside], key=lambda one: (one.from_m, one.to_m, one.feature)))


@attrs.frozen(eq=False)
class _Legs:
    """The path's legs as plane segments, with the samples of each."""

    track: Track
    corners: Floats
    lines: NDArray[np.object_]
    samples: tuple[slice, ...]

    @classmethod
    def of(cls, track: Track) -> "_Legs":
        """Return the legs of a track."""
        corners = np.column_stack([track.x_m[track.point_sample], track.y_m[track.point_sample]])
        lines = shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1))
        borders = np.searchsorted(track.leg, np.arange(len(corners)))
        samples = tuple(slice(int(a), int(b)) for a, b in pairwise(borders))
        return cls(track, corners, np.asarray(lines, dtype=object), samples)

    def distance_m(self, leg: int, share: Floats) -> Floats:
        """Return the distance along the path at shares of a leg."""
        own = self.samples[leg]
        return np.asarray(np.interp(share, self.track.fraction[own], self.track.distance_m[own]))

    def length_m(self, leg: int) -> float:
        """Return the horizontal length of a leg."""
        return float(np.hypot(*(self.corners[leg + 1] - self.corners[leg])))


def _overhead(legs: _Legs, features: Sequence[Feature], shapes: NDArray[np.object_]) -> list[Crossing]:
    shapely.prepare(legs.lines)
    leg, index = np.nonzero(shapely.intersects(legs.lines[:, None], shapes[None, :]))
    if not len(leg):
        return []
    met = shapely.intersection(legs.lines[leg], shapes[index])
    parts, owner = shapely.get_parts(met, return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    begins = np.flatnonzero(np.diff(part, prepend=-1))
    is_line = shapely.get_dimensions(shapes) == 1
    segments = {k: _segments(shapes[k]) for k in np.unique(index[is_line[index]]).tolist()}
    found = []
    for begin, end in zip(begins, np.append(begins[1:], len(points)), strict=True):
        k = owner[part[begin]]
        which = int(leg[k]), int(index[k])
        first, last = _along(legs, which[0], points[begin:end])
        angle = None
        if which[1] in segments:
            angle = _angle_deg(legs.corners[which[0] : which[0] + 2], segments[which[1]], points[begin])
        kind, name = features[which[1]].kind, features[which[1]].name
        found.append(Crossing(which[1], kind, name, first, last, angle, overhead=True, apart_m=0.0))
    return found


def _along(legs: _Legs, leg: int, points: Floats) -> tuple[float, float]:
    """Return the distances along the path between which points of a leg lie."""
    start, length_m = legs.corners[leg], legs.length_m(leg)
    away = np.hypot(points[:, 0] - start[0], points[:, 1] - start[1])
    share = np.array([away.min(), away.max()]) / length_m if length_m > 0 else np.zeros(2)
    first, last = legs.distance_m(leg, share)
    return float(first), float(last)


def _segments(line: BaseGeometry) -> tuple[Floats, Floats]:
    """Return where the segments of a line begin, and how they run."""
    points, part = shapely.get_coordinates(shapely.get_parts(line), return_index=True)
    same = part[:-1] == part[1:]
    return points[:-1][same], np.diff(points, axis=0)[same]


def _angle_deg(leg: Floats, segments: tuple[Floats, Floats], at: Floats) -> float | None:
    """Return the acute angle between a leg and the segment of a line next to a point."""
    begin, way = segments
    square = np.maximum((way**2).sum(axis=1), 1e-12)
    share = np.clip(((at - begin) * way).sum(axis=1) / square, 0.0, 1.0)
    nearest = int(np.argmin(((begin + share[:, None] * way - at) ** 2).sum(axis=1)))
    (one_x, one_y), (other_x, other_y) = (leg[1] - leg[0]).tolist(), way[nearest].tolist()
    if not (one_x or one_y) or not (other_x or other_y):
        return None
    turn, along = abs(one_x * other_y - one_y * other_x), abs(one_x * other_x + one_y * other_y)
    return math.degrees(math.atan2(turn, along))


def _beside(legs: _Legs, index: int, feature: Feature) -> Crossing:
    apart = shapely.distance(legs.lines, feature.shape)
    leg = int(np.argmin(apart))
    nearest = shapely.get_coordinates(shapely.shortest_line(legs.lines[leg], feature.shape))[:1]
    at_m, _ = _along(legs, leg, nearest)
    return Crossing(
        index, feature.kind, feature.name, at_m, at_m, None, overhead=False, apart_m=float(apart[leg])
    )
