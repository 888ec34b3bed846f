"""People are placed on the map where they stand, side by side as well: real mouse events on the page."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from tests.desk.map_hand import plan

A, B = (-150.21, 37.795), (-150.2, 37.8)
C = (-150.19, 37.805)
LONGER_THAN_A_DOUBLE_CLICK_MS = 600


def test_somebody_is_placed_right_beside_somebody_else_and_a_pull_still_moves_them(
    qtbot, canvas, hand, heard
):
    """Our own rule: an observer stands beside the pilot, so a click on the pilot's sign sets one."""
    crew = [{"id": "p1", "label": "pilot", "role": "remote pilot", "lon": C[0], "lat": C[1]}]
    canvas.set_plan(plan(crew=crew))
    canvas.set_tool("crew")
    hand.press(hand.at(C) + QPoint(8, 5))
    hand.release(hand.at(C) + QPoint(8, 5))
    qtbot.waitUntil(lambda: bool(heard.of("clicked")))
    (placed,) = heard.of("clicked")
    assert placed[1] == "crew"
    at = hand.at(placed[2:4])
    assert (at - hand.at(C) - QPoint(8, 5)).manhattanLength() <= 2
    assert heard.of("vertex_moved") == []
    QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    hand.drag(hand.at(C), hand.at(C) + QPoint(30, 20))
    qtbot.waitUntil(lambda: heard.phases()[-1:] == ["end"])
    assert len(heard.of("clicked")) == 1


@pytest.mark.parametrize("tool", ["launch", "crew"])
def test_with_ctrl_a_tool_that_sets_down_one_thing_chooses_points_and_sets_nothing(
    qtbot, canvas, hand, heard, tool
):
    """Our own rule (issue 8: hard to use wrongly): a click meant for a point moves no launch and nobody."""
    canvas.set_plan(plan(path=[A, B, C]))
    canvas.set_tool(tool)
    hand.heard_of()
    for where in ((-150.205, 37.804), B):
        hand.click_with(Qt.KeyboardModifier.ControlModifier, where)
    qtbot.waitUntil(lambda: bool(heard.of("vertex_toggled")))
    assert heard.of("vertex_toggled") == [("vertex_toggled", "path", 1)]
    assert heard.of("clicked") == []
