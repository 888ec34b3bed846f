"""How near a flight stays to where the record ends that opens its airspace; distances by hand.

8 m: a satellite fix (GPS SPS Performance Standard 2020, from memory); 20 m: own choice. That the inside of a
record's edge is no more exact than the outside of an airspace is our own rule.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess, assess_live
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import Leg
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules import beside_area
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    above_ground,
    area,
    at,
    box,
    cell,
    plan,
    points,
    polygon,
    record,
    terrain,
    volume,
    world,
)

R, D, E4 = AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4
AROUND = {
    "path": points([(-100, 0, 30.0), (100, 0, 30.0)]),
    "launch": GroundSpot(at(-100, 0), LandStatus.OWN),
    "landing": GroundSpot(at(100, 0), LandStatus.OWN),
}
ALONE = {
    **AROUND,
    "path": (),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(), LandStatus.OWN),
}


def ring(north_m, west_m=-300.0, east_m=300.0):
    return area(box(west_m, -300, east_m, north_m), None).ring


def told(kind, *rings, limits=None, **changes):
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    held = tuple(record("V", 60.0, names, ring=one, reference=f"INVENTED-{k}") for k, one in enumerate(rings))
    shut = volume(kind, box(-800, -800, 800, 800), name="V", **(limits or {}))
    answer = assess_live(
        plan(Purpose.PART_107, permissions=held, **{**AROUND, **changes}), world(airspace=(shut,))
    )
    return [one for one in answer.findings if one.rule == "close-to-record-end"]


@pytest.mark.parametrize(
    ("kind", "inside_m", "mark"),
    [
        (R, 0.3, Mark.UNKNOWN),
        (R, 7.5, Mark.UNKNOWN),
        (R, 8.5, Mark.ACT),
        (D, 0.3, Mark.ACT),
        (E4, 0.3, Mark.ACT),
        (D, 19.5, Mark.ACT),
        (R, 20.5, None),
    ],
)
def test_a_path_that_stays_so_far_inside_its_record(kind, inside_m, mark):
    found = told(kind, ring(inside_m))
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(inside_m, abs=0.05)
        assert "inside what INVENTED-0 opens of V" in one.message


def test_where_it_leaves_the_record_that_is_told_instead():
    assert not told(R, ring(-0.5))


def test_two_records_that_go_on_from_one_another_end_only_where_both_do():
    assert not told(R, ring(300.0, -300.0, 0.0), ring(300.0, -10.0, 300.0))
    assert told(R, ring(5.0, -300.0, 0.0), ring(300.0, -10.0, 300.0))


def test_a_record_for_all_of_an_airspace_has_no_end_in_it():
    assert not told(R, None)
    # Nor where another record ends within it.
    assert not told(R, ring(5.0), None)
    beyond = area(box(-900, -900, 900, 900), None).ring
    assert not told(R, beyond)


@pytest.mark.parametrize(("floor_m", "number"), [(20.0, 1), (40.0, 0)])
def test_beside_what_begins_higher_nothing_is_told(floor_m, number):
    limits = {"floor": above_ground(floor_m)}
    assert len(told(R, ring(5.0), limits=limits)) == number


def test_an_area_and_an_undrawn_way_stay_inside_as_a_path_does():
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    (one,) = told(R, ring(55.0), area=drawn, **ALONE)
    assert one.message.startswith("The flying area is 16 ft inside")  # 5 m are 16.4 ft, rounded down
    far = GroundSpot(at(-100, 290), LandStatus.OWN)
    (one,) = told(R, ring(300.0), launch=far)
    assert "from the launch point to the path" in one.message
    assert one.numbers["aside_m"] == pytest.approx(10.0, abs=0.05)


def _only(sample, samples):
    return np.arange(len(samples.x_m)) == sample


def test_of_several_parts_of_a_flight_the_nearest_is_told_at_its_own_edge(monkeypatch):
    drawn = area(box(-50, -50, 50, 50), AboveGround(30.0))
    near = GroundSpot(at(0, 53), LandStatus.OWN)
    (one,) = told(R, ring(55.0), area=drawn, **{**ALONE, "launch": near})
    assert one.numbers["aside_m"] == pytest.approx(2.0, abs=0.05)
    # One sample of an area that reaches the airspace's heights is enough, where it is beside its end.
    monkeypatch.setattr(beside_area, "level", lambda _volume, samples: _only(np.argmax(samples.y_m), samples))
    (one,) = told(R, ring(55.0), area=drawn, **ALONE)
    assert one.place.lat_deg == pytest.approx(at(0, 50).lat_deg, abs=1e-7)


HIGH, LOW = 60.0, 20.0


def two_heights(kind, path, meet_m=0.3):
    """One record to 60 m south of a line, one to 20 m north of it; the flight needs both."""
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    south, north = ring(meet_m), area(box(-300, meet_m, 300, 300), None).ring
    held = (
        record("V", HIGH, names, ring=south, reference="INVENTED-HIGH"),
        record("V", LOW, names, ring=north, reference="INVENTED-LOW"),
    )
    flight = {**AROUND, "path": path, "landing": GroundSpot(at(100, 100), LandStatus.OWN)}
    shut = volume(kind, box(-800, -800, 800, 800), name="V")
    return assess_live(plan(Purpose.PART_107, permissions=held, **flight), world(airspace=(shut,)))


@pytest.mark.parametrize(("kind", "mark"), [(R, Mark.UNKNOWN), (D, Mark.ACT)])
def test_where_only_a_lower_record_goes_on_the_higher_one_ends(kind, mark):
    """At 30 m along the line, then low across it: beyond the line only 20 m are allowed."""
    path = points([(-100, 0, 30.0), (100, 0, 30.0), (100, -20, 10.0), (100, 100, 10.0)])
    found = [one for one in two_heights(kind, path).findings if one.rule == "close-to-record-end"]
    assert [one.mark for one in found] == [mark]
    assert found[0].numbers["aside_m"] == pytest.approx(0.3, abs=0.05)
    low = points([(-100, 0, 15.0), (100, 0, 15.0), (100, -20, 10.0), (100, 100, 10.0)])
    assert not [one for one in two_heights(kind, low).findings if one.rule == "close-to-record-end"]


@pytest.mark.parametrize(("off_m", "told_of"), [(0.1, 0), (0.4, 0), (2.0, 1)])
def test_an_outline_typed_anew_is_the_same_line(off_m, told_of):
    """6 decimals of a degree are 0.1 m; beyond such a sliver the airspace itself has ended."""
    typed = area(box(-800, -800, 800, 5.0 - off_m), None).ring
    held = (record("V", 60.0, PermissionKind.AGENCY, ring=typed, reference="INVENTED-0"),)
    shut = volume(R, box(-800, -800, 800, 5.0), name="V")
    answer = assess_live(plan(Purpose.PART_107, permissions=held, **AROUND), world(airspace=(shut,)))
    assert len([one for one in answer.findings if one.rule == "close-to-record-end"]) == told_of


CORNER = points([(0, 0, 30.0), (200, 0, 30.0), (200, 200, 30.0)])


def homeward(inside_m, height_m=40.0, action=LinkLossAction.RETURN_FIXED, kind=R, ceiling_m=60.0):
    """The straight way home from (200, 200) to (0, 0) passes a corner of the record, so far inside it."""
    off = inside_m / 2**0.5
    corners = [(-50, -50), (350, -50), (350, 350), (200, 350), (100 - off, 100 + off), (-50, 100)]
    edge = area(polygon(corners), None).ring
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    held = record("V", ceiling_m, names, ring=edge, reference="INVENTED-0")
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(action, 0.0, AboveLaunch(height_m)))
    flight = plan(
        Purpose.PART_107,
        permissions=(held,),
        aircraft=craft,
        path=CORNER,
        launch=GroundSpot(at(), LandStatus.OWN),
        landing=GroundSpot(at(200, 200), LandStatus.OWN),
    )
    shut = volume(kind, box(-800, -800, 800, 800), name="V")
    answer = assess(flight, world(airspace=(shut,)))
    return [one for one in answer.findings if one.rule == "close-to-record-end"]


@pytest.mark.parametrize(
    ("inside_m", "mark"),
    [(0.3, Mark.UNKNOWN), (7.5, Mark.UNKNOWN), (12.0, Mark.ACT), (19.0, Mark.ACT), (21.0, None)],
)
def test_a_return_on_lost_link_stays_inside_as_a_path_does(inside_m, mark):
    found = homeward(inside_m)
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(inside_m, abs=0.05)
        assert one.message.startswith("Its way home on lost link is ")


def test_a_return_is_asked_by_its_own_action_and_airspace():
    assert [one.mark for one in homeward(0.3, kind=D)] == [Mark.ACT]
    assert not homeward(0.3, action=LinkLossAction.LAND)
    # Where it leaves the record, or is flown higher than that, this is told as such.
    assert not homeward(-2.0)
    assert not homeward(0.3, height_m=70.0)


def landing_ahead(beyond_m, *more, kind=R, limits=None, action=LinkLossAction.LAND, delay_s=2.0):
    """To the east at 10 m/s, back by another line; lost at its end it flies on 20 m in 2 s."""
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    edge = ring(300.0, -300.0, 100.0 + beyond_m)
    path = tuple(
        attrs.evolve(one, leg=Leg(speed_mps=10.0))
        for one in points([(-100, 0, 30.0), (100, 0, 30.0), (100, 40, 30.0), (-100, 40, 30.0)])
    )
    flight = plan(
        Purpose.PART_107,
        permissions=(record("V", 60.0, names, ring=edge, reference="INVENTED-0"), *more),
        aircraft=attrs.evolve(plan().aircraft, link_loss=LinkLoss(action, delay_s)),
        path=path,
        launch=GroundSpot(at(-100, 0), LandStatus.OWN),
        landing=GroundSpot(at(-100, 40), LandStatus.OWN),
    )
    shut = volume(kind, box(-800, -800, 800, 800), name="V", **(limits or {}))
    return assess(flight, world(airspace=(shut,), cells=(cell(400),)))


def ends(answer):
    return [one for one in answer.findings if one.rule == "close-to-record-end"]


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.HOLD])
@pytest.mark.parametrize(
    ("kind", "beyond_m", "mark", "by_itself"),
    [
        (R, 22.5, Mark.UNKNOWN, True),
        (R, 30.0, Mark.ACT, True),
        (R, 41.0, None, False),
        (D, 22.5, Mark.ACT, True),
    ],
)
def test_what_comes_down_by_itself_stays_inside_as_a_path_does(kind, beyond_m, mark, by_itself, action):
    found = ends(landing_ahead(beyond_m, kind=kind, action=action))
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(beyond_m - 20.0, abs=0.3)
        assert (
            one.message.startswith("Where the aircraft comes down by itself on lost link it is ") is by_itself
        )


def test_where_it_leaves_more_open_than_the_path_it_is_told_as_well():
    """The path ends 15 m inside; at 10 m/s and 0.9 s what is lost there comes down 6 m inside."""
    assert [one.mark for one in ends(landing_ahead(15.0, delay_s=0.0))] == [Mark.ACT]
    assert {one.mark for one in ends(landing_ahead(15.0, delay_s=0.9))} == {Mark.ACT, Mark.UNKNOWN}


def test_a_lower_record_counts_where_the_airspace_ends_lower_down():
    """A band up to 20 m beneath the path: a record to 20 m opens all of what it comes down through."""
    lower = record("V", 20.0, PermissionKind.AGENCY, reference="INVENTED-LOW")
    assert not ends(landing_ahead(22.5, lower, limits={"top": above_ground(20.0)}))
    assert ends(landing_ahead(22.5, lower))


def test_what_only_an_action_on_lost_link_enters_is_held_against_its_record_too():
    """A band up to 20 m, beneath the path: nothing that is drawn enters it."""
    (one,) = ends(landing_ahead(22.5, limits={"top": above_ground(20.0)}))
    assert one.mark is Mark.UNKNOWN


def test_a_climb_out_of_what_a_lower_record_allows_begins_where_it_passes_that_height():
    """40 m are passed 50 m east, by hand: from there on only the record that ends 49 m east lets it fly."""
    names = PermissionKind.AGENCY
    held = (
        record("V", 40.0, names, ring=ring(300.0), reference="INVENTED-LOW"),
        record("V", 60.0, names, ring=ring(300.0, 49.0), reference="INVENTED-HIGH"),
    )
    climb = {**AROUND, "path": points([(-100, 0, 30.0), (0, 0, 30.0), (100, 0, 50.0)])}
    shut = volume(R, box(-800, -800, 800, 800), name="V")
    answer = assess_live(plan(Purpose.PART_107, permissions=held, **climb), world(airspace=(shut,)))
    (one,) = [one for one in answer.findings if one.rule == "close-to-record-end"]
    assert one.numbers["aside_m"] == pytest.approx(1.0, abs=0.1)


def test_a_way_that_climbs_into_the_airspace_is_asked_as_a_whole():
    far = GroundSpot(at(-100, 290), LandStatus.OWN)
    (one,) = told(R, ring(300.0), limits={"floor": above_ground(20.0)}, launch=far)
    assert one.numbers["aside_m"] == pytest.approx(10.0, abs=0.05)


@pytest.mark.parametrize("kind", [R, D])
def test_beside_the_airspace_itself_is_told_so_and_asked_for_with_the_rest(kind):
    """It crosses the west end and runs on 6 m south of it: granted as asked, all of it is open."""
    path = points([(-100, 100, 30.0), (50, 100, 30.0), (100, -6, 30.0), (700, -6, 30.0)])
    spots = {
        "launch": GroundSpot(at(-100, 100), LandStatus.OWN),
        "landing": GroundSpot(at(700, -6), LandStatus.OWN),
    }
    charts = world(airspace=(volume(kind, box(0, 0, 1000, 300), name="V"),))
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION

    def close(outline):
        held = record("V", 60.0, names, ring=outline, reference="INVENTED-0")
        answer = assess_live(plan(Purpose.PART_107, permissions=(held,), path=path, **spots), charts)
        return [one for one in answer.findings if one.rule == "close-to-record-end"]

    # Around where it is inside alone; the sheet asks for what is beside it, too.
    (one,) = close(area(box(-50, -50, 200, 200), None).ring)
    assert "20 ft" in one.message or "19 ft" in one.message
    assert "beside a part of V that INVENTED-0 does not open" in one.message
    answer = assess_live(plan(Purpose.PART_107, path=path, **spots), charts)
    (asked,) = requests_for(answer)
    assert not close(asked.area.ring)


@pytest.mark.parametrize(("north_m", "mark"), [(43.0, Mark.UNKNOWN), (52.0, Mark.ACT)])
def test_an_area_on_a_slope_is_asked_by_the_records_that_allow_each_part_of_it(north_m, mark):
    """Of 0.15 the ground rises to the east: 30 m over it are 28 m over the middle at 13 m west of that.

    WEST holds so high to 20 m east, EAST to 80 m from 20 m west on: together they open all of the area, its
    north edge at 40 m, and both end `north_m` north.
    """
    west, east = (
        record("V", AboveSeaLevel(GROUND_M + high_m), PermissionKind.AGENCY, ring=one, reference=name)
        for name, high_m, one in (
            ("WEST", 28.0, ring(north_m, east_m=20)),
            ("EAST", 80.0, ring(north_m, -20.0)),
        )
    )
    sloped = terrain(lambda e, n: GROUND_M + np.clip(e, -400, 400) * 0.15)
    flat = area(box(-200, -40, 200, 40), AboveGround(30.0))
    flight = plan(Purpose.PART_107, permissions=(west, east), **{**ALONE, "area": flat})
    shut = volume(R, box(-800, -800, 800, 800), name="V")
    answer = assess_live(flight, world(terrain=sloped, airspace=(shut,)))
    assert all(need.recorded for need in answer.permissions)
    found = [one.mark for one in answer.findings if one.rule == "close-to-record-end"]
    assert found == [mark]


@pytest.mark.parametrize("in_area", [False, True])
@pytest.mark.parametrize(
    ("drop_m", "kind", "mark"),
    [(30.0, R, Mark.UNKNOWN), (30.0, D, Mark.ACT), (5.0, R, None), (-5.0, R, None)],
)
def test_what_begins_above_ground_begins_lower_beyond_a_cliff(drop_m, kind, mark, in_area):
    """30 m up, 6 m inside a record; airspace begins 40 m above ground: beyond it is 60, 35 or 25 m up.

    It enters that airspace 100 m off, where a record holds it.
    """
    ground = terrain(lambda _east, north: 300.0 - np.where(north > 3.0, drop_m, 0.0), cell_m=1.0, cells=501)
    shut = volume(kind, box(-800, -800, 800, 800), name="V", floor=above_ground(40.0))
    names = PermissionKind.AGENCY if kind is R else PermissionKind.AUTHORIZATION
    held = record("V", 80.0, names, ring=ring(6.0))
    beside = [(-100.0, -150.0, 50.0), (-100.0, -100.0, 50.0), (-100.0, 0.0, 30.0), (100.0, 0.0, 30.0)]
    flown = {"path": points(beside), "area": None}
    if in_area:
        # Its middle is a hill: there alone is it at heights of the airspace.
        flown = {"path": (), "area": area(box(-100, -200, 100, 0), AboveLaunch(30.0))}
        hill = ground.heights_m.copy()
        north_m = (250.0 - np.arange(501))[:, None] * np.ones(501)
        hill[(north_m < -90.0) & (north_m > -110.0)] -= 20.0
        ground = attrs.evolve(ground, heights_m=hill)
    spot = GroundSpot(at(-100, -150), LandStatus.OWN)
    flight = plan(Purpose.PART_107, permissions=(held,), launch=spot, landing=spot, **flown)
    answer = assess_live(flight, world(airspace=(shut,), terrain=ground))
    assert [one for one in answer.permissions if one.airspace == "V" and one.recorded]
    found = [one for one in answer.findings if one.rule == "close-to-record-end"]
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    if found:
        assert found[0].numbers["aside_m"] == pytest.approx(6.0, abs=0.1)
