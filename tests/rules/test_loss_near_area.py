"""What lands, falls or holds on lost link from a flying area close beside airspace, or a record's end.

As of a path, within 20 m it is something to do, and within 8 m, what a satellite fix may be off, the answer
is open where closed airspace is there (own choices). Ways by hand: 1.5 s at 25 m/s are 37.5 m; a fall from
30 m takes 2.47 s without drag, in which 25 m/s are 61.8 m.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.aircraft import LinkLossAction, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from tests import worlds
from tests.rules.test_loss_into_area import COMES, DROP, HOLD, LAND, SHUT, told
from tests.worlds import (
    EVERYWHERE,
    GROUND_M,
    above_ground,
    area,
    at,
    box,
    layer,
    layers,
    plan,
    points,
    record,
    sea_level,
    slope,
    terrain,
    volume,
    world,
)

NEAR = "close-beside-airspace"
ENDS = "close-to-record-end"
BAND = "link-loss-within-band"


def marks(found, rule):
    return [one.mark for one in found[1].findings if one.rule == rule]


@pytest.mark.parametrize(
    ("east_m", "changes", "expected"),
    [
        (37.0, {}, []),
        # 37.5 m ahead it comes down: 45.5 and 57.5 m are 8 and 20 m beside that.
        (38.0, {}, [Mark.UNKNOWN]),
        (45.0, {}, [Mark.UNKNOWN]),
        (46.0, {}, [Mark.ACT]),
        (57.0, {}, [Mark.ACT]),
        (58.0, {}, []),
        (46.0, {"action": LAND}, [Mark.ACT]),
        (46.0, {"action": HOLD}, [Mark.ACT]),
        # 99.3 m with the fall.
        (107.0, {"action": DROP}, [Mark.UNKNOWN]),
        (119.0, {"action": DROP}, [Mark.ACT]),
        (120.0, {"action": DROP}, []),
        # Before an authorization is held the answer is open there as well, and an extension's is.
        (45.0, {"kind": AirspaceKind.CLASS_D}, [Mark.UNKNOWN]),
        (46.0, {"kind": AirspaceKind.CLASS_D}, [Mark.ACT]),
        (46.0, {"kind": AirspaceKind.CLASS_E4}, [Mark.ACT]),
        (46.0, {"kind": AirspaceKind.WARNING}, []),
        # A shelf over all that is flown is not beside it.
        (46.0, {"floor": sea_level(GROUND_M + 31.0)}, []),
        # At 87 kt, 44.8 m/s, 67.2 m: whether it comes that far nobody said, 20 m beside that is near.
        (70.0, {"fast_mps": None}, [Mark.UNKNOWN]),
        (80.0, {"fast_mps": None}, [Mark.ACT]),
        (90.0, {"fast_mps": None}, []),
    ],
)
def test_close_beside_where_it_comes_down(east_m, changes, expected):
    found = told(east_m, **changes)
    assert marks(found, NEAR) == expected
    assert not expected or found[0] == []


def test_the_words_say_how_near_to_where_it_comes_down():
    (one,) = [one for one in told(46.0)[1].findings if one.rule == NEAR]
    # 8.5 m are 27.9 ft, rounded down.
    assert "Where the aircraft comes down by itself on lost link it may be 27 ft beside it." in one.message


@pytest.mark.parametrize(("beside_m", "expected"), [(5.0, [Mark.UNKNOWN]), (15.0, [Mark.ACT])])
def test_the_area_itself_as_near_is_told_alone(beside_m, expected):
    """With no delay it lands beneath."""
    answer = told(beside_m)[1]
    craft = attrs.evolve(answer.plan.aircraft.link_loss, delay_s=0.0)
    flight = attrs.evolve(answer.plan, aircraft=attrs.evolve(answer.plan.aircraft, link_loss=craft))
    found = [one for one in assess(flight, answer.world).findings if one.rule == NEAR]
    assert [one.mark for one in found] == expected
    assert "The flying area is" in found[0].message


@pytest.mark.parametrize(
    ("end_m", "kind", "expected"),
    [
        (37.0, SHUT, []),
        (45.0, SHUT, [Mark.UNKNOWN]),
        (46.0, SHUT, [Mark.ACT]),
        (57.0, SHUT, [Mark.ACT]),
        (58.0, SHUT, []),
        # Who holds an authorization is known to its authority.
        (45.0, AirspaceKind.CLASS_D, [Mark.ACT]),
        (58.0, AirspaceKind.CLASS_D, []),
    ],
)
def test_close_to_the_end_of_a_record_where_it_comes_down(end_m, kind, expected):
    ring = worlds.area(box(-300, -300, 100 + end_m, 300), None).ring
    held = PermissionKind.AGENCY if kind is SHUT else PermissionKind.AUTHORIZATION
    found = told(0.0, kind=kind, records=(record("R", 100.0, held, ring=ring),), outline=worlds.disc(4_000.0))
    assert marks(found, ENDS) == expected
    assert found[0] == ([] if expected or end_m > 40 else COMES)


def test_wind_that_may_carry_it_in_is_told_rather_than_how_near_it_is():
    wind = {"fix": False, "wind": (5.0, 270.0, 8.0)}
    # Gusts of 8 m/s: 1.5 s at 25 and 5 m/s are 45 m.
    found = told(60.0, **wind)
    assert (found[0], marks(found, NEAR)) == ([("link-loss-drifts-into", Mark.ACT)], [])
    found = told(50.0, **wind)
    assert (found[0], marks(found, NEAR)) == ([], [Mark.UNKNOWN])


# ---- the height of a record


def over_a_slope(kind, top_m, ceiling, outline, doubt_m=0.0, **changes):
    """An area of 100 m on ground that falls 0.2 m a metre to the east, under 30 m; records for R."""
    flight = plan(
        path=(),
        area=area(box(-100, -100, 100, 100), AboveGround(top_m)),
        permissions=()
        if ceiling is None
        else (record("R", ceiling, PermissionKind.AUTHORIZATION, **changes),),
    )
    able = attrs.evolve(told(500.0)[1].plan.aircraft, readout=Readout(ReadoutSource.BAROMETER, doubt_m))
    charts = world(airspace=(volume(kind, outline, name="R"),), terrain=terrain(slope(-0.2)))
    return assess(attrs.evolve(flight, aircraft=able), charts)


@pytest.mark.parametrize(("end_m", "near"), [(10.0, True), (25.0, False)])
def test_what_a_way_flies_outside_is_not_held_against_the_record_of_an_airspace(end_m, near):
    """The ground falls 1 in 5 to the east: at the launch, 300 m before the airspace, 60 m over its edge.

    The way sinks by 70 m on 500 m, so that it is 18 m over the middle's ground where it enters it. The record
    holds to 25 m over that, and ends beside the way.
    """
    ring = worlds.polygon([(-20, -end_m), (150, -end_m), (150, -300), (600, -300), (600, 300), (-20, 300)])
    there = volume(AirspaceKind.CLASS_E4, box(0, -400, 900, 400), name="R")
    home = GroundSpot(at(-300, 0), LandStatus.OWN)
    flight = plan(
        path=(),
        area=area(box(200, -100, 300, 100), AboveGround(30.0)),
        launch=home,
        landing=None,
        permissions=(record("R", AboveSeaLevel(GROUND_M + 25.0), ring=area(ring, None).ring),),
    )
    answer = assess(flight, world(airspace=(there,), terrain=terrain(slope(-0.2))))
    found = [one for one in answer.findings if one.rule == ENDS]
    assert [one.message.startswith("The way to the flying area is 32 ft") for one in found] == [True] * near


@pytest.mark.parametrize(
    ("spare_m", "expected"), [(1.0, [Mark.ACT]), (2.9, [Mark.ACT]), (3.1, []), (-1.0, [])]
)
def test_within_the_band_under_a_record_where_it_comes_down(spare_m, expected):
    """37.5 m ahead the ground lies 7.5 m lower: 37.5 m over it; the readout may be 3 m off."""
    answer = over_a_slope(AirspaceKind.CLASS_D, 30.0, 37.5 + spare_m, box(-900, -400, 900, 400), doubt_m=3.0)
    found = [one for one in answer.findings if one.rule == BAND]
    assert [one.mark for one in found] == expected
    for one in found:
        assert one.numbers["room_m"] == pytest.approx(spare_m, abs=0.1)


# ---- a cliff


def at_a_cliff(limits, action=None):
    """East of the area, 100 m from its middle, the ground lies 100 m lower; its top is 30 m over it."""
    # The raster's north is 1.7 degrees off.
    ground = terrain(lambda x_m, _y: GROUND_M - np.where(x_m > 104.0, 100.0, 0.0), cell_m=1.0, cells=801)
    answer = told(500.0, action=action or LAND)[1]
    shut = volume(SHUT, box(110, -110, 350, 110), name="R", **limits)
    loss = attrs.evolve(answer.plan.aircraft.link_loss, delay_s=0.0)
    craft = attrs.evolve(answer.plan.aircraft, link_loss=loss if action else None)
    return assess(attrs.evolve(answer.plan, aircraft=craft), world(airspace=(shut,), terrain=ground))


@pytest.mark.parametrize(
    ("limits", "near"),
    [
        # At its heights the area is 100 to 130 m over the ground there.
        ({"floor": above_ground(40.0)}, True),
        ({"floor": above_ground(129.0)}, True),
        ({"floor": above_ground(131.0)}, False),
        ({"floor": above_ground(40.0), "top": above_ground(101.0)}, True),
        ({"floor": above_ground(10.0), "top": above_ground(99.0)}, False),
    ],
)
def test_beside_a_cliff_heights_count_from_the_ground_there(limits, near):
    answer = at_a_cliff(limits)
    assert bool([one for one in answer.findings if one.rule == NEAR]) is near


def test_what_comes_down_beside_a_cliff_does_so_to_its_foot():
    """Low over the ground there: the area passes over it, what falls from the edge does not."""
    answer = at_a_cliff({"top": above_ground(60.0)}, action=DROP)
    assert [one.mark for one in answer.findings if one.rule == COMES[0][0]] == [Mark.STOP]


# ---- where data end


def at_a_hole(east_m, action, fast_mps=25.0, delay_s=1.5, path=()):
    """The area of 100 m, or a path; data on airspace end so far east of the area's edge, and go on again."""
    hole = box(100 + east_m, -300, 600, 300)
    charts = world(
        layers=layers(special_use=layer(LayerName.SPECIAL_USE, coverage=EVERYWHERE.difference(hole)))
    )
    flight = told(500.0, action=action, fast_mps=fast_mps)[1].plan
    loss = attrs.evolve(flight.aircraft.link_loss, delay_s=delay_s)
    flight = attrs.evolve(
        flight,
        aircraft=attrs.evolve(flight.aircraft, link_loss=loss),
        path=path,
        area=None if path else flight.area,
    )
    found = [one for one in assess(flight, charts).findings if one.rule == "no-data-beside"]
    return [one.mark for one in found], found


@pytest.mark.parametrize(
    ("east_m", "action", "fast_mps", "expected"),
    [
        # 37.5 m ahead, with the fall 99.3 m; coverage counts 1.2 m wider than it is.
        (30.0, LAND, 25.0, [Mark.UNKNOWN]),
        (45.0, HOLD, 25.0, [Mark.UNKNOWN]),
        (55.0, LAND, 25.0, [Mark.ACT]),
        (62.0, LAND, 25.0, []),
        (105.0, DROP, 25.0, [Mark.UNKNOWN]),
        (115.0, DROP, 25.0, [Mark.ACT]),
        (122.0, DROP, 25.0, []),
        # At 87 kt 67.2 m.
        (70.0, LAND, None, [Mark.UNKNOWN]),
        (30.0, LinkLossAction.RETURN_FIXED, 25.0, []),
    ],
)
def test_where_data_end_about_where_it_comes_down_the_answer_is_open(east_m, action, fast_mps, expected):
    """Missing data never becomes ready: our own rule."""
    assert at_a_hole(east_m, action, fast_mps)[0] == expected


def test_of_a_path_as_of_an_area():
    """It ends 40 m before the hole, flown at 10 m/s by no other word: 4 s bring it there."""
    path = points([(-100, 0, 30.0), (110, 0, 30.0)])
    assert at_a_hole(50.0, LAND, delay_s=0.5, path=path)[0] == []
    marks, (one,) = at_a_hole(50.0, LAND, delay_s=4.0, path=path)
    assert marks == [Mark.UNKNOWN]
    assert one.message.startswith(
        "Data on prohibited and restricted areas end 0 ft beside where it comes down by"
    )


def test_what_the_area_itself_is_as_near_to_is_told_of_it():
    marks, (one,) = at_a_hole(5.0, LAND)
    assert marks == [Mark.UNKNOWN]
    assert "beside the flying area" in one.message
    assert at_a_hole(15.0, LAND, delay_s=0.0)[0] == [Mark.ACT]
    assert sorted(mark.value for mark in at_a_hole(15.0, LAND)[0]) == ["act", "unknown"]
