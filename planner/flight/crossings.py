"""Where the path passes over something: from, to, and at which angle."""

import math
from collections.abc import Sequence
from itertools import pairwise

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.below import Thing
from planner.track.track import Track

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@attrs.frozen
class Crossing:
    """A stretch of the path over a thing, or from which a failed aircraft falls on it.

    Parameters
    ----------
    thing : index into the things given.
    from_m, to_m : distances along the path.
    angle_deg : acute angle between path and the middle of a line, else None.
    overhead : whether the path itself passes over it.
    """

    thing: int
    from_m: float
    to_m: float
    angle_deg: float | None
    overhead: bool


def crossings(track: Track, things: Sequence[Thing]) -> tuple[Crossing, ...]:
    """Return where the path passes over things, in order along it; legs one by one."""
    if not things or not len(track):
        return ()
    legs = _Legs.of(track)
    shapes = np.array([thing.shape for thing in things], dtype=object)
    leg, index = shapely.STRtree(shapes).query(legs.lines, predicate="intersects")
    if not len(leg):
        return ()
    met = shapely.intersection(legs.lines[leg], shapes[index])
    # A leg straight up is a line of no length, which by itself meets nothing.
    spots = np.asarray(shapely.points(legs.corners[leg]), dtype=object)
    met = np.where(shapely.is_empty(met), spots, met)
    parts, owner = shapely.get_parts(met, return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    begins = np.flatnonzero(np.diff(part, prepend=-1))
    ends = np.append(begins[1:], len(points))
    owner = owner[part[begins]]
    centres = np.add.reduceat(points, begins) / (ends - begins)[:, None]
    ways = legs.corners[leg[owner] + 1] - legs.corners[leg[owner]]
    angles = _angles_deg(ways, [things[k].middle for k in index[owner].tolist()], centres)
    firsts, lasts = legs.along(leg[owner], points, begins)
    found = [
        Crossing(thing, first, last, angle, overhead=True)
        for thing, first, last, angle in zip(index[owner].tolist(), firsts, lasts, angles, strict=True)
    ]
    return tuple(sorted(_joined(found), key=lambda cross: (cross.from_m, cross.to_m, cross.thing)))


def _joined(found: Sequence[Crossing]) -> list[Crossing]:
    """Join crossings of one thing that go on over a corner of the path."""
    joined: list[Crossing] = []
    for cross in sorted(found, key=lambda one: (one.thing, one.from_m, one.to_m)):
        before = joined[-1] if joined else None
        if before and before.thing == cross.thing and cross.from_m <= before.to_m + 1e-6:
            joined[-1] = attrs.evolve(before, to_m=max(before.to_m, cross.to_m))
        else:
            joined.append(cross)
    return joined


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

    def along(self, leg: Ints, points: Floats, begins: Ints) -> tuple[list[float], list[float]]:
        """Return the distances along the path between which pieces of legs (p,) lie.

        The points (n, 2) of a piece begin at `begins`, and end where those of the next one do.
        """
        start, end = self.corners[leg], self.corners[leg + 1]
        length_m = np.hypot(*(end - start).T)
        piece = np.repeat(np.arange(len(leg)), np.diff(begins, append=len(points)))
        away_m = np.hypot(*(points - start[piece]).T)
        near_m, far_m = np.minimum.reduceat(away_m, begins), np.maximum.reduceat(away_m, begins)
        with np.errstate(divide="ignore", invalid="ignore"):
            shares = np.where(length_m > 0.0, [near_m / length_m, far_m / length_m], [[0.0], [1.0]])
        first_m, last_m = np.empty(len(leg)), np.empty(len(leg))
        for one in np.unique(leg).tolist():
            own, which = self.samples[one], leg == one
            along = self.track.fraction[own], self.track.distance_m[own]
            first_m[which], last_m[which] = (np.interp(share[which], *along) for share in shares)
        return first_m.tolist(), last_m.tolist()


def _angles_deg(ways: Floats, middles: Sequence[BaseGeometry | None], at: Floats) -> list[float | None]:
    """Return the acute angle between each way and the piece of its line next to a point; both (n, 2)."""
    found: list[float | None] = [None] * len(middles)
    lined = np.array([k for k, middle in enumerate(middles) if middle is not None], dtype=np.int64)
    if not len(lined):
        return found
    parts, line = shapely.get_parts([middles[k] for k in lined.tolist()], return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    same = part[:-1] == part[1:]
    begin, piece, line = points[:-1][same], np.diff(points, axis=0)[same], line[part[:-1][same]]
    square = np.maximum((piece**2).sum(axis=1), 1e-12)
    share = np.clip(((at[lined[line]] - begin) * piece).sum(axis=1) / square, 0.0, 1.0)
    apart = ((begin + share[:, None] * piece - at[lined[line]]) ** 2).sum(axis=1)
    # In order of lines, the nearest piece of each first.
    order = np.lexsort((apart, line))
    nearest = order[np.flatnonzero(np.diff(line[order], prepend=-1))]
    for k, (x, y) in zip(lined[line[nearest]].tolist(), piece[nearest].tolist(), strict=True):
        found[k] = _acute_deg(ways[k].tolist(), (x, y))
    return found


def _acute_deg(one: Sequence[float], other: Sequence[float]) -> float | None:
    if not any(one) or not any(other):
        return None
    turn = abs(one[0] * other[1] - one[1] * other[0])
    return math.degrees(math.atan2(turn, abs(one[0] * other[0] + one[1] * other[1])))
