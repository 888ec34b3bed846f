"""Drawn trees and buildings passed close beside: distances by hand, over level ground.

That no aircraft is more exactly on its path than 7 m, and half its size, is check value 8.4 (satellites,
holding a place, map); what follows from it beside a house is our own rule.
"""

import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.rules.cover_beside import _lower
from planner.rules.finding import Mark
from planner.world.sites import GroundFeature, GroundKind
from tests import worlds
from tests.rules.test_area_flight import judged as in_area
from tests.rules.test_beneath_rules import finding, item, judged

WIDE_M = 7.0 + worlds.plan().aircraft.largest_dimension_m / 2


def stand(south_m, kind=BeneathKind.BUILDING, height_m=60.0):
    """It begins so far north of the path, of a flying area of 400 m so far north of its edge."""
    corners = ((150, south_m), (190, south_m), (190, south_m + 40), (150, south_m + 40))
    return item(kind, DrawnAs.AREA, *corners, name="House (INVENTED)", height_m=height_m)


@pytest.mark.parametrize("kind", [BeneathKind.BUILDING, BeneathKind.TREES])
@pytest.mark.parametrize(("aside_m", "told"), [(0.3, True), (WIDE_M - 0.2, True), (WIDE_M + 0.2, False)])
def test_lower_than_its_top_and_nearer_than_it_keeps_its_place_is_something_to_do(kind, aside_m, told):
    act = finding(judged(stand(aside_m, kind), height_m=30.0), "close-beside-cover")
    assert (act is not None) is told
    if act is not None:
        assert act.mark is Mark.ACT
        assert act.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)
        assert 149.0 <= act.from_m <= 191.0


def test_above_its_top_or_led_into_it_is_not_beside_it():
    assert finding(judged(stand(1.0, height_m=29.0), height_m=30.0), "close-beside-cover") is None
    into = judged(stand(-1.0), height_m=30.0)
    assert finding(into, "close-beside-cover") is None
    assert finding(into, "into-cover").mark is Mark.STOP


def test_of_several_the_nearest_is_told():
    act = finding(judged(stand(5.0), stand(-43.0), height_m=30.0), "close-beside-cover")
    assert act.numbers["aside_m"] == pytest.approx(3.0, abs=0.05)


@pytest.mark.parametrize(("aside_m", "told"), [(0.3, True), (WIDE_M + 0.2, False), (-10.0, False)])
def test_a_flying_area_ends_close_beside_it_too(aside_m, told):
    act = finding(in_area(stand(200.0 + aside_m)), "close-beside-cover")
    assert (act is not None) is told
    if act is not None:
        assert act.message.startswith("The flying area ends ")


def test_of_several_beside_an_area_the_nearest_is_told():
    act = finding(in_area(stand(205.0), stand(-243.0)), "close-beside-cover")
    assert act.numbers["aside_m"] == pytest.approx(3.0, abs=0.05)


def _beside(answer):
    return [one for one in answer.findings if one.rule == "close-beside-cover"]


@pytest.mark.parametrize(("aside_m", "told"), [(0.3, True), (WIDE_M + 0.2, False)])
def test_of_no_height_it_may_be_as_high_as_it_is_flown(aside_m, told):
    """Straight over it that is told as well (`cover-without-height`); our own rule."""
    for answer, begins in (
        (judged(stand(aside_m, height_m=None), height_m=30.0), "At 1"),
        (in_area(stand(200.0 + aside_m, height_m=None)), "The flying area ends"),
    ):
        found = _beside(answer)
        assert len(found) is int(told)
        for act in found:
            assert act.mark is Mark.ACT
            assert act.message.startswith(begins)
            assert "nobody has said how high it is" in act.message
            assert act.remedy.startswith("say how high")


def test_what_says_its_height_does_not_hide_behind_what_does_not():
    both = judged(stand(5.0), stand(-43.0, height_m=None), height_m=30.0)
    assert [round(one.numbers["aside_m"]) for one in _beside(both)] == [5, 3]


@pytest.mark.parametrize(("flown_m", "told"), [(19.0, True), (21.0, False)])
def test_what_is_charted_without_a_height_may_be_20_m_high(flown_m, told):
    """That it may be so high is our own choice, as for sight."""
    corners = [worlds.at(*one) for one in ((150, 2), (190, 2), (190, 40), (150, 40))]
    outline = shapely.Polygon([(place.lon_deg, place.lat_deg) for place in corners])
    house = GroundFeature(GroundKind.BUILDING, "House (INVENTED)", outline)
    path = worlds.points([(0, 0, flown_m), (400, 0, flown_m)])
    charted = assess(worlds.plan(path=path), worlds.world(ground_features=(house,)))
    assert charted.case.flight.beneath.things
    assert bool(_beside(charted)) is told


def climbing(points, height_m=50.0, aside_m=3.0):
    hall = GroundFeature(GroundKind.BUILDING, "HALL (INVENTED)", worlds.box(aside_m, -20, 60, 20), height_m)
    flight = worlds.plan(path=worlds.points(points))
    return _beside(assess(flight, worlds.world(ground_features=(hall,))))


@pytest.mark.parametrize(("height_m", "told"), [(4.0, True), (20.0, True), (59.0, True), (61.0, True)])
def test_straight_up_past_its_top_is_beside_it_as_far_as_it_is_lower(height_m, told):
    """A climb out beside a house: the trade's daily bread (common practice)."""
    found = climbing([(0, 0, 1.0), (0, 0, 60.0), (-200, 0, 60.0)], height_m)
    assert bool(found) is told
    for act in found:
        assert act.mark is Mark.ACT
        assert act.numbers["aside_m"] == pytest.approx(3.0, abs=0.05)


def test_of_a_climb_only_what_is_lower_than_its_top_counts():
    """It rises 10 m over each metre toward the hall: at its top, 25 m, it is 6.0 m away; higher nearer."""
    (act,) = climbing([(-7.0, 0, 0.5), (-0.5, 0, 65.5)], 25.0, aside_m=1.45)
    assert act.numbers["aside_m"] == pytest.approx(1.45 + 0.5 + 4.05, abs=0.1)
    assert not climbing([(-18.0, 0, 1.0), (-8.0, 0, 101.0)], 25.0, aside_m=1.45)
    down = climbing([(-0.5, 0, 65.5), (-7.0, 0, 0.5)], 25.0, aside_m=1.45)
    assert down[0].numbers["aside_m"] == pytest.approx(6.0, abs=0.1)


def test_where_one_end_of_a_piece_is_not_known_all_of_it_counts():
    pieces, begin, end = _lower(np.array([10.0, np.nan, 30.0, 30.0, 10.0, 10.0]), 20.0)
    assert pieces.tolist() == [0, 3, 4]
    assert begin.tolist() == [0.0, 0.5, 0.0]
    assert end.tolist() == [1.0, 1.0, 1.0]


def test_of_a_climb_or_a_dive_past_its_top_the_lower_part_counts():
    pieces, begin, end = _lower(np.array([5.0, 10.0, 30.0, 50.0, 10.0]), 20.0)
    assert pieces.tolist() == [0, 1, 3]
    assert begin.tolist() == [0.0, 0.0, 0.75]
    assert end.tolist() == [1.0, 0.5, 1.0]
