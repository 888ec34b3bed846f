"""The way that is not drawn, away from the axes, over ground that is not level: worked by hand."""

import math
import re

import numpy as np
import pytest

from planner.geo.heights import AboveGround
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.inquiries import inquiries
from planner.rules.transit import undrawn_way
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import (
    GROUND_M,
    above_ground,
    area,
    at,
    box,
    ft,
    plan,
    points,
    record,
    terrain,
    volume,
    world,
)


def hill(east_m, north_m, high_m=40.0):
    """A hill with a flat top of some 60 m."""

    def relief(x_m, y_m):
        near = (np.abs(x_m - east_m) <= 45) & (np.abs(y_m - north_m) <= 45)
        return GROUND_M + np.where(near, high_m, 0.0)

    return world(terrain=terrain(relief))


def spots(launch, landing):
    return {
        name: None if place is None else GroundSpot(at(*place), LandStatus.OWN)
        for name, place in (("launch", launch), ("landing", landing))
    }


def told(launch, landing, path, charts=None):
    flight = plan(path=points(path), **spots(launch, landing))
    return list(undrawn_way(judged(flight, charts)))


@pytest.mark.parametrize(
    ("top", "mark"),
    [
        # From (-200, 300) to (300, -100), 30 m up there: half-way, at (50, 100), it is 15 m up.
        ((50, 100), Mark.ACT),
        ((-75, 200), Mark.ACT),
        ((175, 0), Mark.ACT),
        # Where it would lie with its ends, its axes or its signs confused.
        *(
            (place, None)
            for place in [(-50, -100), (50, -100), (-450, 200), (-450, 500), (50, 500), (300, 300)]
        ),
    ],
)
def test_the_ground_beneath_is_that_of_the_straight_way(top, mark):
    found = told((-200, 300), (900, -100), ((300, -100, 30.0), (900, -100, 30.0)), hill(*top))
    assert [one.mark for one in found] == ([mark] if mark else [])
    for one in found:
        assert "from the launch point" in one.title
        assert "meet the ground" in one.message


def test_a_way_leads_to_the_first_point_and_from_the_last():
    """Northwards, so that no coordinate stays what it is from sample to sample."""
    path = ((7, 1_495, 30.0), (47, 1_535, 30.0), (7, 1_695, 30.0))
    out, back = told((-993, -5), (907, 3_295), path)
    assert out.numbers["length_m"] == pytest.approx(math.hypot(1_000, 1_500), abs=1.0)
    assert back.numbers["length_m"] == pytest.approx(math.hypot(900, 1_600), abs=1.0)


@pytest.mark.parametrize(("floor_m", "crossed"), [(40.0, True), (43.0, True), (47.0, False)])
def test_a_way_begins_at_the_height_of_the_end_it_leaves(floor_m, crossed):
    """The path climbs to 90 m at its very end; half-way from there to the landing point it is 45 m up."""
    ring = volume(
        AirspaceKind.RESTRICTED,
        box(290, -60, 300, 60),
        above_ground(floor_m),
        above_ground(900.0),
        name="R-1",
    )
    path = ((0, 0, 30.0), (95, 0, 30.0), (100, 0, 90.0))
    found = told((0, 0), (490, 0), path, world(airspace=(ring,)))
    assert bool(found) is crossed
    # And down to the launch point's own side, where the path begins as high.
    found = told((490, 0), (0, 0), path[::-1], world(airspace=(ring,)))
    assert bool(found) is crossed


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("top_m", "meets"), [(10.0, False), (2.0, False)])
def test_the_top_of_an_area_counts_from_the_ground_where_it_is_reached(turned, top_m, meets):
    """Ground that rises by a tenth: 300 m out it lies 30 m higher, and so does what is above it."""

    def relief(x_m, y_m):
        return GROUND_M + (y_m if turned else x_m) / 10

    outline = box(-50, 300, 50, 400) if turned else box(300, -50, 400, 50)
    flight = plan(path=(), area=area(outline, AboveGround(top_m)), **spots((0, 0), None))
    found = list(undrawn_way(judged(flight, world(terrain=terrain(relief)))))
    assert bool(found) is meets


def through_a_range(ring, kind=AirspaceKind.RESTRICTED, paper=PermissionKind.AGENCY, **flight):
    """Launch 800 m west of a path of 150 m; the airspace is from 600 m west to 100 m east."""
    shut = volume(kind, box(-600, -200, 100, 200), name="INVENTED RANGE")
    outline = None if ring is None else area(ring, None).ring
    held = record("INVENTED RANGE", 300.0, paper, ring=outline)
    given = {"path": points([(0, 0, 30.0), (150, 0, 30.0)]), "permissions": (held,), **flight}
    case = judged(plan(**given, **spots((-800, 0), (100, 0))), world(airspace=(shut,)))
    return [one for one in undrawn_way(case) if "from the launch point" in one.title]


@pytest.mark.parametrize(
    ("ring", "open_question"),
    [
        (None, False),
        (box(-700, -100, 200, 100), False),
        (box(-600, -100, 200, 100), False),
        (box(-100, -100, 200, 100), True),
        (box(-590, -100, 200, 100), True),
    ],
)
@pytest.mark.parametrize(
    ("kind", "paper"),
    [
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
        (AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION),
        (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION),
    ],
)
def test_a_record_opens_the_way_only_as_far_as_it_reaches(ring, open_question, kind, paper):
    """14 CFR 91.133, 107.41 and 107.45: where the agency or authority has not allowed it, nobody flies."""
    found = through_a_range(ring, kind, paper)
    assert [one.mark for one in found] == ([Mark.UNKNOWN] if open_question else [])
    assert all("leads through INVENTED RANGE" in one.message for one in found)


def test_where_nothing_is_on_record_it_is_asked_for_the_airspace_anyway():
    assert not through_a_range(None, permissions=())


def test_class_e_on_the_way_of_a_recreational_flight_is_asked_about():
    low_e = volume(
        AirspaceKind.CLASS_E_OTHER, box(-600, -200, -300, 200), above_ground(5.0), name="INVENTED E"
    )
    flight = {"path": points([(0, 0, 30.0), (150, 0, 30.0)]), **spots((-800, 0), (100, 0))}
    for purpose, told_of in ((Purpose.RECREATIONAL, True), (Purpose.PART_107, False)):
        case = judged(plan(purpose, **flight), world(airspace=(low_e,)))
        assert any("leads through INVENTED E" in one.message for one in undrawn_way(case)) is told_of


# ---- which figure and which place is told; a column from (40, 70), whose x and y differ


def test_the_place_told_is_where_the_ground_is_met_deepest_else_its_end_on_the_ground():
    """30 m up after 500 m by 400; the middle of a hill at (175, 0), 75 % along, lies 480 m out."""
    launch, path = (-200, 300), ((300, -100, 30.0), (900, -100, 30.0))
    (met,) = told(launch, (900, -100), path, hill(175, 0))
    assert apart_m(met.place, 175, 0) < 60.0
    shut = volume(AirspaceKind.RESTRICTED, box(0, 0, 100, 200), name="R-1")
    (through,) = told(launch, (900, -100), path, world(airspace=(shut,)))
    assert apart_m(through.place, *launch) < 0.1


def apart_m(place, east_m, north_m):
    there = at(east_m, north_m)
    wide = math.cos(math.radians(there.lat_deg))
    return 111_000 * math.hypot((place.lon_deg - there.lon_deg) * wide, place.lat_deg - there.lat_deg)


@pytest.mark.parametrize(("floor_m", "crossed"), [(14.9, True), (15.5, False)])
def test_the_floor_of_what_is_closed_is_taken_as_charted(floor_m, crossed):
    """From 300 m north down to the path: at its highest there it is 15 m up, where the outline begins."""
    shut = volume(
        AirspaceKind.RESTRICTED,
        box(-600, 150, -400, 200),
        above_ground(floor_m),
        above_ground(40.0),
        name="R-1",
    )
    found = told((-500, 300), (500, 0), ((-500, 0, 30.0), (500, 0, 30.0)), world(airspace=(shut,)))
    assert bool(found) is crossed


@pytest.mark.parametrize(("floor_m", "asked"), [(30.0, False), (29.9, True)])
def test_where_class_g_ends_at_a_floor_the_floor_belongs_to_it(floor_m, asked):
    """The reading of the path (check_values 1.8, standing B), at the one height they share."""
    low_e = volume(AirspaceKind.CLASS_E_OTHER, box(-600, -20, -480, 20), above_ground(floor_m), name="LOW E")
    flight = {"path": points([(-500, 0, 30.0), (-500, -300, 29.0)]), **spots((-500, 0), None)}
    case = judged(plan(Purpose.RECREATIONAL, **flight), world(airspace=(low_e,)))
    ways = [one for one in undrawn_way(case) if "from the launch" in one.title]
    asked_of_path = any(one.columns for one in inquiries(case))
    assert (asked_of_path or bool(ways)) is asked


@pytest.mark.parametrize(("outline", "crossed"), [(box(30, 60, 50, 80), True), (box(60, 30, 80, 50), False)])
def test_a_column_stands_where_it_stands(outline, crossed):
    band = volume(AirspaceKind.RESTRICTED, outline, above_ground(5.0), above_ground(25.0), name="R-1")
    found = told((40, 70), (540, 70), ((40, 70, 30.0), (540, 70, 30.0)), world(airspace=(band,)))
    assert bool(found) is crossed


def test_one_extension_that_is_told_of_the_path_does_not_hide_another_on_the_way():
    """14 CFR 107.41 as check_values 1.13 reads it: of each extension only the authority can say."""
    over_path = volume(AirspaceKind.CLASS_E4, box(200, -60, 400, 60), name="EXTENSION A")
    on_way = volume(AirspaceKind.CLASS_E4, box(-600, 150, -400, 200), name="EXTENSION B")
    charts = world(airspace=(over_path, on_way))
    path = ((-500, 0, 30.0), (500, 0, 30.0))
    (one,) = told((-500, 300), (500, 0), path, charts)
    assert "leads through EXTENSION B" in one.message
    # And what the path has told of one is not told again of the way through it.
    both = world(airspace=(over_path, volume(AirspaceKind.CLASS_E4, box(-600, -60, -400, 200), name="B")))
    assert not told((-500, 300), (500, 0), path, both)


def test_too_high_straight_up_is_told_with_its_height_over_the_ground():
    """49 USC 44809(a)(6): 400 ft below a shelf from 450 ft on; told at one of 201 heights, 2.5 ft apart."""
    shelf = volume(AirspaceKind.CLASS_C, floor=above_ground(ft(450)), name="SHELF C")
    held = (record("SHELF C", ft(600)),)
    path = points([(0, 0, ft(500)), (150, 0, ft(500))])
    flight = plan(Purpose.RECREATIONAL, path=path, permissions=held, **spots((0, 0), (150, 0)))
    found = list(undrawn_way(judged(flight, world(airspace=(shelf,)))))
    assert len(found) == 2
    for one in found:
        assert 447 <= int(re.search(r" ([\d,]+) ft above ground", one.message)[1].replace(",", "")) <= 451


def test_beyond_what_a_waiver_allows_the_limit_is_not_called_400_ft():
    """14 CFR 107.205(f). Above a valley of 500 ft the way is up to 590 ft high, and a waiver says 450."""
    valley = terrain(lambda x_m, _: GROUND_M - ft(500) * ((x_m > -400) & (x_m < -200)), cell_m=10.0)
    waiver = record("14 CFR 107.51", ft(450), PermissionKind.WAIVER)
    path = points([(0, 0, ft(120)), (60, 0, ft(120))])
    flight = plan(path=path, permissions=(waiver,), **spots((-600, 0), (60, 0)))
    (one,) = undrawn_way(judged(flight, world(terrain=valley)))
    assert "higher than the limit there:" in one.message
