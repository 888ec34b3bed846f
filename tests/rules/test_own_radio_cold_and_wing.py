"""Own control on the picture's frequency, widths no picture has, a pack that cold takes nothing of, a wing.

The least width of a picture: 4.2 MHz of vision signal (ITU-R BT.470, from memory). What cold takes: data
sheets (from memory). That a wing circles over home: common practice. Marks are the project's own.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.beneath import OtherPilot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged

VIDEO = Radio(RadioUse.VIDEO, 5_800.0, 25.0, analog=True)
CONTROL = Radio(RadioUse.CONTROL, 2_400.0, 100.0)


def mark(found):
    return None if found is None else found.mark


@pytest.mark.parametrize(
    ("at_mhz", "analog", "expected"),
    [
        (5_800.0, True, Mark.STOP),
        (5_809.0, True, Mark.STOP),  # within half of 20 MHz
        (5_811.0, True, None),
        (2_400.0, True, None),
        # One digital system may carry both.
        (5_800.0, False, Mark.ACT),
        (5_800.0, None, Mark.ACT),
    ],
)
def test_own_control_on_the_frequency_of_the_own_picture_is_told(at_mhz, analog, expected):
    radios = (attrs.evolve(VIDEO, analog=analog), attrs.evolve(CONTROL, frequency_mhz=at_mhz))
    assert mark(finding(judged(radios=radios), "own-control-on-video")) is expected


def test_a_picture_that_is_said_to_be_narrower_than_any_is_does_not_part_two_channels():
    """0.1 MHz each, 1 MHz apart: reckoned with 5 MHz they overlap."""
    thin = attrs.evolve(VIDEO, width_mhz=0.1)
    alone = judged(radios=(thin,))
    plan = attrs.evolve(alone.plan, other_pilots=(OtherPilot("Ann", 5_801.0, 0.1),))
    answer = assess(plan, worlds.world())
    told = [one for one in answer.findings if one.rule == "picture-width-to-check"]
    assert [one.mark for one in told] == [Mark.ACT, Mark.ACT]
    assert finding(answer, "channels-clash").mark is Mark.STOP
    assert finding(answer, "channels-apart") is None
    usual = judged(radios=(attrs.evolve(VIDEO, width_mhz=5.0),))
    assert finding(usual, "picture-width-to-check") is None


@pytest.mark.parametrize(
    ("share", "celsius", "expected"),
    [
        (1.0, -20.0, Mark.ACT),
        (0.95, 0.0, Mark.ACT),
        (0.9, -20.0, None),
        (1.0, 15.0, None),
        (None, -10.0, None),
    ],
)
def test_a_pack_that_cold_takes_nothing_of_is_something_to_look_at(share, celsius, expected):
    weather = PlannedWeather(temperature_c=celsius)
    answer = judged(battery=attrs.evolve(PACK, share_at_0_c=share), performance=ABLE, weather=weather)
    assert mark(finding(answer, "cold-share-to-check")) is expected


def test_a_wing_that_comes_home_by_itself_circles():
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(60.0), speed_mps=14.0)
    able = Performance(cruise_w=60.0, cruise_mps=14.0, highest_mps=28.0)
    given = {"link_loss": back, "performance": able, "take_off_weight_kg": 2.4, "largest_dimension_m": 2.0}
    wing = judged(form=AircraftForm.FIXED_WING, **given)
    one = finding(wing, "link-loss-on-a-wing")
    assert one.mark is Mark.ACT
    assert "circles over where it was armed" in one.message
    copter = judged(form=AircraftForm.ROTORCRAFT, **given)
    assert finding(copter, "link-loss-on-a-wing") is None
