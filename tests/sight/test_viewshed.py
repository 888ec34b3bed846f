"""The map of what an eye sees: against exact lines, against gdal_viewshed, plain against compiled."""

import shutil
import subprocess
from importlib.util import find_spec

import numpy as np
import pyproj
import pytest
import rasterio
from affine import Affine

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.geo.progress import Cancelled
from planner.sight.fast_sweep import compiled_sweep, quickest_sweep
from planner.sight.grid import box_about
from planner.sight.lines import Outlook, Targets, lines_to
from planner.sight.spot import spot_above_ground
from planner.sight.surfaces import Surfaces
from planner.sight.sweep import swept
from planner.sight.viewshed import viewshed
from planner.world.plane_terrain import PlaneTerrain
from planner.world.readers.terrain import read_terrain
from tests.sight.grounds import plane_ground, rough_ground

needs_numba = pytest.mark.skipif(
    find_spec("numba") is None, reason="numba, the extra `fast`, is not installed"
)
needs_gdal = pytest.mark.skipif(
    shutil.which("gdal_viewshed") is None, reason="gdal_viewshed is not installed"
)


def nodes(ground, shed, every=3):
    """Plane positions of some cells of a viewshed, and their indices in it."""
    rows, columns = (axis.ravel() for axis in np.mgrid[tuple(slice(0, size, every) for size in shed.shape)])
    return rows, columns


def cell_places(ground, first_column, first_row, columns, rows):
    transform = ground.terrain.cell_to_crs
    crs_x = transform.a * (columns + first_column + 0.5) + transform.c
    crs_y = transform.e * (rows + first_row + 0.5) + transform.f
    return (np.asarray(axis) for axis in ground.way.back(crs_x, crs_y))


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize(("x_m", "y_m"), [(3.0, -2.0), (713.0, -644.0)])
def test_agrees_with_exact_lines(geographic, x_m, y_m):
    ground = rough_ground(cells=201, seed=2, geographic=geographic)
    eye = spot_above_ground(x_m, y_m, 1.7, ground)
    found = viewshed(ground, eye, 10_000.0)
    assert found.lowest_seen_agl_m.shape == (201, 201)
    rows, columns = nodes(ground, found.lowest_seen_agl_m)
    x, y = cell_places(ground, found.first_column, found.first_row, columns, rows)
    ground_m = ground.terrain.heights_m[rows, columns].astype(float)
    outlook = Outlook.over(Surfaces(ground), (-1100.0, -1100.0, 1100.0, 1100.0))
    for above_m in (2.0, 20.0, 60.0):
        lines = lines_to(outlook, eye, Targets(x, y, ground_m + above_m, ground_m))
        inside = lines.whole & ~found.unknown[rows, columns]
        assert inside.mean() > 0.95
        agree = found.seen(above_m)[rows, columns] == ~lines.hidden
        # The nearest ray passes up to half a cell away.
        assert agree[inside].mean() > 0.985
        assert 0.02 < lines.hidden.mean() < 0.999


def test_a_wall_casts_the_shadow_of_the_line_over_its_top():
    ground = plane_ground(lambda x, _y: np.where(x == 100.0, 10.0, 0.0))
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    found = viewshed(ground, eye, 550.0, refraction=1.0)
    row, column = index_at(ground, found, 0.0, 0.0)
    assert found.lowest_seen_agl_m[row, column + 20] == pytest.approx(18.3, abs=0.01)
    assert found.lowest_seen_agl_m[row, column - 20] == 0.0
    assert found.lowest_seen_agl_m[row, column] == 0.0


def test_beyond_the_reach_nothing_is_seen_and_voids_are_unknown_behind_them_too():
    ground = plane_ground(lambda x, y: np.where((x == 100.0) & (np.abs(y) < 15.0), np.nan, 0.0))
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    found = viewshed(ground, eye, 300.0)
    row, column = index_at(ground, found, 0.0, 0.0)
    assert np.isinf(found.lowest_seen_agl_m[row - 29, column - 29])
    assert not found.seen(1000.0)[row - 29, column - 29]
    assert found.unknown[row, column + 10 : column + 31].all()
    assert not found.unknown[row, : column + 10].any()
    assert found.seen(0.0)[row, column - 20]


def index_at(ground, found, x_m, y_m):
    column, row = (round(float(axis[0])) for axis in ground.grid(np.array([x_m]), np.array([y_m])))
    return row - found.first_row, column - found.first_column


def test_at_the_rim_and_outside_of_the_raster():
    ground = rough_ground(cells=101, seed=4)
    corner = spot_above_ground(-495.0, 490.0, 1.7, ground)
    assert viewshed(ground, corner, 5000.0).lowest_seen_agl_m.shape == (101, 101)
    lost = spot_above_ground(-900.0, 0.0, 1.7, ground)
    assert viewshed(ground, lost, 5000.0).unknown.all()


def test_it_can_be_stopped():
    class Impatient:
        shares: list[float] = []  # noqa: RUF012 - one test, one list

        def report(self, share):
            self.shares.append(share)
            raise Cancelled

    ground = rough_ground(cells=101)
    with pytest.raises(Cancelled):
        viewshed(ground, spot_above_ground(0.0, 0.0, 1.7, ground), 400.0, progress=Impatient())
    assert Impatient.shares == [0.25]


@needs_numba
def test_compiled_is_the_same():
    ground = rough_ground(cells=301, seed=8)
    eye = spot_above_ground(41.0, -73.0, 1.7, ground)
    plain, fast = (viewshed(ground, eye, 5000.0, sweep=sweep) for sweep in (swept, compiled_sweep()))
    assert np.allclose(plain.lowest_seen_agl_m, fast.lowest_seen_agl_m, atol=0.01, equal_nan=True)
    assert quickest_sweep() is compiled_sweep()


@pytest.fixture(scope="module")
def projected(shared_data, tmp_path_factory):
    """A copy of real ground in UTM at 80 m, as gdal_viewshed wants it."""
    terrain, _ = read_terrain(shared_data / "terrain" / "jacksboro_tn_3arcsec.tif")
    utm = pyproj.CRS("EPSG:32616")
    back = pyproj.Transformer.from_crs(utm, terrain.crs, always_xy=True)
    x, y = pyproj.Transformer.from_crs("EPSG:4326", utm, always_xy=True).transform(-84.23, 36.303)
    rows, columns, cell_m = 350, 300, 80.0
    transform = Affine(cell_m, 0.0, x - cell_m * columns / 2, 0.0, -cell_m, y + cell_m * rows / 2)
    down, right = np.mgrid[0:rows, 0:columns] + 0.5
    places = back.transform(transform.a * right + transform.c, transform.e * down + transform.f)
    heights = terrain.at_grid(*terrain.grid_position(*places)).astype(np.float32)
    assert not np.isnan(heights).any()
    target = tmp_path_factory.mktemp("utm") / "utm.tif"
    shape = {"height": rows, "width": columns, "count": 1, "dtype": "float32"}
    with rasterio.open(
        target, "w", driver="GTiff", crs=utm.to_wkt(), transform=transform, **shape
    ) as dataset:
        dataset.write(heights, 1)
    return target


@needs_gdal
@pytest.mark.parametrize("place", [(0.5, 0.5), (0.3, 0.7), (0.82, 0.21)])
@pytest.mark.parametrize("above_m", [10.0, 60.0])
def test_agrees_with_gdal_viewshed(projected, tmp_path, place, above_m):
    terrain, _ = read_terrain(projected)
    rows, columns = terrain.heights_m.shape
    column, row = round(columns * place[0]), round(rows * place[1])
    transform = terrain.cell_to_crs
    crs_x, crs_y = transform.a * (column + 0.5) + transform.c, transform.e * (row + 0.5) + transform.f
    answer = tmp_path / "seen.tif"
    subprocess.run(
        [
            *("gdal_viewshed", "-q", "-md", "0", "-cc", str(6 / 7), "-oz", "1.7", "-tz", str(above_m)),
            *("-ox", str(crs_x), "-oy", str(crs_y), str(projected), str(answer)),
        ],
        check=True,
        capture_output=True,
    )
    with rasterio.open(answer) as dataset:
        theirs = dataset.read(1) > 0
    frame = LocalFrame(Place(-84.2, 36.3))
    ground = PlaneTerrain.lay(terrain, frame)
    x_m, y_m = (float(axis) for axis in ground.way.back(crs_x, crs_y))
    found = viewshed(ground, spot_above_ground(x_m, y_m, 1.7, ground), 100_000.0)
    ours = found.seen(above_m)
    assert ours.shape == theirs.shape
    assert 0.01 < theirs.mean() < 0.9
    assert (ours == theirs).mean() >= 0.97
    # Where few cells are seen, an answer that sees none of them would agree nearly everywhere, too.
    assert (ours & theirs).sum() >= 0.95 * theirs.sum()
    apart = np.nonzero(ours != theirs)
    x, y = cell_places(ground, 0, 0, apart[1], apart[0])
    ground_m = terrain.heights_m[apart].astype(float)
    eye, targets = spot_above_ground(x_m, y_m, 1.7, ground), Targets(x, y, ground_m + above_m, ground_m)
    box = box_about(np.append(x, x_m), np.append(y, y_m))
    exact = ~lines_to(Outlook.over(Surfaces(ground), box), eye, targets).hidden
    # And where both part the exact lines of sight take our side: 82 to 95 % of the time in November 2026.
    assert (ours[apart] == exact).mean() >= 0.75
