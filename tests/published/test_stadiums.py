"""Sporting events: how far, how high, when, and which. Check_values 1.18 and 15 (A; sizes and list A/B).

14 CFR 99.7 notice: 3 NM, the surface to "at or below 3,000 AGL", an hour before start to an hour after end,
30,000 seats or more. Not covered: before the season, soccer, concerts, pre-race and qualifying.
"""

from datetime import UTC, datetime, timedelta

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.geo.window import TimeWindow
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import FOOT_M
from planner.world.readers import stadiums
from planner.world.readers.table import Table
from tests.world.chart_files import table
from tests.worlds import HERE, area, at, box, plan, world

GAME = {"STADIUM": "INVENTED BOWL", "EVENT": "INVENTED FINAL", "SEATS": 34_000}
TIMES = {"START_UTC": "2027-06-12T19:00:00Z", "END_UTC": "2027-06-12T22:10:00Z"}


def events(place=HERE, **changes) -> Table:
    return table({**GAME, **TIMES, **changes}, shape=shapely.Point(place.lon_deg, place.lat_deg))


def judged(row: Table, **changes):
    volumes = stadiums.read_events(None, row).content.airspace
    return assess(plan(**changes), world(airspace=volumes))


def closed(answer) -> bool:
    return "closed-airspace" in {each.rule for each in answer.findings if each.mark is Mark.STOP}


def window(hour, minute, length_min=5):
    begin = datetime(2027, 6, 12, hour, minute, tzinfo=UTC)
    return TimeWindow(begin, begin + timedelta(minutes=length_min))


@pytest.mark.parametrize(("top_ft", "inside"), [(2_999, True), (3_000, True), (3_001, False)])
def test_3000_ft_is_inside_and_3001_outside(top_ft, inside):
    """At a height nobody may fly anyway: what counts is whether the restriction is among the stops."""
    path = tuple(attrs.evolve(point, height=AboveGround(top_ft * FOOT_M)) for point in plan().path)
    assert closed(judged(events(), path=path, launch=None, landing=None)) is inside


@pytest.mark.parametrize(
    ("begin", "inside"),
    [
        (window(17, 54), False),
        (window(17, 56), True),
        (window(20, 0), True),
        (window(23, 9), True),
        (window(23, 11), False),
    ],
)
def test_start_19_00_and_end_22_10_close_18_00_to_23_10(begin, inside):
    assert closed(judged(events(), window=begin)) is inside


@pytest.mark.parametrize(
    ("changes", "inside"),
    [
        ({"SEATS": 30_000}, True),
        ({"SEATS": 29_999}, False),
        ({"SEATS": None}, True),  # not known is never few
        ({"KIND": "regular season"}, True),
        ({"KIND": "Pre-Season"}, False),
        ({"KIND": "soccer"}, False),
        ({"KIND": "concert"}, False),
        ({"KIND": "qualifying"}, False),
        ({"KIND": "pre-race"}, False),
        ({"KIND": "soccer, then league final"}, True),  # anything not understood counts
    ],
)
def test_which_events_close(changes, inside):
    answer = judged(events(**changes))
    assert closed(answer) is inside
    assert (answer.verdict is Verdict.MUST_CHANGE) is inside


@pytest.mark.parametrize(("north_m", "inside"), [(5_555.0, True), (5_558.0, False)])
def test_5555_m_is_inside(north_m, inside):
    """3 NM are 5,556 m; the ring is kept up to a metre too wide, never too small."""
    corner = area(box(-9, -9, 0, 0), AboveGround(9.0))
    assert closed(judged(events(at(0, north_m)), path=(), area=corner)) is inside
