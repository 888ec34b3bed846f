"""Where a leg meets outlines, against shapely's own intersections."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.geo.frame import LocalFrame
from planner.track.crossings import outline_crossings, whole_number_crossings
from planner.world.outlines import lay_out, polygons_in_plane
from tests.random_worlds import unhurried
from tests.worlds import HERE, at, box, disc, polygon

FRAME = LocalFrame(HERE)
coordinate = st.floats(-1_000, 1_000)
positions = st.tuples(coordinate, coordinate)


@st.composite
def polygons(draw):
    """Simple polygons with up to nine corners, some with a hole."""
    count = draw(st.integers(3, 9))
    # Whole degrees: corners closer than that are one corner to shapely.
    degrees = draw(st.lists(st.integers(0, 359), min_size=count, max_size=count, unique=True))
    turns = np.sort(degrees) / 360
    reach = [draw(st.floats(50, 900)) for _ in range(count)]
    centre = draw(positions)
    corners = [
        (centre[0] + r * math.sin(math.tau * t), centre[1] + r * math.cos(math.tau * t))
        for r, t in zip(reach, turns, strict=True)
    ]
    outline = polygon(corners)
    hole = draw(st.booleans())
    middle = polygon([(centre[0] + x, centre[1] + y) for x, y in ((-20, -20), (20, -20), (0, 20))])
    if hole and outline.is_valid and outline.contains(middle):
        outline = outline.difference(middle)
    return outline


def crossings(start, end, laid):
    return outline_crossings(np.array([start]), np.array([end]), laid)[1]


@unhurried(200)
@given(st.lists(polygons(), min_size=1, max_size=4), positions, positions)
def test_polygon_crossings_are_those_of_shapely(outlines, start, end):
    """Each crossing shapely finds is found to 1 mm, and each one found lies on an edge."""
    laid = lay_out(enumerate(outlines), [], FRAME)
    shares = crossings(start, end, laid)
    leg = shapely.LineString([start, end])
    edges = shapely.union_all([shape.boundary for shape in laid.shapes])
    met = np.column_stack([start[0] + (end[0] - start[0]) * shares, start[1] + (end[1] - start[1]) * shares])
    for x, y in met:
        assert shapely.distance(edges, shapely.Point(x, y)) < 1e-6
    expected = shapely.get_coordinates(shapely.intersection(edges, leg))
    for point in expected:
        away_from_ends = min(math.dist(point, start), math.dist(point, end))
        if away_from_ends > 1e-3:
            assert np.hypot(*(met - point).T).min() < 1e-3
    assert (np.diff(shares) > 0).all()


@unhurried(200)
@given(positions, st.floats(1, 800), positions, positions)
def test_disc_crossings_lie_on_the_circle_and_none_is_missing(centre, radius_m, start, end):
    laid = lay_out([], [("disc", FRAME.xy_to_place(*centre), radius_m)], FRAME)
    shares = crossings(start, end, laid)
    along = np.linspace(1e-3, 1 - 1e-3, 4001)
    x_m, y_m = (start[axis] + (end[axis] - start[axis]) * along for axis in (0, 1))
    inside = np.hypot(x_m - centre[0], y_m - centre[1]) <= radius_m
    changes = int(np.abs(np.diff(inside.astype(int))).sum())
    # Between two dense points the leg may dip in and out again; never the other way round.
    assert len(shares) >= changes
    for share in shares:
        away = math.dist(
            centre, (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
        )
        # The projection takes what lies within 1e-10 of the earth's radius of its middle for the middle.
        assert away == pytest.approx(radius_m, abs=1e-3)


@unhurried(200)
@given(st.lists(st.floats(-50, 50), min_size=2, max_size=12))
def test_whole_numbers_are_passed_where_they_are(values):
    values = np.array(values)
    shares = np.linspace(0, 1, len(values))
    found = whole_number_crossings(shares, values, 40)
    met = np.interp(found, shares, values)
    assert np.abs(met - np.round(met)).max(initial=0.0) < 1e-9
    assert ((np.round(met) >= 0) & (np.round(met) < 40)).all()
    for whole in range(40):
        for k in range(len(values) - 1):
            low, high = sorted(values[k : k + 2])
            if low < whole < high:
                assert np.abs(met[(found >= shares[k]) & (found <= shares[k + 1])] - whole).min() < 1e-9


def test_a_leg_along_an_edge_has_no_crossing_on_it():
    """The design: what runs along an edge is decided by its middle; it is never lost nor doubled."""
    laid = lay_out([("box", shapely.box(-1, -1, 1, 1))], [], FRAME)
    plane = shapely.box(-100, -100, 100, 100)
    laid = type(laid)(
        laid.keys, (plane,), np.array([plane.bounds]), edges_of(plane), np.zeros(4, dtype=np.int64)
    )
    along = crossings((-50.0, 100.0), (50.0, 100.0), laid)
    assert len(along) == 0
    assert laid.contains(0, np.array([0.0]), np.array([100.0])).all()
    past_both = crossings((-200.0, 100.0), (200.0, 100.0), laid)
    assert past_both == pytest.approx([0.25, 0.75])


def edges_of(plane):
    points = shapely.get_coordinates(plane.exterior)
    return np.hstack([points[:-1], points[1:]])


def test_chart_edges_are_straight_in_longitude_and_latitude():
    """Design section 6: a 100-km edge uncut differs by 144 m; cut, the plane keeps it to about 1 cm."""
    west, south, east, north = -150.77, 37.8, -149.63, 37.81
    plane = polygons_in_plane(shapely.box(west, south, east, north), FRAME)
    share = np.linspace(0.02, 0.98, 997)
    lon_deg = west + (east - west) * share
    x_m, y_m = FRAME.forward(lon_deg, np.full_like(lon_deg, south))
    away_m = shapely.distance(plane.boundary, shapely.points(x_m, y_m))
    assert away_m.max() < 0.015
    uncut = shapely.LineString(
        np.column_stack(FRAME.forward(np.array([west, east]), np.array([south, south])))
    )
    assert shapely.distance(uncut, shapely.Point(x_m[498], y_m[498])) == pytest.approx(151, abs=10)


def test_outlines_far_away_are_not_looked_at():
    laid = lay_out([("far", box(5_000, 5_000, 6_000, 6_000)), ("near", disc(100.0))], [], FRAME)
    assert list(laid.columns_near(np.array([-50.0, -50.0, 50.0, 50.0]))) == [1]


def test_a_leg_of_no_length_has_no_crossing():
    laid = lay_out([("disc", disc(100.0))], [("d", at(), 50.0)], FRAME)
    spot = (100.0, 0.0)
    assert len(crossings(spot, spot, laid)) == 0
