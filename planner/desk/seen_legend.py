"""The legend of the layer of what is seen: whose eyes, which height, and a swatch for each band."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QSizePolicy, QSpinBox, QWidget

from planner.desk.allowed_legend import Swatch
from planner.desk.law_label import LawLabel
from planner.desk.map_seen import ANY_OBSERVER, WHOEVER_MUST, SeenChoice
from planner.desk.saying import bare, in_use, nearest_words
from planner.drawing.seen_bands import BANDS
from planner.saying import HEIGHTS
from planner.units import FOOT_M

_ANY_WORDS = "any observer: one is enough"
_MUST_WORDS = "all who must see it"
_AS_PLANNED_FT = -10
_HIGHEST_FT = 1000
_STEP_FT = 10


class _HeightBox(QSpinBox):
    """Holds feet, and shows them in the unit in use."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        # Scrolling the legend must not change the height.
        event.ignore()

    def speak(self) -> None:
        """Say the height in the unit in use."""
        self.setSuffix(f" {in_use().height} above ground everywhere")

    def textFromValue(self, feet: int) -> str:
        """Return the height as it is shown, without its unit."""
        return bare(nearest_words(feet * FOOT_M)).replace(",", "")

    def valueFromText(self, text: str) -> int:
        """Return the height of what is typed [ft]."""
        figure = text.removesuffix(self.suffix()).strip()
        return round(float(figure or 0) * HEIGHTS[in_use().height] / FOOT_M)


class SeenLegend(QWidget):
    """`chosen` carries who looks and at what height."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.who = QComboBox(self)
        self.who.setToolTip("Whose eyes the map is drawn for")
        self.who.setAccessibleName("Who looks")
        self.who.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.height_ft = _height_box(self)
        grid = QGridLayout(self)
        grid.setContentsMargins(22, 2, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        for row, (words, box) in enumerate((("By", self.who), ("At", self.height_ft))):
            grid.addWidget(QLabel(words, self), row, 0)
            grid.addWidget(box, row, 1)
        self.missing = QLabel(self)
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
        self.height_ft.valueChanged.connect(self._tell)

    @property
    def choice(self) -> SeenChoice:
        """Who looks, and at what height."""
        feet = self.height_ft.value()
        above_m = None if feet == _AS_PLANNED_FT else feet * FOOT_M
        return SeenChoice(self.who.currentData() or ANY_OBSERVER, above_m)

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


def _height_box(parent: QWidget) -> QSpinBox:
    box = _HeightBox(parent)
    box.setRange(_AS_PLANNED_FT, _HIGHEST_FT)
    box.setSingleStep(_STEP_FT)
    box.setSpecialValueText("the height planned nearest")
    box.speak()
    box.setValue(_AS_PLANNED_FT)
    box.setKeyboardTracking(False)
    box.setAccessibleName("Height above ground")
    box.setToolTip(
        "Planned: at each place the height above ground at the path's nearest point, of an area its top.\n"
        "Or one height everywhere: at 0 ft the bands tell from which height on it is seen"
    )
    return box
