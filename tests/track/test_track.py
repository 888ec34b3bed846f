"""The sampled path: nothing hides between its samples."""

import attrs
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess, frame_for
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.geometry import LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.verdict import Verdict
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from planner.world.world import World
from tests import worlds
from tests.random_worlds import paths, terrains, unhurried, volumes
from tests.worlds import GROUND_M, above_ground, at, ft, hover, plan, points, sea_level, volume, world


def track_of(flight, charts):
    mapped = map_world(charts, (), frame_for(flight))
    return build_track(flight, mapped), mapped


@unhurried(40)
@given(terrains(voids=False), paths())
def test_no_extremum_of_height_hides_between_samples(ground, path):
    """Dense sampling finds no height, above ground or above sea level, beyond those of the samples."""
    charts = world(terrain=ground)
    flight = plan(path=path, launch=GroundSpot(path[0].place, LandStatus.OWN))
    track, mapped = track_of(flight, charts)
    for leg in range(len(path) - 1):
        of_leg = track.leg == leg
        x_m, y_m = track.x_m[of_leg], track.y_m[of_leg]
        share = np.linspace(0, 1, 1501)
        dense_ground = mapped.ground.ground(
            x_m[0] + (x_m[-1] - x_m[0]) * share, y_m[0] + (y_m[-1] - y_m[0]) * share
        )
        sampled = track.planned_amsl_m[of_leg]
        if path[leg].leg.shape is LegShape.STRAIGHT:
            dense = sampled[0] + (sampled[-1] - sampled[0]) * share
        else:
            agl = sampled - track.ground_amsl_m[of_leg]
            dense = dense_ground + agl[0] + (agl[-1] - agl[0]) * share
        known = ~np.isnan(dense)
        for found, sought in (
            (track.planned_agl_m[of_leg], (dense - dense_ground)[known]),
            (sampled, dense[known]),
        ):
            assert np.nanmax(found, initial=-np.inf) >= sought.max(initial=-np.inf) - 2e-3
            assert np.nanmin(found, initial=np.inf) <= sought.min(initial=np.inf) + 2e-3


@unhurried(40)
@given(terrains(voids=False), paths(), st.lists(volumes("volume"), min_size=1, max_size=1))
def test_the_path_is_in_the_same_airspace_from_one_sample_to_the_next(ground, path, airspace):
    """Dense heights between two samples are never inside a volume of which both samples are outside."""
    charts = world(terrain=ground, airspace=tuple(airspace))
    flight = plan(path=path, launch=GroundSpot(path[0].place, LandStatus.OWN))
    track, mapped = track_of(flight, charts)
    volume_ = airspace[0]
    inner = np.linspace(0.01, 0.99, 23)
    for k in np.flatnonzero(np.diff(track.stretch) == 0):
        if not track.inside_outline(0)[k] or np.isnan(track.planned_amsl_m[k : k + 2]).any():
            continue
        x_m = track.x_m[k] + (track.x_m[k + 1] - track.x_m[k]) * inner
        y_m = track.y_m[k] + (track.y_m[k + 1] - track.y_m[k]) * inner
        ground_m = mapped.ground.ground(x_m, y_m)
        rise = track.planned_amsl_m[k : k + 2]
        if path[track.leg[k]].leg.shape is LegShape.STRAIGHT:
            planned_m = rise[0] + (rise[1] - rise[0]) * inner
        else:
            agl = rise - track.ground_amsl_m[k : k + 2]
            planned_m = ground_m + agl[0] + (agl[1] - agl[0]) * inner
        floor_m = volume_.floor.floor_amsl_m(ground_m)
        top_m = volume_.top.top_amsl_m(ground_m)
        clearly = (planned_m > floor_m + 0.02) & (planned_m < top_m - 0.02)
        ends = slice(k, k + 2)
        at_ends = (rise >= volume_.floor.floor_amsl_m(track.ground_amsl_m[ends]) - 1e-3) & (
            rise <= volume_.top.top_amsl_m(track.ground_amsl_m[ends]) + 1e-3
        )
        assert at_ends.any() or not clearly.any()


@pytest.mark.parametrize("height", [AboveSeaLevel, AboveGround])
@pytest.mark.parametrize("upright", [True, False])
def test_a_climb_through_a_thin_closed_layer_is_a_stop(height, upright):
    """A layer of 5 m, passed between two samples: it would be jumped if floors were not looked for."""
    zero = GROUND_M if height is AboveSeaLevel else 0.0
    layer = volume(
        AirspaceKind.RESTRICTED,
        floor=sea_level(GROUND_M + 50),
        top=sea_level(GROUND_M + 55),
    )
    end = (0.0 if upright else 7.0, 0.0)
    path = points([(0, 0, height(zero + 20)), (*end, height(zero + 100))])
    answer = assess(plan(path=path), world(airspace=(layer,)))
    assert answer.verdict is Verdict.MUST_CHANGE
    (need,) = answer.permissions
    assert need.airspace == layer.name
    if upright:
        assert (need.from_m, need.to_m) == pytest.approx((30, 35), abs=1e-3)


def test_what_lies_above_a_permitted_height_is_not_jumped_either():
    """Permitted up to 50 m, the airspace ends at 52 m: between two samples 2 m of it are not permitted."""
    layer = volume(top=above_ground(52.0))
    allowed = worlds.record(layer.name, 50.0)
    path = points([(0, 0, 20.0), (0, 0, 90.0)])
    answer = assess(
        plan(path=path, permissions=(allowed,)), world(airspace=(layer,), cells=(worlds.cell(400),))
    )
    assert answer.profile.in_unpermitted.any()
    assert answer.verdict is Verdict.PERMISSION_NEEDED


def test_what_is_lawful_by_one_limit_here_and_by_another_there_is_not_so_in_between():
    """Near a tower on a slope: under the tower's limit at one end, under the ground's at the other."""
    hill = worlds.terrain(worlds.slope(0.8, 300.0), cell_m=250.0, cells=20)
    mast = worlds.tower(59, base_m=300.0)
    path = points([(-100, 0, AboveSeaLevel(435.0)), (100, 0, AboveSeaLevel(500.0))])
    flight = plan(path=path, structures_standing=frozenset({mast.key}), launch=None, landing=None)
    answer = assess(flight, world(terrain=hill, structures=(mast,)))
    assert (answer.track.planned_amsl_m <= answer.profile.ceiling_amsl_m)[[0, -1]].all()
    assert answer.verdict is Verdict.MUST_CHANGE
    stop = next(finding for finding in answer.findings if finding.rule == "above-height-limit")
    assert 0 < stop.from_m < stop.to_m < answer.track.length_m
    # Worst where the ground's limit takes over: ground 300 + 0.8 x, there equal to the mast's limit.
    limit_m = 300.0 + ft(59) + GROUND_LIMIT_M
    worst_m = 467.5 + 0.325 * (limit_m - GROUND_LIMIT_M - 300.0) / 0.8
    assert stop.numbers["over_m"] == pytest.approx(worst_m - limit_m, abs=0.05)


def test_a_leg_that_follows_the_ground_is_caught_where_it_bulges_into_a_shelf():
    """A saddle in one raster cell: planned heights at its rim stay under the floor, in its middle not."""
    heights = np.full((9, 9), 300.0, dtype=np.float32)
    heights[4, 4] = heights[3, 5] = 320.0
    heights[3, 4] = heights[4, 5] = 280.0
    base = worlds.terrain(cells=9, cell_m=100.0)
    ground = worlds.terrain_of(heights, base.cell_to_crs, base.crs)
    charts = world(terrain=ground, airspace=(volume(AirspaceKind.CLASS_C, floor=sea_level(368.0)),))
    path = points([(-200, -200, 50.0), (300, 300, 50.0)], LegShape.FOLLOW_GROUND)
    flight = plan(path=path, launch=None, landing=None)
    track, mapped = track_of(flight, charts)
    highest = float(np.nanmax(track.planned_amsl_m))
    share = np.linspace(0, 1, 20_001)
    dense = mapped.ground.ground(
        track.x_m[0] + (track.x_m[-1] - track.x_m[0]) * share,
        track.y_m[0] + (track.y_m[-1] - track.y_m[0]) * share,
    )
    assert highest == pytest.approx(float(dense.max()) + 50.0, abs=2e-3)


def test_samples_repeat_the_distance_where_something_begins():
    """Design section 5: at a jump the axis repeats the distance, before and after."""
    charts = world(airspace=(volume(outline=worlds.box(0, -500, 200, 500)),))
    flight = plan()
    track, _ = track_of(flight, charts)
    jumps = np.flatnonzero(np.diff(track.stretch))
    assert track.distance_m[jumps] == pytest.approx(track.distance_m[jumps + 1])
    assert track.distance_m[jumps] == pytest.approx([500, 700], abs=0.05)
    inside = track.inside_outline(0)
    assert list(inside[jumps]) == [False, True]
    assert list(inside[jumps + 1]) == [True, False]
    assert (np.diff(track.distance_m) >= 0).all()


def test_there_is_a_sample_on_every_raster_line():
    flight = plan(path=points([(-300, -40, 30.0), (300, 70, 30.0)]))
    track, mapped = track_of(flight, world())
    column, row = mapped.ground.grid(track.x_m, track.y_m)
    for axis in (column, row):
        for line in range(int(np.ceil(axis.min())), int(np.floor(axis.max())) + 1):
            assert np.abs(axis - line).min() < 1e-4


def test_a_vertical_leg_has_its_climb_as_length():
    flight = plan(path=points([(0, 0, 10.0), (0, 0, 90.0), (300, 0, 90.0)]))
    track, _ = track_of(flight, world())
    assert track.length_m == pytest.approx(380, abs=1e-3)
    assert track.planned_agl_m[track.point_sample] == pytest.approx([10, 90, 90])
    assert assess(flight, world()).verdict is Verdict.READY
    too_high = plan(path=points([(0, 0, 10.0), (0, 0, GROUND_LIMIT_M + 1)]))
    assert assess(too_high, world()).verdict is Verdict.MUST_CHANGE


def test_two_points_at_one_place_and_height_are_judged_too():
    flight = plan(path=points([(0, 0, GROUND_LIMIT_M + 1), (0, 0, GROUND_LIMIT_M + 1)]))
    answer = assess(flight, world())
    assert answer.track.length_m == 0.0
    assert answer.verdict is Verdict.MUST_CHANGE


def test_one_point_is_a_plan_in_the_making():
    answer = assess(plan(path=points([(0, 0, 30.0)])), world())
    assert answer.track is None
    assert answer.verdict is Verdict.UNDETERMINED
    assert "path-of-one-point" in {finding.rule for finding in answer.findings}


def test_a_path_along_the_shared_edge_of_two_airspaces_is_in_one_of_them():
    """An edge belongs to both sides; running along it must never come out as free of both."""
    north = volume(outline=worlds.box(-2_000, 0, 2_000, 2_000), name="NORTH")
    edge = shapely.get_coordinates(north.outline)[:2]
    south_ring = [*edge[::-1], *shapely.get_coordinates(worlds.box(-2_000, -2_000, 2_000, -1_000))[:2]]
    south = volume(outline=shapely.Polygon(south_ring), name="SOUTH")
    path = tuple(
        PathPoint(Place(*(edge[0] + (edge[1] - edge[0]) * share)), AboveGround(30.0)) for share in (0.2, 0.7)
    )
    flight = plan(path=path, launch=None, landing=None)
    answer = assess(flight, world(airspace=(north, south), cells=(worlds.cell(400),)))
    assert answer.permissions


@pytest.mark.parametrize(
    "anchor", [Place(179.9999, 37.8), Place(-179.9999, 10.0), Place(0.0, 89.99), Place(0, -90)]
)
def test_antimeridian_and_poles_are_undetermined_or_work_never_ready_by_mistake(anchor):
    other = Place(-anchor.lon_deg if anchor.lon_deg else 180.0, anchor.lat_deg)
    path = tuple(PathPoint(place, AboveGround(30.0)) for place in (anchor, other))
    crew = tuple(attrs.evolve(member, place=anchor) for member in plan().crew)
    flight = plan(path=path, launch=GroundSpot(anchor, LandStatus.OWN), landing=None, crew=crew)
    answer = assess(flight, world())
    assert answer.verdict is Verdict.UNDETERMINED
    assert np.isfinite(answer.track.distance_m).all()
    assert answer.track.length_m < 3_000


def test_a_leg_over_the_antimeridian_is_short_and_finds_the_outline_there():
    """RFC 7946 splits outlines at the antimeridian; both halves are met by one leg."""
    halves = shapely.MultiPolygon(
        [shapely.box(179.995, -0.01, 180.0, 0.01), shapely.box(-180.0, -0.01, -179.995, 0.01)]
    )
    closed = attrs.evolve(volume(AirspaceKind.PROHIBITED), outline=halves)
    path = tuple(PathPoint(Place(lon, 0.0), AboveSeaLevel(30.0)) for lon in (179.99, -179.99))
    flight = plan(path=path, launch=None, landing=None)
    track, _ = track_of(flight, World(airspace=(closed,)))
    assert track.length_m == pytest.approx(0.02 * 111_319.49, abs=0.01)
    inside = track.distance_m[track.inside_outline(0)]
    assert (inside.min(), inside.max()) == pytest.approx((0.005 * 111_319.49, 0.015 * 111_319.49), abs=0.1)


def test_heights_above_launch_count_from_the_launch_points_ground():
    charts = world(terrain=worlds.terrain(worlds.slope(0.1)))
    flight = plan(
        path=points([(200, 0, AboveLaunch(50.0)), (400, 0, AboveLaunch(50.0))]),
        launch=GroundSpot(worlds.at(-300, 0), LandStatus.OWN),
    )
    track, _ = track_of(flight, charts)
    # UTM's scale stretches the 300 m by up to 0.1 %.
    assert track.launch_ground_amsl_m == pytest.approx(GROUND_M - 30, abs=0.1)
    assert track.planned_amsl_m == pytest.approx(track.launch_ground_amsl_m + 50)


def test_unknown_launch_ground_leaves_heights_above_launch_unknown():
    beyond = GroundSpot(worlds.at(20_000, 0), LandStatus.OWN)
    answer = assess(plan(path=hover(AboveLaunch(50.0)), launch=beyond), world())
    assert answer.verdict is Verdict.UNDETERMINED
    (finding,) = [found for found in answer.findings if found.rule == "ground-not-known"]
    assert "launch point" in finding.remedy
    assert np.isnan(answer.track.planned_amsl_m).all()


def test_without_ground_the_length_is_the_horizontal_one():
    """Stated in `sample_legs`: where the ground is unknown only the horizontal part is counted."""
    flight = plan(path=points([(0, 0, 10.0), (300, 0, 90.0)]))
    track, _ = track_of(flight, world(terrain=None))
    assert track.length_m == pytest.approx(300, abs=1e-3)


def test_floors_above_the_ground_are_passed_where_they_are():
    layer = volume(AirspaceKind.RESTRICTED, floor=above_ground(40.0), top=above_ground(60.0))
    charts = world(terrain=worlds.terrain(worlds.slope(0.2)), airspace=(layer,))
    track, _ = track_of(plan(path=points([(-500, 3, 20.0), (500, 3, 120.0)])), charts)
    agl = track.planned_agl_m
    assert np.abs(agl - 40).min() < 1e-6
    assert np.abs(agl - 60).min() < 1e-6


def test_a_point_on_the_wrong_side_of_the_earth_costs_no_minutes():
    path = (PathPoint(at(), AboveGround(30.0)), PathPoint(Place(29.8, -37.8), AboveGround(30.0)))
    answer = assess(plan(path=path), world())
    assert answer.verdict is Verdict.MUST_CHANGE, "nobody sees an aircraft on the other side of the earth"
    assert "ground-not-known" in {finding.rule for finding in answer.findings}
    assert len(answer.track) < 20_000
