"""A line of sight on demand: somebody of the crew, a place of the path, the cross-section between."""

from PySide6.QtCore import QByteArray, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QComboBox, QDialog, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from planner.briefing.crossing_words import crossing_lines
from planner.desk import palette
from planner.desk.document import Document
from planner.desk.list_box import ListBox
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import distance, in_use
from planner.desk.style import scaled
from planner.drawing.crossing_picture import crossing_picture
from planner.plan.role_words import name_or_role
from planner.rules.sight_axis import sight_axis
from planner.sight.crossing import Crossing, crossing_of

_LOWEST_PX = 190
_SCALE = 1.3
"""A screen is read from farther away than paper: letters of 9 points are too small there."""
_WHOEVER = "whoever decides there"
_HINT = "Move the mouse along path, profile or strips: the section follows."


class CrossingPicture(QWidget):
    """Paints a cross-section at the widget's own size."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._crossing: Crossing | None = None
        self.setMinimumHeight(_LOWEST_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_crossing(self, crossing: Crossing | None) -> None:
        """Paint another one, or nothing."""
        self._crossing = crossing
        self.update()

    def sizeHint(self) -> QSize:
        """Return a wide, low field."""
        return QSize(600, 240)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint."""
        if self._crossing is None:
            return
        picture = crossing_picture(self._crossing, self.width() / _SCALE, self.height() / _SCALE, in_use())
        painter = QPainter(self)
        # Drawn with the inks of paper: it needs paper under it, whatever the desk wears.
        painter.fillRect(self.rect(), QColor(palette.LIGHT.paper))
        QSvgRenderer(QByteArray(picture.encode())).render(painter)
        painter.end()


class CrossingDialog(QDialog):
    """Stays open beside the map and follows the place pointed at."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Line of sight")
        answer_help(self, "sight#on-the-desk")
        self.resize(scaled(580), scaled(470))
        self._document = document
        self._at_m = 0.0
        self.crossing: Crossing | None = None
        self.where = PlainLabel(self)
        self.where.setProperty("kind", "heading")
        self.who = ListBox(self)
        self.who.setAccessibleName("Whose line of sight")
        self.who.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.who.activated.connect(lambda _index: self.refresh())
        self.picture = CrossingPicture(self)
        self.words = PlainLabel(self)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setWordWrap(True)
        hint = PlainLabel(_HINT, self)
        hint.setProperty("kind", "soft")
        head = QHBoxLayout()
        head.addWidget(self.where, 1)
        head.addWidget(self.who)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(8)
        column.addLayout(head)
        column.addWidget(self.picture, 1)
        column.addWidget(self.words)
        column.addWidget(hint)
        document.assessed.connect(self.refresh)
        document.followed.connect(self.refresh)

    def show_at(self, distance_m: float) -> None:
        """Show the line to another place of the path [m]."""
        self._at_m = distance_m
        self.refresh()

    def refresh(self) -> None:
        """Lay the line open in the plan as it is now; who decides there unless somebody is chosen."""
        if not self.isVisible():
            return
        answer = self._document.assessment
        sight, track = answer.sight, answer.track
        self._offer_people()
        key = self.who.currentData() or self._who_decides()
        self.crossing = None
        if sight is not None and track is not None and key:
            self._at_m = min(max(self._at_m, 0.0), track.length_m)
            self.crossing = crossing_of(sight, track, key, self._at_m)
        self.picture.show_crossing(self.crossing)
        self.where.setText(self._head(key))
        self.words.setText(self._said())

    def _said(self) -> str:
        if self.crossing is None:
            if self._document.checking:
                return "What the crew sees is being worked out."
            return "A line of sight needs a path, somebody who stands somewhere, and terrain."
        return "\n".join(crossing_lines(self.crossing, in_use()))

    def _head(self, key: str) -> str:
        sight = self._document.assessment.sight
        member = next((one for one in sight.people if one.key == key), None) if sight else None
        name = name_or_role(member, self._document.plan.purpose) if member else "Nobody"
        return f"{name} to the aircraft at {distance(self._at_m)}"

    def _who_decides(self) -> str:
        answer = self._document.assessment
        axis, track = sight_axis(answer.case), answer.track
        if axis is None or track is None:
            return answer.sight.people[0].key if answer.sight and answer.sight.people else ""
        sample = min(int(track.distance_m.searchsorted(self._at_m)), len(track) - 1)
        return axis.person_at(sample).key

    def _offer_people(self) -> None:
        sight = self._document.assessment.sight
        people = sight.people if sight else ()
        purpose = self._document.plan.purpose
        offered = [
            ("", _WHOEVER),
            *((one.key, name_or_role(one, purpose)) for one in people),
        ]
        shown = [(self.who.itemData(row), self.who.itemText(row)) for row in range(self.who.count())]
        if shown == offered:
            return
        chosen = self.who.currentData() or ""
        self.who.clear()
        for key, name in offered:
            self.who.addItem(name, key)
        self.who.setCurrentIndex(max(self.who.findData(chosen), 0))
