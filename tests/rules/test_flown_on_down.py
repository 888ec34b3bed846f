"""What flies on as it flew until its action begins, on a way that comes down.

Sources: the delay times the speed as drawn (geometry, by hand); what the band of uncertainty is made of is
our own rule, as for the path; a landing that is flown to its end is what the program itself asks for.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction, Performance, Readout, ReadoutSource
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from tests.worlds import GROUND_M, at, plan, points, terrain, world

OWN = LandStatus.OWN
ACTIONS = [LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD]


def judged(stops, speed_mps, delay_s, action=LinkLossAction.RETURN_FIXED, launch=(0, 0), **given):
    height = AboveLaunch(40.0) if action is LinkLossAction.RETURN_FIXED else None
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=LinkLoss(action, delay_s, height),
        readout=Readout(ReadoutSource.BAROMETER, error_m=1.0),
        form=given.get("form", AircraftForm.ROTORCRAFT),
        performance=Performance(highest_mps=given.get("highest_mps")),
    )
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps))
        for one in points(stops, LegShape.STRAIGHT)
    )
    flown = plan(
        aircraft=craft, path=path, launch=GroundSpot(at(*launch), OWN), landing=GroundSpot(at(*launch), OWN)
    )
    return assess(flown, given.get("world") or world(terrain=terrain(vertical_uncertainty_m=0.0)))


def found(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize(("end_m", "sink_mps"), [(5.0, 3.0), (3.0, 2.0), (1.0, 1.0), (2.0, 2.0)])
def test_straight_down_where_it_took_off_is_a_landing(action, end_m, sink_mps):
    stops = [(0, 0, end_m), (0, 0, 24.0), (60, 60, 24.0), (0, 0, 24.0), (0, 0, end_m)]
    assert not found(judged(stops, sink_mps, 1.5, action), "link-loss-too-low")


LANDINGS_OF_UNSAID_SPEED = {
    "straight down": [(0, 0, 2.0), (0, 0, 24.0), (60, 60, 24.0), (0, 0, 24.0), (0, 0, 2.0)],
    "down a last leg": [(0, 0, 2.0), (0, 0, 24.0), (60, 60, 24.0), (0, 0, 0.0)],
    "steeply": [(0, 0, 2.0), (0, 0, 24.0), (20, 0, 24.0), (0, 0, 1.0)],
}


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize("way", LANDINGS_OF_UNSAID_SPEED)
@pytest.mark.parametrize("highest_mps", [None, 30.0])
def test_a_landing_whose_speed_nobody_said_is_no_crash_at_the_speed_assumed(action, way, highest_mps):
    """10 m/s, or the speed of cruise, is what legs are timed at; nobody lands so (own choice)."""
    answer = judged(LANDINGS_OF_UNSAID_SPEED[way], None, 2.0, action, highest_mps=highest_mps)
    assert not found(answer, "link-loss-too-low")
    assert answer.flight.motion.assumed_speed.all()


@pytest.mark.parametrize("action", [one for one in ACTIONS if one is not LinkLossAction.DROP])
def test_a_dive_over_where_it_took_off_is_no_landing_though_nobody_said_how_fast(action):
    """Down to 1.5 m over the launch point along 250 m at the 10 m/s assumed, and on: 2 s sink 4.6 m."""
    dive = [(0, 0, 2.0), (0, 0, 60.0), (-250, 0, 60.0), (0, 0, 1.5), (250, 0, 20.0), (0, 40, 30.0)]
    (stop,) = found(judged(dive, None, 2.0, action), "link-loss-too-low")
    assert stop.mark is Mark.STOP


@pytest.mark.parametrize("action", [one for one in ACTIONS if one is not LinkLossAction.DROP])
@pytest.mark.parametrize("way", LANDINGS_OF_UNSAID_SPEED)
def test_away_from_where_it_lands_the_speed_that_is_assumed_is_one_to_crash_at(action, way):
    (stop,) = found(
        judged(LANDINGS_OF_UNSAID_SPEED[way], None, 2.0, action, launch=(0, 30)), "link-loss-too-low"
    )
    assert stop.mark is Mark.STOP


@pytest.mark.parametrize("action", [one for one in ACTIONS if one is not LinkLossAction.DROP])
@pytest.mark.parametrize(("launch", "sink_mps"), [((60, 60), 3.0), ((0, 0), 5.0)])
def test_elsewhere_or_faster_it_hits_the_ground(action, launch, sink_mps):
    """3 m up, and sinking at 3 m/s for 1.5 s: 4.5 m; at 5 m/s it is no landing wherever it is."""
    stops = [(60, 60, 3.0), (60, 60, 24.0), (0, 0, 24.0), (0, 0, 3.0)]
    (stop,) = found(judged(stops, sink_mps, 1.5, action, launch), "link-loss-too-low")
    assert stop.mark is Mark.STOP
    assert "shorter delay" in stop.remedy
    assert stop.numbers["clearance_m"] < 0.0


@pytest.mark.parametrize("form", list(AircraftForm))
def test_a_fast_pass_over_ones_own_feet_is_no_landing_of_a_wing_either(form):
    """At 24 m/s and 2.8 m/s down, 4 m up 34 m before the launch point: there it comes to the ground."""
    stops = [(0, -200, 26.0), (0, -10, 4.0), (0, 100, 30.0)]
    found_too_low = found(judged(stops, 24.16, 2.0, launch=(0, 24), form=form), "link-loss-too-low")
    assert [one.mark for one in found_too_low] == [Mark.STOP]


@pytest.mark.parametrize("form", list(AircraftForm))
@pytest.mark.parametrize(("delay_s", "beyond_m"), [(2.0, 9.0), (4.0, 9.0), (4.0, 30.0)])
def test_a_landing_is_one_however_long_it_would_have_flown_on(form, delay_s, beyond_m):
    """From 20 m down to 2 m over the landing point along 80 m the line itself comes down 8.9 m beyond it.

    A wing may land 50 m along its strip, what flies on the spot within 10 m (own choices).
    """
    stops = [(0, -200, 20.0), (0, -80, 20.0), (0, beyond_m - 9.0, 2.0)]
    wide = found(judged(stops, 5.0, delay_s, form=form), "link-loss-too-low")
    assert bool(wide) is (beyond_m > 10.0 and form is AircraftForm.ROTORCRAFT)


def test_where_it_first_comes_to_the_ground_decides_whether_that_is_a_landing():
    """A bank of 10 m, 40 m before the launch, is struck by what would end beyond it beside the launch."""
    bank = terrain(lambda x, y: GROUND_M + 10.0 * ((y > -53) & (y < -27)), cell_m=5.0)
    stops = [(0, -86, 18.0), (0, -70, 15.0), (0, 60, 40.0)]
    (stop,) = found(judged(stops, 5.1, 15.0, world=world(terrain=bank)), "link-loss-too-low")
    assert stop.mark is Mark.STOP


def test_what_drops_falls_on_that_ground_anyway():
    stops = [(60, 60, 3.0), (60, 60, 24.0), (0, 0, 24.0), (0, 0, 3.0)]
    assert not found(judged(stops, 3.0, 1.5, LinkLossAction.DROP, (60, 60)), "link-loss-too-low")


def test_nearer_to_the_ground_than_any_return_but_not_on_it_is_no_stop():
    """From 20 m down to 5 m along 60 m at 5 m/s sinks 1.2 m a second: 3.8 m are left after one."""
    stops = [(0, 100, 20.0), (60, 100, 5.0), (120, 100, 20.0)]
    answer = judged(stops, 5.0, 1.0)
    assert not found(answer, "link-loss-too-low")
    assert not found(answer, "link-loss-within-band")


@pytest.mark.parametrize(("delay_s", "told"), [(0.4, False), (1.6, True), (2.2, False)])
def test_within_the_band_over_the_ground_it_is_something_to_do(delay_s, told):
    """2.2 m up and sinking 1.2 m/s, the readout good for 1 m: 1.7 m, 0.3 m left, or struck after 1.9 s."""
    stops = [(0, 100, 17.2), (60, 100, 2.2), (120, 100, 17.2)]
    answer = judged(stops, 5.154, delay_s)
    acts = found(answer, "link-loss-within-band")
    assert [one.mark for one in acts] == [Mark.ACT] * told
    assert bool(found(answer, "link-loss-too-low")) is (delay_s > 2.0)
    for one in acts:
        assert one.title == "On lost link close to the ground"
        assert one.numbers["room_m"] == pytest.approx(2.2 - 1.25 * delay_s, abs=0.1)


@pytest.mark.parametrize(
    ("end_m", "delay_s", "told"), [(20.0, 4.0, False), (20.0, 8.0, True), (9.0, 0.5, False)]
)
def test_much_lower_than_it_is_flown_is_something_to_do(end_m, delay_s, told):
    """20 m up and sinking 1.9 m/s: after 4 s more than the 10 m of a return are left, after 8 s some 5 m."""
    answer = judged([(0, 100, end_m + 12.0), (60, 100, end_m), (120, 100, end_m + 12.0)], 10.0, delay_s)
    acts = found(answer, "link-loss-within-band")
    assert [one.mark for one in acts] == [Mark.ACT] * told
    assert all("it is flown" in one.message for one in acts)


def test_a_return_that_begins_low_for_its_descent_still_owes_the_margin_on_its_way():
    """It returns at the height it was lost at, 8 m, over a wall of 5 m: 10 m are wanted there."""
    wall = terrain(lambda x, y: 100.0 + 5.0 * ((x > 90) & (x < 130)), cell_m=10.0)
    craft = attrs.evolve(
        plan().aircraft, link_loss=LinkLoss(LinkLossAction.RETURN_OFFSET, 0.0, AboveLaunch(0.0))
    )
    spot = GroundSpot(at(0, 0), OWN)
    path = points([(0, 0, 30.0), (200, 60, 30.0), (220, 0, 8.0)])
    answer = assess(plan(aircraft=craft, path=path, launch=spot, landing=spot), world(terrain=wall))
    (stop,) = found(answer, "link-loss-too-low")
    assert stop.numbers["clearance_m"] < 10.0
    assert stop.remedy == "raise the return height"
