"""The zero that the terrain's heights count from, against what counts from the authority's.

FAA Order 8260.19J App. C (standing A): heights of obstacles count from NAVD 88. That an ellipsoid and the sea
part by tens of metres (EGM96: -106 to 85 m) is from memory; that a doubt leaves the answer open is our own.
"""

import attrs
import pyproj
import pytest

from planner.assess import assess, assess_live
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.terrain_datum import GEOID_M, SEA_LEVELS_M, terrain_datum
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.layers import Jurisdiction
from planner.world.vertical_zero import Zero, zero_of
from tests.worlds import (
    GROUND_M,
    area,
    at,
    box,
    disc,
    level,
    plan,
    points,
    record,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

ELLIPSOID = "WGS 84 ellipsoid"
LOW = points([(-300, 0, 20.0), (300, 0, 20.0)])


def ground_of(datum):
    return attrs.evolve(terrain(level(), cell_m=10, cells=301), vertical_datum=datum)


def told(datum, charts=None, **flight):
    given = {"path": LOW, **flight}
    answer = assess(
        plan(given.pop("purpose", Purpose.PART_107), **given),
        world(terrain=ground_of(datum), **(charts or {})),
    )
    return {one.mark for one in answer.findings if one.rule == "terrain-datum"}, answer.verdict


def shelf(above_m, kind=AirspaceKind.CLASS_C):
    return {
        "airspace": (volume(kind, disc(5_000), sea_level(GROUND_M + above_m), sea_level(GROUND_M + 2_000)),)
    }


@pytest.mark.parametrize(
    ("name", "zero"),
    [
        ("NAVD88", Zero.NAVD88),
        ("NAVD 88", Zero.NAVD88),
        ("navd_88", Zero.NAVD88),
        ("NAVD88 height (ftUS)", Zero.NAVD88),
        ("EPSG:5703", Zero.NAVD88),
        ("IGN 1988", Zero.UNKNOWN),
        ("88", Zero.UNKNOWN),
        ("EGM96 height", Zero.SEA_LEVEL),
        ("EGM2008", Zero.SEA_LEVEL),
        ("NGVD29", Zero.SEA_LEVEL),
        ("mean sea level", Zero.SEA_LEVEL),
        ("PRVD02", Zero.SEA_LEVEL),
        ("WGS 84 ellipsoid", Zero.ELLIPSOID),
        ("NAD83(2011) ellipsoidal", Zero.ELLIPSOID),
        ("NAD83(2011)", Zero.ELLIPSOID),
        ("WGS84", Zero.ELLIPSOID),
        ("HAE", Zero.ELLIPSOID),
        ("NAVD 88 less the ellipsoid", Zero.ELLIPSOID),
        # The name in full, as metadata by the FGDC's standard have it (from memory).
        ("North American Vertical Datum of 1988", Zero.NAVD88),
        ("North American Vertical Datum 1988", Zero.NAVD88),
        ("NAVD 88 (GEOID18), converted from ellipsoid heights", Zero.NAVD88),
        ("ellipsoid heights converted from NAVD 88", Zero.ELLIPSOID),
        ("National Geodetic Vertical Datum of 1929", Zero.SEA_LEVEL),
        ("EPSG:3855", Zero.SEA_LEVEL),
        ("EPSG:4326+5773", Zero.SEA_LEVEL),
        ("sea level", Zero.SEA_LEVEL),
        ("", Zero.UNKNOWN),
        ("a datum", Zero.UNKNOWN),
    ],
)
def test_what_a_name_means(name, zero):
    assert zero_of(name) is zero


@pytest.mark.parametrize("code", [3855, 5773, 5798, 5702, 7968, 5703, 6360, 8228])
def test_a_code_means_what_its_name_means(code):
    """The EPSG registry's names, by pyproj."""
    assert zero_of(f"EPSG:{code}") is zero_of(pyproj.CRS.from_epsg(code).name) is not Zero.UNKNOWN


def test_over_an_ellipsoid_nothing_is_ready_where_anything_counts_from_the_sea():
    by_sea = points([(-300, 0, AboveSeaLevel(GROUND_M + 20)), (300, 0, AboveSeaLevel(GROUND_M + 20))])
    assert told(ELLIPSOID, path=by_sea) == ({Mark.UNKNOWN}, Verdict.UNDETERMINED)
    assert told("NAVD 88", path=by_sea) == (set(), Verdict.READY)


@pytest.mark.parametrize("datum", [ELLIPSOID, "NAD83", "", "IGN 1988"])
def test_where_all_heights_count_from_the_ground_no_zero_matters(datum):
    """A shift of all ground moves path and limit alike: silence about a zero is not better than its name."""
    assert told(datum) == ({Mark.NOTE}, Verdict.READY)
    assert told("EGM96") == (set(), Verdict.READY)


@pytest.mark.parametrize(
    ("datum", "mark"),
    [
        ("NAVD88", None),
        ("EGM96", Mark.ACT),
        ("", Mark.UNKNOWN),
        ("IGN 1988", Mark.UNKNOWN),
        (ELLIPSOID, Mark.UNKNOWN),
    ],
)
@pytest.mark.parametrize("flight", [{}, {"path": (), "area": area(box(-50, -50, 50, 50), AboveGround(20.0))}])
def test_under_a_shelf_that_sets_the_limit_another_zero_is_told(datum, mark, flight):
    assert told(datum, shelf(60.0), **flight)[0] == ({mark} if mark else set())


@pytest.mark.parametrize(
    ("above_m", "mark"), [(20.0 + GEOID_M - 1, Mark.UNKNOWN), (20.0 + GEOID_M + 1, Mark.NOTE)]
)
def test_a_floor_that_a_shift_could_bring_down_counts_although_it_sets_nothing_yet(above_m, mark):
    """Level ground and a floor that stands above the 400-ft limit: only how far it is away decides."""
    assert told("", shelf(above_m))[0] == {mark}


@pytest.mark.parametrize(("over_m", "mark"), [(1.0, Mark.ACT), (SEA_LEVELS_M + 1.0, None)])
@pytest.mark.parametrize("datum", ["EGM96", "NGVD29"])
def test_a_top_that_is_passed_over_by_less_than_sea_levels_part_is_told(datum, over_m, mark):
    """A restricted area up to so much under the path: nothing of it binds as a ceiling."""
    top = sea_level(GROUND_M + 20.0 - over_m)
    shut = volume(AirspaceKind.RESTRICTED, box(-100, -50, 100, 50), top=top)
    spots = {
        name: GroundSpot(at(east, 0), LandStatus.OWN) for name, east in (("launch", -300), ("landing", 300))
    }
    assert told(datum, {"airspace": (shut,)}, **spots)[0] == ({mark} if mark else set())


@pytest.mark.parametrize(("north_m", "mark"), [(140.0, Mark.UNKNOWN), (160.0, Mark.NOTE)])
def test_a_record_without_accuracy_stands_in_the_way_all_the_same(north_m, mark):
    """It raises no limit, so it is none of the structures that do; its top counts from the sea."""
    vague = tower(300, (0.0, north_m), horizontal_error_m=None)
    assert told(ELLIPSOID, {"structures": (vague,)})[0] == {mark}


def test_a_way_that_is_not_drawn_may_lead_under_a_limit_above_the_sea():
    beside = volume(AirspaceKind.CLASS_C, box(-900, -50, -500, 50), sea_level(GROUND_M + 90), sea_level(900))
    away = {
        "launch": GroundSpot(at(-950, 0), LandStatus.OWN),
        "landing": GroundSpot(at(300, 0), LandStatus.OWN),
    }
    assert told(ELLIPSOID, {"airspace": (beside,)}, **away)[0] == {Mark.UNKNOWN}
    assert told(ELLIPSOID, {"airspace": (beside,)})[0] == {Mark.NOTE}


def test_class_e_counts_for_those_who_may_not_be_in_it():
    low_e = shelf(100.0, AirspaceKind.CLASS_E_OTHER)
    assert told("", low_e, purpose=Purpose.RECREATIONAL)[0] == {Mark.UNKNOWN}
    assert told("", low_e)[0] == {Mark.NOTE}


def test_heights_planned_or_permitted_above_the_sea_need_a_zero():
    by_sea = points([(-300, 0, AboveSeaLevel(GROUND_M + 20)), (300, 0, AboveSeaLevel(GROUND_M + 20))])
    granted = record("INVENTED", AboveSeaLevel(GROUND_M + 100))
    lofty = area(box(-50, -50, 50, 50), AboveSeaLevel(GROUND_M + 20))
    for flight in ({"path": by_sea}, {"permissions": (granted,)}, {"area": lofty, "path": ()}):
        assert told("", **flight)[0] == {Mark.UNKNOWN}
        assert told("EGM96", **flight)[0] == {Mark.ACT}


def test_the_top_of_a_structure_beside_the_path_needs_a_zero():
    assert told("", {"structures": (tower(100, (0.0, 50.0)),)})[0] == {Mark.UNKNOWN}
    assert told("", {"structures": (tower(100, (0.0, 900.0)),)})[0] == {Mark.NOTE}


@pytest.mark.parametrize("where", [(-440.0, 0.0), (440.0, 0.0), (0.0, -140.0), (0.0, 140.0)])
def test_on_every_side_of_the_flight_a_structure_counts(where):
    """The path ends at 300 m east and west: each stands 140 m off, of the 150 m that count (own choice)."""
    case = assess_live(plan(path=LOW), world(terrain=ground_of(""), structures=(tower(50, where),))).case
    (one,) = terrain_datum(case)
    assert one.mark is Mark.UNKNOWN


@pytest.mark.parametrize(
    ("datum", "title"),
    [
        (ELLIPSOID, "The terrain's heights count from an ellipsoid"),
        ("INVENTED 7", "Vertical datum not known"),
        ("", "Vertical datum of the terrain not named"),
    ],
)
def test_the_title_says_which_zero_it_is(datum, title):
    (one,) = terrain_datum(assess_live(plan(path=LOW), world(terrain=ground_of(datum))).case)
    assert one.title == title


def test_what_is_near_to_a_part_of_the_path_only_needs_a_zero_too():
    """Away from launch and landing, which are at the middle of the path."""
    mast, away = tower(100, (250.0, 0.0)), disc(100, (250.0, 0.0))
    assert told("", {"structures": (mast,)})[0] == {Mark.UNKNOWN}
    floor, top = sea_level(GROUND_M + 125), sea_level(GROUND_M + 2_000)
    assert told("", {"airspace": (volume(AirspaceKind.CLASS_C, away, floor, top),)})[0] == {Mark.UNKNOWN}


def test_a_floor_that_only_the_highest_part_of_the_path_is_near_to_counts():
    climbing = points([(-300, 0, 20.0), (300, 0, 100.0)])
    assert told("", shelf(180.0), path=climbing)[0] == {Mark.UNKNOWN}
    assert told("", shelf(180.0))[0] == {Mark.NOTE}


def test_a_plan_that_is_nowhere_yet_is_near_to_nothing():
    assert told("", shelf(60.0), path=(), launch=None, landing=None, crew=())[0] == {Mark.NOTE}


def test_where_only_the_ground_counts_it_is_a_note():
    assert told("") == ({Mark.NOTE}, Verdict.READY)
    assert told("EGM96")[0] == set()


def test_an_invented_place_has_one_zero():
    invented = (Jurisdiction("US", "Invented", invented=True),)
    assert not told("", {**shelf(60.0), "jurisdictions": invented})[0]
    assert not told(ELLIPSOID, {"jurisdictions": invented})[0]
