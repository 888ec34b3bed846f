"""Curves of every kind with figures of every kind: an airspace, or a counted refusal, and soon."""

import math
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.hostile.test_more_chart_files import SOON_S, SQUARE, read
from tests.world.aixm_files import airspace, component, lines, surface, surface_of_members, write_aixm

SOME = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
KINDS = (
    *("Geodesic", "GeodesicString", "LineStringSegment", "Arc", "ArcString", "Circle", "ArcByBulge"),
    *("ArcStringByBulge", "ArcByCenterPoint", "CircleByCenterPoint", "Bezier", "OffsetCurve", "x"),
)
FIGURES = st.one_of(
    st.floats(-200, 200).map(repr),
    st.sampled_from(["0", "-0.0", "90", "-90", "180", "-180", "1e999", "nan", "1e-300", "1e300", "x", ""]),
)
UNITS = st.sampled_from(["deg", "rad", "[nmi_i]", "m", "", "FURLONG"])
CHILDREN = st.sampled_from(["bulge", "normal", "radius", "startAngle", "endAngle", "pos", "posList"])


def said(name, unit, figures):
    return f'<gml:{name} uom="{unit}">{" ".join(figures)}</gml:{name}>'


PARTS = st.builds(said, CHILDREN, UNITS, st.lists(FIGURES, max_size=7))
SEGMENTS = st.builds(
    lambda kind, parts: f"<gml:{kind}>{''.join(parts)}</gml:{kind}>",
    st.sampled_from(KINDS),
    st.lists(PARTS, max_size=6),
)


@given(segments=st.lists(SEGMENTS, min_size=1, max_size=4), whole=st.booleans())
@SOME
def test_curves_of_any_kind(tmp_path, segments, whole):
    outline = "".join(segments) + ("" if whole else lines(SQUARE))
    good = airspace(component(surface(lines(SQUARE))), ident="good")
    parts = read(write_aixm(tmp_path, airspace(component(surface(outline))), good))
    assert parts is not None
    assert sum(part.table.total for part in parts) == 2
    assert sum(len(part.reading.content.airspace) for part in parts) >= 1


@given(
    bulge=st.floats(-1e3, 1e3),
    north=st.floats(-3, 3),
    east=st.floats(-3, 3),
    end=st.tuples(st.floats(-89, 89), st.floats(-179, 179)),
)
@SOME
def test_arcs_by_bulge_of_any_size(tmp_path, bulge, north, east, end):
    shape = (
        f"<gml:ArcByBulge><gml:posList>50 0 {end[0]!r} {end[1]!r}</gml:posList>"
        f"<gml:bulge>{bulge!r}</gml:bulge><gml:normal>{north!r} {east!r}</gml:normal></gml:ArcByBulge>"
        + lines([end, (50.0, 0.0)])
    )
    parts = read(write_aixm(tmp_path, airspace(component(surface(shape)))))
    assert parts is None or sum(part.table.total for part in parts) == 1


@pytest.mark.parametrize("depth", [50, 5_000])
def test_curves_within_curves(tmp_path, depth):
    inner = f"<gml:Curve><gml:segments>{lines(SQUARE)}</gml:segments></gml:Curve>"
    for _ in range(depth // 2):
        inner = f"<gml:OrientableCurve><gml:baseCurve>{inner}</gml:baseCurve></gml:OrientableCurve>"
    path = write_aixm(
        tmp_path, airspace(component(surface_of_members(f"<gml:curveMember>{inner}</gml:curveMember>")))
    )
    started = time.process_time()
    parts = read(path)
    assert time.process_time() - started < SOON_S
    # Deeper than any chart nests the whole file is refused.
    assert (parts is None) == (depth > 200)


def test_a_string_of_very_many_arcs(tmp_path):
    turn = [2 * math.pi * number / 20_000 for number in range(20_001)]
    points = " ".join(f"{50 + math.sin(one)!r} {10 + math.cos(one)!r}" for one in turn)
    shape = f"<gml:ArcString><gml:posList>{points}</gml:posList></gml:ArcString>"
    started = time.process_time()
    (part,) = read(write_aixm(tmp_path, airspace(component(surface(shape)))))
    assert len(part.reading.content.airspace) == 1
    assert time.process_time() - started < 3 * SOON_S
