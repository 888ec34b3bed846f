"""What flies on low for the delay of a lost link, whatever it does then: into people or moving vehicles.

Heights and ways by hand; the least height over a thing is held against the way asked each 10 cm. That a lorry
is some 4 m high is common practice, somebody with an arm up 2.5 m an own choice.
"""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geo.heights import AboveLaunch
from planner.geo.parts_inside import places_inside
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople, Readout, ReadoutSource
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.loss_words import lost as lost_words
from planner.rules.stretches import Stretch
from planner.saying import Told
from tests import worlds
from tests.rules.test_beneath_rules import item, judged, people

RULE = "link-loss-on-people"
# The path ends at 400 m, level, at 12 m/s: lost at its end it flies on 24 m in 2 s.
RETURN = {"needs_fix": True, "needs_compass": True, "height": AboveLaunch(30.0)}
RETURN |= {"speed_mps": 10.0, "climb_mps": 3.0, "descent_mps": 2.0}


def lost(*beneath, height_m=1.2, delay_s=2.0, action=LinkLossAction.RETURN_FIXED, **changes):
    returns = action is LinkLossAction.RETURN_FIXED
    loss = LinkLoss(action, delay_s, **RETURN if returns else {})
    readout = Readout(ReadoutSource.BAROMETER, 3.0)
    return judged(
        *beneath, height_m=height_m, speed_mps=12.0, link_loss=loss, **{"readout": readout, **changes}
    )


def told(answer):
    return [(one.mark, one.title) for one in answer.findings if one.rule == RULE]


INTO = "On lost link it flies into people"


@pytest.mark.parametrize(
    ("beyond_m", "height_m", "marks"),
    [
        (20.0, 1.2, [Mark.STOP]),
        (20.0, 1.9, [Mark.STOP]),
        # Just above their heads it is within what the readout errs, 3 m.
        (20.0, 2.4, [Mark.STOP]),
        (20.0, 2.6, [Mark.ACT]),
        (20.0, 5.4, [Mark.ACT]),
        (20.0, 5.6, []),
        (20.0, 20.0, []),
        # 24 m and the 7 m to which it finds its place (check value 8.4), with half its size: not so far.
        (30.0, 1.2, [Mark.STOP]),
        (34.0, 1.2, []),
    ],
)
@pytest.mark.parametrize("purpose", [Purpose.PART_107, Purpose.RECREATIONAL])
def test_a_return_that_flies_on_low_before_it_begins(beyond_m, height_m, marks, purpose):
    answer = lost(people(400.0 + beyond_m, 0.0), height_m=height_m, purpose=purpose)
    assert [mark for mark, _ in told(answer)] == marks


@pytest.mark.parametrize("kind", [BeneathKind.PEOPLE, BeneathKind.SUBJECT])
def test_whoever_is_there(kind):
    assert told(lost(people(420.0, 0.0, kind))) == [(Mark.STOP, INTO)]


def road(vehicles):
    return item(BeneathKind.ROAD, DrawnAs.LINE, (425, -80), (425, 80), moving_vehicles=vehicles)


@pytest.mark.parametrize(
    ("vehicles", "height_m", "found"),
    [
        (True, 3.0, [(Mark.STOP, INTO)]),
        (None, 3.0, [(Mark.ACT, "On lost link it flies through where people may be")]),
        (None, 6.0, []),
        (False, 3.0, []),
    ],
)
def test_a_road_across_its_way(vehicles, height_m, found):
    """The road is 10 m wide: its near edge is at 420 m."""
    assert told(lost(road(vehicles), height_m=height_m)) == found


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.HOLD])
def test_what_stays_is_told_once_of_those_that_it_ends_on(action):
    """They stand at 410 m: lost at 386 m it ends there."""
    answer = lost(people(410.0, 0.0), action=action)
    assert told(answer) == [(Mark.STOP, "On lost link it comes down on people")]


def test_the_words_say_from_where_how_long_and_how_low():
    (one,) = [one for one in lost(people(420.0, 0.0)).findings if one.rule == RULE]
    # 1.2 m are 3.9 ft: 3 whole ones.
    assert "flies on as it flew for 2 s, 3 ft over the ground over people" in one.message
    assert one.numbers["over_ground_m"] == pytest.approx(1.2, abs=0.05)


def test_a_category_that_may_fly_over_them_makes_it_something_to_do():
    answer = lost(people(420.0, 0.0), over_people=OverPeople.CATEGORY_1)
    assert [mark for mark, _ in told(answer)] == [Mark.ACT]


ROUND = [(0, 0), (150, 0), (150, 150), (150, 0), (0, 0)]


@pytest.mark.parametrize(
    ("clear_by_m", "return_m", "marks"),
    [
        (0.0, 2.0, [Mark.STOP]),
        (1.0, 2.0, [Mark.STOP]),
        # Over their heads, but within what the readout errs.
        (1.0, 4.0, [Mark.ACT]),
        (1.0, 6.0, []),
    ],
)
def test_a_way_home_as_low_as_people_who_stand_on_it(clear_by_m, return_m, marks):
    """From the far corner of an angle the way home cuts it short, over their heads or through them."""
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED, 1.0, **{**RETURN, "height": AboveLaunch(return_m)}, clear_by_m=clear_by_m
    )
    path = worlds.points([(*place, 1.5) for place in ROUND], LegShape.STRAIGHT)
    readout = Readout(ReadoutSource.BAROMETER, 3.0)
    answer = judged(people(75.0, 75.0), changes={"path": path}, link_loss=loss, readout=readout)
    assert [mark for mark, _ in told(answer)] == marks
    for one in answer.findings:
        if one.rule == RULE:
            assert "over the ground over people on its way" in one.message


steps = st.floats(-30.0, 30.0, allow_subnormal=False)


@settings(max_examples=60)
@given(st.tuples(steps, steps), st.tuples(steps, steps), st.tuples(steps, steps), st.floats(0.5, 12.0))
def test_the_part_over_a_thing_is_that_of_the_way_asked_closely(start, end, spot, radius_m):
    thing = shapely.Point(spot).buffer(radius_m)
    ends = np.array([[start, end]])
    if not shapely.LineString(ends[0]).intersects(thing):
        return
    _, _, share = places_inside(ends, shapely.intersection(shapely.linestrings(ends), thing))
    closely = np.linspace(0.0, 1.0, 2_001)
    way = ends[0, 0] + (ends[0, 1] - ends[0, 0]) * closely[:, None]
    inside = closely[shapely.intersects_xy(thing, *way.T)]
    if len(inside):
        length_m = float(np.hypot(*(ends[0, 1] - ends[0, 0])))
        assert share[0, 0] * length_m == pytest.approx(inside[0] * length_m, abs=0.1)
        assert share[0, -1] * length_m == pytest.approx(inside[-1] * length_m, abs=0.1)


@pytest.mark.parametrize(
    ("to_m", "words"),
    [
        (148.0, "Lost at 148 m"),
        (148.3, "Lost at 148 m"),
        (149.0, "Lost from 148 m to 149 m"),
        (160.0, "Lost from 148 m to 160 m"),
    ],
)
def test_one_place_is_said_once(to_m, words):
    assert Told(lost_words(Stretch(0, 1, 148.0, to_m))) == words
