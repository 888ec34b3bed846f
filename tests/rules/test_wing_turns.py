"""How wide a wing turns: r = v^2 / (g tan bank), textbooks of aerodynamics; 30 degrees are an own choice.

16 m/s: 256 / (9.80665 x 0.57735) = 45.2 m (148.3 ft). What is open and what an act is own rule (issue 6).
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.flight.turning import swing_m, swung_over, turn_radius_m, turned_rad
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction, OverPeople
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, people
from tests.rules.test_on_the_way import mast

RADIUS_M = 16.0**2 / (9.80665 * math.tan(math.radians(30.0)))
BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(60.0), True, True, 16.0, 3.0, 2.0)


def judged(*beneath, stops=((0, 0), (0, 400), (400, 400)), form=AircraftForm.FIXED_WING, loss=None, mps=16.0,
           wind=None, structures=(), ground=None, **changes):  # fmt: skip
    """To the north, then to the east, 40 m up unless a stop says otherwise."""
    path = worlds.points([(*one, 40.0)[:3] for one in stops])
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=mps)) for one in path)
    spot = GroundSpot(worlds.at(*changes.pop("home", (0, -600))))
    weather = None if wind is None else PlannedWeather(wind=TypedWind(wind, 0.0, law=WindLaw.NONE))
    plan = worlds.plan(path=path, launch=spot, landing=spot, weather=weather, beneath=beneath, **changes)
    able = Performance(cruise_mps=mps, highest_mps=30.0)
    craft = attrs.evolve(
        plan.aircraft, form=form, link_loss=loss, performance=able, over_people=OverPeople.NONE
    )
    world = worlds.world() if ground is None else worlds.world(terrain=ground)
    world = attrs.evolve(world, structures=tuple(structures))
    return assess(attrs.evolve(plan, aircraft=craft), world)


def test_radius_and_swing_by_hand():
    assert turn_radius_m(16.0) == pytest.approx(RADIUS_M) == pytest.approx(45.2, abs=0.05)
    x_m, y_m = np.array([0.0, 0.0, 400.0, 0.0]), np.array([0.0, 400.0, 400.0, 400.0])
    turned = turned_rad(x_m, y_m)
    assert np.degrees(turned) == pytest.approx([-90.0, -180.0])
    out = swing_m(turned, np.array([400.0, 400.0, 400.0]), np.full(2, RADIUS_M))
    assert out == pytest.approx([RADIUS_M, 2 * RADIUS_M])


def test_an_orbit_too_tight_for_it_is_many_small_corners():
    """24 corners of 15 degrees about 20 m: each swings 1.5 m out, all together it can't be flown."""
    turns = np.radians(np.arange(0.0, 361.0, 15.0))
    for radius_m, wide in ((20.0, True), (60.0, False)):
        x_m, y_m = radius_m * np.cos(turns), radius_m * np.sin(turns)
        legs_m = np.hypot(np.diff(x_m), np.diff(y_m))
        out = swing_m(turned_rad(x_m, y_m), legs_m, np.full(len(turns) - 2, RADIUS_M))
        assert bool(out.max() > 7.2) is wide


def test_what_it_comes_over_holds_the_arc_that_is_flown():
    """The circle of the turn, by hand: centre r to the right of where a turn to the right begins."""
    outside = swung_over((0.0, 0.0), math.pi / 2, -math.pi / 2, RADIUS_M)
    for angle in np.linspace(0.0, math.pi / 2, 7):
        spot = shapely.Point(RADIUS_M * (1 - math.cos(angle)), RADIUS_M * math.sin(angle))
        assert outside.distance(spot) < 0.1
    assert not outside.contains(shapely.Point(-5.0, 10.0))


@pytest.mark.parametrize(
    ("changes", "mark"),
    [
        ({}, Mark.ACT),
        ({"form": AircraftForm.ROTORCRAFT}, None),
        # 20 degrees: 2.7 m.
        ({"stops": ((0, 0), (0, 400), (146, 800))}, None),
        ({"stops": ((0, 0), (0, 400))}, None),
        # 6 m/s: 6.4 m, no more than its place is known.
        ({"mps": 6.0}, None),
    ],
)
def test_a_corner_that_a_wing_can_not_fly_is_told(changes, mark):
    found = finding(judged(**changes), "wing-turns-wider")
    assert (found.mark if found else None) is mark
    if found:
        assert (
            "turn by 90 degrees at 31.1 kt: banked 30 degrees it turns in a radius of 149 ft" in found.message
        )


def test_people_where_it_swings_out_leave_the_answer_open():
    beyond = judged(people(50.0, 440.0))
    found = finding(beyond, "wing-turns-wider")
    assert (found.mark, "There: " in found.message) == (Mark.UNKNOWN, True)
    inside = finding(judged(people(60.0, 340.0)), "wing-turns-wider")
    assert inside.mark is Mark.ACT


@pytest.mark.parametrize(
    ("away_m", "wind", "open_"), [(40.0, None, True), (60.0, None, False), (90.0, 8.0, True)]
)
def test_who_is_within_its_circle_at_home_is_circled_over(away_m, wind, open_):
    """In 8 m/s of wind 24 m/s over ground: 101.7 m."""
    found = finding(judged(people(0.0, -600.0 - away_m), loss=BACK, wind=wind), "link-loss-circles")
    assert (found is not None and found.mark is Mark.UNKNOWN) is open_
    if wind is None and found:
        assert "in a radius of 149 ft" in found.message
    copter = judged(people(0.0, -640.0), loss=BACK, form=AircraftForm.ROTORCRAFT)
    assert finding(copter, "link-loss-circles") is None
    stays = judged(people(0.0, -640.0), loss=attrs.evolve(BACK, action=LinkLossAction.LAND, height=None))
    assert finding(stays, "link-loss-circles") is None


@pytest.mark.parametrize(("height_m", "open_"), [(61.0, True), (55.0, False)])
def test_what_stands_higher_within_it_than_it_comes_home_is_met(height_m, open_):
    tower = attrs.evolve(mast(height_m=height_m), place=worlds.at(0.0, -640.0))
    found = finding(judged(loss=BACK, structures=[tower]), "link-loss-circles")
    assert (found is not None) is open_
    if found:
        assert (found.mark, "it may hit mast" in found.message) == (Mark.UNKNOWN, True)


# ---- what stands where it swings out, and where it turns round when its link is lost


@pytest.mark.parametrize(
    ("east_m", "north_m", "height_m", "open_"),
    [(45.0, 442.0, 60.0, True), (45.0, 442.0, 30.0, False), (-30.0, 400.0, 60.0, False)],
)
def test_a_mast_where_it_swings_out_leaves_the_answer_open(east_m, north_m, height_m, open_):
    """The turn to the right ends 45 m east and 45 m north of the corner; it is flown 40 m up."""
    tower = attrs.evolve(mast(height_m=height_m), place=worlds.at(east_m, north_m))
    found = finding(judged(structures=[tower]), "wing-turns-wider")
    assert found.mark is (Mark.UNKNOWN if open_ else Mark.ACT)
    assert ("it may hit mast" in found.message) is open_


@pytest.mark.parametrize(("from_m", "open_"), [(430.0, True), (470.0, False)])
def test_rising_ground_where_it_swings_out_does_so_too(from_m, open_):
    hill = worlds.terrain(lambda e, n: worlds.GROUND_M + np.where(n > from_m, 60.0, 0.0), cell_m=5.0)
    found = finding(judged(ground=hill), "wing-turns-wider")
    assert ("it may hit the ground" in found.message) is open_


def test_how_fast_nobody_says_is_as_fast_as_it_may_be():
    """30 m/s: 900 / (9.80665 x 0.57735) = 159.0 m (521.5 ft)."""
    found = finding(judged(mps=None), "wing-turns-wider")
    assert "in a radius of 522 ft" in found.message


STRAIGHT = ((0, -500), (0, 400))
LEVEL = attrs.evolve(BACK, height=AboveLaunch(40.0))


@pytest.mark.parametrize(
    ("away_m", "loss", "open_"),
    [
        # It turns round: two radii are 90.5 m.
        (85.0, LEVEL, True),
        (105.0, LEVEL, False),
        (85.0, BACK, True),
        (85.0, attrs.evolve(BACK, action=LinkLossAction.LAND, height=None), False),
    ],
)
def test_who_is_within_two_radii_beside_where_its_link_is_lost_is_circled_over(away_m, loss, open_):
    answer = judged(people(away_m, 0.0), stops=STRAIGHT, loss=loss)
    found = finding(answer, "link-loss-no-room")
    assert (found is not None and found.mark is Mark.UNKNOWN) is open_
    copter = judged(people(away_m, 0.0), stops=STRAIGHT, loss=loss, form=AircraftForm.ROTORCRAFT)
    assert finding(copter, "link-loss-no-room") is None


@pytest.mark.parametrize(("loss", "open_"), [(LEVEL, False), (BACK, True)])
def test_toward_home_it_goes_on_straight_unless_it_climbs(loss, open_):
    """The path leads home: nothing to turn, but a climb to 60 m in circles."""
    answer = judged(people(80.0, 0.0), stops=((0, 400), (0, -500)), loss=loss)
    found = finding(answer, "link-loss-no-room")
    assert (found is not None) is open_


@pytest.mark.parametrize(("wide_m", "open_"), [(42.0, True), (115.0, False)])
def test_a_canyon_too_narrow_to_turn_in_leaves_the_answer_open(wide_m, open_):
    """Its return at 100 m clears the walls of 80 m, its circle of 45 m to either side does not."""
    walls = worlds.terrain(
        lambda e, n: worlds.GROUND_M + np.where((np.abs(e) > wide_m) & (n > -450.0), 80.0, 0.0), cell_m=5.0
    )
    high = attrs.evolve(BACK, height=AboveLaunch(100.0))
    found = finding(judged(stops=((0, -200), (0, 300)), loss=high, ground=walls), "link-loss-no-room")
    assert (found is not None) is open_
    if found:
        assert (found.mark, "it may hit the ground" in found.message) == (Mark.UNKNOWN, True)


@pytest.mark.parametrize(("height_m", "open_"), [(45.0, True), (35.0, False)])
def test_what_stands_beside_it_counts_where_it_is_as_high(height_m, open_):
    tower = attrs.evolve(mast(height_m=height_m), place=worlds.at(60.0, 0.0))
    found = finding(judged(stops=STRAIGHT, loss=LEVEL, structures=[tower]), "link-loss-no-room")
    assert (found is not None) is open_


def test_of_a_flying_area_it_is_asked_all_about_its_places():
    drawn = worlds.area(worlds.box(-50, -50, 50, 50), AboveGround(40.0))
    near, far = (
        finding(judged(people(*at), stops=(), area=drawn, loss=BACK), "link-loss-no-room")
        for at in ((130.0, 0.0), (160.0, 0.0))
    )
    assert near.mark is Mark.UNKNOWN
    assert "Lost in the area it turns" in near.message
    assert far is None


# ---- low because it takes off or lands there, and low in an area


def climbs(*beneath, up_m=2.0, landing=False, rises=0.1, climb_mps=None, **changes):
    """Straight out from where it takes off, or in to where it lands, on a meadow that rises to the east.

    How fast its return climbs nobody said, unless a test does.
    """
    stops = ((0.0, -590.0, up_m), (0.0, -290.0, 60.0))
    meadow = worlds.terrain(lambda e, n: worlds.GROUND_M + rises * e, cell_m=10.0)
    return judged(
        *beneath,
        stops=stops[::-1] if landing else stops,
        loss=attrs.evolve(BACK, climb_mps=climb_mps),
        ground=meadow,
        mps=16.0,
        **changes,
    )


@pytest.mark.parametrize("landing", [False, True])
@pytest.mark.parametrize(
    ("up_m", "rises", "mark"),
    [
        # Two radii of 45.2 m and a tenth of it: the ground is 9 m higher there.
        (2.0, 0.1, Mark.ACT),
        (5.0, 0.1, Mark.ACT),
        (15.0, 0.1, None),
        (2.0, 0.0, None),
        # 32 m higher: that is no meadow.
        (2.0, 0.35, Mark.UNKNOWN),
    ],
)
def test_low_on_a_sloping_meadow_where_it_takes_off_or_lands_it_is_told(up_m, rises, mark, landing):
    """Nobody takes off higher (common practice); 10 m are our own rule."""
    found = finding(climbs(up_m=up_m, landing=landing, rises=rises), "link-loss-no-room")
    assert (found.mark if found else None) is mark
    if found:
        as_low = "Just off the ground, or about to land," if mark is Mark.ACT else "As low as it is there"
        assert f" {as_low} it may hit the ground." in found.message


@pytest.mark.parametrize("landing", [False, True])
def test_a_return_that_is_said_to_climb_faster_than_the_meadow_passes_over_it(landing):
    """3 m/s at 16 m/s are 19 m on each 100 m, from the first of its turns: more than a tenth."""
    assert finding(climbs(landing=landing, climb_mps=3.0), "link-loss-no-room") is None
    assert (
        finding(climbs(landing=landing, rises=0.35, climb_mps=3.0), "link-loss-no-room").mark is Mark.UNKNOWN
    )


def test_people_within_its_circle_where_it_takes_off_leave_the_answer_open_all_the_same():
    found = finding(climbs(people(60.0, -500.0)), "link-loss-no-room")
    assert found.mark is Mark.UNKNOWN


def test_as_low_far_from_there_it_leaves_the_answer_open():
    assert finding(climbs(home=(0, -1200)), "link-loss-no-room").mark is Mark.UNKNOWN


def test_in_an_area_on_a_slope_its_top_is_asked_and_what_is_not_is_told():
    """Low in it any rising ground is in the way (issue 6: an area is judged for its top)."""
    slope = worlds.terrain(lambda e, n: worlds.GROUND_M + 0.05 * e, cell_m=10.0)
    drawn = worlds.area(worlds.box(-100, -500, 100, -300), AboveGround(40.0))
    wing, copter = (
        judged(stops=(), area=drawn, loss=BACK, ground=slope, form=form)
        for form in (AircraftForm.FIXED_WING, AircraftForm.ROTORCRAFT)
    )
    assert finding(wing, "link-loss-no-room") is None
    told = [
        any("its room is checked at the area's top" in line for line in one.not_known)
        for one in (wing, copter)
    ]
    assert told == [True, False]
