"""One part of the plan behind a head that tells it in a line, and opens it."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from planner.desk import palette
from planner.desk.fields import Field, Section
from planner.desk.manual.address import lead_to
from planner.desk.manual.help_key import HelpMark
from planner.desk.style import scaled

_LEFT, _MARK, _GAP, _ABOVE = 14, 9, 10, 6
_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_Home: -1_000, Qt.Key.Key_End: 1_000}
_TROUBLE = "something there can't be read"


class DrawerHead(QAbstractButton):
    """A line with a short title and a summary, or with the whole heading while it is open: checked then.

    Space and Enter open and close, right opens, left closes. `stepped` carries how many heads up or down
    an arrow key leads.
    """

    stepped = Signal(int)

    def __init__(self, title: str, heading: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setCheckable(True)
        self.setText(heading)
        self.title = title
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.summary = ""
        self.title_px = 0
        """How wide the column of titles is: summaries begin in one line."""
        self._weighs = False
        self.say("", weighs=False)

    def say(self, summary: str, *, weighs: bool) -> None:
        """Show what the part holds; what weighs is in ink."""
        if (summary, weighs) == (self.summary, self._weighs) and self.accessibleName():
            return
        self.summary, self._weighs = summary, weighs
        self.setAccessibleName(f"{self.text()}: {summary}" if summary else self.text())
        self.update()

    def sizeHint(self) -> QSize:
        """Return the room for one line of each."""
        return QSize(scaled(240), QFontMetrics(self._bold()).height() + 2 * _ABOVE)

    def minimumSizeHint(self) -> QSize:
        """Return the least room: the summary may be cut."""
        return QSize(scaled(120), self.sizeHint().height())

    def wanted_title_px(self) -> int:
        """Return how wide the title is [px]."""
        return QFontMetrics(self._bold()).horizontalAdvance(self.title)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open, close, or go to another head."""
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            if self.isChecked() is (key == Qt.Key.Key_Left):
                self.click()
        elif key in _STEPS:
            self.stepped.emit(_STEPS[key])
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the mark, the title, the summary in its own column, and the ring of the focus."""
        colours, painter = palette.in_use(), QPainter(self)
        box = self.rect()
        if self.underMouse() or self.isDown():
            painter.fillRect(box, QColor(colours.paper_picked))
        self._paint_mark(painter, QColor(colours.ink))
        words = box.adjusted(_LEFT + scaled(_MARK) + _GAP, 0, -4, 0)
        painter.setFont(self._bold())
        painter.setPen(QColor(colours.ink))
        middle = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(words, middle, self.text() if self.isChecked() else self.title)
        if not self.isChecked():
            small = self._small()
            painter.setFont(small)
            painter.setPen(QColor(colours.ink if self._weighs else colours.ink_soft))
            column = words.adjusted(max(self.title_px, self.wanted_title_px()) + scaled(_GAP), 0, 0, 0)
            told = QFontMetrics(small).elidedText(
                self.summary, Qt.TextElideMode.ElideRight, max(column.width(), 0)
            )
            painter.drawText(column, middle, told)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(colours.focus), 2))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        painter.end()

    def _paint_mark(self, painter: QPainter, ink: QColor) -> None:
        side = scaled(_MARK)
        box = QRectF(_LEFT, (self.height() - side) / 2, side, side)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink)
        quarter, half, whole = side / 4, side / 2, float(side)
        if self.isChecked():
            corners = ((0.0, quarter), (whole, quarter), (half, 3 * quarter))
        else:
            corners = ((quarter, 0.0), (3 * quarter, half), (quarter, whole))
        painter.drawPolygon(QPolygonF([QPointF(box.x() + x, box.y() + y) for x, y in corners]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)

    def _bold(self) -> QFont:
        font = QFont(self.font())
        font.setWeight(QFont.Weight.DemiBold)
        return font

    def _small(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 0.9)
        return font


class Drawer(QWidget):
    """A section behind its head; closed to begin with. `moved` says that it was opened or closed."""

    moved = Signal()

    def __init__(self, title: str, section: Section, page: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.section = section
        for widget in (self, section):
            lead_to(widget, page)
        self.head = DrawerHead(title, section.heading.text(), self)
        self.head.toggled.connect(self._on_toggled)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 16, 0)
        line.setSpacing(4)
        line.addWidget(self.head, 1)
        line.addWidget(HelpMark(self))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(line)
        column.addWidget(section)
        section.stand_under_a_head()
        section.hide()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)

    @property
    def is_open(self) -> bool:
        """Whether the section is shown."""
        return self.head.isChecked()

    def open(self, *, opened: bool = True) -> None:
        """Show the section, or put it away."""
        self.head.setChecked(opened)

    def tell(self, summary: str, *, missing: bool) -> None:
        """Say on the head what the section holds, or that something typed there can't be read."""
        trouble = any(field.has_trouble for field in self.section.findChildren(Field))
        told = _TROUBLE if trouble else summary
        self.head.say(told, weighs=trouble or missing)
        self.head.setToolTip(f"{told[:1].upper()}{told[1:]}\n{self.section.toolTip()}")

    def _on_toggled(self, opened: bool) -> None:
        self.section.setVisible(opened)
        if opened:
            self.section.refresh()
        self.moved.emit()
