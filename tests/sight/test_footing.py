"""Where one may stand and go: by hand on flat and on sloping ground, and by another way of counting."""

import heapq
import itertools
import math

import numpy as np
import pytest
import shapely

from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Plan
from planner.plan.standing import StandArea
from planner.sight.footing import STANDING_DEG, STEEPEST_DEG, Footing, footing_of, walks_from
from planner.world.sites import ClosedLand, GroundFeature, GroundKind
from tests.sight.grounds import plane_ground, rough_ground

FLAT = plane_ground(lambda x, _y: 0.0 * x)
WITHIN = (-600.0, -600.0, 600.0, 600.0)


def at(walks, x_m, y_m):
    (index,) = np.flatnonzero((np.abs(walks.x_m - x_m) < 0.1) & (np.abs(walks.y_m - y_m) < 0.1))
    return float(walks.walk_m[index])


def test_on_open_flat_ground_it_is_the_straight_way_and_three_percent_at_most():
    walks = walks_from((0.0, 0.0), FLAT, None, 300.0, 10.0)
    straight_m = np.hypot(walks.x_m, walks.y_m)
    reached = np.isfinite(walks.walk_m)
    assert (walks.walk_m[reached] >= straight_m[reached] - 1e-9).all()
    # Sixteen directions: at most 1 / cos(13.28 deg) = 1.028 between two of them.
    assert (walks.walk_m[reached] <= 1.0283 * straight_m[reached] + 1e-9).all()
    assert reached[straight_m <= 300.0 / 1.0283].all()
    assert at(walks, 300.0, 0.0) == pytest.approx(300.0)


def test_round_what_is_barred():
    """A wall of water 100 m wide half-way: over its corners that is 2 hypot(50, 50) = 141.4 m, not 100 m."""
    water = shapely.box(48.0, -50.0, 52.0, 50.0)
    walks = walks_from((0.0, 0.0), FLAT, water, 300.0, 10.0)
    assert 141.4 <= at(walks, 100.0, 0.0) <= 141.4 * 1.03 + 20.0
    closed = walks_from((0.0, 0.0), FLAT, shapely.box(48.0, -590.0, 52.0, 590.0), 300.0, 10.0)
    assert math.isinf(at(closed, 100.0, 0.0))
    assert at(closed, 40.0, 0.0) == pytest.approx(40.0)


@pytest.mark.parametrize("middle_m", [41.0, 45.0, 49.9])
def test_a_hair_of_a_fence_stops_the_longest_step_wherever_it_crosses_it(middle_m):
    """Geometry alone: a wall from end to end of what is walked, thinner than a step, lets nobody by."""
    fence = shapely.box(middle_m - 0.01, -590.0, middle_m + 0.01, 590.0)
    walks = walks_from((0.0, 0.0), FLAT, fence, 300.0, 10.0)
    assert np.isinf(walks.walk_m[walks.x_m > middle_m]).all()
    assert at(walks, 40.0, 0.0) == pytest.approx(40.0)


@pytest.mark.parametrize(("slope_deg", "goes"), [(44.0, True), (46.0, False)])
def test_steep_ground_is_not_walked_neither_up_nor_along(slope_deg, goes):
    rise = math.tan(math.radians(slope_deg))
    ground = plane_ground(lambda x, _y: np.clip(x - 50.0, 0.0, 100.0) * rise)
    walks = walks_from((0.0, 0.0), ground, None, 400.0, 10.0)
    assert (STEEPEST_DEG, STANDING_DEG) == (45.0, 30.0)
    # On the slope nobody stands, whether or not they get there.
    on_slope = (walks.x_m > 60.0) & (walks.x_m < 140.0)
    assert not (walks.where(Footing()) & on_slope).any()
    assert walks.where(Footing())[~on_slope & (walks.x_m < 30.0)].any()
    assert math.isfinite(at(walks, 100.0, 0.0)) is goes
    assert math.isfinite(at(walks, 100.0, 100.0)) is goes
    if goes:
        # 50 m level, then 50 m up the slope.
        assert at(walks, 100.0, 0.0) == pytest.approx(
            50.0 + 50.0 / math.cos(math.radians(slope_deg)), abs=0.01
        )


def test_unknown_ground_is_not_walked():
    ground = plane_ground(lambda x, _y: np.where(np.abs(x - 50.0) < 15.0, np.nan, 0.0))
    assert math.isinf(at(walks_from((0.0, 0.0), ground, None, 300.0, 10.0), 100.0, 0.0))


@pytest.mark.parametrize("seed", [2, 5])
def test_against_dijkstra_one_place_after_the_other(seed):
    """Another way of counting over the same steps: a queue, one place and one way at a time."""
    ground = rough_ground(cells=101, seed=seed, spread_m=25.0)
    barred = shapely.Point(40.0, 10.0).buffer(25.0)
    walks = walks_from((0.0, 0.0), ground, barred, 150.0, 10.0, steepest_deg=25.0)
    side = math.isqrt(len(walks.x_m))
    height_m = walks.ground_amsl_m.reshape(side, side)
    north, east = np.gradient(height_m, 10.0)
    steep = np.hypot(north, east) > math.tan(math.radians(25.0))
    middle = side // 2
    far_m = {(middle, middle): 0.0}
    queue = [(0.0, (middle, middle))]
    steps = [step for step in itertools.product((-2, -1, 0, 1, 2), repeat=2) if math.gcd(*step) == 1]
    assert len(steps) == 16
    while queue:
        gone_m, (row, column) = heapq.heappop(queue)
        if gone_m > far_m[row, column]:
            continue
        for down, right in steps:
            there = row + down, column + right
            if not (0 <= there[0] < side and 0 <= there[1] < side):
                continue
            flat_m = 10.0 * math.hypot(down, right)
            up_m = abs(height_m[there] - height_m[row, column])
            line = shapely.LineString(
                [(10.0 * (one - middle), 10.0 * (other - middle)) for other, one in ((row, column), there)]
            )
            passable = up_m <= math.tan(math.radians(25.0)) * flat_m and not (
                steep[row, column] or steep[there]
            )
            if not passable or line.intersects(barred):
                continue
            total_m = gone_m + math.hypot(flat_m, up_m)
            if total_m <= 150.0 and total_m < far_m.get(there, math.inf) - 1e-9:
                far_m[there] = total_m
                heapq.heappush(queue, (total_m, there))
    found = walks.walk_m.reshape(side, side)
    for row, column in itertools.product(range(side), repeat=2):
        assert found[row, column] == pytest.approx(far_m.get((row, column), math.inf), abs=1e-6)
    assert 50 < len(far_m) < side * side


def lon_lat(shape):
    def turned(points):
        places = [FLAT.frame.xy_to_place(*point) for point in points]
        return np.array([(place.lon_deg, place.lat_deg) for place in places])

    return shapely.transform(shape, turned)


def places(*corners):
    return tuple(FLAT.frame.xy_to_place(*corner) for corner in corners)


def test_allowed_areas_closed_land_and_water_come_from_plan_and_charts():
    pond = BeneathItem(
        BeneathKind.WATER, DrawnAs.AREA, places((0, 100), (20, 100), (20, 120), (0, 120)), "pond"
    )
    plan = Plan(
        stand_areas=(
            StandArea(places((-100, -100), (0, -100), (0, 0), (-100, 0)), "car park"),
            StandArea(places((50, 50), (200, 50), (200, 200), (50, 200))),
        ),
        beneath=(pond,),
    )
    park = ClosedLand("park", "park (INVENTED)", lon_lat(shapely.box(-60, -60, -40, -40)))
    charted = [
        GroundFeature(GroundKind.WATER, "lake", lon_lat(shapely.box(100, 100, 120, 120))),
        GroundFeature(GroundKind.WATER, "brook", lon_lat(shapely.LineString([(60, 60), (90, 90)]))),
    ]
    footing = footing_of(plan, FLAT.frame, [park], charted, WITHIN)
    x_m, y_m = np.array([(-50, -50), (-20, -20), (20, 20), (110, 110), (75, 75), (10, 110)], dtype=float).T
    assert footing.may_stand(x_m, y_m).tolist() == [False, True, False, False, True, False]
    assert footing.barred.intersects(shapely.Point(10, 110))
    anywhere = footing_of(Plan(), FLAT.frame, [], [], WITHIN)
    assert anywhere.may_stand(x_m, y_m).all()
