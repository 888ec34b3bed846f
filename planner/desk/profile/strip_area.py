"""Room for the strips under the plot: all of them where there is room, else some, scrolled."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from planner.desk.profile.strip_view import StripView

_LEAST_ROWS = 2


class StripArea(QScrollArea):
    """Holds the strips; `give` says how much room they may take."""

    def __init__(self, strips: StripView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._strips = strips
        self.setObjectName("strip_area")
        self.setAccessibleName("Strips under the profile")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidgetResizable(True)
        self.setWidget(strips)

    def give(self, height_px: int) -> None:
        """Take so much height, for whole strips, no more than there are and no less than some of them."""
        strips = self._strips
        rows = [
            rows for rows in range(_LEAST_ROWS, len(strips.strips) + 1) if strips.height_of(rows) <= height_px
        ]
        self.setVisible(bool(strips.strips))
        self.setFixedHeight(strips.height_of(max([_LEAST_ROWS, *rows])))
