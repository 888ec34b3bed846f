"""Two rasters that both tell the ground of a plan, and contradict each other: say before and after a pit."""

import math
from collections.abc import Iterable, Sequence
from types import MappingProxyType
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.lon_lat import from_lon_lat
from planner.geo.place import Place
from planner.world.extent import Extent
from planner.world.terrain import SurfaceKind, Terrain
from planner.world.terrain_join import nodes_meet
from planner.world.vertical_zero import Zero, zero_of

Floats = NDArray[np.float64]

# What two surveys of the same ground may differ by, beyond what both say they may be off: own choice.
SAME_GROUND_M: Final = 10.0
# So much about the plan is compared, at places so near to each other, but at so many each way: own choices.
_ABOUT_M: Final = 200.0
_STEP_M: Final = 15.0
_LEAST_PLACES: Final = 60
_MOST_PLACES: Final = 400
_METRES_PER_DEG: Final = 111_319.0
# Of the heights about a place so many must be known, not voids, that they tell what is there: own choice.
_LEAST_KNOWN: Final = 0.25
# Cells that differ by no more than this are of one size, own choice: neither shows what the other rounds.
_ONE_SIZE: Final = 1.5
# Two samplings of one ground, half a cell apart, lie within each other's heights so near: own choice. On real
# hills, sampled and averaged, it leaves as little beyond the bound as a whole cell does.
_SHARE_OF_CELL: Final = 0.5
# A surface is nowhere under the bare ground; what is not stated may be either.
_FROM_BELOW = MappingProxyType({SurfaceKind.BARE_EARTH: 0, SurfaceKind.UNKNOWN: 1, SurfaceKind.SURFACE: 2})


@attrs.frozen
class TerrainDiffers:
    """Where two rasters over one datum contradict each other most, and by how much [m].

    `spots` are all places compared at which they do: longitude, latitude [deg] and by how much [m], (n, 3);
    `step_m` is how far apart such places lie at the most. `of_one_kind`: whether both are of the bare ground,
    of its surface, or both not stated; else one lies under the other that no kind of it could.
    """

    place: Place
    apart_m: float
    spots: Floats = attrs.field(eq=False, repr=False, factory=lambda: np.empty((0, 3)))
    step_m: float = 0.0
    of_one_kind: bool = True


def differs_most(terrains: Sequence[Terrain], extent: Extent | None) -> TerrainDiffers | None:
    """Return where another terrain contradicts the first of them most; None where none does.

    A coarse raster rounds what a fine one shows: only what lies outside of all heights of the finer one
    within a cell of the coarser counts. Two with cells of one size are held closer, and on one grid node by
    node, as far as both say that they may be off sideways. Of two kinds it is only where the surface lies
    under the bare ground.
    """
    if extent is None or len(terrains) < 2:
        return None
    return greatest(_of(terrains[0], other, extent) for other in terrains[1:] if _alike(terrains[0], other))


def greatest(found: Iterable[TerrainDiffers | None]) -> TerrainDiffers | None:
    """Return the one that differs most, with the spots of all."""
    several = [one for one in found if one is not None]
    if not several:
        return None
    most = max(several, key=lambda one: one.apart_m)
    spots, step_m = np.concatenate([one.spots for one in several]), max(one.step_m for one in several)
    return attrs.evolve(most, spots=spots, step_m=step_m)


def _alike(one: Terrain, other: Terrain) -> bool:
    # However it is spelled.
    zeros = {zero_of(one.vertical_datum), zero_of(other.vertical_datum)}
    return one.vertical_datum == other.vertical_datum or zeros == {Zero.NAVD88}


def _of(one: Terrain, other: Terrain, extent: Extent) -> TerrainDiffers | None:
    lon, lat, step_m = _compared_at(extent.grown(_ABOUT_M))
    fine, coarse = sorted((one, other), key=_cell_m)
    told_m, shown_m = _heights(coarse, lon, lat), _heights(fine, lon, lat)
    both = np.isfinite(told_m) & np.isfinite(shown_m)
    if not both.any():
        # Tiles of one survey lie beside each other.
        return None
    allowed_m = SAME_GROUND_M + one.vertical_uncertainty_m + other.vertical_uncertainty_m
    # What lies beyond all heights about lies as far beyond the one at the place itself.
    both &= np.abs(np.where(both, told_m - shown_m, 0.0)) > allowed_m
    lon, lat, told_m, shown_m = lon[both], lat[both], told_m[both], shown_m[both]
    least_m, most_m = _range_about(fine, lon, lat, _reach_m(fine, coarse, lon, lat))
    beyond_m = _beyond(_FROM_BELOW[coarse.surface] - _FROM_BELOW[fine.surface], told_m, least_m, most_m)
    if not (there := beyond_m > allowed_m).any():
        return None
    apart_m = np.abs(told_m - shown_m)
    worst = int(np.argmax(beyond_m))
    return TerrainDiffers(
        Place(float(lon[worst]), float(lat[worst])),
        float(apart_m[worst]),
        np.column_stack([lon, lat, apart_m])[there],
        step_m,
        one.surface is other.surface,
    )


def _beyond(rank: int, told_m: Floats, least_m: Floats, most_m: Floats) -> Floats:
    """Return how far heights lie beyond what they may be [m].

    Of a kind that lies higher than the other (`rank` > 0) they may be above it by trees and roofs; and below.
    """
    with np.errstate(invalid="ignore"):
        over_m = np.where(rank > 0, -np.inf, told_m - most_m)
        under_m = np.where(rank < 0, -np.inf, least_m - told_m)
    return np.nan_to_num(np.fmax(over_m, under_m), nan=-np.inf)


def _reach_m(fine: Terrain, coarse: Terrain, lon: Floats, lat: Floats) -> Floats:
    """Return within what reach of each place the heights of both may be those of that place [m]."""
    cell_m = np.full(len(lon), _cell_m(coarse))
    if _cell_m(coarse) > _ONE_SIZE * _cell_m(fine):
        return cell_m
    reach_m = _SHARE_OF_CELL * cell_m
    if nodes_meet(fine, coarse):
        reach_m = np.fmin(reach_m, fine.horizontal_uncertainty_m + coarse.horizontal_uncertainty_m)
    # Beside a void the height is that of a node up to half a cell away.
    known = np.isfinite(_between_nodes(fine, lon, lat) + _between_nodes(coarse, lon, lat))
    return np.where(known, reach_m, cell_m)


def _compared_at(extent: Extent) -> tuple[Floats, Floats, float]:
    """Return where rasters are compared: longitudes, latitudes [deg], and how far these lie apart [m]."""
    west, south, east, north = extent.bounds()
    across_m = (east - west) * _METRES_PER_DEG * math.cos(math.radians((south + north) / 2))
    sides_m = np.array([across_m, (north - south) * _METRES_PER_DEG])
    counts = np.clip(np.ceil(sides_m / _STEP_M), _LEAST_PLACES, _MOST_PLACES).astype(int)
    lon, lat = np.meshgrid(np.linspace(west, east, counts[0]), np.linspace(south, north, counts[1]))
    return lon.ravel(), lat.ravel(), float((sides_m / (counts - 1)).max())


def _range_about(terrain: Terrain, lon: Floats, lat: Floats, reach_m: Floats) -> tuple[Floats, Floats]:
    """Return the least and the most height known within reach of each place, NaN where too little is."""
    north_deg = reach_m / _METRES_PER_DEG
    east_deg = north_deg / np.cos(np.radians(lat))
    steps = np.linspace(-1.0, 1.0, 5)
    found = np.stack(
        [_heights(terrain, lon + x * east_deg, lat + y * north_deg) for x in steps for y in steps]
    )
    known = np.isfinite(found)
    enough = known.mean(axis=0) >= _LEAST_KNOWN
    least_m = np.where(enough, np.where(known, found, np.inf).min(axis=0), np.nan)
    return least_m, np.where(enough, np.where(known, found, -np.inf).max(axis=0), np.nan)


def _heights(terrain: Terrain, lon: Floats, lat: Floats) -> Floats:
    """Return heights at places; beside a void that of the nearest node, if it is known."""
    column, row = _grid_position(terrain, lon, lat)
    found_m = terrain.at_grid(column, row)
    rows, columns = terrain.heights_m.shape
    with np.errstate(invalid="ignore"):
        beside = np.isnan(found_m) & (column >= 0) & (column <= columns - 1) & (row >= 0) & (row <= rows - 1)
    if beside.any():
        nearest = np.rint(row[beside]).astype(np.intp), np.rint(column[beside]).astype(np.intp)
        found_m[beside] = terrain.heights_m[nearest]
    return found_m


def _between_nodes(terrain: Terrain, lon: Floats, lat: Floats) -> Floats:
    """Return heights at places; NaN beside a void."""
    return terrain.at_grid(*_grid_position(terrain, lon, lat))


def _grid_position(terrain: Terrain, lon: Floats, lat: Floats) -> tuple[Floats, Floats]:
    x, y = from_lon_lat(terrain.crs).transform(lon, lat)
    return terrain.grid_position(np.asarray(x), np.asarray(y))


def _cell_m(terrain: Terrain) -> float:
    grid = terrain.cell_to_crs
    side = max(abs(grid.a), abs(grid.b), abs(grid.d), abs(grid.e))
    return side * _METRES_PER_DEG if terrain.crs.is_geographic else side
