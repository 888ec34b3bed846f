"""A return passed close beside what is shut, part by part: ways on lost link put in by hand.

What is shut: 14 CFR 107.41, 107.45 and part 73 (check_values 1.17, standing A). 8 m are the error of a
satellite fix (GPS SPS Performance Standard 2020, from memory), 20 m what counts as beside (own choice).
"""

from functools import lru_cache

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.beside_return import return_close_beside
from planner.rules.finding import Mark
from planner.rules.lost_ways import comes_into, losses_of
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, above_ground, area, at, box, plan, points, polygon, volume, world

LOW_M, LEVEL_M = GROUND_M + 30.0, GROUND_M + 45.0
PATH = {
    "path": points([(0, 0, 30.0), (300, 0, 30.0)]),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(300, 0), LandStatus.OWN),
}


@lru_cache(maxsize=16)
def flight(*airspace):
    """It returns by itself, 45 m above its launch point; to (0, 0), along its own path."""
    craft = attrs.evolve(
        plan().aircraft, link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(45.0))
    )
    return judged(plan(aircraft=craft, **PATH), world(airspace=airspace))


def told(airspace, begin, home, low_m=LOW_M, level_m=LEVEL_M, north_m=None):
    """What is told of returns that all begin to climb at one place and end at another.

    `north_m`: how far north of HERE each begins, if not all at one place.
    """
    case = flight(*airspace)
    loss = case.flight.loss
    n = len(loss.clearance_m)
    x_m, y_m, amsl_m = (np.empty((n, 4)) for _ in range(3))
    frame = case.mapped.frame
    (begin_x, begin_y), (home_x, home_y) = (frame.place_to_xy(at(*each)) for each in (begin, home))
    x_m[:, :3], x_m[:, 3] = begin_x, home_x
    y_m[:, :3], y_m[:, 3] = begin_y, home_y
    if north_m is not None:
        y_m[:, :3] = np.array([frame.place_to_xy(at(begin[0], each))[1] for each in north_m])[:, None]
    amsl_m[:, :2] = np.broadcast_to(np.asarray(low_m), (n,))[:, None]
    amsl_m[:, 2:] = np.broadcast_to(np.asarray(level_m), (n,))[:, None]
    loss = attrs.evolve(loss, corner_x_m=x_m, corner_y_m=y_m, corner_amsl_m=amsl_m)
    return list(return_close_beside(attrs.evolve(case, flight=attrs.evolve(case.flight, loss=loss))))


def shut(west, south, east, north, **limits):
    return volume(AirspaceKind.RESTRICTED, box(west, south, east, north), name="SHUT", **limits)


# From (300, 400) home to (0, 400): far from the path.
BEGIN, HOME = (300.0, 400.0), (0.0, 400.0)


@pytest.mark.parametrize(
    ("aside_m", "mark"), [(3.0, Mark.UNKNOWN), (12.0, Mark.ACT), (19.5, Mark.ACT), (20.5, None)]
)
@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("way", "Its way home on lost link is"),
        ("home", "Where the aircraft comes down by itself on lost link it is"),
        ("begin", "Where its return on lost link climbs it is"),
    ],
)
def test_each_part_of_a_return_is_beside_at_its_own_heights(where, words, aside_m, mark):
    """Its way home at 45 m; beneath that only what it climbs and comes down through counts."""
    outline, limits = {
        "way": ((100, 400 + aside_m, 200, 500), {"floor": above_ground(40.0), "top": above_ground(50.0)}),
        "home": ((-100, 380, -aside_m, 420), {"top": above_ground(10.0)}),
        "begin": (
            (300 + aside_m, 380, 400, 420),
            {"floor": above_ground(32.0), "top": above_ground(40.0)},
        ),
    }[where]
    found = told((shut(*outline, **limits),), BEGIN, HOME)
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert words in one.message
        assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)


@pytest.mark.parametrize(
    ("floor_m", "top_m", "number"), [(46.0, 60.0, 0), (44.0, 60.0, 1), (0.0, 44.0, 0), (0.0, 46.0, 1)]
)
def test_over_or_under_it_the_way_home_is_beside_nothing(floor_m, top_m, number):
    outline = shut(100, 405, 200, 500, floor=above_ground(floor_m), top=above_ground(top_m))
    assert len(told((outline,), BEGIN, HOME)) == number


@pytest.mark.parametrize(("top_m", "number"), [(29.0, 0), (31.0, 1)])
def test_what_ends_beneath_where_the_climb_begins_is_not_beside_it(top_m, number):
    assert len(told((shut(305, 380, 400, 420, top=above_ground(top_m)),), BEGIN, HOME)) == number


def test_where_it_comes_down_the_highest_of_all_returns_counts():
    """One of them comes home at 80 m, all others at 45 m: it comes down through 60 m."""
    n = len(flight().flight.loss.clearance_m)
    level_m = np.full(n, LEVEL_M)
    level_m[n // 2] = GROUND_M + 80.0
    high = shut(-100, 380, -5, 420, floor=above_ground(55.0), top=above_ground(70.0))
    (one,) = told((high,), BEGIN, HOME, level_m=level_m)
    assert "comes down by itself" in one.message
    assert not told((high,), BEGIN, HOME)


@pytest.mark.parametrize(
    ("top_m", "aside_m", "words"), [(10.0, 5.0, "comes down by itself"), (35.0, 3.0, "climbs it is")]
)
def test_of_two_parts_the_nearer_that_is_at_its_height_is_told(top_m, aside_m, words):
    """5 m beside home, 3 m beside where it climbs from 30 m on; joined far to the north."""
    ring = [(-100, 380), (-5, 380), (-5, 500), (303, 500), (303, 380), (400, 380), (400, 600), (-100, 600)]
    about = volume(AirspaceKind.RESTRICTED, polygon(ring), name="SHUT", top=above_ground(top_m))
    (one,) = told((about,), BEGIN, HOME)
    assert words in one.message
    assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)


def test_of_two_airspaces_each_is_told_once():
    one = shut(100, 405, 200, 500)
    other = volume(AirspaceKind.CLASS_D, box(-100, 380, -12, 420), name="D")
    found = told((one, other), BEGIN, HOME)
    assert sorted(each.numbers["aside_m"] for each in found) == pytest.approx([5.0, 12.0], abs=0.05)


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        (AirspaceKind.RESTRICTED, 1),
        (AirspaceKind.CLASS_D, 1),
        (AirspaceKind.CLASS_E4, 1),
        (AirspaceKind.CLASS_E_OTHER, 0),
        (AirspaceKind.ALERT, 0),
    ],
)
def test_beside_what_may_be_flown_in_nothing_is_told(kind, number):
    """Of Class E that is no surface area only a recreational flight asks: 49 USC 44809(a)(6)."""
    assert len(told((volume(kind, box(100, 405, 200, 500), name="X"),), BEGIN, HOME)) == number


def test_what_the_return_itself_comes_into_is_told_as_such():
    assert not told((shut(100, 395, 200, 500),), BEGIN, HOME)


def test_what_the_flight_itself_passes_close_beside_or_flies_in_is_told_of_the_flight():
    """The return passes 10 m north of a strip that the path passes 12 m south of, or 5 m north of one that it
    passes 7 m south of, and 10 m beside an extension that the path lies in."""
    assert not told((shut(100, 12, 200, 15),), (300.0, 25.0), (0.0, 25.0))
    assert not told((shut(100, 7, 200, 15),), (300.0, 20.0), (0.0, 20.0))
    extension = volume(AirspaceKind.CLASS_E4, box(-50, -50, 350, 50), name="E4")
    assert not told((extension,), (300.0, 60.0), (0.0, 60.0))


def test_a_return_that_leaves_open_what_the_flight_does_not_is_told():
    """5 m beside what the path passes 12 m beside: within 8 m it is open."""
    (one,) = told((shut(100, 12, 200, 15),), (300.0, 20.0), (0.0, 20.0))
    assert (one.mark, one.numbers["aside_m"]) == (Mark.UNKNOWN, pytest.approx(5.0, abs=0.01))


def test_on_its_way_each_return_counts_at_its_own_height():
    """All but one come home at 45 m; one at 80 m, but far to the north of what is shut from 60 m to 70 m."""
    n = len(flight().flight.loss.clearance_m)
    high = np.arange(n) == n // 2
    north_m = np.where(high, 700.0, 400.0)
    level_m = np.where(high, GROUND_M + 80.0, LEVEL_M)
    strip = shut(100, 405, 200, 500, floor=above_ground(60.0), top=above_ground(70.0))
    assert not told((strip,), BEGIN, HOME, level_m=level_m, north_m=north_m)
    strip = shut(100, 405, 200, 500, floor=above_ground(40.0), top=above_ground(70.0))
    assert told((strip,), BEGIN, HOME, level_m=level_m, north_m=north_m)


def test_of_all_returns_the_nearest_that_is_at_its_height_is_told():
    n = len(flight().flight.loss.clearance_m)
    odd = np.arange(n) % 2 == 1
    # One passes over it all; the others count.
    level_m = np.where(np.arange(n) == n // 2, GROUND_M + 80.0, LEVEL_M)
    strip = shut(100, 405, 200, 500, floor=above_ground(40.0), top=above_ground(70.0))
    assert len(told((strip,), BEGIN, HOME, level_m=level_m)) == 1
    # Level from (300, 400) or from (300, 388) to (0, 400): 5 m beside, or more.
    (one,) = told((strip,), BEGIN, HOME, north_m=np.where(odd, 400.0, 388.0))
    assert one.numbers["aside_m"] == pytest.approx(5.0, abs=0.05)


def test_what_is_done_on_lost_link_is_asked_of_path_and_area():
    """Along a path its places are in a row; of an area they are not: between two nothing is flown."""
    case = flight()
    assert list(losses_of(case)) == [(case.flight.loss, True)]
    unsaid = attrs.evolve(case, flight=attrs.evolve(case.flight, loss=None))
    assert list(losses_of(unsaid)) == list(losses_of(attrs.evolve(case, flight=None))) == []
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    over = judged(plan(aircraft=case.plan.aircraft, path=(), area=drawn))
    assert list(losses_of(over)) == [(loss, False) for loss in over.area_flight.losses]
    assert len(over.area_flight.losses) > 1


def test_without_charts_there_is_nothing_to_be_beside():
    (one,) = flight(shut(100, -5, 200, 500)).mapped.airspace.items()
    assert not comes_into(attrs.evolve(flight(), mapped=None), *one)
    assert not list(return_close_beside(attrs.evolve(flight(), mapped=None)))


@pytest.mark.parametrize("action", [LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD])
@pytest.mark.parametrize(
    ("aside_m", "mark"), [(3.0, Mark.UNKNOWN), (10.0, Mark.ACT), (19.0, Mark.ACT), (21.0, None)]
)
def test_what_comes_down_where_it_is_may_come_down_close_beside(action, aside_m, mark):
    """The path runs 53 m up, past what is shut up to 32 m: only what comes down reaches its heights."""
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(action, 1.0))
    away = {
        "path": points([(0, 0, 53.0), (300, 0, 53.0)]),
        "launch": GroundSpot(at(0, -60), LandStatus.OWN),
        "landing": GroundSpot(at(300, -60), LandStatus.OWN),
    }
    low = shut(-50, aside_m, 350, 100, top=above_ground(32.0))
    found = list(return_close_beside(judged(plan(aircraft=craft, **away), world(airspace=(low,)))))
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert "Where the aircraft comes down by itself on lost link it is" in one.message
        assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)
    high = shut(-50, aside_m, 350, 100, floor=above_ground(56.0))
    assert not list(return_close_beside(judged(plan(aircraft=craft, **away), world(airspace=(high,)))))
