"""Edits: each changes what it says, nothing else, and refuses what doesn't fit."""

from datetime import UTC, datetime
from typing import Any

import attrs
import pytest
from hypothesis import given, settings

from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan import edits
from planner.plan.crew import CrewMember, Role
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.records import NoticesChecked, PermissionKind, PermissionRecord
from tests.plan.sample_plan import AIRCRAFT, FULL_PLAN, PATH, PERMISSIONS
from tests.strategies import plans

ELSEWHERE = Place(-150.197, 37.803)
CORNERS = tuple(Place(lon, lat) for lon, lat in ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)))
SQUARE = edits.ReplaceArea(CORNERS, AboveGround(50.0)).apply(Plan())


def changed_parts(before: Plan, after: Plan) -> set[str]:
    return {f.name for f in attrs.fields(Plan) if getattr(before, f.name) != getattr(after, f.name)}


def people(plan: Plan) -> list[str]:
    return [member.key for member in plan.crew]


# --- path


def test_the_first_point_needs_a_height_and_the_next_ones_take_it_over():
    with pytest.raises(PlanError, match="no height"):
        edits.AppendPoint(ELSEWHERE).apply(Plan())
    plan = edits.AppendPoint(ELSEWHERE, AboveLaunch(20.0), Leg(LegShape.FOLLOW_GROUND, 9.0)).apply(Plan())
    plan = edits.AppendPoint(CORNERS[0]).apply(plan)
    assert plan.path[1] == PathPoint(CORNERS[0], AboveLaunch(20.0), Leg(LegShape.FOLLOW_GROUND, 9.0))


def test_an_inserted_point_splits_its_leg_into_two_alike():
    plan = edits.InsertPoint(1, ELSEWHERE).apply(FULL_PLAN)
    assert plan.path == (PATH[0], PathPoint(ELSEWHERE, PATH[0].height, PATH[0].leg), *PATH[1:])
    assert changed_parts(FULL_PLAN, plan) == {"path"}


def test_a_point_before_the_first_is_modelled_on_it():
    plan = edits.InsertPoint(0, ELSEWHERE).apply(FULL_PLAN)
    assert plan.path == (PathPoint(ELSEWHERE, PATH[0].height, PATH[0].leg), *PATH)


def test_a_given_height_wins():
    plan = edits.InsertPoint(3, ELSEWHERE, AboveGround(0.0)).apply(FULL_PLAN)
    assert plan.path[3].height == AboveGround(0.0)


@pytest.mark.parametrize("index", [0, 1, 2])
def test_a_moved_point_keeps_figure_and_kind_of_its_height(index: int):
    plan = edits.MovePoint(index, ELSEWHERE).apply(FULL_PLAN)
    assert plan.path[index] == attrs.evolve(PATH[index], place=ELSEWHERE)
    assert [p for i, p in enumerate(plan.path) if i != index] == [p for i, p in enumerate(PATH) if i != index]


def test_delete_a_point():
    # With its entry the figure goes, too.
    assert edits.DeletePoint(1).apply(FULL_PLAN).path == (PATH[0], attrs.evolve(PATH[2], figure=None))


def test_heights_of_one_or_several_points():
    height = AboveSeaLevel(99.0)
    assert [p.height for p in edits.SetPointHeight(1, height).apply(FULL_PLAN).path] == [
        PATH[0].height,
        height,
        PATH[2].height,
    ]
    assert [p.height for p in edits.SetPointHeight([2, 0], height).apply(FULL_PLAN).path] == [
        height,
        PATH[1].height,
        height,
    ]


def test_shape_and_speed_of_legs():
    plan = edits.SetLegShape([0, 1], LegShape.FOLLOW_GROUND).apply(FULL_PLAN)
    plan = edits.SetLegSpeed(1, 3.0).apply(plan)
    assert [point.leg for point in plan.path] == [
        Leg(LegShape.FOLLOW_GROUND, 14.0),
        Leg(LegShape.FOLLOW_GROUND, 3.0),
        PATH[2].leg,
    ]
    assert edits.SetLegSpeed(0, None).apply(plan).path[0].leg.speed_mps is None


def test_a_reversed_path_keeps_each_leg_between_its_two_places():
    def legs_by_ends(plan: Plan) -> dict[Any, Leg]:
        ends = zip(plan.path, plan.path[1:], strict=False)
        return {frozenset({start.place, end.place}): start.leg for start, end in ends}

    plan = edits.ReversePath().apply(FULL_PLAN)
    assert [point.place for point in plan.path] == [point.place for point in reversed(PATH)]
    assert [point.height for point in plan.path] == [point.height for point in reversed(PATH)]
    assert legs_by_ends(plan) == legs_by_ends(FULL_PLAN)


@settings(max_examples=50, deadline=None)
@given(plans())
def test_reversing_twice_changes_nothing(plan: Plan):
    assert edits.ReversePath().apply(edits.ReversePath().apply(plan)) == plan


def test_replace_and_clear_the_path():
    assert edits.ReplacePath(PATH[:1]).apply(FULL_PLAN).path == PATH[:1]
    assert edits.ReplacePath(()).apply(FULL_PLAN).path == ()


# --- area


def test_corners_move_come_and_go():
    outside = Place(2.0, 0.5)
    plan = edits.MoveAreaCorner(1, outside).apply(SQUARE)
    assert plan.area.ring == (CORNERS[0], outside, *CORNERS[2:])
    plan = edits.InsertAreaCorner(2, outside).apply(SQUARE)
    assert plan.area.ring == (*CORNERS[:2], outside, *CORNERS[2:])
    plan = edits.DeleteAreaCorner(2).apply(plan)
    assert plan == SQUARE
    triangle = edits.DeleteAreaCorner(0).apply(SQUARE)
    assert triangle.area.ring == CORNERS[1:]
    assert triangle.area.top == AboveGround(50.0)
    assert edits.DeleteAreaCorner(0).apply(triangle).area is None


def test_the_top_of_the_area():
    assert edits.SetAreaTop(AboveSeaLevel(90.0)).apply(SQUARE).area.top == AboveSeaLevel(90.0)
    assert edits.SetAreaTop(None).apply(SQUARE).area.top is None
    assert edits.RemoveArea().apply(SQUARE) == Plan()


# --- launch, landing, crew, records, circumstances


@pytest.mark.parametrize(("edit", "spot"), [(edits.SetLaunch, "launch"), (edits.SetLanding, "landing")])
def test_launch_and_landing(edit: Any, spot: str):
    plan = edit(ELSEWHERE).apply(Plan())
    assert getattr(plan, spot) == GroundSpot(ELSEWHERE, LandStatus.UNSETTLED)
    assert changed_parts(Plan(), plan) == {spot}
    plan = edits.SetLand(spot, LandStatus.PERMITTED, "an invented farmer").apply(plan)
    plan = edit(CORNERS[0]).apply(plan)
    assert getattr(plan, spot) == GroundSpot(CORNERS[0], LandStatus.PERMITTED, "an invented farmer")
    assert edit(None).apply(plan) == Plan()


def test_where_it_returns_to_by_itself():
    plan = edits.SetReturnPoint(ELSEWHERE).apply(Plan())
    assert changed_parts(Plan(), plan) == {"return_point"}
    assert edits.SetReturnPoint(None).apply(plan) == Plan()


def test_crew():
    joined = edits.AddCrew(CrewMember("second", Role.OBSERVER)).apply(FULL_PLAN)
    assert people(joined) == ["pilot", "observer", "guest", "second"]
    assert edits.RemoveCrew("second").apply(joined) == FULL_PLAN
    moved = edits.MoveCrew("guest", ELSEWHERE).apply(FULL_PLAN)
    assert moved.crew[2].place == ELSEWHERE
    assert edits.MoveCrew("guest", None).apply(moved) == FULL_PLAN
    other = edits.ReplaceCrew("guest", CrewMember("helper", Role.PERSON_AT_CONTROLS)).apply(FULL_PLAN)
    assert people(other) == ["pilot", "observer", "helper"]


def test_permissions():
    record = PermissionRecord("INVENTED-9", PermissionKind.AGENCY, "Invented range")
    plan = edits.RecordPermission(record).apply(FULL_PLAN)
    assert plan.permissions == (*PERMISSIONS, record)
    assert edits.RemovePermission(2).apply(plan) == FULL_PLAN
    assert edits.RemovePermission(0).apply(FULL_PLAN).permissions == PERMISSIONS[1:]


def test_structures():
    plan = edits.ConfirmStructure("mast-9", standing=True).apply(FULL_PLAN)
    assert plan.structures_standing == {"mast-1", "tower-2", "mast-9"}
    assert edits.ConfirmStructure("mast-9", standing=False).apply(plan) == FULL_PLAN
    assert edits.ConfirmStructure("unknown", standing=False).apply(FULL_PLAN) == FULL_PLAN


WINDOW = TimeWindow(datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 1, 2, tzinfo=UTC))
NOTICES = NoticesChecked(datetime(2026, 1, 1, tzinfo=UTC), "Pilot (INVENTED)")


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (edits.SetName("ridge"), {"name": "ridge"}),
        (
            edits.SetPurpose(Purpose.RECREATIONAL, "club rules"),
            {"purpose": Purpose.RECREATIONAL, "guidelines": "club rules"},
        ),
        (edits.SetAircraft(AIRCRAFT), {"aircraft": AIRCRAFT}),
        (edits.SetWindow(WINDOW), {"window": WINDOW}),
        (edits.SetNotices(NOTICES), {"notices": NOTICES}),
        (edits.SetChartSets(["a", "b"]), {"chart_sets": ("a", "b")}),
    ],
)
def test_edits_that_set_one_thing(edit: edits.Edit, expected: dict[str, Any]):
    assert edit.apply(Plan()) == attrs.evolve(Plan(), **expected)


# --- refusals and titles


@pytest.mark.parametrize(
    ("edit", "plan", "message"),
    [
        (edits.InsertPoint(4, ELSEWHERE), FULL_PLAN, "no point 5"),
        (edits.InsertPoint(-1, ELSEWHERE), FULL_PLAN, "no point 0"),
        (edits.MovePoint(3, ELSEWHERE), FULL_PLAN, "no point 4, the plan has 3"),
        (edits.MovePoint(-1, ELSEWHERE), FULL_PLAN, "no point 0"),
        (edits.DeletePoint(0), Plan(), "no point 1"),
        (edits.SetPointHeight([0, 3], AboveGround(1.0)), FULL_PLAN, "no point 4"),
        (edits.SetLegShape(2, LegShape.STRAIGHT), FULL_PLAN, "no leg 3, the plan has 2"),
        (edits.SetLegSpeed(0, 1.0), Plan(), "no leg 1, the plan has 0"),
        (edits.SetLegSpeed(0, -1.0), FULL_PLAN, "not from 0.1 to 150 m/s"),
        (edits.ReplaceArea(CORNERS[:2]), FULL_PLAN, "fewer than three corners"),
        (edits.ReplaceArea((CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3])), FULL_PLAN, "cross each other"),
        (edits.MoveAreaCorner(0, Place(2.0, 0.9)), SQUARE, "cross each other"),
        (edits.InsertAreaCorner(1, Place(0.5, 1.5)), SQUARE, "cross each other"),
        (edits.MoveAreaCorner(4, ELSEWHERE), SQUARE, "no corner 5, the plan has 4"),
        (edits.MoveAreaCorner(0, ELSEWHERE), Plan(), "no flying area"),
        (edits.DeleteAreaCorner(0), Plan(), "no flying area"),
        (edits.DeleteAreaCorner(4), SQUARE, "no corner 5"),
        (edits.SetAreaTop(None), Plan(), "no flying area"),
        (edits.SetLand("launch", LandStatus.OWN), Plan(), "no launch point"),
        (edits.AddCrew(CrewMember("pilot", Role.OBSERVER)), FULL_PLAN, "same key"),
        (edits.ReplaceCrew("guest", CrewMember("pilot", Role.OBSERVER)), FULL_PLAN, "same key"),
        (edits.RemoveCrew("nobody"), FULL_PLAN, "nobody in the crew has the key 'nobody'"),
        (edits.MoveCrew("nobody", ELSEWHERE), FULL_PLAN, "nobody in the crew"),
        (edits.RecordPermission(PERMISSIONS[0]), FULL_PLAN, "on record already"),
        (edits.RemovePermission(2), FULL_PLAN, "no permission 3, the plan has 2"),
        (edits.ReplacePermission(2, PERMISSIONS[0]), FULL_PLAN, "no permission 3, the plan has 2"),
        (edits.ReplacePermission(0, PERMISSIONS[1]), FULL_PLAN, "on record already"),
    ],
)
def test_an_edit_that_does_not_fit_is_refused(edit: edits.Edit, plan: Plan, message: str):
    with pytest.raises(PlanError, match=message):
        edit.apply(plan)


def test_titles_count_from_one_and_name_many_by_number():
    height = AboveGround(1.0)
    assert edits.MovePoint(2, ELSEWHERE).title == "Move point 3"
    assert edits.SetPointHeight(0, height).title == "Set height of point 1"
    assert edits.SetPointHeight((3, 0), height).title == "Set height of points 1, 4"
    assert edits.SetPointHeight(range(9), height).title == "Set height of 9 points"
    assert edits.RecordPermission(PERMISSIONS[1]).title == "Record waiver"


def test_only_edits_of_one_thing_that_is_dragged_or_typed_merge():
    assert edits.MovePoint(1, ELSEWHERE).merge_key == edits.MovePoint(1, CORNERS[0]).merge_key
    keys = [
        edits.MovePoint(1, ELSEWHERE).merge_key,
        edits.MovePoint(2, ELSEWHERE).merge_key,
        edits.MoveAreaCorner(1, ELSEWHERE).merge_key,
        edits.SetPointHeight(1, AboveGround(1.0)).merge_key,
        edits.SetLegSpeed(1, 1.0).merge_key,
        edits.SetLaunch(ELSEWHERE).merge_key,
        edits.SetLanding(ELSEWHERE).merge_key,
        edits.MoveCrew("pilot", ELSEWHERE).merge_key,
        edits.SetName("x").merge_key,
        edits.SetAreaTop(AboveGround(1.0)).merge_key,
    ]
    assert len(set(keys)) == len(keys)
    for lone in (edits.DeletePoint(1), edits.SetLaunch(None), edits.ReversePath(), edits.MoveCrew("x", None)):
        assert lone.merge_key is None


@pytest.mark.parametrize("name", [name for name in edits.__all__ if name != "Edit"])
def test_every_edit_is_a_frozen_value_with_a_title(name: str):
    kind = getattr(edits, name)
    assert attrs.has(kind)
    with pytest.raises(attrs.exceptions.FrozenInstanceError):
        kind.__new__(kind).anything = 1
    assert isinstance(kind.title, property)
    assert isinstance(kind.merge_key, property)
