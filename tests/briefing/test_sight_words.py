"""The observer's lines on sight and light say what the judgement says."""

from planner.assess import assess
from planner.briefing.sight_words import sight_lines
from planner.plan.model import Plan
from planner.world.world import World
from tests.worlds import plan, points, world


def test_a_path_in_sight_and_one_too_far_away():
    near = sight_lines(assess(plan(path=points([(0, 20, 30.0), (0, 60, 30.0)])), world()))
    assert any(line.startswith("All of the path is in sight") for line in near)
    # 0.3 of 5 km of visibility are 1,500 m (European guidance, standing B).
    far = assess(plan(path=points([(0, 20, 30.0), (0, 1_900, 30.0)]), visibility_m=5_000.0), world())
    assert any(line.startswith("Too far away to find: 1.48 km to 1.88 km") for line in sight_lines(far))


def test_the_end_of_light_is_told_in_the_plan_s_own_zone():
    # Sunset of 12 June 2027 at 150.2 W, 37.8 N is 05:23 UTC of the 13th (computed).
    lines = sight_lines(assess(plan(), world()))
    assert any(line.startswith("Land by sunset, 05:2") for line in lines), lines


def test_an_empty_plan_has_no_lines():
    assert sight_lines(assess(Plan(), World())) == []
