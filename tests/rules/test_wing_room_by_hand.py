"""The room a wing takes where its link is lost, with ways home, headings and speeds put in by hand.

A turn on a circle of radius r by an angle t swings r (1 - cos t) aside and r sin t ahead (trigonometry). That
it may turn to either side, and places in a row are looked at together, is our own rule (issue 6).
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below
from planner.flight.wind import Wind
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction, OverPeople
from planner.rules import wing_room
from planner.rules.finding import Mark
from planner.rules.wing_room import (
    _firsts,
    _gain,
    _heading,
    _just_up,
    _room,
    _turns,
    room_where_lost,
    turn_speed_mps,
)
from planner.world.buildings import Building
from tests.rules.test_area_links_by_hand import FLIGHT as IN_AREA
from tests.rules.test_wing_turns_by_hand import case, square, thing
from tests.worlds import at

R, GROWN_M = 40.0, 7.0
EAST, NORTH = 0.0, math.pi / 2


def ways(*places, home=(0.0, 0.0), climb_m=0.0, landed=None):
    """Ways home from (x, y, height) each: level, then down over home; `climb_m` up before that."""
    x_m, y_m, level_m = np.array(places, dtype=float).T
    to = np.ones_like(x_m)
    return SimpleNamespace(
        failsafe=SimpleNamespace(action=LinkLossAction.RETURN_FIXED),
        corner_x_m=np.column_stack([x_m, x_m, x_m, home[0] * to]),
        corner_y_m=np.column_stack([y_m, y_m, y_m, home[1] * to]),
        corner_amsl_m=np.column_stack([level_m, level_m, level_m + climb_m, 0 * to]),
        landed=landed,
    )


def room_of(loss, heading, *, in_row, just_up=None):
    low = np.zeros(len(heading), dtype=bool) if just_up is None else np.array(just_up)
    way = np.array(heading), _turns(loss, np.array(heading))
    return _room(loss, way, R, GROWN_M, low, in_row=in_row)


def bounds(room):
    return [np.round(np.array(one.bounds) / R, 2).tolist() for one in room.shapes]


@pytest.mark.parametrize(
    ("place", "home", "heading", "climb_m", "about"),
    [
        # Home lies behind: it turns about, on whole circles to either side.
        ((100.0, 50.0), (-100.0, 50.0), EAST, 0.0, (1.0, 2.0)),
        ((100.0, 50.0), (100.0, -50.0), NORTH, 0.0, (2.0, 1.0)),
        ((100.0, 50.0), (-100.0, 50.0), -math.pi, 0.0, None),
        # At right angles, by 60 and by 120 degrees.
        ((100.0, 50.0), (100.0, -50.0), EAST, 0.0, (1.0, 1.0)),
        ((0.0, 0.0), (50.0, 86.6025), EAST, 0.0, (0.87, 0.87)),
        ((0.0, 0.0), (-50.0, 86.6025), EAST, 0.0, (1.0, 1.5)),
        # Straight ahead it takes no room, unless it climbs in circles, or nobody knows where it flies to.
        ((0.0, 0.0), (500.0, 0.0), EAST, 0.0, None),
        ((0.0, 0.0), (500.0, 0.0), EAST, 0.9, None),
        ((0.0, 0.0), (500.0, 0.0), EAST, 1.5, (1.0, 2.0)),
        ((0.0, 0.0), (500.0, 0.0), math.nan, 0.0, (2.0, 2.0)),
        # Less than it may be beside its place anyway: 40 m x (1 - cos 30 degrees) = 5.4 m.
        ((0.0, 0.0), (86.6025, 50.0), EAST, 0.0, None),
    ],
)
def test_how_much_room_it_takes(place, home, heading, climb_m, about):
    loss = ways((*place, 300.0), home=home, climb_m=climb_m)
    room = room_of(loss, [heading], in_row=False)
    if about is None:
        assert room is None
        return
    (x, y), (wide, high) = (place[0] / R, place[1] / R), about
    assert bounds(room) == [pytest.approx([x - wide, y - high, x + wide, y + high], abs=0.015)]
    # Places lie all over the shape and in it.
    (shape,), (places,) = room.shapes, room.places
    assert shapely.buffer(shape, 0.02 * R).contains(shapely.MultiPoint(places))
    reached = np.abs(places / R - (x, y)).max(axis=0)
    assert reached == pytest.approx([wide, high], abs=0.02)
    assert room.level_m.tolist() == [300.0]


@pytest.mark.parametrize("unknown", [(math.nan, math.nan, 300.0), (0.0, 0.0, math.nan)])
def test_what_is_not_known_takes_none(unknown):
    loss = ways(unknown, (100.0, 0.0, 300.0))
    room = room_of(loss, [EAST, EAST], in_row=False)
    assert room.sample.tolist() == [1]


def test_places_in_a_row_are_looked_at_together_as_low_and_as_wide_as_they_are():
    # Two within a quarter of the radius, of which the first turns by 90 degrees and the other by 180.
    loss = ways((0.0, 0.0, 320.0), (8.0, 0.0, 310.0), (30.0, 0.0, 330.0), home=(-500.0, 0.0))
    heading = [NORTH, EAST, EAST]
    one, other = (room_of(loss, heading, in_row=in_row) for in_row in (True, False))
    assert (one.sample.tolist(), one.level_m.tolist()) == ([0, 2], [310.0, 330.0])
    assert (other.sample.tolist(), other.level_m.tolist()) == ([0, 1, 2], [320.0, 310.0, 330.0])
    # Turning about on 40 m, and 10 m more for the other place; its sides lie east and west.
    assert bounds(one)[0] == pytest.approx([-2.25, -1.25, 2.25, 1.25], abs=0.01)


@pytest.mark.parametrize(
    ("step_m", "firsts"), [(5.0, [0, 2, 3]), (0.0, [0, 1, 2, 3]), (-1.0, [0, 1, 2, 3]), (100.0, [0])]
)
def test_where_groups_of_a_row_begin(step_m, firsts):
    x_m, y_m = np.array([0.0, 3.0, 3.0, 17.0]), np.array([0.0, 0.0, 3.0, 3.0])
    together = np.zeros(4, dtype=bool)
    assert _firsts(x_m, y_m, step_m, together).tolist() == firsts
    assert _firsts(x_m[:0], y_m[:0], step_m, together[:0]).tolist() == []
    # What is as low as everybody is who takes off or lands is a group of its own.
    apart = np.array([True, False, False, False])
    assert _firsts(x_m, y_m, step_m, apart).tolist() == sorted({0, 1, *firsts})


def test_what_is_just_off_the_ground_is_looked_at_by_itself():
    loss = ways((0.0, 0.0, 301.0), (1.0, 0.0, 320.0), (2.0, 0.0, 319.0), home=(-500.0, 0.0))
    room = room_of(loss, [EAST] * 3, in_row=True, just_up=[True, False, False])
    assert (room.sample.tolist(), room.just_up.tolist()) == ([0, 1], [True, False])
    assert room.level_m.tolist() == [301.0, 319.0]


class Samples(SimpleNamespace):
    def __len__(self):
        return len(self.x_m)


def test_what_has_landed_turns_nowhere():
    loss = ways((10.0, 0.0, 300.0), (10.0, 0.0, 300.0), landed=np.array([True, False]))
    assert _turns(loss, np.array([EAST, EAST])) == pytest.approx([0.0, math.pi])


def test_just_off_the_ground_is_low_and_near_where_it_takes_off_or_lands():
    """Below 10 m within two radii of launch or landing: own choice; both lie 600 m south."""
    x_m = 50.0 + np.array([0.0, 0.0, 2 * R - 1, 2 * R + 1, 0.0, 30.0])
    y_m = np.array([-600.0, -600.0, -600.0, -600.0, 0.0, 600.0])
    flown = Samples(x_m=x_m, y_m=y_m, planned_agl_m=np.array([5.0, 10.0, 9.9, 5.0, 5.0, 5.0]))
    base, home = case(), [True, False, True, False, False, False]
    there = attrs.evolve(base.plan.launch, place=at(50.0, -600.0))
    base = attrs.evolve(base, plan=attrs.evolve(base.plan, launch=there, landing=there))
    assert _just_up(base, flown, R).tolist() == home
    for spot in ("launch", "landing"):
        one = attrs.evolve(base, plan=attrs.evolve(base.plan, **{spot: None}))
        assert _just_up(one, flown, R).tolist() == home
    nowhere = attrs.evolve(base, plan=attrs.evolve(base.plan, launch=None, landing=None))
    assert not _just_up(nowhere, flown, R).any()


# ---- how fast, and where to


def fast(
    *winds,
    ground_mps=(12.0, 9.0),
    fastest=(),
    elsewhere=(),
    back_mps=16.0,
    high_m=(60.0, 0.0),
    action=LinkLossAction.RETURN_FIXED,
):
    level = 300.0 + np.array(high_m)
    loss = SimpleNamespace(
        failsafe=SimpleNamespace(speed_mps=back_mps, action=action),
        corner_amsl_m=np.column_stack([level - 20.0, level - 20.0, level, 0 * level]),
    )
    motion, *others = (
        SimpleNamespace(ground_speed_mps=np.array(one)) for one in (ground_mps, *elsewhere, *fastest)
    )
    winded = tuple(SimpleNamespace(motion=one) for one in others[: len(elsewhere)])
    flight = SimpleNamespace(
        winds=winds, motion=motion, in_other_winds=winded, fastest=tuple(others[len(elsewhere) :])
    )
    return turn_speed_mps(flight, loss, SimpleNamespace(ground_amsl_m=0 * level + 300.0), 15.0)


def test_it_turns_as_fast_as_it_returns_with_the_wind_or_as_it_came():
    # Power law, IEC 61400-1 and textbooks: 8 m/s at 10 m are 8 x 6^(1/7) at 60 m above the ground.
    aloft_mps = Wind(8.0).at(np.array([60.0]))[0]
    for winds in ((Wind(8.0), Wind(3.0)), (Wind(3.0), Wind(8.0))):
        assert fast(*winds) == pytest.approx(16.0 + aloft_mps)
    assert fast() == pytest.approx(16.0)
    assert fast(ground_mps=(9.0, 30.0)) == fast(ground_mps=(30.0, math.nan)) == 30.0
    assert fast(fastest=((40.0, 1.0),)) == 40.0
    assert fast(elsewhere=((33.0, 1.0),)) == 33.0
    assert fast(back_mps=25.0, ground_mps=(24.0, 1.0)) == 25.0


def test_it_holds_as_fast_as_it_cruises_with_the_wind_or_as_it_came():
    aloft_mps = Wind(8.0).at(np.array([60.0]))[0]
    holds = {"action": LinkLossAction.HOLD, "back_mps": 40.0}
    assert fast(Wind(8.0), **holds) == pytest.approx(15.0 + aloft_mps)
    assert fast(ground_mps=(30.0, 1.0), **holds) == 30.0


def test_in_an_area_the_faster_of_return_and_cruise_counts_with_the_wind():
    loss = SimpleNamespace(failsafe=SimpleNamespace(speed_mps=16.0))
    windy = attrs.evolve(IN_AREA, wind_mps=3.0, airspeed_mps=22.0)
    assert turn_speed_mps(windy, loss, None, 15.0) == 19.0
    assert turn_speed_mps(windy, loss, None, 20.0) == 23.0
    assert turn_speed_mps(windy, loss, None, None) == 25.0
    assert turn_speed_mps(attrs.evolve(windy, airspeed_mps=None), loss, None, None) == 19.0


def test_straight_up_and_in_an_area_nobody_knows_where_it_flies_to(monkeypatch):
    east, north = np.array([0.0, 1.0, -1.0]), np.array([0.0, 1.0, 0.0])
    monkeypatch.setattr(wing_room, "velocity_along", lambda *_given: (east, north, None))
    flight = SimpleNamespace(motion=None)
    assert _heading(np.zeros(3), flight) == pytest.approx([np.nan, math.pi / 4, math.pi], nan_ok=True)
    assert np.isnan(_heading(np.zeros(3), IN_AREA)).all()


# ---- what is told


def told(*things, buildings=(), beneath=(), **craft):
    """What it meets in its circles 40 m above the ground, on the first 400 m to the north."""
    base = case()
    flight = attrs.evolve(base.flight, beneath=attrs.evolve(base.flight.beneath, things=things))
    plan = attrs.evolve(base.plan, aircraft=attrs.evolve(base.plan.aircraft, **craft), beneath=beneath)
    mapped = attrs.evolve(base.mapped, buildings=buildings)
    found = list(room_where_lost(attrs.evolve(base, flight=flight, plan=plan, mapped=mapped)))
    assert len(found) <= 1
    return found[0] if found else None


JO, ROAD = thing("JO", -80.0, 200.0), thing("ROAD", -80.0, 210.0, Below.ROAD)
HALL = Building("HALL", square(-60.0, 220.0, 5.0), 75.0)


def test_who_and_what_is_there_decides_how_much_it_weighs():
    assert told() is None
    road, jo, both, hall = told(ROAD), told(JO), told(ROAD, JO), told(buildings=(HALL,))
    assert [one.mark for one in (road, jo, both, hall)] == [Mark.ACT] + [Mark.UNKNOWN] * 3
    assert "On its circle it comes over JO, ROAD." in both.message
    assert "hit" not in both.message
    assert "As low as it is there it may hit HALL." in hall.message
    assert "comes over" not in hall.message
    # It climbs 3 m on each 16 m from the first: from 55 m away, less a step, it passes 48 m high over it.
    for height_m in (35.0, 48.0):
        assert told(buildings=(attrs.evolve(HALL, height_m=height_m),)) is None


def test_a_category_helps_of_people_alone():
    """14 CFR 107.120: an eligible aircraft may fly over people, not into what stands there."""
    eligible = {"over_people": OverPeople.CATEGORY_2}
    assert told(JO, **eligible).mark is Mark.ACT
    assert told(JO, buildings=(HALL,), **eligible).mark is Mark.UNKNOWN
    assert told(buildings=(HALL,), **eligible).mark is Mark.UNKNOWN


def test_who_may_not_be_stayed_over_leaves_the_answer_open():
    """14 CFR 107.125: of category 3 no sustained flight over anybody outside a closed site."""
    assert told(JO, over_people=OverPeople.CATEGORY_3).mark is Mark.UNKNOWN


def test_it_is_told_of_the_first_place_from_which_it_comes_there():
    one = told(JO)
    # Two radii of 45.2 m to the side reach 80 m west no farther ahead than a radius and a step, 56.5 m.
    assert 140.0 < one.from_m < 200.0
    assert f"Lost at {one.from_m:.0f} m it turns toward home" in one.message
    assert told(thing("FAR", -110.0, 200.0)) is None
    assert told(thing("WATER", -80.0, 200.0, Below.WATER)) is None
    # Of which nobody says how high it stands: named, and told of the first place at all.
    tree = thing("TREE", -80.0, 200.0, Below.TREES).item
    untold = told(beneath=(tree,))
    assert (untold.mark, untold.from_m) == (Mark.ACT, 0.0)
    assert "On its circle it comes over TREE." in untold.message


def test_what_holds_in_circles_comes_over_whom_a_return_would_turn_over(monkeypatch):
    """Wherever it is lost it circles: two radii to either side, also where a return flies straight on."""
    for action, mark, words in (
        (LinkLossAction.HOLD, Mark.UNKNOWN, "circles there until its battery is empty"),
        (LinkLossAction.LAND, None, ""),
    ):
        base = case()
        loss = attrs.evolve(base.flight.loss, failsafe=attrs.evolve(base.flight.loss.failsafe, action=action))
        flight = attrs.evolve(base.flight, loss=loss, beneath=attrs.evolve(base.flight.beneath, things=(JO,)))
        craft = attrs.evolve(base.plan.aircraft, link_loss=LinkLoss(action, 1.0))
        asked = attrs.evolve(base, flight=flight, plan=attrs.evolve(base.plan, aircraft=craft))
        found = list(room_where_lost(asked))
        assert [one.mark for one in found] == ([mark] if mark else [])
        assert all(words in one.message and "way home" not in one.message for one in found)
    away = ways((0.0, 0.0, 340.0), home=(500.0, 0.0))
    assert _turns(away, np.array([EAST])).tolist() == [0.0]
    away.failsafe.action = LinkLossAction.HOLD
    assert _turns(away, np.array([EAST])).tolist() == [math.pi]


@pytest.mark.parametrize("lacking", ["flight", "mapped", "link_loss", "form"])
def test_what_is_no_wing_or_returns_nowhere_takes_no_room(lacking):
    base = case()
    flight = attrs.evolve(base.flight, beneath=attrs.evolve(base.flight.beneath, things=(JO,)))
    full = attrs.evolve(base, flight=flight)
    assert list(room_where_lost(full))
    craft = {"link_loss": {"link_loss": None}, "form": {"form": AircraftForm.ROTORCRAFT}}.get(lacking)
    changes = (
        {lacking: None}
        if craft is None
        else {"plan": attrs.evolve(full.plan, aircraft=attrs.evolve(full.plan.aircraft, **craft))}
    )
    assert not list(room_where_lost(attrs.evolve(full, **changes)))


def test_of_several_returns_the_one_that_weighs_most_is_told(monkeypatch):
    act, stop = told(ROAD), told(JO)
    monkeypatch.setattr(
        wing_room, "_losses", lambda *_given: [(act, None, ""), (stop, None, ""), (act, None, "")]
    )
    monkeypatch.setattr(wing_room, "_met", lambda _case, _flight, loss, *_given: loss)
    assert list(room_where_lost(case())) == [stop]


def test_to_the_side_is_at_right_angles_to_any_heading():
    ahead, side = np.array([0.8, 0.6]), np.array([-0.6, 0.8])
    loss = ways((0.0, 0.0, 300.0), home=tuple(-100.0 * ahead))
    room = room_of(loss, [math.atan2(0.6, 0.8)], in_row=False)
    (shape,), (places,) = room.shapes, room.places
    assert shape.area == pytest.approx((math.pi + 4.0) * R**2, rel=0.01)
    assert shapely.buffer(shape, 0.02 * R).contains(shapely.MultiPoint(places))
    for axis, reach in ((ahead, 1.0), (side, 2.0)):
        for outline in (places, shapely.get_coordinates(shape)):
            assert np.abs(outline @ axis).max() == pytest.approx(reach * R, rel=0.02)


def test_a_row_straight_up_takes_a_step_more_as_well():
    room = room_of(ways((0.0, 0.0, 300.0), home=(9.0, 0.0)), [math.nan], in_row=True)
    assert bounds(room) == [pytest.approx([-2.25, -2.25, 2.25, 2.25], abs=0.01)]


def test_of_places_taken_together_the_least_climb_counts_and_none_that_is_only_assumed():
    near = ways((0.0, 0.0, 340.0), (9.0, 0.0, 338.0), home=(0.0, -500.0))
    near.corner_amsl_m[:, 2] = (350.0, 341.0)
    room = room_of(near, [NORTH, NORTH], in_row=True)
    assert (room.climbs_m.tolist(), room.level_m.tolist(), room.step_m) == ([3.0], [338.0], R / 4)
    near.failsafe.climb_mps, near.failsafe.assumed = 4.0, ()
    assert _gain(near, 20.0) == 0.2
    near.failsafe.assumed = ("rate of climb",)
    assert _gain(near, 20.0) == 0.0
