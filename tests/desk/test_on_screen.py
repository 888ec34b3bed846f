"""The window with its frame stays within what the screen leaves to windows."""

import pytest
from PySide6.QtCore import QRect
from PySide6.QtTest import QTest

from planner.desk.frame import DeskFrame
from planner.desk.on_screen import inside, keep_on_screen

ROOM = QRect(0, 30, 1400, 870)  # a panel at the upper edge takes 30 px


def framed(content, title=24, edge=2):
    return content.adjusted(-edge, -title, edge, edge)


@pytest.mark.parametrize(
    ("content", "wanted"),
    [
        (QRect(100, 100, 1200, 700), QRect(100, 100, 1200, 700)),
        (QRect(0, 24, 1400, 900), QRect(2, 54, 1396, 844)),
        (QRect(300, 200, 1200, 700), QRect(198, 198, 1200, 700)),
        (QRect(-50, 20, 1000, 600), QRect(2, 54, 1000, 600)),
    ],
)
def test_frame_and_content_come_to_lie_in_the_room(content, wanted):
    found = inside(framed(content), content, ROOM)
    assert found == wanted
    assert ROOM.contains(framed(found))


class Framed(DeskFrame):
    """A window as if a window manager had put a title of 24 px over it."""

    def frameGeometry(self):
        return framed(self.geometry())


def test_a_window_as_large_as_the_screen_makes_room_for_its_title(qtbot):
    window = Framed()
    qtbot.addWidget(window)
    room = window.screen().availableGeometry()
    window.setMinimumSize(100, 100)
    window.resize(room.size())
    window.show()
    qtbot.waitUntil(lambda: window.height() == room.height() - 26, timeout=3_000)
    assert window.width() == room.width() - 4
    window.resize(room.size() * 2)
    QTest.qWait(400)
    assert window.size() == room.size() * 2  # only once: what is done by hand stays
    window.showMaximized()
    keep_on_screen(window)
    assert window.isMaximized()
