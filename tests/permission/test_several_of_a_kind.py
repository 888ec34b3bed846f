"""Several cells, records or volumes for one airspace: which of them decides.

Cells: the facility map flow chart (check_values 1.10, A); the automated service answers for a flight only if
it does for every cell. What has no source is design of the program.
"""

from datetime import timedelta

import numpy as np
import pytest

from planner.assess import assess_live
from planner.desk.record_card import coverage_words
from planner.permission.need import Route
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import (
    GROUND_M,
    at,
    box,
    cell,
    ft,
    plan,
    points,
    record,
    recreational,
    sea_level,
    volume,
    world,
)

WEST, EAST = box(-9_000, -9_000, 200, 9_000), box(200, -9_000, 9_000, 9_000)


def only_need(charts, flight=None):
    (need,) = assess_live(flight or plan(), charts).permissions
    return need


@pytest.mark.parametrize("without", ["west", "east"])
def test_one_cell_without_the_automated_service_closes_that_way(without):
    cells = (
        cell(400, WEST, key="west", automated=without != "west"),
        cell(400, EAST, key="east", automated=without != "east"),
    )
    assert only_need(world(airspace=(volume(),), cells=cells)).route is Route.FURTHER_COORDINATION
    both = (cell(400, WEST, key="west"), cell(400, EAST, key="east"))
    assert only_need(world(airspace=(volume(),), cells=both)).route is Route.AUTOMATED


def ring(outline):
    return worlds.area(outline, None).ring


@pytest.mark.parametrize(("meet_m", "named"), [(200, "WEST"), (-200, "EAST")])
@pytest.mark.parametrize("turned", [False, True])
def test_of_records_that_cover_the_flight_together_the_one_that_covers_most_is_named(meet_m, named, turned):
    """The path runs from 500 m west to 500 m east."""
    held = [
        record("INVENTED CLASS-D", 60.0, reference="WEST", ring=ring(box(-900, -300, meet_m + 1, 300))),
        record("INVENTED CLASS-D", 60.0, reference="EAST", ring=ring(box(meet_m - 1, -300, 900, 300))),
    ]
    flight = plan(permissions=tuple(reversed(held) if turned else held), launch=None, landing=None)
    need = only_need(world(airspace=(volume(),), cells=(cell(400),)), flight)
    assert need.record is not None
    assert need.record.reference == named


def halves(**of_west):
    """Two records for a path from 500 m west to 500 m east; WEST covers 700 m of it, EAST 301."""
    return (
        record("INVENTED CLASS-D", 60.0, reference="WEST", ring=ring(box(-900, -300, 200, 300)), **of_west),
        record("INVENTED CLASS-D", 60.0, reference="EAST", ring=ring(box(199, -300, 900, 300))),
    )


def judged_with(*held):
    flight = plan(permissions=held, launch=None, landing=None)
    return assess_live(flight, world(airspace=(volume(),), cells=(cell(400),)))


@pytest.mark.parametrize("turned", [1, -1])
def test_all_records_that_the_cover_rests_on_are_named(turned):
    answer = judged_with(*halves()[::turned])
    (need,) = answer.permissions
    assert [one.reference for one in need.records] == ["WEST", "EAST"]
    (told,) = [one for one in answer.findings if one.rule == "permission-on-record"]
    assert "Records WEST, EAST together cover this flight. Carry each of them" in told.message
    # Without either of them it is not covered.
    for left in halves():
        (need,) = judged_with(left).permissions
        assert not need.recorded
        assert need.falls_short == left


@pytest.mark.parametrize("turned", [1, -1])
def test_of_records_with_a_gap_between_them_the_gap_is_told_not_what_the_other_covers(turned):
    """The issue: a record that does not cover the plan says where and by how much. A gap of half a metre."""
    gap_m = record("INVENTED CLASS-D", 60.0, reference="EAST", ring=ring(box(200.5, -300, 900, 300)))
    (need,) = judged_with(*(halves()[0], gap_m)[::turned]).permissions
    assert "together do not cover the whole place: the plan leaves them at 70" in need.shortfall
    # 700 m from the path's beginning; ways are told in whole metres.
    assert need.shortfall.endswith("up to 1 m outside them")
    assert need.falls_short in (halves()[0], gap_m)


def test_of_records_side_by_side_one_of_which_is_too_low_it_is_told_by_how_much():
    """The path is at 30 m; EAST allows 20 m, WEST ends before: 33 ft too high, not out of the place."""
    west, _ = halves()
    low = record("INVENTED CLASS-D", 20.0, reference="EAST", ring=ring(box(199, -300, 900, 300)))
    (need,) = judged_with(west, low).permissions
    assert need.shortfall.startswith("the plan is 33 ft above record EAST at 70")
    assert need.falls_short == low


def test_a_record_that_can_be_spared_is_not_named():
    whole = record("INVENTED CLASS-D", 60.0, reference="ALL")
    (need,) = judged_with(*halves(), whole).permissions
    assert need.records == (whole,)


def test_a_record_is_told_from_another_whose_reference_begins_alike():
    """A10 ends early and falls short; A1 speaks of another place."""
    start, end = worlds.WINDOW.start_utc, worlds.WINDOW.end_utc
    early = record(
        "INVENTED CLASS-D",
        60.0,
        reference="A10",
        valid_from_utc=start,
        valid_to_utc=end - timedelta(minutes=20),
    )
    elsewhere = record("ELSEWHERE", 60.0, reference="A1")
    needs = judged_with(early, elsewhere).permissions
    assert needs[0].falls_short == early
    assert coverage_words(early, needs)[0].startswith("Does not cover the plan: record A10 ends 20 min")
    assert coverage_words(elsewhere, needs) == ("Nothing that is drawn rests on it", True)


def test_the_cards_of_two_records_that_cover_together_say_so():
    held = halves()
    needs = judged_with(*held).permissions
    words = [coverage_words(one, needs)[0] for one in held]
    assert words == [
        "Covers what is drawn in INVENTED CLASS-D, together with EAST",
        "Covers what is drawn in INVENTED CLASS-D, together with WEST",
    ]


def shelf(floor_ft, outline, **changes):
    return volume(
        AirspaceKind.CLASS_C,
        outline,
        floor=sea_level(GROUND_M + ft(floor_ft)),
        name="INVENTED C",
        **changes,
    )


@pytest.mark.parametrize("order", [1, -1])
def test_the_floor_of_a_need_is_the_lowest_floor_entered(order):
    low, high = shelf(20, WEST), shelf(50, EAST)
    need = only_need(world(airspace=(low, high)[::order], cells=(cell(400),)))
    assert need.floor_amsl_m == pytest.approx(GROUND_M + ft(20))


@pytest.mark.parametrize("order", [1, -1])
def test_a_need_that_begins_at_the_ground_somewhere_has_no_floor(order):
    core, above = volume(AirspaceKind.CLASS_C, WEST, name="INVENTED C"), shelf(50, EAST)
    need = only_need(world(airspace=(core, above)[::order], cells=(cell(400),)))
    assert need.floor_amsl_m is None


def test_all_of_the_flight_lies_in_one_fixed_site_or_it_is_no_flight_there():
    """49 USC 44809(c) (A): from that site. Two sites with half of it each are not one."""
    whole = worlds.fixed_site(box(-900, -300, 900, 300))
    half = worlds.fixed_site(box(-900, -300, 100, 300))
    charts = {"airspace": (volume(),), "cells": (cell(0),)}
    flight = recreational(permissions=(record("NONE", 60.0, PermissionKind.FIXED_SITE_AGREEMENT),))
    assert only_need(world(fixed_sites=(whole,), **charts), flight).route is Route.FIXED_SITE
    assert only_need(world(fixed_sites=(half,), **charts), flight).route is Route.ASK_AUTHORITY
    assert only_need(world(fixed_sites=(half, whole), **charts), flight).route is Route.FIXED_SITE


@pytest.mark.parametrize("unknown", ["launch", "path"])
def test_a_height_that_is_not_known_in_one_part_is_not_known_for_all_of_it(unknown):
    """The launch point, 700 m north, or the middle of the path lies over ground of unknown height."""
    north = {"launch": 700.0, "path": 0.0}[unknown]
    ground = worlds.terrain(
        lambda east_m, north_m: np.where((abs(east_m) < 60) & (abs(north_m - north) < 60), np.nan, GROUND_M)
    )
    spot = GroundSpot(at(0.0, 700.0), LandStatus.OWN)
    path = points([(-500, 0, 30.0), (0, 0, 30.0), (500, 0, 30.0)])
    charts = world(airspace=(volume(),), cells=(cell(400),), terrain=ground)
    need = only_need(charts, plan(path=path, launch=spot, landing=None))
    assert need.asked_agl_m is None
    assert need.route is Route.FURTHER_COORDINATION


def test_of_path_and_landing_in_one_airspace_the_higher_is_asked_for():
    """Arithmetic: 30 m over the path, and nothing over the ground where it lands."""
    charts = world(airspace=(volume(),), cells=(cell(400),))
    path = points([(-100, 0, 30.0), (100, 0, 30.0)])
    ends = {name: GroundSpot(at(x, 0), LandStatus.OWN) for name, x in (("launch", -100), ("landing", 100))}
    flight = plan(path=path, **ends)
    assert only_need(charts, flight).asked_agl_m == pytest.approx(30.0, abs=0.01)
