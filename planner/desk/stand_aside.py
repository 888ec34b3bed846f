"""Where a dialog that stays open comes up: at the right, so that map and profile stay in view."""

from PySide6.QtWidgets import QDialog

_RIGHT_PX, _TOP_PX = 12, 72


def stand_aside(dialog: QDialog) -> None:
    """Put a dialog that is not shown yet at the right edge of the window it belongs to."""
    desk = dialog.parentWidget()
    if desk is None or dialog.isVisible():
        return
    corner = desk.window().mapToGlobal(desk.window().rect().topRight())
    dialog.move(max(corner.x() - dialog.width() - _RIGHT_PX, 0), corner.y() + _TOP_PX)
