"""Pieces of an area: places that are measured once, and kept while the area is pulled about."""

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from typing import TypeVar

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.mapped import Mapped
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_ROUNDING_M = 0.001
_TILE_NODES = 24
Source = TypeVar("Source")
_BENT_SHARE = 0.01
"""By no more than this share of its size a tile of the raster leaves the straight box of its corners."""


@attrs.frozen(eq=False)
class Patch:
    """Places, arrays (n,): plane positions [m], ground [m AMSL], and which lie in which outline.

    An outline that holds none of them may be left out of `inside`.
    """

    x_m: Floats
    y_m: Floats
    ground_m: Floats
    lowest_m: Floats
    inside: Mapping[int, Mask]

    def __len__(self) -> int:
        """Return the number of places."""
        return len(self.x_m)

    def take(self, which: Mask | Ints) -> "Patch":
        """Return some of the places."""
        masks = ((column, mask[which]) for column, mask in self.inside.items())
        inside = {column: mask for column, mask in masks if mask.any()}
        return Patch(self.x_m[which], self.y_m[which], self.ground_m[which], self.lowest_m[which], inside)


class Patches:
    """Patches by what they were made from; `used` are those asked for here, for the next time.

    They hold for one mapped world only.
    """

    def __init__(self, known: Mapping[Hashable, Patch] | None = None) -> None:
        self.used: dict[Hashable, Patch] = {}
        self._known = {} if known is None else known

    def of(
        self,
        wanted: Sequence[tuple[Hashable, Source]],
        points_of: Callable[[list[Source]], list[Floats]],
        mapped: Mapped,
    ) -> list[Patch]:
        """Return a patch for each key; those that are not known are made from their sources, all at once."""
        self.used.update((key, self._known[key]) for key, _ in wanted if key in self._known)
        new = {key: source for key, source in wanted if key not in self.used}
        if new:
            self.used.update(zip(new, measured(points_of([*new.values()]), mapped), strict=True))
        return [self.used[key] for key, _ in wanted]


def measured(parts: Sequence[Floats], mapped: Mapped) -> list[Patch]:
    """Return places (n, 2) of the plane with their ground and outlines; alone the same as among others."""
    points = np.vstack(parts)
    x_m, y_m = points[:, 0], points[:, 1]
    ground_m = lowest_m = np.full(len(points), np.nan)
    if mapped.ground is not None:
        ground_m, lowest_m = mapped.ground.ground_and_lowest_each(x_m, y_m)
    whole = Patch(x_m, y_m, ground_m, lowest_m, inside_of(points, mapped))
    ends = np.cumsum([len(part) for part in parts]).tolist()
    return [whole.take(np.arange(first, end)) for first, end in zip([0, *ends[:-1]], ends, strict=True)]


def inside_of(points: Floats, mapped: Mapped) -> dict[int, Mask]:
    """Return, by column, which places (n, 2) of the plane lie in an outline, its edge included."""
    if not len(points):
        return {}
    found = {}
    box = np.concatenate([points.min(axis=0) - _ROUNDING_M, points.max(axis=0) + _ROUNDING_M])
    records = frozenset(mapped.record_columns.values())
    for column in map(int, mapped.outlines.columns_near(box)):
        if column in records:
            # An area and its permission drawn on one line differ by roundings that must not part them.
            ring = mapped.outlines.polygon(column)
            mask = np.asarray(shapely.dwithin(ring, shapely.points(points), _ROUNDING_M), dtype=bool)
        else:
            mask = mapped.outlines.contains(column, points[:, 0], points[:, 1])
        if mask.any():
            found[column] = mask
    return found


def joined(patches: Sequence[Patch]) -> Patch:
    """Return patches as one, in their order."""
    size = sum(len(patch) for patch in patches)
    inside: dict[int, Mask] = {}
    first = 0
    for patch in patches:
        for column, mask in patch.inside.items():
            if column not in inside:
                inside[column] = np.zeros(size, dtype=bool)
            inside[column][first : first + len(patch)] = mask
        first += len(patch)
    x_m, y_m, ground_m, lowest_m = (
        np.concatenate([np.empty(0), *(getattr(patch, axis) for patch in patches)])
        for axis in ("x_m", "y_m", "ground_m", "lowest_m")
    )
    return Patch(x_m, y_m, ground_m, lowest_m, inside)


def node_patch(footprint: BaseGeometry, mapped: Mapped, ground: PlaneTerrain, known: Patches) -> Patch:
    """Return the raster's nodes within a footprint, row after row; whole tiles of them are kept."""
    tiles = list(_tiles(footprint, ground))
    nodes = [_nodes_of(tile, ground) for tile, _ in tiles]
    wanted = [(("nodes", *tile), node) for (tile, _), node in zip(tiles, nodes, strict=True)]
    found = known.of(wanted, lambda new: [np.column_stack(ground.node_places(*node)) for node in new], mapped)
    every = joined(found)
    columns = ground.terrain.heights_m.shape[1]
    number = np.concatenate([np.empty(0, dtype=np.int64), *(row * columns + column for column, row in nodes)])
    kept = np.repeat([whole for _, whole in tiles], [len(patch) for patch in found]).astype(bool)
    kept[~kept] = shapely.intersects_xy(footprint, every.x_m[~kept], every.y_m[~kept])
    which = np.flatnonzero(kept)
    return every.take(which[np.argsort(number[which], kind="stable")])


def _tiles(footprint: BaseGeometry, ground: PlaneTerrain) -> Iterator[tuple[tuple[int, int], bool]]:
    """Yield the tiles (row, column) of the raster that may meet a footprint, and which lie wholly in it."""
    first_column, last_column, first_row, last_row = ground.node_window(footprint.bounds)
    if last_column < first_column or last_row < first_row:
        return
    rows = np.arange(first_row // _TILE_NODES, last_row // _TILE_NODES + 1)
    columns = np.arange(first_column // _TILE_NODES, last_column // _TILE_NODES + 1)
    tiles = [(int(row), int(column)) for row in rows for column in columns]
    boxes = _boxes(tiles, ground)
    known = np.asarray(np.isfinite(boxes).all(axis=1), dtype=bool)
    shapes = shapely.box(*np.where(known.reshape(-1, 1), boxes, 0.0).T)
    # Of an outline that crosses itself only its single points are certain.
    sound = known & bool(shapely.is_valid(footprint))
    shapely.prepare(footprint)
    apart = np.asarray(sound & shapely.disjoint(footprint, shapes), dtype=bool)
    whole = np.asarray(sound & shapely.contains_properly(footprint, shapes), dtype=bool)
    yield from ((tile, bool(inner)) for tile, inner, out in zip(tiles, whole, apart, strict=True) if not out)


def _boxes(tiles: Sequence[tuple[int, int]], ground: PlaneTerrain) -> Floats:
    """Return boxes (tiles, 4) west, south, east, north [m] that surely hold the tiles' nodes."""
    rows, columns = ground.terrain.heights_m.shape
    first = np.array(tiles, dtype=np.int64) * _TILE_NODES
    last = np.minimum(first + _TILE_NODES - 1, [rows - 1, columns - 1])
    row = np.concatenate([first[:, 0], first[:, 0], last[:, 0], last[:, 0]])
    column = np.concatenate([first[:, 1], last[:, 1], first[:, 1], last[:, 1]])
    x_m, y_m = (axis.reshape(4, -1) for axis in ground.node_places(column, row))
    wide_m = np.maximum(np.ptp(x_m, axis=0), np.ptp(y_m, axis=0)) * _BENT_SHARE
    low, high = (x_m.min(axis=0), y_m.min(axis=0)), (x_m.max(axis=0), y_m.max(axis=0))
    return np.column_stack([*(axis - wide_m for axis in low), *(axis + wide_m for axis in high)])


def _nodes_of(tile: tuple[int, int], ground: PlaneTerrain) -> tuple[Ints, Ints]:
    rows, columns = ground.terrain.heights_m.shape
    first_row, first_column = (number * _TILE_NODES for number in tile)
    column, row = np.meshgrid(
        np.arange(first_column, min(first_column + _TILE_NODES, columns)),
        np.arange(first_row, min(first_row + _TILE_NODES, rows)),
    )
    return column.ravel(), row.ravel()
