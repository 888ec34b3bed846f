"""A lower path leaves room for what is flown on lost link, where that decides on the automated service.

Above the lowest cell's value recreational flights have to ask the authority itself (49 USC 44809(a)(5),
JO 7210.3 ch. 12 §10). By hand: 60 m on 800 m, flown at 10 m/s, are 3 m in 4 s of delay.
"""

import attrs
import pytest

from planner.assess import assess
from planner.desk.fixing.attempts import Room, attempt
from planner.desk.fixing.kinds import FixKind
from planner.geo.heights import AboveLaunch
from planner.permission.need import Route
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.remedy.for_the_service import above_service_m
from planner.units import FOOT_M
from tests.worlds import cell, ft, points, recreational, volume, world

CHARTS = world(airspace=(volume(name="D"),), cells=(cell(200),))
LAND, HOLD = LinkLossAction.LAND, LinkLossAction.HOLD
CLIMB = points([(-400, 0, 20.0), (400, 0, 80.0)])


def judged(action=LAND, delay_s=4.0, path=CLIMB, able=None, **loss):
    flight = recreational(path=path)
    craft = attrs.evolve(
        flight.aircraft,
        link_loss=None if action is None else LinkLoss(action, delay_s, **loss),
        performance=able or Performance(cruise_mps=10.0, highest_mps=15.0),
    )
    return assess(attrs.evolve(flight, aircraft=craft), CHARTS)


def fixed(answer, kind=FixKind.LEAST, margin_m=1.0):
    return attempt(answer, kind, Room(margin_m, 15.0, 50.0, 1.0))


def routes(answer):
    return {need.route for need in answer.permissions}


@pytest.mark.parametrize("kind", [FixKind.LEAST, FixKind.LOWER])
@pytest.mark.parametrize("action", [LAND, HOLD, LinkLossAction.DROP])
def test_the_fix_leads_where_it_says_on_lost_link_too(kind, action):
    answer = judged(action)
    assert Route.AUTOMATED not in routes(answer)
    found = fixed(answer, kind)
    assert routes(found.judged.then) == {Route.AUTOMATED}
    (need,) = found.judged.then.permissions
    assert need.rise_m > 0.0
    assert need.asked_agl_m <= ft(200) + 1e-6
    # No lower than that takes: what it rises is what is left, and the margin at the most.
    assert need.asked_agl_m > ft(200) - 3.0
    assert found.outcome.title.startswith("Lower path to ")
    assert found.outcome.title.endswith(" of it for lost link")
    assert found.outcome.edit.title == found.outcome.title


@pytest.mark.parametrize(
    "given", [{"action": None}, {"delay_s": 0.0}, {"path": points([(-400, 0, 80.0), (400, 0, 80.0)])}]
)
def test_where_nothing_climbs_on_nothing_more_is_left(given):
    found = fixed(judged(**given))
    assert routes(found.judged.then) == {Route.AUTOMATED}
    assert found.outcome.title == "Lower path to 3 ft under what can be asked for"


def test_a_return_at_a_fixed_height_is_not_lowered_by_a_lower_path():
    answer = judged(LinkLossAction.RETURN_FIXED, height=AboveLaunch(90.0))
    found = fixed(answer)
    assert "lost link" not in found.outcome.title
    assert above_service_m(found.judged.then) is None


def test_a_margin_that_leaves_room_already_is_kept():
    found = fixed(judged(), margin_m=10.0)
    assert routes(found.judged.then) == {Route.AUTOMATED}
    assert found.outcome.title == f"Lower path to {int(10.0 / FOOT_M)} ft under what can be asked for"


def test_what_is_left_above_is_told_in_metres():
    """The path ends 1 m under 200 ft, and climbs by 0.075 on 40 m in 4 s: 3 m, 2 m above it."""
    path = points([(-400, 0, 0.0), (400, 0, ft(200) - 1.0)])
    rises_m = 4.0 * 10.0 * (ft(200) - 1.0) / 800.0
    answer = judged(path=path)
    assert above_service_m(answer) == pytest.approx(rises_m - 1.0, abs=0.05)
    assert above_service_m(judged(path=path, action=None)) is None


UNDER = points([(-400, 0, 0.0), (400, 0, ft(200) - 1.0)])


@pytest.mark.parametrize("kind", [FixKind.LEAST, FixKind.LOWER])
@pytest.mark.parametrize("action", [LAND, HOLD])
def test_a_path_under_the_value_whose_climb_on_lost_link_alone_passes_it_is_lowered_for_that(kind, action):
    """It ends 1 m under 200 ft and rises 3 m more in 4 s: 2 m above it, so 3 m and the margin are left."""
    answer = judged(action, path=UNDER)
    assert Route.AUTOMATED not in routes(answer)
    found = fixed(answer, kind)
    assert routes(found.judged.then) == {Route.AUTOMATED}
    (need,) = found.judged.then.permissions
    assert ft(200) - 3.5 < need.asked_agl_m <= ft(200) + 1e-6
    assert found.outcome.title.endswith(" of it for lost link")
    assert not found.judged.new_then


def test_where_the_return_alone_passes_the_value_it_is_said_by_how_much():
    """At 90 m above launch, 95.4 ft above 200 ft: no lower path helps, and that alone is in the way."""
    flat = points([(-400, 0, 50.0), (400, 0, 50.0)])
    found = fixed(judged(LinkLossAction.RETURN_FIXED, path=flat, height=AboveLaunch(90.0)))
    assert found.judged is None
    assert found.outcome.reason.endswith(
        "up to 200 ft above ground the automated service can give it, and only what the aircraft does on "
        "lost link comes 96 ft above that: set it so much lower, or another action"
    )


def test_where_nothing_passes_the_value_nothing_is_lowered_for_it():
    flat = points([(-400, 0, 50.0), (400, 0, 50.0)])
    found = fixed(judged(path=flat))
    assert found.judged is None
    assert "lost link" not in found.outcome.reason
