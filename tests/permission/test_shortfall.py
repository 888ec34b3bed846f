"""A record that does not cover the plan says where, when and by how much it fails.

Every figure is worked by hand from the plan and the record; over real airspace distances come from
geographiclib, which the program does not use.
"""

import re
from datetime import timedelta

import attrs
import numpy as np
import pyproj
import pytest
from affine import Affine
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.permission.shortfall import Held
from planner.plan.geometry import Area, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.world import World
from tests import worlds
from tests.worlds import GROUND_M, WINDOW, at, box, cell, disc, ft, plan, points, record, volume, world

NAME = "INVENTED D"
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
START, END = WINDOW.start_utc, WINDOW.end_utc
CHARTS = world(airspace=(volume(AirspaceKind.CLASS_D, name=NAME),), cells=(cell(400),))


def judged(granted, charts=CHARTS, **changes):
    """Verdict and what falls short; by default one kilometre west to east at 30 m."""
    answer = assess(plan(permissions=(granted,), **changes), charts)
    (need,) = answer.permissions
    assert need.recorded is (answer.verdict is Verdict.READY)
    assert need.recorded is not bool(need.shortfall)
    return answer.verdict, need.shortfall


def held(**changes):
    return record(NAME, changes.pop("ceiling", 60.0), **changes)


# ---- time: the window lasts one hour


@pytest.mark.parametrize(
    ("begins", "ends", "fault"),
    [
        (START, END, ""),
        (None, None, ""),
        (START + 25 * MINUTE, None, "begins 25 min after the time window starts"),
        (None, END - timedelta(seconds=61), "ends 2 min before the time window ends"),
        (
            START + 10 * MINUTE,
            END - 20 * MINUTE,
            "begins 10 min after the time window starts and ends 20 min before the time window ends",
        ),
        (None, START - 3 * DAY, "ended 3 days before the time window starts"),
        (None, START - 26 * HOUR, "ended 26 h 00 min before the time window starts"),
        (END + 90 * MINUTE, None, "begins 1 h 30 min after the time window ends"),
        (START, END - 20 * MINUTE, "ends 20 min before the time window ends"),
        (START + 10 * MINUTE, END, "begins 10 min after the time window starts ("),
        (None, START, "ends 1 h 00 min before the time window ends"),
        (END, None, "begins 1 h 00 min after the time window starts"),
    ],
)
def test_time(begins, ends, fault):
    verdict, words = judged(held(valid_from_utc=begins, valid_to_utc=ends))
    assert verdict is (Verdict.PERMISSION_NEEDED if fault else Verdict.READY)
    assert words.startswith(f"record INVENTED-1 {fault}" if fault else "")
    if fault:
        at = ends or begins
        assert f"{at:%H:%M:%S}".removesuffix(":00") + " UTC)" in words


def test_without_a_time_no_record_counts():
    answer = assess(plan(permissions=(held(),), window=None), CHARTS)
    (need,) = answer.permissions
    assert not need.recorded
    assert "no time is set" in need.shortfall


# ---- height: the plan flies at 30 m, 98.4 ft, above ground of GROUND_M


@pytest.mark.parametrize(
    ("ceiling", "over_ft"),
    [
        (AboveGround(30.0), 0),
        (AboveGround(30.0 - ft(1)), 1),
        (AboveGround(20.0), 33),  # 10 m = 32.8 ft, rounded up
        (AboveSeaLevel(GROUND_M + 20.0), 33),
        (AboveLaunch(20.0), 33),
        (AboveLaunch(30.0), 0),
        (AboveSeaLevel(GROUND_M + 30.0), 0),
    ],
)
def test_height(ceiling, over_ft):
    verdict, words = judged(held(ceiling=ceiling))
    assert verdict is (Verdict.PERMISSION_NEEDED if over_ft else Verdict.READY)
    assert words == (f"the plan is {over_ft} ft above record INVENTED-1 at 0 m" if over_ft else "")


def test_the_place_of_the_greatest_excess_is_named():
    path = points([(-500, 0, 30.0), (0, 0, 70.0), (500, 0, 30.0)])
    _, words = judged(held(ceiling=AboveGround(50.0)), path=path)
    # 20 m above, 65.6 ft, after the leg of 500 m that climbs 40 m: 501.6 m long.
    assert words == "the plan is 66 ft above record INVENTED-1 at 502 m"


def test_of_a_path_only_the_part_in_the_airspace_is_held_against_the_record():
    """At 50 m in its west, outside; at 30 m inside, where the record allows 20 m: 33 ft too high."""
    east = world(airspace=(volume(outline=box(100, -300, 900, 300), name=NAME),), cells=(cell(400),))
    path = points([(-500, 0, 50.0), (0, 0, 30.0), (500, 0, 30.0)])
    away = GroundSpot(at(-500), LandStatus.OWN)
    _, words = judged(held(ceiling=AboveGround(20.0)), east, path=path, launch=away, landing=away)
    assert words == "the plan is 33 ft above record INVENTED-1 at 600 m"


def test_a_record_without_a_height_says_so():
    verdict, words = judged(held(ceiling=None))
    assert verdict is Verdict.PERMISSION_NEEDED
    assert words == "record INVENTED-1 names no height"


def test_a_record_up_to_the_ground_permits_nothing():
    low = points([(-500, 0, 0.0), (500, 0, 0.0)])
    verdict, words = judged(held(ceiling=AboveGround(0.0)), path=low)
    assert verdict is not Verdict.READY
    assert words == "record INVENTED-1 goes no higher than the ground"


def test_above_an_unknown_launch_nothing_is_covered():
    far = GroundSpot(at(60_000, 0), LandStatus.OWN)
    answer = assess(plan(permissions=(held(ceiling=AboveLaunch(60.0)),), launch=far, landing=far), CHARTS)
    (need,) = answer.permissions
    assert need.shortfall.startswith("what it allows is not known above sea level")


# ---- place: a ring that ends 300 m east of the middle; the path goes on to 500 m


def ring(outline):
    return worlds.area(outline, None).ring


def test_place():
    verdict, words = judged(held(ring=ring(box(-900, -200, 300, 200))))
    assert verdict is Verdict.PERMISSION_NEEDED
    assert words == (
        "record INVENTED-1 does not cover the whole place: "
        "the plan leaves it at 800 m, up to 200 m outside it"
    )
    assert judged(held(ring=ring(box(-900, -200, 501, 200)))) == (Verdict.READY, "")


@pytest.mark.parametrize(("wide_m", "away_m"), [(60.0, 30), (10.0, 5), (0.4, 1)])
def test_a_gap_in_the_place_is_as_far_outside_as_its_middle(wide_m, away_m):
    """The path crosses a gap at right angles: at its middle it is half the width away from either side."""
    notched = box(-900, -200, 900, 200).difference(box(100, -190, 100 + wide_m, 300))
    _, words = judged(held(ring=ring(notched)))
    assert words.endswith(f"the plan leaves it at 600 m, up to {away_m} m outside it")


def test_an_area_says_that_it_is_the_area():
    flown = Area(ring(box(-100, -100, 350, 100)), AboveGround(30.0))
    _, words = judged(held(ring=ring(box(-900, -200, 300, 200))), path=(), area=flown)
    assert words.endswith("the plan leaves it in the flying area, up to 50 m outside it")


def test_launch_and_landing_are_part_of_the_flight():
    away = GroundSpot(at(0, 260), LandStatus.OWN)
    _, words = judged(held(ring=ring(box(-900, -200, 900, 200))), launch=away, landing=away)
    assert re.search(r"leaves it (at|in) .*, up to 6[01] m outside it", words)


def test_the_record_least_at_fault_is_told():
    near = held(reference="NEAR", ring=ring(box(-900, -200, 400, 200)))
    far = held(reference="FAR", ring=ring(box(-900, -200, 100, 200)))
    low = held(reference="LOW", ceiling=AboveGround(20.0))
    for granted, told in (((far, near), "NEAR"), ((near, far, low), "LOW")):
        answer = assess(plan(permissions=granted), CHARTS)
        assert f"record {told}" in answer.permissions[0].shortfall


def test_what_a_fixed_sites_agreement_leaves_open():
    site = worlds.fixed_site(disc(400), 250)
    charts = world(airspace=CHARTS.airspace, cells=CHARTS.cells, fixed_sites=(site,))
    agreed = record("INVENTED MEADOW", 60.0, PermissionKind.FIXED_SITE_AGREEMENT)
    answer = assess(worlds.recreational(permissions=(agreed,)), charts)
    (need,) = answer.permissions
    assert need.shortfall.endswith("the plan leaves it at 0 m, up to 100 m outside it")


# ---- kind


@pytest.mark.parametrize("kind", [PermissionKind.WAIVER, PermissionKind.AGENCY])
def test_kind(kind):
    verdict, words = judged(held(kind=kind))
    assert verdict is Verdict.PERMISSION_NEEDED
    assert words == "record INVENTED-1 is not of the kind this airspace needs"


# ---- real: Flint's Class C (cycle of 14 May 2026, public domain)

FLINT = Place(-83.744738, 42.965464)
EARTH = Geodesic.WGS84


@pytest.fixture(scope="module")
def flint(shared_data):
    path = shared_data / "faa" / "class_airspace_sample.geojson"
    read = read_publisher_file(path)
    ground = worlds.terrain_of(
        np.full((201, 201), 238.0, dtype=np.float32),
        Affine(0.001, 0.0, FLINT.lon_deg - 0.1, 0.0, -0.001, FLINT.lat_deg + 0.1),
        pyproj.CRS("EPSG:4326"),
    )
    return World(airspace=read.airspace, terrain=ground, layers=worlds.layers())


def beside(away_m, azimuth_deg, place=FLINT):
    found = EARTH.Direct(place.lat_deg, place.lon_deg, azimuth_deg, away_m)
    return Place(found["lon2"], found["lat2"])


def over_flint(granted, **changes):
    path = (PathPoint(beside(800, 270), AboveGround(60.0)), PathPoint(beside(800, 90), AboveGround(60.0)))
    spot = GroundSpot(FLINT, LandStatus.OWN)
    return plan(Purpose.PART_107, path=path, launch=spot, landing=spot, permissions=(granted,), **changes)


def around_flint(east_m):
    corners = ((1500, 315), (1500, 225))
    west = [beside(*corner) for corner in corners]
    east = [beside(east_m, 90, beside(away, azimuth)) for away, azimuth in ((1060, 180), (1060, 0))]
    return (west[0], west[1], east[0], east[1])


FLINT_NAME = "FLINT, BISHOP INTL AIRPORT CLASS C"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, ""),
        ({"valid_to_utc": END - 30 * MINUTE}, "ends 30 min before the time window ends"),
        ({"ceiling": AboveGround(ft(150))}, "the plan is 47 ft above record INVENTED-1"),  # 60 m = 196.9 ft
        ({"ceiling": AboveSeaLevel(238.0 + 50.0)}, "the plan is 33 ft above record INVENTED-1"),
        ({"ring": 500.0}, "up to 300 m outside it"),
        ({"ring": 801.0}, ""),
    ],
)
def test_over_flint(flint, changes, words):
    given = dict(changes)
    if "ring" in given:
        given["ring"] = around_flint(given["ring"])
    ceiling = given.pop("ceiling", AboveGround(60.0))
    answer = assess(over_flint(record(FLINT_NAME, ceiling, **given)), flint)
    (need,) = [need for need in answer.permissions if need.airspace == FLINT_NAME]
    assert need.recorded is not bool(words)
    assert words in need.shortfall


def test_the_name_on_the_paper_may_be_the_identifier(flint):
    volumes = [one for one in flint.airspace if one.name == FLINT_NAME]
    assert volumes
    answer = assess(over_flint(record(volumes[0].ident or FLINT_NAME, AboveGround(60.0))), flint)
    assert all(need.recorded for need in answer.permissions if need.airspace == FLINT_NAME)
    other = attrs.evolve(over_flint(record("SAGINAW", AboveGround(60.0))))
    assert not any(need.recorded for need in assess(other, flint).permissions)


class ToTwoHundred:
    """A record that reaches 200 m above the sea, with or without its site."""

    site = None
    record = held(reference="INVENTED-9")

    def height_amsl_m(self, samples, _launch_m):
        return np.full(len(samples), 200.0)


def test_where_something_else_ends_a_record_the_lower_of_both_counts():
    lid_m = np.array([250.0, 150.0, 200.0])
    against = Held(None, 0.0, lambda _samples: lid_m, "Class E")
    assert list(against.allowed_amsl_m(ToTwoHundred(), range(3))) == [200.0, 150.0, 200.0]


@pytest.mark.parametrize(
    ("until_min", "from_min", "told"), [(30, 30, True), (30, 20, True), (30, 31, False), (61, 30, None)]
)
def test_records_that_follow_one_another_are_not_joined_and_that_is_said(until_min, from_min, told):
    """Our own rule: in time each record stands for itself; the window lasts an hour."""
    held = tuple(
        record(NAME, 60.0, reference=name, **times)
        for name, times in (
            ("A", {"valid_to_utc": START + timedelta(minutes=until_min)}),
            ("B", {"valid_from_utc": START + timedelta(minutes=from_min)}),
        )
    )
    (need,) = [one for one in assess(plan(permissions=held), CHARTS).case.needs if one.airspace == NAME]
    assert need.recorded is (told is None)
    assert ("A and B follow one another" in need.shortfall) is bool(told)
