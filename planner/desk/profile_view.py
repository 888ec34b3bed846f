"""Joins the document and the profile: redraws at every judgement, heights dragged become edits."""

import itertools

from PySide6.QtCore import QObject, Signal

from planner.desk.document import Document
from planner.desk.in_turns import InTurns
from planner.desk.last_answer import LastAnswer
from planner.desk.profile.heights import height_from_amsl
from planner.desk.profile.panel import ProfilePanel
from planner.desk.words import DRAWN_AFTER
from planner.drawing.path_pattern import of_the_whole
from planner.errors import PlanError
from planner.plan.edits import RaisePoints, SetPointHeight


class ProfileView(QObject):
    """Keeps ProfilePanel showing the document; `hovered` carries the distance [m] or None."""

    hovered = Signal(object)
    picked = Signal(int)

    def __init__(self, document: Document, panel: ProfilePanel, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.panel = panel
        self._document = document
        self._last = LastAnswer.of(document)
        self._turns = InTurns.of(document)
        self._numbers = itertools.count(1)
        self._gesture = 0
        self._anew = False
        self._chosen: tuple[int | None, tuple[int, ...]] = (None, ())
        panel.hovered.connect(self.hovered.emit)
        panel.hover_left.connect(lambda: self.hovered.emit(None))
        panel.point_selected.connect(self.picked)
        panel.point_height_dragged.connect(self._on_dragged)
        document.assessed.connect(self._refresh_in_turn)
        document.followed.connect(self._follow_in_turn)
        self.refresh()

    def _refresh_in_turn(self) -> None:
        self._anew = True
        self._turns.do(self._draw)

    def _follow_in_turn(self) -> None:
        self._turns.do(self._draw)

    def _draw(self) -> None:
        # What is worked out since may be of a path that is not drawn yet.
        anew, self._anew = self._anew, False
        (self.refresh if anew else self.refresh_followed)()

    def refresh(self) -> None:
        """Draw the latest judgement; while nothing of it is known yet, say what is awaited."""
        answer, waits_for = self._document.assessment, self._document.waits_for
        nothing_known = waits_for and (self._document.unread or answer.track is None)
        checking = self._document.checking
        # A hand keeps what it holds; of the line under it nothing is known any more.
        if nothing_known and checking and not self._document.unread and self.panel.hold_unjudged():
            return
        if nothing_known:
            self.panel.show_reading(waits_for, DRAWN_AFTER if checking else "")
        else:
            self._show_whole()
            self.panel.show_assessment(answer, self._last.stretches(answer))

    def _show_whole(self) -> None:
        self.panel.legend.show_whole(of_the_whole(self._last.findings(self._document.assessment)))

    def choose(self, index: int | None, group: tuple[int, ...] = ()) -> None:
        """Show a point as chosen, alone or with others, once they are drawn; None: no point."""
        self._chosen = index, group
        self._turns.do(self._show_chosen)

    def _show_chosen(self) -> None:
        self.panel.select_point(*self._chosen)

    def refresh_followed(self) -> None:
        """Show what has been worked out since; no handle moves."""
        if not self._document.waits_for:
            answer = self._document.assessment
            self._show_whole()
            self.panel.show_followed(answer, self._last.stretches(answer))

    def _on_dragged(self, index: int, amsl_m: float, phase: str) -> None:
        if phase == "start":
            self._gesture = next(self._numbers)
        try:
            self._set_height(index, amsl_m)
        finally:
            # Not before it is drawn: the panel then tells what the hand has done since.
            self._turns.do(self.panel.acknowledge)

    def _set_height(self, index: int, amsl_m: float) -> None:
        track = self._document.assessment.track
        if track is None or not 0 <= index < len(self._document.plan.path):
            return
        point = self._document.plan.path[index]
        ground = float(track.ground_amsl_m[track.point_sample[index]])
        try:
            height = height_from_amsl(point, ground, track.launch_ground_amsl_m, amsl_m)
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        by_m = height.m - point.height.m
        if abs(by_m) > 1e-6:
            group = tuple(sorted(self.panel.plot.handles.group))
            together = index in group and len(group) > 1
            edit = RaisePoints(group, by_m) if together else SetPointHeight((index,), height)
            self._document.try_edit(edit, merge_key=("profile", self._gesture))
