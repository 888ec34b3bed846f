"""A window with its frame inside the room that the screen has for it."""

from typing import Final

from PySide6.QtCore import QRect
from PySide6.QtWidgets import QWidget

FRAMED_MS: Final = 250
"""So long after it is shown a window has its frame."""


def keep_on_screen(window: QWidget) -> None:
    """Make a window that was just shown no larger than its screen allows, title bar and edges with it."""
    if window.isMaximized() or window.isFullScreen():
        return
    room = window.screen().availableGeometry()
    wanted = inside(window.frameGeometry(), window.geometry(), room)
    if wanted.size() != window.size():
        window.resize(wanted.size())
    if wanted.topLeft() != window.geometry().topLeft():
        # `move` places the frame, not what is in it.
        edge = window.geometry().topLeft() - window.frameGeometry().topLeft()
        window.move(wanted.topLeft() - edge)


def inside(frame: QRect, content: QRect, room: QRect) -> QRect:
    """Return the content of a window whose frame lies in a room, as large and as near as it can be."""
    width = min(frame.width(), room.width())
    height = min(frame.height(), room.height())
    left = min(max(frame.left(), room.left()), room.left() + room.width() - width)
    top = min(max(frame.top(), room.top()), room.top() + room.height() - height)
    beside, above = content.left() - frame.left(), content.top() - frame.top()
    return QRect(
        left + beside,
        top + above,
        width - (frame.width() - content.width()),
        height - (frame.height() - content.height()),
    )
