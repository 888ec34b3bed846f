"""The highest ground between the ways home of two neighbouring samples.

Ground is bilinear between the raster's nodes: in a triangle between two ways it is highest on its sides, or
at a node inside it. The sides are asked by themselves (`flight.fan`), so here the nodes are.
"""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.between_ways import LevelWays
from planner.flight.grid_fit import GridFit
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# The way to where two of the corners come first stands for rounding: no node lies on less.
_TINY: Final = 1e-9
# So many nodes a tile is wide, and so many lines of the raster are looked at together.
_TILE: Final = 16
_LINES: Final = 8


@attrs.frozen(eq=False)
class Nodes:
    """Nodes (k,) between some ways (`rows`) and the next of each: their height [m AMSL].

    `away_m` is how far along the ways from where they begin.
    """

    rows: Ints
    height_amsl_m: Floats
    away_m: Floats

    def highest(self, count: int, beyond_m: float = -np.inf) -> Floats:
        """Return the highest beside each of `count` ways that lies so far from where it begins, else -inf."""
        found = np.full(count, -np.inf)
        asked = self.away_m >= beyond_m
        for at in (self.rows[asked], self.rows[asked] + 1):
            np.fmax.at(found, at, self.height_amsl_m[asked])
        return found


def nodes_between(ways: LevelWays, ground: PlaneTerrain | None, room_m: float) -> Nodes:
    """Return the nodes between neighbouring ways that the lower of both clears by less than `room_m`."""
    none = Nodes(np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0))
    rows = np.flatnonzero((ways.gap_m > 0.0) & np.isfinite(ways.lower_m))
    if ground is None or not len(rows):
        return none
    x_m, y_m = np.append(ways.x_m, ways.hub[0]), np.append(ways.y_m, ways.hub[1])
    column, row = GridFit.over(ground, x_m, y_m)(x_m, y_m)
    hub = np.full(len(rows), len(x_m) - 1)
    corners = np.stack([np.stack([column[at], row[at]]) for at in (rows, rows + 1, hub)])
    first = np.maximum(np.floor(corners.min(axis=(0, 2))).astype(np.int64), 0)
    last = np.ceil(corners.max(axis=(0, 2))).astype(np.int64) + 1
    heights = ground.terrain.heights_m[first[1] : last[1], first[0] : last[0]]
    least_m = float(ways.lower_m[rows].min()) - room_m
    if not heights.size or not (heights >= least_m).any():
        return none
    corners -= first[:, None]
    which, columns, lines = _inside(corners, _Tiles.of(heights), ways.lower_m[rows] - room_m)
    within = (columns >= 0) & (lines >= 0) & (columns < heights.shape[1]) & (lines < heights.shape[0])
    which, columns, lines = which[within], columns[within], lines[within]
    height_m = heights[lines, columns].astype(float)
    with np.errstate(invalid="ignore"):
        high = height_m > ways.lower_m[rows[which]] - room_m
    which, columns, lines, height_m = which[high], columns[high], lines[high], height_m[high]
    flat_m = np.hypot(ways.x_m[rows] - ways.hub[0], ways.y_m[rows] - ways.hub[1])
    away_m = flat_m[which] * _share_of_hub(corners[:, :, which], np.stack([columns, lines]))
    return Nodes(rows[which], height_m, away_m)


@attrs.frozen(eq=False)
class _Tiles:
    """The highest node about each tile of a raster, and of those about it, by row and column."""

    highest_m: Floats

    @classmethod
    def of(cls, heights_m: NDArray[np.float32]) -> "_Tiles":
        rows, columns = (-(-size // _TILE) for size in heights_m.shape)
        spread = [
            (0, count * _TILE - size) for count, size in zip((rows, columns), heights_m.shape, strict=True)
        ]
        known = np.pad(np.nan_to_num(heights_m, nan=-np.inf), spread, constant_values=-np.inf)
        own = np.pad(known.reshape(rows, _TILE, columns, _TILE).max(axis=(1, 3)), 1, mode="edge")
        about = [own[r : r + rows, c : c + columns] for r in range(3) for c in range(3)]
        return cls(np.max(about, axis=0).astype(float))

    def at(self, column: Floats, row: Floats) -> Floats:
        """Return the highest node within a tile's width of places."""
        r, c = (
            np.clip(one // _TILE, 0, size - 1).astype(np.int64)
            for one, size in zip((row, column), self.highest_m.shape, strict=True)
        )
        return np.asarray(self.highest_m[r, c])


def _inside(corners: Floats, tiles: _Tiles, over_m: Floats) -> tuple[Ints, Ints, Ints]:
    """Return the whole places in triangles (3, 2, n) that may be as high: which triangle, and both."""
    spans = np.ptp(corners, axis=0)
    found = []
    for major in (0, 1):
        rows = np.flatnonzero((spans[1] > spans[0]) if major else (spans[1] <= spans[0]))
        along, across = corners[:, major, rows], corners[:, 1 - major, rows]
        which, line = _high_lines(along, across, (tiles, bool(major)), over_m[rows])
        which, line, place = _crossed(along, across, which, line)
        found.append((rows[which], place, line) if major else (rows[which], line, place))
    which, columns, lines = (np.concatenate(part) for part in zip(*found, strict=True))
    return which, columns, lines


def _high_lines(
    along: Floats, across: Floats, tiles: tuple[_Tiles, bool], over_m: Floats
) -> tuple[Ints, Ints]:
    """Return the lines across triangles near which some node is as high as asked: which triangle, and line.

    `tiles`: by row and column, and whether the lines are rows.
    """
    begin, end = np.ceil(along.min(axis=0)).astype(np.int64), np.floor(along.max(axis=0)).astype(np.int64)
    which, part = _counted(np.zeros(len(begin), dtype=np.int64), -(-(end - begin + 1) // _LINES))
    first = begin[which] + part * _LINES
    count = np.minimum(end[which] - first + 1, _LINES)
    width = float(np.hypot(along[1] - along[0], across[1] - across[0]).max(initial=0.0))
    if width + _LINES / 2 < _TILE:
        middle = first + (count - 1) / 2
        way = (along[2] - along[0])[which]
        share = np.clip((middle - along[0][which]) / np.where(way == 0.0, 1.0, way), 0.0, 1.0)
        beside = across[0][which] + share * (across[2] - across[0])[which]
        highest_m = tiles[0].at(beside, middle) if tiles[1] else tiles[0].at(middle, beside)
        high = highest_m > over_m[which]
        which, first, count = which[high], first[high], count[high]
    at, line = _counted(first, count)
    return which[at], line


def _crossed(along: Floats, across: Floats, which: Ints, line: Ints) -> tuple[Ints, Ints, Ints]:
    """Return the whole places in triangles on lines that cross them: which, along, across (k,)."""
    low, high = np.full(len(which), np.inf), np.full(len(which), -np.inf)
    for one, other in ((0, 1), (1, 2), (2, 0)):
        span = (along[other] - along[one])[which]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (line - along[one][which]) / span
        met = (np.abs(span) > _TINY) & (share >= 0.0) & (share <= 1.0)
        cut = across[one][which] + np.where(met, share, 0.0) * (across[other] - across[one])[which]
        low, high = np.where(met, np.minimum(low, cut), low), np.where(met, np.maximum(high, cut), high)
    known = np.isfinite(low)
    which, line, low, high = which[known], line[known], low[known], high[known]
    first = np.ceil(low).astype(np.int64)
    at, place = _counted(first, np.floor(high).astype(np.int64) - first + 1)
    return which[at], line[at], place


def _counted(first: Ints, count: Ints) -> tuple[Ints, Ints]:
    """Return each of some rows as often as counted, with whole numbers from its first on."""
    count = np.maximum(count, 0)
    at = np.repeat(np.arange(len(first)), count)
    return at, first[at] + np.arange(len(at)) - np.repeat(np.cumsum(count) - count, count)


def _share_of_hub(corners: Floats, spots: Floats) -> Floats:
    """Return how far between the line on which two ways begin, 0, and their hub, 1, places lie (k,)."""
    one, other, hub = corners
    side, to_hub, to_spot = other - one, hub - one, spots - one
    whole = side[0] * to_hub[1] - side[1] * to_hub[0]
    part = side[0] * to_spot[1] - side[1] * to_spot[0]
    return np.asarray(part / np.where(whole == 0.0, 1.0, whole))
