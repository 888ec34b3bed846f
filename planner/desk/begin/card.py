"""What stands where findings will be, as long as nothing is drawn."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from planner.desk.begin.demos import demo_flights
from planner.desk.begin.recents import RecentPlan, recent_words
from planner.desk.list_box import ListBox
from planner.desk.plain_label import PlainLabel

_MOST_SHOWN = 6
_EDGES_PX = 8
_DRAW = (
    "Choose Path (P) and click on the map, point by point, or Area (A) for a box to fly freely in. "
    "The desk then asks only for what changes the verdict."
)


class BeginCard(QScrollArea):
    """Four ways to begin: draw, go to a place, go on with a plan, try a demo flight.

    `place_wanted` carries what was typed; `open_wanted` a plan's file.
    """

    place_wanted = Signal(str)
    open_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Begin")
        self.setObjectName("begin_card")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.place = QLineEdit(self)
        self.place.setObjectName("begin_place")
        self.place.setAccessibleName("Place to begin at")
        self.place.setPlaceholderText("e.g. 37.8121 -150.2440, or an aerodrome")
        self.place.setToolTip(
            "Coordinates, latitude first, in any usual form, or an aerodrome's identifier or name"
        )
        self.place.returnPressed.connect(self._go)
        self.go = QPushButton("Go there", self)
        self.go.clicked.connect(self._go)
        self.answer = PlainLabel(self)
        self.answer.setObjectName("begin_answer")
        self.answer.setWordWrap(True)
        self.answer.hide()
        self.demos = ListBox(self)
        self.demos.setAccessibleName("Demo flights")
        self.demos.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.demos.setMinimumContentsLength(12)
        for name, file in demo_flights():
            self.demos.addItem(name, file)
        self.open_demo = QPushButton("Open", self)
        self.open_demo.setAccessibleName("Open the demo flight")
        self.open_demo.clicked.connect(lambda: self.open_wanted.emit(self.demos.currentData()))
        self._recents = QWidget(self)
        self._recents_column = QVBoxLayout(self._recents)
        self._recents_column.setSpacing(2)
        self.recent_buttons: list[QPushButton] = []
        self._recent_rows: list[QWidget] = []
        self.setWidget(self._page())
        self.show_recents(())

    def say(self, words: str, *, trouble: bool = False) -> None:
        """Answer to a place that was typed."""
        self.answer.setProperty("kind", "error" if trouble else "soft")
        self.answer.style().unpolish(self.answer)
        self.answer.style().polish(self.answer)
        self.answer.setText(words)
        self.answer.setVisible(bool(words))

    def show_recents(self, recents: tuple[RecentPlan, ...]) -> None:
        """Offer the plans worked on last."""
        for row in self._recent_rows:
            row.deleteLater()
        self.recent_buttons, self._recent_rows = [], []
        for recent in recents[:_MOST_SHOWN]:
            self._add_recent(recent)
        self._recents.setVisible(bool(recents))

    def _add_recent(self, recent: RecentPlan) -> None:
        told = recent_words(recent)
        row = QWidget(self._recents)
        button = _ShortenedButton(recent.name, row)
        button.setProperty("kind", "link")
        button.setAccessibleName(f"{recent.name}, {told}")
        button.setToolTip(str(recent.path))
        button.setCursor(Qt.CursorShape.PointingHandCursor)
        button.clicked.connect(lambda _on=False, path=recent.path: self.open_wanted.emit(Path(path)))
        column = QVBoxLayout(row)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(0)
        column.addWidget(button)
        column.addWidget(_words(told))
        self._recents_column.addWidget(row)
        self.recent_buttons.append(button)
        self._recent_rows.append(row)

    def _go(self) -> None:
        if self.place.text().strip():
            self.place_wanted.emit(self.place.text())

    def _page(self) -> QWidget:
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(6)
        column.addWidget(_heading("Nothing drawn yet"))
        column.addWidget(_words(_DRAW))
        column.addSpacing(10)
        column.addWidget(_heading("Begin at a place"))
        column.addLayout(_row(self.place, self.go))
        column.addWidget(self.answer)
        column.addSpacing(10)
        self._recents_column.addWidget(_heading("Go on with"))
        self._recents_column.addSpacing(2)
        column.addWidget(self._recents)
        self._recents_column.setContentsMargins(0, 0, 0, 10)
        column.addWidget(_heading("Try a demo flight"))
        column.addLayout(_row(self.demos, self.open_demo))
        column.addWidget(_words("They take place on an invented island; everything about it is made up."))
        column.addSpacing(10)
        column.addWidget(_words("Or drop a plan, or an authority's chart files, anywhere on the desk."))
        column.addStretch(1)
        return page


class _ShortenedButton(QPushButton):
    """A button whose words are cut short in their middle where room is scarce."""

    def __init__(self, words: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._words = words
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._shorten()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut anew."""
        super().resizeEvent(event)
        self._shorten()

    def _shorten(self) -> None:
        room = max(self.width() - _EDGES_PX, 0)
        words = self.fontMetrics().elidedText(self._words, Qt.TextElideMode.ElideMiddle, room)
        # An ampersand in a name is no shortcut.
        self.setText(words.replace("&", "&&"))


def _heading(words: str) -> QLabel:
    label = PlainLabel(words)
    label.setProperty("kind", "heading")
    return label


def _words(words: str) -> QLabel:
    label = PlainLabel(words)
    label.setProperty("kind", "soft")
    label.setWordWrap(True)
    return label


def _row(field: QWidget, button: QPushButton) -> QHBoxLayout:
    row = QHBoxLayout()
    row.addWidget(field, 1)
    row.addWidget(button)
    return row
