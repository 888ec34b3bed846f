"""What an area's lost link comes down in: when that is open, how far it may come and its words, by hand.

Only the authority can say of some airspace (check_values 1.13); what is closed at times is open while no time
is set.
"""

from types import SimpleNamespace

import attrs
import pytest

from planner.flight.area_comes import NO_WAY
from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_into_area as rule
from planner.rules.loss_into_area import _farthest_m, _is_open, _lost_at_the_edge
from planner.saying import Units, said, told
from planner.world.airspace import AirspaceKind
from tests.rules.test_return_near_people_by_hand import CASE
from tests.worlds import WINDOW

R, D = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D
LAND, DROP = LinkLossAction.LAND, LinkLossAction.DROP


@pytest.mark.parametrize(
    ("asked", "window", "at_times", "kind", "is_open"),
    [
        (True, WINDOW, False, D, True),
        (False, None, True, R, True),
        (False, None, True, D, False),
        (False, None, False, R, False),
        (False, WINDOW, True, R, False),
        (False, WINDOW, False, R, False),
    ],
)
def test_when_nobody_can_say_yet_if_it_is_closed(asked, window, at_times, kind, is_open, monkeypatch):
    monkeypatch.setattr(rule, "inquired_of", lambda _volume, _purpose: asked)
    case = SimpleNamespace(plan=SimpleNamespace(window=window, purpose=None))
    assert _is_open(case, SimpleNamespace(kind=kind, rests_at_times=at_times)) is is_open


def failsafe(action):
    return attrs.evolve(CASE.flight.loss.failsafe, action=action, delay_s=1.5)


@pytest.mark.parametrize(
    ("wait_m", "on"),
    [(0.0, ""), (0.5, "flies on for 1.5 s, 2 ft"), (37.5, "flies on for 1.5 s, 124 ft")],
)
def test_how_far_it_flies_on_is_said_where_it_does(wait_m, on):
    words = said(told(_lost_at_the_edge(CASE, failsafe(LAND), attrs.evolve(NO_WAY, wait_m=wait_m))), Units())
    assert words.startswith(f"Lost at the edge of the flying area the aircraft {on}")
    assert ("flies on" in words) is bool(on)


def test_how_far_it_may_come_is_its_way_and_the_most_that_it_is_carried():
    comes = attrs.evolve(NO_WAY, wait_m=30.0, ahead_m=50.0)
    assert _farthest_m(comes, failsafe(LAND)) == 30.0
    assert _farthest_m(comes, failsafe(DROP)) == 80.0
    near, far = (SimpleNamespace(farthest_m=m) for m in (5.0, 20.0))
    assert _farthest_m(attrs.evolve(comes, carried=(near,), landed=(far,)), failsafe(LAND)) == 50.0
    assert _farthest_m(attrs.evolve(comes, carried=(far, near), landed=()), failsafe(LAND)) == 50.0
