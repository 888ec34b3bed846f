"""The map layer of allowed heights against the profile, and its filled outlines against shapely.

No value from outside: the layer and the profile are two ways to one answer, each reckoned apart.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess, assess_live
from planner.ceiling.allowed_layer import allowed_layer
from planner.ceiling.cell_grid import CellGrid, grid_within, ground_of
from planner.ceiling.fill import filled, grid_box
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.geometry import PathPoint
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    disc,
    fixed_site,
    plan,
    polygon,
    record,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

# Heights are kept in 32 bits, and the scale of the raster is taken once for 32 rows.
TOLERANCE_M = 0.01
BOX = (-2200.0, -2100.0, 2300.0, 2200.0)


def relief(east_m, north_m):
    return 300 + 40 * np.sin(east_m / 180) + 15 * np.cos(north_m / 97) - 60 * (east_m > 400)


def busy_world(*, geographic=False, uncertainty_m=5.0):
    return world(
        terrain=terrain(
            relief, cell_m=20, cells=251, geographic=geographic, horizontal_uncertainty_m=uncertainty_m
        ),
        airspace=(
            volume(AirspaceKind.RESTRICTED, disc(300, (500, 50)), name="INVENTED R"),
            volume(AirspaceKind.CLASS_D, disc(900, (1200, 900)), name="INVENTED D"),
            volume(AirspaceKind.CLASS_C, disc(1500, (-1500, -500)), sea_level(390), name="INVENTED C"),
            volume(
                AirspaceKind.CLASS_D,
                polygon([(-400, 900), (300, 1100), (200, 1700), (-100, 1300), (-500, 1600)]),
                name="INVENTED D2",
            ),
        ),
        structures=(tower(402, (-700, 0), 300.0), tower(300, (-620, 130), 310.0, key="gone")),
        fixed_sites=(fixed_site(disc(350, (1200, 900))),),
    )


def busy_plan(purpose):
    return plan(
        purpose,
        structures_standing=frozenset({"tower 402"}),
        permissions=(
            record("INVENTED D2", 100.0, reference="A"),
            record("INVENTED MEADOW", 150 * FOOT_M, PermissionKind.FIXED_SITE_AGREEMENT, reference="B"),
        ),
        guidelines="INVENTED",
    )


def layer_of(answer, grid=None):
    ground = answer.scene.mapped.ground
    grid = grid or grid_within(ground, BOX, 2000)
    return grid, allowed_layer(answer.scene, ground_of(ground, grid))


def low_hop(grid, ground, frame, column, row):
    """A path of half a metre on the ground whose first sample is the cell's centre."""
    x_m, y_m = grid.in_plane(ground, np.array([float(column)]), np.array([float(row)]))
    lon, lat = frame.inverse(np.append(x_m, x_m + 0.5), np.append(y_m, y_m))
    return tuple(PathPoint(Place(lon[k], lat[k]), AboveGround(0.0)) for k in (0, 1))


@pytest.mark.parametrize("purpose", list(Purpose))
@pytest.mark.parametrize("geographic", [False, True])
def test_same_answer_as_the_profile_at_the_same_places(purpose, geographic):
    charts = busy_world(geographic=geographic)
    answer = assess(busy_plan(purpose), charts)
    grid, layer = layer_of(answer)
    ground, frame = answer.scene.mapped.ground, answer.scene.mapped.frame
    seen = set()
    chosen = np.random.default_rng(5).integers(0, (grid.columns, grid.rows), (120, 2)).tolist()
    for code in layer.legend:
        rows, columns = np.nonzero(layer.code == code)
        chosen.append([int(columns[len(columns) // 2]), int(rows[len(rows) // 2])])
    for column, row in chosen:
        hop = low_hop(grid, ground, frame, column, row)
        # Ceiling and ground are the live part's; who sees it and how it comes home is not asked.
        other = assess_live(plan(purpose, **{**_kept(answer.plan), "path": hop}), charts)
        if other.scene.mapped.frame.origin != frame.origin:
            pytest.fail("the frame moved, so the places are not the same")
        allowed_m, above_m, binding, name = layer.at(column, row)
        assert allowed_m == pytest.approx(other.profile.ceiling_amsl_m[0], abs=TOLERANCE_M, nan_ok=True)
        assert (binding, name) == (other.profile.binding[0], other.profile.binding_name[0])
        expected = other.profile.ceiling_amsl_m[0] - other.track.ground_amsl_m[0]
        assert above_m == pytest.approx(expected, abs=TOLERANCE_M, nan_ok=True)
        seen.add((binding, name))
    assert len(seen) >= 5, seen


def _kept(of):
    return {
        "structures_standing": of.structures_standing,
        "permissions": of.permissions,
        "guidelines": of.guidelines,
    }


@pytest.mark.parametrize("step", [1.0, 0.37, 2.0])
def test_ground_and_lowest_ground_are_the_terrains_own(step):
    answer = assess(busy_plan(Purpose.PART_107), busy_world(uncertainty_m=12.0))
    ground = answer.scene.mapped.ground
    grid = CellGrid(20.0 + (0.3 if step == 0.37 else 0.0), 31.0, step, 90, 70)
    cells = ground_of(ground, grid)
    column, row = np.meshgrid(np.arange(90.0), np.arange(70.0))
    exact = ground.ground_and_lowest(*grid.in_plane(ground, column.ravel(), row.ravel()))
    np.testing.assert_allclose(cells.ground_amsl_m.ravel(), exact[0], atol=1e-3)
    np.testing.assert_allclose(cells.lowest_ground_amsl_m.ravel(), exact[1], atol=TOLERANCE_M)


def test_a_void_stays_unknown_and_does_not_spread():
    charts = busy_world(uncertainty_m=0.0)
    heights = charts.terrain.heights_m
    heights[100:104, 120:126] = np.nan
    answer = assess(busy_plan(Purpose.PART_107), charts)
    grid, layer = layer_of(answer)
    first = int(grid.first_row), int(grid.first_column)
    unknown = np.isnan(layer.allowed_amsl_m)
    expected = np.zeros_like(unknown)
    expected[100 - first[0] : 104 - first[0], 120 - first[1] : 126 - first[1]] = True
    np.testing.assert_array_equal(unknown, expected)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("geographic", [False, True])
def test_filled_outlines_are_those_of_shapely_at_every_cell(seed, geographic):
    draw = np.random.default_rng(seed)
    angles = np.sort(draw.uniform(0, 2 * np.pi, 9))
    radii = draw.uniform(150, 1900, 9)
    star = polygon([(r * np.cos(a), r * np.sin(a)) for r, a in zip(radii, angles, strict=True)])
    hole = disc(120, tuple(draw.uniform(-300, 300, 2)))
    shape = shapely.difference(shapely.make_valid(star), hole)
    charts = world(
        terrain=terrain(relief, cell_m=20, cells=151, geographic=geographic),
        airspace=(volume(AirspaceKind.CLASS_D, shape),),
        structures=(tower(300, tuple(draw.uniform(-1400, 1400, 2))),),
    )
    mapped = assess(plan(), charts).scene.mapped
    grid = grid_within(mapped.ground, BOX, 2000)
    column, row = np.meshgrid(np.arange(float(grid.columns)), np.arange(float(grid.rows)))
    x_m, y_m = grid.in_plane(mapped.ground, column.ravel(), row.ravel())
    for number in range(len(mapped.outlines)):
        cells = filled(mapped.outlines, number, grid, mapped.ground, grid_box(grid, mapped.ground))
        expected = mapped.outlines.contains(number, x_m, y_m).reshape(grid.rows, grid.columns)
        whole = (slice(0, grid.rows), slice(0, grid.columns))
        found = cells.within(whole) if cells else np.zeros_like(expected)
        np.testing.assert_array_equal(found, expected)


def test_kept_cells_of_outlines_serve_every_plan_and_are_forgotten_with_the_outlines():
    """Our own rule: what is kept changes the speed, never the answer."""
    charts = busy_world(geographic=False)
    answer = assess(busy_plan(Purpose.PART_107), charts)
    terrain = answer.scene.mapped.ground
    grid = grid_within(terrain, BOX, 300)
    kept = ground_of(terrain, grid)
    allowed_layer(answer.scene, kept)
    fewer = attrs.evolve(charts, airspace=charts.airspace[1:], structures=())
    for plan_, around in (
        (attrs.evolve(busy_plan(Purpose.PART_107), structures_standing=frozenset()), charts),
        (busy_plan(Purpose.RECREATIONAL), charts),
        (busy_plan(Purpose.PART_107), fewer),
        (busy_plan(Purpose.PART_107), charts),
    ):
        scene = assess(plan_, around).scene
        again, anew = allowed_layer(scene, kept), allowed_layer(scene, ground_of(terrain, grid))
        np.testing.assert_array_equal(again.allowed_amsl_m, anew.allowed_amsl_m)
        np.testing.assert_array_equal(again.code, anew.code)
        assert again.legend == anew.legend
    assert len(np.unique(anew.code)) > 4
