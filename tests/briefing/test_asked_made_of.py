"""What of the height asked for is drawn, and what is flown otherwise: said alike of whoever is to be asked.

Expected heights are worked by hand over level ground, or taken from `test_asked_as_flown` and
`test_asked_for_slopes`, which work them by hand. That a sheet says so is our own choice.
"""

import json
import random
import re

import attrs
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import request_geojson, requests_for
from planner.briefing.request_words import request_text
from planner.permission.need import Rise, Route
from planner.plan.aircraft import LinkLossAction
from planner.plan.records import PermissionKind
from planner.wording import planned_ft
from planner.world.airspace import AirspaceKind
from tests.briefing import test_asked_as_flown as falls
from tests.briefing.test_asked_for_all import intended, troubles
from tests.briefing.test_asked_for_slopes import CELLS, VALLEY, exact, over_a_valley
from tests.worlds import WINDOW, points, record, volume, world

HOURS = {"valid_from_utc": WINDOW.start_utc, "valid_to_utc": WINDOW.end_utc}
WHOSE = {
    AirspaceKind.CLASS_D: Route.AUTOMATED,
    AirspaceKind.CLASS_E4: Route.ASK_AUTHORITY,
    AirspaceKind.RESTRICTED: Route.AGENCY,
}


def asked(flight, charts):
    """The one request, what it says of its height, and what it says to a program."""
    judged = assess(flight, charts)
    (request,) = requests_for(judged)
    told = json.loads(request_geojson(judged, (request,)))["features"][0]["properties"]
    return request, dict(request_text(request, judged.plan).rows)["highest, above ground"], told


@pytest.mark.parametrize(("kind", "route"), WHOSE.items())
def test_what_is_flown_on_lost_link_alone_is_never_called_planned(kind, route):
    """30 m are drawn, 98.4 ft; home it comes at 60 m."""
    flight = exact(intended(LinkLossAction.RETURN_FIXED, 60.0))
    request, row, told = asked(flight, world(airspace=(volume(kind, name="V"),), cells=CELLS))
    assert request.need.route is route
    assert row.startswith(
        "type 197 ft: 99 ft planned over the lowest ground near, on lost link up to 197 ft;"
    )
    assert (request.rise, request.rise_m) == (Rise.ON_LOST_LINK, pytest.approx(30.0, abs=0.01))
    assert told["on_lost_link_above_m"] == pytest.approx(30.0, abs=0.01)
    assert told["as_flown_above_m"] == 0.0


@pytest.mark.parametrize(("kind", "route"), WHOSE.items())
def test_what_is_flown_higher_than_drawn_is_never_called_planned(kind, route):
    """30 m are drawn; off the cliff it stays as much higher as it can't sink."""
    request, row, told = asked(falls.flight(), falls.charts(kind))
    assert request.need.route is route
    rise_m = falls.STEP_M - 10.0 * falls.SLOPE
    assert (request.rise, request.rise_m) == (Rise.AS_FLOWN, pytest.approx(rise_m, abs=0.6))
    so_high = planned_ft(request.highest_agl_m)
    assert (
        f", where the path falls faster than the aircraft sinks up to {so_high}, 10 ft more as the readout"
        in row
    )
    assert ": 99 ft planned over the lowest ground near, where" in row
    assert told["as_flown_above_m"] == pytest.approx(rise_m, abs=0.6)
    assert told["on_lost_link_above_m"] == 0.0


@pytest.mark.parametrize(("kind", "route"), WHOSE.items())
def test_what_is_flown_on_ways_that_are_not_drawn_is_never_called_planned(kind, route):
    """Halfway to 30 m, over the bottom of a valley, up to 40 m."""
    charts = world(terrain=VALLEY, airspace=(volume(kind, name="V"),), cells=CELLS)
    request, row, told = asked(over_a_valley(), charts)
    assert request.need.route is route
    assert ": 99 ft planned over the lowest ground near, " in row
    assert f", on ways that are not drawn up to {planned_ft(30.0 + request.way_rise_m)}" in row
    assert 8.0 < request.way_rise_m < 11.0
    assert told["on_ways_not_drawn_above_m"] == request.way_rise_m


@pytest.mark.parametrize("kind", WHOSE)
def test_where_nothing_is_flown_otherwise_than_drawn_all_is_planned(kind):
    flight = exact(intended(LinkLossAction.LAND, delay_s=0.5))
    request, row, _ = asked(flight, world(airspace=(volume(kind, name="V"),), cells=CELLS))
    assert row.startswith("type 99 ft: planned over the lowest ground near;")
    assert (request.way_rise_m, request.rise_m) == (0.0, 0.0)


@pytest.mark.parametrize("kind", WHOSE)
def test_what_comes_to_whole_millimetres_is_flown_by_nobody(kind):
    """40.0002 m are 131.2 ft: asked for are 40.001 m, and nothing of them on lost link."""
    path = points([(0, 0, 40.0002), (100, 0, 40.0002), (0, 0, 40.0002)])
    flight = exact(intended(LinkLossAction.LAND, delay_s=0.5, path=path))
    request, row, told = asked(flight, world(airspace=(volume(kind, name="V"),), cells=CELLS))
    assert (request.highest_agl_m, request.rise_m, request.way_rise_m) == (40.001, 0.0, 0.0)
    assert row.startswith("type 132 ft: planned over the lowest ground near;")
    assert told["on_lost_link_above_m"] == 0.0


@pytest.mark.parametrize(
    ("height_m", "feet"),
    [
        # 400 ft are 121.92 m (14 CFR 107.51(b)): 140 m are 59.3 ft above them.
        (140.0, "60 ft"),
        (121.0, None),
    ],
)
@pytest.mark.parametrize(
    ("kind", "paper_kind", "whose"),
    [
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY, "the agency's permission"),
        (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION, "the authority's answer"),
    ],
)
def test_what_no_answer_lifts_is_told_before_it_is_asked(height_m, feet, kind, paper_kind, whose):
    """A return above 400 ft where is to be asked: with just what is asked for on record it is a stop."""
    charts = world(airspace=(volume(kind, name="V"),))
    flight = exact(intended(LinkLossAction.RETURN_FIXED, height_m))
    judged = assess(flight, charts)
    (request,) = requests_for(judged)
    told = [one for one in request_text(request, flight).warnings if "limit on height" in one]
    assert len(told) == (feet is not None)
    assert not told or told[0].startswith(f"On lost link it comes {feet} above the limit on height")
    assert not told or f", which {whose} does not lift" in told[0]
    paper = record("V", request.highest_agl_m, paper_kind, ring=request.area.ring, **HOURS)
    after = assess(attrs.evolve(flight, permissions=(paper,)), charts)
    assert ("link-loss-above-ceiling" in troubles(after)) is (feet is not None)


@pytest.fixture(scope="module")
def any_request():
    flight = exact(intended(LinkLossAction.LAND, delay_s=0.5))
    judged = assess(flight, world(airspace=(volume(AirspaceKind.RESTRICTED, name="V"),)))
    (request,) = requests_for(judged)
    return request, judged.plan


def said_ft(part, text):
    """The figure that stands before or behind some words, None where they are not there."""
    found = re.search(part.replace("#", r"([\d,]+) ft"), text)
    return int(found[1].replace(",", "")) if found else None


def test_what_it_is_made_of_comes_to_what_is_to_be_typed(any_request):
    """Heights up to each part, and what the readout adds to the last: the sum, in feet, of random parts.

    The foot is 0.3048 m exactly (1959). No height is said lower than it is, and no more than a foot too high.
    """
    request, flight = any_request
    drawn = random.Random(7)
    for _ in range(2_000):
        heights = [drawn.uniform(1.0, 90.0), *(drawn.choice((0.0, drawn.uniform(0.002, 30.0))) for _ in "wr")]
        of_readout = drawn.choice((drawn.uniform(0.01, 6.0), round(drawn.uniform(1, 20)) * 0.3048))
        one = attrs.evolve(
            request,
            highest_agl_m=sum(heights),
            way_rise_m=heights[1],
            rise_m=heights[2],
            readout_error_m=of_readout,
        )
        row = dict(request_text(one, flight).rows)["highest, above ground"]
        typed, planned = said_ft("type #: ", row), said_ft("(?<=: )# planned", row)
        level = said_ft("not drawn up to #", row) or planned
        most = said_ft("on lost link up to #", row) or level
        more = said_ft(", # more as the readout may be off$", row)
        assert typed == most + (more or 0), row
        assert more or row.endswith(", with what the readout may be off"), row
        for feet, metres in (
            (planned, heights[0]),
            (level, sum(heights[:2])),
            (most, sum(heights)),
            (typed, sum(heights) + of_readout),
        ):
            assert -0.001 <= feet - metres / 0.3048 < 1.001, (row, metres)
