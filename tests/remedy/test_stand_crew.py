"""For whom a place to stand is looked for: all who must see and would stand there."""

import attrs
import pytest

from planner.assess import assess
from planner.errors import PlanError
from planner.plan.model import Purpose
from planner.remedy.stand import where_to_stand
from planner.remedy.stand_crew import move_there, stand_question
from planner.rules.verdict import Verdict
from tests import worlds
from tests.worlds import at, plan, points, world

PILOT, OBSERVER = plan().crew
NEAR = attrs.evolve(worlds.TRIED[0], distance_m=150.0)
PATH = points([(-190, 60, 10.0), (190, 60, 10.0)])


def question(*crew, purpose=Purpose.PART_107):
    return stand_question(assess(plan(purpose, path=PATH, crew=crew), world()))


def test_the_shortest_range_of_all_who_go_there_counts():
    near = attrs.evolve(PILOT, tried_ranges=(NEAR,))
    assert question(PILOT, OBSERVER).reach.attitude_m == worlds.TRIED[0].distance_m
    assert question(near, OBSERVER).reach.attitude_m == 150.0
    # One who stands elsewhere stays there, and by recreational rules the observer alone must see.
    assert question(attrs.evolve(near, place=at(300)), OBSERVER).reach.attitude_m > 150.0
    assert question(near, OBSERVER, purpose=Purpose.RECREATIONAL).reach.attitude_m > 150.0


def test_what_is_promised_is_what_the_plan_then_says():
    near = attrs.evolve(PILOT, tried_ranges=(NEAR,))
    flown = plan(path=PATH, crew=(near, OBSERVER))
    best = where_to_stand(stand_question(assess(flown, world()))).places[0]
    moved = move_there(flown, best.place).apply(flown)
    ready = assess(moved, world()).verdict is Verdict.READY
    assert ready is (not best.gaps)
    assert not ready, "380 m of path are not within 150 m of anywhere"


def test_without_a_range_of_one_of_them_it_is_not_answered():
    with pytest.raises(PlanError, match="nobody knows how far"):
        stand_question(assess(plan(path=PATH, visibility_m=None), world()))
