"""Terrain as seen from the local plane."""

import math
from collections.abc import Callable

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.frame import LocalFrame
from planner.geo.plane_way import PlaneWay
from planner.world.terrain import Terrain

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_RIM_POINTS = 16
_AT_ONCE = 20_000
"""More places than this are asked in turns, so that memory stays small."""
_RIMS_AT_ONCE = 1_000
_SQUARE_M = 1_000.0


@attrs.frozen(eq=False)
class PlaneTerrain:
    """A terrain raster addressed by plane positions [m]."""

    terrain: Terrain
    frame: LocalFrame
    way: PlaneWay

    @classmethod
    def lay(cls, terrain: Terrain, frame: LocalFrame) -> "PlaneTerrain":
        """Join a raster and a frame."""
        return cls(terrain, frame, PlaneWay.between(frame, terrain.crs))

    def grid(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return fractional column and row of plane positions."""
        return self.terrain.grid_position(*self.way.there(x_m, y_m))

    def ground(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return bilinear ground heights [m AMSL], NaN where unknown."""
        return self.terrain.at_grid(*self.grid(x_m, y_m))

    def lowest(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the lowest ground within the horizontal uncertainty [m AMSL].

        A polygon of 16 corners that encloses the disc stands for its rim, so
        on even ground the answer is never too high and at most 2 % of the
        fall across the disc too low; every grid node inside the disc counts
        too, since a bilinear surface has its pits at nodes. NaN where any of
        that ground is unknown.
        """
        return self.ground_and_lowest(x_m, y_m)[1]

    def highest(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the highest ground within the horizontal uncertainty [m AMSL]; see `lowest`."""
        return self._ground_and_extreme(x_m, y_m, np.maximum)[1]

    def ground_and_lowest(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return `ground` and `lowest` of plane positions [m AMSL]."""
        return _in_turns(lambda x, y: self._ground_and_extreme(x, y, np.minimum), x_m, y_m)

    def ground_and_lowest_each(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return `ground_and_lowest`, the same for each place whatever is asked together with it.

        The raster's scale is taken at the middle of each place's square kilometre of the plane, not at the
        middle of all places.
        """
        return _in_turns(self._ground_and_lowest_each, x_m, y_m)

    def lowest_about(self, places: "GridPlaces", disc: "Disc") -> Floats:
        """Return `lowest` of places (n,) of which the raster's positions and the ground are known [m AMSL].

        `disc` is that of each place, or one for all.
        """
        if self.terrain.horizontal_uncertainty_m <= 0 or not len(places.ground_m):
            return places.ground_m
        return self._extreme(places.column, places.row, places.ground_m, disc, np.minimum)

    def _ground_and_extreme(self, x_m: Floats, y_m: Floats, pick: np.ufunc) -> tuple[Floats, Floats]:
        column, row = self.grid(x_m, y_m)
        ground = self.terrain.at_grid(column, row)
        if self.terrain.horizontal_uncertainty_m <= 0 or not len(ground):
            return ground, ground
        disc = self.disc_at(np.array([np.mean(x_m)]), np.array([np.mean(y_m)]))
        return ground, self._extreme(column, row, ground, disc, pick)

    def _ground_and_lowest_each(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        column, row = self.grid(x_m, y_m)
        ground = self.terrain.at_grid(column, row)
        if self.terrain.horizontal_uncertainty_m <= 0 or not len(ground):
            return ground, ground
        squares, own = np.unique(
            np.floor(x_m / _SQUARE_M) + 1j * np.floor(y_m / _SQUARE_M), return_inverse=True
        )
        disc = self.disc_at(
            squares.real * _SQUARE_M + _SQUARE_M / 2, squares.imag * _SQUARE_M + _SQUARE_M / 2
        )
        return ground, self._extreme(column, row, ground, disc.of(own), np.minimum)

    def disc_at(self, x_m: Floats, y_m: Floats) -> "Disc":
        """Return the disc of the horizontal uncertainty in the raster's scale at places."""
        jacobians = self._grid_per_metre(x_m, y_m)
        # Off the projection nothing is known anyway.
        jacobians[~np.isfinite(jacobians).all(axis=(1, 2))] = np.eye(2)
        radius_m = self.terrain.horizontal_uncertainty_m
        return Disc(
            radius_m,
            np.moveaxis(jacobians @ _rim(radius_m), 0, -1),
            np.moveaxis(np.asarray(np.linalg.inv(jacobians), dtype=float), 0, -1),
            math.ceil(radius_m * float(np.abs(jacobians).sum(axis=2).max())),
        )

    def _extreme(self, column: Floats, row: Floats, ground: Floats, disc: "Disc", pick: np.ufunc) -> Floats:
        found = np.empty(len(ground))
        # What is worked at together stays in the processor's cache.
        for first in range(0, len(ground), _RIMS_AT_ONCE):
            turn = slice(first, first + _RIMS_AT_ONCE)
            at = disc.part(turn)
            rim = self.terrain.at_grid(column[turn] + at.rim[0], row[turn] + at.rim[1])
            nodes = self._extreme_node(column[turn], row[turn], at, pick)
            found[turn] = pick(pick(ground[turn], pick.reduce(rim, axis=0)), nodes)
        return found

    def cell_m(self, x_m: float, y_m: float) -> float:
        """Return the shorter side of a raster cell near a plane position [m]."""
        (metres_per_cell,) = np.linalg.inv(self._grid_per_metre(np.array([x_m]), np.array([y_m])))
        return float(np.linalg.norm(metres_per_cell, axis=0).min())

    def node_count(self, box: tuple[float, float, float, float]) -> int:
        """Return how many grid nodes lie in and just around a box [m]."""
        first_column, last_column, first_row, last_row = self.node_window(box)
        return max(last_column - first_column + 1, 0) * max(last_row - first_row + 1, 0)

    def nodes_within(self, box: tuple[float, float, float, float]) -> tuple[Floats, Floats]:
        """Return plane positions [m] of all grid nodes in and just around a box."""
        first_column, last_column, first_row, last_row = self.node_window(box)
        grid = np.meshgrid(
            np.arange(first_column, last_column + 1), np.arange(first_row, last_row + 1), indexing="xy"
        )
        return self.node_places(grid[0].ravel(), grid[1].ravel())

    def node_places(self, column: NDArray[np.int64], row: NDArray[np.int64]) -> tuple[Floats, Floats]:
        """Return plane positions [m] of grid nodes."""
        transform = self.terrain.cell_to_crs
        centre_column, centre_row = column + 0.5, row + 0.5
        crs_x = transform.a * centre_column + transform.b * centre_row + transform.c
        crs_y = transform.d * centre_column + transform.e * centre_row + transform.f
        return self.way.back(crs_x, crs_y)

    def node_window(self, box: tuple[float, float, float, float]) -> tuple[int, int, int, int]:
        """Return the first and last column and row of nodes about a box; none: last before first."""
        west, south, east, north = box
        side = np.linspace(0.0, 1.0, 9)
        rim_x = west + (east - west) * np.concatenate([side, side, 0 * side, 0 * side + 1])
        rim_y = south + (north - south) * np.concatenate([0 * side, 0 * side + 1, side, side])
        column, row = self.grid(rim_x, rim_y)
        rows, columns = self.terrain.heights_m.shape
        if not (np.isfinite(column).all() and np.isfinite(row).all()):
            return 0, -1, 0, -1
        return (
            max(math.floor(column.min()) - 1, 0),
            min(math.ceil(column.max()) + 1, columns - 1),
            max(math.floor(row.min()) - 1, 0),
            min(math.ceil(row.max()) + 1, rows - 1),
        )

    def _extreme_node(self, column: Floats, row: Floats, disc: "Disc", pick: np.ufunc) -> Floats:
        metres_per_cell, reach, radius_m = disc.metres_per_cell, disc.reach, disc.radius_m
        rows, columns = self.terrain.heights_m.shape
        known = np.isfinite(column) & np.isfinite(row)
        column, row = np.where(known, column, -2.0 * reach), np.where(known, row, -2.0 * reach)
        base_column, base_row = np.floor(column).astype(np.intp), np.floor(row).astype(np.intp)
        heights = self.terrain.heights_m.ravel()
        found = np.full(column.shape, np.inf if pick is np.minimum else -np.inf)
        for down in range(1 - reach, reach + 1):
            node_row = base_row + down
            in_rows = (node_row >= 0) & (node_row < rows)
            aside_row = node_row - row
            for right in range(1 - reach, reach + 1):
                node_column = base_column + right
                aside_column = node_column - column
                away_x = metres_per_cell[0, 0] * aside_column + metres_per_cell[0, 1] * aside_row
                away_y = metres_per_cell[1, 0] * aside_column + metres_per_cell[1, 1] * aside_row
                near = np.hypot(away_x, away_y) <= radius_m
                near &= in_rows & (node_column >= 0) & (node_column < columns)
                at = np.flatnonzero(near)
                found[at] = pick(found[at], heights[node_row[at] * columns + node_column[at]])
        return found

    def _grid_per_metre(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the raster's scale at places (n,), cells per metre east and north, (n, 2, 2)."""
        step_m = 10.0
        column, row = self.grid(
            np.concatenate([x_m - step_m, x_m + step_m, x_m, x_m]),
            np.concatenate([y_m, y_m, y_m - step_m, y_m + step_m]),
        )
        at = np.stack([column, row]).reshape(2, 4, -1)
        with np.errstate(invalid="ignore"):
            found = np.stack([at[:, 1] - at[:, 0], at[:, 3] - at[:, 2]], axis=1) / (2 * step_m)
        return np.ascontiguousarray(np.moveaxis(found, -1, 0))


@attrs.frozen(eq=False)
class GridPlaces:
    """Places, arrays (n,): fractional column and row of the raster, and the ground there [m AMSL]."""

    column: Floats
    row: Floats
    ground_m: Floats

    def joined(self, other: "GridPlaces", order: NDArray[np.intp]) -> "GridPlaces":
        """Return these and other places, in some order of all of them."""
        return GridPlaces(
            np.concatenate([self.column, other.column])[order],
            np.concatenate([self.row, other.row])[order],
            np.concatenate([self.ground_m, other.ground_m])[order],
        )


@attrs.frozen(eq=False)
class Disc:
    """The disc of a radius in cells: its rim (2, corners, n), and metres per cell (2, 2, n).

    `n` is 1 for all places alike; else `owner` says which of them each place has, or it is the places'
    own number. No node of the disc is farther than `reach` cells away.
    """

    radius_m: float
    rim: Floats
    metres_per_cell: Floats
    reach: int
    owner: Ints | None = None

    @property
    def cells_about(self) -> int:
        """No corner of the disc is farther from its middle than so many cells."""
        return math.ceil(float(np.abs(self.rim).max()))

    def of(self, owner: Ints) -> "Disc":
        """Return the disc of places, of which place k has number `owner[k]` of these."""
        return attrs.evolve(self, owner=owner)

    def part(self, which: slice) -> "Disc":
        """Return the disc of some places."""
        if self.owner is None:
            return self
        own = self.owner[which]
        if own[0] == own[-1] and (own == own[0]).all():
            own = own[:1]
        return Disc(self.radius_m, self.rim[:, :, own], self.metres_per_cell[:, :, own], self.reach)


def _rim(radius_m: float) -> Floats:
    """Return the corners (2, n) of a polygon that encloses a disc [m]."""
    rim_m = radius_m / math.cos(math.pi / _RIM_POINTS)
    angle = 2 * math.pi * np.arange(_RIM_POINTS) / _RIM_POINTS
    return np.asarray(rim_m * np.vstack([np.cos(angle), np.sin(angle)]))


def _in_turns(
    ask: Callable[[Floats, Floats], tuple[Floats, Floats]], x_m: Floats, y_m: Floats
) -> tuple[Floats, Floats]:
    if len(x_m) <= _AT_ONCE:
        return ask(x_m, y_m)
    turns = [slice(first, first + _AT_ONCE) for first in range(0, len(x_m), _AT_ONCE)]
    found = [ask(x_m[turn], y_m[turn]) for turn in turns]
    return np.concatenate([ground for ground, _ in found]), np.concatenate([low for _, low in found])
