"""The list of all actions, searched and used with real keys."""

import pytest
from PySide6.QtCore import Qt

from planner.desk.action_finder import _ALSO_CALLED, matching
from planner.desk.action_table import ACTIONS
from tests.desk.desk_rig import make_document, make_window


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document())
    window.show()
    yield window
    window.document.close()


def opened(qtbot, desk):
    desk.menu_actions["find_action"].trigger()
    qtbot.waitUntil(lambda: desk.doors.finder is not None and desk.doors.finder.isVisible())
    return desk.doors.finder


def test_without_words_every_action_is_there_and_each_can_be_found_by_its_own_words():
    assert [spec.key for spec in matching("")] == [spec.key for spec in ACTIONS]
    for spec in ACTIONS:
        assert spec in matching(spec.text.rstrip("…"))


def test_words_in_any_order_find_by_hint_too_and_names_go_first():
    assert matching("sight line")[0].key == "crossing"
    assert "fix" in [spec.key for spec in matching("bend")]
    assert matching("no such thing") == []


def test_typing_and_enter_do_the_action_once_the_list_has_closed(qtbot, desk):
    finder = opened(qtbot, desk)
    qtbot.keyClicks(finder.field, "area")
    assert finder.keys[0] == "area"
    qtbot.keyClick(finder.field, Qt.Key.Key_Return)
    assert desk.menu_actions["area"].isChecked()
    qtbot.waitUntil(lambda: desk.doors.finder is None)


def test_arrow_keys_choose_while_the_words_are_typed(qtbot, desk):
    finder = opened(qtbot, desk)
    qtbot.keyClicks(finder.field, "new")
    first = finder.list.currentItem()
    qtbot.keyClick(finder.field, Qt.Key.Key_Down)
    assert finder.list.currentItem() is not first
    finder.reject()


def test_what_cannot_be_done_now_is_listed_but_does_nothing(qtbot, desk):
    finder = opened(qtbot, desk)
    qtbot.keyClicks(finder.field, "undo")
    assert finder.keys[0] == "undo"
    qtbot.keyClick(finder.field, Qt.Key.Key_Return)
    assert finder.isVisible()
    qtbot.keyClick(finder.field, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: desk.doors.finder is None)


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("rotate", "reshape"),
        ("snap", "snap_ground"),
        ("zoom", "fit_plan"),
        ("insert", "split"),
        ("metric", "preferences"),
        ("units", "preferences"),
        ("zoom", "zoom_in"),
        ("zoom out", "zoom_out"),
        ("recent", "recent"),
        ("demo", "demos"),
        ("example", "demos"),
        ("library aircraft", "kept_aircraft"),
        ("library crew", "kept_people"),
        ("site", "kept_sites"),
        ("waiver", "kept_permissions"),
        ("print", "sheet"),
        ("settings", "preferences"),
        ("raise", "reshape"),
        ("select all", "choose_all"),
        ("wind", "show_plan"),
        ("weather", "show_plan"),
        ("observer", "crew"),
        ("observer", "stand"),
        ("observer", "sheet"),
    ],
)
def test_what_people_call_it_finds_it_too(words, key):
    assert key in [spec.key for spec in matching(words)]


def test_a_whole_word_goes_before_the_beginning_of_another():
    """Our own rule: "wind" is no window."""
    keys = [spec.key for spec in matching("wind")]
    assert keys[0] == "show_plan"
    assert "hour" in keys


def test_words_that_find_nothing_are_answered_and_enter_does_nothing(qtbot, desk):
    finder = opened(qtbot, desk)
    qtbot.keyClicks(finder.field, "qqqq")
    assert finder.keys == []
    assert finder.list.topLevelItem(0).text(0) == "No action answers to these words"
    qtbot.keyClick(finder.field, Qt.Key.Key_Return)
    assert finder.isVisible()
    finder.reject()


def test_every_other_word_belongs_to_an_action():
    assert set(_ALSO_CALLED) <= {spec.key for spec in ACTIONS}
