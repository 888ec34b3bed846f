"""What belonged to another plan, or was taken back, never stands in a form."""

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QPlainTextEdit

from planner.locate import demo_missions_dir
from planner.plan.another_day import on_another_day
from planner.plan.file import read_plan
from planner.plan.model import Plan
from tests.desk.desk_rig import make_window
from tests.desk.form_hand import open_all_parts, type_into

MISSIONS = ("canyon_video_breaks", "freestyle_box", "mast_dive_part107")


def form_of(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    open_all_parts(window.side.plan)
    return window.side.plan


def held(form):
    """Return what stands in every input, hidden ones too."""
    form._refresh_now()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    found = []
    for key, section in form.sections.items():
        found += [(key, one.accessibleName(), one.text()) for one in section.findChildren(QLineEdit)]
        found += [
            (key, one.accessibleName(), one.toPlainText()) for one in section.findChildren(QPlainTextEdit)
        ]
        found += [
            (key, one.accessibleName(), one.currentText())
            for one in section.findChildren(QComboBox)
            if not one.isHidden()
        ]
    return sorted(found)


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_new_plan_has_a_form_like_a_fresh_desk(qtbot, document, mission):
    document.replace(Plan(), None)
    form = form_of(qtbot, document)
    fresh = held(form)
    document.replace(read_plan(demo_missions_dir() / f"{mission}.lowline.geojson"), None)
    assert held(form) != fresh
    document.replace(Plan(), None)
    assert held(form) == fresh


def test_another_day_shows_no_check_of_notices_and_a_letter_does_not_carry_it_over(qtbot, document):
    plan = read_plan(demo_missions_dir() / "canyon_video_breaks.lowline.geojson")
    assert plan.notices is not None
    document.replace(plan, None)
    form = form_of(qtbot, document)
    section = form.sections["notices"]
    assert section.by.edit.text()
    document.replace(on_another_day(plan, plan.window.first_day.replace(day=20)), None)
    form._refresh_now()
    assert (section.at.edit.text(), section.by.edit.text()) == ("", "")
    type_into(section.by, "Ash (invented)")
    assert document.plan.notices is None


def test_what_is_taken_back_leaves_the_form_too(qtbot, document):
    document.replace(Plan(), None)
    form = form_of(qtbot, document)
    fresh = held(form)
    notices, window, craft = (form.sections[key] for key in ("notices", "window", "aircraft"))
    type_into(notices.at, "2026-11-25 12:00")
    type_into(notices.by, "Ash (invented)")
    typed = {window.zone: "UTC", window.day: "2026-11-25", window.start: "1200", window.end: "1300"}
    for field, text in typed.items():
        type_into(field, text)
    for key, text in (("name", "Sparrow (invented)"), ("weight", "900 g"), ("size", "0.4 m")):
        type_into(craft.fields[key], text)
    assert document.plan.notices.at_utc == datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    assert None not in (document.plan.window, document.plan.aircraft)
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
    assert document.plan == Plan()
    zone = ("window", "Time zone")
    assert [one for one in held(form) if one[:2] != zone] == [one for one in fresh if one[:2] != zone]


def test_what_is_half_typed_outlives_an_edit_elsewhere(qtbot, document):
    form = form_of(qtbot, document)
    section = form.sections["notices"]
    type_into(section.by, "Ash (invented)")
    type_into(form.sections["name"].name, "Ridge (INVENTED)")
    form._refresh_now()
    assert section.by.edit.text() == "Ash (invented)"
