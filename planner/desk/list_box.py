"""A list to choose from."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QWidget


class ListBox(QComboBox):
    """A list that the mouse wheel leaves alone, and that shows every choice whole where there are few."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # Qt gives a list the focus as the wheel turns over it: keys would go there unseen.
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the form scroll: what the pointer happens to pass must not change."""
        event.ignore()

    def showPopup(self) -> None:
        """Show the choices; under a style sheet Qt makes the list too low, an arrow over the last."""
        super().showPopup()
        view = self.view()
        popup, layout = view.window(), view.window().layout()
        if layout is None or self.count() > self.maxVisibleItems() or not view.verticalScrollBar().maximum():
            return
        rows_px = sum(view.visualRect(self.model().index(row, 0)).height() for row in range(self.count()))
        # First so high that the arrows go, then as high as is needed without them.
        for spare_px in (rows_px, 0):
            popup.resize(popup.width(), popup.height() + rows_px + spare_px - view.viewport().height())
            layout.activate()
