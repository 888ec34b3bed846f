"""A flying area is judged as a volume, from its ground to its top.

Made worlds whose answer follows by geometry from 14 CFR 107.51(b) (400 ft above ground) and from the stated
rule that an area is used from its ground to its top.
"""

import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.geometry import Area
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import at, cell, ft, plan, volume, world


def test_an_area_is_judged_from_the_ground_to_its_top():
    """A closed layer that ends below the area's top lies inside the area's volume."""
    low = volume(AirspaceKind.PROHIBITED, top=worlds.above_ground(30.0))
    flight = plan(path=(), area=worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(100.0)))
    assert assess(flight, world()).verdict is Verdict.READY
    answer = assess(flight, world(airspace=(low,)))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert answer.area.in_closed


def test_an_area_over_the_limit_is_a_stop_even_where_permission_is_needed_too():
    half = volume(outline=worlds.box(0, -5_000, 5_000, 5_000))
    flight = plan(path=(), area=worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(ft(500))))
    answer = assess(flight, world(airspace=(half,), cells=(cell(400),)))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert "area-above-limit" in {finding.rule for finding in answer.findings}


@pytest.mark.parametrize("sliver_m", [30.0, 3.0, 0.3])
def test_a_sliver_of_closed_airspace_in_an_area_is_found(sliver_m):
    """Thinner than any raster cell: found by the edge it shares with the area."""
    closed = volume(AirspaceKind.PROHIBITED, worlds.box(200 - sliver_m, -2_000, 4_000, 2_000))
    flight = plan(path=(), area=worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(50.0)))
    assert assess(flight, world(airspace=(closed,))).verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize("edge_m", [20.0, 61.0, 130.0])
def test_the_lowest_ground_of_an_area_may_lie_on_its_edge_between_raster_nodes(edge_m):
    """A valley that falls eastward has its lowest ground where the east edge meets its line."""
    ground = worlds.terrain(
        lambda east_m, north_m: worlds.GROUND_M - 0.5 * east_m + 0.5 * np.abs(north_m), cell_m=90.0, cells=41
    )
    top_m = worlds.GROUND_M + 50
    flight = plan(
        path=(),
        launch=GroundSpot(at(-150, 0), LandStatus.OWN),
        landing=None,
        area=worlds.area(worlds.box(-200, -205, edge_m, 199), AboveSeaLevel(top_m)),
    )
    answer = assess(flight, world(terrain=ground))
    lowest_m = worlds.GROUND_M - 0.5 * edge_m
    # UTM's scale (up to 0.1 %) moves the edge by up to 13 cm along the slope.
    assert answer.area.over_height_limit_m == pytest.approx(top_m - lowest_m - ft(400), abs=0.1)


def test_an_area_too_large_to_judge_is_undetermined_not_slow():
    ground = worlds.terrain(cell_m=2.0, cells=2_400)
    flight = plan(path=(), area=worlds.area(worlds.box(-2_000, -2_000, 2_000, 2_000), AboveGround(50.0)))
    answer = assess(flight, world(terrain=ground))
    assert answer.verdict is Verdict.UNDETERMINED
    assert "area-too-large" in {finding.rule for finding in answer.findings}


@pytest.mark.parametrize("top", [None, AboveGround(30.0)])
def test_an_area_around_the_world_is_refused_not_computed(top):
    corners = ((-179, -80), (179, -80), (179, 80), (-179, 80))
    flight = plan(area=Area(tuple(Place(lon, lat) for lon, lat in corners), top))
    answer = assess(flight, world(airspace=(volume(),)))
    assert answer.verdict is Verdict.UNDETERMINED
    assert "area-too-large" in {finding.rule for finding in answer.findings}


def test_a_path_that_leaves_its_area_between_two_samples_is_told():
    """A notch 20 m wide, over ground with cells of 250 m."""
    notched = worlds.box(-600, -200, 600, 200) - worlds.box(10, -20, 30, 300)
    flight = plan(area=worlds.area(notched, None))
    charts = world(terrain=worlds.terrain(cell_m=250.0, cells=21))
    answer = assess(flight, charts)
    assert "path-outside-area" in {finding.rule for finding in answer.findings}
    whole = plan(area=worlds.area(worlds.box(-600, -200, 600, 200), None))
    assert assess(whole, charts).verdict is Verdict.READY


def test_low_ground_just_outside_a_structures_radius_is_found():
    """Between raster nodes only the edge of the radius, seen from outside, shows the lowest limit."""
    masts = (worlds.tower(300), worlds.tower(300, key="its twin"))
    hill = worlds.terrain(worlds.slope(0.5), cell_m=250.0, cells=20)
    flight = plan(
        path=(),
        area=worlds.area(worlds.box(100, -30, 300, 30), AboveSeaLevel(worlds.GROUND_M + 250)),
        structures_standing=frozenset(mast.key for mast in masts),
    )
    answer = assess(flight, world(terrain=hill, structures=masts))
    # The radius meets the area's side 118.2 m east; UTM's north is turned by 1.7 degrees there.
    east_m = (121.92**2 - 30**2) ** 0.5
    assert answer.area.over_height_limit_m == pytest.approx(250 - 0.5 * east_m - 121.92, abs=0.6)


def test_an_area_drawn_just_as_its_permission_is_covered():
    outline = worlds.disc(400.0, corners=48)
    drawn = worlds.area(outline, AboveGround(50.0))
    charts = world(airspace=(volume(),), cells=(cell(400),))
    paper = worlds.record("INVENTED CLASS-D", 60.0, ring=drawn.ring)
    assert assess(plan(path=(), area=drawn, permissions=(paper,)), charts).verdict is Verdict.READY
    smaller = worlds.record(
        "INVENTED CLASS-D", 60.0, ring=worlds.area(worlds.disc(399.0, corners=48), None).ring
    )
    answer = assess(plan(path=(), area=drawn, permissions=(smaller,)), charts)
    assert answer.verdict is Verdict.PERMISSION_NEEDED


def test_what_lies_just_outside_a_ring_of_permission_is_found():
    """A notch of 2 m in the ring, between the nodes of the raster and away from the area's edge."""
    notch = worlds.box(25, 25, 400, 27)
    ring = worlds.area(worlds.box(-300, -300, 300, 300) - notch, None).ring
    charts = world(terrain=worlds.terrain(cell_m=250.0, cells=20), airspace=(volume(),), cells=(cell(400),))
    paper = worlds.record("INVENTED CLASS-D", 60.0, ring=ring)
    inside = plan(
        path=(), area=worlds.area(worlds.box(10, 10, 20, 40), AboveGround(50.0)), permissions=(paper,)
    )
    assert assess(inside, charts).verdict is Verdict.READY
    over = plan(
        path=(), area=worlds.area(worlds.box(10, 10, 40, 40), AboveGround(50.0)), permissions=(paper,)
    )
    assert assess(over, charts).verdict is Verdict.PERMISSION_NEEDED


@pytest.mark.parametrize("kind", [AirspaceKind.PROHIBITED, AirspaceKind.CLASS_D])
def test_a_thin_layer_that_the_ground_rises_through_is_found(kind):
    """Between two nodes of the raster the ground rises by 250 m, the layer is 5 m thick, the top follows."""
    layer = volume(
        kind, floor=worlds.sea_level(worlds.GROUND_M + 40), top=worlds.sea_level(worlds.GROUND_M + 45)
    )
    hill = worlds.terrain(worlds.slope(1.0), cell_m=250.0, cells=20)
    flight = plan(path=(), area=worlds.area(worlds.box(-300, -30, 300, 30), AboveGround(10.0)))
    assert assess(flight, world(terrain=hill)).verdict is Verdict.READY
    answer = assess(flight, world(terrain=hill, airspace=(layer,), cells=(cell(400),)))
    assert answer.verdict is not Verdict.READY
    assert answer.area.in_closed or answer.area.in_unpermitted
