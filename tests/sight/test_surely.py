"""What is seen by less than the terrain may be wrong: analytic worlds, and terrain that is really higher.

Worked out by hand beside each: ground higher by e at a distance d takes e D / d from an aircraft at D
(similar triangles). Second way: a raster lifted by its error, asked with the one exact line of sight.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveSeaLevel
from planner.sight.along import Sight, Viewer, sight_along
from planner.sight.ground_error import NEAR_M, lift_m, turns_of
from planner.sight.line import line_of_sight
from planner.sight.lines import Targets
from planner.sight.over_area import LOW_M, sight_over
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.surfaces import Screen, ScreenKind, Surfaces
from planner.world.plane_terrain import PlaneTerrain
from tests.sight.grounds import plane_ground, rough_ground
from tests.sight.test_along import track_over

NO_CURVATURE = 1.0
FAR = SightRange(9_000.0, 9_000.0)


def uncertain(ground: PlaneTerrain, error_m: float) -> PlaneTerrain:
    return attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, vertical_uncertainty_m=error_m))


def least_height_m(ground, target_x_m, error_m, screens=()):
    """The lowest height above ground at which a target east of the eye is surely seen."""
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    probe = spot_above_ground(target_x_m, 0.0, 100.0, ground)
    surfaces = Surfaces(ground, screens=screens)
    return 100.0 - line_of_sight(surfaces, eye, probe, NO_CURVATURE, error_m).spare_m


def wall(x, _y):
    return np.where(x == 100.0, 10.0, 0.0)


@pytest.mark.parametrize(("error_m", "least_m"), [(0.0, 18.3), (0.5, 19.3), (2.0, 22.3), (5.0, 28.3)])
def test_behind_a_wall_half_way_the_error_counts_twice(error_m, least_m):
    # Wall of 10 m at 100 m, target at 200 m: 1.7 + 2 (10 + e - 1.7).
    assert least_height_m(plane_ground(wall), 200.0, error_m) == pytest.approx(least_m, abs=0.01)


def test_behind_a_building_too():
    # The same as a screen from 120 to 140 m: its near edge, 300 m away: 1.7 + 300 / 120 (10 + 2 - 1.7).
    house = Screen(shapely.box(120.0, -20.0, 140.0, 20.0), 10.0)
    assert least_height_m(plane_ground(lambda x, _y: 0.0 * x), 300.0, 2.0, (house,)) == pytest.approx(
        27.45, abs=0.01
    )


def test_a_building_across_the_hundred_metres_is_tightest_where_the_error_is_whole():
    # From 80 to 120 m, 4 m high: at 80 m 1.7 + 400 / 80 (4 + 0.8 e - 1.7) = 21.2 m for e = 2,
    # at 100 m 1.7 + 4 (4 + 2 - 1.7) = 18.9 m, less than at its near edge.
    house = Screen(shapely.box(80.0, -20.0, 120.0, 20.0), 4.0)
    ground = plane_ground(lambda x, _y: 0.0 * x)
    assert least_height_m(ground, 400.0, 2.0, (house,)) == pytest.approx(21.2, abs=0.01)
    # Two metres high the near edge asks for 1.7 + 5 (2 + 1.6 - 1.7) = 11.2 m, the middle 10.9 m.
    low = Screen(shapely.box(80.0, -20.0, 120.0, 20.0), 2.0)
    assert least_height_m(ground, 400.0, 2.0, (low,)) == pytest.approx(11.2, abs=0.01)
    # As high as 1.2 m only: 1.7 + 5 (1.2 + 1.6 - 1.7) = 7.2 m, the middle 1.7 + 4 (1.2 + 2 - 1.7) = 7.7 m.
    step = Screen(shapely.box(80.0, -20.0, 120.0, 20.0), 1.2)
    assert least_height_m(ground, 400.0, 2.0, (step,)) == pytest.approx(7.7, abs=0.01)


def test_over_a_cone():
    # Cone of 40 m at 200 m, target at 300 m over its flank of 20 m: 1.7 + 1.5 (40 + 1 - 1.7) - 20.
    ground = plane_ground(lambda x, y: np.maximum(0.0, 40.0 - 0.2 * np.hypot(x - 200.0, y)))
    assert least_height_m(ground, 300.0, 1.0) == pytest.approx(40.65, abs=0.01)
    # Three metres make the near flank tighter, at 100 m (20 m up): 1.7 + 3 (20 + 3 - 1.7) - 20.
    assert least_height_m(ground, 300.0, 3.0) == pytest.approx(45.6, abs=0.01)


def test_on_open_ground_the_error_counts_from_a_hundred_metres_on():
    # Level, e = 5 m, 300 m away: at 100 m the line must be 5 m up: 1.7 + 3 (5 - 1.7) = 11.6 m.
    level = plane_ground(lambda x, _y: 0.0 * x)
    assert least_height_m(level, 300.0, 5.0) == pytest.approx(11.6, abs=0.01)
    # 60 m away the ground under the aircraft is lifted by 3 m at the most: no more than 3 m.
    probe = spot_above_ground(60.0, 0.0, 3.01, level)
    eye = spot_above_ground(0.0, 0.0, 1.7, level)
    assert line_of_sight(Surfaces(level), eye, probe, NO_CURVATURE, 5.0).clear


def test_what_stands_on_the_ground_before_the_eye_stays_seen():
    # 40 m away on level ground: what lifts the ground there lifts the aircraft, too.
    level = plane_ground(lambda x, _y: 0.0 * x)
    eye, landed = (spot_above_ground(x_m, 0.0, up_m, level) for x_m, up_m in ((0.0, 1.7), (40.0, 0.0)))
    assert line_of_sight(Surfaces(level), eye, landed, NO_CURVATURE, 2.0).clear


def test_the_lift_is_straight_between_its_turns():
    generator = np.random.default_rng(3)
    length_m, over_m = generator.uniform(1.0, 900.0, 200), generator.uniform(0.0, 12.0, 200)
    over_m[:20] = 0.0
    turns = np.sort(np.column_stack([np.zeros(200), turns_of(5.0, length_m, over_m), np.ones(200)]), axis=1)
    for first, last in zip(turns.T[:-1], turns.T[1:], strict=True):
        ends = [lift_m(5.0, share * length_m, length_m, over_m) for share in (first, last)]
        middle = lift_m(5.0, (first + last) / 2 * length_m, length_m, over_m)
        assert middle == pytest.approx((ends[0] + ends[1]) / 2, abs=1e-9)


# ---- along a path


def test_the_stretch_behind_a_wall_ends_where_a_higher_wall_would_hide_it():
    # At 30 m: over 12 m of wall the line reaches 30 m at 28.3 / 10.3 * 100 = 274.8 m, over 10 m at 341.0 m.
    ground = uncertain(plane_ground(wall), 2.0)
    track, _ = track_over(ground, [(150, 0, AboveSeaLevel(30.0)), (500, 0, AboveSeaLevel(30.0))])
    watcher = Viewer("observer", spot_above_ground(0.0, 0.0, 1.7, ground), FAR)
    (profile,) = sight_along(track, [watcher], Surfaces(ground))
    sights = np.array(profile.sight, dtype=object)
    assert set(sights) == {Sight.SEEN, Sight.BARELY, Sight.HIDDEN}
    barely_m = track.x_m[sights == Sight.BARELY]
    assert (barely_m.min(), barely_m.max()) == pytest.approx((274.8, 341.0), abs=11.0)
    assert track.x_m[sights == Sight.HIDDEN].min() == pytest.approx(341.0, abs=10.0)
    # 300 m away: least height 1.7 + 3 * 8.3 = 26.6 m, surely 1.7 + 3 * 10.3 = 32.6 m (curvature: 5 mm).
    here = int(np.abs(track.x_m - 300.0).argmin())
    assert track.x_m[here] == pytest.approx(300.0, abs=1e-6)
    beside = sight_along(
        track_over(ground, [(299.5, 0, AboveSeaLevel(30.0)), (300.0, 0, AboveSeaLevel(30.0))])[0],
        [watcher],
        Surfaces(ground),
    )[0]
    assert beside.spare_m[-1] == pytest.approx(3.4, abs=0.01)
    assert beside.sure_spare_m[-1] == pytest.approx(-2.6, abs=0.01)


def test_terrain_that_states_no_error_leaves_nothing_in_doubt():
    ground = plane_ground(wall)
    track, _ = track_over(ground, [(150, 0, AboveSeaLevel(30.0)), (500, 0, AboveSeaLevel(30.0))])
    (profile,) = sight_along(
        track, [Viewer("o", spot_above_ground(0, 0, 1.7, ground), FAR)], Surfaces(ground)
    )
    assert not profile.barely.any()
    assert (profile.sure_spare_m == profile.spare_m).all()


@pytest.mark.parametrize("seed", [2, 3, 5])
def test_barely_is_what_terrain_that_is_really_higher_hides_and_nothing_else(seed):
    """Rough hills beyond a level field of 130 m about an eye on a tower, so that nothing near it is tight."""
    error_m = 4.0
    rough = rough_ground(cells=161, cell_m=10.0, seed=seed, spread_m=15.0)
    terrain = rough.terrain
    rows, columns = np.indices(terrain.heights_m.shape)
    away_m = 10.0 * np.hypot(rows - 80, columns - 80)
    field_m = 500.0
    near = away_m <= 130.0
    given = np.where(near, field_m, terrain.heights_m).astype(np.float32)
    # Between two nodes lies half of a lift that jumps: it must have begun before the last level node.
    higher = (given + np.where(away_m > NEAR_M, error_m, 0.0)).astype(np.float32)
    laid = [attrs.evolve(rough, terrain=attrs.evolve(terrain, heights_m=one)) for one in (given, higher)]
    ground = uncertain(laid[0], error_m)
    eye = Spot(0.0, 0.0, field_m + 12.0, field_m)
    ends = [(-600.0, 350.0), (600.0, 450.0)]
    track, _ = track_over(ground, [(*end, AboveSeaLevel(field_m + 26.0)) for end in ends])
    (profile,) = sight_along(track, [Viewer("observer", eye, FAR)], Surfaces(ground))
    high = track.planned_agl_m > error_m
    truly, compared = np.zeros(len(track), dtype=bool), np.zeros(len(track), dtype=bool)
    for k in np.flatnonzero(high):
        target = Spot(
            *(float(axis[k]) for axis in (track.x_m, track.y_m, track.planned_amsl_m, track.ground_amsl_m))
        )
        now, then = (line_of_sight(Surfaces(one), eye, target) for one in laid)
        truly[k] = now.clear is True and then.clear is False
        compared[k] = True
        if now.clear is True and then.clear is False:
            assert profile.barely[k]
            exact = line_of_sight(Surfaces(ground), eye, target, error_m=error_m)
            assert exact.spare_m == pytest.approx(then.spare_m, abs=0.01)
    assert truly.any()
    # Samples also answer for points beside them: not farther than one step away.
    beside = np.convolve(truly, np.ones(3), mode="same") > 0
    assert not (profile.barely & compared & ~beside & ~profile.hidden).any()


# ---- over an area


def test_low_over_an_area_behind_a_wall():
    # Behind the wall at 100 m, 250 m away: seen from 1.7 + 2.5 * 8.3 = 22.45 m up, surely from
    # 1.7 + 2.5 * 10.3 = 27.45 m: the ground between counts, that straight below lifts both.
    ground = uncertain(plane_ground(wall), 2.0)
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    place = Targets(*(np.array([value]) for value in (250.0, 0.0, 40.0, 0.0)))
    (part,) = sight_over(place, (Viewer("observer", eye, FAR),), Surfaces(ground))
    assert part.seen_from_agl_m[0] == pytest.approx(22.45, abs=0.01)
    assert part.surely_from_agl_m[0] == pytest.approx(27.45, abs=0.01)
    # Of a top of 25 m it is not even surely seen at the top.
    low = attrs.evolve(place, amsl_m=np.array([25.0]))
    (part,) = sight_over(low, (Viewer("observer", eye, FAR),), Surfaces(ground))
    assert part.seen_from_agl_m[0] < 25.0 < part.surely_from_agl_m[0]


def test_of_an_area_each_place_of_the_crew_has_its_own_and_what_has_no_height_is_told_apart():
    """Our own rule: looked at together as alone; a building of unknown height leaves the low air open."""
    ground = uncertain(plane_ground(wall), 2.0)
    places = [spot_above_ground(x_m, 0.0, 1.7, ground) for x_m in (0.0, 0.0, 120.0)]
    crew = tuple(Viewer(name, eye, FAR) for name, eye in zip(("a", "b", "c"), places, strict=True))
    tops = Targets(*(np.array([value]) for value in (250.0, 0.0, 40.0, 0.0)))
    shed = Screen(shapely.box(200.0, -30.0, 210.0, 30.0), 25.0, None, ScreenKind.BUILDING)
    surfaces = Surfaces(ground, unmeasured=(shed,))
    first, beside, nearer = sight_over(tops, crew, surfaces)
    assert (first.key, beside.key, nearer.key) == ("a", "b", "c")
    assert first.seen_from_agl_m == beside.seen_from_agl_m != nearer.seen_from_agl_m
    # Similar triangles over the near edge of the shed: 1.7 + 250 / 200 (25 - 1.7); from nearer by likewise.
    assert first.seen_from_agl_m[0] == pytest.approx(1.7 + 250 / 200 * 23.3, abs=0.01)
    assert nearer.seen_from_agl_m[0] == pytest.approx(1.7 + 130 / 80 * 23.3, abs=0.01)


def test_a_level_area_close_by_is_surely_seen_down_to_the_ground():
    ground = uncertain(plane_ground(lambda x, _y: 0.0 * x), 2.0)
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    x_m = np.linspace(5.0, 150.0, 30)
    tops = Targets(x_m, 0.0 * x_m, 0.0 * x_m + 30.0, 0.0 * x_m)
    (part,) = sight_over(tops, (Viewer("observer", eye, FAR),), Surfaces(ground))
    assert (part.surely_from_agl_m <= LOW_M).all()


def test_trees_follow_the_ground_and_its_error():
    # Trees of 10 m from 110 to 130 m: 1.7 + 260 / 110 (10 + 2 - 1.7), asked four times a cell.
    trees = Screen(shapely.box(110.0, -30.0, 130.0, 30.0), 10.0, 10.0, ScreenKind.TREES)
    level = plane_ground(lambda x, _y: 0.0 * x)
    assert least_height_m(level, 260.0, 2.0, (trees,)) == pytest.approx(1.7 + 260 / 110 * 10.3, abs=0.01)
