"""A return on lost link is held against the edges of what it crosses, not against places so far apart.

What is closed: 14 CFR 107.45 and part 73 (check_values 1.17, standing A); Class E extensions: check_values
1.13; the height limit over the ground: 14 CFR 107.51(b). Places and heights by hand. That an edge is met
wherever it lies is our own rule (issue 4: a bounded error).
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    above_ground,
    area,
    at,
    box,
    level_terrain,
    plan,
    points,
    record,
    terrain,
    volume,
    world,
)

# A path round a corner, 900 m: the returns lead across what the path goes around.
ROUND = {
    "path": points([(0, 0, 30.0), (450, 0, 30.0), (450, 450, 30.0)]),
    "launch": GroundSpot(at(), LandStatus.OWN),
    "landing": GroundSpot(at(450, 450), LandStatus.OWN),
}


def answer(*airspace, height_m=45.0, ground=None, **changes):
    flight = plan(Purpose.PART_107, **{**ROUND, **changes})
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(height_m))
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    found = assess(flight, world(airspace=airspace, terrain=ground or level_terrain()))
    return {one.rule: one for one in found.findings}


@pytest.mark.parametrize("wide_m", [0.4, 5.0, 20.0])
@pytest.mark.parametrize("from_m", [131.0, 160.0, 173.0])
@pytest.mark.parametrize(
    ("kind", "rule", "mark"),
    [
        (AirspaceKind.RESTRICTED, "link-loss-above-ceiling", Mark.STOP),
        (AirspaceKind.CLASS_E4, "link-loss-asks", Mark.UNKNOWN),
    ],
)
def test_a_thin_strip_across_the_way_home_is_met_wherever_it_lies(kind, rule, mark, from_m, wide_m):
    thin = volume(kind, box(from_m, 60, from_m + wide_m, 300), name="THIN")
    assert answer(thin)[rule].mark is mark


def test_what_lies_between_the_returns_of_two_samples_is_met():
    """2 m across, 400 m from home: neighbours that lie 20 m and more apart leave more between them."""
    small = volume(AirspaceKind.RESTRICTED, box(330, 241, 332, 243), name="SMALL")
    assert answer(small)["link-loss-above-ceiling"].mark is Mark.STOP


def test_beside_all_ways_home_nothing_is_met():
    """Those lie below the line from home to where it has flown on to: 450 m east, some 460 m north."""
    beside = volume(AirspaceKind.RESTRICTED, box(100, 118, 110, 400), name="BESIDE")
    assert "link-loss-above-ceiling" not in answer(beside)


@pytest.mark.parametrize(("gap", "closed"), [(None, False), ((180.0, 184.0), True)])
def test_the_edges_of_records_count_as_those_of_airspace_do(gap, closed):
    """Two records that leave 4 m open between them."""
    shut = volume(AirspaceKind.RESTRICTED, box(120, 60, 250, 300), name="SHUT")
    ends = [(100.0, 300.0)] if gap is None else [(100.0, gap[0]), (gap[1], 300.0)]
    held = tuple(
        record(
            "SHUT",
            100.0,
            PermissionKind.AGENCY,
            reference=f"INVENTED-{k}",
            ring=area(box(west, 0, east, 400), None).ring,
        )
        for k, (west, east) in enumerate(ends)
    )
    assert ("link-loss-above-ceiling" in answer(shut, permissions=held)) is closed


@pytest.mark.parametrize(
    ("limits", "held", "words", "remedy"),
    [
        (
            {},
            None,
            "comes into SHUT, which is shut to it from the ground up.",
            "set another action or another way",
        ),
        ({}, "ring", "(INVENTED-1) does not reach there.", "set another action or another way"),
        ({"floor": above_ground(35.0)}, None, "comes into SHUT, 33 ft above where it begins.", "33 ft lower"),
        ({}, "height", "comes into SHUT, 17 ft above what is on record for it.", "17 ft lower"),
    ],
)
def test_what_it_returns_through_is_named_where_it_does(limits, held, words, remedy):
    """45 m less 35 m are 32.8 ft, less 40 m 16.4 ft; each is told rounded up. 14 CFR 107.45."""
    shut = volume(AirspaceKind.RESTRICTED, box(160, 60, 260, 200), name="SHUT", **limits)
    ring = area(box(-50, -50, 50, 50), None).ring if held == "ring" else None
    records = (record("SHUT", 40.0, PermissionKind.AGENCY, ring=ring),) if held else ()
    one = answer(shut, permissions=records)["link-loss-above-ceiling"]
    assert (one.title, one.mark) == ("On lost link it returns through SHUT", Mark.STOP)
    assert words in one.message
    assert ("does not reach there" in one.message) is (held == "ring")
    assert remedy in one.remedy
    assert "record the permission of the using or controlling agency" in one.remedy
    assert "107.45" in one.citation
    place = shapely.Point(one.place.lon_deg, one.place.lat_deg)
    assert shut.outline.buffer(1e-6).contains(place)


def test_above_the_height_limit_the_limit_is_told():
    one = answer(height_m=130.0)["link-loss-above-ceiling"]
    assert one.title == "On lost link it climbs above the ceiling"
    assert "27 ft above what is allowed on its way" in one.message  # 130 m less 121.92 m are 26.5 ft


def narrow_valley(east_m, north_m):
    """A straight valley of 80 m, one raster node wide, across the ways home, not beneath the path."""
    level_m = np.full(np.shape(east_m), 304.8)
    return np.where((np.abs(east_m - 240.0) < 15.0) & (north_m > 45.0), 224.8, level_m)


@pytest.mark.parametrize(("height_m", "over"), [(60.0, True), (35.0, False)])
def test_a_valley_as_narrow_as_the_raster_shows_it_is_met(height_m, over):
    """60 m above the launch are 140 m above its floor, 35 m are 115 m; 400 ft are 121.92 m."""
    found = answer(height_m=height_m, ground=terrain(narrow_valley))
    assert ("link-loss-above-ceiling" in found) is over
    if over:
        assert found["link-loss-above-ceiling"].numbers["over_m"] == pytest.approx(18.08, abs=0.1)


def test_of_an_area_the_ways_home_meet_it_too():
    thin = volume(AirspaceKind.RESTRICTED, box(131, -300, 136, 300), floor=above_ground(20.0), name="THIN")
    drawn = area(box(400, -50, 500, 50), AboveLaunch(30.0))
    assert "link-loss-above-ceiling" in answer(thin, path=(), area=drawn)


def test_a_return_straight_home_by_an_own_bisection():
    """Shapely by itself (general-purpose library) says which strips the way home from the end meets."""
    way = shapely.LineString([(450, 450), (0, 0)])
    for west in (20.0, 41.0, 277.0, 390.0):
        strip = shapely.box(west, west - 40, west + 1.0, west + 60)
        assert way.intersects(strip)
        shut = volume(AirspaceKind.RESTRICTED, box(*strip.bounds), name="S", floor=above_ground(40.0))
        assert "link-loss-above-ceiling" in answer(shut)
