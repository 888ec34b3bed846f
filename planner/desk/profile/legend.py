"""One quiet line above the plot: what each line means."""

from enum import Enum
from typing import Final

from PySide6.QtCore import QLineF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.desk import palette, signs
from planner.desk.profile import tones
from planner.desk.profile.strip import Tone
from planner.desk.profile.under_ground import hatch
from planner.desk.saying import in_use
from planner.drawing.patterns import Pattern


class Sample(Enum):
    """What the legend can explain, in its order."""

    CEILING = "ceiling now"
    ASKED = "if asked for"
    OPEN = "open below"
    CLEAR = "planned"
    BRIEF = "briefly hidden"
    ACT = "to do first"
    STOP = "must change"
    UNKNOWN = "not known"
    FLOWN = "as it would fly"
    UNDER = "under the ground"
    GROUND = "ground"
    WHOLE_UNKNOWN = "whole flight: not known"
    WHOLE_STOP = "whole flight: must change"


SAMPLE_OF: Final = {
    Pattern.CLEAR: Sample.CLEAR,
    Pattern.BRIEF: Sample.BRIEF,
    Pattern.ACT: Sample.ACT,
    Pattern.UNKNOWN: Sample.UNKNOWN,
    Pattern.STOP: Sample.STOP,
}
_OF_THE_WHOLE: Final = {Pattern.UNKNOWN: Sample.WHOLE_UNKNOWN, Pattern.STOP: Sample.WHOLE_STOP}
_SIGNS: Final = {Sample.WHOLE_UNKNOWN: signs.UNKNOWN, Sample.WHOLE_STOP: signs.STOP}
_SIGN_PX = 14
_SAMPLE_PX = 22
_GAP_PX = 6
_BETWEEN_PX = 18
_MARGIN_PX = 14
_UNIT_WORDS = {
    "ft": ("feet above sea level", "ft AMSL"),
    "m": ("metres above sea level", "m AMSL"),
}
_WEIGHTIEST_FIRST: Final = (
    Sample.STOP,
    Sample.UNKNOWN,
    Sample.ACT,
    Sample.WHOLE_STOP,
    Sample.WHOLE_UNKNOWN,
    Sample.FLOWN,
    Sample.UNDER,
    Sample.OPEN,
    Sample.BRIEF,
    Sample.ASKED,
    Sample.CLEAR,
    Sample.CEILING,
    Sample.GROUND,
)


class Legend(QWidget):
    """Shows samples of the lines now in the plot, and the unit of the heights."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[Sample, ...] = ()
        self._whole: tuple[Sample, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    @property
    def samples(self) -> tuple[Sample, ...]:
        """What is explained now."""
        return (*self._lines, *self._whole)

    def show_samples(self, samples: tuple[Sample, ...]) -> None:
        """Explain these lines."""
        if samples != self._lines:
            self._lines = samples
            self.update()

    def show_whole(self, pattern: Pattern | None) -> None:
        """Say that there is a stop, or something not known, that no stretch of the line can show."""
        whole = () if pattern is None else (_OF_THE_WHOLE[pattern],)
        if whole != self._whole:
            self._whole = whole
            self.update()

    def with_room(self) -> tuple[tuple[Sample, ...], str]:
        """Return what there is room to explain, in the legend's order, and the words of the unit.

        The unit gives way first, then what is always there; what is wrong or not known last.
        """
        long, short = _UNIT_WORDS[in_use().height]
        for unit in (long, short):
            if self._fit(self.samples, unit):
                return self.samples, unit
        shown: set[Sample] = set()
        for sample in sorted(self.samples, key=_WEIGHTIEST_FIRST.index):
            if not self._fit((*shown, sample), short):
                break
            shown.add(sample)
        return tuple(sample for sample in self.samples if sample in shown), short

    def _fit(self, samples: tuple[Sample, ...], unit: str) -> bool:
        width = QFontMetricsF(self.font()).horizontalAdvance
        each = (_SAMPLE_PX + _GAP_PX + width(sample.value) + _BETWEEN_PX for sample in samples)
        return sum(each) + width(unit) + 2 * _MARGIN_PX <= self.width()

    def sizeHint(self) -> QSize:
        """Return one line of text with some air."""
        return QSize(300, self.fontMetrics().height() + 10)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the samples that have room, then the unit."""
        painter = QPainter(self)
        tones.keep_hatches_wide(painter)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        metrics = QFontMetricsF(self.font())
        shown, unit = self.with_room()
        unit_px = metrics.horizontalAdvance(unit)
        unit_from = self.width() - _MARGIN_PX - unit_px
        x, middle = float(_MARGIN_PX), self.height() / 2
        for sample in shown:
            text_px = metrics.horizontalAdvance(sample.value)
            _paint_sample(painter, sample, QRectF(x, middle - 5, _SAMPLE_PX, 10))
            x += _SAMPLE_PX + _GAP_PX
            painter.setPen(QColor(palette.in_use().ink_soft))
            painter.drawText(
                QRectF(x, 0, text_px + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, sample.value
            )
            x += text_px + _BETWEEN_PX
        painter.setPen(QColor(palette.in_use().ink_soft))
        painter.drawText(
            QRectF(unit_from, 0, unit_px + 2, self.height()), Qt.AlignmentFlag.AlignVCenter, unit
        )
        painter.end()


_PENS = {
    Sample.CEILING: (tones.ceiling_pen,),
    Sample.ASKED: (tones.asked_pen,),
    Sample.OPEN: (tones.open_pen,),
    Sample.FLOWN: (tones.flown_pen,),
    Sample.CLEAR: (tones.clear_pen,),
    Sample.BRIEF: (tones.brief_pen, tones.brief_core_pen),
    Sample.ACT: (tones.act_pen,),
    Sample.STOP: (tones.stop_rungs_pen, tones.stop_pen),
    Sample.UNKNOWN: (tones.unknown_pen,),
}


def _paint_sample(painter: QPainter, sample: Sample, box: QRectF) -> None:
    middle = QLineF(box.left(), box.center().y(), box.right(), box.center().y())
    if sample in _SIGNS:
        sign_box = QRectF(box.right() - _SIGN_PX, box.center().y() - _SIGN_PX / 2, _SIGN_PX, _SIGN_PX)
        signs.paint_sign(painter, sign_box, _SIGNS[sample])
    elif sample is Sample.GROUND:
        painter.fillRect(box, QColor(palette.in_use().ground))
        painter.setPen(QPen(QColor(palette.in_use().ground_edge), 1))
        painter.drawLine(QLineF(box.topLeft(), box.topRight()))
    elif sample is Sample.UNKNOWN:
        painter.fillRect(box, tones.fill_of(Tone.UNKNOWN))
        painter.fillRect(box, tones.hatch_of_unknown())
    elif sample is Sample.UNDER:
        hatch(painter, box)
    if sample is Sample.CLEAR:
        band = QColor(palette.in_use().plan)
        band.setAlpha(tones.BAND_ALPHA)
        painter.fillRect(box, band)
    for pen in _PENS.get(sample, ()):
        painter.setPen(pen())
        painter.drawLine(middle)
