"""The first clicks at a new place: keys go to the map, and a click that draws nothing says why."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import AddCrew
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


def test_the_crews_tool_places_who_waits_for_a_place_and_says_whom_before(pilot, qtbot):
    """Our own rule: the form of somebody unplaced says 'press O and click there', so nobody else moves."""
    document, window, heard = pilot.document, pilot.window, []
    ash = CrewMember("a", Role.REMOTE_PILOT, "Ash (invented)", Place(-150.213, 37.792))
    document.try_edit(AddCrew(ash))
    document.try_edit(AddCrew(CrewMember("w", Role.OBSERVER, "Wren (invented)")))
    settled(qtbot, document)
    document.message.connect(heard.append)
    pilot.key(Qt.Key.Key_O)
    qtbot.waitUntil(lambda: "Crew: click where Wren (invented) stands" in heard)
    pilot.hand.click((-150.212, 37.793))
    qtbot.waitUntil(lambda: document.plan.crew[1].place is not None)
    assert document.plan.crew[0] == ash
    assert heard[-1] == "Placed: pull somebody to move them"
    assert pilot.view.tool == "move", "the next click would move somebody else"
    # Whoever chooses a role means that role, whoever else waits.
    document.try_edit(AddCrew(CrewMember("f", Role.OBSERVER, "Finch (invented)")))
    window.strip.role_chosen.emit(Role.SPECTATOR)
    assert heard[-1] == "Crew: click where the spectator stands"
    QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    pilot.hand.click((-150.211, 37.794))
    qtbot.waitUntil(lambda: len(document.plan.crew) == 4)
    assert document.plan.crew[2].place is None
    assert heard[-1] == "Crew: click where another spectator stands"
