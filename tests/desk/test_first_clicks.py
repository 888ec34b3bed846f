"""The first clicks at a new place: keys go to the map, and a click that draws nothing says why."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from tests.desk.desk_rig import settled
from tests.desk.test_desk_by_hand import LONGER_THAN_A_DOUBLE_CLICK_MS, desk, pilot

__all__ = ["desk", "pilot"]  # its window, and who sits there


def test_after_going_to_a_place_keys_are_the_maps_and_a_click_that_draws_nothing_says_so(pilot, qtbot):
    window, heard = pilot.window, []
    window.side.go_to("findings")
    card = window.side.findings.begin
    qtbot.waitUntil(card.place.isVisible)
    window.activateWindow()
    pilot.document.message.connect(heard.append)
    card.place.setFocus()
    card.place.clear()
    QTest.keyClicks(card.place, "37.7950 -150.2100")
    QTest.keyClick(card.place, Qt.Key.Key_Return)
    settled(qtbot, pilot.document)
    qtbot.waitUntil(lambda: QApplication.focusWidget() is pilot.view.canvas.focusProxy())
    QTest.qWait(250)
    pilot.hand.click((-150.2105, 37.7945))
    qtbot.waitUntil(lambda: any("choose Path (P)" in line for line in heard))
    assert pilot.document.plan.path == ()
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_P)
    qtbot.waitUntil(lambda: pilot.view.tool == "path")
    assert card.place.text() == "37.7950 -150.2100"
    QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    pilot.hand.click((-150.2105, 37.7945))
    qtbot.waitUntil(lambda: len(pilot.document.plan.path) == 1)
    QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    pilot.hand.click((-150.2085, 37.7945))
    qtbot.waitUntil(lambda: len(pilot.document.plan.path) == 2)
    pilot.key(Qt.Key.Key_Return)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: window.side.points.chosen_rows == (0, 1))
