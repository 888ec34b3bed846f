"""Where the planned line runs under the ground: hatched between the two, in the plot and as a sample."""

import attrs
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF

from planner.ceiling.profile import SAME_HEIGHT_M
from planner.desk import palette
from planner.desk.profile.overlay import PixelLayer
from planner.desk.profile.view import PathView
from planner.drawing.path_ceilings import between
from planner.track.track import Track
from planner.units import FOOT_M

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Dip:
    """One stretch under the ground: distances along the path [m], ground and planned line [ft AMSL]."""

    distance_m: Floats
    ground_ft: Floats
    planned_ft: Floats


def dips_of(track: Track) -> tuple[Dip, ...]:
    """Return every stretch on which the planned line is under the ground, cut where they cross."""
    depth_m = track.ground_amsl_m - track.planned_amsl_m - SAME_HEIGHT_M
    under = depth_m > 0
    if not under.any():
        return ()
    edges = np.flatnonzero(np.diff(np.concatenate([[False], under, [False]]).astype(np.int8)))
    return tuple(
        _dip(track, depth_m, first, after)
        for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    )


def _dip(track: Track, depth_m: Floats, first: int, after: int) -> Dip:
    inner = np.arange(first, after, dtype=float)
    begins = [] if first == 0 else [first - 1 + _zero(depth_m[first - 1], depth_m[first])]
    ends = [] if after == len(depth_m) else [after - 1 + _zero(depth_m[after - 1], depth_m[after])]
    at = np.concatenate([begins, inner, ends])
    return Dip(
        between(track.distance_m, at),
        between(track.ground_amsl_m, at) / FOOT_M,
        between(track.planned_amsl_m, at) / FOOT_M,
    )


def _zero(before: float, after: float) -> float:
    """Return at which share of a step a value passes zero; the known end beside one that is not known."""
    if not np.isfinite(before + after):
        return 0.0 if np.isfinite(before) else 1.0
    return float(before / (before - after))


class UnderGround(PixelLayer):
    """Hatches those stretches, over the ground and under the planned line's own pattern."""

    def __init__(self, view: PathView) -> None:
        super().__init__(view, 12)
        self._dips: tuple[Dip, ...] = ()

    @property
    def dips(self) -> tuple[Dip, ...]:
        """What is hatched."""
        return self._dips

    def show_dips(self, dips: tuple[Dip, ...]) -> None:
        """Hatch these stretches."""
        self._dips = dips
        self.update()

    def paint(self, painter: QPainter, *_: object) -> None:
        """Paint the hatches."""
        if not self._dips:
            return
        scale = self.view.scale_now
        painter.setClipRect(self.boundingRect())
        for dip in self._dips:
            x = scale.all_x_px(dip.distance_m)
            over = [
                QPointF(*at) for at in zip(x.tolist(), scale.all_y_px(dip.ground_ft).tolist(), strict=True)
            ]
            line = [
                QPointF(*at) for at in zip(x.tolist(), scale.all_y_px(dip.planned_ft).tolist(), strict=True)
            ]
            hatch(painter, QPolygonF([*over, *reversed(line)]))


def hatch(painter: QPainter, outline: QPolygonF | QRectF) -> None:
    """Fill an outline as ground that would be flown through."""
    colour = QColor(palette.in_use().over)
    painter.setPen(QPen(colour, 1))
    for brush in (QBrush(QColor(palette.in_use().paper)), QBrush(colour, Qt.BrushStyle.DiagCrossPattern)):
        painter.setBrush(brush)
        polygon = QPolygonF(outline) if isinstance(outline, QRectF) else outline
        painter.drawPolygon(polygon)
