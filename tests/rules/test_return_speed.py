"""The speed over the ground of a return on lost link: 87 kt at most under Part 107 (14 CFR 107.51(a)).

By hand: 87 kt are 87 x 1,852 / 3,600 = 44.757 m/s. The path leads 400 m east, so its returns fly west; the
wind is measured at the height of the return, 40 m, and is the same there.
"""

import math

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Basis, Mark
from planner.rules.flight_words import way_takes
from tests import worlds
from tests.rules import test_area_links
from tests.rules.test_area_links import returning
from tests.rules.test_flight_rules import blowing, finding, judged

STOP, ACT = "return-speed-limit", "return-speed-limit-in-gusts"


def told(answer):
    return [one.rule for one in answer.findings if one.rule in (STOP, ACT)]


@pytest.mark.parametrize(
    ("speed_mps", "weather", "rules"),
    [
        (44.7, None, []),
        (44.8, None, [STOP]),
        # From behind, from the east, 5 m/s are added; from ahead taken away.
        (40.0, blowing(4.7, from_deg=90.0), []),
        (40.0, blowing(4.9, from_deg=90.0), [STOP]),
        (44.8, blowing(1.0, from_deg=270.0), []),
        # The gust adds to it: something to do.
        (40.0, blowing(3.0, 4.9, from_deg=90.0), [ACT]),
        (40.0, blowing(3.0, 4.7, from_deg=90.0), []),
    ],
)
def test_over_the_ground_wind_and_gusts_included(speed_mps, weather, rules):
    answer = judged(weather=weather, link_loss=returning(40.0, speed_mps=speed_mps))
    assert told(answer) == rules


def test_the_speed_is_that_over_the_ground():
    answer = judged(weather=blowing(6.0, from_deg=90.0), link_loss=returning(40.0, speed_mps=40.0))
    found = finding(answer, STOP)
    assert (found.mark, found.basis) == (Mark.STOP, Basis.LAW)
    assert found.numbers["ground_speed_mps"] == pytest.approx(46.0, abs=0.05)
    # 46 m/s are 89.4 kt.
    assert "89.4 kt" in found.message


def test_of_an_area_as_well():
    assert told(test_area_links.judged(loss=returning(60.0, speed_mps=46.0))) == [STOP]
    assert told(test_area_links.judged(loss=returning(60.0, speed_mps=44.0))) == []


def test_a_recreational_flight_has_no_such_limit():
    fast = returning(40.0, speed_mps=60.0)
    assert told(judged(link_loss=fast, purpose=Purpose.RECREATIONAL)) == []


def test_a_waiver_on_record_lifts_it():
    record = worlds.record("14 CFR 107.51(a)", None, PermissionKind.WAIVER)
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0))
    plan = worlds.plan(path=(), area=area, permissions=(record,))
    fast = attrs.evolve(plan.aircraft, link_loss=returning(60.0, speed_mps=46.0))
    answer = assess(attrs.evolve(plan, aircraft=fast), worlds.world())
    assert told(answer) == []


@pytest.mark.parametrize(("seconds", "words"), [(83.4, "takes 1 min 23 s"), (math.inf, "makes no headway")])
def test_a_way_against_too_much_wind_takes_no_time(seconds, words):
    assert way_takes(seconds) == words
