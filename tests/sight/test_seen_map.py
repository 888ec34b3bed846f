"""What the map shows of what is seen: against worked shadows, ranges, and the judged path."""

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveGround
from planner.plan.aircraft import AircraftForm
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan
from planner.sight.along import Sight, Viewer, sight_along
from planner.sight.planned_near import PlannedNear
from planner.sight.ranges import SightRange, attitude_estimate_m, detection_m
from planner.sight.seen_map import MapGrade, MapPlaces, seen_map
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.surfaces import Screen, ScreenKind, Surfaces
from planner.sight.sweep import swept
from planner.sight.watch import watches_of
from planner.track.build import build_track
from planner.track.mapped import map_world
from planner.world.world import World
from tests.sight.grounds import plane_ground, rough_ground

FAR = SightRange(400.0, 550.0)


def watch_on(ground, x_m=0.0, y_m=0.0, reach=FAR, key="o", **standing):
    eye = spot_above_ground(x_m, y_m, 1.7, ground) if ground else Spot(x_m, y_m, np.nan, np.nan)
    surfaces = Surfaces(ground, **standing) if ground else None
    return watches_of([Viewer(key, eye, reach)], surfaces, swept)[0]


def ask(groups, x_m, above_m, y_m=0.0):
    x, y, above = (np.atleast_1d(np.asarray(axis, dtype=float)) for axis in (x_m, y_m, above_m))
    shape = np.broadcast_shapes(x.shape, y.shape, above.shape)
    x, y, above = (np.broadcast_to(axis, shape).copy() for axis in (x, y, above))
    return seen_map(groups, MapPlaces.over(groups[0][0].ground, x, y, above))


def grades(groups, x_m, above_m, y_m=0.0):
    return [MapGrade(int(grade)) for grade in ask(groups, x_m, above_m, y_m).grade]


@pytest.fixture(scope="module")
def walled():
    return plane_ground(lambda x, _y: np.where(x == 100.0, 10.0, 0.0))


@pytest.fixture(scope="module")
def level():
    return plane_ground(lambda x, _y: 0.0 * x)


def test_behind_a_wall_it_is_hidden_up_to_the_line_over_its_top(walled):
    """10-m wall at 100 m, eye 1.7 m: hidden at 200 m below 18.30 m (check_values 3, computed)."""
    watch = watch_on(walled)
    assert grades([[watch]], 200.0, [18.2, 18.4]) == [MapGrade.HIDDEN, MapGrade.SEEN]
    assert ask([[watch]], 200.0, 5.0).lowest_agl_m == pytest.approx(18.3, abs=0.01)
    assert grades([[watch]], -200.0, 0.0) == [MapGrade.SEEN]


def test_ranges_are_slant_and_the_published_ones(level):
    """0.35-m rotorcraft 134.45 m, visibility 1,000 m: 300 m (check_values 2, standing B)."""
    reach = SightRange(attitude_estimate_m(0.35, AircraftForm.ROTORCRAFT), detection_m(1000.0))
    watch = watch_on(level, reach=reach)
    # At 130 m over the ground the eye looks 130.2 m through the air to 8.7 m up, 135.1 m to 38.7 m up.
    assert grades([[watch]], 130.0, [8.7, 38.7]) == [MapGrade.SEEN, MapGrade.UNTRIED]
    # At 290 m: 294.6 m to 53.7 m up, 301.7 m to 85 m up; 300 m is the end.
    assert grades([[watch]], 290.0, [53.7, 85.0]) == [MapGrade.UNTRIED, MapGrade.TOO_FAR]
    assert ask([[watch]], 130.0, 38.7).slant_m == pytest.approx(np.hypot(130.0, 37.0), abs=0.01)


def test_without_terrain_nothing_is_seen_and_only_what_is_too_far_is_known():
    assert grades([[watch_on(None)]], [0.0, 100.0, 600.0], 30.0) == [
        MapGrade.UNKNOWN,
        MapGrade.UNKNOWN,
        MapGrade.TOO_FAR,
    ]


def test_voids_what_lies_behind_them_and_the_raster_s_outside_are_unknown():
    ground = plane_ground(lambda x, y: np.where((x == 100.0) & (np.abs(y) < 15.0), np.nan, 0.0), half_m=300.0)
    asked = grades([[watch_on(ground)]], [100.0, 250.0, -250.0, 0.0, 310.0], 30.0)
    assert asked == [MapGrade.UNKNOWN, MapGrade.UNKNOWN, MapGrade.SEEN, MapGrade.SEEN, MapGrade.UNKNOWN]


@pytest.mark.parametrize("reach", [SightRange(150.0, None), SightRange(None, 300.0), SightRange()])
def test_as_long_as_a_range_is_not_known_nothing_counts_as_seen_and_hidden_stays_hidden(walled, reach):
    asked = set(grades([[watch_on(walled, reach=reach)]], [-250.0, -50.0, 0.0, 50.0, 150.0], 2.0))
    assert asked == {MapGrade.UNKNOWN, MapGrade.HIDDEN}


def test_no_height_planned_is_not_known(level):
    assert grades([[watch_on(level)]], 50.0, np.nan) == [MapGrade.UNKNOWN]


def test_of_a_group_one_is_enough_but_all_groups_must_see(walled):
    near, behind = watch_on(walled), watch_on(walled, x_m=300.0, key="p")
    assert grades([[near, behind]], [-90.0, 200.0], 5.0) == [MapGrade.SEEN, MapGrade.SEEN]
    assert grades([[near], [behind]], [-90.0, 200.0], 5.0) == [MapGrade.HIDDEN, MapGrade.HIDDEN]
    # 300 m behind the wall the eye sees 19 m in front of it from 10 + 8.3 * 19 / 20 m up.
    assert ask([[near], [behind]], -90.0, 5.0).lowest_agl_m == pytest.approx(10 + 8.3 * 190 / 200, abs=0.02)
    with pytest.raises(ValueError, match="nobody"):
        seen_map([[]], MapPlaces.over(walled, *np.zeros((3, 1))))


def test_higher_is_never_worse():
    ground = rough_ground(cells=121, seed=3)
    watch = watch_on(ground, reach=SightRange(5000.0, 5000.0))
    x_m, y_m = np.random.default_rng(1).uniform(-550, 550, (2, 500))
    low, high = (ask([[watch]], x_m, above_m, y_m).grade for above_m in (10.0, 40.0))
    assert (high >= low).all()
    assert (high > low).any()


def test_what_was_looked_at_is_used_again_until_eye_reach_or_ground_change(level, walled):
    watch = watch_on(level)
    viewer = watch.viewer
    again = watches_of([viewer], Surfaces(level), swept, [watch])
    assert again[0].shed is watch.shed
    tried = attrs.evolve(viewer, reach=SightRange(99.0, 550.0))
    (kept,) = watches_of([tried], Surfaces(level), swept, [watch])
    assert kept.shed is watch.shed
    assert kept.viewer.reach.attitude_m == 99.0
    moved = attrs.evolve(viewer, eye=attrs.evolve(viewer.eye, x_m=1.0))
    clearer = attrs.evolve(viewer, reach=SightRange(400.0, 560.0))
    for other, ground in ((moved, level), (clearer, level), (viewer, walled)):
        assert watches_of([other], Surfaces(ground), swept, [watch])[0].shed is not watch.shed


BARN = Screen(shapely.box(95, -40, 105, 40), 10.0)


def test_a_barn_hides_as_a_wall_of_its_height_does_and_over_its_roof_it_is_seen(level):
    """10 m high, its front 95 m off, at the raster's node 90 m: 1.7 + 8.3 * 200 / 95 to 90 m (by hand)."""
    watch = watch_on(level, screens=(BARN,))
    assert grades([[watch]], 200.0, [19.1, 20.2]) == [MapGrade.HIDDEN, MapGrade.SEEN]
    assert grades([[watch]], 100.0, [9.0, 11.0]) == [MapGrade.HIDDEN, MapGrade.SEEN]
    assert grades([[watch]], -200.0, 0.0) == [MapGrade.SEEN]
    assert grades([[watch_on(level)]], 200.0, 14.0) == [MapGrade.SEEN]


def test_of_unknown_height_it_leaves_open_what_it_may_hide(level):
    watch = watch_on(level, unmeasured=(attrs.evolve(BARN, top_amsl_m=20.0),))
    asked = [1.0, 30.0, 45.0]
    assert grades([[watch]], 200.0, asked) == [MapGrade.UNKNOWN, MapGrade.UNKNOWN, MapGrade.SEEN]
    both = watch_on(level, screens=(BARN,), unmeasured=(attrs.evolve(BARN, top_amsl_m=20.0),))
    assert grades([[both]], 200.0, asked) == [MapGrade.HIDDEN, MapGrade.UNKNOWN, MapGrade.SEEN]
    bottomless = watch_on(level, unmeasured=(attrs.evolve(BARN, top_amsl_m=np.inf),))
    assert grades([[bottomless]], 200.0, [45.0]) == [MapGrade.UNKNOWN]


def test_trees_follow_the_ground_and_what_stands_beside_the_eye_does_not_blind_it():
    slope = plane_ground(lambda x, _y: 0.1 * x)
    wood = Screen(shapely.box(95, -40, 105, 40), 40.0, 8.0, ScreenKind.TREES)
    assert grades([[watch_on(slope, screens=(wood,))]], 100.0, [7.0, 9.0]) == [MapGrade.HIDDEN, MapGrade.SEEN]
    beside = attrs.evolve(wood, outline=shapely.box(-8, -8, 8, 8))
    assert grades([[watch_on(slope, screens=(beside,))]], 100.0, 2.0) == [MapGrade.SEEN]


def test_a_barn_that_grows_is_looked_at_anew(level):
    watch = watch_on(level, screens=(BARN,))
    for top_m, same in ((10.0, True), (11.0, False)):
        surfaces = Surfaces(level, screens=(attrs.evolve(BARN, top_amsl_m=top_m),))
        (again,) = watches_of([watch.viewer], surfaces, swept, [watch])
        assert (again.shed is watch.shed) is same


def track_over(ground, points, shape=LegShape.STRAIGHT):
    path = tuple(
        PathPoint(ground.frame.xy_to_place(x_m, y_m), AboveGround(height_m), Leg(shape, None))
        for x_m, y_m, height_m in points
    )
    return build_track(Plan(path=path), map_world(World(terrain=ground.terrain), (), ground.frame))


def test_the_height_planned_nearest_is_that_of_the_path_beside(level):
    near = PlannedNear(track_over(level, [(-200, 0, 20.0), (0, 0, 20.0), (200, 0, 60.0)]), None)
    x_m, y_m = np.array([[-150.0, 100.0], [100.0, 400.0]]), np.array([[80.0, 90.0], [-300.0, 0.0]])
    assert near.at(x_m, y_m) == pytest.approx(np.array([[20.0, 40.0], [40.0, 60.0]]), abs=2.1)
    assert near.bounds_m == pytest.approx((20.0, 60.0))
    nothing = PlannedNear(None, None)
    assert nothing.bounds_m is None
    assert np.isnan(nothing.at(x_m, y_m)).all()


def test_along_the_path_the_map_says_what_the_judged_path_says():
    """Exact lines judge the path; the map takes the nearest ray and cell and may part at the edges."""
    ground = rough_ground(cells=201, seed=6)
    points = [(-700, -500, 25.0), (-100, 600, 25.0), (600, -300, 25.0)]
    track = track_over(ground, points, LegShape.FOLLOW_GROUND)
    watch = watch_on(ground, reach=SightRange(300.0, 650.0))
    (profile,) = sight_along(track, [watch.viewer], Surfaces(ground))
    above_m = PlannedNear(track, None).at(track.x_m, track.y_m)
    ours = grades([[watch]], track.x_m, above_m, track.y_m)
    names = {
        Sight.HIDDEN: MapGrade.HIDDEN,
        Sight.TOO_FAR: MapGrade.TOO_FAR,
        Sight.UNKNOWN: MapGrade.UNKNOWN,
        Sight.UNTRIED: MapGrade.UNTRIED,
        Sight.SEEN: MapGrade.SEEN,
    }
    theirs = [names[sight] for sight in profile.sight]
    assert {MapGrade.HIDDEN, MapGrade.TOO_FAR, MapGrade.UNTRIED, MapGrade.SEEN} <= set(theirs)
    assert np.mean([one is other for one, other in zip(ours, theirs, strict=True)]) > 0.95
