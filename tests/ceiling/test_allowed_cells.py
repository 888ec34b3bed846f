"""The map layer of allowed heights at every cell of two tiles by two, against places asked one by one.

There each outline is asked of each place; the layer fills outlines and works tile by tile. No value from
outside: two ways to one answer.
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.ceiling.allowed_layer import allowed_layer
from planner.ceiling.blocks import blocks_of
from planner.ceiling.cell_grid import CellGrid, ground_of
from planner.ceiling.evaluate import binding_of
from planner.ceiling.limits import ceiling_of
from planner.ceiling.open_limit import open_limit
from planner.ceiling.places import places_at
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    cell,
    disc,
    fixed_site,
    ft,
    hover,
    plan,
    polygon,
    record,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

COLUMNS, ROWS = 270, 140  # more than one tile of 256 by 128 either way


def relief(east_m, north_m):
    return 300 + 40 * np.sin(east_m / 180) + 15 * np.cos(north_m / 97)


def void(east_m, north_m):
    return np.where((abs(east_m - 900) < 60) & (abs(north_m + 500) < 60), np.nan, relief(east_m, north_m))


BUSY = world(
    terrain=terrain(void, cell_m=10, cells=301, horizontal_uncertainty_m=6.0),
    airspace=(
        volume(AirspaceKind.RESTRICTED, disc(250, (500, 50)), name="INVENTED R"),
        volume(AirspaceKind.CLASS_D, disc(400, (1_150, 600)), name="INVENTED D", top=sea_level(600)),
        volume(AirspaceKind.CLASS_C, disc(900, (-900, -500)), sea_level(390), name="INVENTED C"),
        volume(AirspaceKind.CLASS_D, polygon([(-400, 300), (300, 450), (100, 690)]), name="INVENTED D2"),
        volume(AirspaceKind.CLASS_D, disc(150, (300, -500)), name="INVENTED D3"),
        volume(AirspaceKind.PROHIBITED, disc(300, (9_000, 0)), name="FAR AWAY"),
    ),
    cells=(cell(400),),
    structures=(tower(402, (-700, 300), 300.0), tower(300, (-500, 400), 310.0, key="gone")),
    fixed_sites=(fixed_site(disc(350, (0, -400))),),
)
HELD = (
    record("INVENTED D2", 100.0, reference="A"),
    record("INVENTED D", AboveSeaLevel(380.0), reference="C"),
    record("INVENTED MEADOW", ft(700), PermissionKind.AUTHORIZATION, reference="B"),
)


@pytest.mark.parametrize("purpose", [Purpose.PART_107, Purpose.RECREATIONAL])
def test_each_cell_of_the_map_is_what_its_place_is(purpose):
    flight = plan(
        purpose,
        path=hover(AboveGround(20.0), (1_150, 600)),
        structures_standing=frozenset({"tower 402"}),
        permissions=HELD,
    )
    scene = assess_live(flight, BUSY).scene
    ground = scene.mapped.ground
    grid = CellGrid(14.0, 70.0, 1.0, COLUMNS, ROWS)
    layer = allowed_layer(scene, ground_of(ground, grid))
    column, row = np.meshgrid(np.arange(float(COLUMNS)), np.arange(float(ROWS)))
    places = places_at(scene, *grid.in_plane(ground, column.ravel(), row.ravel()))
    launch_m = places.launch_ground_amsl_m
    limit = open_limit(places, flight, scene.mapped, launch_m=launch_m)
    blocks = blocks_of(scene.uses, places, flight, scene.mapped, launch_m=launch_m, asking=False)
    wanted = ceiling_of(places, limit, blocks)
    shape = ROWS, COLUMNS
    np.testing.assert_allclose(layer.allowed_amsl_m, wanted.amsl_m.reshape(shape), atol=0.02)
    np.testing.assert_allclose(
        layer.allowed_agl_m, (wanted.amsl_m - places.ground_amsl_m).reshape(shape), atol=0.03
    )
    nothing = wanted.amsl_m <= places.ground_amsl_m
    of_place = np.where(np.isnan(wanted.amsl_m), -2, wanted.column)
    seen = set()
    for setter in np.unique(of_place):
        for permitted in (False, True):
            for none in (False, True):
                here = (of_place == setter) & (wanted.permitted == permitted) & (nothing == none)
                if here.any():
                    said = {layer.legend[code] for code in np.unique(layer.code[here.reshape(shape)])}
                    expected = binding_of(int(setter), permitted, none, scene)
                    assert said == {expected}
                    seen.add(expected)
    assert len(seen) >= 6
    assert set(layer.legend.values()) == seen
    assert np.isnan(layer.allowed_amsl_m).any()
    allowed_m, above_m, binding, name = layer.at(120, 30)
    assert allowed_m == layer.allowed_amsl_m[30, 120]
    assert above_m == pytest.approx(layer.allowed_agl_m[30, 120], abs=1e-3)
    assert (binding, name) == layer.legend[int(layer.code[30, 120])]


def test_where_no_airspace_is_the_limit_alone_counts():
    """The quick way of open country: unknown stays unknown, and no limit lies under the ground."""
    ground = terrain(void, cell_m=10, cells=301)
    under = record("107.51", AboveSeaLevel(200.0), PermissionKind.WAIVER)
    scene = assess_live(plan(permissions=(under,)), world(terrain=ground)).scene
    grid = CellGrid(200.0, 160.0, 1.0, 80, 60)
    layer = allowed_layer(scene, ground_of(scene.mapped.ground, grid))
    known = ~np.isnan(layer.ground_amsl_m)
    np.testing.assert_allclose(layer.allowed_agl_m[known], ft(400), atol=1e-3)
    assert np.isnan(layer.allowed_amsl_m[~known]).all()
    assert (~known).any()
    assert {name for _, name in layer.legend.values()} == {""}
