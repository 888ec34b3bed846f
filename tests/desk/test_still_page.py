"""The plan's form stays where it is under the hand while the list above it shrinks and grows."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from shiboken6 import delete

from planner.plan.edits import SetPurpose
from planner.plan.model import Plan, Purpose
from tests.desk.desk_rig import make_window
from tests.desk.form_hand import choose, open_all_parts, type_into


@pytest.fixture
def form(qtbot, document):
    """Give the form of a plan that says nothing yet: everything is missing."""
    document.replace(Plan(), None)
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    open_all_parts(window.side.plan)
    qtbot.waitUntil(lambda: window.side.plan.verticalScrollBar().maximum() > 1_000)
    return window.side.plan


def in_view_px(form, field):
    return field.input.mapTo(form.viewport(), QPoint()).y()


def settle(form, qtbot, links):
    qtbot.waitUntil(lambda: len(form.missing.links) == links and form.missing.isVisible() is bool(links))
    qtbot.wait(50)


def test_what_is_answered_shortens_the_list_and_moves_no_field_in_view(form, document, qtbot):
    """Whatever the layout does, a field that has the focus is still where the eye left it."""
    open_before = len(form.missing.links)
    window, purpose = form.sections["window"], form.sections["purpose"].purpose
    purpose.input.setFocus()
    form.verticalScrollBar().setValue(0)
    before_px = in_view_px(form, window.start)
    choose(purpose, Purpose.PART_107)
    settle(form, qtbot, open_before - 1)
    assert in_view_px(form, window.start) == before_px
    for field, text in ((window.zone, "UTC"), (window.day, "2026-11-25"), (window.start, "15:40")):
        type_into(field, text)
    before_px = in_view_px(form, window.end)
    type_into(window.end, "16:05")
    settle(form, qtbot, open_before - 2)
    assert in_view_px(form, window.end) == before_px
    # What is taken back makes the list longer again.
    document.undo_stack.undo()
    settle(form, qtbot, open_before - 1)
    assert in_view_px(form, window.end) == before_px


def test_the_page_stands_still_under_an_open_list(form, document, qtbot):
    """Our own rule (issue 8): what was answered before is taken while the next list opens."""
    open_before = len(form.missing.links)
    kind = form.sections["aircraft"].fields["form"]
    form.bring("aircraft", kind.input)
    qtbot.waitUntil(lambda: not form._settling.isActive())
    before_px = in_view_px(form, kind)
    kind.box.showPopup()
    qtbot.waitUntil(kind.box.view().isVisible)
    document.try_edit(SetPurpose(Purpose.PART_107))
    settle(form, qtbot, open_before - 1)
    assert in_view_px(form, kind) == before_px
    kind.box.hidePopup()


def test_far_down_the_page_is_scrolled_along_and_the_room_that_was_left_is_given_back(form, qtbot):
    open_before = len(form.missing.links)
    purpose, visibility = form.sections["purpose"].purpose, form.sections["sight"].visibility
    purpose.input.setFocus()
    choose(purpose, Purpose.PART_107)
    settle(form, qtbot, open_before - 1)
    free = form.missing.height() + form.missing.y()
    assert form.all.y() - free > 15
    form.bring("sight", visibility.input)
    qtbot.waitUntil(lambda: not form._settling.isActive())
    qtbot.wait(50)
    before_px = in_view_px(form, visibility)
    type_into(visibility, "5 mi")
    settle(form, qtbot, open_before - 2)
    assert in_view_px(form, visibility) == before_px
    assert form.all.y() - (form.missing.height() + form.missing.y()) < 15


def test_a_click_on_the_next_field_meets_it_though_leaving_the_last_one_shortens_the_list(form, qtbot):
    """Leaving a field commits what is typed: the page must not move between press and release."""
    sight = form.sections["sight"]
    form.bring("sight", sight.visibility.input)
    qtbot.waitUntil(lambda: not form._settling.isActive())
    qtbot.wait(50)
    QTest.keyClicks(sight.visibility.edit, "5 mi")
    other = sight.tried
    spot = other.edit.mapTo(form.window(), QPoint(20, 8))
    QTest.mousePress(form.window().childAt(spot), Qt.MouseButton.LeftButton)
    qtbot.wait(100)
    assert form.window().childAt(spot) is other.edit
    assert QApplication.focusWidget() is other.edit
    QTest.mouseRelease(other.edit, Qt.MouseButton.LeftButton)


def test_the_page_settles_also_when_the_field_it_was_to_show_is_gone(form):
    """Seen in a test run: a row that undo took away, or a window closed at once after a jump."""
    gone = form.sections["crew"].first_input()
    form.bring("crew", gone)
    assert form._settling.isActive()
    delete(gone)
    bar = form.verticalScrollBar()
    bar.setRange(0, bar.maximum() + 100)
    assert bar.value() == form.drawers["crew"].y()
