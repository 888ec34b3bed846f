"""What has the focus wears one ring in the colour of the focus, and no frame of the toolkit inside it."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QFocusEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from planner.desk import palette
from tests.desk.map_hand import page_value

RING_PX = 3


@pytest.fixture
def two(qtbot, dressed):
    """Give two buttons of one size in a window that has the focus."""
    window = QWidget()
    buttons = [QPushButton("Checked just now", window) for _ in range(2)]
    column = QVBoxLayout(window)
    for button in buttons:
        column.addWidget(button)
    qtbot.addWidget(window)
    window.resize(300, 120)
    return window, buttons


def pixels(button):
    picture = button.grab().toImage()
    return {
        (x, y): picture.pixelColor(x, y).name()
        for x in range(picture.width())
        for y in range(picture.height())
    }


@pytest.mark.parametrize("kind", ["", "link", "ask", "choice"])
def test_the_focus_changes_a_button_at_its_edge_only_and_in_one_colour(two, qtbot, kind):
    window, (button, other) = two
    for one in (button, other):
        one.setProperty("kind", kind)
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    other.setFocus()
    # The toolkit shows its frames once Tab was pressed in a window.
    QTest.keyClick(other, Qt.Key.Key_Tab)
    qtbot.waitUntil(button.hasFocus)
    with_it = pixels(button)
    QTest.keyClick(button, Qt.Key.Key_Tab)
    qtbot.waitUntil(other.hasFocus)
    without = pixels(button)
    wide, high = button.width(), button.height()
    changed = {spot for spot, colour in with_it.items() if colour != without[spot]}
    at_edge = {(x, y) for x, y in changed if min(x, wide - 1 - x) < RING_PX or min(y, high - 1 - y) < RING_PX}
    ring = QColor(palette.in_use().focus).name()
    assert sum(with_it[spot] == ring for spot in at_edge) >= 0.9 * (wide + high)
    inside = [QColor(with_it[spot]) for spot in changed - at_edge]
    # A link is underlined as well, in its own blue; nothing else changes inside.
    assert not inside or (kind == "link" and all(one.blue() > one.red() for one in inside))


def test_the_map_wears_the_ring_only_while_it_has_the_focus(qtbot, canvas):
    """Our own rule: one ring of focus on the desk."""
    away = "document.documentElement.classList.contains('away')"
    for event, gone in (
        (QEvent.Type.FocusIn, False),
        (QEvent.Type.FocusOut, True),
        (QEvent.Type.FocusIn, False),
    ):
        QApplication.sendEvent(canvas.focusProxy(), QFocusEvent(event, Qt.FocusReason.TabFocusReason))
        qtbot.waitUntil(lambda gone=gone: page_value(qtbot, canvas, away) is gone, timeout=10_000)
    rules = page_value(
        qtbot,
        canvas,
        "Array.from(document.styleSheets).flatMap(s => Array.from(s.cssRules, r => r.selectorText ?? ''))",
    )
    (ring,) = [one for one in rules if "#map:focus-visible" in one]
    assert ring.startswith("html:not(.away) ")
