"""What is asked of the flight is asked in each wind that counts: a worse forecast gives no better verdict.

Report codes: WMO FM 15 and FM 51. 14 CFR 107.51(a): 87 kt over the ground; sums of wind and airspeed by hand,
1 kt = 0.5144 m/s. That each wind is asked is our own rule (issue 6: what is worse never reads better).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import AircraftForm, Battery
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Mark
from planner.rules.flight_wind import ground_speed, way_held
from tests import worlds
from tests.rules.test_beneath_rules import finding
from tests.worlds import at

STOPS = ((0.0, 600.0), (0.0, 60.0))
FAST = Performance(cruise_mps=40.0, highest_mps=45.0, hover_w=180.0, cruise_w=220.0)
NORTH = "TAF ZZZZ 121730Z 1218/1324 36012KT 9999 SKC"
SOUTH = "TAF ZZZZ 121730Z 1218/1324 18012KT 9999 SKC"
THEN_SOUTH = f"{NORTH} FM121930 18012KT 9999 SKC"
VARIABLE = "METAR ZZZZ 121853Z VRB12KT 9999 SKC 20/10 Q1013"
FROM_WEST = "METAR ZZZZ 121853Z 27012KT 240V300 9999 SKC 20/10 Q1013"


def judged(
    taf="", metar="", leg_mps=None, able=FAST, form=AircraftForm.ROTORCRAFT, stops=((0, 600), (0, 60))
):
    """Toward the launch point, southward, 30 m up."""
    path = tuple(
        PathPoint(at(*stop), AboveGround(30.0), Leg(LegShape.STRAIGHT, speed_mps=leg_mps)) for stop in STOPS
    )
    spot = GroundSpot(at(0.0, 0.0))
    made = worlds.plan(
        path=path,
        launch=spot,
        landing=spot,
        weather=PlannedWeather(taf=taf, metar=metar),
        visibility_m=16_000.0,
    )
    given = {"performance": able, "form": form, "battery": Battery("LiPo", 6, 5_000.0), "link_loss": None}
    return assess(attrs.evolve(made, aircraft=attrs.evolve(made.aircraft, **given)), worlds.world())


@pytest.mark.parametrize(
    ("reports", "stops"),
    [
        ({"taf": NORTH}, True),
        ({"taf": THEN_SOUTH}, True),
        ({"taf": SOUTH}, False),
        ({"taf": SOUTH, "metar": VARIABLE}, True),
        ({"metar": VARIABLE}, True),
        ({"metar": FROM_WEST}, False),
    ],
)
def test_87_knots_are_asked_in_every_wind(reports, stops):
    """40 m/s and more than 12 kt (6.2 m/s) from behind are more than 44.76 m/s over the ground."""
    stop = finding(judged(**reports), "speed-limit")
    assert (stop is not None) is stops
    if stop:
        assert stop.mark is Mark.STOP
    # A leg whose speed is stated is flown at that.
    assert finding(judged(**reports, leg_mps=14.0), "speed-limit") is None


def test_the_other_wind_is_named():
    stop = finding(judged(taf=THEN_SOUTH), "speed-limit")
    assert "in another wind" in stop.message
    assert "from 360 degrees true (TAF, prevailing)" in stop.message
    assert "another wind" not in finding(judged(taf=NORTH), "speed-limit").message


SLOW = Performance(cruise_mps=12.0, highest_mps=14.0, hover_w=180.0, cruise_w=220.0)


@pytest.mark.parametrize(
    ("reports", "slower"),
    [
        ({"taf": "TAF ZZZZ 121730Z 1218/1324 36012KT 9999 SKC"}, False),
        ({"taf": "TAF ZZZZ 121730Z 1218/1324 36012KT 9999 SKC FM121930 18014KT 9999 SKC"}, True),
        ({"taf": "TAF ZZZZ 121730Z 1218/1324 18014KT 9999 SKC FM121930 36012KT 9999 SKC"}, True),
        ({"metar": "METAR ZZZZ 121853Z VRB14KT 9999 SKC 20/10 Q1013"}, True),
    ],
)
def test_a_leg_slowed_in_one_of_the_winds_is_told(reports, slower):
    """Southward against 14 kt (7.2 m/s and more) from the south 14 m/s through the air are no 10 m/s."""
    found = finding(judged(**reports, leg_mps=10.0, able=SLOW), "leg-slower-than-planned")
    assert (found is not None) is slower


@pytest.mark.parametrize("first", ["36022KT", "18022KT"])
def test_a_way_not_held_in_one_of_the_winds_is_a_stop(first):
    """Southward 11 m/s of air speed against 22 kt (11.3 m/s and more)."""
    other = {"36022KT": "18022KT", "18022KT": "36022KT"}[first]
    taf = f"TAF ZZZZ 121730Z 1218/1324 {first} 9999 SKC FM121930 {other} 9999 SKC"
    able = attrs.evolve(SLOW, cruise_mps=10.0, highest_mps=11.0)
    assert finding(judged(taf=taf, able=able, leg_mps=5.0), "way-not-held").mark is Mark.STOP


def test_a_wing_too_slow_before_the_wind_is_asked_though_another_blows_against_it():
    """10 m/s over the ground with 14 kt (7.2 m/s and more) behind are under half of 16 m/s in cruise."""
    able = attrs.evolve(FAST, cruise_mps=16.0, highest_mps=28.0)
    taf = "TAF ZZZZ 121730Z 1218/1324 36014KT 9999 SKC FM121930 18014KT 9999 SKC"
    for one, mark in ((taf, Mark.UNKNOWN), (SOUTH, None)):
        answer = judged(taf=one, leg_mps=10.0, able=able, form=AircraftForm.FIXED_WING)
        found = finding(answer, "wing-too-slow")
        assert (found and found.mark) is mark


def test_what_weighs_most_is_told_once_and_notes_of_the_first_wind_only():
    case = judged(taf=THEN_SOUTH).case
    assert len(case.flight.in_other_winds) == 1
    other = case.flight.in_other_winds[0]
    assert (other.wind.from_true_deg, case.flight.wind.from_true_deg) == (360.0, 180.0)
    stop = next(ground_speed(attrs.evolve(case, flight=attrs.evolve(other, in_other_winds=()))))

    def of(marks):
        """Says one mark of the first wind and one of the other."""
        return in_each_wind(
            lambda asked: iter([attrs.evolve(stop, mark=marks[asked.flight is not case.flight])])
        )

    for marks, told in (
        ((Mark.STOP, Mark.STOP), [Mark.STOP]),
        ((Mark.ACT, Mark.STOP), [Mark.STOP]),
        ((Mark.STOP, Mark.ACT), [Mark.STOP]),
        ((Mark.NOTE, Mark.NOTE), [Mark.NOTE]),
    ):
        found = list(of(marks)(case))
        assert [one.mark for one in found] == told
        assert ("another wind" in found[0].message) is (marks == (Mark.ACT, Mark.STOP))
    assert list(way_held(attrs.evolve(case, flight=None))) == []


def test_a_wind_of_no_direction_comes_from_each_side_of_a_leg():
    """A full circle in steps of 30 degrees (own choice): within 3.5 % of the wind from straight behind."""
    flight = judged(metar=VARIABLE).flight
    sides = sorted(one.wind.from_true_deg for one in flight.in_other_winds)
    assert sides == pytest.approx([30.0 * k for k in range(12)])
    between = judged(metar=FROM_WEST).flight
    sides = sorted(one.wind.from_true_deg for one in between.in_other_winds)
    assert (sides[0], sides[-1]) == (240.0, 300.0)
