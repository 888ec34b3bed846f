"""Figures and edges of permission that a small fault would move; what has no source is design of the program.

Lead times: check_values 1.10 (90 days A; 72 hours B; 60 days: undated page; headquarters: common practice).
"""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
import shapely

from planner.assess import assess, assess_live
from planner.geo.geodesy import distance_m
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.permission.ask_times import Bound, ask_times
from planner.permission.cells import flight_lines
from planner.permission.need import Route, Subject
from planner.permission.needs import land_needs
from planner.permission.time_fault import _duration
from planner.plan.aircraft import Aircraft, RemoteId
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.papers import Papers
from planner.world.airspace import AirspaceKind
from planner.world.sites import ExemptArea
from tests import worlds
from tests.worlds import (
    GROUND_M,
    at,
    box,
    cell,
    ft,
    hover,
    plan,
    points,
    record,
    sea_level,
    volume,
    world,
)

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
NEEDING = "INVENTED CLASS-D"


@pytest.mark.parametrize(
    ("route", "ahead"),
    [
        (Route.AUTOMATED, [(Bound.LATEST, timedelta(0))]),
        (
            Route.FURTHER_COORDINATION,
            [(Bound.EARLIEST, timedelta(days=90)), (Bound.LATEST, timedelta(hours=72)),
             (Bound.LATEST, timedelta(days=60))],
        ),
        (Route.ASK_AUTHORITY, [(Bound.LATEST, timedelta(days=60))]),
        (Route.HEADQUARTERS, [(Bound.LATEST, timedelta(days=90))]),
        (Route.LANDOWNER, []),
    ],
)  # fmt: skip
def test_how_far_ahead_to_ask(route, ahead):
    assert [(each.bound, NOON - each.at_utc) for each in ask_times(route, NOON)] == ahead


@pytest.mark.parametrize(
    ("lacking", "words"),
    [
        (timedelta(seconds=0), "1 min"),
        (timedelta(minutes=59), "59 min"),
        (timedelta(minutes=60), "1 h 00 min"),
        (timedelta(minutes=119, seconds=1), "2 h 00 min"),
        (timedelta(hours=47, minutes=59), "47 h 59 min"),
        (timedelta(hours=48), "2 days"),
        (timedelta(hours=48, minutes=1), "3 days"),
    ],
)
def test_a_span_that_lacks_is_rounded_up(lacking, words):
    assert _duration(lacking) == words


# ---- waivers in time and purpose (14 CFR 107.200, A)


# ---- where a need begins and ends, and whom it is of


def needs(charts, **changes):
    return assess_live(plan(**changes), charts).permissions


def test_a_need_names_from_where_to_where_it_is_entered():
    (need,) = needs(world(airspace=(volume(outline=box(-200, -300, 300, 300)),), cells=(cell(400),)))
    assert (need.from_m, need.to_m) == (pytest.approx(300.0, abs=0.1), pytest.approx(800.0, abs=0.1))


def test_a_need_asks_for_the_greatest_height_and_names_the_first_place():
    """From 100 ft to 300 ft above the ground, entering at the middle, at 200 ft; the cell gives 250 ft."""
    east = volume(outline=box(0, -300, 900, 300))
    path = points([(-500, 0, ft(100)), (500, 0, ft(300))])
    away = GroundSpot(at(-500), LandStatus.OWN)
    (need,) = needs(world(airspace=(east,), cells=(cell(250),)), path=path, launch=away, landing=away)
    assert need.asked_agl_m == pytest.approx(ft(300))
    assert need.route is Route.FURTHER_COORDINATION
    assert distance_m(need.place, at()) < 0.1


def test_unsettled_ground_is_asked_for_and_settled_or_missing_ground_is_not():
    open_ground = GroundSpot(at(), LandStatus.UNSETTLED)
    (need,) = land_needs(plan(launch=open_ground))
    assert (need.subject, need.airspace, need.place) == (Subject.LAND, "launch point", at())
    assert land_needs(plan()) == land_needs(plan(launch=None, landing=None)) == ()


def test_only_the_part_of_a_path_that_reaches_a_shelf_enters_it():
    """Its outline covers a part of the path, and the path is below its floor there."""
    shelf = volume(AirspaceKind.CLASS_C, box(-100, -300, 100, 300), floor=sea_level(GROUND_M + ft(300)))
    assert not needs(world(airspace=(shelf,)))


def test_a_flight_at_the_very_top_of_an_airspace_is_in_it():
    """Floor and top belong to an airspace (the careful reading)."""
    top = GROUND_M + ft(300)
    charts = world(airspace=(volume(top=sea_level(top)),), cells=(cell(400),))
    assert needs(charts, path=hover(AboveSeaLevel(top)), launch=None, landing=None)
    assert not needs(charts, path=hover(AboveSeaLevel(top + 0.01)), launch=None, landing=None)


def hole(east_m, _north_m):
    return np.where(np.abs(east_m) < 60.0, np.nan, GROUND_M)


def test_a_height_that_is_not_known_is_in_what_begins_at_the_ground_and_not_in_a_shelf():
    path = points([(-20, 0, 30.0), (20, 0, 30.0)])
    ground = worlds.terrain(hole, cell_m=10.0, cells=301)
    core, shelf = volume(), volume(AirspaceKind.CLASS_C, floor=sea_level(GROUND_M + ft(900)))
    assert needs(world(terrain=ground, airspace=(core,)), path=path, launch=None, landing=None)
    assert not needs(world(terrain=ground, airspace=(shelf,)), path=path, launch=None, landing=None)


def test_a_record_over_ground_known_only_in_part_can_not_be_held_against_the_plan():
    ground = worlds.terrain(hole, cell_m=10.0, cells=301)
    charts = world(terrain=ground, airspace=(volume(),), cells=(cell(400),))
    (need,) = needs(charts, permissions=(record(NEEDING, ft(300)),), launch=None, landing=None)
    assert need.record is None
    assert need.shortfall.startswith("what it allows is not known above sea level")


def test_a_planned_height_known_only_in_part_can_not_be_held_against_a_record():
    """The record counts from the sea; of the path a part counts from ground that nobody knows."""
    ground = worlds.terrain(hole, cell_m=10.0, cells=301)
    path = points([(-500, 0, 30.0), (20, 0, 30.0), (500, 0, 30.0)])
    charts = world(terrain=ground, airspace=(volume(),), cells=(cell(400),))
    papers = (record(NEEDING, AboveSeaLevel(GROUND_M + 90)),)
    (need,) = needs(charts, path=path, permissions=papers, launch=None, landing=None)
    assert need.record is None
    assert need.shortfall.startswith("the planned height is not known above sea level")


def test_where_a_record_is_exceeded_is_told_to_ten_metres():
    path = points([(-9_000, 0, ft(100)), (6_000, 0, ft(100)), (6_050, 0, ft(350)), (7_000, 0, ft(100))])
    wide = volume(outline=worlds.disc(20_000.0))
    charts = world(airspace=(wide,), cells=(cell(400),), terrain=worlds.terrain(cells=801))
    papers = (record(NEEDING, ft(200)),)
    (need,) = needs(charts, path=path, permissions=papers, launch=None, landing=None)
    # 15 km along the ground and the climb of 76 m over 50 m on the way.
    at_km = (15_000 + np.hypot(50.0, ft(250))) / 1000
    assert f"at {at_km:.2f} km" in need.shortfall


# ---- cells (facility map flow chart, check_values 1.10, A)


@pytest.mark.parametrize("side", ["west", "east", "south", "north"])
@pytest.mark.parametrize(("gap_m", "touched"), [(0.6, True), (1.6, False)])
def test_a_cell_that_ends_at_the_flights_own_end_counts(side, gap_m, touched):
    low = {
        "west": box(-9_000, -9_000, -500 - gap_m, 9_000), "east": box(500 + gap_m, -9_000, 9_000, 9_000),
        "south": box(-600, -900, 600, -gap_m), "north": box(-600, gap_m, 600, 900),
    }[side]  # fmt: skip
    cells = (cell(400, key="all"), cell(0, low, key="low"))
    (need,) = needs(world(airspace=(volume(),), cells=cells), launch=None, landing=None)
    assert ("low" in need.cells) is touched


def test_pieces_of_a_flight_with_a_gap_between_stay_apart():
    x_m, kept = np.arange(7.0), np.array([True, True, False, False, True, False, True])
    pieces = flight_lines(x_m, np.zeros(7), kept)
    wanted = shapely.union_all(
        [shapely.LineString([(0, 0), (1, 0)]), shapely.Point(4, 0), shapely.Point(6, 0)]
    )
    assert shapely.equals(pieces, wanted)


# ---- papers


BARE = Aircraft("5-inch quad", 0.6, 0.35, registration="INVENTED-1", remote_id=RemoteId.NONE)


def test_path_and_flying_area_both_lie_inside_an_exempt_area_or_nobody_is_exempt():
    inside = ExemptArea("e", "INVENTED AREA", worlds.disc(2_000.0), worlds.START, worlds.WINDOW.end_utc)
    wide = worlds.area(box(-4_000, -4_000, 4_000, 4_000), AboveGround(60.0))
    small = worlds.area(box(-900, -900, 900, 900), AboveGround(60.0))

    def rules(**drawn):
        answer = assess(plan(aircraft=BARE, **drawn), world(exempt_areas=(inside,)))
        return {each.rule for each in answer.findings} & {"remote-id-exempt", "no-remote-id"}

    assert rules(area=small) == {"remote-id-exempt"}
    assert rules(area=wide) == rules(area=wide, path=()) == {"no-remote-id"}


def test_a_finding_about_weight_carries_the_weight():
    craft = Aircraft("5-inch quad", 0.6, 0.35)
    flight = plan(aircraft=craft, papers=Papers(date(2099, 1, 1), True, True))
    found = next(each for each in assess(flight, world()).findings if each.rule == "not-registered")
    assert found.numbers == {"take_off_weight_kg": 0.6}
