"""The one table of actions."""

from collections import Counter

import pytest
from PySide6.QtCore import Qt

from planner.desk.action_table import ACTIONS
from tests.desk.desk_rig import make_document, make_window


@pytest.fixture
def window(qtbot):
    document = make_document()
    yield make_window(qtbot, document)
    document.close()


def test_no_two_actions_share_a_key_or_a_shortcut():
    shortcuts = Counter(keys for spec in ACTIONS for keys in spec.shortcuts)
    assert [keys for keys, count in shortcuts.items() if count > 1] == []
    assert len({spec.key for spec in ACTIONS}) == len(ACTIONS)


def test_no_shortcut_is_one_that_a_text_field_takes_for_its_own():
    """Source: Qt's standard keys (QKeySequence): on X11 Ctrl+E is the line's end, Ctrl+U deletes it."""
    shortcuts = {keys for spec in ACTIONS for keys in spec.shortcuts}
    assert not shortcuts & {"Ctrl+E", "Ctrl+U", "Ctrl+X", "Ctrl+C", "Ctrl+V", "Ctrl+Backspace", "Ctrl+Insert"}


def test_every_action_has_a_shortcut_and_says_what_it_does_in_a_word_of_its_own(window):
    assert [spec.key for spec in ACTIONS if not spec.shortcuts] == []
    named = [window.menu_actions[spec.key].text() for spec in ACTIONS]
    assert len(set(named)) == len(named)


def test_every_action_lies_in_its_menu_in_the_tables_order(window):
    menus = {action.text().lstrip("&"): action.menu() for action in window.menuBar().actions()}
    for name in {spec.menu for spec in ACTIONS}:
        shown = [action.objectName() for action in menus[name].actions() if not action.isSeparator()]
        assert shown == [f"action_{spec.key}" for spec in ACTIONS if spec.menu == name]


def test_alt_and_its_first_letter_opens_each_menu_and_no_two_share_one(window, qtbot):
    menus = [action.menu() for action in window.menuBar().actions()]
    letters = [menu.title().lstrip("&")[0] for menu in menus]
    assert len(set(letters)) == len(letters) == 5
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    for menu, letter in zip(menus, letters, strict=True):
        qtbot.keyClick(window, letter.lower(), Qt.KeyboardModifier.AltModifier)
        qtbot.waitUntil(menu.isVisible)
        qtbot.keyClick(menu, Qt.Key.Key_Escape)
        qtbot.waitUntil(menu.isHidden)
        window.setFocus()


def test_f10_opens_the_first_menu(window, qtbot):
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    qtbot.keyClick(window, Qt.Key.Key_F10)
    first = window.menuBar().actions()[0].menu()
    qtbot.waitUntil(first.isVisible)
    qtbot.keyClick(first, Qt.Key.Key_Escape)
    qtbot.waitUntil(first.isHidden)


def test_every_action_can_be_triggered_without_a_map(window, qtbot):
    for key in window.menu_actions:
        if key != "quit":
            window.menu_actions[key].trigger()
    window.popup.hide()


def test_exactly_one_tool_is_chosen(window):
    window.menu_actions["area"].trigger()
    chosen = [key for key in ("move", "path", "area", "launch") if window.menu_actions[key].isChecked()]
    assert chosen == ["area"]
