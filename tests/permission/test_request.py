"""What a request asks for: geometry against brute force, times against the sources, cells by hand."""

from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround
from planner.permission.ask_times import Bound, ask_times
from planner.permission.need import Route
from planner.permission.request import Circle, radius_nm
from planner.plan.ground import GroundSpot
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from planner.world.sites import Aerodrome
from tests.worlds import (
    HERE,
    START,
    area,
    at,
    box,
    cell,
    disc,
    plan,
    points,
    record,
    recreational,
    volume,
    world,
)


def only_request(intended, charts, **options):
    (request,) = requests_for(assess(intended, charts), **options)
    return request


def controlled(*cells, **changes):
    return world(airspace=(volume(AirspaceKind.CLASS_D, **changes),), cells=cells)


def earth_distance(one, other):
    return Geodesic.WGS84.Inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)["s12"]


def smallest_circle_by_trying(points_xy):
    """Every circle through two or three points; the smallest that holds all (brute force)."""
    best = np.inf
    count = len(points_xy)

    def holds(centre, radius):
        return (np.hypot(*(points_xy - centre).T) <= radius * (1 + 1e-12) + 1e-9).all()

    for i in range(count):
        for j in range(i + 1, count):
            centre, radius = (points_xy[i] + points_xy[j]) / 2, np.hypot(*(points_xy[i] - points_xy[j])) / 2
            if radius < best and holds(centre, radius):
                best = radius
            for k in range(j + 1, count):
                a, b, c = points_xy[[i, j, k]]
                turn = 2 * ((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])
                if abs(turn) < 1e-9:
                    continue
                ab, ac = ((b - a) ** 2).sum(), ((c - a) ** 2).sum()
                offset = (
                    np.array([(c - a)[1] * ab - (b - a)[1] * ac, (b - a)[0] * ac - (c - a)[0] * ab]) / turn
                )
                radius = np.hypot(*offset)
                if radius < best and holds(a + offset, radius):
                    best = radius
    return best


@pytest.mark.parametrize("seed", range(6))
def test_the_circle_is_the_smallest_that_holds_the_outline(seed):
    draw = np.random.default_rng(seed)
    path = points([(*draw.uniform(-1500, 1500, 2), 50.0) for _ in range(4)])
    request = only_request(plan(path=path), controlled(cell(200)))
    circle, ring = request.area.circle, request.area.ring
    away = [earth_distance(circle.centre, place) for place in ring]
    # The plane is true to 4e-7 at 10 km; positions are rounded nowhere on the way.
    assert max(away) <= circle.radius_m + 0.01
    frame = assess(plan(path=path), controlled(cell(200))).scene.mapped.frame
    corners = np.array([frame.place_to_xy(place) for place in ring])
    assert circle.radius_m == pytest.approx(smallest_circle_by_trying(corners), abs=0.01)


@pytest.mark.parametrize(("radius_m", "nm"), [(1852.0, 1.0), (1852.01, 1.01), (9.26, 0.01), (926.0, 0.5)])
def test_the_radius_in_nautical_miles_is_rounded_up(radius_m, nm):
    # 1 NM = 1,852 m exactly (check_values 0).
    assert radius_nm(Circle(HERE, radius_m)) == nm


@pytest.mark.parametrize("margin_m", [10.0, 50.0, 300.0])
def test_the_outline_holds_everything_within_the_margin_of_the_flight(margin_m):
    path = points([(-800, 0, 50.0), (200, 500, 50.0), (900, -300, 50.0)])
    answer = assess(plan(path=path), controlled(cell(200)))
    (request,) = requests_for(answer, margin_m)
    frame = answer.scene.mapped.frame
    outline = shapely.Polygon([frame.place_to_xy(place) for place in request.area.ring])
    flown = shapely.LineString(np.column_stack([answer.track.x_m, answer.track.y_m]))
    flown = shapely.union(flown, shapely.Point(frame.place_to_xy(at())))
    assert outline.covers(shapely.buffer(flown, margin_m, quad_segs=32))
    hull = shapely.convex_hull(flown)
    assert outline.within(shapely.buffer(hull, margin_m * 1.3 + 2))
    assert outline.exterior.is_ccw
    assert len(request.area.ring) < 40


def test_only_the_part_inside_the_airspace_is_asked_for():
    charts = controlled(cell(200), outline=box(0, -5000, 5000, 5000))
    away = GroundSpot(at(-3000, 0))
    request = only_request(
        plan(path=points([(-2000, 0, 50.0), (600, 0, 50.0)]), launch=away, landing=away), charts
    )
    answer = assess(plan(), charts)
    west = min(answer.scene.mapped.frame.place_to_xy(place)[0] for place in request.area.ring)
    assert -65 <= west <= -50


def test_an_area_is_asked_for_whole():
    box_area = area(box(-300, -200, 300, 200), AboveGround(80.0))
    request = only_request(plan(path=(), area=box_area), controlled(cell(200)))
    assert request.highest_agl_m == pytest.approx(80.0)
    assert request.area.circle.radius_m >= np.hypot(300, 200) + 50


def test_cells_touched_with_their_values_and_the_lowest_of_them():
    west = cell(100, box(-10_000, -10_000, 0, 10_000), key="west", airport="INVENTED FIELD")
    east = cell(300, box(0, -10_000, 10_000, 10_000), key="east", airport="INVENTED FIELD")
    request = only_request(plan(), controlled(west, east))
    assert {one.key for one in request.area.cells.cells} == {"west", "east"}
    assert request.area.cells.ceiling_agl_m == pytest.approx(100 * FOOT_M)
    assert not request.margin_lowers_value


@pytest.mark.parametrize("away_m", [14, 20, 30, 45, 62])
def test_a_margin_that_would_cost_height_is_cut(away_m):
    """An outline asks for the lowest value that it touches: check values 1 (A); the margin is ours."""
    low = cell(0, box(-2_000, away_m, 2_000, 2_000), key="north")
    high = cell(300, box(-2_000, -2_000, 2_000, away_m), key="south")
    request = only_request(plan(), controlled(low, high))
    assert request.need.cell_ceiling_agl_m == request.area.cells.ceiling_agl_m == pytest.approx(300 * FOOT_M)
    assert request.area.is_cut
    assert {one.key for one in request.area.cells.cells} == {"south"}
    # One metre more would have touched it.
    wider = only_request(plan(), controlled(low, high), margin_m=request.area.margin_m + 1.0)
    assert wider.margin_lowers_value
    assert 10.0 <= request.area.margin_m < 50.0


def test_a_margin_that_can_t_be_cut_so_far_is_told_and_one_that_is_chosen_is_kept():
    low = cell(0, box(-2_000, 9, 2_000, 2_000), key="north")
    high = cell(300, box(-2_000, -2_000, 2_000, 9), key="south")
    request = only_request(plan(), controlled(low, high))
    assert (request.area.margin_m, request.area.is_cut) == (50.0, False)
    assert request.margin_lowers_value
    chosen = only_request(plan(), controlled(low, high), margin_m=5.0)
    assert (chosen.area.margin_m, chosen.margin_lowers_value) == (5.0, False)


def test_airports_get_their_identifiers_from_the_charts():
    fields = (Aerodrome("XX01", "Invented Field", at(500, 0)),)
    charts = world(
        airspace=(volume(AirspaceKind.CLASS_D, ident="XXD"),),
        cells=(cell(200, airport="INVENTED FIELD"), cell(100, airport="OTHER", key="other")),
        aerodromes=fields,
    )
    request = only_request(plan(), charts)
    assert {(one.name, one.ident) for one in request.airports} == {("Invented Field", "XX01"), ("OTHER", "")}
    assert request.ident == "XXD"


def test_identifiers_of_the_cells_themselves_go_before_the_charts():
    named = cell(200, airport="INVENTED FIELD", airport_ident="KXX1", more_airports="X2; KXX3 THIRD")
    charts = world(airspace=(volume(AirspaceKind.CLASS_D, ident="XXD"),), cells=(named,))
    found = {(one.name, one.ident) for one in only_request(plan(), charts).airports}
    assert found == {("INVENTED FIELD", "KXX1"), ("X2", "X2"), ("THIRD", "KXX3")}


def test_one_request_for_each_airspace_recorded_ones_marked():
    charts = world(
        airspace=(
            volume(AirspaceKind.CLASS_D, name="INVENTED D"),
            volume(AirspaceKind.RESTRICTED, disc(300), name="INVENTED R"),
        ),
        cells=(cell(200),),
    )
    intended = plan(permissions=(record("INVENTED D", 100.0),))
    found = requests_for(assess(intended, charts))
    assert [(one.need.airspace, one.need.recorded) for one in found] == [
        ("INVENTED D", True),
        ("INVENTED R", False),
    ]
    assert requests_for(assess(plan(), world())) == ()
    assert requests_for(assess(recreational(path=(), launch=None, landing=None, crew=()), world())) == ()


def test_without_a_window_there_are_no_times():
    request = only_request(plan(window=None), controlled(cell(200)))
    assert (request.start_utc, request.duration, request.times) == (None, None, ())


def test_window_and_duration():
    request = only_request(plan(), controlled(cell(200)))
    assert request.start_utc == START
    assert request.duration == timedelta(hours=1)


# check_values 1.10 (A: up to 90 days ahead; B: 72 h; an undated page of the authority: 60 days).
def test_when_to_ask_for_further_coordination():
    start = datetime(2027, 6, 12, 19, 0, tzinfo=UTC)
    bounds = {(time.bound, time.what): time for time in ask_times(Route.FURTHER_COORDINATION, start)}
    earliest = bounds[Bound.EARLIEST, "further coordination"]
    assert earliest.at_utc == datetime(2027, 3, 14, 19, 0, tzinfo=UTC)
    assert "7210.3" in earliest.standing
    latest = bounds[Bound.LATEST, "further coordination"]
    assert latest.at_utc == datetime(2027, 6, 9, 19, 0, tzinfo=UTC)
    assert "secondary" in latest.standing
    portal = bounds[Bound.LATEST, "manual portal"]
    assert portal.at_utc == datetime(2027, 4, 13, 19, 0, tzinfo=UTC)
    assert "undated" in portal.standing
    # "91 days ahead -> too early".
    assert start - timedelta(days=91) < earliest.at_utc


@pytest.mark.parametrize("route", list(Route))
def test_every_time_says_where_it_comes_from(route):
    for time in ask_times(route, START):
        assert time.standing
        assert time.at_utc <= START


@pytest.mark.parametrize(("toward", "index"), [("west", 0), ("south", 1), ("east", 0), ("north", 1)])
@pytest.mark.parametrize(("gap_m", "touched"), [(0.6, True), (1.6, False)])
def test_a_cell_within_rounding_beyond_the_outline_is_asked_for_too(toward, index, gap_m, touched):
    """Published corners are rounded to 1e-5 degree, about a metre; beyond that a gap is a gap."""
    whole = cell(400, key="whole")
    ring = [(place.lon_deg, place.lat_deg) for place in only_request(plan(), controlled(whole)).area.ring]
    sign = 1 if toward in ("east", "north") else -1
    edge = max(sign * corner[index] for corner in ring) * sign
    metre_deg = 1 / (111_320.0 * (np.cos(np.radians(HERE.lat_deg)) if index == 0 else 0.9972))
    near, far = edge + sign * gap_m * metre_deg, edge + sign * 0.01
    sides = [
        min(x for x, _ in ring),
        min(y for _, y in ring),
        max(x for x, _ in ring),
        max(y for _, y in ring),
    ]
    sides[index], sides[index + 2] = min(near, far), max(near, far)
    request = only_request(
        plan(), controlled(whole, cell(100, shapely.box(*sides), key="beyond")), margin_m=50.0
    )
    assert ("beyond" in {each.key for each in request.area.cells.cells}) is touched


def test_a_request_reaches_50_m_about_the_flight_unless_said_otherwise():
    """Own choice, common practice; the outline has few corners, so up to a quarter of it more."""
    request = only_request(plan(), controlled(cell(400)))
    assert request.area.margin_m == 50.0
    away_m = [min(earth_distance(place, end) for end in (at(-500), at(500))) for place in request.area.ring]
    assert min(away_m) >= 50.0


@pytest.mark.parametrize(
    ("highest_m", "error_m", "reached_m"),
    [(30.0, 4.0, 34.0), (30.0, 0.0, 30.0), (None, 4.0, None), (30.0, None, None), (None, None, None)],
)
def test_how_high_a_flight_may_reach_is_known_only_with_its_error(highest_m, error_m, reached_m):
    """Our own rule (design): what is not known is never taken for none."""
    request = only_request(plan(), controlled(cell(100)))
    request = attrs.evolve(request, highest_agl_m=highest_m, readout_error_m=error_m)
    assert request.may_reach_agl_m == reached_m
