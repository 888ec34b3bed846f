"""Where a flight in an area may fly on to whose speed nobody said, and links too weak low in it: by hand.

No law speaks of it: what is open, what something to do, and how much of it is named is the project's own.
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.area_low_links import LowLink
from planner.flight.area_places import only
from planner.flight.area_waits import Waits
from planner.flight.below import Below
from planner.plan.aircraft import LinkLoss
from planner.rules import area_links, area_waits
from planner.rules.area_flight import people_inside, things_inside
from planner.rules.finding import Mark
from planner.rules.flight_wind import area_in_lee
from planner.rules.stretches import place_at
from tests.rules.test_area_links_by_hand import CASE, LAND, PLACES, free, linked, near, row, the
from tests.rules.test_area_waits_by_hand import waiting

MAST = ("structure", 2)


def may_fly_on(reach_m, **of_it):
    made = waiting(0.0)
    most = Waits(reach_m, **of_it)
    return the(
        area_waits.may_fly_on,
        attrs.evolve(made, area_flight=attrs.evolve(made.area_flight, most_waits=most)),
    )


@pytest.mark.parametrize(
    ("reach_m", "clearance_m", "over", "told"),
    [
        (90.0, -3.0, None, (Mark.UNKNOWN, "the ground")),
        (90.0, math.nan, None, (Mark.UNKNOWN, "ground that is not known")),
        (90.0, -3.0, MAST, (Mark.ACT, "M2")),
        (90.0, 0.0, MAST, (Mark.ACT, "M2")),
        (0.5, -3.0, MAST, (Mark.ACT, "M2")),
        (90.0, 0.1, MAST, None),
        (90.0, math.inf, None, None),
        (0.0, -3.0, None, None),
        (math.nan, -3.0, None, None),
    ],
)
def test_what_it_may_fly_on_into_at_the_speed_limit_is_told(reach_m, clearance_m, over, told):
    one = may_fly_on(reach_m, clearance_m=clearance_m, over=over)
    assert (one is None) is (told is None)
    if one:
        mark, what = told
        assert (one.rule, one.mark) == ("reach-not-known", mark)
        assert one.title == f"Whether it flies on into {what} on lost link is not known"
        assert one.message.endswith(f"At the area's top that may end in {what}.")
        assert one.numbers == {"reach_m": reach_m}


def test_what_stands_lower_beside_the_edge_is_told_where_nothing_worse_is():
    low = tuple(("structure", k) for k in (0, 1, 1, 2, 3, 4, 5))
    one = may_fly_on(90.0, clearance_m=0.1, low_over=low)
    assert (one.rule, one.mark) == ("link-loss-flies-on", Mark.ACT)
    assert one.message.endswith("may end in M0, M1, M2, M3, M4.")
    assert may_fly_on(90.0, clearance_m=0.0, over=MAST, low_over=low).rule == "reach-not-known"
    assert may_fly_on(0.0, clearance_m=0.1, low_over=low) is None


def test_without_an_area_or_an_action_it_flies_on_nowhere():
    told = free(LinkLoss(LAND, 2.0), most_waits=Waits(90.0, clearance_m=-3.0))
    assert the(area_waits.may_fly_on, told)
    craft = attrs.evolve(told.plan.aircraft, link_loss=None)
    for lacking in ({"area_flight": None}, {"plan": attrs.evolve(told.plan, aircraft=craft)}):
        assert the(area_waits.may_fly_on, attrs.evolve(told, **lacking)) is None


def test_without_charts_what_stands_there_has_no_name():
    blind = attrs.evolve(waiting(0.0), mapped=None)
    most = Waits(90.0, clearance_m=-3.0, over=MAST)
    made = attrs.evolve(blind, area_flight=attrs.evolve(blind.area_flight, most_waits=most))
    assert "into the ground on lost link" in the(area_waits.may_fly_on, made).title


# ---- inside


@pytest.mark.parametrize(("apart_m", "inside"), [(0.0, True), (0.5, False)])
@pytest.mark.parametrize(
    ("rule", "below"), [(people_inside, Below.PEOPLE), (things_inside, Below.ROAD)], ids=["people", "road"]
)
def test_who_is_half_a_metre_beside_an_area_is_not_inside(rule, below, apart_m, inside):
    assert bool(the(rule, free(nearby=(near(below, apart_m),)))) is inside


# ---- in the lee


def test_an_area_partly_in_the_lee_is_something_to_do():
    # 60 m up are 196.9 ft, rounded to 197: the first place in the lee is the one that is told.
    places = attrs.evolve(PLACES, planned_amsl_m=PLACES.ground_amsl_m + row(90.0, {0: 60.0}))
    case = free(in_lee=places)
    one = the(area_in_lee, case)
    assert (one.rule, one.mark, one.place) == ("in-lee", Mark.ACT, place_at(PLACES, 0))
    assert "above an aircraft 197 ft up." in one.message
    none = only(places, np.zeros(len(places), dtype=bool))
    for lee in (None, none):
        assert the(area_in_lee, free(in_lee=lee)) is None
    # A path has its own answer.
    assert the(area_in_lee, attrs.evolve(case, flight=object())) is None
    assert the(area_in_lee, attrs.evolve(case, area_flight=None)) is None


# ---- links low in the area


@pytest.mark.parametrize(
    ("holds_from_m", "words"),
    [
        # 20 m are 65.6 ft, rounded up.
        (20.0, "From 66 ft up it keeps them wherever it was asked."),
        (math.nan, "Only at the top it keeps them everywhere."),
    ],
)
def test_a_link_too_weak_low_is_told_where_it_is_weakest(holds_from_m, words):
    (weak,) = linked(row(8.0, {2: math.nan, 3: 5.0, 4: 6.0}))
    one = LowLink(weak.radio, weak, PLACES, 4.0, holds_from_m)
    assert the(area_links.low_margins, attrs.evolve(CASE, area_flight=None)) is None
    found = the(area_links.low_margins, free(low_links=(one,)))
    assert (found.rule, found.mark, found.place) == ("link-weak-low", Mark.ACT, place_at(PLACES, 3))
    assert found.numbers == {"margin_db": 5.0, "wanted_db": 10.0}
    assert words in found.message
    # 4 m are 13.1 ft, rounded up.
    assert "5 dB over its sensitivity 14 ft above the ground where it is weakest; 10 dB" in found.message
