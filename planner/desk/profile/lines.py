"""The lines of the profile as plot items, made once and given new arrays each time."""

from collections.abc import Iterator

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from planner.desk import palette
from planner.desk.profile import tones
from planner.desk.profile.curves import PlannedLine, ProfileCurves
from planner.desk.profile.scale import Scale
from planner.desk.profile.thinning import thinned
from planner.drawing.patterns import Pattern

Floats = NDArray[np.float64]
Line = tuple[Floats, Floats, NDArray[np.bool_]]
"""x [m], y [ft], and whether each vertex is joined to the next."""

_DEEP_FT = -50_000.0


class Ribbon(pg.GraphicsObject):
    """The surface between two lines, without outline, piece by piece."""

    def __init__(self) -> None:
        super().__init__()
        self._brush = QBrush()
        self._path = QPainterPath()
        self._bounds = QRectF()

    def set_brush(self, brush: QBrush) -> None:
        """Fill with this brush."""
        self._brush = brush
        self.update()

    def set_lines(self, upper: Line, level: float) -> None:
        """Fill from a line down to a level."""
        x, y, joined = upper
        self.set_between(upper, (x, np.full(len(y), level), joined))

    def set_between(self, upper: Line, lower: Line) -> None:
        """Fill between two lines of equally many pieces."""
        self.prepareGeometryChange()
        self._path = QPainterPath()
        for (upper_x, upper_y), (lower_x, lower_y) in zip(_pieces(upper), _pieces(lower), strict=True):
            x = np.concatenate((upper_x, lower_x[::-1]))
            y = np.concatenate((upper_y, lower_y[::-1]))
            self._path.addPath(pg.arrayToQPath(x, y, connect="all", finiteCheck=False))
        self._bounds = self._path.controlPointRect()
        self.update()

    def boundingRect(self) -> QRectF:
        """Return the extent of the surface."""
        return self._bounds

    def paint(self, painter: QPainter, *_: object) -> None:
        """Fill the surface."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._brush)
        painter.drawPath(self._path)


class ProfileLines:
    """All lines and surfaces of the profile in one view."""

    def __init__(self, view: pg.ViewBox) -> None:
        self._ground, self._band = Ribbon(), Ribbon()
        self._ground_edge, self._ceiling, self._asked = _curve(), _curve(), _curve()
        self._open, self._flown = _curve(), _curve()
        self._planned = {
            pattern: tuple(_curve() for _pen in pens) for pattern, pens in tones.PENS_OF_PATTERN.items()
        }
        self.dress()
        self._tops: tuple[Line, ...] = ()
        planned = [curve for curves in self._planned.values() for curve in curves]
        lower = [self._ground, self._ground_edge, self._band, self._ceiling, self._asked]
        lower += [self._open, self._flown]
        for height, item in enumerate([*lower, *planned]):
            item.setZValue(height)
            view.addItem(item, ignoreBounds=True)

    def dress(self) -> None:
        """Take the pens and brushes of the appearance that is in use."""
        band = QColor(palette.in_use().plan)
        band.setAlpha(tones.BAND_ALPHA)
        self._ground.set_brush(QBrush(QColor(palette.in_use().ground)))
        self._band.set_brush(QBrush(band))
        self._ground_edge.setPen(tones.ground_pen())
        self._ceiling.setPen(tones.ceiling_pen())
        self._asked.setPen(tones.asked_pen())
        self._open.setPen(tones.open_pen())
        self._flown.setPen(tones.flown_pen())
        for pattern, pens in tones.PENS_OF_PATTERN.items():
            for curve, pen in zip(self._planned[pattern], pens, strict=True):
                curve.setPen(pen())

    def show(self, curves: ProfileCurves, scale: Scale) -> None:
        """Draw these lines instead of the last ones, as finely as the scale can show."""
        x = scale.drawn_m(curves.distance_m)
        ground = thinned(x, curves.ground_ft, curves.ground_joined, scale)
        ceiling = thinned(x, curves.ceiling_ft, curves.ceiling_joined, scale)
        asked = thinned(x, curves.asked_ft, curves.asked_joined, scale)
        self._ground.set_lines(ground, _DEEP_FT)
        _set(self._ground_edge, ground)
        _set(self._ceiling, ceiling)
        _set(self._asked, asked)
        opened = thinned(x, curves.open_ft, curves.open_joined, scale)
        flown = thinned(x, curves.flown_ft, curves.flown_joined, scale)
        _set(self._open, opened)
        _set(self._flown, flown)
        self._tops = (ground, ceiling, asked, opened, flown, self._show_planned(curves.planned, scale))

    @property
    def tops(self) -> tuple[Line, ...]:
        """The drawn lines that words must not cover, on the axis as drawn."""
        return self._tops

    def _show_planned(self, line: PlannedLine, scale: Scale) -> Line:
        x, y = scale.drawn_m(line.distance_m), line.height_ft
        known = line.known_joined()
        upper = thinned(x, y + line.uncertainty_ft, known, scale)
        lower = thinned(x, y - line.uncertainty_ft, known, scale)
        self._band.set_between(upper, lower)
        for pattern, curves in self._planned.items():
            part = thinned(x, y, line.joined(pattern), scale)
            for curve in curves:
                _set(curve, part)
        return upper

    def pens(self, pattern: Pattern) -> tuple[QPen, ...]:
        """Return the pens with which that pattern is drawn, one over the other."""
        return tuple(curve.opts["pen"] for curve in self._planned[pattern])

    def drawn(self, pattern: Pattern) -> Line:
        """Return the planned line as it is drawn in that pattern."""
        curve = self._planned[pattern][-1]
        x, y = curve.getData()
        if x is None:
            return np.empty(0), np.empty(0), np.empty(0, dtype=bool)
        return x, y, curve.opts["connect"]


def _pieces(line: Line) -> Iterator[tuple[Floats, Floats]]:
    x, y, joined = line
    first = 0
    for last in np.flatnonzero(~joined).tolist():
        yield x[first : last + 1], y[first : last + 1]
        first = last + 1


def _curve() -> pg.PlotCurveItem:
    curve = pg.PlotCurveItem(antialias=True)
    curve.setSegmentedLineMode("off")
    return curve


def _set(curve: pg.PlotCurveItem, line: Line) -> None:
    x, y, joined = line
    if not len(x) and curve.xData is not None and not len(curve.xData):
        # Nothing instead of nothing.
        return
    curve.setVisible(bool(len(x)))
    curve.setData(x, y, connect=joined, skipFiniteCheck=True)
