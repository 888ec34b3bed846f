"""The profile panel: legend, plot and strips of an assessment, and the gestures on them."""

import math
from collections.abc import Iterable

import attrs
from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QStackedLayout, QVBoxLayout, QWidget

from planner.assessment import Assessment
from planner.desk.manual.address import lead_to
from planner.desk.manual.anchors import address_of_strip
from planner.desk.profile.drag import HeightDrag
from planner.desk.profile.heights import allowed_amsl_m
from planner.desk.profile.legend import Legend
from planner.desk.profile.message import Message
from planner.desk.profile.plot import ProfilePlot, samples_of
from planner.desk.profile.readout import EMPTY, area_words
from planner.desk.profile.soft_stop import SoftStop, stop_height_m, words_beside
from planner.desk.profile.strip_area import StripArea
from planner.desk.profile.strip_view import StripView
from planner.desk.profile.strips import OF_THE_FLIGHT, strips_of
from planner.desk.saying import planned_words, whole_m
from planner.drawing.path_pattern import Stretch
from planner.track.track import Track
from planner.units import FOOT_M

_STILL_PX = 3
_BELOW_PX = 4
_SAME_M = 0.05
LEAST_PLOT_PX = 120
_STEP, _BIG_STEP = 1, 10
_UP_DOWN = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1}
_LEFT_RIGHT = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}


class ProfilePanel(QWidget):
    """Shows how high the path goes and may go, metre by metre.

    Signals
    -------
    hovered(distance_m), hover_left() : the mouse over plot or strips.
    strip_pointed(name) : which strip the mouse is over, '' for none; said before `hovered`.
    ceiling_asked(distance_m) : a click beside the handles.
    sight_asked(distance_m) : a click on the strip of sight.
    strip_asked(name, distance_m) : a click on a strip of the flight.
    point_selected(index) : a handle was picked by mouse or by arrow keys.
    point_height_dragged(index, planned_amsl_m, phase) : a handle is moved by
        mouse or by arrow keys; phase is "start", "move" or "end". After a
        "move" nothing but the "end" follows until `acknowledge`. Heights are
        whole feet, or whole metres where those are preferred, in the point's
        own kind of height. Pulled past the ceiling a
        handle catches there first; with Shift it doesn't. Escape ends a drag
        where it began.
    """

    hovered = Signal(float)
    strip_pointed = Signal(str)
    hover_left = Signal()
    point_selected = Signal(int)
    point_height_dragged = Signal(int, float, str)
    ceiling_asked = Signal(float)
    sight_asked = Signal(float)
    strip_asked = Signal(str, float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._assessment: Assessment | None = None
        self._pressed_px: QPointF | None = None
        self._with_flight = True
        self._stop = SoftStop(math.nan)
        self._drag = HeightDrag(self)
        self._drag.told.connect(self.point_height_dragged)
        self._drag.told.connect(self._on_told)
        self.plot = ProfilePlot()
        self.strips = StripView()
        self.strip_area = StripArea(self.strips)
        self.legend = Legend()
        self.message = Message()
        self._lay_out()
        self._listen()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Profile along the path")
        self._explain("")
        self.strip_pointed.connect(self._explain)
        self.message.say(EMPTY)
        self._describe_selection()

    def _lay_out(self) -> None:
        self._chart = QWidget()
        chart = QVBoxLayout(self._chart)
        chart.setContentsMargins(0, 0, 0, _BELOW_PX)
        chart.setSpacing(0)
        chart.addWidget(self.legend)
        chart.addWidget(self.plot, 1)
        chart.addWidget(self.strip_area)
        self._pages = QStackedLayout(self)
        self._pages.addWidget(self.message)
        self._pages.addWidget(self._chart)
        self.setMinimumSize(360, 150)

    def _listen(self) -> None:
        self.plot.scale_changed.connect(self._align_strips)
        self.plot.handles.picked.connect(self._on_picked)
        self.plot.handles.grabbed.connect(self._begin)
        self.plot.handles.pulled.connect(self._on_pulled)
        self.plot.handles.released.connect(self._drag.finish)
        for area in (self.plot.viewport(), self.strips):
            area.installEventFilter(self)

    @property
    def marker_m(self) -> float | None:
        """Where the marker stands along the path [m], None if nowhere."""
        return self.plot.marker.distance_m

    @property
    def selected_point(self) -> int | None:
        """The selected point, None if there is none."""
        return self.plot.handles.selected

    def show_assessment(self, assessment: Assessment, parts: tuple[Stretch, ...] | None = None) -> None:
        """Draw an assessment; without a path say what there is to say. `parts` stand in for its stretches."""
        self._assessment = assessment
        if assessment.track is None or assessment.profile is None or not len(assessment.track):
            self._show_message(assessment)
            return
        self._keep_or_drop_drag(len(assessment.track.point_sample))
        self.plot.show_assessment(assessment, parts)
        self.legend.show_samples(samples_of(self.plot))
        self.show_strips(assessment)
        self._pages.setCurrentWidget(self._chart)
        self._describe_selection()
        if self._drag.index is not None:
            self._mark(self._drag.index)

    def show_reading(self, main: str, rest: str) -> None:
        """Say that there is nothing to draw yet."""
        self._keep_or_drop_drag(0)
        self.message.say(main, rest)
        self._pages.setCurrentWidget(self.message)

    def show_strips(self, assessment: Assessment) -> None:
        """Show the strips of an assessment."""
        self._assessment = assessment
        if assessment.track is not None and assessment.profile is not None:
            self.plot.show_turn_back(assessment)
            self.strips.show_strips(strips_of(assessment, with_flight=self._with_flight))
            self._share_height()

    def show_followed(self, assessment: Assessment, parts: tuple[Stretch, ...] | None = None) -> None:
        """Show what has been worked out since: strips, and how the planned line stands."""
        if assessment.track is not None and assessment.profile is not None and len(assessment.track):
            self.plot.show_patterns(assessment, parts)
            self.legend.show_samples(samples_of(self.plot))
        self.show_strips(assessment)

    def hold_unjudged(self) -> bool:
        """While a height is changed draw the line as not known until it is judged; else return False."""
        if self._assessment is not None and self._drag.index is not None:
            self.show_followed(attrs.evolve(self._assessment, live=False, whole=False))
        return self._drag.index is not None

    def show_flight_strips(self, on: bool) -> None:
        """Show or hide the strips of battery, links and what is beneath."""
        self._with_flight = on
        if self._assessment is not None:
            self.show_strips(self._assessment)

    def set_marker(self, distance_m: float | None) -> None:
        """Put the marker at a distance along the path [m], or take it away."""
        self.plot.marker.put(distance_m)
        self.strips.put_marker(distance_m)

    def select_point(self, index: int | None, group: Iterable[int] = ()) -> None:
        """Select a point, alone or with others, without telling of it; one that is not drawn is none."""
        beyond = index is not None and self._shows_chart() and index >= self.plot.handles.count
        self.plot.handles.select(None if beyond else index, group)
        self._describe_selection()

    def acknowledge(self) -> None:
        """Say that the last move has been dealt with; the newest follows."""
        self._drag.acknowledge()

    def _show_message(self, assessment: Assessment) -> None:
        self._keep_or_drop_drag(0)
        if assessment.area is None:
            self.message.say(EMPTY)
        else:
            self.message.say(*area_words(assessment.area))
        self._pages.setCurrentWidget(self.message)

    def _share_height(self) -> None:
        """Give the plot a height at which heights can be read, before the strips get theirs."""
        others = self.legend.sizeHint().height() + self.plot.axis_height_px + _BELOW_PX
        self.strip_area.give(self.height() - others - LEAST_PLOT_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew."""
        super().resizeEvent(event)
        self._share_height()

    def _explain(self, strip: str) -> None:
        lead_to(self, address_of_strip(strip) if strip else "the_profile")

    def _align_strips(self) -> None:
        self.strips.place(self.plot.plot_box().left(), self.plot.view.scale_now)

    # Hovering

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the mouse over plot and strips."""
        if event.type() == QEvent.Type.MouseMove and isinstance(event, QMouseEvent):
            self._hover(watched, event.position())
        elif event.type() == QEvent.Type.Leave:
            self.set_marker(None)
            self.strip_pointed.emit("")
            self.hover_left.emit()
        elif event.type() == QEvent.Type.MouseButtonPress and isinstance(event, QMouseEvent):
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._pressed_px = event.position()
        elif event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            self._on_release(watched, event)
        return super().eventFilter(watched, event)

    def _hover(self, watched: QObject, at: QPointF) -> None:
        if self._drag.index is not None:
            return
        box = self.plot.plot_box()
        distance_m = self.plot.distance_at(at.x())
        if distance_m is None or not box.left() <= at.x() <= box.right():
            return
        self.set_marker(distance_m)
        self.strip_pointed.emit(self.strips.name_at(at.y()) if watched is self.strips else "")
        self.hovered.emit(distance_m)

    def _on_release(self, watched: QObject, event: QMouseEvent) -> None:
        """Take a press and a release in one place, off the handles, for a question."""
        at, self._pressed_px = self._pressed_px, None
        moved = at is None or (event.position() - at).manhattanLength() > _STILL_PX
        if moved or event.button() != Qt.MouseButton.LeftButton or self.plot.handles.is_pressed:
            return
        distance_m = self.plot.distance_at(event.position().x())
        strip = self.strips.name_at(event.position().y()) if watched is self.strips else ""
        if distance_m is None:
            return
        if strip in OF_THE_FLIGHT:
            self.strip_asked.emit(strip, distance_m)
            return
        (self.sight_asked if strip == "sight" else self.ceiling_asked).emit(distance_m)

    # Changing heights

    def _on_picked(self, index: int) -> None:
        self.select_point(index)
        self.point_selected.emit(index)

    def _begin(self, index: int) -> None:
        # The plot may be hidden, and what it drew last be gone.
        amsl_m = self._planned_amsl_m(index) if self._shows_chart() else math.nan
        if math.isfinite(amsl_m):
            self._drag.begin(index, amsl_m)
            # Kept for the whole drag: past it the ceiling may be that of another band of heights.
            self._stop = SoftStop.from_height(stop_height_m(self._judged, index), amsl_m)
            self._hold(index, amsl_m)
            self.plot.hold_axis()
            self._mark(index)

    def _on_told(self, index: int, amsl_m: float, phase: str) -> None:
        if phase != "end":
            return
        track = self._judged.track
        there = track is not None and index < len(track.point_sample)
        # Else it is held until the plan is judged with it.
        if there and abs(self._planned_amsl_m(index) - amsl_m) < _SAME_M:
            self.plot.handles.let_go()
        self.plot.let_axis_go()

    def _mark(self, index: int) -> None:
        """Put the marker, everywhere, at the point whose height is changed."""
        at_m = float(self._track.distance_m[self._track.point_sample[index]])
        self.set_marker(at_m)
        self.hovered.emit(at_m)

    def _on_pulled(self, amsl_m: float, freely: bool) -> None:
        if not freely:
            amsl_m = self._stop.height_m(amsl_m, FOOT_M / self.plot.view.scale_now.px_per_ft)
        self._pull(amsl_m)

    def _hold(self, index: int, amsl_m: float) -> None:
        words = words_beside(self._judged, index, amsl_m)
        self.plot.handles.hold(index, amsl_m, words, caught=self._stop.holds(amsl_m))

    def _pull(self, amsl_m: float) -> None:
        index = self._drag.index
        if index is None:
            return
        amsl_m = allowed_amsl_m(self._track, self._judged.plan.path[index], index, amsl_m, whole_m())
        self._hold(index, amsl_m)
        self.plot.make_room()
        self._drag.to(amsl_m)

    def _keep_or_drop_drag(self, points: int) -> None:
        index = self._drag.index
        if index is not None and index < points:
            return
        if index is not None:
            self.plot.handles.end_pull()
            self._drag.cancel()
        self.plot.handles.let_go()

    @property
    def _judged(self) -> Assessment:
        assert self._assessment is not None
        return self._assessment

    @property
    def _track(self) -> Track:
        assert self._judged.track is not None
        return self._judged.track

    def _planned_amsl_m(self, index: int) -> float:
        return float(self._track.planned_amsl_m[self._track.point_sample[index]])

    # Keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the selected point or the selection; Escape ends a drag where it began."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self._drag.index is not None:
            self.plot.handles.end_pull()
            self._drag.cancel()
            self.plot.handles.let_go()
        elif key in _UP_DOWN and self.selected_point is not None and self._shows_chart():
            big = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._step(self.selected_point, _UP_DOWN[key] * (_BIG_STEP if big else _STEP))
        elif key in _LEFT_RIGHT and self._shows_chart():
            self._select_beside(_LEFT_RIGHT[key])
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """End a change of height when the arrow key comes up."""
        if event.key() in _UP_DOWN and not event.isAutoRepeat() and not self.plot.handles.is_pulling:
            self._drag.finish()
        else:
            super().keyReleaseEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show that the arrow keys work here."""
        super().focusInEvent(event)
        self.plot.handles.show_focus(True)
        by_tab = event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)
        if by_tab and self.selected_point is None and self._shows_chart():
            self._select_beside(1)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """End a change of height that was still going on."""
        super().focusOutEvent(event)
        self.plot.handles.show_focus(False)
        self.plot.handles.end_pull()
        self._drag.finish()

    def _shows_chart(self) -> bool:
        return self._pages.currentWidget() is self._chart

    def _step(self, index: int, units: int) -> None:
        if self.plot.handles.is_pulling:
            return
        if self._drag.index is None:
            self._begin(index)
        if self._drag.index is not None:
            self._pull(self._drag.amsl_m + units * whole_m())

    def _select_beside(self, step: int) -> None:
        count = self.plot.handles.count
        if not count:
            return
        selected = self.selected_point
        start = (-1 if step > 0 else count) if selected is None else selected
        index = min(max(start + step, 0), count - 1)
        if index != selected:
            self._on_picked(index)

    def _describe_selection(self) -> None:
        index = self.selected_point
        if index is None or not self._shows_chart():
            self.setAccessibleDescription("Left and right choose a point, up and down change its height.")
            return
        height = planned_words(self._planned_amsl_m(index))
        self.setAccessibleDescription(f"Point {index + 1}, planned {height} above sea level.")
