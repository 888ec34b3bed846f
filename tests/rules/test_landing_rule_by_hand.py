"""What comes to the ground before its action on lost link begins: a landing, a way down to one, or a crash.

Sources: a sample at height h that sinks v for the delay t lies h - v t over level ground (geometry, by hand,
beside each row); v is the leg's speed times its fall over its length. That who lands comes down where the
flight lands, no faster than one lands, and that whoever comes in faster slows down before, is common
practice; how near and how fast are our own choices.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, at, box, plan, points, terrain, volume, world

DOWN = ("On lost link it touches down with way on", "On lost link it lands short or long")
LANDS, TOLD = "lands", "told"
QUAD, WING = AircraftForm.ROTORCRAFT, AircraftForm.FIXED_WING
RETURN, LAND, HOLD = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.HOLD
EVERY = (RETURN, LAND, HOLD)
OUT = [(0, 5, 2.0), (0, 5, 60.0), (-300, 5, 60.0)]
"""Up on the spot and out to the west; from there the rows come in along y = 5 m over the launch point."""
WING_OUT = [(20, 0, 3.0), (305, 0, 60.0), (305, 200, 60.0), (-380, 200, 60.0), (-380, 0, 60.0)]


def came_to(stops, mps, delay_s, *, form=QUAD, action=RETURN, relief=None, house=None):
    """What it comes to, and the figure that goes with it: depth of a crash [m], or speed of a touch [m/s].

    `mps` are the speeds of the last legs, the others are flown at 10 m/s; None: nobody says one.
    """
    height = AboveLaunch(100.0) if action is RETURN else None
    loss = LinkLoss(action, delay_s, height, True, True, 14.0, 4.0, 2.0)
    able = Performance(cruise_mps=15.0)
    craft = attrs.evolve(plan().aircraft, form=form, link_loss=loss, performance=able)
    speeds = [10.0] * (len(stops) - 1 - len(mps)) + [*mps, 10.0]
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed))
        for one, speed in zip(points(stops, LegShape.STRAIGHT), speeds, strict=True)
    )
    ground = terrain(relief, cell_m=10.0, cells=301) if relief else terrain()
    spot = GroundSpot(at(0, 5), LandStatus.OWN)
    beneath = () if house is None else (house,)
    flown = plan(aircraft=craft, path=path, launch=spot, landing=spot, beneath=beneath)
    answer = assess(flown, world(terrain=ground))
    stop = next((one for one in answer.findings if one.rule == "link-loss-too-low"), None)
    if stop is not None:
        return "stop", stop.numbers["clearance_m"]
    act = next((one for one in answer.findings if one.title in DOWN), None)
    return (TOLD, act.numbers["speed_mps"]) if act is not None else (LANDS, None)


def sink_mps(speed_mps, flat_m, fall_m):
    return speed_mps * fall_m / np.hypot(flat_m, fall_m)


# ---- on level ground: what it does there is no landing


@pytest.mark.parametrize("action", EVERY)
@pytest.mark.parametrize("speed_mps", [8.0, 15.0, 20.0, None])
def test_a_dive_over_ones_own_feet_and_up_again_is_no_landing(action, speed_mps):
    """58.5 m down along 250 m to 1.5 m over the launch point, 1.5 s: 8 m/s sink 1.8 and end 1.2 m deep."""
    stops = [*OUT[:2], (-250, 5, 60.0), (0, 5, 1.5), (250, 5, 20.0), (0, 12, 30.0), (0, 5, 30.0), (0, 5, 2.0)]
    kind, clearance_m = came_to(stops, (speed_mps, speed_mps, speed_mps, 2.0, 2.0), 1.5, action=action)
    assert kind == "stop"
    if speed_mps is not None:
        assert clearance_m == pytest.approx(1.5 - 1.5 * sink_mps(speed_mps, 250.0, 58.5), abs=0.15)


@pytest.mark.parametrize("action", EVERY)
@pytest.mark.parametrize(("low_m", "speed_mps"), [(1.0, 16.0), (1.5, 22.0), (3.0, 22.0)])
def test_a_wings_low_pass_is_no_landing(action, low_m, speed_mps):
    """30 m down along 310 m sink 1.5 m/s at 16, 2.1 at 22: 1, 1.5 and 3 m up it is down within 1.5 s."""
    stops = [*WING_OUT[:-1], (-300, 0, low_m + 30.0), (10, 0, low_m), (300, 0, 40.0), (300, 80, 40.0)]
    stops += [(0, 160, 30.0), (-150, 100, 20.0), (-150, 0, 11.0), (-20, 0, 3.0)]
    mps = (speed_mps, speed_mps, *[16.0] * 6)
    kind, clearance_m = came_to(stops, mps, 2.0, form=WING, action=action)
    assert kind == "stop"
    assert clearance_m == pytest.approx(low_m - 2.0 * sink_mps(speed_mps, 310.0, 30.0), abs=0.15)


# ---- on level ground: landings


@pytest.mark.parametrize("action", EVERY)
@pytest.mark.parametrize("delay_s", [1.0, 3.0])
@pytest.mark.parametrize(
    ("from_m", "high_m", "end_m", "speed_mps", "comes_to"),
    [
        # Straight down, or within 6 m/s and 3 m/s down: one lands so.
        (0, 40.0, 2.0, 1.5, LANDS),
        (0, 40.0, 0.5, 3.0, LANDS),
        (60, 20.0, 0.5, 4.0, LANDS),
        # Nobody says how fast: slower than anybody would crash.
        (60, 20.0, 2.0, None, LANDS),
        (100, 15.0, 0.5, None, LANDS),
        # 14.5 m along 100 m at 8 and 12 m/s sink 1.2 and 1.7: they touch as fast as they fly.
        (100, 15.0, 0.5, 8.0, TOLD),
        (100, 15.0, 0.5, 12.0, TOLD),
    ],
)
def test_a_landing_on_level_ground(action, delay_s, from_m, high_m, end_m, speed_mps, comes_to):
    stops = [*OUT, (-from_m, 5, high_m), (0, 5, end_m)]
    kind, figure = came_to(stops, (speed_mps,), delay_s, action=action)
    assert kind == comes_to
    if kind is TOLD:
        along_mps = speed_mps * from_m / np.hypot(from_m, high_m - end_m)
        assert figure == pytest.approx(along_mps, abs=0.05)


@pytest.mark.parametrize("action", EVERY)
def test_who_comes_down_steep_and_fast_crashes(action):
    """19.5 m along 60 m at 12 m/s sink 3.7 m/s: 0.5 m up, 1 s makes 3.2 m deep."""
    kind, clearance_m = came_to([*OUT, (-60, 5, 20.0), (0, 5, 0.5)], (12.0,), 1.0, action=action)
    assert kind == "stop"
    assert clearance_m == pytest.approx(0.5 - sink_mps(12.0, 60.0, 19.5), abs=0.1)


@pytest.mark.parametrize("action", [RETURN, LAND])
@pytest.mark.parametrize("delay_s", [1.0, 2.0, 3.0])
@pytest.mark.parametrize(
    ("flare_m", "low_m", "end_m"),
    [(60, 3.0, 0.5), (40, 3.0, 1.0), (20, 2.0, 1.0), (80, 5.0, 1.0), (30, 4.0, 1.0)],
)
def test_a_wing_lands_in_one_leg_or_with_a_flare(action, delay_s, flare_m, low_m, end_m):
    """12 m up 150 m out: down to the flare at 14 m/s no more than 1.5 m/s, then less."""
    stops = [*WING_OUT, (-150, 5, 12.0), (-flare_m, 5, low_m), (0, 5, end_m)]
    assert came_to(stops, (14.0, 14.0, 12.0), delay_s, form=WING, action=action) == (LANDS, None)
    assert came_to([*stops[:-2], (0, 5, end_m)], (14.0, 14.0), delay_s, form=WING, action=action)[0] is LANDS


@pytest.mark.parametrize("delay_s", [1.5, 2.5])
@pytest.mark.parametrize(
    ("speed_mps", "from_m", "high_m", "comes_to"),
    [(8.0, 100, 20.0, TOLD), (10.0, 150, 20.0, TOLD), (12.0, 200, 40.0, TOLD), (None, 100, 20.0, LANDS)],
)
def test_a_quad_comes_in_and_ends_slowly(delay_s, speed_mps, from_m, high_m, comes_to):
    """To 3 m up 8 m before the point, then down to 2 m at 1.5 m/s: lost before, it is down 16 m on at 12."""
    stops = [*OUT, (-from_m, 5, high_m), (-8, 5, 3.0), (0, 5, 2.0)]
    kind, figure = came_to(stops, (speed_mps, None if speed_mps is None else 1.5), delay_s)
    # 3 m up, and sinking 1.5, 1.2 or 2.3 m/s: at 8 and 10 m/s 1.5 s are no touch.
    touches = speed_mps is None or delay_s * sink_mps(speed_mps, from_m - 8, high_m - 3.0) > 3.0
    assert kind == (comes_to if touches else LANDS)
    if kind is TOLD:
        assert figure == pytest.approx(speed_mps * np.cos(np.arctan2(high_m - 3.0, from_m - 8)), abs=0.05)


# ---- what lies beyond or behind


def rock(foot_m, per_m):
    return lambda east, _north: GROUND_M + np.minimum(np.maximum(east - foot_m, 0.0) * per_m, 80.0)


@pytest.mark.parametrize("action", [RETURN, LAND])
@pytest.mark.parametrize(("foot_m", "per_m"), [(20.0, 8.0), (20.0, 2.0), (10.0, 1.0)])
@pytest.mark.parametrize("speed_mps", [15.0, 25.0])
def test_rock_beyond_the_landing_point_is_struck(action, foot_m, per_m, speed_mps):
    """The last leg ends 30 m over the point; in 2.5 s it comes 37 or 62 m on, into 27 m of rock and more."""
    stops = [*OUT, (0, 5, 30.0)]
    kind, clearance_m = came_to(stops, (speed_mps,), 2.5, action=action, relief=rock(foot_m, per_m))
    assert kind == "stop"
    along_mps = speed_mps * 300.0 / np.hypot(300.0, 30.0)
    rock_m = np.minimum((2.5 * along_mps - foot_m) * per_m, 80.0)
    assert clearance_m == pytest.approx(30.0 - 2.5 * along_mps / 10.0 - rock_m, abs=1.0)
    assert came_to(stops, (speed_mps,), 2.5, action=action) == (LANDS, None)


@pytest.mark.parametrize("speed_mps", [3.0, 10.0, None])
@pytest.mark.parametrize(("behind_m", "struck"), [(3.0, True), (6.0, True), (15.0, False), (30.0, False)])
def test_a_house_behind_the_landing_point(speed_mps, behind_m, struck):
    """15 m and more behind it the ground comes first: from 2 m up within 2 m over 1.3 m/s, 13 m on at 10."""
    corners = ((-behind_m - 8, -10), (-behind_m, -10), (-behind_m, 20), (-behind_m - 8, 20))
    house = BeneathItem(
        BeneathKind.BUILDING, DrawnAs.AREA, tuple(at(*one) for one in corners), "house", None, 5.0
    )
    stops = [(0, 5, 2.0), (0, 5, 40.0), (300, 5, 40.0), (120, 5, 20.0), (0, 5, 2.0)]
    kind, _ = came_to(stops, (speed_mps,), 2.5, house=house)
    assert kind == ("stop" if struck else TOLD if speed_mps == 10.0 else LANDS)


@pytest.mark.parametrize("per_m", [0.1, 0.3, -0.1, -0.3])
@pytest.mark.parametrize("speed_mps", [None, 3.0])
def test_a_slow_landing_on_a_slope(per_m, speed_mps):
    stops = [(2, 5, 2.0), (2, 5, 40.0), (200, 40, 40.0), (40, 5, 20.0), (2, 5, 2.0)]
    came = came_to(stops, (speed_mps,), 1.5, action=LAND, relief=lambda x, _y: GROUND_M + per_m * x)
    assert came == (LANDS, None)


# ---- a way down is one that leads straight to its end


@pytest.mark.parametrize("action", EVERY)
@pytest.mark.parametrize("speed_mps", [12.0, None])
def test_a_low_pass_on_a_path_that_never_climbs_again_is_no_landing(action, speed_mps):
    """27.5 m down along 250 m at 12 m/s sink 1.3: 2.5 m over the launch point 3 s make 1.4 m deep.

    Then out, round and back no higher, to land there: 315 m farther on.
    """
    stops = [*OUT, (-250, 5, 30.0), (0, 5, 2.5), (150, 5, 2.0), (150, 40, 1.6), (0, 5, 1.0), (0, 5, 0.5)]
    kind, clearance_m = came_to(stops, (*[speed_mps] * 4, 1.5), 3.0, action=action)
    assert kind == "stop"
    along_mps = speed_mps * 250.0 / np.hypot(250.0, 27.5) if speed_mps else 15.0
    assert clearance_m == pytest.approx(2.5 - 3.0 * along_mps * 0.11, abs=0.15)


@pytest.mark.parametrize(("along_m", "comes_to"), [(40.0, "stop"), (0.0, LANDS)])
def test_in_the_middle_of_a_path_only_what_settles_lands(along_m, comes_to):
    """5 m/s along 40 m from 9 m to 1 m over the launch point sink 1.0, straight down 1.5; then up again."""
    stops = [*OUT, (-along_m, 5, 9.0), (0, 5, 1.0), (0, 5, 30.0), (0, 5, 0.5)]
    kind, clearance_m = came_to(stops, (5.0 if along_m else 1.5, 2.0, 1.5), 1.5)
    assert kind == comes_to
    if along_m:
        assert clearance_m == pytest.approx(1.0 - 1.5 * sink_mps(5.0, 40.0, 8.0), abs=0.1)


@pytest.mark.parametrize(
    ("stops", "mps", "delay_s", "touches_mps"),
    [
        # 18 m down along 80 m at 8 m/s sink 1.76: 2 m up it is down 8.9 m on, 11 m short; then level.
        ([(-100, 5, 20.0), (-20, 5, 2.0), (0, 5, 2.0), (0, 5, 0.5)], (8.0, 8.0, 1.5), 1.5, 7.8),
        # 17 m along 70 m at 10 m/s sink 2.4: 3 m up it is down 12 m on, 18 m short; then flatter.
        ([(-100, 5, 20.0), (-30, 5, 3.0), (0, 5, 0.5)], (10.0, 6.0), 2.0, 9.7),
        # Straight down 2 m/s to 2 m, 30 m before it lands: there it lands on level ground, 2 m/s and no more.
        ([(-30, 5, 20.0), (-30, 5, 2.0), (0, 5, 1.5)], (2.0, 3.0), 2.0, 0.0),
    ],
)
def test_who_touches_the_ground_short_of_it_is_told(stops, mps, delay_s, touches_mps):
    kind, figure = came_to([*OUT, *stops], mps, delay_s)
    assert kind == TOLD
    assert figure == pytest.approx(touches_mps, abs=0.1)
    if touches_mps > 6.0:
        assert came_to([*OUT, *stops], [None] * len(mps), delay_s) == (LANDS, None)


# ---- slopes


@pytest.mark.parametrize("action", [RETURN, LAND])
@pytest.mark.parametrize(("foot_m", "per_m"), [(10.0, 0.5), (16.0, 8.0)])
def test_who_flies_fast_into_a_slope_crashes_low_on_it_too(action, foot_m, per_m):
    """30 m down along 300 m at 25 m/s sink 2.5: 2 m up it is down 20 m on; the slope comes first."""
    stops = [*OUT[:2], (-300, 5, 32.0), (0, 5, 2.0)]
    kind, _ = came_to(stops, (25.0,), 2.5, action=action, relief=rock(foot_m, per_m))
    assert kind == "stop"
    assert came_to(stops, (25.0,), 2.5, action=action)[0] is TOLD


def test_a_way_up_a_slope_is_a_way_down_to_its_ground():
    """10 m up 100 m before it, 2 m up at it, on ground that rises 1 in 10: 0.64 m/s nearer to it at 8 m/s."""
    stops = [*OUT[:2], (-250, 5, 30.0), (-100, 5, 10.0), (0, 5, 2.0)]
    kind, figure = came_to(stops, (8.0,), 4.0, relief=lambda x, _y: GROUND_M + 0.1 * x)
    assert (kind, figure) == (TOLD, pytest.approx(8.0, abs=0.1))
    assert came_to(stops, (8.0,), 2.5, relief=lambda x, _y: GROUND_M + 0.1 * x) == (LANDS, None)


@pytest.mark.parametrize("speed_mps", [6.0, 8.0, 12.0, 18.0, 22.0])
def test_nobody_lands_up_a_steep_hillside_the_faster_the_gentler(speed_mps):
    """Ground rises 1 in 1; from 30 m over it 40 m out to 2 m: it nears the ground by 28 m in 40.

    At 6 m/s along that is 4.2 m/s, at 22 m/s 15: no landing at any of them.
    """
    stops = [*OUT[:2], (-40, 60, 30.0), (-40, 5, 30.0), (0, 5, 2.0)]
    kind, _ = came_to(stops, (speed_mps,), 2.0, action=LAND, relief=lambda x, _y: GROUND_M + x)
    assert kind == "stop"


@pytest.mark.parametrize(("speed_mps", "comes_to"), [(9.0, TOLD), (11.0, "stop"), (15.0, "stop")])
def test_up_a_hillside_it_may_near_the_ground_as_flown_no_faster_than_4_5_mps(speed_mps, comes_to):
    """Ground rises 6 in 10; from 20 m over it 40 m out to 2 m it nears the ground by 18 m in 40.

    At 6 m/s along that is 2.7 m/s, at 9 m/s 4, at 11 m/s 4.9, at 15 m/s 6.7.
    """
    stops = [*OUT[:2], (-40, 60, 20.0), (-40, 5, 20.0), (0, 5, 2.0)]
    kind, _ = came_to(stops, (speed_mps,), 2.0, action=LAND, relief=lambda x, _y: GROUND_M + 0.6 * x)
    assert kind == comes_to


def test_down_a_slope_it_sinks_over_the_sea_and_less_over_its_ground():
    """34.5 m along 100 m at 12 m/s sink 3.9 m/s; its ground falls 1 in 5 with it, 1.2 m/s at 6 m/s."""
    stops = [*OUT[:2], (-100, 60, 40.0), (-100, 5, 15.0), (0, 5, 0.5)]
    kind, figure = came_to(stops, (12.0,), 1.5, action=LAND, relief=lambda x, _y: GROUND_M - 0.2 * x)
    assert (kind, figure) == (TOLD, pytest.approx(12.0 * 100.0 / np.hypot(100.0, 34.5), abs=0.1))


@pytest.mark.parametrize("action", [LAND, HOLD, LinkLossAction.DROP])
@pytest.mark.parametrize(("beyond_m", "stops"), [(14.0, []), (3.0, ["link-loss-comes-through"])])
def test_what_has_come_down_flies_on_no_farther_in_any_wind(action, beyond_m, stops):
    """From 20 m up 100 m out to 2 m over the launch point it sinks 1.8 m in 10: 2 m more are 11 m beyond.

    In 3 s of delay it would come to 30 m beyond. Closed airspace behind that is none of its way.
    """
    shut = volume(AirspaceKind.RESTRICTED, box(beyond_m, -300, 300, 300), name="SHUT")
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(action, 3.0))
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=10.0))
        for one in points([(0, 0, 2.0), (-100, 0, 20.0), (0, 0, 2.0)], LegShape.STRAIGHT)
    )
    answer = assess(plan(aircraft=craft, path=path), world(airspace=(shut,)))
    assert [one.rule for one in answer.findings if one.rule.startswith("link-loss-comes")] == stops


@pytest.mark.parametrize("speed_mps", [None, 15.0])
def test_a_speed_that_nobody_said_is_named_where_it_decides(speed_mps):
    """A dive to 1.5 m in mid path, into the ground; without a leg's speed that of cruise stands for it."""
    craft = attrs.evolve(
        plan().aircraft, link_loss=LinkLoss(LAND, 1.5), performance=Performance(cruise_mps=15.0)
    )
    stops = [(0, 5, 2.0), (0, 5, 60.0), (-300, 5, 60.0), (-100, 5, 1.5), (100, 5, 30.0)]
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps))
        for one in points(stops, LegShape.STRAIGHT)
    )
    answer = assess(plan(aircraft=craft, path=path), world())
    (stop,) = [one for one in answer.findings if one.rule == "link-loss-too-low"]
    assert ("How fast the leg is flown is not said" in stop.message) == (speed_mps is None)
    assert stop.remedy.startswith("say how fast the leg is flown") == (speed_mps is None)
