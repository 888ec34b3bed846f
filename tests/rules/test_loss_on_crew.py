"""Own crew onto whom an aircraft that has lost its link comes: told, as nobody steers it (our own rule).

14 CFR 107.39 lets those be flown over who take part in the operation (check values 1.26); it does not make
them harder. Ways by hand: 12 m/s for 2 s are 24 m; a place is known to 7 m (check value 8.4).
"""

import pytest

from planner.plan.aircraft import LinkLossAction
from planner.plan.beneath import BeneathKind
from planner.rules.finding import Mark
from tests.rules.test_beneath_rules import people
from tests.rules.test_loss_flies_into import lost

RULE = "link-loss-on-crew"


def told(answer):
    return [one for one in answer.findings if one.rule == RULE]


@pytest.mark.parametrize(
    ("beyond_m", "height_m", "action", "number"),
    [
        (20.0, 1.2, LinkLossAction.RETURN_FIXED, 1),
        (20.0, 2.4, LinkLossAction.RETURN_FIXED, 1),
        # Over their heads a return does nothing to them; so far it does not come.
        (20.0, 2.6, LinkLossAction.RETURN_FIXED, 0),
        (34.0, 1.2, LinkLossAction.RETURN_FIXED, 0),
        # What lands or falls there does, from any height.
        (20.0, 30.0, LinkLossAction.LAND, 1),
        (20.0, 30.0, LinkLossAction.HOLD, 1),
        (60.0, 30.0, LinkLossAction.LAND, 0),
    ],
)
def test_crew_where_it_comes(beyond_m, height_m, action, number):
    crew = people(400.0 + beyond_m, 0.0, BeneathKind.CREW)
    found = told(lost(crew, height_m=height_m, action=action))
    assert [one.mark for one in found] == [Mark.ACT] * number
    assert not [one for one in lost(crew, height_m=height_m, action=action).findings if one.mark is Mark.STOP]
    for one in found:
        low = "flies on as it flew for 2 s, as low as they are high, into crew"
        assert (low in one.message) == (height_m < 2.5)
        assert ("lands on crew" in one.message) == (action is LinkLossAction.LAND)


def test_who_stands_where_it_starts_and_lands_expects_it_there():
    """The path begins at its launch point: 19 m beside that is near enough, 40 m is not."""
    for beside_m, number in ((19.0, 0), (40.0, 1)):
        crew = people(beside_m, 0.0, BeneathKind.CREW)
        assert len(told(lost(crew, height_m=30.0, action=LinkLossAction.LAND))) == number
