"""What should have been an area and is none counts as far as it may reach, never as a spot of a metre."""

import pytest
import shapely

from planner.geo.geodesy import TrueBearing, travel
from planner.geo.place import Place
from planner.units import NAUTICAL_MILE_M
from planner.world.currency import LayerState, state_of
from planner.world.layers import LayerName, LayerRecord
from planner.world.readers.kinds import KINDS
from planner.world.readers.reach import reach_of
from planner.world.readers.reading import records_with
from planner.world.readers.stadiums import read_events
from tests.world.chart_files import CLASS_D, table

RING = shapely.LinearRing([(-150.3, 37.7), (-150.1, 37.7), (-150.1, 37.9), (-150.3, 37.9)])
ARC = shapely.LineString([(-150.3, 37.7), (-150.31, 37.8), (-150.3, 37.9)])
BESIDE = shapely.Point(-150.197, 37.802)
PLAN = shapely.box(-150.201, 37.799, -150.199, 37.801)
FAR = shapely.box(-148.2, 37.7, -148.1, 37.8)
ROWS = {
    LayerName.CLASS_AIRSPACE: CLASS_D,
    LayerName.SPECIAL_USE: {"NAME": "R", "TYPE_CODE": "R", "TIMESOFUSE": "H24"},
    LayerName.SECURITY: {"FACILITY": "BASE", "FLOOR": "SFC", "CEILING": "400 AGL"},
    LayerName.UAS_ZONES: {"ZONE_ID": "Z1", "ZONE_TYPE": "PROHIBITED"},
    LayerName.PARK_LANDS: {"NAME": "PARK", "OPERATOR": "X", "LAUNCH": "CLOSED"},
    LayerName.FACILITY_MAP: {"CEILING": 100},
}


def states(name, reading):
    record = LayerRecord(name, "", "", coverage=shapely.box(-160, 30, -140, 45))
    records = records_with(record, reading.refusals)
    return [state_of(records, where, None, needs_dates=False)[0] for where in (PLAN, FAR)]


@pytest.mark.parametrize("shape", [shapely.LineString(RING), ARC, BESIDE, shapely.MultiPoint([BESIDE])])
@pytest.mark.parametrize("name", ROWS)
def test_a_line_round_the_plan_or_a_point_beside_it_leaves_it_open(name, shape):
    reading = KINDS[name].read(table(ROWS[name], shape=shape))
    assert len(reading.refusals) == 1
    assert states(name, reading) == [LayerState.DAMAGED, LayerState.OK]


@pytest.mark.parametrize("radius", [None, -9998, 0, "wide"])
def test_a_restriction_about_a_point_without_a_radius_reaches_far(radius):
    row = {"NAME": "FIRE", "FROM_UTC": "", "TO_UTC": "", "RADIUS_NM": radius}
    reading = KINDS[LayerName.TEMPORARY].read(table(row, shape=BESIDE))
    assert states(LayerName.TEMPORARY, reading) == [LayerState.DAMAGED, LayerState.OK]


@pytest.mark.parametrize(("seats", "counts"), [(0, True), (-1, True), (None, True), (29_999, False)])
def test_seats_nobody_has_counted_leave_an_event_standing(seats, counts):
    reading = read_events(None, table({"STADIUM": "BOWL", "SEATS": seats}, shape=BESIDE))
    assert bool(reading.content.airspace) is counts


@pytest.mark.parametrize("lat_deg", [-70.0, 0.0, 37.8, 84.0])
def test_thirty_miles_about_a_point_are_within_its_reach(lat_deg):
    """By geodesics; 30 NM is the ring of 14 CFR 91.215(b)(2)."""
    centre = Place(179.9, lat_deg)
    reach = reach_of(shapely.Point(centre.lon_deg, centre.lat_deg))
    for azimuth_deg in range(0, 360, 15):
        there = travel(centre, TrueBearing(float(azimuth_deg)), 29.9 * NAUTICAL_MILE_M)
        assert reach.covers(shapely.Point(there.lon_deg, there.lat_deg)), azimuth_deg


def test_an_area_is_itself_and_nothing_reaches_anywhere():
    assert reach_of(PLAN).equals(PLAN)
    assert reach_of(None) is None
    mixed = shapely.GeometryCollection([PLAN, shapely.LineString(RING)])
    assert reach_of(mixed).covers(shapely.Polygon(RING))
