"""What a path passes close beside: distances by hand, in an even plane."""

import math

import pytest
import shapely

from planner.assess import assess, assess_live
from planner.geo.heights import AboveGround
from planner.permission.besides import BESIDE_M
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.beside import FIX_M
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M, STRUCTURE_RADIUS_M
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, area, at, box, plan, points, record, tower, volume, world


def found(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def beside(aside_m, kind=AirspaceKind.RESTRICTED, **limits):
    """A volume whose southern edge runs so far north of the path, from 100 m west to 200 m east."""
    return volume(kind, box(-100, aside_m, 200, aside_m + 500), name="INVENTED V", **limits)


# What is closed, or takes an authorization (14 CFR 107.41), weighs as much as data that end there and could
# hide either (our own rule): 8 m are the error of a satellite fix (GPS SPS Performance Standard 2020, from
# memory).
@pytest.mark.parametrize(
    ("kind", "mark", "verdict"),
    [
        (AirspaceKind.RESTRICTED, Mark.UNKNOWN, Verdict.UNDETERMINED),
        (AirspaceKind.PROHIBITED, Mark.UNKNOWN, Verdict.UNDETERMINED),
        (AirspaceKind.TEMPORARY, Mark.UNKNOWN, Verdict.UNDETERMINED),
        (AirspaceKind.CLASS_D, Mark.UNKNOWN, Verdict.UNDETERMINED),
    ],
)
def test_an_airspace_passed_half_a_metre_beside_is_told(kind, mark, verdict):
    answer = assess(plan(), world(airspace=(beside(0.5, kind),)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.mark is mark
    assert told.numbers["aside_m"] == pytest.approx(0.5, abs=0.05)
    assert "INVENTED V" in told.title
    assert answer.verdict is verdict


@pytest.mark.parametrize(
    ("aside_m", "mark"), [(FIX_M - 0.3, Mark.UNKNOWN), (FIX_M + 0.3, Mark.ACT), (BESIDE_M - 0.3, Mark.ACT)]
)
def test_beside_what_is_closed_the_answer_is_open_within_what_a_fix_may_be_off(aside_m, mark):
    (told,) = found(assess(plan(), world(airspace=(beside(aside_m),))), "close-beside-airspace")
    assert told.mark is mark


@pytest.mark.parametrize(("height_m", "mark"), [(None, Mark.UNKNOWN), (20.0, Mark.UNKNOWN), (60.0, Mark.ACT)])
def test_where_its_agency_lets_it_in_nothing_is_open_beside_it(height_m, mark):
    """Our own rule: who strays into what a record opens to him at his height does nothing forbidden."""
    held = record("INVENTED V", height_m, PermissionKind.AGENCY)
    answer = assess(plan(permissions=(held,)), world(airspace=(beside(0.5),)))
    assert [one.mark for one in found(answer, "close-beside-airspace")] == [mark]


@pytest.mark.parametrize(("height_m", "mark"), [(20.0, Mark.UNKNOWN), (60.0, Mark.ACT)])
def test_of_a_way_that_climbs_its_highest_place_has_to_be_let_in(height_m, mark):
    """The way from the launch point, on the ground, to the path 30 m up; our own rule, as of the path."""
    held = record("INVENTED V", height_m, PermissionKind.AGENCY)
    flight = plan(
        path=points([(0, -200, 30.0), (150, -200, 30.0)]), permissions=(held,), **spots((0, 0), (150, -200))
    )
    answer = assess(flight, world(airspace=(beside(0.5),)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.message.startswith("The way from the launch point")
    assert told.mark is mark


SHORT = points([(0, 0, 30.0), (150, 0, 30.0)])


def spots(*where):
    return dict(
        zip(("launch", "landing"), (GroundSpot(at(*one), LandStatus.OWN) for one in where), strict=True)
    )


# Our own rule, as of data that end there (`test_data_end_beside`): a way that is not drawn is flown as well.
@pytest.mark.parametrize(("aside_m", "mark"), [(1.0, Mark.UNKNOWN), (9.0, Mark.ACT), (21.0, None)])
@pytest.mark.parametrize(
    ("outline", "words"),
    [
        (lambda m: box(-420, -100, -400 - m, 100), "The way from the launch point to the path is"),
        (lambda m: box(-300, m, -200, 100), "The way from the launch point to the path is"),
        (lambda m: box(400 + m, -100, 420, 100), "The way from the path to the landing point is"),
    ],
)
def test_an_airspace_beside_launch_landing_or_a_way_not_drawn(outline, words, aside_m, mark):
    shut = volume(AirspaceKind.RESTRICTED, outline(aside_m), name="INVENTED V")
    answer = assess(plan(path=SHORT, **spots((-400, 0), (400, 0))), world(airspace=(shut,)))
    told = found(answer, "close-beside-airspace")
    assert [one.mark for one in told] == ([] if mark is None else [mark])
    for one in told:
        assert one.message.startswith(words)
        assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)


def test_of_several_parts_of_one_name_the_nearest_is_told():
    parts = tuple(
        volume(AirspaceKind.RESTRICTED, outline, name="INVENTED V")
        for outline in (box(-100, 15, 0, 100), box(50, -80, 100, -2))
    )
    (told,) = found(assess(plan(), world(airspace=parts)), "close-beside-airspace")
    assert told.numbers["aside_m"] == pytest.approx(2.0, abs=0.05)


def test_a_way_that_passes_over_or_under_it_is_not_beside_it():
    """It climbs from the ground to 30 m in 400 m: 11 to 15 m up beside the airspace, 17 m up 20 m past it."""
    for limits, told in (({"floor": above_ground(18.0)}, 0), ({"floor": above_ground(14.0)}, 1)):
        shut = volume(AirspaceKind.RESTRICTED, box(-250, 3, -200, 100), name="INVENTED V", **limits)
        answer = assess(plan(path=SHORT, **spots((-400, 0), (150, 0))), world(airspace=(shut,)))
        assert len(found(answer, "close-beside-airspace")) == told


# check_values 1.13 (standing A) on extensions, 1.8 (standing B) on recreational flights in low Class E.
@pytest.mark.parametrize(
    ("kind", "purpose", "told"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107, 1),
        (AirspaceKind.CLASS_E3, Purpose.RECREATIONAL, 1),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL, 1),
        (AirspaceKind.CLASS_E_OTHER, Purpose.PART_107, 0),
    ],
)
def test_where_only_the_authority_can_say_who_may_fly_its_edge_is_told_too(kind, purpose, told):
    answer = assess(plan(purpose), world(airspace=(beside(1.0, kind),)))
    assert len(found(answer, "close-beside-airspace")) == told
    entered = assess(plan(purpose), world(airspace=(beside(-50.0, kind),)))
    assert not found(entered, "close-beside-airspace")


def test_from_the_stated_distance_on_nothing_is_said():
    assert found(assess(plan(), world(airspace=(beside(BESIDE_M - 0.2),))), "close-beside-airspace")
    assert not found(assess(plan(), world(airspace=(beside(BESIDE_M + 0.2),))), "close-beside-airspace")


def test_only_an_airspace_at_the_height_flown_is_told():
    drawn_only = plan(launch=None, landing=None)
    over = beside(0.5, floor=above_ground(60.0))
    assert not found(assess(drawn_only, world(airspace=(over,))), "close-beside-airspace")
    under = beside(0.5, top=above_ground(20.0))
    assert not found(assess(drawn_only, world(airspace=(under,))), "close-beside-airspace")
    # The way from the launch point climbs through those heights.
    assert found(assess(plan(), world(airspace=(under,))), "close-beside-airspace")


def test_an_airspace_that_is_entered_is_told_as_such_only():
    answer = assess(plan(), world(airspace=(beside(-50.0),)))
    assert not found(answer, "close-beside-airspace")
    assert answer.verdict is Verdict.MUST_CHANGE


def test_the_place_is_where_the_path_comes_nearest():
    """A wedge that points at the path from the north: its tip at 300 m east, 7 m away."""
    tip, left, right = at(300, 7), at(200, 400), at(400, 400)
    wedge = shapely.Polygon([(one.lon_deg, one.lat_deg) for one in (tip, left, right)])
    answer = assess(plan(), world(airspace=(volume(AirspaceKind.RESTRICTED, wedge, name="INVENTED V"),)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.numbers["aside_m"] == pytest.approx(7.0, abs=0.05)
    assert told.from_m == pytest.approx(800.0, abs=0.5)


@pytest.mark.parametrize(("aside_m", "told"), [(0.5, 1), (BESIDE_M - 0.2, 1), (BESIDE_M + 0.2, 0), (-5.0, 0)])
def test_an_airspace_beside_a_flying_area_is_told_as_beside_a_path(aside_m, told):
    """Our own rule: an area is flown to its edge."""
    drawn = area(box(-100, -200, 100, 0), AboveGround(60.0))
    answer = assess_live(plan(path=(), area=drawn), world(airspace=(beside(aside_m),)))
    told_of = found(answer, "close-beside-airspace")
    assert [one.mark for one in told_of] == [Mark.UNKNOWN if aside_m < FIX_M else Mark.ACT] * told
    assert all(one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.1) for one in told_of)
    high = beside(aside_m, floor=above_ground(60.5))
    answer = assess_live(plan(path=(), area=drawn), world(airspace=(high,)))
    assert not found(answer, "close-beside-airspace")


@pytest.mark.parametrize(("inside_m", "told"), [(5.0, 1), (BESIDE_M + 1.0, 0), (-50.0, 0)])
def test_an_allowance_that_is_needed_close_to_its_radius_is_told(inside_m, told):
    """Where it is left while needed, the stop on height says where: not twice (own rule)."""
    mast = tower(200.0, (0.0, 0.0), key="mast")
    reach_m = STRUCTURE_RADIUS_M - mast.horizontal_error_m
    east_m = reach_m - inside_m
    high = points([(0, 0, GROUND_LIMIT_M + 20), (east_m, 0, GROUND_LIMIT_M + 20)])
    answer = assess(plan(path=high, structures_standing=frozenset({"mast"})), world(structures=(mast,)))
    assert len(found(answer, "close-to-allowance-end")) == told
    assert bool(found(answer, "above-height-limit")) is (inside_m < 0)
    low = points([(0, 0, GROUND_LIMIT_M - 20), (east_m, 0, GROUND_LIMIT_M - 20)])
    answer = assess(plan(path=low, structures_standing=frozenset({"mast"})), world(structures=(mast,)))
    assert not found(answer, "close-to-allowance-end")


def test_the_end_of_an_allowance_is_where_the_neighbours_end_too():
    """Neighbours unite (issue 4). Two circles of radius r, 2 r - 2 m apart, cross at y = sqrt(2 r - 1)."""
    radius_m = STRUCTURE_RADIUS_M
    masts = tuple(tower(200.0, (east_m, 0.0), key=f"m{east_m:g}") for east_m in (0.0, 2 * radius_m - 2, 4e3))
    high = points([(0, 0, GROUND_LIMIT_M + 20), (radius_m - 5.0, 0, GROUND_LIMIT_M + 20)])
    for standing, aside_m in ((1, 5.0), (3, math.hypot(4.0, math.sqrt(2 * radius_m - 1)))):
        keys = frozenset(mast.key for mast in masts[:standing])
        answer = assess(plan(path=high, structures_standing=keys), world(structures=masts))
        (told,) = found(answer, "close-to-allowance-end")
        assert told.numbers["aside_m"] == pytest.approx(aside_m, abs=0.1)


@pytest.mark.parametrize("aside_m", [3.0, 15.0])
def test_straight_up_beside_an_airspace_is_told_as_along_it(aside_m):
    """Our own rule: what goes up in one place is as close as what passes there. Level, all lies below it."""
    corners = [(-400, 30.0), (0, 30.0), (0, 90.0), (0, 30.0), (-400, 30.0)]
    path = points([(east_m, 0, AboveGround(height_m)) for east_m, height_m in corners])
    shelf = volume(AirspaceKind.RESTRICTED, box(aside_m, -300, 300, 300), floor=above_ground(50.0))
    west = GroundSpot(at(-400), LandStatus.OWN)
    answer = assess(plan(path=path, launch=west, landing=west), world(airspace=(shelf,)))
    (told,) = found(answer, "close-beside-airspace")
    assert told.mark is (Mark.UNKNOWN if aside_m < FIX_M else Mark.ACT)
    assert told.numbers["aside_m"] == pytest.approx(aside_m, abs=0.1)
    assert told.place.lon_deg == pytest.approx(at().lon_deg, abs=1e-6)
