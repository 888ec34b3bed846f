"""Who is about a way that is not drawn: beneath it, or nearer than what fails there may come.

The 1:1 rule: European and British guidance (check value 8.1); v sqrt(2 h / g) (computed, 8.2). That it is
open, no stop, is our own rule: nobody has said that it is flown so (issue 6). Who may be flown over by
category: 14 CFR 107.110 to 107.140.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.plan.aircraft import OverPeople
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.performance import Performance
from planner.rules import transit_beneath
from planner.rules.finding import Mark
from planner.rules.transit_beneath import people_on_the_way
from planner.rules.undrawn import UndrawnWay
from tests.rules.hand_made import complete
from tests.rules.test_transit_beneath_by_hand import FRAME
from tests.worlds import GROUND_M

SLOW, FAST, UNSAID = Performance(cruise_mps=5.0), Performance(cruise_mps=20.0), Performance()


def spot(east, north, kind=BeneathKind.PEOPLE, name="M"):
    return BeneathItem(kind, DrawnAs.SPOT, (FRAME.xy_to_place(east, north),), name=name, half_width_m=0.5)


@pytest.fixture
def told(monkeypatch):
    """What is told of a way of 400 m to the east that rises from the ground to 40 m."""

    def told_of(*people, able=SLOW, own_m=None, leg_mps=None, legs_mps=(), **craft):
        ground_m = np.full(201, GROUND_M)
        rising_m = ground_m + np.linspace(0.0, 40.0, 201)
        way = UndrawnWay("W", shapely.LineString([(0.0, 0.0), (400.0, 0.0)]), ground_m, rising_m)
        monkeypatch.setattr(transit_beneath, "ways_not_drawn", lambda *_: [way])
        base = complete()
        aircraft = attrs.evolve(base.plan.aircraft, performance=able, **craft)
        plan = attrs.evolve(base.plan, aircraft=aircraft, beneath=people, own_people_distance_m=own_m)
        legs = [attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=leg_mps)) for one in plan.path]
        legs += [attrs.evolve(legs[0], leg=attrs.evolve(legs[0].leg, speed_mps=one)) for one in legs_mps]
        plan = attrs.evolve(plan, path=tuple(legs))
        return next(people_on_the_way(attrs.evolve(base, plan=plan)), None)

    return told_of


@pytest.mark.parametrize(
    ("east", "north", "able", "near"),
    [
        # 30 m up: 1:1 is 30 m; at 5 m/s the fall reaches 12.4 m, at 20 m/s 49.5 m.
        (300, 29, SLOW, True),
        (300, 32, SLOW, False),
        (300, 48, FAST, True),
        (300, 54, FAST, False),
        # Nobody says how fast: at 87 kt (44.8 m/s) 110.7 m, farther along 127.8 m at the most.
        (300, 108, UNSAID, True),
        (300, 130, UNSAID, False),
        # 5 m up.
        (50, 11, SLOW, False),
    ],
)
def test_who_is_nearer_than_what_fails_there_may_come_leaves_it_open(told, east, north, able, near):
    found = told(spot(east, north), able=able)
    assert (found is not None) is near
    if found:
        assert found.mark is Mark.UNKNOWN
        assert "beside M: nearer than what fails there may come" in found.message


@pytest.mark.parametrize(("leg_mps", "able", "near"), [(5.0, UNSAID, False), (20.0, UNSAID, True),
                                                       (20.0, SLOW, True), (5.0, FAST, True)])  # fmt: skip
def test_as_fast_as_cruise_or_the_fastest_leg(told, leg_mps, able, near):
    """48 m beside where it is 30 m up: at 20 m/s the fall reaches 49.5 m."""
    assert (told(spot(300, 48), able=able, leg_mps=leg_mps) is not None) is near


@pytest.mark.parametrize(("own_m", "north", "near"), [(10.0, 20, False), (60.0, 55, True), (60.0, 62, False)])
def test_the_pilots_own_distance_takes_its_place(told, own_m, north, near):
    found = told(spot(300, north), own_m=own_m)
    assert (found is not None) is near
    if found:
        assert "nearer than you want" in found.message


def test_beneath_it_own_distance_or_not_it_is_open(told):
    found = told(spot(300, 3), own_m=1.0)
    assert "leads over M, or within" in found.message


def test_who_is_beneath_is_told_before_who_is_near(told):
    found = told(spot(300, 20, name="NEAR"), spot(300, 0, name="BENEATH"))
    assert "leads over BENEATH" in found.message
    assert "NEAR" not in found.message


@pytest.mark.parametrize("north", [0, 20])
def test_by_category_it_is_something_to_do(told, north):
    category = {"over_people": OverPeople.CATEGORY_1, "take_off_weight_kg": 0.24}
    assert told(spot(300, north), **category).mark is Mark.ACT
    # 14 CFR 107.125(a): Category 3 never over an open-air assembly; what may be passed over hides it not.
    category["over_people"] = OverPeople.CATEGORY_3
    both = [spot(300, north), spot(300, north, BeneathKind.GATHERING, "CROWD")]
    for people in (both, both[::-1]):
        assert told(*people, **category).mark is Mark.UNKNOWN
    assert told(both[0], **category).mark is Mark.ACT


def test_of_several_legs_the_fastest_that_is_flown_counts(told):
    """What stands at the last point is flown by nobody: no leg leaves it."""
    for legs_mps, near in (((20.0, 5.0), True), ((5.0, 20.0, 5.0), True), ((5.0, 5.0, 20.0), False)):
        assert (told(spot(300, 48), able=UNSAID, leg_mps=5.0, legs_mps=legs_mps) is not None) is near


@pytest.mark.parametrize(("long_m", "mark"), [(99.0, Mark.ACT), (100.5, Mark.UNKNOWN)])
def test_over_more_than_100_m_of_somebody_it_stays(told, long_m, mark):
    """14 CFR 107.125: Category 3 is not sustained over people; that 100 m are it is our own choice."""
    corners = [FRAME.xy_to_place(*one) for one in shapely.box(250, -5, 250 + long_m, 5).exterior.coords[:-1]]
    people = BeneathItem(BeneathKind.PEOPLE, DrawnAs.AREA, tuple(corners), name="M")
    category = {"over_people": OverPeople.CATEGORY_3, "take_off_weight_kg": 0.24}
    assert told(people, **category).mark is mark
    # Who is beside it is never stayed over.
    assert told(spot(300, 20), **category).mark is Mark.ACT


def test_how_near_is_told_at_the_nearest(told):
    """20 m less the half metre of the spot: 63.98 ft, rounded down."""
    assert "passes 63 ft beside M" in told(spot(300, 20)).message
    for two in ((20, 25), (25, 20)):
        assert "passes 63 ft beside M" in told(*(spot(300, north) for north in two)).message
