"""History and the same flight on another day, with real widgets."""

from datetime import UTC, datetime

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QUndoView

from planner.geo.window import TimeWindow
from planner.plan.edits import DeletePoint, SetName
from planner.plan.file import write_plan
from tests.desk.desk_rig import Answers, make_document, make_window, settled, small_plan

WINDOW = TimeWindow(
    datetime(2027, 6, 12, 20, 0, tzinfo=UTC), datetime(2027, 6, 12, 21, 0, tzinfo=UTC), "Pacific/Honolulu"
)


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document(), Answers())
    window.document.replace(small_plan(window=WINDOW, visibility_m=9_000.0), None)
    window.show()
    yield window
    window.document.close()


def test_every_step_is_named_and_a_click_on_one_goes_back_to_it(qtbot, desk):
    before = desk.document.plan
    desk.document.try_edit(DeletePoint(1))
    one_less = desk.document.plan
    desk.document.try_edit(SetName("Another (INVENTED)"))
    desk.menu_actions["history"].trigger()
    view = desk.doors.plans.history.findChild(QUndoView)
    names = [view.model().index(row, 0).data() for row in range(view.model().rowCount())]
    assert names == ["As opened", "Delete point 2", "Set name"]
    for row, plan in ((1, one_less), (0, before), (1, one_less)):
        at = view.visualRect(view.model().index(row, 0)).center()
        qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
        assert desk.document.plan == plan


def test_the_same_flight_becomes_a_plan_of_its_own(qtbot, desk, tmp_path):
    path = tmp_path / "first.lowline.geojson"
    write_plan(desk.document.plan, path)
    desk.document.replace(desk.document.plan, path)
    before = path.read_bytes()
    desk.menu_actions["another_day"].trigger()
    dialog = desk.doors.plans.another_day
    dialog.day.edit.clear()
    qtbot.keyClicks(dialog.day.edit, "2027-07-04")
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    plan = desk.document.plan
    assert plan.window.start_utc == datetime(2027, 7, 4, 20, 0, tzinfo=UTC)
    assert plan.visibility_m is None
    assert plan.path == small_plan().path
    assert desk.document.path is None
    assert desk.document.dirty
    assert path.read_bytes() == before
    settled(qtbot, desk.document)


def test_a_slip_keeps_the_dialog_open_and_the_plan_as_it_was(qtbot, desk):
    before = desk.document.plan
    desk.menu_actions["another_day"].trigger()
    dialog = desk.doors.plans.another_day
    dialog.day.edit.setText("someday")
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert dialog.isVisible()
    assert "someday" in dialog.error.text()
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert desk.document.plan == before


def test_a_plan_without_a_day_is_told_so(desk):
    said = []
    desk.document.message.connect(said.append)
    desk.document.replace(attrs.evolve(small_plan(), window=None), None)
    desk.menu_actions["another_day"].trigger()
    assert desk.doors.plans.another_day is None
    assert "time window" in said[-1]
