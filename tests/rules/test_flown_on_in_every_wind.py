"""What flies on when its link is lost does so in every wind that counts, also one that comes up later.

Report codes: WMO FM 51. The speed over the ground is the airspeed of cruise and the wind along (wind
triangle, by hand): 15 m/s with 16 kt (8.2 m/s) behind, and more of it 40 m up, or against it; 6 s of that are
some 140 m, or some 40 m.
"""

import attrs
import numpy as np
import pytest

from planner.flight.every_wind import quickest, slowest, with_quickest
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, item, judged, people
from tests.worlds import at

BEHIND, AGAINST = "18016KT", "36016KT"
FAST = Performance(drag_area_m2=0.02, cruise_mps=15.0, highest_mps=27.0)
RETURN = LinkLoss(LinkLossAction.RETURN_FIXED, 6.0, AboveLaunch(60.0), speed_mps=20.0)
HALL = item(
    BeneathKind.BUILDING,
    DrawnAs.AREA,
    *[(-15, 590), (15, 590), (15, 620), (-15, 620)],
    name="Hall (INVENTED)",
    height_m=55.0,
)


def flown(thing, first, later="", loss=RETURN, **given):
    change = f" FM122000 {later} 9999 SKC" if later else ""
    path = worlds.points([(0, 60, 40), (0, 500, 40)], LegShape.STRAIGHT)
    changes = {
        "path": path,
        "launch": GroundSpot(at(0, 0)),
        "landing": GroundSpot(at(0, 0)),
        "weather": PlannedWeather(taf=f"TAF ZZZZ 121730Z 1218/1324 {first} 9999 SKC{change}"),
        **given,
    }
    return judged(thing, changes=changes, link_loss=loss, take_off_weight_kg=0.25, performance=FAST)


@pytest.mark.parametrize(
    ("first", "later", "reached"),
    [
        (BEHIND, "", True),
        (AGAINST, "", False),
        (BEHIND, AGAINST, True),
        (AGAINST, BEHIND, True),
        ("VRB16KT", "", True),
    ],
)
@pytest.mark.parametrize("action", [LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.HOLD])
def test_what_stands_ahead_is_struck_in_the_wind_that_carries_so_far(first, later, reached, action):
    loss = RETURN if action is RETURN.action else LinkLoss(action, 6.0)
    stop = finding(flown(HALL, first, later, loss), "link-loss-too-low")
    assert (stop is not None and stop.mark is Mark.STOP) is reached


@pytest.mark.parametrize(
    ("first", "later", "reached"), [(AGAINST, "", False), (BEHIND, AGAINST, True), (AGAINST, BEHIND, True)]
)
def test_people_ahead_are_landed_on_in_the_wind_that_carries_so_far(first, later, reached):
    crowd = people(0, 615, BeneathKind.GATHERING)
    stop = finding(flown(crowd, first, later, LinkLoss(LinkLossAction.LAND, 6.0)), "link-loss-on-people")
    assert (stop is not None and stop.mark is Mark.STOP) is reached


@pytest.mark.parametrize(
    ("first", "later", "reached"),
    [
        (BEHIND, "", False),
        (AGAINST, "", True),
        (BEHIND, AGAINST, True),
        (AGAINST, BEHIND, True),
        ("VRB16KT", "", True),
    ],
)
@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.HOLD])
def test_people_are_landed_on_who_are_nearer_than_the_fastest_wind_carries_it(first, later, reached, action):
    """A leg of 100 m, 10 s on: some 67 m with the wind against it, some 230 m with it behind."""
    path = worlds.points([(0, 0, 12), (0, 100, 12), (-200, 100, 12)], LegShape.STRAIGHT)
    given = {"path": path, "launch": GroundSpot(at(0, -60)), "landing": GroundSpot(at(-200, 100))}
    stop = finding(
        flown(people(0, 164), first, later, LinkLoss(action, 10.0), **given), "link-loss-on-people"
    )
    assert (stop is not None and stop.mark is Mark.STOP) is reached


def test_the_quickest_is_taken_at_each_place_and_only_where_it_is_quicker():
    motion = flown(HALL, BEHIND).flight.motion
    one, other = (
        attrs.evolve(motion, ground_speed_mps=np.array(flat), climb_mps=np.array(up))
        for flat, up in (([5.0, 9.0, np.nan], [1.0, 0.0, 0.0]), ([7.0, 3.0, 2.0], [2.0, 1.0, 4.0]))
    )
    both = quickest([one, other])
    assert both.ground_speed_mps.tolist() == [7.0, 9.0, 2.0]
    assert both.climb_mps.tolist() == [2.0, 0.0, 4.0]
    slow = slowest([one, other])
    assert (slow.ground_speed_mps.tolist(), slow.climb_mps.tolist()) == ([5.0, 3.0, 0.0], [1.0, 1.0, 0.0])
    assert with_quickest([one], []) == (one,)
    assert with_quickest([both], [one, other]) == (both,)
    assert with_quickest([one], [other])[1].ground_speed_mps.tolist() == [7.0, 9.0, 2.0]


@pytest.mark.parametrize(
    ("wind", "falls"), [("36012KT", True), ("VRB12KT", True), ("27012KT 180V360", True), ("18012KT", False)]
)
def test_what_falls_falls_ahead_as_far_as_any_side_of_the_wind_makes_it_fast(wind, falls):
    """South toward home with 12 kt behind: 22 m/s over the ground carry it 60 m on in the 2.9 s of 40 m."""
    path = worlds.points([(0, 500, 40), (0, 60, 40)], LegShape.STRAIGHT)
    changes = {
        "path": path,
        "launch": GroundSpot(at(0, 500)),
        "landing": GroundSpot(at(0, 60)),
        "weather": PlannedWeather(metar=f"METAR ZZZZ 121853Z {wind} 9999 SKC 20/10 Q1013"),
    }
    answer = judged(
        people(0, 2, BeneathKind.GATHERING),
        changes=changes,
        link_loss=LinkLoss(LinkLossAction.DROP, 0.0),
        take_off_weight_kg=0.25,
        performance=FAST,
    )
    assert (finding(answer, "fall-on-people") is not None) is falls
