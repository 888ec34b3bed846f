"""The height allowed at each place of a map, and by what."""

from collections.abc import Iterator, Mapping

import attrs
import numpy as np
import pyproj
from affine import Affine
from numpy.typing import NDArray

from planner.ceiling.blocks import blocks_of
from planner.ceiling.cell_grid import CellGrid, CellGround, in_parallel
from planner.ceiling.evaluate import Scene, binding_of
from planner.ceiling.fill import filled, grid_box
from planner.ceiling.filled import Filled, Tile
from planner.ceiling.known import where_known
from planner.ceiling.limits import Ceiling, ceiling_of
from planner.ceiling.open_limit import OpenLimit, open_limit
from planner.ceiling.places import Places
from planner.ceiling.profile import Binding
from planner.track.build import launch_ground_m
from planner.track.mapped import Mapped
from planner.world.airspace import LimitReference

Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]
Codes = NDArray[np.int32]
Ints = NDArray[np.int64]

_TILE_ROWS = 128
_TILE_COLUMNS = 256


@attrs.frozen(eq=False)
class AllowedLayer:
    """Heights allowed from the ground up, arrays (rows, columns).

    Parameters
    ----------
    to_crs, crs : from (column, row) of cell corners to the raster's coordinates.
    allowed_amsl_m : the ceiling over each cell's centre [m AMSL]; the ground
        where nothing is allowed, NaN where unknown.
    ground_amsl_m : ground straight below [m AMSL].
    code : what sets it, a key of `legend`.
    legend : the binding and the name behind each code.
    """

    to_crs: Affine
    crs: pyproj.CRS
    allowed_amsl_m: Singles
    ground_amsl_m: Singles
    code: Codes
    legend: Mapping[int, tuple[Binding, str]]

    @property
    def allowed_agl_m(self) -> Singles:
        """Height allowed above the ground straight below [m]."""
        return np.asarray(self.allowed_amsl_m - self.ground_amsl_m, dtype=np.float32)

    def at(self, column: int, row: int) -> tuple[float, float, Binding, str]:
        """Return height allowed AMSL and above ground [m], what sets it, and its name."""
        allowed_m, ground_m = float(self.allowed_amsl_m[row, column]), float(self.ground_amsl_m[row, column])
        return allowed_m, allowed_m - ground_m, *self.legend[int(self.code[row, column])]


def allowed_layer(scene: Scene, ground: CellGround) -> AllowedLayer:
    """Return the height allowed at each cell of a grid.

    `ground` serves every plan in the same frame: keep it while the map stays, and it keeps which
    cells lie in which outline.

    The same reckoning as the profile's, for flights from the ground up: under
    a closed range of height what counts is the range below it.
    """
    grid = ground.grid
    layer = AllowedLayer(
        to_crs=grid.to_crs(ground.terrain),
        crs=ground.terrain.terrain.crs,
        allowed_amsl_m=np.empty((grid.rows, grid.columns), dtype=np.float32),
        ground_amsl_m=ground.ground_amsl_m,
        code=np.empty((grid.rows, grid.columns), dtype=np.int32),
        legend={},
    )
    launch_m = launch_ground_m(scene.plan, scene.mapped.frame, scene.mapped.ground)
    outlines = _outlines(scene, ground)
    boxes = np.array([cells.box for cells in outlines.values()], dtype=np.int64).reshape(-1, 4)
    work = _Work(scene, ground, outlines, boxes, launch_m, layer)
    in_parallel(work.do, _tiles(grid))
    return attrs.evolve(layer, legend=_legend(scene, work.codes))


def _outlines(scene: Scene, cells: CellGround) -> dict[int, Filled]:
    """Return the cells in every outline that can set a ceiling."""
    mapped, grid, ground = scene.mapped, cells.grid, cells.terrain
    corners = np.array(
        [[-1, -1], [grid.columns, -1], [-1, grid.rows], [grid.columns, grid.rows]], dtype=float
    )
    x_m, y_m = grid.in_plane(ground, corners[:, 0], corners[:, 1])
    near = mapped.outlines.columns_near(np.array([x_m.min(), y_m.min(), x_m.max(), y_m.max()]))
    idle = {
        column
        for column, structure in mapped.structures.items()
        if not structure.stands_by(scene.plan.structures_standing)
    }
    box = grid_box(grid, ground)
    wanted = [column for column in near.tolist() if column not in mapped.cells and column not in idle]
    known = cells.kept.of(mapped.outlines)

    def fill(column: int) -> None:
        known[column] = filled(mapped.outlines, column, grid, ground, box)

    in_parallel(fill, [column for column in wanted if column not in known])
    return {column: found for column in wanted if (found := known[column]) is not None}


@attrs.frozen(eq=False)
class _Work:
    scene: Scene
    ground: CellGround
    outlines: Mapping[int, Filled]
    boxes: Ints
    launch_m: float
    layer: AllowedLayer
    codes: set[int] = attrs.field(factory=set)

    def do(self, tile: Tile) -> None:
        """Work out one tile."""
        plan, launch_m = self.scene.plan, self.launch_m
        columns = self._columns(tile)
        mapped = _only(self.scene.mapped, columns)
        ground_m = self.ground.ground_amsl_m[tile]
        places = Places(
            ground_amsl_m=ground_m.ravel().astype(np.float64),
            lowest_ground_amsl_m=self.ground.lowest_ground_amsl_m[tile].ravel().astype(np.float64),
            launch_ground_amsl_m=launch_m,
            columns=columns,
        )
        limit = open_limit(places, plan, mapped, launch_m=launch_m)
        low = _below(mapped, limit)
        blocks = blocks_of(self.scene.uses, places, plan, low, launch_m=launch_m, asking=False)
        ceiling = ceiling_of(places, limit, blocks) if blocks else _without_blocks(places, limit)
        ceiling = where_known(ceiling, places, mapped)
        code = _coded(ceiling, places)
        self.layer.allowed_amsl_m[tile] = ceiling.amsl_m.reshape(ground_m.shape)
        self.layer.code[tile] = code.reshape(ground_m.shape)
        lowest = int(code.min())
        self.codes.update((np.flatnonzero(np.bincount(code - lowest)) + lowest).tolist())

    def _columns(self, tile: Tile) -> dict[int, Mask]:
        top, left, bottom, right = self.boxes.T
        near = (top < tile[0].stop) & (bottom > tile[0].start)
        near &= (left < tile[1].stop) & (right > tile[1].start)
        every = list(self.outlines.items())
        found = {}
        for number in np.flatnonzero(near).tolist():
            column, cells = every[number]
            mask = cells.within(tile)
            if mask is not None and mask.any():
                found[column] = mask.ravel()
        return found


def _tiles(grid: CellGrid) -> Iterator[Tile]:
    """Yield small rectangles of the grid: most lie under few things, and all fit the processor's cache."""
    for top in range(0, grid.rows, _TILE_ROWS):
        for left in range(0, grid.columns, _TILE_COLUMNS):
            bottom, right = min(top + _TILE_ROWS, grid.rows), min(left + _TILE_COLUMNS, grid.columns)
            yield slice(top, bottom), slice(left, right)


def _below(mapped: Mapped, limit: OpenLimit) -> Mapped:
    """Return the mapped world without airspace that begins above every limit: flights end below it."""
    highest_m = float(np.fmax.reduce(limit.amsl_m))
    airspace = {
        column: volume
        for column, volume in mapped.airspace.items()
        if not (volume.floor.reference is LimitReference.SEA_LEVEL and volume.floor.m > highest_m)
    }
    return mapped if len(airspace) == len(mapped.airspace) else attrs.evolve(mapped, airspace=airspace)


def _coded(ceiling: Ceiling, places: Places) -> Ints:
    """Return the key of `legend` for each place: column, whether permitted, whether nothing is allowed."""
    code = ceiling.column << 2
    unknown = np.isnan(ceiling.amsl_m)
    if unknown.any():
        code[unknown] = -2 << 2
    code |= ceiling.permitted.view(np.int8) << np.int8(1)
    with np.errstate(invalid="ignore"):
        code |= ceiling.amsl_m <= places.ground_amsl_m
    return code


def _without_blocks(places: Places, limit: OpenLimit) -> Ceiling:
    """Return what `ceiling_of` returns for flights from the ground up where no airspace closes anything."""
    amsl_m = np.fmax(limit.amsl_m, places.ground_amsl_m)
    amsl_m[np.isnan(limit.amsl_m)] = np.nan
    with np.errstate(invalid="ignore"):
        permitted = limit.permitted & (limit.amsl_m >= places.ground_amsl_m)
    return Ceiling(amsl_m, limit.column, permitted)


def _only(mapped: Mapped, columns: Mapping[int, Mask]) -> Mapped:
    """Return the mapped world without what lies elsewhere: it can set nothing here."""
    return attrs.evolve(
        mapped,
        airspace={column: volume for column, volume in mapped.airspace.items() if column in columns},
        sites={column: site for column, site in mapped.sites.items() if column in columns},
        structures={column: thing for column, thing in mapped.structures.items() if column in columns},
    )


def _legend(scene: Scene, codes: set[int]) -> dict[int, tuple[Binding, str]]:
    return {code: binding_of(code >> 2, bool(code & 2), bool(code & 1), scene) for code in sorted(codes)}
