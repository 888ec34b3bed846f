"""Where a dialog that stays open comes up: at the right, so that map and profile stay in view."""

from PySide6.QtWidgets import QDialog, QWidget

from planner.desk.style import scaled

_RIGHT_PX, _TOP_PX = 12, 72


def fit_text(dialog: QDialog, width: int) -> None:
    """Make a dialog so wide, more for large text, and as high as its wrapped text needs there, never cut."""
    width = scaled(width)
    layout = dialog.layout()
    assert layout is not None
    # What is new counts only once it is polished: a style sheet may make fonts and edges larger.
    for widget in dialog.findChildren(QWidget):
        widget.ensurePolished()
    layout.invalidate()
    layout.activate()
    height = (
        layout.totalHeightForWidth(width) if layout.hasHeightForWidth() else layout.totalSizeHint().height()
    )
    dialog.setMinimumSize(width, height)
    dialog.resize(width, height)


def stand_aside(dialog: QDialog) -> None:
    """Put a dialog that is not shown yet at the right edge of the window it belongs to."""
    desk = dialog.parentWidget()
    if desk is None or dialog.isVisible():
        return
    corner = desk.window().mapToGlobal(desk.window().rect().topRight())
    dialog.move(max(corner.x() - dialog.width() - _RIGHT_PX, 0), corner.y() + _TOP_PX)
