"""Own control beside the own picture: two channels overlap where they lie nearer than half their widths."""

import attrs
import pytest

from planner.plan.beneath import OtherPilot
from planner.rules.channels import others_on_control, own_control
from planner.rules.finding import Mark
from tests.rules.hand_flown import CONTROL, VIDEO, flown


def told(apart_mhz, video_mhz, control_mhz, **video):
    video = attrs.evolve(VIDEO, frequency_mhz=5_800.0, width_mhz=video_mhz, **video)
    control = attrs.evolve(CONTROL, frequency_mhz=5_800.0 + apart_mhz, width_mhz=control_mhz)
    return [one.mark for one in own_control(flown(aircraft={"radios": (video, control)}))]


BESIDE = pytest.mark.parametrize(
    ("apart_mhz", "video_mhz", "control_mhz", "overlap"),
    [
        (13.9, 8.0, 20.0, True),
        (14.0, 8.0, 20.0, False),
        (3.9, 8.0, None, True),
        (4.0, 8.0, None, False),
        (4.2, 8.0, None, False),
        (4.2, 8.0, 1.0, True),
    ],
)
SIDES = pytest.mark.parametrize("side", [1, -1])


@SIDES
@BESIDE
def test_half_of_both_widths_is_how_near_they_may_lie(side, apart_mhz, video_mhz, control_mhz, overlap):
    """Geometry: two bands of 8 and 20 MHz touch where their middles are 14 MHz apart."""
    assert told(side * apart_mhz, video_mhz, control_mhz) == [Mark.STOP] * overlap
    assert told(side * apart_mhz, video_mhz, control_mhz, analog=False) == [Mark.ACT] * overlap


@SIDES
@BESIDE
def test_anothers_picture_likewise(side, apart_mhz, video_mhz, control_mhz, overlap):
    """The same geometry, and something to do: the other's transmitter is far from own receivers."""
    control = attrs.evolve(CONTROL, frequency_mhz=5_800.0 + side * apart_mhz, width_mhz=control_mhz)
    pilots = (OtherPilot("Jo", 2_000.0, 8.0), OtherPilot("Ash", 5_800.0, video_mhz))
    case = flown(aircraft={"radios": (attrs.evolve(VIDEO, frequency_mhz=900.0), control)})
    found = list(others_on_control(attrs.evolve(case, plan=attrs.evolve(case.plan, other_pilots=pilots))))
    assert [one.mark for one in found] == [Mark.ACT] * overlap
    assert all("Ash sends a picture at 5800 MHz" in one.message for one in found)
    assert all(one.numbers["apart_mhz"] == pytest.approx(apart_mhz) for one in found)
