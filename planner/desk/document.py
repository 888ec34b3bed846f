"""What the desk works on: the plan, the world around it, and the judgement."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Protocol

import attrs
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoStack

from planner.assessment import Assessment
from planner.desk.long_path import is_long
from planner.desk.newest_job import NewestJob
from planner.desk.unanswered import unanswered
from planner.desk.undo import PlanStep
from planner.desk.watched_job import WatchedJob
from planner.desk.words import CHARTS_BEING_READ, CHECK_FAILED, LEGS_WORKED_OUT
from planner.errors import PlanError
from planner.geo.progress import Progress, Unwatched
from planner.plan.edits import Edit
from planner.plan.file import plan_name
from planner.plan.model import Plan
from planner.world.extent import Extent
from planner.world.world import World

Assess = Callable[[Plan, World], Assessment]
Follow = Callable[[Assessment, Progress], Assessment]
Load = Callable[[Plan], World]
_LEAST_MARGIN_M = 1_000.0  # about the plan; terrain reaches at least as far
_PAUSE_MS = 60
"""So long no edit must come before the following part begins: it must not slow a hand that drags."""
_NOT_FOLLOWED = "What the crew sees could not be worked out; the plan counts as not checked"
_NOT_JUDGED = "The plan could not be checked"
_NO_WORLD = "The charts could not be read: nothing is known of the world around the plan"


class Ahead(Protocol):
    """What the desk asks before it judges: whether that would keep it; see `LiveWork`."""

    def legs_ahead(self, plan: Plan, world: World) -> int:
        """Return how many legs would have to be sampled anew."""

    def known(self, plan: Plan, world: World) -> Assessment:
        """Return what is known of a plan at once; nothing of it is called ready."""

    def on_worker(self, plan: Plan, world: World, progress: Progress) -> Assessment:
        """Judge a plan away from the desk's thread; may be cancelled."""


class Document(QObject):
    """Plan, world and assessment; all changes to the plan come through `try_edit`.

    An edit is assessed at once, as far as `assess` goes (of a long path only the first and the last one
    of a turn of the event loop); the rest follows on a worker, the newest wins, and `followed`
    tells that it is there. Where very many legs are new (`judging`) a worker does all of it:
    `assessed` then comes twice, first with an assessment that is not live. While charts are being
    read (`reading`) or either is awaited (`following`), `checking` is true and the verdict is
    provisional. While they are read for the first time for this plan (`unread`) the world is empty.
    `waits_for` says what keeps the assessment from being told.
    `on_disk` is what was last read from `path` or written there, None if that is not known.

    Parameters
    ----------
    assess, load : the judgement of a plan in a world; the world around a plan.
    follow : makes a judgement whole that isn't.
    ahead : tells which judgements are a worker's; None judges all at once.
    """

    plan_changed = Signal()
    assessed = Signal()
    followed = Signal()
    world_changed = Signal()
    checking_changed = Signal(bool)
    dirty_changed = Signal(bool)
    replaced = Signal()
    history_changed = Signal()
    closed = Signal()
    message = Signal(str)
    long_work = Signal(str)
    """What takes the worker longer than a moment, in words, with how far it is; '' at its end."""

    def __init__(
        self,
        assess: Assess,
        load: Load,
        follow: Follow | None = None,
        ahead: Ahead | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.plan = Plan()
        self.world = World()
        self.path: Path | None = None
        self.on_disk: Plan | None = None
        self.reading = self.unread = self.ever_read = False
        self.following = self._put_off = False
        self.judging = 0
        self._was_checking = self._was_dirty = False
        self._is_judged = True
        self._assess = assess
        self._ahead = ahead
        self._follow = follow
        self._unsaved_from_before = False
        self._loaded_about: Extent | None = None
        self._loaded_sets: tuple[str, ...] = ()
        self.undo_stack = QUndoStack(self)
        self.undo_stack.cleanChanged.connect(self._tell_dirty)
        self.undo_stack.indexChanged.connect(self._on_step)
        # Others hear of the stack through the document only: it falls silent before the stack goes.
        for changed in (
            self.undo_stack.indexChanged,
            self.undo_stack.canUndoChanged,
            self.undo_stack.canRedoChanged,
        ):
            changed.connect(self._tell_history)
        self.load = load
        self._reading = NewestJob(_NO_WORLD, self)
        self._reading.done.connect(self._on_loaded)
        self._judging = WatchedJob(_NOT_JUDGED, self)
        self._judging.done.connect(self._on_judged)
        self._judging.progressed.connect(self._tell_legs)
        self._following = WatchedJob(_NOT_FOLLOWED, self)
        self._following.done.connect(self._on_followed)
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._on_turn)
        self._pause = QTimer(self, singleShot=True, interval=_PAUSE_MS)
        self._pause.timeout.connect(self._start_following)
        # Nothing is drawn yet, so nothing takes long.
        self.assessment = assess(self.plan, self.world)
        if follow is not None:
            self.assessment = follow(self.assessment, Unwatched())

    @property
    def checking(self) -> bool:
        """Whether the verdict is provisional: charts are being read, or a part of the answer is awaited."""
        return self.reading or bool(self.judging) or self.following or self._put_off

    @property
    def waits_for(self) -> str:
        """What has to be awaited before anything of the assessment may be told, in words; '' for nothing."""
        if self.unread:
            return CHARTS_BEING_READ
        if self.assessment.live:
            return ""
        return LEGS_WORKED_OUT if self.checking else CHECK_FAILED

    @property
    def dirty(self) -> bool:
        """Whether there is work that is not on disk under the plan's own name."""
        return self._unsaved_from_before or not self.undo_stack.isClean()

    @property
    def title(self) -> str:
        """The plan's name, or its file's, or what an empty one is called."""
        if self.plan.name.strip():
            return self.plan.name.strip()
        if self.path is None:
            return "New plan"
        return plan_name(self.path)

    @property
    def judged(self) -> bool:
        """Whether the assessment is of this plan in this world; not so if the check itself failed."""
        answer = self.assessment
        awaited = self.following or bool(self.judging) or self._put_off
        return answer.plan is self.plan and answer.world is self.world and (answer.whole or awaited)

    def try_edit(self, edit: Edit, *, merge_key: object = None) -> bool:
        """Change the plan, or say in one line why not; return whether it changed.

        Neighbours with one `merge_key`, given here or by the edits, become one undo step.
        """
        try:
            after = edit.apply(self.plan)
        except PlanError as error:
            self.message.emit(error.one_line())
            return False
        if after == self.plan:
            return False
        self.undo_stack.push(
            PlanStep(edit.title, self.plan, after, show=self._show, merge_key=merge_key or edit.merge_key)
        )
        return True

    def replace(
        self, plan: Plan, path: Path | None, *, unsaved: bool = False, on_disk: Plan | None = None
    ) -> None:
        """Work on another plan; `unsaved` if it is not what lies on the disk, which `on_disk` then was."""
        self.undo_stack.clear()
        self.path = path
        self.on_disk = on_disk if unsaved else plan
        self.plan = plan
        self._unsaved_from_before = unsaved
        self.world = World()
        self.unread = True
        self.replaced.emit()
        self._tell_dirty()
        self.reload_world()
        self._judge()

    def mark_saved(self, path: Path, *, as_draft: bool) -> None:
        """Take note that the plan now lies on the disk."""
        self.path = path
        judged = self.judged
        self.plan = self.on_disk = attrs.evolve(self.plan, saved_as_draft=as_draft)
        if judged:
            # Whether it was a draft on the disk is no part of the judgement.
            self.assessment = attrs.evolve(self.assessment, plan=self.plan)
        self._unsaved_from_before = False
        self.undo_stack.setClean()
        self._tell_dirty()

    def reload_world(self) -> None:
        """Read the charts again, for the plan as it is now."""
        self._loaded_about = Extent.around(self.plan.places(), _LEAST_MARGIN_M)
        self._loaded_sets = self.plan.chart_sets
        self.reading = self.ever_read = True
        self._tell_checking()
        self._reading.start(partial(self.load, self.plan))

    def close(self) -> None:
        """Stop all work in the background, and say no more."""
        self.closed.emit()
        self._pause.stop()
        self._turn.stop()
        # All are asked to stop before any is waited for.
        self._judging.drop()
        self._following.drop()
        self._reading.stop()
        self._judging.stop()
        self._following.stop()
        # The stack empties itself when it goes, after those who listen may have gone.
        self.undo_stack.blockSignals(True)

    def _show(self, plan: Plan) -> None:
        self.plan = attrs.evolve(plan, saved_as_draft=self.plan.saved_as_draft)
        self._is_judged = False

    def _on_step(self, _index: int) -> None:
        """Judge the plan that the history has come to: once, over however many steps it went."""
        if not self._is_judged:
            self._is_judged = True
            if self._outgrew_world():
                self.reload_world()
            self._judge()

    def _outgrew_world(self) -> bool:
        if self.plan.chart_sets != self._loaded_sets:
            return True
        about = self._loaded_about
        return any(about is None or not about.holds(place) for place in self.plan.places())

    def _judge(self) -> None:
        try:
            if is_long(self.plan) and self._turn.isActive():
                # One of several edits in one turn of the loop, of keys held down: they are judged together.
                self._forget_answer()
                self._end_judging()
                self._put_off = True
            else:
                self._assess_now()
        finally:
            self.plan_changed.emit()
            self.assessed.emit()
            self._tell_checking()

    def _on_turn(self) -> None:
        if self._put_off:
            try:
                self._assess_now()
            finally:
                self.assessed.emit()
                self._tell_checking()

    def _forget_answer(self) -> None:
        # Whatever is being worked out is for an earlier plan: from here on nobody waits for it.
        self._judging.drop()
        self._following.drop()
        self._pause.stop()
        self.following = self._put_off = False
        # Whatever fails from here on leaves nothing that was said of an earlier plan.
        self.assessment = unanswered(self.plan, self.world)

    def _assess_now(self) -> None:
        self._forget_answer()
        self._turn.start()
        legs = 0 if self._ahead is None else self._ahead.legs_ahead(self.plan, self.world)
        if self._ahead is None or not legs:
            self._end_judging()
            self._take(self._assess(self.plan, self.world))
            return
        self.assessment = self._ahead.known(self.plan, self.world)
        self.judging = legs
        self._tell_legs(0.0)
        if not self.reading:
            # Else it begins when the charts are there.
            self._judging.start(partial(self._ahead.on_worker, self.plan, self.world))

    def _take(self, live: Assessment) -> None:
        self.assessment = live
        if not live.whole and self._follow is not None:
            self.following = True
            self._pause.start()

    def _on_judged(self, live: Assessment | None, trouble: str) -> None:
        self._end_judging()
        if live is None:
            self.assessment = unanswered(self.plan, self.world)
            self.message.emit(trouble)
        else:
            self._take(live)
        self.assessed.emit()
        self._tell_checking()

    def _end_judging(self) -> None:
        if self.judging:
            self.judging = 0
            self.long_work.emit("")

    def _tell_legs(self, share: float) -> None:
        self.long_work.emit(f"Working out {self.judging:,} legs: {100 * share:.0f} %")

    def _start_following(self) -> None:
        if self._follow is not None and self.following and not self.reading:
            self._following.start(partial(self._follow, self.assessment))

    def _on_followed(self, whole: Assessment | None, trouble: str) -> None:
        self.following = False
        if whole is None:
            self.assessment = unanswered(self.plan, self.world)
            self.message.emit(trouble)
            self.assessed.emit()
        else:
            self.assessment = whole
        self.followed.emit()
        self._tell_checking()

    def _on_loaded(self, world: World | None, trouble: str) -> None:
        self.world = World() if world is None else world
        self.reading = self.unread = False
        if trouble:
            self.message.emit(trouble)
        self.world_changed.emit()
        try:
            self._assess_now()
        finally:
            self.assessed.emit()
            self._tell_checking()

    def _tell_checking(self) -> None:
        if self.checking != self._was_checking:
            self._was_checking = self.checking
            self.checking_changed.emit(self.checking)

    def _tell_history(self, _now: object) -> None:
        self.history_changed.emit()

    def _tell_dirty(self, _clean: bool = True) -> None:
        if self.dirty != self._was_dirty:
            self._was_dirty = self.dirty
            self.dirty_changed.emit(self.dirty)
