"""Points along the edges of plane shapes, wherever the ground's formula changes."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.crossings import between_whole_numbers
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_PIECE_M = 100.0
_NEGLIGIBLE_BOW_M = 0.004


@attrs.frozen(eq=False)
class Piece:
    """Corners (n, 2) of a part of an edge [m]; without `closed` its last one belongs to the next piece."""

    corners: Floats
    closed: bool


def edge_pieces(shape: BaseGeometry) -> Iterator[Piece]:
    """Yield the edges of a shape, its lines and its points: long straight ones each for itself."""
    for line in _lines(shape):
        corners = shapely.get_coordinates(line, include_z=False)
        if not len(corners):
            continue
        long = np.hypot(*np.diff(corners, axis=0).T) > _PIECE_M
        last = len(corners) - 1
        ends = np.union1d(np.flatnonzero(long), np.flatnonzero(long) + 1)
        stops = [0, *ends[(ends > 0) & (ends < last)].tolist(), last]
        for first, stop in pairwise(stops):
            yield Piece(corners[first : stop + 1], stop == last)


def inner_points(shape: BaseGeometry) -> Floats:
    """Return a point (n, 2) well inside each part of a shape [m]."""
    parts = shapely.get_parts(shape)
    return np.asarray(shapely.get_coordinates(shapely.point_on_surface(parts)), dtype=float)


def spaced_points(piece: Piece, spacing_m: float) -> Floats:
    """Return points (n, 2) of a piece, none farther from the next than `spacing_m` [m]."""
    if len(piece.corners) < 2:
        return piece.corners
    points = shapely.get_coordinates(shapely.segmentize(shapely.linestrings(piece.corners), spacing_m))
    return np.asarray(points if piece.closed else points[:-1], dtype=float)


def points_on_ground(pieces: Sequence[Piece], ground: PlaneTerrain) -> list[Floats]:
    """Return points (n, 2) of each piece [m], the same alone as among others.

    They are corners, raster lines and every extremum of the ground on the edge, so that its lowest and
    highest ground is among them to 1 mm.
    """
    if not pieces:
        return []
    straight = _Straight.of(pieces)
    rows, columns = ground.terrain.heights_m.shape
    column, row = ground.grid(*straight.start.T)
    column_end, row_end = ground.grid(*straight.end.T)
    met = [
        between_whole_numbers(column, column_end, columns),
        between_whole_numbers(row, row_end, rows),
    ]
    every = np.arange(len(straight.owner))
    which = np.concatenate([every, every, *(at for at, _ in met)])
    share = np.concatenate([0.0 * every, 0.0 * every + 1.0, *(at for _, at in met)])
    order = np.lexsort((share, which))
    which, share = which[order], share[order]
    new = np.append(True, (np.diff(which) > 0) | (np.diff(share) > 0.0))
    which, share = which[new], share[new]
    inner = np.flatnonzero(which[:-1] == which[1:])
    extrema = _extrema(straight, which, share, inner, ground)
    # The end of one straight part is the next one's start.
    kept = (share < 1.0) | straight.last[which]
    known = ~np.isnan(extrema)
    found = [(which[kept], share[kept]), (which[inner][known], extrema[known])]
    owner = np.concatenate([straight.owner[at] for at, _ in found])
    points = np.vstack([straight.at(*one) for one in found])
    order = np.argsort(owner, kind="stable")
    return np.split(points[order], np.searchsorted(owner[order], np.arange(1, len(pieces))))


@attrs.frozen(eq=False)
class _Straight:
    """Straight parts, arrays (n, 2) of ends [m], the piece of each, and where a closed piece ends."""

    start: Floats
    end: Floats
    owner: Ints
    last: NDArray[np.bool_]

    @classmethod
    def of(cls, pieces: Sequence[Piece]) -> "_Straight":
        """Cut pieces into parts of `_PIECE_M` at most; of a single point both ends are the same."""
        fine = [
            np.repeat(piece.corners, 2, axis=0)
            if len(piece.corners) == 1
            else shapely.get_coordinates(shapely.segmentize(shapely.linestrings(piece.corners), _PIECE_M))
            for piece in pieces
        ]
        counts = [len(corners) - 1 for corners in fine]
        last = np.zeros(sum(counts), dtype=bool)
        ended = [piece.closed and len(piece.corners) > 1 for piece in pieces]
        last[np.cumsum(counts)[ended] - 1] = True
        return cls(
            np.vstack([corners[:-1] for corners in fine]),
            np.vstack([corners[1:] for corners in fine]),
            np.repeat(np.arange(len(pieces)), counts),
            last,
        )

    def at(self, which: Ints, share: Floats) -> Floats:
        """Return points (n, 2) at shares of some parts."""
        start, end = self.start[which], self.end[which]
        return np.where(share[:, None] < 1.0, start + (end - start) * share[:, None], end)


def _extrema(straight: _Straight, which: Ints, share: Floats, inner: Ints, ground: PlaneTerrain) -> Floats:
    """Return the shares of extrema of the ground between stop k of `inner` and the next; NaN without one."""
    first_share, wide = share[inner], share[inner + 1] - share[inner]
    height = ground.ground(*straight.at(which, share).T)
    middle = ground.ground(*straight.at(which[inner], first_share + wide / 2).T)
    first, last = height[inner], height[inner + 1]
    bow, lean = 2 * first + 2 * last - 4 * middle, 4 * middle - 3 * first - last
    with np.errstate(invalid="ignore"):
        bent = np.abs(bow) > _NEGLIGIBLE_BOW_M
        at = np.where(bent, -lean / np.where(bent, 2 * bow, 1.0), np.nan)
        return np.asarray(np.where((at > 0.0) & (at < 1.0), first_share + at * wide, np.nan))


def _lines(shape: BaseGeometry) -> list[BaseGeometry]:
    parts = shapely.get_parts(shapely.get_parts(shape))
    flat = shapely.get_dimensions(parts) == 2
    rings = shapely.get_parts(shapely.boundary(parts[flat]))
    return [*rings, *parts[~flat]]
