"""The way between launch or landing point and what is drawn: where it begins to matter; own choices.

The path runs from 500 m west to 500 m east, 30 m above level ground, unless said otherwise.
"""

from datetime import timedelta

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import GROUND_M, WINDOW, at, box, ft, plan, points, record, sea_level, volume, world


def spot(east_m, north_m=0.0):
    return GroundSpot(at(east_m, north_m), LandStatus.OWN)


BEGIN, END = spot(-500), spot(500)


def told(charts=None, **changes):
    answer = assess_live(plan(**{"launch": BEGIN, "landing": END, **changes}), charts or world())
    return [(each.mark, each.message) for each in answer.findings if each.rule == "way-not-drawn"]


def marks(charts=None, **changes):
    return [mark for mark, _ in told(charts, **changes)]


def test_a_path_from_launch_to_landing_leaves_nothing_undrawn():
    assert marks() == []


@pytest.mark.parametrize(("away_m", "expected"), [(999.0, []), (1_000.7, [Mark.UNKNOWN])])
@pytest.mark.parametrize("which", ["launch", "landing"])
def test_a_kilometre_is_the_farthest_for_a_straight_hop(which, away_m, expected):
    ends = {"launch": BEGIN, "landing": END}
    ends[which] = spot(-500 - away_m if which == "launch" else 500 + away_m)
    assert marks(**ends) == expected


def test_without_a_landing_point_the_way_leads_back_to_the_launch_point():
    back = box(-100, 400, 100, 600)
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, back),))
    path = points([(-500, 0, 30.0), (500, 0, 30.0), (500, 500, 30.0)])
    assert marks(charts, path=path) == []
    ((mark, message),) = told(charts, path=path, launch=spot(-500, 500), landing=None)
    assert mark is Mark.UNKNOWN
    assert "INVENTED RESTRICTED" in message


# ---- an airspace on the way from 300 m north of the path's beginning: it climbs from 0 to 30 m

NORTH = spot(-500, 300)


@pytest.mark.parametrize(
    ("floor_m", "top_m", "met"),
    [
        (20.0, 25.0, False),  # beyond 150 m of the way, at 15 m and more only from there on
        (10.0, 25.0, True),
        (15.2, 25.0, False),
        (0.0, 9.8, False),
        (0.0, 10.2, True),
    ],
)
def test_only_an_airspace_at_the_height_of_the_way_is_on_it(floor_m, top_m, met):
    """Its outline covers 100 to 150 m from the launch point: 10 to 15 m up there, a step more or less."""
    piece = box(-600, 150, -400, 200)
    above = {"floor": sea_level(GROUND_M + floor_m), "top": sea_level(GROUND_M + top_m)}
    charts = world(airspace=(volume(AirspaceKind.RESTRICTED, piece, **above),))
    assert marks(charts, launch=NORTH) == ([Mark.UNKNOWN] if met else [])


def test_where_the_ground_is_not_known_the_way_may_be_at_any_height():
    piece, floor = box(-600, 150, -400, 200), sea_level(GROUND_M + 900.0)
    ground = worlds.terrain(
        lambda east_m, north_m: np.where((abs(north_m - 300) < 60) & (east_m < -300), np.nan, GROUND_M)
    )
    shelf = volume(AirspaceKind.RESTRICTED, piece, floor=floor, top=sea_level(GROUND_M + 999.0))
    assert marks(world(airspace=(shelf,)), launch=NORTH) == []
    assert marks(world(airspace=(shelf,), terrain=ground), launch=NORTH) == [Mark.UNKNOWN]


def test_an_airspace_that_is_flown_in_anyway_is_told_by_its_own_rules():
    wide = volume(AirspaceKind.RESTRICTED, box(-600, -100, 600, 200))
    assert marks(world(airspace=(wide,)), launch=NORTH) == []


# ---- a record that opens what is flown, and not the way there: the plan's own limits, 14 CFR 107.45, 107.41
# and check_values 1.13 (standing A) on whose word it takes there

DAY = timedelta(days=1)


def bounded(airspace, kind, *outline, **changes):
    ring = tuple(Place(*corner) for corner in box(*outline).exterior.coords[:-1])
    times = {"valid_from_utc": WINDOW.start_utc - DAY, "valid_to_utc": WINDOW.end_utc + DAY}
    return record(airspace, ft(300), kind, ring=ring, **times, **changes)


AGENCY, AUTHORIZATION = PermissionKind.AGENCY, PermissionKind.AUTHORIZATION


@pytest.mark.parametrize(
    ("kind", "by", "purpose"),
    [
        (AirspaceKind.RESTRICTED, AGENCY, Purpose.PART_107),
        (AirspaceKind.CLASS_D, AUTHORIZATION, Purpose.PART_107),
        (AirspaceKind.CLASS_E4, AUTHORIZATION, Purpose.PART_107),
        (AirspaceKind.CLASS_E_OTHER, AGENCY, Purpose.RECREATIONAL),
    ],
)
@pytest.mark.parametrize(("north_m", "open_there"), [(260, True), (249.5, False), (50, False)])
def test_the_way_to_what_a_record_opens_must_be_open_too(kind, by, purpose, north_m, open_there):
    """Launch and path lie outside and inside; what a record leaves out of either is told by its own rule."""
    wide = volume(kind, box(-600, -100, 600, 250), name="INVENTED X")
    held = bounded("INVENTED X", by, -600, -50, 600, north_m)
    found = told(world(airspace=(wide,)), purpose=purpose, launch=NORTH, permissions=(held,))
    if open_there:
        assert found == []
    else:
        ((mark, message),) = found
        assert mark is Mark.UNKNOWN
        assert "leads through INVENTED X" in message


def test_records_that_leave_a_gap_between_launch_and_path_leave_the_way_open():
    wide = volume(AirspaceKind.RESTRICTED, box(-600, -100, 600, 400), name="INVENTED R")
    path = bounded("INVENTED R", AGENCY, -600, -50, 600, 100, reference="A")
    launch = bounded("INVENTED R", AGENCY, -600, 200, 600, 350, reference="B")
    between = bounded("INVENTED R", AGENCY, -600, 90, 600, 210, reference="C")
    charts = world(airspace=(wide,))
    assert marks(charts, launch=NORTH, permissions=(path, launch)) == [Mark.UNKNOWN]
    assert marks(charts, launch=NORTH, permissions=(path, launch, between)) == []


def test_the_way_of_a_recreational_flight_through_low_class_e_is_open():
    """49 USC 44809(a)(6) speaks of Class G (check_values 1.8, standing B)."""
    low = volume(AirspaceKind.CLASS_E_OTHER, box(-600, 150, -400, 200), floor=sea_level(GROUND_M + 5.0))
    assert marks(world(airspace=(low,)), launch=NORTH, purpose=Purpose.RECREATIONAL) == [Mark.UNKNOWN]
    assert marks(world(airspace=(low,)), launch=NORTH) == []


# ---- ground on the way


def ridge(height_m):
    return worlds.terrain(
        lambda _, north_m: GROUND_M + height_m * ((north_m > 120) & (north_m < 180)), cell_m=10.0
    )


@pytest.mark.parametrize(("height_m", "expected"), [(11.0, []), (19.0, [Mark.ACT])])
def test_a_ridge_on_the_way_is_met_where_the_climb_is_not_yet_as_high(height_m, expected):
    """Half way, at 15 m, from 300 m north; the ridge is 60 m wide: 12 m of climb at its far side."""
    assert marks(world(terrain=ridge(height_m)), launch=NORTH) == expected


@pytest.mark.parametrize(("depth_ft", "expected"), [(340, []), (360, [Mark.ACT])])
def test_over_a_valley_on_the_way_400_ft_is_the_limit(depth_ft, expected):
    """Half way it is 49 ft up (15 m); at the near side of the valley 18 m, 59 ft."""
    found = told(world(terrain=ridge(-ft(depth_ft))), launch=NORTH)
    assert [mark for mark, _ in found] == expected
    assert all("higher than 400 ft" in message for _, message in found)


def test_a_path_that_is_itself_too_high_is_told_by_the_rules_on_height():
    high = points([(-500, 0, ft(450)), (500, 0, ft(450))])
    assert marks(path=high, launch=NORTH, landing=END) == []


# ---- a flying area


@pytest.mark.parametrize("top", [AboveGround(60.0), AboveLaunch(60.0), AboveSeaLevel(GROUND_M + 60.0)])
@pytest.mark.parametrize(("floor_m", "met"), [(35.0, True), (62.0, False)])
def test_to_an_area_the_way_leads_to_its_nearest_edge_and_its_top(top, floor_m, met):
    """From 300 m east of its edge, through an airspace in the last 100 m: from 40 m up to 60 m."""
    place = worlds.area(box(-100, -100, 100, 100), top)
    piece = volume(AirspaceKind.RESTRICTED, box(110, -50, 200, 50), floor=sea_level(GROUND_M + floor_m))
    found = told(world(airspace=(piece,)), path=(), area=place, launch=spot(400), landing=spot(0))
    assert [mark for mark, _ in found] == ([Mark.UNKNOWN] if met else [])
    assert all("300 m long" in message for _, message in found)
