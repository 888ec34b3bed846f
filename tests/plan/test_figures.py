"""Figures on the path: laid out as said, kept through every edit of the path, read back from the file."""

import itertools
import json
import math

import attrs
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import example, given, settings
from hypothesis import strategies as st

from planner.errors import PlanError, PlanFileError
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.figure_reading import is_as_laid_out, shape_of
from planner.plan.figure_shapes import DiveShape, GapShape, OrbitShape, PassShape
from planner.plan.figures import Figure, FigureKind, new_key
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan
from tests.plan.sample_plan import FULL_PLAN
from tests.strategies import OPEN_OCEAN, figures, places, plans

AWAY = Place(-150.199, 37.8)
HIGH, LOW = AboveSeaLevel(120.0), AboveSeaLevel(30.0)
DIVE = Figure("dive-1", FigureKind.DIVE, "North face (INVENTED)", "DIVING", bail_out=Place(-150.21, 37.8))


def span_m(first: Place, second: Place) -> float:
    """Geodesic length by geographiclib, which is not the one under test (Karney 2013)."""
    return Geodesic.WGS84.Inverse(first.lat_deg, first.lon_deg, second.lat_deg, second.lon_deg)["s12"]


def azimuth_deg(first: Place, second: Place) -> float:
    return Geodesic.WGS84.Inverse(first.lat_deg, first.lon_deg, second.lat_deg, second.lon_deg)["azi1"]


def between(first: Place, second: Place) -> Place:
    """The middle, exact enough on edges of some hundred metres."""
    return Place((first.lon_deg + second.lon_deg) / 2, (first.lat_deg + second.lat_deg) / 2)


def turned_deg(first: float, second: float) -> float:
    return (second - first + 180.0) % 360.0 - 180.0


@settings(deadline=None, max_examples=60)
@given(places(OPEN_OCEAN, 400.0), figures(1.0, 900.0), figures(0.1, 5.0), st.booleans())
def test_an_orbit_is_never_nearer_than_its_radius_nor_much_farther(begin, radius_m, turns, clockwise):
    shape = OrbitShape(OPEN_OCEAN, begin, radius_m, HIGH, clockwise=clockwise, turns=turns)
    points = [point.place for point in shape.points()]
    out_m = [span_m(OPEN_OCEAN, place) for place in points]
    edges_m = [span_m(OPEN_OCEAN, between(*pair)) for pair in itertools.pairwise(points)]
    assert min(edges_m) >= radius_m * (1 - 1e-5)
    assert max(out_m) <= radius_m + max(1.0, 0.02 * radius_m) + 1e-3
    bearings = [azimuth_deg(OPEN_OCEAN, place) for place in points]
    steps = [turned_deg(*pair) for pair in itertools.pairwise(bearings)]
    assert sum(steps) == pytest.approx((360.0 if clockwise else -360.0) * turns, abs=0.5)
    if span_m(OPEN_OCEAN, begin) > 1.0:
        assert turned_deg(bearings[0], azimuth_deg(OPEN_OCEAN, begin)) == pytest.approx(0.0, abs=0.1)


@settings(deadline=None, max_examples=60)
@given(places(OPEN_OCEAN, 2_000.0), figures(0.5, 300.0), st.booleans())
def test_a_pass_is_straight_and_as_near_as_said_on_the_side_said(begin, aside_m, on_left):
    shape = PassShape(OPEN_OCEAN, begin, aside_m, LOW, on_left=on_left)
    if span_m(OPEN_OCEAN, begin) <= aside_m + 1.0:
        return
    entry, abeam, leaving = (point.place for point in shape.points())
    assert entry == begin
    assert span_m(OPEN_OCEAN, abeam) == pytest.approx(aside_m, abs=0.01)
    assert span_m(entry, abeam) == pytest.approx(span_m(abeam, leaving), rel=1e-4, abs=0.01)
    if span_m(entry, abeam) < 20.0:
        return
    ahead = azimuth_deg(entry, abeam)
    assert turned_deg(ahead, azimuth_deg(abeam, leaving)) == pytest.approx(0.0, abs=0.1)
    side = turned_deg(ahead, azimuth_deg(abeam, OPEN_OCEAN))
    assert side == pytest.approx(-90.0 if on_left else 90.0, abs=0.2)


def test_a_pass_cannot_begin_nearer_than_it_passes():
    with pytest.raises(PlanError, match="begins nearer"):
        PassShape(OPEN_OCEAN, AWAY, 200.0, LOW).points()


def test_a_gap_leads_straight_through_its_opening():
    entry, opening, leaving = (point.place for point in GapShape(OPEN_OCEAN, AWAY, LOW, 6.0).points())
    assert (entry, opening) == (AWAY, OPEN_OCEAN)
    assert span_m(entry, opening) == pytest.approx(span_m(opening, leaving), abs=0.01)
    assert turned_deg(azimuth_deg(entry, opening), azimuth_deg(opening, leaving)) == pytest.approx(
        0, abs=0.01
    )


def test_a_dive_comes_down_at_its_rate_along_its_line():
    """By hand: 90 m down while 88.07 m ahead is a line of 125.9 m; 10 m/s down takes 9 s, so 13.99 m/s."""
    shape = DiveShape(OPEN_OCEAN, AWAY, HIGH, LOW, descent_mps=10.0, drop_m=90.0, run_out_m=40.0)
    top, bottom, leaving = shape.points()
    line_m = math.hypot(span_m(OPEN_OCEAN, AWAY), 90.0)
    assert top.leg.speed_mps == pytest.approx(line_m / 9.0, rel=1e-6)
    assert (top.height, bottom.height, leaving.height) == (HIGH, LOW, LOW)
    assert span_m(bottom.place, leaving.place) == pytest.approx(40.0, abs=0.01)
    assert top.leg.shape is bottom.leg.shape is LegShape.STRAIGHT


def test_a_dive_of_unknown_depth_states_no_speed_and_one_that_climbs_is_none():
    shape = DiveShape(OPEN_OCEAN, AWAY, HIGH, AboveGround(20.0), descent_mps=10.0, run_out_m=0.0)
    assert [point.leg.speed_mps for point in shape.points()] == [None, None]
    with pytest.raises(PlanError, match="not below the top"):
        attrs.evolve(shape, drop_m=-5.0).points()


@pytest.mark.parametrize(
    ("height", "leg"), [(HIGH, LegShape.STRAIGHT), (AboveGround(9.0), LegShape.FOLLOW_GROUND)]
)
def test_heights_above_ground_follow_it_and_others_are_level(height, leg):
    for shape in (OrbitShape(OPEN_OCEAN, AWAY, 30.0, height), PassShape(OPEN_OCEAN, AWAY, 20.0, height)):
        assert {point.leg.shape for point in shape.points()} == {leg}


@pytest.mark.parametrize("metres", [math.nan, math.inf, 0.0, -3.0, 1e9])
def test_figures_that_fit_no_figure_are_refused_in_one_line(metres):
    for shape in (
        OrbitShape(OPEN_OCEAN, AWAY, metres, HIGH),
        PassShape(OPEN_OCEAN, AWAY, metres, HIGH),
        OrbitShape(OPEN_OCEAN, AWAY, 30.0, HIGH, turns=metres),
        GapShape(OPEN_OCEAN, OPEN_OCEAN, HIGH),
        DiveShape(OPEN_OCEAN, OPEN_OCEAN, HIGH, LOW),
    ):
        with pytest.raises(PlanError) as refused:
            shape.points()
        assert "\n" not in refused.value.one_line()


def laid(index: int = 1) -> Plan:
    points = DiveShape(OPEN_OCEAN, AWAY, HIGH, LOW).points()
    return edits.LayFigure(index, DIVE, points).apply(attrs.evolve(FULL_PLAN, figures=(), path=_bare_path()))


def _bare_path() -> tuple[PathPoint, ...]:
    return tuple(attrs.evolve(point, figure=None) for point in FULL_PLAN.path)


def spans(plan: Plan) -> list[tuple[str, int, int]]:
    return [(span.figure.key, span.first, span.last) for span in plan.figure_spans()]


def test_a_figure_stands_in_the_path_and_the_leg_it_was_put_into_goes_on_from_its_exit():
    plan = laid()
    assert spans(plan) == [("dive-1", 1, 3)]
    assert plan.path[3].leg == FULL_PLAN.path[0].leg
    with pytest.raises(PlanError, match="already"):
        edits.LayFigure(0, DIVE, plan.path[1:3]).apply(plan)


def test_points_put_into_a_figure_belong_to_it_and_those_beside_it_do_not():
    plan = laid()
    inside = edits.InsertPoint(2, AWAY).apply(plan)
    assert spans(inside) == [("dive-1", 1, 4)]
    assert spans(edits.InsertPoint(1, AWAY).apply(plan)) == [("dive-1", 2, 4)]
    several = edits.InsertPoints(3, _bare_path()).apply(plan)
    assert spans(several) == [("dive-1", 1, 6)]


def test_a_figure_follows_its_points_and_goes_with_its_entry_and_exit():
    plan = laid()
    back = edits.ReversePath().apply(plan)
    assert spans(back) == [("dive-1", len(plan.path) - 4, len(plan.path) - 2)]
    one_less = edits.DeletePoint(2).apply(plan)
    assert spans(one_less) == [("dive-1", 1, 2)]
    gone = edits.DeletePoint(1).apply(one_less)
    assert gone.figures == ()
    assert all(point.figure is None for point in gone.path)
    assert edits.DeletePoints((1, 2, 3)).apply(plan).figures == ()
    assert edits.ReplacePath(()).apply(plan).figures == ()


def test_points_are_made_a_figure_and_set_free_again():
    bare = attrs.evolve(FULL_PLAN, figures=(), path=_bare_path())
    made = edits.MakeFigure((0, 2), DIVE).apply(bare)
    assert spans(made) == [("dive-1", 0, 2)]
    assert {point.figure for point in made.path} == {"dive-1"}
    assert edits.DissolveFigure(0).apply(made) == bare
    with pytest.raises(PlanError, match="point 1 is of Dive"):
        edits.MakeFigure((0, 1), attrs.evolve(DIVE, key="other")).apply(made)
    with pytest.raises(PlanError, match="an entry and an exit"):
        edits.MakeFigure((1,), DIVE).apply(bare)


def test_a_change_keeps_the_key_and_a_deletion_takes_the_points():
    plan = laid()
    changed = edits.ReplaceFigure(0, Figure("x", FigureKind.GAP, call="THROUGH")).apply(plan)
    assert changed.figures == (Figure("dive-1", FigureKind.GAP, call="THROUGH"),)
    assert edits.DeleteFigure(0).apply(plan) == attrs.evolve(FULL_PLAN, figures=(), path=_bare_path())
    assert new_key(plan.figures, FigureKind.DIVE) == "dive-2"


@settings(deadline=None, max_examples=60)
@given(plans(), st.data())
def test_no_edit_of_the_path_leaves_a_figure_without_entry_and_exit(plan, data):
    for _ in range(data.draw(st.integers(1, 6))):
        count = len(plan.path)
        index = data.draw(st.integers(0, max(count - 1, 0)))
        some = tuple(sorted(data.draw(st.sets(st.integers(0, max(count - 1, 0)), max_size=3))))
        edit = data.draw(
            st.sampled_from(
                (
                    edits.InsertPoint(index, AWAY, LOW),
                    edits.DeletePoint(index),
                    edits.DeletePoints(some),
                    edits.ReversePath(),
                    edits.LayFigure(
                        index,
                        Figure(new_key(plan.figures, FigureKind.ORBIT), FigureKind.ORBIT),
                        OrbitShape(OPEN_OCEAN, AWAY, 40.0, LOW, turns=0.3).points(),
                    ),
                    edits.MakeFigure(some, Figure(new_key(plan.figures, FigureKind.PASS), FigureKind.PASS)),
                    edits.DissolveFigure(index),
                    edits.DeleteFigure(index),
                )
            )
        )
        try:
            plan = edit.apply(plan)
        except PlanError:
            continue
        # A plan refuses to be made otherwise; the spans must agree with its points.
        found = plan.figure_spans()
        assert {span.figure.key for span in found} == {one.key for one in plan.figures}
        for span in found:
            carrying = [i for i, point in enumerate(plan.path) if point.figure == span.figure.key]
            assert (span.first, span.last) == (carrying[0], carrying[-1])
            assert len(carrying) >= 2
        assert plan_from_json(plan_to_json(plan), where="text") == plan


def test_a_plan_without_figures_is_the_file_it_was():
    text = plan_to_json(attrs.evolve(FULL_PLAN, figures=(), path=_bare_path()))
    assert "figure" not in text


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda member: member["figures"].clear(), "that there is not"),
        (lambda member: member["figures"].append(member["figures"][0]), "same key"),
        (lambda member: member["figures"][0].update(kind="loop"), "dive, orbit, gap, pass"),
        (lambda member: member["figures"][0].update(speed=3), "not known"),
        (lambda member: [point.pop("figure", None) for point in member["path"]], "no entry and exit"),
    ],
)
def test_a_file_whose_figures_do_not_hold_together_is_refused_by_name(change, words):
    document = json.loads(
        plan_to_json(
            attrs.evolve(
                FULL_PLAN, figures=(attrs.evolve(FULL_PLAN.figures[0], bail_out=None, subject=None),)
            )
        )
    )
    change(document["lowline"])
    with pytest.raises(PlanFileError) as refused:
        plan_from_json(json.dumps(document), where="text")
    assert words in refused.value.one_line()


def test_a_way_out_without_its_figure_is_refused():
    document = json.loads(plan_to_json(FULL_PLAN))
    for feature in document["features"]:
        if feature["properties"]["lowline"] == "bail_out":
            feature["properties"]["number"] = 7
    with pytest.raises(PlanFileError, match="bail_out feature 7"):
        plan_from_json(json.dumps(document), where="text")


def test_a_leg_of_an_orbit_states_its_speed():
    assert {point.leg for point in OrbitShape(OPEN_OCEAN, AWAY, 40.0, LOW, speed_mps=9.0).points()} == {
        Leg(LegShape.STRAIGHT, 9.0)
    }


@settings(deadline=None, max_examples=40)
@example(travel(OPEN_OCEAN, TrueBearing(0.0), 2.0), 70.0, 1.0, 1.0, False, FigureKind.ORBIT)
@given(
    places(OPEN_OCEAN, 400.0),
    figures(5.0, 300.0),
    figures(0.1, 3.0),
    figures(0.5, 80.0),
    st.booleans(),
    st.sampled_from(list(FigureKind)),
)
def test_what_is_laid_out_is_read_back_and_lays_out_the_same_again(begin, size_m, turns, mps, flag, kind):
    away_m = span_m(OPEN_OCEAN, begin)
    if away_m < 2.0:
        return
    shape = {
        FigureKind.ORBIT: OrbitShape(OPEN_OCEAN, begin, size_m, HIGH, flag, turns, mps),
        FigureKind.DIVE: DiveShape(OPEN_OCEAN, begin, HIGH, LOW, 5.0, 90.0, size_m),
        FigureKind.GAP: GapShape(OPEN_OCEAN, begin, HIGH, mps),
        FigureKind.PASS: PassShape(OPEN_OCEAN, begin, 0.4 * away_m + 0.5, LOW, flag, mps),
    }[kind]
    points = shape.points()
    figure = Figure("a-1", kind, subject=shape.subject)
    again = shape_of(figure, points, 90.0)
    assert is_as_laid_out(again, points)
    moved = [attrs.evolve(points[0], height=AboveSeaLevel(121.0)), *points[1:]]
    assert not is_as_laid_out(shape, moved)
    speeds = [point.leg.speed_mps for point in again.points()]
    assert speeds == pytest.approx([point.leg.speed_mps for point in points])


def test_laid_out_anew_a_figure_keeps_its_place_names_and_way_on():
    dive = attrs.evolve(DIVE, key="dive-9")
    before = edits.LayFigure(1, dive, DiveShape(OPEN_OCEAN, AWAY, HIGH, LOW).points()).apply(FULL_PLAN)
    number = before.figures.index(dive)
    shape = DiveShape(OPEN_OCEAN, AWAY, HIGH, AboveSeaLevel(20.0), run_out_m=0.0)
    after = edits.RelayFigure(number, attrs.evolve(dive, call="NOW"), shape.points()).apply(before)
    (span,) = (one for one in after.figure_spans() if one.figure.key == dive.key)
    assert (span.first, span.last, span.figure.call) == (1, 2, "NOW")
    old = next(one for one in before.figure_spans() if one.figure.key == dive.key)
    assert after.path[span.last].leg == before.path[old.last].leg
    assert after.path[: span.first] == before.path[: old.first]
    assert after.path[span.last + 1 :] == before.path[old.last + 1 :]
    with pytest.raises(PlanError, match="fewer than two"):
        edits.RelayFigure(number, dive, shape.points()[:1]).apply(before)
