"""Buildings and trees in the line of sight: by hand, by dense points along each line, and as a property."""

import math

import attrs
import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.sight.fan import Eyes, who_sees
from planner.sight.grid import window_over
from planner.sight.line import line_of_sight, section_of
from planner.sight.lines import Outlook, Targets, lines_to
from planner.sight.screened import raised
from planner.sight.screens import PLAUSIBLE_M, highest_under, surfaces_with_screens
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.surfaces import Screen, ScreenKind, Surfaces
from planner.world.sites import GroundFeature, GroundKind
from planner.world.terrain import SurfaceKind
from tests.sight.grounds import plane_ground, rough_ground

NO_CURVATURE = 1.0
FLAT = plane_ground(lambda x, _y: 0.0 * x)
EVERYWHERE = (-600.0, -600.0, 600.0, 600.0)


def item(kind, corners, height_m, name=""):
    places = tuple(FLAT.frame.xy_to_place(x_m, y_m) for x_m, y_m in corners)
    return BeneathItem(kind, DrawnAs.AREA, places, name, height_m=height_m)


def box(west, south, east, north):
    return [(west, south), (east, south), (east, north), (west, north)]


def charted(kind, shape, name="", height_m=None):
    def to_lon_lat(points):
        places = [FLAT.frame.xy_to_place(*point) for point in points]
        return np.array([(place.lon_deg, place.lat_deg) for place in places])

    return GroundFeature(kind, name, shapely.transform(shape, to_lon_lat), height_m)


def seen_from_m(surfaces, x_m=200.0, refraction=NO_CURVATURE):
    ground = surfaces.ground
    eye = spot_above_ground(0.0, 0.0, 1.7, ground)
    probe = spot_above_ground(x_m, 0.0, 100.0, ground)
    return 100.0 - line_of_sight(surfaces, eye, probe, refraction).spare_m


BARN = item(BeneathKind.BUILDING, box(100.0, -10.0, 101.0, 10.0), 10.0, "barn")


def test_the_wall_as_a_building_is_cleared_from_18_30_m_up():
    """Eye 1.7 m, wall 10 m at 100 m, target at 200 m: 1.7 + 2 (10 - 1.7) (check values, section 3)."""
    surfaces = surfaces_with_screens(FLAT, [BARN], (), EVERYWHERE)
    assert seen_from_m(surfaces) == pytest.approx(18.30, abs=0.01)
    assert seen_from_m(surfaces, refraction=1 / 7) == pytest.approx(18.3013, abs=0.001)


def test_a_buildings_flat_top_counts_from_the_highest_ground_under_it():
    """On ground that rises 0.1 a metre the ground under 100 to 101 m is 10.1 m at most: top 20.1 m.

    From 1.7 m the line touches the top's near edge at 100 m: 18.4 m up in 100 m, at 200 m 38.5 m, where the
    ground is 20 m.
    """
    ground = plane_ground(lambda x, _y: 0.1 * x)
    surfaces = surfaces_with_screens(ground, [BARN], (), EVERYWHERE)
    assert surfaces.screens[0].top_amsl_m == pytest.approx(20.1, abs=0.001)
    assert seen_from_m(surfaces) == pytest.approx(18.5, abs=0.01)


def test_trees_follow_the_ground():
    """On the same slope trees of 10 m from 50 to 150 m: their far end stands at 25 m, the line over it rises
    23.3 m in 150 m; at 200 m it is 1.7 + 200 * 23.3 / 150 = 32.767 m, 12.767 m above the ground there."""
    ground = plane_ground(lambda x, _y: 0.1 * x)
    wood = item(BeneathKind.TREES, box(50.0, -10.0, 150.0, 10.0), 10.0)
    surfaces = surfaces_with_screens(ground, [wood], (), EVERYWHERE)
    # The near end decides: 15 - 1.7 = 13.3 m in 50 m.
    assert seen_from_m(surfaces) == pytest.approx(1.7 + 4 * 13.3 - 20.0, abs=0.01)
    falling = plane_ground(lambda x, _y: -0.1 * x)
    down = surfaces_with_screens(falling, [wood], (), EVERYWHERE)
    # Downhill, too: 5 - 1.7 = 3.3 m in 50 m, although the ground beneath falls away further on.
    assert seen_from_m(down) == pytest.approx(1.7 + 4 * 3.3 + 20.0, abs=0.01)


@pytest.mark.parametrize("kind", [BeneathKind.TREES, BeneathKind.BUILDING])
@pytest.mark.parametrize("up_m", [5.0, 30.0])
def test_straight_up_out_of_what_one_stands_in_is_hidden_as_well(kind, up_m):
    """A line of no length on the map, by hand: the eye is 10 - 1.7 = 8.3 m under the top; beside it, too."""
    surfaces = surfaces_with_screens(FLAT, [item(kind, box(-8.0, -8.0, 8.0, 8.0), 10.0)], (), EVERYWHERE)
    eye = spot_above_ground(0.0, 0.0, 1.7, FLAT)
    outlook = Outlook.over(surfaces, EVERYWHERE)
    targets = Targets(np.array([0.0, 0.5]), np.zeros(2), np.full(2, up_m), np.zeros(2))
    found = lines_to(outlook, eye, targets, NO_CURVATURE)
    assert found.hidden.all()
    assert found.clearance_m == pytest.approx([-8.3, -8.3])


def test_it_is_named_and_the_section_shows_it():
    surfaces = surfaces_with_screens(FLAT, [BARN], (), EVERYWHERE)
    ends = [spot_above_ground(x_m, 0.0, above_m, FLAT) for x_m, above_m in ((0.0, 1.7), (200.0, 15.0))]
    line = line_of_sight(surfaces, *ends)
    assert line.behind.called == "the building “barn”"
    (standing,) = section_of(surfaces, *ends).standing
    assert standing.distance_m == pytest.approx([100.0, 101.0])
    assert standing.top_amsl_m == pytest.approx([10.0, 10.0])
    over = line_of_sight(surfaces, ends[0], spot_above_ground(200.0, 0.0, 30.0, FLAT))
    assert over.clear


def test_of_unknown_height_it_neither_hides_nor_lets_see():
    shed = attrs.evolve(BARN, height_m=None, name="shed")
    surfaces = surfaces_with_screens(FLAT, [shed], (), EVERYWHERE)
    assert not surfaces.screens
    eye = spot_above_ground(0.0, 0.0, 1.7, FLAT)
    # As high as it may be, 20 m, it hides what lies below 1.7 + 2 * 18.3 = 38.3 m at 200 m.
    for above_m, clear in ((10.0, None), (38.2, None), (38.4, True)):
        line = line_of_sight(surfaces, eye, spot_above_ground(200.0, 0.0, above_m, FLAT), NO_CURVATURE)
        assert line.clear is clear
        assert [one.name for one in line.unmeasured] == ([] if clear else ["shed"])
    assert PLAUSIBLE_M[ScreenKind.BUILDING] == 20.0


def test_a_height_of_nothing_is_no_screen_and_drawn_trees_do_not_answer_for_all_others():
    flat = attrs.evolve(BARN, height_m=0.0)
    wood = item(BeneathKind.TREES, box(0.0, 0.0, 10.0, 10.0), 10.0)
    assert not surfaces_with_screens(FLAT, [flat], (), EVERYWHERE).screens
    assert not surfaces_with_screens(FLAT, [wood], (), EVERYWHERE).trees_checked


def test_a_surface_model_holds_them_already():
    model = attrs.evolve(FLAT, terrain=attrs.evolve(FLAT.terrain, surface=SurfaceKind.SURFACE))
    surfaces = surfaces_with_screens(model, [BARN], (), EVERYWHERE)
    assert (surfaces.screens, surfaces.unmeasured, surfaces.left_out) == ((), (), 1)


def test_charted_buildings_and_woods_count_and_what_is_drawn_stands_for_them():
    house = charted(GroundKind.BUILDING, shapely.box(100, -10, 110, 10), "mill", 12.0)
    wood = charted(GroundKind.LAND_COVER, shapely.box(200, -10, 300, 10), "deciduous forest")
    field = charted(GroundKind.LAND_COVER, shapely.box(-200, -10, -100, 10), "farmland")
    road = charted(GroundKind.ROAD, shapely.LineString([(0, 50), (300, 50)]), "coast road")
    found = surfaces_with_screens(FLAT, (), [house, wood, field, road], EVERYWHERE)
    assert [(one.name, one.top_amsl_m) for one in found.screens] == [("mill", pytest.approx(12.0))]
    assert [one.name for one in found.unmeasured] == ["deciduous forest"]
    assert not surfaces_with_screens(FLAT, (), [house], (-600.0, -600.0, -300.0, -300.0)).screens
    named = item(BeneathKind.BUILDING, box(90, -10, 95, 10), 5.0, "Mill")
    there = item(BeneathKind.TREES, box(190, -20, 310, 20), 15.0, "pines")
    answered = surfaces_with_screens(FLAT, [named, there], [house, wood], EVERYWHERE)
    assert {one.name for one in answered.screens} == {"Mill", "pines"}
    assert not answered.unmeasured


def test_on_unknown_ground_nobody_knows_how_high_it_stands():
    holed = plane_ground(lambda x, _y: np.where(np.abs(x - 100.0) < 15.0, np.nan, 0.0))
    surfaces = surfaces_with_screens(holed, [BARN], (), EVERYWHERE)
    assert not surfaces.screens
    assert math.isinf(surfaces.unmeasured[0].top_amsl_m)


def test_the_highest_ground_under_an_outline_against_a_dense_grid():
    ground = rough_ground(cells=121, seed=4, finest=0.45)
    outline = shapely.Polygon([(-33, -41), (52, -17), (38, 66), (-12, 20)])
    x_m, y_m = (axis.ravel() for axis in np.meshgrid(np.arange(-50, 60, 0.25), np.arange(-50, 70, 0.25)))
    inside = shapely.intersects_xy(outline, x_m, y_m)
    dense_m = ground.ground(x_m[inside], y_m[inside]).max()
    assert highest_under(ground, outline) == pytest.approx(dense_m, abs=0.1)
    assert highest_under(ground, outline) >= dense_m - 0.005


# ---- against dense points along each line


def world_of_screens(seed, *, count=12):
    ground = rough_ground(cells=201, seed=seed, spread_m=15.0)
    generator = np.random.default_rng(seed)
    screens, unsure = [], []
    for number in range(count):
        x_m, y_m = generator.uniform(-400, 400, 2)
        outline = shapely.affinity.rotate(
            shapely.box(x_m, y_m, x_m + generator.uniform(5, 90), y_m + generator.uniform(5, 60)),
            generator.uniform(0, 90),
        )
        height_m = float(generator.uniform(5, 30))
        trees = number % 2 == 0
        kind = ScreenKind.TREES if trees else ScreenKind.BUILDING
        top_m = highest_under(ground, outline) + height_m
        screen = Screen(outline, top_m, height_m if trees else None, kind, f"thing {number}")
        (unsure if number % 5 == 4 else screens).append(screen)
    return Surfaces(ground, screens=tuple(screens), unmeasured=tuple(unsure))


def dense_clearance_m(surfaces, screens, eye, target):
    """The least height of a chord over tops, by points 0.2 m apart and containment; curvature off."""
    length_m = math.hypot(target.x_m - eye.x_m, target.y_m - eye.y_m)
    share = np.linspace(0.0, 1.0, math.ceil(length_m / 0.2) + 1)
    x_m, y_m = eye.x_m + (target.x_m - eye.x_m) * share, eye.y_m + (target.y_m - eye.y_m) * share
    line_m = eye.amsl_m + (target.amsl_m - eye.amsl_m) * share
    ground_m = surfaces.ground.ground(x_m, y_m)
    least_m = math.inf
    for screen in screens:
        inside = shapely.intersects_xy(screen.outline, x_m, y_m)
        top_m = screen.top_amsl_m if screen.over_ground_m is None else ground_m + screen.over_ground_m
        if inside.any():
            least_m = min(least_m, float((line_m - top_m)[inside].min()))
    return least_m, float((line_m - ground_m).min())


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_many_lines_and_one_line_agree_with_dense_points(seed):
    surfaces = world_of_screens(seed)
    ground = surfaces.ground
    generator = np.random.default_rng(seed + 50)
    eye = spot_above_ground(*generator.uniform(-100, 100, 2), 1.7, ground)
    x_m, y_m = generator.uniform(-500, 500, (2, 150))
    ground_m = ground.ground(x_m, y_m)
    targets = Targets(x_m, y_m, ground_m + generator.uniform(2, 60, 150), ground_m)
    fast = lines_to(Outlook.over(surfaces, EVERYWHERE), eye, targets, NO_CURVATURE)
    hidden = 0
    for k in range(len(targets)):
        target = Spot(*(float(axis[k]) for axis in attrs.astuple(targets, recurse=False)))
        exact = line_of_sight(surfaces, eye, target, NO_CURVATURE)
        over_m, bare_m = dense_clearance_m(surfaces, surfaces.screens, eye, target)
        unsure_m, _ = dense_clearance_m(surfaces, surfaces.unmeasured, eye, target)
        # Points 0.2 m apart miss a top's edge by a little.
        if min(abs(over_m), abs(unsure_m), abs(bare_m)) > 0.25:
            assert (exact.clear is False) == (min(over_m, bare_m) < 0.0)
            assert (exact.clear is None) == (min(over_m, bare_m) > 0.0 and unsure_m < 0.0)
        assert bool(fast.hidden[k]) is (exact.clear is False)
        assert bool(fast.unknown[k]) is (exact.clear is None)
        assert fast.spare_m[k] == pytest.approx(exact.spare_m, abs=fast.spare_doubt_m[k] + 0.01)
        if exact.behind is not None and over_m < bare_m - 0.5:
            hidden += 1
            assert surfaces.screens[fast.behind[k]] is exact.behind
            assert exact.clearance_m == pytest.approx(over_m, abs=0.25)
    assert hidden > 10


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 4),
    more=st.tuples(*[st.floats(-400, 400)] * 2, st.floats(1, 80), st.floats(1, 40), st.booleans()),
    unsure=st.booleans(),
)
def test_one_more_screen_never_makes_more_visible(seed, more, unsure):
    before = world_of_screens(seed, count=4)
    west, south, size_m, height_m, trees = more
    outline = shapely.box(west, south, west + size_m, south + size_m)
    top_m = highest_under(before.ground, outline) + height_m
    screen = Screen(outline, top_m, height_m if trees else None)
    field = "unmeasured" if unsure else "screens"
    after = attrs.evolve(before, **{field: (*getattr(before, field), screen)})
    eye = spot_above_ground(10.0, -20.0, 1.7, before.ground)
    angle = np.linspace(0.0, 2 * np.pi, 60)
    x_m, y_m = 450.0 * np.cos(angle), 450.0 * np.sin(angle)
    ground_m = before.ground.ground(x_m, y_m)
    targets = Targets(x_m, y_m, ground_m + 20.0, ground_m)
    less, more_lines = (lines_to(Outlook.over(one, EVERYWHERE), eye, targets) for one in (before, after))
    assert (more_lines.hidden >= less.hidden).all()
    seen = [~(lines.hidden | lines.unknown) for lines in (less, more_lines)]
    assert (seen[1] <= seen[0]).all()
    assert (more_lines.spare_m <= less.spare_m + 1e-9).all()


def test_the_search_for_places_looks_round_buildings():
    surfaces = surfaces_with_screens(FLAT, [attrs.evolve(BARN, height_m=20.0)], (), EVERYWHERE)
    window = window_over(surfaces.ground, EVERYWHERE)
    eyes = Eyes(np.array([0.0, 0.0, 200.0]), np.array([0.0, 200.0, 0.0]), np.full(3, 1.7))
    point = (300.0, 0.0, 10.0)
    assert who_sees(window, eyes, point, 5.0).all()
    assert who_sees(raised(FLAT, window, surfaces.screens), eyes, point, 5.0).tolist() == [False, True, True]
