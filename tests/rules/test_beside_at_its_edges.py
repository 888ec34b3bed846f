"""What a flight passes close beside, on each side of it and at the edges of what is asked: distances by hand.

Our own rules (issue 6): airspace and the end of data on it within 20 m are told, open within the 8 m of
a satellite fix; a way that is not drawn is flown as well. The plane is even, so distances are Pythagoras'.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.rules.beside import close_beside_airspace, close_to_the_end_of_an_allowance
from planner.rules.beside_unknown import airspace_not_known_beside, drawn_parts
from planner.rules.finding import Mark
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
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
    polygon,
    record,
    sea_level,
    slope,
    terrain,
    tower,
    volume,
    world,
)

DRAWN_ALONE = {"launch": None, "landing": None}
SLANTED = {"path": points([(0, 40, 30.0), (300, 400, 30.0)]), **DRAWN_ALONE}
SQUARE = {"path": (), "area": area(box(0, 40, 300, 400), AboveGround(60.0)), **DRAWN_ALONE}
SHORT = {"path": points([(2, 1, 30.0), (12, 1, 30.0)]), **DRAWN_ALONE}


def spot(*where):
    return GroundSpot(at(*where), LandStatus.OWN)


def holed(hole, **changes):
    return world(
        layers=layers(security=layer(LayerName.SECURITY, coverage=EVERYWHERE.difference(hole))), **changes
    )


def shut(outline, **changes):
    return volume(AirspaceKind.RESTRICTED, outline, name="INVENTED V", **changes)


def no_data(charts, **changes):
    return list(airspace_not_known_beside(assess_live(plan(**changes), charts).case))


def beside(charts, **changes):
    return list(close_beside_airspace(assess_live(plan(**changes), charts).case))


# ---- where data end

WEST, SOUTH = box(-40, 30, -15, 50), box(-10, 0, 10, 25)
EAST, NORTH = box(315, 390, 340, 410), box(290, 415, 310, 440)


@pytest.mark.parametrize("hole", [WEST, SOUTH, EAST, NORTH])
@pytest.mark.parametrize("flight", [SLANTED, SQUARE])
def test_a_hole_15_m_off_on_any_side_is_told(hole, flight):
    """The path's ends are corners of the area: each hole lies 15 m from one of them, straight to a side."""
    (one,) = no_data(holed(hole), **flight)
    assert one.mark is Mark.ACT
    assert one.numbers["aside_m"] == pytest.approx(15.0, abs=0.4)


def test_of_a_flight_of_which_nothing_is_drawn_there_is_nothing_to_say():
    case = assess_live(plan(), holed(box(100, 15, 160, 75))).case
    assert list(airspace_not_known_beside(case))
    assert not list(airspace_not_known_beside(attrs.evolve(case, track=None, spots=None)))


def test_a_path_of_two_samples_has_holes_beside_it_and_one_place_is_no_path():
    case = assess_live(plan(**SHORT), holed(box(-50, 16, 50, 60))).case
    assert len(case.track) == 2
    (one,) = airspace_not_known_beside(case)
    assert "beside the path" in one.message
    gone = np.array([np.nan, case.track.x_m[1]])
    assert not list(airspace_not_known_beside(attrs.evolve(case, track=attrs.evolve(case.track, x_m=gone))))


def test_a_flight_that_leaves_what_is_known_is_no_distance_from_its_end():
    """That is told of the data, and weighs more; were it not, a hole on the way there would still be open."""
    case = assess_live(plan(launch=spot(-500, -300), landing=None), holed(box(-520, -200, -480, -150))).case
    assert not list(airspace_not_known_beside(case))
    (one,) = airspace_not_known_beside(attrs.evolve(case, data=()))
    assert (one.mark, one.numbers["aside_m"]) == (Mark.UNKNOWN, 0.0)
    assert "the way from the launch point to the path" in one.message


def test_within_what_coverage_is_taken_wider_the_distance_is_none():
    (one,) = no_data(holed(box(100, -0.5, 160, 60)))
    assert (one.mark, one.numbers["aside_m"]) == (Mark.UNKNOWN, 0.0)


def test_at_the_very_reach_the_place_on_the_path_is_still_told():
    (one,) = no_data(holed(box(100, 19.2, 160, 75)))
    assert 600.0 <= one.from_m <= 660.0
    assert one.from_m == one.to_m


def test_an_airspace_on_the_charts_is_not_taken_for_where_they_speak():
    far = shut(box(2_000, 2_000, 2_100, 2_100))
    (one,) = no_data(holed(box(100, 15, 160, 75), airspace=(far,)))
    assert one.numbers["aside_m"] == pytest.approx(15.0, abs=0.4)
    assert not no_data(holed(box(3_000, 3_000, 3_100, 3_100), airspace=(far,)))


# ---- airspace


@pytest.mark.parametrize(
    ("outline", "aside_m"),
    [
        (box(-11, 100, -5, 120), 5.0),
        (box(100, 30, 120, 34), 6.0),
        (box(307, 100, 320, 120), 7.0),
        (box(100, 409, 120, 420), 9.0),
    ],
)
def test_on_each_side_of_an_area_alone_airspace_is_told(outline, aside_m):
    (one,) = beside(world(airspace=(shut(outline),)), **SQUARE)
    assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)
    assert one.message.startswith("The flying area is")


def test_a_path_of_two_samples_alone_has_airspace_beside_it():
    (one,) = beside(world(airspace=(shut(box(-100, 5, 600, 50)),)), **SHORT)
    assert one.numbers["aside_m"] == pytest.approx(4.0, abs=0.05)


def test_without_anything_drawn_no_airspace_is_beside_it():
    case = assess_live(plan(), world(airspace=(shut(box(-1, 1, 2, 2)),))).case
    assert not list(close_beside_airspace(attrs.evolve(case, track=None, spots=None)))


def test_of_path_and_way_the_nearer_one_is_told_and_of_a_tie_the_path():
    """The path passes 15 m beside it, the way from the launch point along its western edge 3 m."""
    near = shut(box(-497, 15, -300, 200))
    (one,) = beside(world(airspace=(near,)), launch=spot(-500, 300), landing=None)
    assert one.message.startswith("The way from the launch point to the path is")
    assert one.numbers["aside_m"] == pytest.approx(3.0, abs=0.05)
    # In a tie it is the path's: here both begin 15 m south of it.
    (one,) = beside(world(airspace=(shut(box(-520, 15, -480, 200)),)), launch=spot(-500, -90), landing=None)
    assert one.message.startswith("At 0 m the path is")


def test_what_is_surely_not_active_is_not_told():
    """The window lies on a Saturday from 1900Z to 2000Z."""
    for hours, told in (("SUN 0800-0900Z", 0), ("SAT 1800-2100Z", 1)):
        assert len(beside(world(airspace=(shut(box(-100, 5, 600, 50), schedule=hours),)))) == told


def test_a_way_through_an_airspace_is_not_told_as_beside_it():
    through = shut(box(-520, 100, -480, 200))
    assert not beside(world(airspace=(through,)), launch=spot(-500, 300), landing=None)


def test_the_nearest_place_of_a_way_is_met_exactly():
    """A wedge 3 m off, 151.3 m from the launch point: between samples, which lie 1.5 m apart.

    Without that very place it would be 3.04 m or more.
    """
    wedge = polygon([(-497, 150.75), (-300, 150.0), (-300, 151.5)])
    (one,) = beside(world(airspace=(shut(wedge),)), launch=spot(-500, 300), landing=None)
    assert one.numbers["aside_m"] == pytest.approx(3.0, abs=0.01)


@pytest.mark.parametrize(("floor_m", "told"), [(10.0, 1), (30.5, 0)])
def test_straight_above_the_launch_point_every_height_is_passed(floor_m, told):
    """The path begins there at 30 m, over the airspace's top: only the climb comes beside it."""
    band = shut(box(-540, -50, -505, 50), floor=above_ground(floor_m), top=above_ground(floor_m + 10))
    assert len(beside(world(airspace=(band,)), launch=spot(-500, 0), landing=None)) == told


def test_half_a_metre_beside_a_way_is_not_on_it():
    near = shut(box(-499.5, 100, -300, 200))
    (one,) = beside(world(airspace=(near,)), launch=spot(-500, 300), landing=None)
    assert (one.mark, one.numbers["aside_m"]) == (Mark.UNKNOWN, pytest.approx(0.5, abs=0.05))


def test_an_area_that_reaches_its_height_only_in_part_is_beside_it_all_the_same():
    """Ground that rises eastward by a tenth: its top lies 60 to 90 m over the middle."""
    high = shut(box(307, 100, 320, 120), floor=sea_level(GROUND_M + 80.0))
    (one,) = beside(world(airspace=(high,), terrain=terrain(slope(0.1))), **SQUARE)
    assert one.numbers["aside_m"] == pytest.approx(7.0, abs=0.05)
    higher = shut(box(307, 100, 320, 120), floor=sea_level(GROUND_M + 95.0))
    assert not beside(world(airspace=(higher,), terrain=terrain(slope(0.1))), **SQUARE)


# 14 CFR 107.45 and part 73, 107.41, and check_values 1.13 on extensions (standing A): whose leave it takes.
@pytest.mark.parametrize(
    ("kind", "leave", "rule"),
    [
        (AirspaceKind.RESTRICTED, "or record the permission of ", "107.45"),
        (AirspaceKind.CLASS_D, "or record an authorization", "107.41"),
        (AirspaceKind.CLASS_E4, "or record the authority's answer", "extensions"),
    ],
)
def test_within_what_a_fix_may_be_off_it_says_whose_leave_to_record(kind, leave, rule):
    (one,) = beside(world(airspace=(volume(kind, box(-100, 5, 200, 90), name="INVENTED V"),)))
    assert one.mark is Mark.UNKNOWN
    assert leave in one.remedy
    assert rule in one.citation
    (far,) = beside(world(airspace=(volume(kind, box(-100, 15, 200, 90), name="INVENTED V"),)))
    assert "record" not in far.remedy


@pytest.mark.parametrize(("allowed_m", "mark"), [(75.0, Mark.UNKNOWN), (95.0, Mark.ACT)])
def test_beside_an_area_a_record_opens_what_it_allows_to_its_very_top(allowed_m, mark):
    """Ground that rises by a tenth: the area's top lies 60 to 90 m over the middle's ground."""
    held = record("INVENTED V", AboveSeaLevel(GROUND_M + allowed_m), PermissionKind.AGENCY)
    charts = world(airspace=(shut(box(305, 100, 320, 120)),), terrain=terrain(slope(0.1)))
    (one,) = beside(charts, permissions=(held,), **SQUARE)
    assert one.mark is mark


CLIMB = points([(-400, 300, 110.0), (-400, 0, 20.0), (-100, 0, 20.0), (200, 0, 80.0)])


@pytest.mark.parametrize(
    ("allowed_m", "mark"), [(70.0, Mark.UNKNOWN), (79.0, Mark.UNKNOWN), (82.0, Mark.ACT)]
)
def test_beside_a_path_a_record_must_allow_as_high_as_it_is_flown_there(allowed_m, mark):
    """It comes from 110 m far from it, and climbs from 20 m to 80 m along its edge."""
    held = record("INVENTED V", allowed_m, PermissionKind.AGENCY)
    charts = world(airspace=(shut(box(-100, 5, 200, 200)),))
    (one,) = beside(charts, path=CLIMB, permissions=(held,), **DRAWN_ALONE)
    assert one.mark is mark


@pytest.mark.parametrize(("allowed_m", "mark"), [(10.0, Mark.UNKNOWN), (31.0, Mark.ACT)])
def test_beside_a_way_a_record_must_allow_as_high_as_it_gets(allowed_m, mark):
    held = record("INVENTED V", allowed_m, PermissionKind.AGENCY)
    near = shut(box(-497, 100, -300, 200))
    (one,) = beside(world(airspace=(near,)), permissions=(held,), launch=spot(-500, 300), landing=None)
    assert one.mark is mark


@pytest.mark.parametrize("turn", [(1, 0), (-1, 0), (0, 1), (0, -1)])
@pytest.mark.parametrize(
    ("apart_m", "to_m", "told"), [(200.0, 200.0, 0), (237.0, 110.0, 0), (260.0, 110.0, 1)]
)
def test_where_two_allowances_join_neither_ends(turn, apart_m, to_m, told):
    """14 CFR 107.51(b): 121.9 m round each. 237 m apart they overlap from 115.1 m on; 260 m apart not."""
    masts = tuple(
        tower(200.0, (turn[0] * m, turn[1] * m), key=key) for key, m in (("one", 0.0), ("two", apart_m))
    )
    ends = (turn[0] * to_m, turn[1] * to_m)
    high = points([(0, 0, GROUND_LIMIT_M + 20), (*ends, GROUND_LIMIT_M + 20)])
    flight = plan(path=high, structures_standing=frozenset({"one", "two"}), **DRAWN_ALONE)
    case = assess_live(flight, world(structures=masts)).case
    assert len(list(close_to_the_end_of_an_allowance(case))) == told


@pytest.mark.parametrize(
    ("loss", "returns"),
    [
        (LinkLoss(LinkLossAction.RETURN_FIXED, 1.0), True),
        (LinkLoss(LinkLossAction.LAND, 1.0), False),
        (None, False),
    ],
)
def test_a_return_point_is_flown_to_where_it_returns(loss, returns):
    """Only what returns on lost link comes there, 400 m north of the path."""
    craft = attrs.evolve(plan().aircraft, link_loss=loss)
    flight = plan(aircraft=craft, return_point=at(0, 400), **SLANTED)
    case = assess_live(flight, world()).case
    there = [shape for words, shape in drawn_parts(case, case.mapped) if words == "the return point"]
    assert len(there) == returns
    for shape in there:
        assert (shape.x, shape.y) == pytest.approx(case.mapped.frame.place_to_xy(at(0, 400)))
    nowhere = assess_live(attrs.evolve(flight, return_point=None), world()).case
    assert "the return point" not in [words for words, _ in drawn_parts(nowhere, nowhere.mapped)]
