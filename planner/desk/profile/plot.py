"""The plot itself: lines, scenery, marker and handles in one view."""

import attrs
import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import QWidget

from planner.assessment import Assessment
from planner.desk import palette
from planner.desk.profile.annotations import labels_of, unknown_parts
from planner.desk.profile.curves import ProfileCurves, curves_of, height_range_ft
from planner.desk.profile.handles import Handles, PointHandles
from planner.desk.profile.labels import Label
from planner.desk.profile.legend import SAMPLE_OF, Sample
from planner.desk.profile.lines import ProfileLines
from planner.desk.profile.overlay import MarkerLine, Scenery, Underlay, Words
from planner.desk.profile.towers import Tower, TowerFinder
from planner.desk.profile.turn_back import turn_back_mark
from planner.desk.profile.under_ground import UnderGround, dips_of
from planner.desk.profile.view import DistanceAxis, HeightAxis, PathView
from planner.desk.style import scaled
from planner.drawing.path_pattern import Stretch, stretches
from planner.rules.flown_line import flown_line

_LEFT_AXIS_PX = 58
_RIGHT_MARGIN_PX = 16
_AXIS_ROOM_PX, _UNDER_PX = 8, 2
_ROOM_BELOW, _ROOM_ABOVE = 0.07, 0.10
_LABEL_LINES = 2.2
_LEAST_SPAN_FT = 100.0
_TURN_BACK_WEIGHT = 4


class ProfilePlot(pg.PlotWidget):
    """Draws one assessment; `scale_changed` follows every zoom, pan, fit and resize."""

    scale_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        self._view = PathView()
        self._axes = {"left": HeightAxis(), "bottom": DistanceAxis()}
        super().__init__(parent, background=palette.in_use().paper, viewBox=self._view, axisItems=self._axes)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setAccessibleName("Profile along the path")
        item = self.getPlotItem()
        item.hideButtons()
        item.setMenuEnabled(False)
        self._lines = ProfileLines(self._view)
        self._underlay = Underlay(self._view)
        self._words = Words(self._view, self._lines)
        self.under_ground = UnderGround(self._view)
        self.marker = MarkerLine(self._view)
        self.handles = PointHandles(self._view)
        self._finder = TowerFinder()
        self._curves: ProfileCurves | None = None
        self._drawn: tuple[object, object] | None = None
        self._towers: tuple[Tower, ...] = ()
        self._scenery = Scenery()
        self._unknown: tuple[tuple[float, float], ...] = ()
        self._view.stretch_changed.connect(self._fit)
        self._view.sigResized.connect(self._fit)
        self.set_text_font(self.font())

    @property
    def view(self) -> PathView:
        """The view with its scale."""
        return self._view

    @property
    def lines(self) -> ProfileLines:
        """The lines as drawn."""
        return self._lines

    @property
    def words(self) -> Words:
        """The labels as drawn."""
        return self._words

    @property
    def towers(self) -> tuple[Tower, ...]:
        """The structures drawn."""
        return self._towers

    @property
    def has_unknown(self) -> bool:
        """Whether a stretch is hatched as not known."""
        return bool(self._unknown)

    @property
    def curves(self) -> ProfileCurves | None:
        """The arrays drawn."""
        return self._curves

    @property
    def axis_height_px(self) -> int:
        """Height of the lower axis and of the margins over and under the view."""
        line_px = self.fontMetrics().height()
        return line_px + _AXIS_ROOM_PX + line_px // 2 + _UNDER_PX

    def set_text_font(self, font: QFont) -> None:
        """Write ticks and labels in this font."""
        self._view.setFont(font)
        for axis in self._axes.values():
            axis.set_text_font(font)
        self._axes["left"].setWidth(scaled(_LEFT_AXIS_PX))
        line_px = self.fontMetrics().height()
        self._axes["bottom"].setHeight(line_px + _AXIS_ROOM_PX)
        # A figure at the upper edge reaches half a line over it.
        self.getPlotItem().layout.setContentsMargins(0, line_px // 2, _RIGHT_MARGIN_PX, _UNDER_PX)

    def dress(self) -> None:
        """Take the colours and the size of text that are in use."""
        self.setBackground(palette.in_use().paper)
        for axis in self._axes.values():
            axis.dress()
        self._lines.dress()
        self.set_text_font(self.font())
        self._fit()
        self.viewport().update()

    def speak(self) -> None:
        """Say the figures on the axes in the units in use."""
        for axis in self._axes.values():
            axis.say_anew()

    def show_assessment(self, assessment: Assessment, parts: tuple[Stretch, ...] | None = None) -> None:
        """Draw an assessment that has a track; `parts` stand in for its own stretches."""
        track, profile = assessment.track, assessment.profile
        assert track is not None
        assert profile is not None
        self._curves = _curves(assessment, parts)
        self._towers = self._finder.near(track, assessment.world.structures)
        self._unknown = unknown_parts(track, profile)
        self.under_ground.show_dips(dips_of(track))
        spans = assessment.plan.figure_spans()
        labels = labels_of(track, profile, self._towers, spans)
        floor = self._curves.distance_m, self._curves.open_ft
        self._scenery = Scenery(self._towers, labels, self._unknown, floor)
        self.show_turn_back(assessment)
        points = track.point_sample
        self.handles.show_handles(Handles(track.distance_m[points], track.planned_amsl_m[points]))
        self._view.set_points(tuple(track.distance_m[points].tolist()))
        self._show_length()
        self._fit()

    def hold_axis(self) -> None:
        """Let the axis along the path stand still, whatever its length becomes, until `let_axis_go`."""
        self._view.hold_axis()

    def let_axis_go(self) -> None:
        """Let the axis tell the path's true length again."""
        self._view.let_axis_go()
        self._show_length()
        self._fit()

    def _show_length(self) -> None:
        if self._curves is None:
            return
        self._view.set_length(self._curves.length_m)
        if not self._view.holds_axis:
            self._axes["bottom"].length_m = self._curves.length_m

    def show_turn_back(self, assessment: Assessment) -> None:
        """Mark where to turn back, once that is worked out."""
        mark, scenery = turn_back_mark(assessment), self._scenery
        if mark is not None:
            at_m = mark.distance_m
            label = Label(mark.words, at_m, at_m, _TURN_BACK_WEIGHT)
            scenery = attrs.evolve(scenery, labels=(*scenery.labels, label), turn_back_m=at_m)
        self._underlay.show_scenery(scenery)
        self._words.show_scenery(scenery)

    def show_patterns(self, assessment: Assessment, parts: tuple[Stretch, ...] | None = None) -> None:
        """Draw the planned line as it stands now that more is worked out; the rest stays."""
        track, profile = assessment.track, assessment.profile
        if self._curves is not None and track is not None and profile is not None:
            self._curves = _curves(assessment, parts)
            self._fit()

    def make_room(self) -> None:
        """Let the heights shown contain the handle that is held."""
        self._fit()

    def plot_box(self) -> QRectF:
        """Return where the view lies in this widget [px]."""
        return QRectF(self._view.sceneBoundingRect())

    def distance_at(self, x_px: float) -> float | None:
        """Return the distance [m] at an x of this widget, None without a path."""
        if self._curves is None:
            return None
        at_m = self._view.scale_now.distance_m(x_px - self.plot_box().left())
        return float(np.clip(at_m, 0.0, self._curves.length_m))

    def handle_position(self, index: int) -> QPointF:
        """Return where a point's handle is in this widget [px]."""
        return self.handles.centre(index) + self.plot_box().topLeft()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep whoever shares the axis in step."""
        super().resizeEvent(event)
        self.scale_changed.emit()

    def _fit(self, *_: object) -> None:
        if self._curves is not None:
            self._view.set_heights(*self._fitting_heights(self._curves))
            scale = self._view.scale_now
            if self._drawn != (self._curves, scale):
                self._drawn = (self._curves, scale)
                self._lines.show(self._curves, scale)
        self.scale_changed.emit()

    def _fitting_heights(self, curves: ProfileCurves) -> tuple[float, float]:
        """Return the heights to show: all lines in view, and room for words above them."""
        scale = self._view.scale_now
        from_m, to_m = scale.distance_m(0.0), scale.distance_m(scale.width_px)
        low, high = height_range_ft(curves, from_m, to_m) or (0.0, 1000.0)
        tops = [t.top_ft for t in self._towers if t.top_ft is not None and from_m <= t.distance_m <= to_m]
        high = max([high, *tops])
        if (held := self.handles.held_amsl_ft) is not None:
            high, low = max(high, held), min(low, held)
        span = max(high - low, _LEAST_SPAN_FT)
        height_px = scale.height_px
        words_share = min(_LABEL_LINES * self.fontMetrics().height() / height_px, 0.4)
        whole = span * (1 + _ROOM_BELOW) / (1 - max(words_share, _ROOM_ABOVE))
        bottom = low - span * _ROOM_BELOW
        top = bottom + whole
        if self.handles.held_amsl_ft is None:
            return bottom, top
        # While a handle is held the heights must not slide under the mouse: the range only grows.
        shown = self._view.scale_now
        return min(bottom, shown.low_ft) if low < shown.low_ft else shown.low_ft, (
            max(top, shown.high_ft) if high > shown.high_ft else shown.high_ft
        )


def _curves(assessment: Assessment, parts: tuple[Stretch, ...] | None) -> ProfileCurves:
    track, profile = assessment.track, assessment.profile
    assert track is not None
    assert profile is not None
    shown = stretches(assessment) if parts is None else parts
    return curves_of(track, profile, shown, flown_line(assessment.case, assessment.findings))


def samples_of(plot: ProfilePlot) -> tuple[Sample, ...]:
    """Return what a plot that has drawn something shows, in the legend's order."""
    curves = plot.curves
    assert curves is not None
    shown = {Sample.CEILING, Sample.CLEAR, Sample.GROUND}
    if curves.asked_joined.any():
        shown.add(Sample.ASKED)
    if curves.open_joined.any():
        shown.add(Sample.OPEN)
    if curves.flown_joined.any():
        shown.add(Sample.FLOWN)
    shown |= {sample for pattern, sample in SAMPLE_OF.items() if curves.planned.has(pattern)}
    if plot.has_unknown:
        shown.add(Sample.UNKNOWN)
    if plot.under_ground.dips:
        shown.add(Sample.UNDER)
    return tuple(sample for sample in Sample if sample in shown)
