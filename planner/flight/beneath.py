"""What the path and its fall zone come over."""

from collections.abc import Sequence

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
    reached = zone.union(legs.line.buffer(0.01))
    shapely.prepare(reached)
    shapes = np.array([feature.shape for feature in features], dtype=object)
    found: list[Crossing] = []
    for index in np.flatnonzero(shapely.intersects(reached, shapes)).tolist():
        over = _overhead(legs, index, features[index])
        found.extend(over or [_beside(legs, index, features[index])])
    return tuple(sorted(found, key=lambda one: (one.from_m, one.to_m, one.feature)))


@attrs.frozen(eq=False)
class _Legs:
    """The path's legs as plane segments, with distance along the path at samples."""

    track: Track
    corners: Floats
    line: BaseGeometry

    @classmethod
    def of(cls, track: Track) -> "_Legs":
        """Return the legs of a track."""
        corners = np.column_stack([track.x_m[track.point_sample], track.y_m[track.point_sample]])
        return cls(track, corners, shapely.LineString(corners))

    def distance_m(self, leg: int, share: Floats) -> Floats:
        """Return the distance along the path at shares of a leg."""
        own = self.track.leg == leg
        return np.asarray(np.interp(share, self.track.fraction[own], self.track.distance_m[own]))

    def length_m(self, leg: int) -> float:
        """Return the horizontal length of a leg."""
        return float(np.hypot(*(self.corners[leg + 1] - self.corners[leg])))


def _overhead(legs: _Legs, index: int, feature: Feature) -> list[Crossing]:
    found: list[Crossing] = []
    for leg in range(len(legs.corners) - 1):
        segment = shapely.LineString(legs.corners[leg : leg + 2])
        met = shapely.get_parts(shapely.intersection(segment, feature.shape))
        found.extend(_crossing(legs, leg, index, feature, part) for part in met if not part.is_empty)
    return found


def _crossing(legs: _Legs, leg: int, index: int, feature: Feature, part: BaseGeometry) -> Crossing:
    start, length_m = legs.corners[leg], legs.length_m(leg)
    points = shapely.get_coordinates(part)
    away = np.hypot(*(points - start).T)
    share = np.array([away.min(), away.max()]) / length_m if length_m > 0 else np.zeros(2)
    first, last = legs.distance_m(leg, share)
    is_line = shapely.get_dimensions(feature.shape) == 1
    angle = _angle_deg(legs.corners[leg : leg + 2], feature.shape, points[0]) if is_line else None
    return Crossing(
        index, feature.kind, feature.name, float(first), float(last), angle, overhead=True, apart_m=0.0
    )


def _angle_deg(leg: Floats, line: BaseGeometry, at: Floats) -> float | None:
    """Return the acute angle between a leg and the segment of a line next to a point."""
    pieces = []
    for part in shapely.get_parts(line):
        points = shapely.get_coordinates(part)
        pieces.append(np.stack([points[:-1], points[1:]], axis=1))
    segments = np.concatenate(pieces)
    nearest = int(np.argmin(shapely.distance(shapely.linestrings(segments), shapely.points(at))))
    one, other = leg[1] - leg[0], segments[nearest][1] - segments[nearest][0]
    if not one.any() or not other.any():
        return None
    turn = abs(float(one[0] * other[1] - one[1] * other[0]))
    return float(np.degrees(np.arctan2(turn, abs(float(one @ other)))))


def _beside(legs: _Legs, index: int, feature: Feature) -> Crossing:
    samples = shapely.points(legs.track.x_m, legs.track.y_m)
    nearest = int(np.argmin(shapely.distance(samples, feature.shape)))
    at_m = float(legs.track.distance_m[nearest])
    apart_m = float(shapely.distance(legs.line, feature.shape))
    return Crossing(index, feature.kind, feature.name, at_m, at_m, None, overhead=False, apart_m=apart_m)
