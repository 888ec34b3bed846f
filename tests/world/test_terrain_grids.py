"""Rasters on different grids serve a plan together; by how much that bends the ground is known.

The ground of each raster is told a second time by the linear interpolation of another library (scipy), at
its own positions by pyproj.
"""

import attrs
import numpy as np
import pyproj
import pytest
import shapely
from affine import Affine
from scipy.ndimage import map_coordinates

from planner.world.currency import LayerState, state_of
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import write_raster

# The zones of UTM meet at 150 W.
LON, LAT = -150.0, 37.8
PLAN = Extent(LON - 0.008, LAT - 0.006, LON + 0.008, LAT + 0.006)
STATED = Statement(surface=SurfaceKind.BARE_EARTH, vertical_datum="a datum", vertical_uncertainty_m=1.0)
THIRD_SECOND_DEG = 1 / 10_800


@attrs.frozen(eq=False)
class Made:
    """A raster made for a test."""

    crs: str
    transform: Affine
    heights: np.ndarray

    def write(self, path):
        return write_raster(path, self.heights, transform=self.transform, crs=self.crs)

    def at(self, lon, lat):
        """Return its own bilinear heights, NaN outside the outermost cell centres."""
        x, y = pyproj.Transformer.from_crs("EPSG:4326", self.crs, always_xy=True).transform(lon, lat)
        grid = ~self.transform
        column, row = grid.a * np.asarray(x) + grid.c, grid.e * np.asarray(y) + grid.f
        return map_coordinates(
            self.heights.astype(float), [row - 0.5, column - 0.5], order=1, cval=np.nan, prefilter=False
        )


def ground(lon, lat):
    """Return hills from 60 m to 1 km wide, the same for every raster."""
    random = np.random.default_rng(7)
    x, y = (np.asarray(lon) - LON) * 88_000.0, (np.asarray(lat) - LAT) * 111_000.0
    height = np.full(np.shape(x), 200.0)
    for width_m in np.geomspace(60, 1_000, 12):
        turn = random.uniform(0, 2 * np.pi)
        along = (x * np.cos(turn) + y * np.sin(turn)) * 2 * np.pi / width_m
        height += width_m / 30 * np.sin(along + random.uniform(0, 2 * np.pi))
    return height


def made(crs, transform, shape, higher_m=0.0):
    column, row = np.meshgrid(np.arange(shape[1]) + 0.5, np.arange(shape[0]) + 0.5)
    x, y = transform.a * column + transform.c, transform.e * row + transform.f
    to_degrees = pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    return Made(crs, transform, (ground(*to_degrees.transform(x, y)) + higher_m).astype(np.float32))


def projected(crs, west_m, east_m, *, shift_m=0.0, cell_m=10.0, higher_m=0.0):
    """Return a raster from so far west to so far east of the place, 3.5 km to the north and south."""
    x, y = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform(LON, LAT)
    left, top = 100 * round((x + west_m) / 100) + shift_m, 100 * round((y + 3_500) / 100) + shift_m
    shape = (int(7_000 / cell_m), int((east_m - west_m) / cell_m))
    return made(crs, Affine(cell_m, 0, left, 0, -cell_m, top), shape, higher_m)


def geographic(west_deg, east_deg):
    columns = round((east_deg - west_deg) / THIRD_SECOND_DEG)
    transform = Affine(THIRD_SECOND_DEG, 0, LON + west_deg, 0, -THIRD_SECOND_DEG, LAT + 0.03)
    return made("EPSG:4326", transform, (648, columns))


# The first of each pair covers more of the plan.
PAIRS = {
    "zones of UTM": (projected("EPSG:32605", -4_000, 500), projected("EPSG:32606", -200, 4_000)),
    "shifted origin": (
        projected("EPSG:32605", -4_000, 500),
        projected("EPSG:32605", -200, 4_000, shift_m=3.7),
    ),
    "a third of a second beside metres": (projected("EPSG:32605", -4_000, 600), geographic(-0.002, 0.04)),
    "metres beside a third of a second": (geographic(-0.04, 0.006), projected("EPSG:32606", -200, 4_000)),
    "a coarser one": (
        projected("EPSG:32605", -4_000, 500),
        projected("EPSG:32605", -200, 4_000, cell_m=25.0),
    ),
}


def one_set(tmp_path, *rasters, statements=(STATED, STATED)):
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    for number, (raster, statement) in enumerate(zip(rasters, statements, strict=True)):
        add_files(folder, [raster.write(tmp_path / f"{number}.tif")], statement)
    return folder


def terrain_records(world):
    return [record for record in world.layers if record.name is LayerName.TERRAIN]


def places(extent, count=200_000):
    random = np.random.default_rng(3)
    west, south, east, north = extent.bounds()
    return random.uniform(west, east, count), random.uniform(south, north, count)


def heights_at(terrain, lon, lat):
    x, y = pyproj.Transformer.from_crs("EPSG:4326", terrain.crs, always_xy=True).transform(lon, lat)
    return terrain.at_grid(*terrain.grid_position(np.asarray(x), np.asarray(y)))


@pytest.mark.parametrize("name", PAIRS)
def test_no_height_leaves_its_raster_by_more_than_is_said(tmp_path, name):
    first, second = PAIRS[name]
    world = read_chart_set(one_set(tmp_path, first, second), PLAN)
    error_m = world.terrain.vertical_uncertainty_m - STATED.vertical_uncertainty_m
    lon, lat = places(PLAN.grown(900.0))
    found, mine, theirs = heights_at(world.terrain, lon, lat), first.at(lon, lat), second.at(lon, lat)
    assert not np.isnan(found).any()
    assert np.abs(found - mine)[~np.isnan(mine)].max() < 0.001
    alone = np.isnan(mine)
    off = np.abs(found - theirs)[alone]
    assert alone.mean() > 0.2
    assert off.max() <= error_m
    # Nor is it said to be far worse than it is.
    assert error_m <= 1.5 * off.max() + 0.02


def test_surveys_that_disagree_are_that_much_less_certain(tmp_path):
    first = projected("EPSG:32605", -4_000, 500)
    second = projected("EPSG:32606", -200, 4_000, higher_m=3.0)
    world = read_chart_set(one_set(tmp_path, first, second), PLAN)
    assert world.terrain.vertical_uncertainty_m >= STATED.vertical_uncertainty_m + 3.0


@pytest.mark.parametrize("name", PAIRS)
def test_the_record_speaks_only_where_a_height_is_known(tmp_path, name):
    world = read_chart_set(one_set(tmp_path, *PAIRS[name]), PLAN)
    (record,) = terrain_records(world)
    assert "0.tif + 1.tif (put on one grid, up to" in record.source
    lon, lat = places(PLAN.grown(6_000.0))
    inside = shapely.contains_xy(record.coverage, lon, lat)
    assert inside.any()
    assert not np.isnan(heights_at(world.terrain, lon[inside], lat[inside])).any()
    state, _ = state_of([record], PLAN.grown(500.0).polygon(), None, needs_dates=False)
    assert state is LayerState.OK


def test_where_one_covers_the_plan_the_other_is_not_asked(tmp_path):
    first, second = PAIRS["zones of UTM"]
    wide = projected("EPSG:32605", -4_000, 4_000)
    world = read_chart_set(one_set(tmp_path, wide, second), PLAN)
    assert world.terrain.vertical_uncertainty_m == STATED.vertical_uncertainty_m
    state, record = state_of(terrain_records(world), PLAN.grown(500.0).polygon(), None, needs_dates=False)
    assert (state, record.source) == (LayerState.OK, "0.tif")
    assert first.crs == wide.crs


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (
            {"vertical_datum": "another"},
            "over the datum 'another', those that cover more of the plan over the",
        ),
        ({"vertical_datum": ""}, "over a datum not stated"),
        (
            {"surface": SurfaceKind.SURFACE},
            "of treetops and roofs, those that cover more of the plan of bare",
        ),
        ({"surface": SurfaceKind.UNKNOWN}, "of a surface not stated"),
    ],
)
def test_heights_of_another_kind_or_datum_are_not_taken_over(tmp_path, change, why):
    statements = (STATED, attrs.evolve(STATED, **change))
    world = read_chart_set(one_set(tmp_path, *PAIRS["zones of UTM"], statements=statements), PLAN)
    state, record = state_of(terrain_records(world), PLAN.polygon(), None, needs_dates=False)
    assert state is LayerState.DAMAGED
    assert record.damage.startswith("not read: ")
    assert why in record.damage
    # It is wanting only where the better one does not speak.
    west = Extent(PLAN.west_deg, PLAN.south_deg, LON - 0.004, PLAN.north_deg).polygon()
    assert state_of(terrain_records(world), west, None, needs_dates=False)[0] is LayerState.OK
