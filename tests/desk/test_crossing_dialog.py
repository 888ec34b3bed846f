"""A line of sight on demand, by real clicks and keys on the real window."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest

from planner.desk.commands import WorldSource
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan
from tests.desk.desk_rig import make_document, make_window, settled


@pytest.fixture
def desk(qtbot):
    document = make_document(WorldSource().load)
    document.replace(read_plan(demo_missions_dir() / "canyon_hidden.lowline.geojson"), None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.doors.crossings.close()
    window.hours.close()
    document.close()


def click_sight_strip(desk, distance_m):
    panel = desk.profile_view.panel
    strips = panel.strips
    height = next(y for y in range(strips.height()) if strips.name_at(y) == "sight") + 4
    x = panel.plot.plot_box().left() + panel.plot.view.scale_now.x_px(distance_m)
    QTest.mouseClick(
        strips, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(round(x), height)
    )


def test_a_click_on_the_sight_strip_lays_the_line_open_and_says_why_it_is_hidden(desk):
    (stop,) = [one for one in desk.document.assessment.findings if one.rule == "hidden-from-crew"]
    middle_m = (stop.from_m + stop.to_m) / 2
    click_sight_strip(desk, middle_m)
    dialog = desk.doors.crossings.dialog
    assert dialog.isVisible()
    assert desk.doors.reasons.ceiling is None
    assert dialog.crossing.line.clear is False
    assert dialog.words.text().startswith("Hidden: ")
    assert dialog.crossing.distance_m == pytest.approx(middle_m, abs=3.0)
    picture = dialog.picture.grab().toImage()
    inks = {
        QColor(picture.pixel(x, y)).name()
        for x in range(0, picture.width(), 2)
        for y in range(picture.height())
    }
    assert len(inks) > 5


def test_the_open_section_follows_the_pointer_and_the_chosen_person(desk):
    desk.menu_actions["crossing"].trigger()
    dialog = desk.doors.crossings.dialog
    desk.profile_view.panel.hovered.emit(250.0)
    assert dialog.crossing.distance_m == 250.0
    people = desk.document.assessment.sight.people
    dialog.who.setFocus()
    for person in people:
        QTest.keyClick(dialog.who, Qt.Key.Key_Down)
        dialog.refresh()
        assert dialog.crossing.viewer.key == person.key
    dialog.close()
    desk.profile_view.panel.hovered.emit(100.0)
    assert dialog.crossing.distance_m == 250.0
    desk.menu_actions["crossing"].trigger()
    assert dialog.crossing.distance_m == 100.0


def test_without_people_or_path_it_says_what_it_needs(qtbot):
    document = make_document()
    window = make_window(qtbot, document)
    window.show()
    window.menu_actions["crossing"].trigger()
    assert "needs a path" in window.doors.crossings.dialog.words.text()
    window.doors.crossings.close()
    document.close()
