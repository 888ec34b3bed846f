"""Words beside a field that lead into it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QLabel


class WayToField(QLabel):
    """Words that belong to a field: a click on them leads to where it is typed into."""

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Give the focus to the field's input."""
        super().mousePressEvent(event)
        if (meant := self.buddy()) is not None and meant.isEnabled():
            meant.setFocus(Qt.FocusReason.MouseFocusReason)
