"""What a path asks of the aircraft beyond its own figures; where it returns to; cold and the way out.

Geometry by hand. That a return by itself leads to where the aircraft was armed, and that a rotorcraft falls
through its own downwash, is common practice. Cold: the stated, editable model of the battery.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction, OverPeople
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Mark
from planner.rules.loss_axis import worst_loss
from tests import worlds
from tests.rules.test_beneath_rules import finding, item
from tests.worlds import at

ABLE = Performance(
    hover_w=180.0, cruise_w=220.0, cruise_mps=14.0, highest_mps=25.0, climb_mps=4.0, descent_mps=3.0
)


def judged(*stops, speed_mps=None, form=AircraftForm.ROTORCRAFT, able=ABLE, aircraft=None, **changes):
    path = worlds.points(stops, LegShape.STRAIGHT)
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps)) for one in path)
    plan = attrs.evolve(worlds.plan(path=path, launch=GroundSpot(at(0, 0))), **changes)
    craft = attrs.evolve(
        plan.aircraft,
        form=form,
        performance=able,
        battery=Battery("LiPo", 6, 1300.0),
        **(aircraft or {}),
    )
    return assess(attrs.evolve(plan, aircraft=craft), worlds.world())


def test_a_leg_steeper_than_the_aircraft_climbs_is_flown_slower():
    """80 m up on 89.4 m of way at 14 m/s asks for 12.5 m/s of climb; at 4 m/s it takes 20 s, by hand."""
    answer = judged((0, 0, 20), (40, 0, 100), speed_mps=14.0)
    act = finding(answer, "climbs-too-fast")
    assert act.mark is Mark.ACT
    assert act.numbers["asked_mps"] == pytest.approx(14.0 * 80 / (40**2 + 80**2) ** 0.5, rel=1e-3)
    assert answer.flight.motion.duration_s == pytest.approx(20.0, rel=1e-3)
    assert answer.flight.motion.climb_mps.max() == pytest.approx(4.0, rel=1e-6)


def test_in_cruise_and_straight_up_the_rate_of_climb_holds_too():
    cruising = judged((0, 0, 20), (40, 0, 100))
    assert cruising.flight.motion.duration_s == pytest.approx(20.0, rel=1e-3)
    upright = judged((0, 0, 20), (0, 0, 100), (50, 0, 100), speed_mps=10.0)
    assert upright.flight.motion.time_s[upright.track.point_sample[1]] == pytest.approx(20.0, rel=1e-3)
    assert finding(upright, "climbs-too-fast") is not None


def test_within_its_rate_nothing_changes_and_without_a_rate_nothing_is_said():
    gentle = judged((0, 0, 20), (400, 0, 100), speed_mps=14.0)
    assert finding(gentle, "climbs-too-fast") is None
    assert gentle.flight.motion.duration_s == pytest.approx((400**2 + 80**2) ** 0.5 / 14.0, rel=1e-3)
    unknown = judged((0, 0, 20), (40, 0, 100), speed_mps=14.0, able=attrs.evolve(ABLE, climb_mps=None))
    assert finding(unknown, "climbs-too-fast") is None


def test_a_fixed_wing_can_not_wait_for_its_height():
    steep = judged((0, 0, 20), (40, 0, 100), speed_mps=14.0, form=AircraftForm.FIXED_WING)
    assert finding(steep, "climbs-too-fast").mark is Mark.STOP


# Our own rule, as on lost link: no stop comes from a figure that nobody said.
def test_a_wing_without_any_speed_is_not_stopped_by_the_one_assumed():
    stops, given = [(0, 0, 20), (40, 0, 100)], {"form": AircraftForm.FIXED_WING}
    unsaid = attrs.evolve(ABLE, cruise_mps=None)
    found = finding(judged(*stops, able=unsaid, **given), "climbs-too-fast")
    assert found.mark is Mark.UNKNOWN
    assert "so only assumed: 19.4 kt" in found.message
    assert found.remedy.startswith("enter the speed of the leg")
    for said in ({}, {"able": unsaid, "speed_mps": 14.0}):
        stop = finding(judged(*stops, **said, **given), "climbs-too-fast")
        assert stop.mark is Mark.STOP
        assert "assumed" not in stop.message


def test_what_is_asked_downward_at_a_speed_that_nobody_said_is_told_as_such():
    act = finding(
        judged((0, 0, 100), (40, 0, 20), able=attrs.evolve(ABLE, cruise_mps=None)), "sinks-too-fast"
    )
    assert act.mark is Mark.ACT
    assert "so only assumed: 19.4 kt" in act.message


def test_a_path_that_sinks_faster_than_the_given_rate_is_something_to_do():
    down = judged((0, 0, 100), (40, 0, 20), speed_mps=14.0)
    act = finding(down, "sinks-too-fast")
    assert act.mark is Mark.ACT
    assert act.numbers["asked_mps"] == pytest.approx(12.52, abs=0.01)
    assert finding(judged((0, 0, 60), (400, 0, 20), speed_mps=14.0), "sinks-too-fast") is None


def test_of_a_cruise_above_the_highest_airspeed_the_lower_one_counts():
    """30 m/s (km/h typed as m/s) would bring it home from anywhere; 25 m/s is what it can fly."""
    slip = judged((0, 0, 30), (800, 0, 30), able=attrs.evolve(ABLE, cruise_mps=30.0))
    assert finding(slip, "airspeed-to-check").mark is Mark.UNKNOWN
    assert slip.flight.motion.air_speed_mps.max() == pytest.approx(25.0)
    right = judged((0, 0, 30), (800, 0, 30), able=attrs.evolve(ABLE, cruise_mps=25.0))
    assert finding(right, "airspeed-to-check") is None
    assert slip.flight.charge.turn_back.home_wh == pytest.approx(right.flight.charge.turn_back.home_wh)


HALL = item(
    BeneathKind.BUILDING,
    DrawnAs.AREA,
    (120, -20),
    (140, -20),
    (140, 20),
    (120, 20),
    name="Hall (INVENTED)",
    height_m=50.0,
)


@pytest.mark.parametrize("landing", [(0, 0), (320, 0)])
def test_a_return_by_itself_leads_to_where_it_was_armed(landing):
    """The hall stands between the path's end and the launch point, wherever the landing point is."""
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 0.5, AboveLaunch(40.0), speed_mps=12.0)
    answer = judged(
        (0, 60, 30),
        (300, 60, 30),
        (300, 0, 30),
        aircraft={"link_loss": back},
        beneath=(HALL,),
        landing=GroundSpot(at(*landing)),
    )
    assert "Hall" in finding(answer, "link-loss-too-low").title
    assert "where it was armed" in finding(answer, "link-loss-action").message


def test_cold_takes_its_share_of_the_charge():
    warm = judged((0, 0, 30), (800, 0, 30)).flight.charge
    frost = PlannedWeather(temperature_c=-10.0, pressure_hpa=1013.25)
    cold = judged((0, 0, 30), (800, 0, 30), weather=frost).flight.charge
    share = warm.pack.model.share_at(-10.0)
    assert share < 0.9
    assert cold.pack.usable_mah == pytest.approx(warm.pack.usable_mah * share)
    assert cold.energy.charge_fraction[-1] < warm.energy.charge_fraction[-1]


def test_the_worst_place_to_lose_the_link_is_one_from_which_the_battery_does_not_bring_it_back():
    slow = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(40.0), speed_mps=1.0)
    answer = judged((0, 0, 30), (800, 0, 30), aircraft={"link_loss": slow})
    assert finding(answer, "link-loss-empty").mark is Mark.STOP
    worst = worst_loss(answer.case)
    assert worst.trouble
    assert "empty before it is home" in worst.words
    assert answer.track.distance_m[worst.sample] == pytest.approx(800.0)


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        (MeasuredFlight(360.0, 1040.0, 14.0), "a measured flight in still"),
        (MeasuredFlight(360.0, 1040.0), "taken as flown in cruise"),
    ],
)
def test_a_measured_flight_without_airspeed_is_said_to_be_one(measured, words):
    able = Performance(cruise_mps=14.0, highest_mps=25.0, measured=measured)
    message = finding(judged((0, 0, 30), (200, 0, 30), able=able), "home-reached").message
    assert words in message.replace(", in still", " in still")


def test_half_the_size_of_the_aircraft_is_added_to_where_it_falls():
    """40 m up at 10 m/s it comes 28.6 m ahead (check values 8.2); 3 m wide it reaches 1.5 m farther.

    Its place is known to 7 m (8.4).
    """
    someone = item(BeneathKind.PEOPLE, DrawnAs.SPOT, (300 + 28.56 + 7.0 + 2.5, 0), half_width_m=1.5)
    for size_m, rule in ((3.0, "fall-on-people"), (0.2, "people-near")):
        answer = judged(
            (0, 0, 40),
            (300, 0, 40),
            speed_mps=10.0,
            aircraft={"largest_dimension_m": size_m, "over_people": OverPeople.NONE},
            beneath=(someone,),
        )
        assert finding(answer, rule) is not None


def test_the_way_out_to_the_path_is_paid_before_its_first_point():
    """500 m to the first point at 14 m/s and 220 W, and 30 m of climb at 4 m/s, by hand."""
    answer = judged((500, 0, 30), (800, 0, 30))
    charge = answer.flight.charge
    weight_n = answer.plan.aircraft.take_off_weight_kg * 9.80665
    climb_ws = (180.0 + 2 * weight_n * 4.0) * 30.0 / 4.0
    by_hand_wh = (220.0 * 500.0 / 14.0 + climb_ws) / 3600 / charge.model.density_ratio**0.5
    assert charge.energy.used_wh[0] == pytest.approx(by_hand_wh, rel=1e-3)


def test_a_climb_throws_a_failed_aircraft_farther():
    """12 m/s up from 40 m: (12 + sqrt(144 + 2 g 40)) / g = 4.33 s instead of 2.86 s, by hand."""
    able = attrs.evolve(ABLE, climb_mps=None)
    climbing = judged((0, 0, 40), (300, 0, 90), speed_mps=20.0, able=able)
    up_mps = float(climbing.flight.motion.climb_mps[0])
    level_mps = float(climbing.flight.motion.ground_speed_mps[0])
    fall_s = (up_mps + (up_mps**2 + 2 * 9.80665 * 40.0) ** 0.5) / 9.80665
    assert up_mps == pytest.approx(20.0 * 50 / (300**2 + 50**2) ** 0.5, rel=1e-3)
    assert climbing.flight.beneath.zone.reach_m[0] == pytest.approx(level_mps * fall_s, rel=1e-3)
