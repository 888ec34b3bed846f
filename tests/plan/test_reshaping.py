"""Several points of the path at once: where they go, and that nothing else does."""

import math

import attrs
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan

PLACES = (Place(-150.20, 37.80), Place(-150.19, 37.81), Place(-150.17, 37.80), Place(-150.18, 37.79))
PLAN = Plan(
    path=(
        PathPoint(PLACES[0], AboveGround(30.0), Leg(LegShape.FOLLOW_GROUND, 9.0), "in"),
        PathPoint(PLACES[1], AboveSeaLevel(300.0)),
        PathPoint(PLACES[2], AboveGround(40.0)),
        PathPoint(PLACES[3], AboveGround(50.0)),
    )
)
ALL = (0, 1, 2, 3)


def span_m(first: Place, second: Place) -> float:
    """Geodesic length by geographiclib, which is not the one under test (Karney 2013)."""
    return Geodesic.WGS84.Inverse(first.lat_deg, first.lon_deg, second.lat_deg, second.lon_deg)["s12"]


def azimuth_deg(first: Place, second: Place) -> float:
    return Geodesic.WGS84.Inverse(first.lat_deg, first.lon_deg, second.lat_deg, second.lon_deg)["azi1"]


def places(plan: Plan) -> list[Place]:
    return [point.place for point in plan.path]


def test_a_turn_is_clockwise_and_keeps_distances():
    turned = places(edits.ReshapePath(ALL, turn_deg=90.0).apply(PLAN))
    for one in range(3):
        assert span_m(turned[one], turned[one + 1]) == pytest.approx(span_m(*PLACES[one : one + 2]), rel=1e-6)
        change = azimuth_deg(turned[one], turned[one + 1]) - azimuth_deg(*PLACES[one : one + 2])
        assert (change + 180.0) % 360.0 - 180.0 == pytest.approx(90.0, abs=0.02)


def test_a_scale_grows_distances_and_a_move_goes_that_way():
    doubled = places(edits.ReshapePath(ALL, scale=2.0).apply(PLAN))
    assert span_m(doubled[0], doubled[2]) == pytest.approx(2.0 * span_m(PLACES[0], PLACES[2]), rel=1e-6)
    moved = places(edits.ReshapePath(ALL, east_m=-300.0, north_m=400.0).apply(PLAN))
    for before, after in zip(PLACES, moved, strict=True):
        assert span_m(before, after) == pytest.approx(500.0, abs=0.01)
        assert azimuth_deg(before, after) == pytest.approx(math.degrees(math.atan2(-300.0, 400.0)), abs=0.02)


def test_only_the_chosen_points_move_and_each_height_keeps_its_kind():
    after = edits.ReshapePath((1, 2), east_m=10.0, up_m=5.0).apply(PLAN)
    assert after.path[0] == PLAN.path[0]
    assert after.path[3] == PLAN.path[3]
    assert after.path[1].height == AboveSeaLevel(305.0)
    assert after.path[2].height == AboveGround(45.0)
    assert after.path[1].leg == PLAN.path[1].leg


@settings(max_examples=60, deadline=None)
@given(
    st.floats(-2_000, 2_000),
    st.floats(-2_000, 2_000),
    st.floats(-360, 360),
    st.floats(0.2, 5),
    st.floats(-20, 20),
)
def test_the_way_back_leads_back(east, north, turn, scale, up):
    there = edits.ReshapePath(ALL, turn_deg=turn, scale=scale, up_m=up).apply(PLAN)
    back = edits.ReshapePath(ALL, scale=1.0 / scale, up_m=-up).apply(there)
    assert span_m(back.path[0].place, back.path[2].place) == pytest.approx(
        span_m(PLACES[0], PLACES[2]), rel=1e-6
    )
    moved = edits.ReshapePath(ALL, east_m=east, north_m=north).apply(PLAN)
    home = edits.ReshapePath(ALL, east_m=-east, north_m=-north).apply(moved)
    # North turns by some 0.3 m a kilometre moved and a kilometre aside, at 38 degrees.
    assert all(span_m(a, b) < 2.0 for a, b in zip(PLACES, places(home), strict=True))


def test_raising_alone_leaves_places_to_the_last_digit():
    assert places(edits.ReshapePath(ALL, up_m=3.0).apply(PLAN)) == list(PLACES)


@pytest.mark.parametrize(
    "figures",
    [
        {"east_m": math.nan},
        {"scale": 0.0},
        {"scale": -1.0},
        {"north_m": 1e6},
        {"up_m": math.inf},
        {"scale": 1e3},
    ],
)
def test_figures_that_make_no_sense_are_refused(figures):
    with pytest.raises(PlanError):
        edits.ReshapePath(ALL, **figures)


def test_no_point_and_a_point_that_is_not_there_are_refused():
    with pytest.raises(PlanError):
        edits.ReshapePath((), east_m=1.0).apply(PLAN)
    with pytest.raises(PlanError):
        edits.ReshapePath((4,), east_m=1.0).apply(PLAN)
    with pytest.raises(PlanError):
        edits.ReshapePath((0,), up_m=-5_000.0).apply(PLAN)


def test_points_are_put_in_and_taken_out():
    more = (
        PathPoint(Place(-150.0, 37.7), AboveGround(1.0)),
        PathPoint(Place(-150.1, 37.7), AboveGround(2.0)),
    )
    plan = edits.InsertPoints(2, more).apply(PLAN)
    assert plan.path == (*PLAN.path[:2], *more, *PLAN.path[2:])
    assert edits.DeletePoints((2, 3)).apply(plan) == PLAN
    assert edits.DeletePoints(ALL).apply(PLAN) == attrs.evolve(PLAN, path=())
    with pytest.raises(PlanError):
        edits.DeletePoints((0, 9)).apply(PLAN)


def test_several_points_become_one_in_their_middle():
    merged = edits.MergePoints((2, 3)).apply(PLAN)
    assert len(merged.path) == 3
    assert merged.path[2].height == AboveGround(45.0)
    assert merged.path[2].leg == PLAN.path[3].leg
    halves = [span_m(merged.path[2].place, PLACES[index]) for index in (2, 3)]
    assert halves[0] == pytest.approx(halves[1], rel=1e-6)
    assert sum(halves) == pytest.approx(span_m(*PLACES[2:4]), rel=1e-6)
    with pytest.raises(PlanError, match="count from different things"):
        edits.MergePoints((0, 2)).apply(PLAN)


@given(st.sets(st.integers(0, 3), min_size=2))
def test_a_part_turned_twice_is_as_it_was_and_all_of_it_is_the_path_reversed(chosen):
    turn = edits.ReversePoints(tuple(chosen))
    once = turn.apply(PLAN)
    assert turn.apply(once) == PLAN
    first, last = min(chosen), max(chosen)
    assert places(once)[first : last + 1] == places(PLAN)[first : last + 1][::-1]
    assert once.path[:first] == PLAN.path[:first]
    assert once.path[last + 1 :] == PLAN.path[last + 1 :]
    if len(range(first, last + 1)) == len(PLAN.path):
        assert once == edits.ReversePath().apply(PLAN)


def test_points_are_brought_to_one_height_and_only_legs_between_two_of_them_change():
    height = AboveSeaLevel(222.0)
    snapped = edits.SnapPoints((0, 1, 3), height, LegShape.STRAIGHT).apply(PLAN)
    assert [point.height for point in snapped.path] == [height, height, PLAN.path[2].height, height]
    shapes = [point.leg.shape for point in snapped.path]
    assert shapes == [LegShape.STRAIGHT, *(point.leg.shape for point in PLAN.path[1:])]
    assert snapped.path[0].leg.speed_mps == 9.0
    assert snapped.path[0].name == "in"


@pytest.mark.parametrize("edit", [edits.MergePoints, edits.ReversePoints])
def test_one_point_is_no_part(edit):
    for indices in ((), (1,)):
        with pytest.raises(PlanError, match="two points or more"):
            edit(indices).apply(PLAN)
    with pytest.raises(PlanError, match="no point 9"):
        edit((0, 8)).apply(PLAN)


def test_a_point_put_elsewhere_keeps_whatever_else_it_says():
    """However many fields a point has: `attrs.evolve`, which knows them all, says the same."""
    full = PathPoint(
        Place(-150.2, 37.8), AboveGround(12.0), Leg(LegShape.FOLLOW_GROUND, 9.0), "gap", "dive-1"
    )
    assert [one.name for one in attrs.fields(PathPoint) if getattr(full, one.name) == one.default] == []
    there = {"place": Place(-150.3, 37.9), "height": AboveSeaLevel(300.0)}
    assert full.put(**there) == attrs.evolve(full, **there)
