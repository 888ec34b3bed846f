"""How far beside what is there a return on lost link ends, and how many are named: put in by hand.

It finds its place to 7 m: satellites 3 m, holding 3 m, map 1 m (check value 8.4). Half of it reaches to each
side.
"""

import attrs
import pytest
import shapely

from planner.flight.answer import return_of
from planner.flight.below import Below, Thing
from planner.rules.loss_ends import _names, _not_exactly, ended_on
from planner.saying import Units, said, told
from tests.rules.test_return_near_people_by_hand import CASE

HOME = return_of(CASE.plan, CASE.mapped)


def sized(largest_m):
    craft = attrs.evolve(CASE.plan.aircraft, largest_dimension_m=largest_m)
    return attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, aircraft=craft))


def beside(away_m, name="JO (INVENTED)"):
    """Somebody whose edge is so far east of where it ends."""
    x_m = HOME.x_m + away_m
    return Thing(Below.PEOPLE, name, shapely.box(x_m, HOME.y_m - 2.0, x_m + 4.0, HOME.y_m + 2.0))


@pytest.mark.parametrize(
    ("largest_m", "away_m", "on"),
    [(0.4, 7.1, True), (0.4, 7.3, False), (2.4, 8.1, True), (2.4, 8.3, False), (2.4, 0.5, True)],
)
def test_half_of_the_aircraft_reaches_beside_the_place_to_which_it_returns(largest_m, away_m, on):
    assert ended_on(sized(largest_m), beside(away_m)) is on


def test_how_near_it_ends_is_said_of_the_nearest_and_not_where_it_is_at_the_place_itself():
    """From 2.2 m and 3.0 m, less half of 0.4 m: the nearer 2.0 m are 6.6 ft, rounded down."""
    case = sized(0.4)
    for things in ([beside(2.2), beside(3.0)], [beside(3.0), beside(2.2)]):
        assert (
            said(told(_not_exactly(case, things)), Units())
            == ", 6 ft beside: it finds the place to 23 ft, no nearer"
        )
    assert _not_exactly(case, [beside(3.0), beside(0.1)]) == ""


@pytest.mark.parametrize(
    ("given", "named"),
    [("CAB", "A, B, C"), ("DCAB", "A, B, C and 1 more"), ("EDCAB", "A, B, C and 2 more"), ("AAB", "A, B")],
)
def test_three_are_named_and_the_others_counted(given, named):
    assert _names([beside(0.0, name) for name in given]) == named
