"""Legs cut, points merged, parts turned round and levelled: by menu and key, each one step of undoing."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.action_table import ACTIONS
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.edits.shape import DeletePoints
from planner.plan.geometry import LegShape
from tests.desk.desk_rig import make_document, make_window, settled
from tests.desk.test_several_points import choose
from tests.worlds import GROUND_M, plan, points, slope, terrain, world

START = points([(-200, 0, 20.0), (0, 80, 30.0), (200, 0, 40.0)])
KEYS = {
    "choose_all": (Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier),
    "split": (Qt.Key.Key_I, Qt.KeyboardModifier.ControlModifier),
    "merge": (Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier),
    "reverse": (Qt.Key.Key_U, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier),
    "level": (Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier),
    "snap_ground": (Qt.Key.Key_K, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier),
}


@pytest.fixture
def desk(qtbot):
    charts = world(terrain=terrain(slope(0.1)))
    document = make_document(lambda _plan: charts)
    document.replace(plan(path=START), None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.side.go_to("points")
    window.show()
    qtbot.waitExposed(window)
    yield window
    document.close()


@pytest.fixture
def said(desk):
    lines = []
    desk.document.message.connect(lines.append)
    return lines


def press(desk, action):
    """Press the action's own key, as its menu shows it."""
    key, modifiers = KEYS[action]
    desk.activateWindow()
    QTest.keyClick(desk, key, modifiers)


def undone(desk):
    desk.document.undo_stack.undo()
    assert desk.document.plan.path == START
    assert not desk.document.undo_stack.canUndo()
    return True


def test_the_keys_pressed_here_are_those_of_the_menu():
    shown = {spec.key: spec.shortcuts[0] for spec in ACTIONS if spec.key in KEYS}
    assert shown == {
        "choose_all": "Ctrl+A",
        "split": "Ctrl+I",
        "merge": "Ctrl+J",
        "reverse": "Ctrl+Shift+U",
        "level": "Ctrl+Shift+L",
        "snap_ground": "Ctrl+Shift+K",
    }


def test_a_leg_is_cut_where_the_marker_is(desk):
    desk.profile_view.panel.set_marker(100.0)
    press(desk, "split")
    path = desk.document.plan.path
    track = desk.document.assessment.track
    assert len(path) == 4
    assert float(track.distance_m[track.point_sample[1]]) == pytest.approx(100.0, abs=0.1)
    assert undone(desk)


def test_without_a_marker_the_chosen_points_leg_is_cut_in_its_middle(desk, said):
    press(desk, "split")
    assert "Point at the path" in said[-1]
    choose(desk, 1)
    press(desk, "split")
    path = desk.document.plan.path
    assert path[2].place.lon_deg == pytest.approx(
        (START[1].place.lon_deg + START[2].place.lon_deg) / 2, abs=1e-7
    )
    assert undone(desk)


@pytest.mark.parametrize(("point", "away_m", "leg"), [(0, 0.0, 0), (1, -2.0, 1), (1, 2.0, 1), (2, -1.0, 1)])
def test_where_the_marker_lies_on_a_point_its_leg_is_cut_in_the_middle(desk, point, away_m, leg):
    """A click on a point leaves the marker a metre or two beside it, and the choice may arrive later."""
    track = desk.document.assessment.track
    ends_m = track.distance_m[track.point_sample]
    desk.profile_view.panel.set_marker(float(ends_m[point]) + away_m)
    press(desk, "split")
    new = desk.document.plan.path[leg + 1]
    assert new.place.lon_deg == pytest.approx(
        (START[leg].place.lon_deg + START[leg + 1].place.lon_deg) / 2, abs=1e-7
    )
    assert undone(desk)


def test_all_points_are_chosen_by_one_key(desk, said):
    press(desk, "choose_all")
    assert desk.side.points.chosen_rows == tuple(range(len(START)))
    desk.document.try_edit(DeletePoints(tuple(range(len(START)))))
    press(desk, "choose_all")
    assert "no path yet" in said[-1]


def test_chosen_points_are_merged(desk, said):
    choose(desk, 1)
    press(desk, "merge")
    assert "two points or more" in said[-1]
    choose(desk, 1, 2)
    press(desk, "merge")
    assert [point.height for point in desk.document.plan.path] == [AboveGround(20.0), AboveGround(35.0)]
    assert undone(desk)


def test_the_path_or_a_part_of_it_is_turned_round(desk):
    press(desk, "reverse")
    assert [point.place for point in desk.document.plan.path] == [point.place for point in START[::-1]]
    assert undone(desk)
    choose(desk, 0, 1)
    press(desk, "reverse")
    assert [point.place for point in desk.document.plan.path] == [START[k].place for k in (1, 0, 2)]
    assert undone(desk)


def test_points_are_levelled_with_the_first(desk):
    """The ground rises by 0.1 to the east: 200 m west of the middle it lies 20 m lower."""
    press(desk, "level")
    heights = {point.height for point in desk.document.plan.path}
    assert len(heights) == 1
    (height,) = heights
    assert isinstance(height, AboveSeaLevel)
    assert height.m == pytest.approx(GROUND_M - 20.0 + 20.0, abs=0.6)
    track = desk.document.assessment.track
    assert track.planned_amsl_m.max() - track.planned_amsl_m.min() < 1e-6
    assert undone(desk)


def test_points_follow_the_ground_like_the_first(desk):
    choose(desk, 1, 2)
    press(desk, "snap_ground")
    path = desk.document.plan.path
    assert [point.height.m for point in path] == [20.0, 30.0, 30.0]
    assert path[1].leg.shape is LegShape.FOLLOW_GROUND
    assert path[0].leg.shape is START[0].leg.shape
    assert undone(desk)
