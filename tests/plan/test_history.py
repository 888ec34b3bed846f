"""Undo and redo: exactly back, exactly forth, drags as one step."""

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.geometry import LegShape
from planner.plan.ground import LandStatus
from planner.plan.history import History
from planner.plan.model import Plan, Purpose
from tests.plan.sample_plan import FULL_PLAN
from tests.strategies import (
    OPEN_OCEAN,
    aircraft,
    crew_members,
    heights,
    notices,
    path_points,
    permission_records,
    places,
    plans,
    rings,
    texts,
    windows,
)

INDEX = st.integers(0, 5)
NEARBY = places(OPEN_OCEAN)
KEYS = st.sampled_from(["pilot", "observer", "guest"])
MEMBERS = st.builds(attrs.evolve, crew_members(), key=KEYS)

ANY_EDIT = st.one_of(
    st.builds(edits.AppendPoint, NEARBY, st.none() | heights()),
    st.builds(edits.InsertPoint, INDEX, NEARBY),
    st.builds(edits.MovePoint, INDEX, NEARBY),
    st.builds(edits.DeletePoint, INDEX),
    st.builds(edits.SetPointHeight, st.sets(INDEX, min_size=1), heights()),
    st.builds(edits.SetLegShape, INDEX, st.sampled_from(LegShape)),
    st.builds(edits.SetLegSpeed, INDEX, st.none() | st.floats(1.0, 40.0)),
    st.builds(edits.ReversePath),
    st.builds(edits.ReplacePath, st.lists(path_points(), max_size=4)),
    st.builds(edits.ReplaceArea, rings(), st.none() | heights()),
    st.builds(edits.RemoveArea),
    st.builds(edits.MoveAreaCorner, INDEX, NEARBY),
    st.builds(edits.InsertAreaCorner, INDEX, NEARBY),
    st.builds(edits.DeleteAreaCorner, INDEX),
    st.builds(edits.SetAreaTop, st.none() | heights()),
    st.builds(edits.SetLaunch, st.none() | NEARBY),
    st.builds(edits.SetLanding, st.none() | NEARBY),
    st.builds(edits.SetReturnPoint, st.none() | NEARBY),
    st.builds(edits.SetLand, st.sampled_from(["launch", "landing"]), st.sampled_from(LandStatus), texts()),
    st.builds(edits.AddCrew, MEMBERS),
    st.builds(edits.RemoveCrew, KEYS),
    st.builds(edits.MoveCrew, KEYS, st.none() | NEARBY),
    st.builds(edits.ReplaceCrew, KEYS, MEMBERS),
    st.builds(edits.SetPurpose, st.sampled_from(Purpose), texts()),
    st.builds(edits.SetAircraft, st.none() | aircraft()),
    st.builds(edits.SetWindow, st.none() | windows()),
    st.builds(edits.SetName, texts()),
    st.builds(edits.SetNotices, st.none() | notices()),
    st.builds(edits.RecordPermission, permission_records()),
    st.builds(edits.RemovePermission, INDEX),
    st.builds(edits.ReplacePermission, INDEX, permission_records()),
    st.builds(edits.ConfirmStructure, texts(), st.booleans()),
    st.builds(edits.SetChartSets, st.lists(texts(), max_size=3)),
)


def at(metres: float) -> edits.SetPointHeight:
    return edits.SetPointHeight(0, AboveGround(metres))


@settings(max_examples=150, deadline=None)
@given(plans() | st.just(FULL_PLAN), st.lists(ANY_EDIT, max_size=12))
def test_undoing_all_gives_the_first_plan_and_redoing_all_the_last(first: Plan, many: list[edits.Edit]):
    history = History(first)
    last = first
    for edit in many:
        try:
            last = edit.apply(last)
        except PlanError:
            with pytest.raises(PlanError):
                history.push(edit)
        else:
            assert history.push(edit) == last
    assert history.plan == last
    plans_on_the_way_back = []
    while history.can_undo:
        plans_on_the_way_back.append(history.plan)
        history.undo()
    assert history.plan == first
    while history.can_redo:
        assert history.redo() == plans_on_the_way_back.pop()
    assert plans_on_the_way_back == []
    assert history.plan == last


def test_a_drag_is_one_step_named_once():
    history = History(FULL_PLAN)
    for metres in (13.0, 14.0, 15.0):
        history.push(at(metres))
    assert history.undo_titles == ("Set height of point 1",)
    assert history.plan.path[0].height == AboveGround(15.0)
    assert history.undo() == FULL_PLAN
    assert history.redo_titles == ("Set height of point 1",)
    assert history.redo().path[0].height == AboveGround(15.0)


def test_another_thing_between_ends_a_drag():
    history = History(FULL_PLAN)
    for edit in (at(13.0), edits.SetName("other"), at(14.0)):
        history.push(edit)
    assert len(history.undo_titles) == 3


def test_the_end_of_a_gesture_and_undo_end_a_merge():
    history = History(FULL_PLAN)
    history.push(at(13.0))
    history.end_gesture()
    history.push(at(14.0))
    assert len(history.undo_titles) == 2
    history.undo()
    history.push(at(15.0))
    assert len(history.undo_titles) == 2
    assert history.undo().path[0].height == AboveGround(13.0)


def test_a_drag_back_to_where_it_began_leaves_no_step():
    history = History(FULL_PLAN)
    history.push(at(13.0))
    history.push(at(12.0))
    assert history.plan == FULL_PLAN
    assert not history.can_undo


def test_an_edit_that_changes_nothing_leaves_no_step_and_keeps_what_can_be_redone():
    history = History(FULL_PLAN)
    history.push(at(13.0))
    history.undo()
    history.push(edits.SetName(FULL_PLAN.name))
    assert not history.can_undo
    assert history.can_redo


def test_a_new_edit_forgets_what_was_undone():
    history = History(FULL_PLAN)
    history.push(at(13.0))
    history.undo()
    history.push(edits.SetName("other"))
    assert not history.can_redo


def test_a_refused_edit_changes_nothing():
    history = History(FULL_PLAN)
    history.push(at(13.0))
    before = history.plan
    with pytest.raises(PlanError):
        history.push(edits.MovePoint(99, Place(0.0, 0.0)))
    assert history.plan is before
    assert history.undo_titles == ("Set height of point 1",)


def test_nothing_to_undo_or_redo_is_said():
    history = History(Plan())
    with pytest.raises(PlanError, match="nothing to undo"):
        history.undo()
    with pytest.raises(PlanError, match="nothing to redo"):
        history.redo()
