"""An area that is pulled about is measured where it is new, and comes out as if it were all measured anew.

Our own rule (design): what is kept between calls changes the speed, never the answer.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import Memory, assess_live
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround
from planner.plan.geometry import Area
from planner.track import patches as kept
from planner.track.edges import edge_pieces, points_on_ground
from planner.track.mapped import map_world
from planner.track.patches import Patches, node_patch
from planner.track.samples import sample_area
from planner.world.plane_terrain import PlaneTerrain
from tests import worlds
from tests.worlds import HERE, at, cell, plan, record, tower, volume, world

FRAME = LocalFrame(HERE)
CORNERS = 7


def hills(east_m, north_m):
    return worlds.GROUND_M + 40.0 * np.sin(east_m / 37.0) * np.cos(north_m / 51.0) + 0.1 * east_m


def charts(**terrain):
    ground = worlds.terrain(hills, cell_m=10.0, cells=161, horizontal_uncertainty_m=12.0, **terrain)
    return world(
        terrain=ground,
        airspace=(volume(outline=worlds.box(-150, -5_000, 5_000, 5_000)),),
        cells=(cell(200, worlds.box(-100, -90, 220, 310)), cell(400, worlds.box(220, -90, 700, 310))),
        structures=(tower(60.0),),
    )


def star(reach_m):
    """An area whose corners lie so far from HERE, all round."""
    turns = math.tau * np.arange(len(reach_m)) / len(reach_m)
    corners = (
        at(far * math.sin(turn), far * math.cos(turn)) for far, turn in zip(reach_m, turns, strict=True)
    )
    return Area(tuple(corners), AboveGround(50.0))


def same(one, other):
    for name in ("x_m", "y_m", "ground_amsl_m", "lowest_ground_amsl_m", "planned_amsl_m"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)
    assert one.columns.keys() == other.columns.keys()
    for column, mask in one.columns.items():
        np.testing.assert_array_equal(mask, other.columns[column])


@pytest.mark.parametrize("with_ground", [True, False])
def test_a_corner_pulled_about_gives_what_a_fresh_sampling_gives(with_ground):
    random = np.random.default_rng(5)
    reach_m = [400.0] * CORNERS
    paper = record("INVENTED CLASS-D", 60.0, ring=star(reach_m).ring)
    there = attrs.evolve(charts(), terrain=charts().terrain if with_ground else None)
    mapped, known = map_world(there, (paper,), FRAME), {}
    for step in range(12):
        flight = plan(path=(), area=star(reach_m))
        patches = Patches(known)
        same(sample_area(flight, mapped, patches), sample_area(flight, mapped))
        known = patches.used
        reach_m[step % CORNERS] = random.uniform(150.0, 600.0)


def test_what_did_not_change_is_not_measured_again(monkeypatch):
    measured = []
    measure = PlaneTerrain.ground_and_lowest_each

    def counting(self, x_m, y_m):
        measured.append(len(x_m))
        return measure(self, x_m, y_m)

    monkeypatch.setattr(PlaneTerrain, "ground_and_lowest_each", counting)
    there, memory = charts(), Memory()
    area = star([400.0] * CORNERS)
    assess_live(plan(path=(), area=area), there, memory)
    whole = sum(measured)
    measured.clear()
    assess_live(plan(path=(), area=attrs.evolve(area, top=AboveGround(40.0))), there, memory)
    assert sum(measured) == 0
    # One place inside is chosen anew, and two edges of seven run otherwise, with what they cut off.
    assess_live(plan(path=(), area=star([403.0, *[400.0] * (CORNERS - 1)])), there, memory)
    assert 0 < sum(measured) < whole / 10
    # Charts of another day are another world: nothing of the old one is taken over.
    measured.clear()
    assess_live(plan(path=(), area=area), attrs.evolve(there, structures=()), memory)
    assert sum(measured) >= 0.9 * whole


def test_only_what_the_last_area_was_made_of_is_kept():
    there, memory = charts(), Memory()
    for east_m in (0.0, 300.0, -300.0):
        outline = worlds.box(east_m, 0.0, east_m + 60.0, 60.0)
        assess_live(plan(path=(), area=worlds.area(outline, AboveGround(50.0))), there, memory)
    alone = Memory()
    assess_live(plan(path=(), area=worlds.area(outline, AboveGround(50.0))), there, alone)
    assert memory.patches.keys() == alone.patches.keys()


@pytest.mark.parametrize("cell_m", [4.0, 30.0])
@pytest.mark.parametrize("geographic", [True, False])
def test_the_nodes_in_a_shape_are_those_a_look_at_each_of_them_finds(cell_m, geographic):
    """By tiles, wholly inside or not; against every node of the raster one after the other (shapely)."""
    ground = worlds.terrain(hills, cell_m=cell_m, cells=161, geographic=geographic)
    mapped = map_world(world(terrain=ground), (), FRAME)
    hole = shapely.Point(-40.0, 30.0).buffer(55.0)
    for shape in (
        shapely.box(-300.0, -290.0, 300.0, 310.0) - hole,
        shapely.Point(10.0, 20.0).buffer(250.0),
        shapely.box(-9_000.0, -9_000.0, 9_000.0, 9_000.0),
        shapely.box(900.1, 0.0, 900.2, 1.0),
        shapely.Polygon([(-200, -200), (200, 200), (200, -200), (-200, 200)]),
    ):
        x_m, y_m = mapped.ground.nodes_within(shape.bounds)
        inside = shapely.intersects_xy(shape, x_m, y_m)
        found = node_patch(shape, mapped, mapped.ground, Patches())
        np.testing.assert_array_equal(found.x_m, x_m[inside])
        np.testing.assert_array_equal(found.y_m, y_m[inside])


def test_edges_have_their_lowest_and_highest_ground_and_are_the_same_alone():
    """Against places every 2 cm along the edge (bilinear ground, to 1 mm); with short and long edges."""
    ground = PlaneTerrain.lay(charts().terrain, FRAME)
    shapes = [
        shapely.box(-333.0, -211.0, 251.0, 173.0),
        shapely.Point(20.0, 30.0).buffer(121.92, quad_segs=64),
        shapely.Polygon([(0, 0), (300, 10), (301, 12), (299, 14), (4, 250)]),
        shapely.LineString([(-50, -60), (400, 330), (401, 332)]),
    ]
    pieces = [piece for shape in shapes for piece in edge_pieces(shape)]
    together = points_on_ground(pieces, ground)
    for piece, points in zip(pieces, together, strict=True):
        np.testing.assert_array_equal(points_on_ground([piece], ground)[0], points)
        line = shapely.LineString(piece.corners)
        fine = shapely.get_coordinates(
            shapely.line_interpolate_point(line, np.arange(0.0, line.length, 0.02))
        )
        heights_m, found_m = ground.ground(*fine.T), ground.ground(*points.T)
        assert found_m.min() <= heights_m.min() + 1e-3 or not piece.closed
        assert found_m.max() >= heights_m.max() - 1e-3 or not piece.closed
    for shape in shapes:
        own = np.vstack(points_on_ground(list(edge_pieces(shape)), ground))
        corners = {tuple(corner) for corner in shapely.get_coordinates(shape).tolist()}
        assert corners <= {tuple(point) for point in own.tolist()}


def test_nothing_is_kept_of_a_shape_without_edges():
    assert list(edge_pieces(shapely.Polygon())) == []
    (only,) = edge_pieces(shapely.Point(3.0, 4.0))
    ground = PlaneTerrain.lay(charts().terrain, FRAME)
    assert points_on_ground([only], ground)[0].tolist() == [[3.0, 4.0]]
    assert points_on_ground([], ground) == []
    assert kept.joined([]).inside == {}
    assert len(kept.joined([])) == 0


def test_an_area_keeps_its_corners():
    area = Area(
        tuple(at(*place) for place in ((-90.0, -80.0), (95.0, -70.0), (10.0, 130.0))), AboveGround(30.0)
    )
    samples = sample_area(plan(path=(), area=area), map_world(charts(), (), FRAME))
    for place in area.ring:
        x_m, y_m = FRAME.place_to_xy(place)
        assert np.hypot(samples.x_m - x_m, samples.y_m - y_m).min() < 1e-6
