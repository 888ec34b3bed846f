"""What is struck by what flies on as fast as it may where no speed is said, with its ways put in by hand.

That the lowest of the ways is told, open where a highest airspeed is said and something to do at 87 kt
(14 CFR 107.51(a), far above what most fly at), is our own rule (issue 6).
"""

import attrs
import pytest

from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.loss_as_fast import may_strike
from tests.rules.hand_flown import complete, flown, row


def ways(low):
    """A return from each sample 60 m above all, but so low [m] from some; 10 m are wanted."""
    loss = complete().flight.loss
    return attrs.evolve(loss, acting_m=row(60.0, low), level_m=row(60.0), margin_m=10.0)


def told(*fast, loss=None, **changes):
    return list(may_strike(flown(fast_losses=fast, loss=loss or ways({}), **changes)))


LOW, LOWER = ways({3: 8.0, 5: 6.0}), ways({2: 9.0, 6: 4.0})


@pytest.mark.parametrize("fast", [(LOW, LOWER), (LOWER, LOW), (ways({}), LOWER)])
def test_of_several_winds_the_lowest_way_is_told(fast):
    (one,) = told(*fast)
    assert f"Lost at {complete().track.distance_m[6]:.0f} m" in one.message
    assert one.mark is Mark.UNKNOWN


def test_without_a_highest_airspeed_it_is_something_to_do():
    assert [one.mark for one in told(LOW, aircraft={"performance": Performance(cruise_mps=14.0)})] == [
        Mark.ACT
    ]
    assert [one.mark for one in told(LOW, aircraft={"performance": None})] == [Mark.ACT]
    bare = flown(fast_losses=(LOW,), loss=ways({}))
    (one,) = may_strike(attrs.evolve(bare, plan=attrs.evolve(bare.plan, aircraft=None)))
    assert one.mark is Mark.ACT


def test_what_is_a_stop_already_or_has_no_such_way_is_not_told():
    assert not told(LOW, loss=LOWER)
    assert not told(ways({}))
    assert not told()
    assert not told(LOW, case={"track": None})
    assert not list(may_strike(attrs.evolve(flown(fast_losses=(LOW,)), flight=None)))
