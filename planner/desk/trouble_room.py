"""Room kept free under a row of fields for what is refused there, so that no field moves when it is told."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel

_BELOW_PX = 2


class TroubleRoom(QWidget):
    """One line over the row's whole width; a refusal that needs more takes more."""

    def __init__(self, fields: Sequence[QWidget], words: Sequence[QLabel], parent: QWidget) -> None:
        super().__init__(parent)
        self._fields = fields
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, _BELOW_PX)
        line.setSpacing(0)
        strut = PlainLabel(" ", self)
        strut.setProperty("kind", "error")
        strut.setFixedWidth(0)
        # Wrapped words may take one more.
        strut.setContentsMargins(0, 0, 0, 1)
        line.addWidget(strut)
        column = QVBoxLayout()
        column.setSpacing(0)
        for told in words:
            if told is not words[0]:
                told.setAlignment(Qt.AlignmentFlag.AlignRight)
            column.addWidget(told)
        column.addStretch(1)
        line.addLayout(column, 1)
        self.follow()

    def follow(self) -> None:
        """Be there while one of the fields is."""
        self.setVisible(not all(_is_put_away(field) for field in self._fields))


def _is_put_away(field: QWidget) -> bool:
    # What was never shown yet counts as hidden, too, but by nobody's word.
    return field.isHidden() and field.testAttribute(Qt.WidgetAttribute.WA_WState_ExplicitShowHide)
