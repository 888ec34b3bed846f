"""The plot's view and axes: zoom and pan along the path only, round feet upward."""

from collections.abc import Sequence

import pyqtgraph as pg
from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFont

from planner.desk import palette
from planner.desk.profile import tones
from planner.desk.profile.scale import Scale, Still, distance_text, round_step, ticks
from planner.desk.saying import in_use
from planner.saying import HEIGHTS, WAYS
from planner.units import FOOT_M

_SIDE_MARGIN = 0.012
_CLOSEST_M = 20.0
_ZOOM_A_NOTCH = 0.8
_PX_BETWEEN_HEIGHTS = 34
_PX_BETWEEN_HEIGHTS_AT_LEAST = 14
_LEAST_HEIGHTS = 2
_PX_BETWEEN_DISTANCES = 92
_NOTCH = 120.0
_BESIDE_PX = 60
"""So far a figure may reach beyond its axis: the first and last of large text do."""


class PathView(pg.ViewBox):
    """Shows a stretch of the path; the wheel zooms along it, a drag pans, a double click resets."""

    stretch_changed = Signal()

    def __init__(self) -> None:
        super().__init__(enableMenu=False)
        self.disableAutoRange()
        self._length_m = 0.0
        self._stretch = self._whole()
        self._heights_ft = (0.0, 1000.0)
        self._held_m: tuple[float, ...] | None = None
        self._points_m: tuple[float, ...] = ()
        self._show()

    @property
    def is_zoomed(self) -> bool:
        """Whether less than the whole path is shown."""
        return self._stretch != self._whole()

    @property
    def stretch_m(self) -> tuple[float, float]:
        """The visible stretch [m], including the margin beside the path."""
        return self._stretch

    @property
    def scale_now(self) -> Scale:
        """The ranges and the size as they are now."""
        box: QRectF = self.rect()
        size = max(box.width(), 1.0), max(box.height(), 1.0)
        held = self._held_m
        moved = held is not None and len(held) == len(self._points_m) and held != self._points_m
        still = Still(self._points_m, held) if held is not None and moved else None
        return Scale(*self._stretch, *self._heights_ft, *size, still)

    def hold_axis(self) -> None:
        """Let every point stay where it is drawn, however long the path becomes, until `let_axis_go`."""
        self._held_m = self._points_m

    @property
    def holds_axis(self) -> bool:
        """Whether the axis stands still."""
        return self._held_m is not None

    def let_axis_go(self) -> None:
        """Draw the path at its true length again; the caller sets it."""
        self._held_m = None

    def set_points(self, points_m: tuple[float, ...]) -> None:
        """Say where along the path its points are [m]."""
        self._points_m = points_m
        if self._held_m is not None and len(self._held_m) != len(points_m):
            self._held_m = None

    def set_length(self, length_m: float) -> None:
        """Show a path of another length; a zoomed stretch stays where it can. Emits nothing."""
        if self._held_m is not None:
            return
        zoomed = self.is_zoomed
        self._length_m = length_m
        self._change_stretch(*(self._stretch if zoomed else self._whole()))

    def set_heights(self, low_ft: float, high_ft: float) -> None:
        """Set the visible heights [ft AMSL]."""
        if (low_ft, high_ft) != self._heights_ft:
            self._heights_ft = (low_ft, high_ft)
            self._show()

    def show_whole(self) -> None:
        """Show the whole path."""
        self._set_stretch(*self._whole())

    def _whole(self) -> tuple[float, float]:
        length_m = max(self._length_m, 1.0)
        return -_SIDE_MARGIN * length_m, (1 + _SIDE_MARGIN) * length_m

    def _set_stretch(self, from_m: float, to_m: float) -> None:
        if self._change_stretch(from_m, to_m):
            self.stretch_changed.emit()

    def _change_stretch(self, from_m: float, to_m: float) -> bool:
        first_m, last_m = self._whole()
        width_m = min(max(to_m - from_m, _CLOSEST_M), last_m - first_m)
        from_m = min(max(from_m, first_m), last_m - width_m)
        stretch = (from_m, from_m + width_m) if width_m < last_m - first_m else (first_m, last_m)
        if stretch == self._stretch:
            return False
        self._stretch = stretch
        self._show()
        return True

    def _show(self) -> None:
        self.setRange(xRange=self._stretch, yRange=self._heights_ft, padding=0, disableAutoRange=False)

    def wheelEvent(self, event, axis=None) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
        """Zoom along the path about the mouse."""
        at_m = self.scale_now.axis_m(event.pos().x())
        factor = _ZOOM_A_NOTCH ** (event.delta() / _NOTCH)
        from_m, to_m = self._stretch
        self._set_stretch(at_m - (at_m - from_m) * factor, at_m + (to_m - at_m) * factor)
        event.accept()

    def mouseDragEvent(self, event, axis=None) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
        """Pan along the path."""
        if event.button() not in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            event.ignore()
            return
        event.accept()
        by_m = (event.lastPos().x() - event.pos().x()) / self.scale_now.px_per_m
        self._set_stretch(self._stretch[0] + by_m, self._stretch[1] + by_m)

    def mouseClickEvent(self, event) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
        """Show the whole path again on a double click."""
        if event.double():
            event.accept()
            self.show_whole()


class _Axis(pg.AxisItem):
    def __init__(self, orientation: str) -> None:
        super().__init__(orientation)
        self.dress()
        self.enableAutoSIPrefix(False)
        self.setStyle(
            tickLength=0,
            autoExpandTextSpace=False,
            autoReduceTextSpace=False,
            hideOverlappingLabels=_BESIDE_PX,
        )

    def dress(self) -> None:
        """Take the pens of the appearance that is in use."""
        colours = palette.in_use()
        self.setPen(tones.line(colours.rule, 1.0))
        self.setTickPen(colours.rule)
        self.setTextPen(colours.ink_soft)

    def wheelEvent(self, event) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
        """Leave the wheel to the plot."""
        event.ignore()

    def mouseDragEvent(self, event) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
        """Leave dragging to the plot."""
        event.ignore()

    def say_anew(self) -> None:
        """Write the ticks in the units in use: the picture of the axis is kept until something moves."""
        self.picture = None
        self.update()

    def set_text_font(self, font: QFont) -> None:
        """Write the ticks in this font."""
        self.setStyle(tickFont=font)


class HeightAxis(_Axis):
    """Round heights above sea level, in the unit in use; the plot itself counts in feet."""

    def __init__(self) -> None:
        super().__init__("left")

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        """Return round heights, far enough apart to be read."""
        step = height_step_ft(minVal, maxVal, size)
        return [(step, list(ticks(minVal, maxVal, step)))]

    def tickStrings(self, values: Sequence[float], scale: float, spacing: float) -> list[str]:
        """Return whole feet or metres."""
        return [f"{value / _feet():,.0f}" for value in values]


class DistanceAxis(_Axis):
    """Round distances along the path."""

    def __init__(self) -> None:
        super().__init__("bottom")
        self.length_m = 0.0
        self.setToolTip("Length of the path through the air: climbs and dives count with their slant")

    def tickValues(self, minVal: float, maxVal: float, size: float) -> list[tuple[float, list[float]]]:
        """Return round distances on the path, none beside it."""
        way = in_use().way
        unit_m = 1.0 if way == "km" else WAYS[way]
        step = max(round_step((maxVal - minVal) / unit_m, int(size // _PX_BETWEEN_DISTANCES)) * unit_m, 1.0)
        return [(step, list(ticks(max(minVal, 0.0), min(maxVal, self.length_m), step)))]

    def tickStrings(self, values: Sequence[float], scale: float, spacing: float) -> list[str]:
        """Return metres or kilometres, or miles."""
        return [distance_text(value, spacing, in_use().way) for value in values]


def height_step_ft(low_ft: float, high_ft: float, size_px: float) -> float:
    """Return the step between the heights that are written [ft], round in the unit in use.

    Two heights at least make a scale: a low plot writes them closer together.
    """
    unit_ft, span_ft = _feet(), high_ft - low_ft
    step_ft = max(round_step(span_ft / unit_ft, int(size_px // _PX_BETWEEN_HEIGHTS)), 1.0) * unit_ft
    while len(list(ticks(low_ft, high_ft, step_ft))) < _LEAST_HEIGHTS and step_ft > unit_ft:
        closer_ft = round_step(step_ft / unit_ft * 0.4, 1) * unit_ft
        if closer_ft >= step_ft or closer_ft / span_ft * size_px < _PX_BETWEEN_HEIGHTS_AT_LEAST:
            break
        step_ft = closer_ft
    return step_ft


def _feet() -> float:
    """Return how many feet the unit in use for heights is."""
    return HEIGHTS[in_use().height] / FOOT_M
