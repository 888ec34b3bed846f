"""Every kind of curve GML 3.2.1 settles, against geographiclib: another implementation of geodesics.

What each kind means is taken from the annotations of the GML 3.2.1 schema (standing B, read in copies of
it), the sense of angles where longitude comes first from the aviation guidance on GML (standing B).
"""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.world.readers.chart_file import read_chart_file
from tests.world.aixm_files import (
    airspace,
    arc_about_centre,
    component,
    curve,
    geodesics,
    lines,
    points_of_kind,
    surface,
    surface_of_members,
    write_aixm,
)

NMI_M = 1852.0
LAT, LON, MILES = 50.0, 10.0, 20.0
CRS84 = "urn:ogc:def:crs:OGC:1.3:CRS84"
SQUARE = [(50, 0), (50, 2), (51, 2), (51, 0), (50, 0)]


def on_circle(azimuth):
    found = Geodesic.WGS84.Direct(LAT, LON, azimuth, MILES * NMI_M)
    return found["lon2"], found["lat2"]


def read(tmp_path, shape):
    (part,) = read_chart_file(write_aixm(tmp_path, airspace(component(shape))))
    return part.reading


def outline(tmp_path, shape):
    reading = read(tmp_path, shape)
    assert not reading.refusals
    (volume,) = reading.content.airspace
    return volume.outline


def why_refused(tmp_path, shape):
    reading = read(tmp_path, shape)
    assert not reading.content.airspace
    (refusal,) = reading.refusals
    return refusal.why


def farthest_m(area, points):
    """How far points (lon, lat) lie from the edge of an area [m], near enough for metres."""
    scale = np.array([111_320.0 * math.cos(math.radians(LAT)), 111_320.0])
    edge = shapely.transform(area.boundary, lambda corners: corners * scale)
    return max(shapely.distance(edge, shapely.points(np.array(points) * scale)))


def centre_to(*azimuths):
    """Back from the arc's end over its centre to its start."""
    points = [on_circle(azimuths[-1]), (LON, LAT), on_circle(azimuths[0])]
    return points_of_kind("GeodesicString", points)


def test_string_of_arcs(tmp_path):
    azimuths = (0, 40, 90, 120, 200)
    shape = points_of_kind("ArcString", [on_circle(azimuth) for azimuth in azimuths])
    area = outline(tmp_path, surface(shape + centre_to(*azimuths)))
    assert farthest_m(area, [on_circle(azimuth) for azimuth in range(1, 200, 7)]) < 1.0


def test_circle_through_three_points(tmp_path):
    area = outline(
        tmp_path, surface(points_of_kind("Circle", [on_circle(azimuth) for azimuth in (10, 100, 250)]))
    )
    assert farthest_m(area, [on_circle(azimuth) for azimuth in range(0, 360, 7)]) < 1.0


def bulging(azimuths, bulge=2.0):
    """Arcs by bulge between azimuths of the circle; the normal is told so that their middles lie on it."""
    ends = [on_circle(azimuth) for azimuth in azimuths]
    more = ""
    for first, second in pairwise(azimuths):
        middle = np.array(on_circle((first + second) / 2))
        normal = (middle - (np.array(on_circle(first)) + np.array(on_circle(second))) / 2) / bulge
        more += f"<gml:bulge>{bulge!r}</gml:bulge><gml:normal>{normal[1]!s} {normal[0]!s}</gml:normal>"
    kind = "ArcByBulge" if len(azimuths) == 2 else "ArcStringByBulge"
    return points_of_kind(kind, ends, more)


@pytest.mark.parametrize("azimuths", [(30, 150), (150, 30), (0, 60, 200), (20, 260)])
def test_arcs_by_bulge(tmp_path, azimuths):
    area = outline(tmp_path, surface(bulging(azimuths) + centre_to(*azimuths)))
    between = np.linspace(azimuths[0], azimuths[-1], 40)[1:-1]
    assert farthest_m(area, [on_circle(azimuth) for azimuth in between]) < 1.0


def test_a_bulge_of_nothing_is_a_straight_line(tmp_path):
    more = "<gml:bulge>0</gml:bulge><gml:normal>1 0</gml:normal>"
    shape = points_of_kind("ArcByBulge", [(0, 50), (2, 50)], more) + lines(SQUARE[1:])
    assert outline(tmp_path, surface(shape)).bounds == (0.0, 50.0, 2.0, 51.0)


def test_a_normal_of_one_figure_is_refused(tmp_path):
    more = "<gml:bulge>0.5</gml:bulge><gml:normal>1</gml:normal>"
    shape = points_of_kind("ArcByBulge", [(0, 50), (2, 50)], more) + lines(SQUARE[1:])
    assert "normal has 1 components" in why_refused(tmp_path, surface(shape))


def test_as_many_bulges_as_arcs(tmp_path):
    more = "<gml:bulge>0.5</gml:bulge><gml:normal>1 0</gml:normal>"
    shape = points_of_kind("ArcStringByBulge", [(0, 50), (1, 50), (2, 50)], more) + lines(SQUARE[1:])
    assert "3 points, 1 bulges and 1 normals" in why_refused(tmp_path, surface(shape))


@pytest.mark.parametrize(
    ("axes", "start", "end", "unit"),
    [
        ("urn:ogc:def:crs:EPSG::4326", 20.0, 130.0, "deg"),
        ("urn:ogc:def:crs:EPSG::4326", math.radians(20.0), math.radians(130.0), "rad"),
        # Counted from the first axis toward the second: here from east, against the clock.
        (CRS84, 70.0, -40.0, "deg"),
    ],
)
def test_arcs_about_a_centre_count_from_the_first_axis(tmp_path, axes, start, end, unit):
    centre = (LON, LAT) if axes == CRS84 else (LAT, LON)
    back = [on_circle(130), (LON, LAT), on_circle(20)]
    chord = geodesics(back if axes == CRS84 else [(lat, lon) for lon, lat in back])
    area = outline(tmp_path, surface(arc_about_centre(*centre, MILES, start, end, unit) + chord, axes=axes))
    assert farthest_m(area, [on_circle(azimuth) for azimuth in range(21, 130, 4)]) < 1.0


def test_an_angle_in_another_unit_is_refused(tmp_path):
    shape = arc_about_centre(LAT, LON, MILES, 20.0, 130.0, "grad") + centre_to(20, 130)
    assert "a start angle has the unit 'GRAD'" in why_refused(tmp_path, surface(shape))


def test_curves_gone_along_backward(tmp_path):
    there = f"<gml:curveMember>{curve(lines(SQUARE[:3]))}</gml:curveMember>"
    # From the first corner by the fourth to the third, turned about.
    back = curve(lines([SQUARE[0], SQUARE[3]]) + lines([SQUARE[3], SQUARE[2]]))
    turned = (
        "<gml:curveMember><gml:OrientableCurve orientation='-'><gml:baseCurve>"
        f"{back}</gml:baseCurve></gml:OrientableCurve></gml:curveMember>"
    )
    area = outline(tmp_path, surface_of_members(there + turned))
    assert area.area == pytest.approx(2.0)
    assert area.bounds == (0.0, 50.0, 2.0, 51.0)


def test_a_border_that_is_only_referred_to_is_refused(tmp_path):
    members = (
        f"<gml:curveMember>{curve(lines(SQUARE[:3]))}</gml:curveMember>"
        "<gml:curveMember xlink:href='urn:uuid:a-border'/>"
    )
    assert "only referred to" in why_refused(tmp_path, surface_of_members(members))


@pytest.mark.parametrize("kind", ["Bezier", "BSpline", "CubicSpline", "Clothoid", "OffsetCurve", "Invented"])
def test_what_has_no_settled_course_is_refused_by_name(tmp_path, kind):
    shape = points_of_kind(kind, [(0, 50), (1, 50), (2, 50)]) + lines(SQUARE[1:])
    assert f"curves of the kind '{kind}' are not read" in why_refused(tmp_path, surface(shape))


def test_an_outline_that_does_not_come_back_is_refused(tmp_path):
    assert "away from where it began" in why_refused(tmp_path, surface(lines(SQUARE[:3])))


def test_a_circle_beside_other_curves_is_refused(tmp_path):
    shape = points_of_kind("Circle", [on_circle(azimuth) for azimuth in (10, 100, 250)]) + lines(SQUARE)
    assert "a whole circle" in why_refused(tmp_path, surface(shape))


def test_three_points_on_a_line_are_that_line(tmp_path):
    """ISO 19107, from memory: an arc whose points lie on one line is that line."""
    shape = points_of_kind("Arc", [(0, 0), (1, 0), (2, 0)]) + lines([(0, 2), (1, 1), (0, 0)])
    assert outline(tmp_path, surface(shape)).bounds == (0.0, 0.0, 2.0, 1.0)


def test_a_middle_beyond_the_ends_of_its_line_is_no_arc(tmp_path):
    shape = points_of_kind("Arc", [(0, 0), (3, 0), (2, 0)]) + lines([(0, 2), (1, 1), (0, 0)])
    assert "lie on no circle" in why_refused(tmp_path, surface(shape))
