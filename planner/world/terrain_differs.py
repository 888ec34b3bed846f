"""Two rasters that both tell the ground of a plan, and contradict each other: say before and after a pit."""

import math
from collections.abc import Iterable, Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.lon_lat import from_lon_lat
from planner.geo.place import Place
from planner.world.extent import Extent
from planner.world.terrain import Terrain
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


@attrs.frozen
class TerrainDiffers:
    """Where two rasters of one kind and datum contradict each other most, and by how much [m].

    `spots` are all places compared at which they do: longitude, latitude [deg] and by how much [m], (n, 3);
    `step_m` is how far apart such places lie at the most.
    """

    place: Place
    apart_m: float
    spots: Floats = attrs.field(eq=False, repr=False, factory=lambda: np.empty((0, 3)))
    step_m: float = 0.0


def differs_most(terrains: Sequence[Terrain], extent: Extent | None) -> TerrainDiffers | None:
    """Return where another terrain contradicts the first of them most; None where none does.

    A coarse raster rounds what a fine one shows: only what lies outside of all heights of the finer one
    within a cell of the coarser counts.
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
    if one.surface is not other.surface:
        return False
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
    least_m, most_m = _range_about(fine, lon, lat, _cell_m(coarse))
    with np.errstate(invalid="ignore"):
        beyond_m = np.fmax(told_m - most_m, least_m - told_m)
    beyond_m = np.nan_to_num(beyond_m, nan=-np.inf)
    if not (there := beyond_m > allowed_m).any():
        return None
    apart_m = np.abs(told_m - shown_m)
    worst = int(np.argmax(beyond_m))
    return TerrainDiffers(
        Place(float(lon[worst]), float(lat[worst])),
        float(apart_m[worst]),
        np.column_stack([lon, lat, apart_m])[there],
        step_m,
    )


def _compared_at(extent: Extent) -> tuple[Floats, Floats, float]:
    """Return where rasters are compared: longitudes, latitudes [deg], and how far these lie apart [m]."""
    west, south, east, north = extent.bounds()
    across_m = (east - west) * _METRES_PER_DEG * math.cos(math.radians((south + north) / 2))
    sides_m = np.array([across_m, (north - south) * _METRES_PER_DEG])
    counts = np.clip(np.ceil(sides_m / _STEP_M), _LEAST_PLACES, _MOST_PLACES).astype(int)
    lon, lat = np.meshgrid(np.linspace(west, east, counts[0]), np.linspace(south, north, counts[1]))
    return lon.ravel(), lat.ravel(), float((sides_m / (counts - 1)).max())


def _range_about(terrain: Terrain, lon: Floats, lat: Floats, reach_m: float) -> tuple[Floats, Floats]:
    """Return the least and the most height within some reach of places, NaN where any of it is not known."""
    north_deg = reach_m / _METRES_PER_DEG
    east_deg = north_deg / np.cos(np.radians(lat))
    steps = np.linspace(-1.0, 1.0, 5)
    found = np.stack(
        [_heights(terrain, lon + x * east_deg, lat + y * north_deg) for x in steps for y in steps]
    )
    return found.min(axis=0), found.max(axis=0)


def _heights(terrain: Terrain, lon: Floats, lat: Floats) -> Floats:
    x, y = from_lon_lat(terrain.crs).transform(lon, lat)
    return terrain.at_grid(*terrain.grid_position(np.asarray(x), np.asarray(y)))


def _cell_m(terrain: Terrain) -> float:
    grid = terrain.cell_to_crs
    side = max(abs(grid.a), abs(grid.b), abs(grid.d), abs(grid.e))
    return side * _METRES_PER_DEG if terrain.crs.is_geographic else side
