"""Nothing that a form says about what is typed moves a field of it; words beside a field lead into it."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.plan.model import Plan
from tests.desk.desk_rig import make_window
from tests.desk.form_hand import type_into

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def form(qtbot, document):
    """Give the form of a plan that says nothing yet: time window and notices open, all of it in view."""
    document.replace(Plan(), None)
    window = make_window(qtbot, document)
    window.resize(1280, 1400)
    window.show()
    window.side.go_to("plan")
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    for key in ("window", "notices"):
        window.side.plan.drawers[key].open()
    qtbot.wait(20)
    return window.side.plan


def tops(form, *keys):
    """Where the fields of parts of the form stand in the window [px from its top]."""
    window = form.window()
    return {
        field.label.text(): field.input.mapTo(window, QPoint()).y()
        for key in keys
        for field in (form.sections[key]._placed)
        if hasattr(field, "input")
    }


@pytest.mark.parametrize(
    ("field", "text"),
    [
        pytest.param("start", "15:40", id="still needed"),
        pytest.param("day", "12.6.2027", id="refused"),
        pytest.param("end", "at 4", id="refused beside"),
    ],
)
def test_what_is_needed_or_refused_has_its_place_and_moves_nothing(form, qtbot, field, text):
    """Our own rule (issue 8: hard to use wrongly): where a click was aimed stays what was aimed at."""
    section = form.sections["window"]
    before = tops(form, "window", "notices")
    getattr(section, field).edit.setFocus()
    QTest.keyClicks(getattr(section, field).edit, text)
    QTest.keyClick(getattr(section, field).edit, Qt.Key.Key_Tab)
    qtbot.wait(50)
    told = section.state if field == "start" else getattr(section, field).error
    assert told.isVisible()
    assert told.text()
    assert tops(form, "window", "notices") == before
    # Nor does it when it is mended.
    for mended in (section.start, section.day, section.end):
        type_into(mended, "")
    qtbot.wait(50)
    assert tops(form, "window", "notices") == before


def test_a_refusal_stands_whole_in_its_room_under_the_row(form, qtbot):
    section = form.sections["window"]
    type_into(section.day, "12.6.2027")
    qtbot.wait(20)
    words, room = section.day.error, section.day.room
    assert words.height() >= words.heightForWidth(words.width())
    assert words.mapTo(section, QPoint()).y() >= section.day.geometry().bottom()
    assert room.geometry().bottom() < section.start.y()
    # It has the row's whole width, not its own half alone.
    assert room.width() > 1.8 * section.day.width()


def test_a_click_on_the_name_of_a_field_or_on_its_refusal_leads_into_it(form, qtbot):
    section = form.sections["window"]
    type_into(section.day, "12.6.2027")
    qtbot.wait(20)
    for words in (section.day.label, section.day.error):
        section.end.edit.setFocus()
        QTest.mouseClick(words, LEFT)
        assert QApplication.focusWidget() is section.day.edit
    section.end.edit.setFocus()
    QTest.mouseClick(form.sections["notices"].by.label, LEFT)
    assert QApplication.focusWidget() is form.sections["notices"].by.edit


def test_a_hidden_row_keeps_no_room_for_refusals(form, qtbot):
    form.drawers["aircraft"].open()
    section = form.sections["aircraft"]
    qtbot.wait(20)
    folded = section.sizeHint().height()
    assert section.fields["readout_error"].room.isHidden()
    section.more.click()
    qtbot.wait(20)
    assert section.fields["readout_error"].room.isVisible()
    section.more.click()
    qtbot.wait(20)
    assert section.sizeHint().height() == folded
