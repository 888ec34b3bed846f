"""What menus and the list of actions lead to besides tools: earlier plans, demo flights, libraries."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.action_table import ON_STRIP, TOOLS
from planner.desk.figure_guide import TOOL_GUIDE
from planner.locate import demo_missions_dir
from planner.plan.file import write_plan
from planner.plan.records import PermissionKind, PermissionRecord
from tests.desk.desk_rig import make_document, make_window, settled, small_plan
from tests.plan.sample_plan import AIRCRAFT


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document())
    window.document.replace(small_plan(), None)
    window.show()
    yield window
    window.doors.close()
    window.document.close()


def test_plans_worked_on_are_listed_with_their_files_and_open_by_key(qtbot, desk, tmp_path):
    for name in ("first", "second"):
        path = tmp_path / f"{name}.lowline.geojson"
        write_plan(small_plan(), path)
        desk.commands.open_path(path)
        settled(qtbot, desk.document)
    desk.menu_actions["recent"].trigger()
    dialog = desk.doors.plans.choosing
    rows = [dialog.list.topLevelItem(row) for row in range(dialog.list.topLevelItemCount())]
    # One name, two files: told apart, and when they were worked on with the clock's name.
    assert len({row.text(0) for row in rows}) == 1
    assert [row.text(1) for row in rows] == ["second.lowline.geojson", "first.lowline.geojson"]
    assert rows[0].text(2).removesuffix(" · DRAFT").split()[-1].isupper()
    qtbot.keyClick(dialog.list, Qt.Key.Key_Down)
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    assert desk.document.path == tmp_path / "first.lowline.geojson"
    assert desk.doors.plans.choosing is None


def test_demo_flights_can_be_reached_from_any_plan_and_escape_opens_nothing(qtbot, desk):
    desk.menu_actions["demos"].trigger()
    dialog = desk.doors.plans.choosing
    assert dialog.list.topLevelItemCount() >= 28
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert desk.document.path is None
    desk.menu_actions["demos"].trigger()
    qtbot.mouseClick(desk.doors.plans.choosing.open_button, Qt.MouseButton.LeftButton)
    assert desk.document.path.parent == demo_missions_dir()


def test_a_new_plan_begins_at_the_card_that_says_how(desk, qtbot):
    """Our own rule (issue 8, first minute): the ways to begin are in sight when there is nothing yet."""
    desk.activateWindow()
    qtbot.waitUntil(desk.isActiveWindow)
    for tab in ("points", "plan", "permissions"):
        desk.side.go_to(tab)
        QTest.keyClick(desk, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
        qtbot.waitUntil(desk.side.findings.begin.isVisible)


def test_without_earlier_plans_the_list_says_so(desk):
    desk.menu_actions["recent"].trigger()
    dialog = desk.doors.plans.choosing
    assert not dialog.open_button.isEnabled()
    assert any("None yet" in label.text() for label in dialog.findChildren(type(desk.status.pointer)))


def test_each_library_is_gone_to_and_an_empty_one_says_how_it_is_filled(qtbot, desk):
    for key, form in (("kept_aircraft", "aircraft"), ("kept_people", "crew"), ("kept_sites", "land")):
        desk.menu_actions[key].trigger()
        assert desk.side.plan.isVisible()
        assert desk.side.plan.drawers[form].is_open
        assert "kept yet" in desk.status.message.whole_text
    desk.menu_actions["kept_permissions"].trigger()
    assert desk.side.permissions.isVisible()
    assert "Keep as standing" in desk.status.message.whole_text
    desk.side.plan.sections["aircraft"].library._shelf.keep(AIRCRAFT)
    desk.activateWindow()
    qtbot.waitUntil(desk.isActiveWindow)
    desk.menu_actions["kept_aircraft"].trigger()
    take = desk.side.plan.sections["aircraft"].library.take
    qtbot.waitUntil(take.hasFocus)
    assert not take.visibleRegion().isEmpty()
    record = PermissionRecord("LETTER 7 (INVENTED)", PermissionKind.WAIVER, "107.29")
    desk.side.permissions.standing.keep(record)
    desk.menu_actions["kept_permissions"].trigger()
    qtbot.waitUntil(desk.side.permissions.standing_cards[0].use.hasFocus)


def test_the_tool_in_hand_is_always_marked_in_the_strip(desk):
    for tool in TOOLS:
        desk.menu_actions[tool].trigger()
        marked = [
            key for key, button in desk.strip.buttons.items() if button.isVisible() and button.isChecked()
        ]
        assert tool in marked
        assert set(marked) - {tool} <= {"follow"}
    desk.menu_actions["move"].trigger()
    assert not any(desk.strip.buttons[key].isVisible() for key in TOOLS if key not in ON_STRIP)


def test_every_drawing_tool_has_words_of_what_to_click():
    # The figures tell click by click, the crew's tool names whom it places.
    assert set(TOOLS) - set(TOOL_GUIDE) == {"move", "crew", "dive", "orbit", "gap", "pass"}
