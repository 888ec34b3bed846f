"""The legend of the layer of what is seen: whose eyes, which height, and a swatch for each band."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QSpinBox, QWidget

from planner.desk.allowed_legend import Swatch
from planner.desk.law_label import LawLabel
from planner.desk.list_box import ListBox
from planner.desk.map_seen import ANY_OBSERVER, WHOEVER_MUST, SeenChoice
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import in_use
from planner.drawing.seen_bands import BANDS
from planner.saying import HEIGHTS

_ANY_WORDS = "any observer: one is enough"
_MUST_WORDS = "all who must see it"
_HIGHEST = {"ft": 1000, "m": 300}
_STEP = {"ft": 10, "m": 5}


class _HeightBox(QSpinBox):
    """Holds whole units of the one in use; a step below none stands for the height planned."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._unit = ""
        self.speak()

    @property
    def above_m(self) -> float | None:
        """The height [m], None for the one planned."""
        return None if self.value() < 0 else self.value() * HEIGHTS[self._unit]

    def wheelEvent(self, event: QWheelEvent) -> None:
        # Scrolling the legend must not change the height.
        event.ignore()

    def speak(self) -> None:
        """Hold and say the height in the unit in use, to its nearest whole one."""
        unit = in_use().height
        if unit == self._unit:
            return
        above_m = self.above_m if self._unit else None
        self._unit = unit
        self.setSuffix(f" {unit} above ground everywhere")
        self.setRange(-_STEP[unit], _HIGHEST[unit])
        self.setSingleStep(_STEP[unit])
        self.setValue(-_STEP[unit] if above_m is None else round(above_m / HEIGHTS[unit]))


class SeenLegend(QWidget):
    """`chosen` carries who looks and at what height."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.who = ListBox(self)
        self.who.setToolTip("Whose eyes the map is drawn for")
        self.who.setAccessibleName("Who looks")
        self.who.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.above = _height_box(self)
        grid = QGridLayout(self)
        grid.setContentsMargins(22, 2, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        for row, (words, box) in enumerate((("By", self.who), ("At", self.above))):
            grid.addWidget(PlainLabel(words, self), row, 0)
            grid.addWidget(box, row, 1)
        self.missing = PlainLabel(self)
        self.missing.setWordWrap(True)
        self.missing.setTextFormat(Qt.TextFormat.PlainText)
        grid.addWidget(self.missing, 2, 0, 1, 2)
        self._missing = ""
        for row, band in enumerate(BANDS.values(), start=3):
            grid.addWidget(Swatch(band, self), row, 0, Qt.AlignmentFlag.AlignVCenter)
            label = LawLabel(band.words, self)
            label.setProperty("kind", "soft")
            grid.addWidget(label, row, 1)
        grid.setColumnStretch(1, 1)
        self.show_people({})
        self.who.currentIndexChanged.connect(self._tell)
        self.above.valueChanged.connect(self._tell)

    @property
    def choice(self) -> SeenChoice:
        """Who looks, and at what height."""
        return SeenChoice(self.who.currentData() or ANY_OBSERVER, self.above.above_m)

    def show_people(self, people: dict[str, str]) -> None:
        """Offer these people, by key and name; who was chosen stays, if they are still there."""
        before = self.who.currentData()
        choices = [(_ANY_WORDS, ANY_OBSERVER), (_MUST_WORDS, WHOEVER_MUST)]
        choices += [(name, key) for key, name in people.items()]
        blocked = self.who.blockSignals(True)
        self.who.clear()
        for words, key in choices:
            self.who.addItem(words, key)
        self.who.setCurrentIndex(max(0, self.who.findData(before)))
        self.who.blockSignals(blocked)
        if self.who.currentData() != before and before is not None:
            self._tell()

    def show_missing(self, words: str) -> None:
        """Say who must see it and stands nowhere; it counts where all who must are chosen."""
        self._missing = words
        self._say_missing()

    def _say_missing(self) -> None:
        told = bool(self._missing) and self.who.currentData() == WHOEVER_MUST
        self.missing.setText(
            f"Without a place: {self._missing}. So nothing is known to be seen." if told else ""
        )
        self.missing.setVisible(told)

    def _tell(self) -> None:
        self._say_missing()
        self.chosen.emit(self.choice)


def _height_box(parent: QWidget) -> _HeightBox:
    box = _HeightBox(parent)
    box.setSpecialValueText("the height planned nearest")
    box.setKeyboardTracking(False)
    box.setAccessibleName("Height above ground")
    box.lineEdit().setAccessibleName(box.accessibleName())
    box.setToolTip(
        "Planned: at each place the height above ground at the path's nearest point, of an area its top.\n"
        "Or one height everywhere: at 0 the bands tell from which height on it is seen"
    )
    return box
