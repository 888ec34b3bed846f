"""What is drawn in pixels over and under the lines: hatches, towers, words, the marker."""

from collections.abc import Sequence

import attrs
import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from planner.desk import palette
from planner.desk.profile import tones
from planner.desk.profile.labels import Label, Placed, place_labels, skyline
from planner.desk.profile.lines import Line, ProfileLines
from planner.desk.profile.scale import Scale, ticks
from planner.desk.profile.strip import Tone
from planner.desk.profile.towers import Tower
from planner.desk.profile.view import PathView, height_step_ft

Floats = NDArray[np.float64]

_TOWER_PX = 3.0
_UNKNOWN_TOP_PX = 26.0
_LEADER_FROM_PX = 12.0
_ROOM_PX = 4.0
_LOWEST_WORDS = 0.62


@attrs.frozen(eq=False)
class Scenery:
    """What over- and underlay show besides the lines.

    `floor`: along the path [m], up to where all is open in what is not known above [ft AMSL], NaN: nothing.
    """

    towers: tuple[Tower, ...] = ()
    labels: tuple[Label, ...] = ()
    unknown: tuple[tuple[float, float], ...] = ()
    floor: tuple[Floats, Floats] | None = None
    turn_back_m: float | None = None


class PixelLayer(pg.GraphicsObject):
    """A layer of the plot whose coordinates are pixels of the view."""

    def __init__(self, view: PathView, height: float) -> None:
        super().__init__(view)
        self._view = view
        self.setZValue(height)
        view.sigResized.connect(self._on_resized)

    @property
    def view(self) -> PathView:
        """The view this layer lies in."""
        return self._view

    def boundingRect(self) -> QRectF:
        """Return the plot's rectangle."""
        return QRectF(self._view.rect())

    def _on_resized(self, _view: object) -> None:
        self.prepareGeometryChange()
        self.update()


class Underlay(PixelLayer):
    """Under the lines: grid, hatched stretches that are not known, towers."""

    def __init__(self, view: PathView) -> None:
        super().__init__(view, -10)
        self._scenery: Scenery | None = None

    def show_scenery(self, scenery: Scenery | None) -> None:
        """Show this scenery."""
        self._scenery = scenery
        self.update()

    def paint(self, painter: QPainter, *_: object) -> None:
        """Paint grid, hatches and towers."""
        scale = self.view.scale_now
        box = self.boundingRect()
        painter.setClipRect(box)
        painter.setPen(QPen(QColor(palette.in_use().grid), 1))
        step_ft = height_step_ft(scale.low_ft, scale.high_ft, scale.height_px)
        for height_ft in ticks(scale.low_ft, scale.high_ft, step_ft):
            y = round(scale.y_px(height_ft)) + 0.5
            painter.drawLine(QLineF(box.left(), y, box.right(), y))
        if self._scenery:
            for from_m, to_m in self._scenery.unknown:
                _hatch(painter, scale, (from_m, to_m), self._scenery.floor)
            for tower in self._scenery.towers:
                _paint_tower(painter, scale, tower)
            if self._scenery.turn_back_m is not None:
                x = round(scale.x_px(self._scenery.turn_back_m)) + 0.5
                painter.setPen(QPen(QColor(palette.in_use().ink), 1.4, Qt.PenStyle.DashDotLine))
                painter.drawLine(QLineF(x, box.top(), x, box.bottom()))


class Words(PixelLayer):
    """Above the lines: what binds where, in words that cover no line and no other words."""

    def __init__(self, view: PathView, lines: ProfileLines) -> None:
        super().__init__(view, 20)
        self._lines = lines
        self._scenery: Scenery | None = None
        self._placed: list[Placed] = []
        self._placed_for: tuple[Scale, object] | None = None
        self._sky_px = np.empty(0)

    def show_scenery(self, scenery: Scenery | None) -> None:
        """Show this scenery's labels."""
        self._scenery = scenery
        self.update()

    def placed(self) -> Sequence[Placed]:
        """Return the labels that found room, with their boxes."""
        scale = self.view.scale_now
        if self._placed_for != (scale, self._scenery):
            self._placed = self._place(scale) if self._scenery else []
            self._placed_for = (scale, self._scenery)
        return self._placed

    def _place(self, scale: Scale) -> list[Placed]:
        assert self._scenery is not None
        metrics = QFontMetricsF(self._view.font())
        stretches = []
        for label in self._scenery.labels:
            left = max(scale.x_px(label.from_m), 0.0)
            right = min(scale.x_px(label.to_m), scale.width_px)
            if right >= left:
                stretches.append((label, left, right, metrics.horizontalAdvance(label.text) + 2))
        self._sky_px = _sky(self._lines.tops, self._scenery.towers, scale)
        return place_labels(stretches, metrics.height(), self._sky_px)

    def paint(self, painter: QPainter, *_: object) -> None:
        """Paint the labels."""
        painter.setClipRect(self.boundingRect())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._view.font())
        for placed in self.placed():
            box = placed.box
            where = QRectF(box.left, box.top, box.right - box.left, box.bottom - box.top)
            tones.paper_behind(painter, 205)
            painter.drawRoundedRect(where.adjusted(-3, 0, 3, 0), 2, 2)
            _paint_leader(painter, placed, self._sky_px, _no_line_px(self.view.scale_now))
            painter.setPen(_colour_of(placed.label))
            painter.drawText(where, Qt.AlignmentFlag.AlignCenter, placed.label.text)


class MarkerLine(PixelLayer):
    """The marker that profile, strips and map share."""

    def __init__(self, view: PathView) -> None:
        super().__init__(view, 15)
        self._distance_m: float | None = None

    @property
    def distance_m(self) -> float | None:
        """Where the marker stands along the path [m], None if nowhere."""
        return self._distance_m

    def put(self, distance_m: float | None) -> None:
        """Put the marker at a distance [m], or take it away."""
        self._distance_m = distance_m
        self.update()

    def paint(self, painter: QPainter, *_: object) -> None:
        """Paint the marker."""
        if self._distance_m is None:
            return
        x = round(self._view.scale_now.x_px(self._distance_m)) + 0.5
        box = self.boundingRect()
        painter.setClipRect(box)
        painter.setPen(QPen(QColor(palette.in_use().ink), 1))
        painter.drawLine(QLineF(x, box.top(), x, box.bottom()))


def _colour_of(label: Label) -> QColor:
    colours = palette.in_use()
    return QColor({"ask": colours.ask, "soft": colours.ink_soft}.get(label.tone, colours.ink))


def _hatch(
    painter: QPainter, scale: Scale, part_m: tuple[float, float], floor: tuple[Floats, Floats] | None
) -> None:
    """Hatch a stretch that is not known, above what is open in it."""
    left, right = (scale.x_px(at_m) for at_m in part_m)
    right = max(right, left + 2.0)
    outline = [QPointF(left, 0.0), QPointF(right, 0.0), QPointF(right, scale.height_px)]
    if floor is not None and np.isfinite(floor[1]).any():
        at_m, height_ft = floor
        inside = (at_m >= part_m[0]) & (at_m <= part_m[1])
        y_px = np.where(np.isfinite(height_ft), scale.all_y_px(height_ft), scale.height_px)[inside]
        x_px = scale.all_x_px(at_m[inside])
        outline += [QPointF(x, y) for x, y in zip(x_px[::-1].tolist(), y_px[::-1].tolist(), strict=True)]
    outline.append(QPointF(left, scale.height_px))
    path = QPainterPath()
    path.addPolygon(QPolygonF(outline))
    path.closeSubpath()
    tones.keep_hatches_wide(painter)
    painter.fillPath(path, tones.fill_of(Tone.UNKNOWN))
    painter.fillPath(path, tones.hatch_of_unknown())


def _paint_tower(painter: QPainter, scale: Scale, tower: Tower) -> None:
    x = scale.x_px(tower.distance_m)
    foot = scale.y_px(tower.base_ft)
    if tower.top_ft is None:
        pen = QPen(QColor(palette.in_use().ink_soft), 1.5, Qt.PenStyle.DotLine)
        painter.setPen(pen)
        painter.drawLine(QLineF(x, foot, x, foot - _UNKNOWN_TOP_PX))
        return
    top = scale.y_px(tower.top_ft)
    painter.fillRect(
        QRectF(x - _TOWER_PX / 2, top, _TOWER_PX, foot - top + 4), QColor(palette.in_use().ink_soft)
    )
    painter.setPen(QPen(QColor(palette.in_use().ink), 1.5))
    painter.drawLine(QLineF(x - 4, top, x + 4, top))


def _paint_leader(painter: QPainter, placed: Placed, sky_px: np.ndarray, no_line_px: float) -> None:
    x = placed.points_at_px
    if not 0 <= x < len(sky_px):
        return
    end = float(sky_px[int(x)])
    start = placed.box.bottom
    if end < no_line_px and end - start > _LEADER_FROM_PX:
        from_x = min(max(x, placed.box.left), placed.box.right)
        painter.setPen(QPen(QColor(palette.in_use().ink_soft), 0.8))
        painter.drawLine(QPointF(from_x, start), QPointF(x, end))


def _no_line_px(scale: Scale) -> float:
    """Return the y that a skyline has where no line is above it [px]."""
    return scale.height_px * _LOWEST_WORDS - _ROOM_PX


def _sky(lines: Sequence[Line], towers: Sequence[Tower], scale: Scale) -> np.ndarray:
    """Return the uppermost drawn line per pixel column [px]."""
    width = max(int(scale.width_px), 1)
    sky = np.full(width, scale.height_px * _LOWEST_WORDS)
    for x, y, joined in lines:
        np.minimum(
            sky, skyline(width, (x - scale.from_m) * scale.px_per_m, scale.all_y_px(y), joined), out=sky
        )
    sky -= _ROOM_PX
    for tower in towers:
        if tower.top_ft is not None:
            x_px = int(scale.x_px(tower.distance_m))
            here = slice(max(x_px - 4, 0), max(x_px + 5, 0))
            sky[here] = np.minimum(sky[here], scale.y_px(tower.top_ft))
    return sky
