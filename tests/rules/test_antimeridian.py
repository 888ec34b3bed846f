"""Outlines and plans at the 180th meridian; RFC 7946 section 3.1.9 wants outlines cut there (standing A)."""

import attrs
import numpy as np
import pytest
import shapely
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st
from pyproj import CRS

from planner.assess import assess, assess_live
from planner.errors import ChartError
from planner.geo.antimeridian import crosses, unwrapped
from planner.geo.frame import LocalFrame
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.restrictions import TemporaryRestriction
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.layers import LayerName
from planner.world.outlines import polygons_in_plane
from planner.world.readers.curves import circle
from planner.world.store.covers import outline_of
from tests.worlds import layer, plan, terrain_of, world

GLOBE = shapely.box(-180, -90, 180, 90)


def judged(lon_deg, restriction):
    """A low flight of 200 m at 52 N under charts of the whole globe, in full ink but for the restriction."""
    start = Place(lon_deg, 52.0)
    end = travel(start, TrueBearing(90), 200)
    step, cells = 0.0005, 201
    grid = Affine(step, 0, lon_deg - step * cells / 2, 0, -step, 52.0 + step * cells / 2)
    ground = terrain_of(np.full((cells, cells), 300, np.float32), grid, CRS("EPSG:4326"))
    charts = attrs.evolve(
        world(layers=tuple(layer(name, coverage=GLOBE) for name in LayerName)), terrain=ground
    )
    spot = GroundSpot(start, LandStatus.OWN)
    flight = plan(
        path=tuple(PathPoint(at, AboveGround(30.0), Leg(LegShape.STRAIGHT)) for at in (start, end)),
        launch=spot,
        landing=spot,
        restrictions=(restriction,),
    )
    crew = tuple(attrs.evolve(member, place=start) for member in flight.crew)
    return assess(attrs.evolve(flight, crew=crew), charts)


def about(lon_deg, radius_m=5_556.0):
    return TemporaryRestriction(name="INVENTED FIRE", centre=Place(lon_deg, 52.0), radius_m=radius_m)


def rules_of(answer, mark):
    return {one.rule for one in answer.findings if one.mark is mark}


ACROSS = TemporaryRestriction(
    name="INVENTED FIRE",
    ring=(Place(177.5, 51.9), Place(-177.5, 51.9), Place(-177.5, 52.1), Place(177.5, 52.1)),
)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(
    ("away_deg", "restriction"),
    [(0.02, about(179.99)), (0.02, about(-179.99)), (2.0, ACROSS), (0.02, ACROSS)],
)
def test_a_restriction_about_the_flight_is_met_wherever_it_crosses(side, away_deg, restriction):
    assert "closed-airspace" in rules_of(judged(side * (180.0 - away_deg), restriction), Mark.STOP)


@pytest.mark.parametrize(("away_deg", "near"), [(0.02, True), (1.6, True), (1.7, False)])
def test_so_near_to_it_nothing_is_ready(away_deg, near):
    """One degree at the equator is 1 / cos 52 = 1.62 degrees of longitude at 52 N."""
    for side in (1, -1):
        answer = judged(side * (180.0 - away_deg), about(0.0))
        assert ("at-the-antimeridian" in rules_of(answer, Mark.UNKNOWN)) is near
        assert (answer.verdict is Verdict.READY) is not near


@pytest.mark.parametrize("spot", ["launch", "landing"])
def test_a_spot_that_is_near_to_it_counts_without_the_path(spot):
    """At 60 N two degrees of longitude are as wide as one at the equator."""
    path = tuple(
        PathPoint(Place(170.0, lat), AboveGround(30.0), Leg(LegShape.STRAIGHT)) for lat in (60, 60.01)
    )
    for lon_deg, near in ((178.5, True), (177.5, False)):
        far = {"launch": None, "landing": None, spot: GroundSpot(Place(lon_deg, 60.0), LandStatus.OWN)}
        answer = assess_live(plan(path=path, **far), world())
        assert ("at-the-antimeridian" in rules_of(answer, Mark.UNKNOWN)) is near


@given(
    lon=st.floats(-180, 180),
    lat=st.floats(-75, 75),
    radius_m=st.floats(100, 50_000),
    seen_from=st.floats(-1, 1),
)
def test_a_circle_is_laid_out_as_round_and_as_wide_as_it_is(lon, lat, radius_m, seen_from):
    """Second way: the area of the plane polygon against pi r squared; 1 % for chords and projection."""
    outline = circle(Place(lon, lat), radius_m)
    frame = LocalFrame(Place((lon + seen_from + 180) % 360 - 180, lat))
    area_m2 = polygons_in_plane(outline, frame).area
    assert area_m2 == pytest.approx(np.pi * radius_m**2, rel=0.01)


def test_a_box_of_the_globe_is_left_alone():
    assert not crosses(GLOBE)
    (same,) = unwrapped(np.array([GLOBE], dtype=object), 179.0)
    assert same is GLOBE


def test_a_narrow_outline_and_an_empty_one_do_not_cross():
    assert not crosses(shapely.box(179.0, 51.0, 179.9, 53.0))
    assert not crosses(shapely.Polygon())


ACROSS_RING = [(179.0, 51.0), (-179.0, 51.0), (-179.0, 53.0), (179.0, 53.0)]
IN_THE_SOUTH = [(lon, lat - 75.0) for lon, lat in ACROSS_RING]
FROM_THE_MERIDIAN = [(180.0, 51.0), (-179.0, 51.0), (-179.0, 53.0), (180.0, 53.0)]


@pytest.mark.parametrize("ring", [ACROSS_RING, IN_THE_SOUTH, FROM_THE_MERIDIAN])
def test_one_part_that_jumps_is_enough(ring):
    """The meridian itself written as 180 where the outline lies west of -179: its edge jumps as well."""
    jumps = shapely.Polygon(ring)
    assert crosses(jumps)
    assert crosses(shapely.MultiPolygon([shapely.box(170, 51, 171, 53), jumps]))


@pytest.mark.parametrize(("seen_from", "west", "east"), [(179.0, 179.0, 181.0), (-179.0, -181.0, -179.0)])
def test_what_runs_on_lies_near_to_where_it_is_looked_at_from(seen_from, west, east):
    given_shapes = np.array([shapely.Polygon(ACROSS_RING)], dtype=object)
    (found,) = unwrapped(given_shapes, seen_from)
    assert found.bounds == pytest.approx((west, 51.0, east, 53.0))
    assert given_shapes[0] == shapely.Polygon(ACROSS_RING)
    (south,) = unwrapped(np.array([shapely.Polygon(IN_THE_SOUTH)], dtype=object), seen_from)
    assert south.bounds == pytest.approx((west, -24.0, east, -22.0))


def test_two_halves_cut_as_they_should_be_are_left_alone():
    halves = shapely.MultiPolygon([shapely.box(179, 51, 180, 53), shapely.box(-180, 51, -179, 53)])
    assert not crosses(halves)


def test_a_coverage_that_jumps_is_refused_with_what_to_do(tmp_path):
    ring = [[179.0, 51.0], [-179.0, 51.0], [-179.0, 53.0], [179.0, 53.0], [179.0, 51.0]]
    file = tmp_path / "cover.geojson"
    file.write_text(
        '{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {}, '
        f'"geometry": {{"type": "Polygon", "coordinates": [{ring}]}}}}]}}'
    )
    with pytest.raises(ChartError, match="across the 180th meridian") as caught:
        outline_of(str(file))
    assert "cut the polygon in two" in caught.value.one_line()
