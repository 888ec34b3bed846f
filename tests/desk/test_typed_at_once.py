"""Who types on at once types where it is meant, and nothing that is typed goes by itself.

Our own rules (issue 8: hard to use wrongly; less typing).
"""

from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.forms.waiting import NOT_TAKEN
from planner.desk.whom_to_place import form_at_hand, whom_to_place
from planner.geo.window import TimeWindow
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import AddCrew, SetNotices, SetWindow
from planner.plan.records import NoticesChecked
from tests.desk.desk_rig import place
from tests.desk.form_hand import type_into

START = datetime(2027, 6, 12, 20, tzinfo=UTC)
WINDOW = TimeWindow(START, START + timedelta(hours=1), "Etc/GMT+10")
SOMEBODY = CrewMember("kim", Role.OBSERVER, "Kim (invented)", place(1, 0))


def test_a_name_typed_at_the_list_that_adds_somebody_adds_nobody(side, document):
    section, before = side.plan.sections["crew"], document.plan.crew
    section.add.setFocus()
    QTest.keyClicks(section.add, "Sam")
    QTest.keyClick(section.add, Qt.Key.Key_End)
    assert document.plan.crew == before
    assert section.add.currentIndex() == 0
    letter = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_A, Qt.KeyboardModifier.NoModifier, "a")
    letter.ignore()
    QApplication.sendEvent(section.add, letter)
    assert letter.isAccepted(), "the letter would arm a tool of the map"


@pytest.mark.parametrize(
    ("key", "held", "text"),
    [
        (Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier, "2"),
        (Qt.Key.Key_O, Qt.KeyboardModifier.AltModifier, "o"),
        (Qt.Key.Key_Semicolon, Qt.KeyboardModifier.ControlModifier, ";"),
        (Qt.Key.Key_Equal, Qt.KeyboardModifier.ControlModifier, "="),
    ],
)
def test_shortcuts_work_at_the_list_that_adds_somebody(side, document, key, held, text):
    section, before = side.plan.sections["crew"], document.plan.crew
    for kind in (QEvent.Type.ShortcutOverride, QEvent.Type.KeyPress):
        event = QKeyEvent(kind, key, held, text)
        event.ignore()
        section.add.event(event)
        assert not event.isAccepted(), "the shortcut would be taken for a name"
    assert (document.plan.crew, section.add.currentIndex()) == (before, 0)


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_Down])
def test_whoever_is_added_from_the_list_is_given_a_name_next(side, document, qtbot, key):
    section, before = side.plan.sections["crew"], document.plan.crew
    section.add.setFocus()
    QTest.keyClick(section.add, key)
    view = section.add.view()
    qtbot.waitUntil(view.isVisible)
    for _down in range(list(Role).index(Role.OBSERVER) + 1):
        QTest.keyClick(view, Qt.Key.Key_Down)
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert [one.role for one in document.plan.crew[len(before) :]] == [Role.OBSERVER]
    assert side.window().focusWidget() is section.cards[-1].name.edit


def test_hours_typed_beside_a_refused_day_wait_for_it(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    qtbot.waitUntil(lambda: section.start.edit.text() == "10:00")
    for field, text in ((section.day, "1 Dec"), (section.start, "09:20"), (section.end, "10:40")):
        type_into(field, text)
    assert section.state.text() == NOT_TAKEN
    # Whatever else is edited meanwhile.
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert (section.start.edit.text(), section.end.edit.text()) == ("09:20", "10:40")
    assert document.plan.window == WINDOW
    type_into(section.day, "2027-06-13")
    day_later = datetime(2027, 6, 13, 19, 20, tzinfo=UTC)
    assert document.plan.window == TimeWindow(
        day_later, day_later + timedelta(hours=1, minutes=20), WINDOW.zone
    )
    section.refresh()
    assert (section.start.edit.text(), section.state.text()) == ("09:20", "")


def test_what_waits_goes_once_the_plan_has_other_hours(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    qtbot.waitUntil(lambda: section.start.edit.text() == "10:00")
    type_into(section.end, "10:00")
    type_into(section.zone, "nowhere")
    type_into(section.start, "09:20")
    document.try_edit(SetWindow(TimeWindow(START, START + timedelta(hours=2), WINDOW.zone)))
    section.refresh()
    assert section.start.edit.text() == "10:00"


def test_who_looked_up_notices_waits_for_a_refused_hour(side, document, qtbot):
    checked = NoticesChecked(START - timedelta(hours=2), "Ash (invented)")
    document.try_edit(SetNotices(checked))
    section = side.plan.sections["notices"]
    qtbot.waitUntil(lambda: section.by.edit.text() == "Ash (invented)")
    type_into(section.at, "2027-06-12")
    type_into(section.by, "Wren (invented)")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert (section.by.edit.text(), section.state.text()) == ("Wren (invented)", NOT_TAKEN)
    assert document.plan.notices == checked
    type_into(section.at, "2027-06-12 19:00")
    assert document.plan.notices == NoticesChecked(datetime(2027, 6, 12, 19, tzinfo=UTC), "Wren (invented)")


def test_enter_on_what_adds_a_row_adds_it(side, document, qtbot):
    document.try_edit(AddCrew(SOMEBODY))
    section = side.plan.sections["crew"]
    qtbot.waitUntil(lambda: any(card.key == "kim" for card in section.cards))
    tried = next(card.tried for card in section.cards if card.key == "kim")
    tried.add.setFocus()
    QTest.keyClick(tried.add, Qt.Key.Key_Return)
    assert len(tried.rows) == 1
    assert side.window().focusWidget() is tried.rows[0]["distance"].input


def test_a_way_into_a_filled_field_chooses_all_that_stands_there(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    side.plan.jump("window")
    assert section.day.edit.selectedText() == "2027-06-12"


def test_the_crew_tool_places_the_one_whose_form_is_typed_into_first(side, document):
    """Our own rule: under their form stands "press O and click there"."""
    for key, role in (("ola", Role.REMOTE_PILOT), ("kim", Role.OBSERVER)):
        document.try_edit(AddCrew(CrewMember(key, role, key)))
    section = side.plan.sections["crew"]
    section.refresh()
    card = next(card for card in section.cards if card.key == "kim")
    card.tasks.box.setFocus()
    at_hand = form_at_hand()
    assert at_hand == "kim"
    assert whom_to_place(document, Role.REMOTE_PILOT, insists=False, at_hand=at_hand).key == "kim"
    assert whom_to_place(document, Role.REMOTE_PILOT, insists=True, at_hand=at_hand).key == "ola"
    side.setFocus()
    assert form_at_hand() == ""
