"""What only an action on lost link comes into or beside: told as of the flight itself.

What is closed: 14 CFR 107.45 and part 73 (check_values 1.17, standing A), Class D: 14 CFR 107.41; land: 36
CFR 1.5. 8 m are the error of a satellite fix (GPS SPS Performance Standard 2020, from memory). That what is
flown by itself counts as the rest does is our own rule; distances by hand and by shapely.
"""

from datetime import timedelta

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, RemoteId
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from planner.world.sites import ClosedLand, ExemptArea
from tests.worlds import (
    START,
    WINDOW,
    above_ground,
    at,
    box,
    layers,
    plan,
    points,
    record,
    volume,
    world,
)

RETURN, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
# Round a corner: ways home lead over what the path goes around.
ROUND = {
    "path": points([(0, 0, 30.0), (300, 0, 30.0), (300, 300, 30.0)]),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(300, 300), LandStatus.OWN),
}
INSIDE = box(150, 60, 200, 120)


def judged(action=RETURN, *airspace, given=None, **changes):
    flight = plan(Purpose.PART_107, **{**ROUND, **changes})
    loss = LinkLoss(action, 1.0, AboveLaunch(45.0) if action is RETURN else None)
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    return assess(flight, world(airspace=airspace, **(given or {})))


def told(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def soon(outline=INSIDE, **limits):
    """Begins 5 minutes after the window."""
    return volume(
        AirspaceKind.RESTRICTED,
        outline,
        name="R",
        active_from_utc=WINDOW.end_utc + timedelta(minutes=5),
        **limits,
    )


def test_what_begins_soon_on_the_way_home_alone_is_told():
    (one,) = told(judged(RETURN, soon()), "restriction-soon")
    assert one.mark is Mark.ACT
    assert one.message.endswith("On lost link the aircraft would come into it by itself.")


@pytest.mark.parametrize(
    ("action", "limits", "number"),
    [(LAND, {}, 0), (RETURN, {"floor": above_ground(50.0)}, 0), (RETURN, {"top": above_ground(40.0)}, 0)],
)
def test_what_no_action_comes_into_is_not_told(action, limits, number):
    assert len(told(judged(action, soon(**limits)), "restriction-soon")) == number


def test_what_lies_beneath_the_path_is_told_of_what_lands():
    beneath = soon(box(100, -50, 200, 50), top=above_ground(20.0))
    assert len(told(judged(LAND, beneath), "restriction-soon")) == 1
    assert not told(judged(RETURN, beneath), "restriction-soon")


def test_what_is_at_hand_anyway_is_told_once():
    (one,) = told(judged(RETURN, soon(box(100, -50, 200, 200))), "restriction-soon")
    assert "On lost link" not in one.message


def test_hours_count_as_dates_do():
    """Hours that begin 5 minutes after the window's end, in UTC."""
    begins = WINDOW.end_utc + timedelta(minutes=5)
    by_hours = volume(
        AirspaceKind.RESTRICTED,
        INSIDE,
        name="R",
        schedule=f"{begins:%H%M}Z-{begins + timedelta(hours=2):%H%M}Z DLY",
    )
    (one,) = told(judged(RETURN, by_hours), "restriction-soon")
    assert "by itself" in one.message


# ---- close beside


@pytest.mark.parametrize(
    ("aside_m", "mark"),
    [(0.5, Mark.UNKNOWN), (7.5, Mark.UNKNOWN), (8.5, Mark.ACT), (19.5, Mark.ACT), (20.5, None)],
)
@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
def test_a_return_point_beside_what_is_shut(kind, aside_m, mark):
    """It lies 200 m south of everything else that is flown; the edge runs so far south of it."""
    shut = volume(kind, box(-50, -300, 50, -200 - aside_m), name="SHUT")
    found = told(judged(RETURN, shut, return_point=at(0, -200)), "close-beside-airspace")
    assert [one.mark for one in found] == ([] if mark is None else [mark])
    for one in found:
        assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)
        assert "comes down by itself on lost link" in one.message
    assert not told(judged(LAND, shut, return_point=at(0, -200)), "close-beside-airspace")


CORNER = 150 + 5 * 160 / 340, -70 - 5 * 300 / 340


@pytest.mark.parametrize(("top_m", "marks"), [(50.0, [Mark.UNKNOWN]), (40.0, [])])
def test_a_way_home_beside_what_is_shut_at_its_height(top_m, marks):
    """Lost at (300, 0) it flies on for 10 m and then to (0, -150), at 45 m: 5 m beside a corner."""
    x, y = CORNER
    assert shapely.LineString([(300, 10), (0, -150)]).distance(shapely.Point(x, y)) == pytest.approx(5.0)
    shut = volume(AirspaceKind.RESTRICTED, box(x, y - 20, x + 20, y), name="SHUT", top=above_ground(top_m))
    path = points([(300, 0, 30.0), (300, 300, 30.0)])
    launch = GroundSpot(at(300, 0), LandStatus.OWN)
    answer = judged(RETURN, shut, return_point=at(0, -150), path=path, launch=launch)
    assert [one.mark for one in told(answer, "close-beside-airspace")] == marks


@pytest.mark.parametrize("north_m", [-50, 5])
@pytest.mark.parametrize("height_m", [45.0, 60.0])
def test_what_flight_and_return_pass_over_by_far_is_beside_neither(height_m, north_m):
    """It ends 20 m above the ground, the path is 30 m and the return 45 m or more; home lies 100 m aside."""
    low = volume(AirspaceKind.RESTRICTED, box(100, north_m, 200, 150), name="LOW", top=above_ground(20.0))
    flight = {"path": points([(300, 0, 30.0), (100, 0, 30.0), (300, 300, 30.0)]), "return_point": at(-100, 0)}
    answer = judged(RETURN, low, launch=GroundSpot(at(300, 0), LandStatus.OWN), **flight)
    assert not told(answer, "close-beside-airspace")


@pytest.mark.parametrize(("floor_m", "marks"), [(35.0, [Mark.UNKNOWN]), (50.0, [])])
def test_where_it_climbs_it_passes_what_lies_beside(floor_m, marks):
    """Lost at the end, 10 m farther on, it climbs from 30 m to 45 m: 3 m beside a floor between."""
    shut = volume(AirspaceKind.RESTRICTED, box(280, 313, 320, 340), name="SHUT", floor=above_ground(floor_m))
    assert [one.mark for one in told(judged(RETURN, shut), "close-beside-airspace")] == marks


def test_a_record_that_opens_it_there_makes_it_an_act():
    shut = volume(AirspaceKind.RESTRICTED, box(-50, -300, 50, -203), name="SHUT")
    held = record("SHUT", 60.0, PermissionKind.AGENCY)
    (one,) = told(
        judged(RETURN, shut, return_point=at(0, -200), permissions=(held,)), "close-beside-airspace"
    )
    assert one.mark is Mark.ACT


@pytest.mark.parametrize(("aside_m", "mark"), [(3.0, Mark.UNKNOWN), (12.0, Mark.ACT)])
def test_data_that_end_beside_the_return_point_are_told(aside_m, mark):
    known = box(-2_000, -200 - aside_m, 2_000, 2_000)
    given = {
        "layers": tuple(
            attrs.evolve(one, coverage=known) if one.name is LayerName.SPECIAL_USE else one
            for one in layers()
        )
    }
    (one,) = told(judged(RETURN, return_point=at(0, -200), given=given), "no-data-beside")
    assert one.mark is mark
    assert "the return point" in one.title
    assert not told(judged(LAND, return_point=at(0, -200), given=given), "no-data-beside")


# ---- closed land, and land where no Remote ID is needed


def park(east_m):
    return {"closed_lands": (ClosedLand("p", "PARK", box(east_m, -500, east_m + 400, 500)),)}


@pytest.mark.parametrize(
    ("aside_m", "rule"), [(0.5, "closed-land-beside"), (7.5, "closed-land-beside"), (8.5, None)]
)
def test_whoever_stands_close_beside_closed_land_sees_where_it_ends(aside_m, rule):
    answer = judged(
        LAND,
        path=points([(-300, 0, 30.0), (-100, 0, 30.0)]),
        given=park(aside_m),
        landing=GroundSpot(at(-100, 0), LandStatus.OWN),
    )
    found = [one for one in answer.findings if one.rule.startswith("closed-land")]
    assert [one.rule for one in found] == ([rule] if rule else [])
    for one in found:
        assert (one.mark, answer.verdict) == (Mark.ACT, Verdict.READY)
        assert one.numbers["aside_m"] == pytest.approx(aside_m, abs=0.05)


@pytest.mark.parametrize(("action", "stopped"), [(RETURN, True), (LAND, False)])
def test_a_return_that_is_set_to_land_on_closed_land_is_a_stop(action, stopped):
    answer = judged(action, return_point=at(600, 0), given=park(500.0))
    found = told(answer, "closed-land")
    assert bool(found) is stopped
    if found:
        assert "return point" in found[0].message
        assert answer.verdict is Verdict.MUST_CHANGE


# 14 CFR 89.115(b), from memory: aircraft and whoever flies stay within the recognized area all the time.
@pytest.mark.parametrize(
    ("changes", "outside"),
    [
        ({}, ""),
        ({"away": "pilot"}, "where pilot stands"),
        ({"return_point": at(700, 0)}, "the return point"),
    ],
)
def test_who_flies_and_where_it_returns_to_lie_in_the_exempt_area_too(changes, outside):
    area = ExemptArea(
        "f", "FIELD", box(-400, -400, 400, 400), START - timedelta(days=9), START + timedelta(days=9)
    )
    flight = plan(Purpose.PART_107, **ROUND)
    crew = flight.crew
    if changes.get("away"):
        crew = (attrs.evolve(crew[0], place=at(-700, 0)), *crew[1:])
    craft = attrs.evolve(
        flight.aircraft,
        remote_id=RemoteId.NONE,
        registration="INVENTED",
        link_loss=LinkLoss(RETURN, 1.0, AboveLaunch(45.0)),
    )
    flight = attrs.evolve(flight, crew=crew, aircraft=craft, return_point=changes.get("return_point"))
    answer = assess(flight, world(exempt_areas=(area,)))
    (one,) = [one for one in answer.findings if one.rule in ("remote-id-exempt", "no-remote-id")]
    assert one.mark is (Mark.STOP if outside else Mark.NOTE)
    assert outside in one.message


@pytest.mark.parametrize(("east_m", "mark"), [(0.0, Mark.NOTE), (50_000.0, Mark.STOP)])
def test_an_authorization_under_part_89_holds_where_its_outline_lies(east_m, mark):
    ring = tuple(at(east_m + x, y) for x, y in ((-900, -900), (900, -900), (900, 900), (-900, 900)))
    held = record("14 CFR 89.105", None, PermissionKind.AGENCY, ring=ring)
    flight = plan(Purpose.PART_107, permissions=(held,), **ROUND)
    craft = attrs.evolve(flight.aircraft, remote_id=RemoteId.NONE, registration="INVENTED")
    answer = assess(attrs.evolve(flight, aircraft=craft), world())
    (one,) = [one for one in answer.findings if one.rule in ("remote-id-exempt", "no-remote-id")]
    assert one.mark is mark
    assert "INVENTED-1" in one.message
