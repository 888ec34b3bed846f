"""The way that is not drawn, away from the axes, over ground that is not level: worked by hand."""

import math

import numpy as np
import pytest

from planner.geo.heights import AboveGround
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.transit import undrawn_way
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, above_ground, area, at, box, plan, points, record, terrain, volume, world


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
