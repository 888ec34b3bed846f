"""Hands that make very many new legs: the plan changes at once, a worker judges, nothing is clear before."""

import threading

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.assess import Memory, assess, assess_ahead, assess_live, follow, legs_to_judge
from planner.desk.document import Document
from planner.desk.hour.clock import Moment
from planner.desk.live_work import LEGS_AT_ONCE, LiveWork
from planner.desk.path_marks import path_marks
from planner.desk.words import LEGS_WORKED_OUT
from planner.drawing.path_pattern import stretches
from planner.drawing.patterns import Pattern
from planner.geo.progress import Cancelled
from planner.plan.edits import InsertPoints, MovePoint, RaisePoints, ReversePath, SetName, SetPointHeight
from planner.rules.verdict import Verdict
from tests import worlds
from tests.desk.desk_rig import make_window, settled
from tests.desk.profile_hand import handle, pull

MANY = LEGS_AT_ONCE + 30


def row(points, east_m=0.0):
    """A path of short legs that climbs and sinks, over charted ground."""
    return worlds.points([(east_m + 6.0 * k, 5.0 * (k % 2), 20.0 + k % 5) for k in range(points)])


class Gate(LiveWork):
    """Lets the worker judge only while it stands open; counts what it was asked, and what was cut short."""

    def __init__(self):
        super().__init__()
        self.open = threading.Event()
        self.open.set()
        self.asked = self.cut_short = 0

    def on_worker(self, plan, world, progress):
        self.asked += 1
        try:
            while not self.open.wait(0.005):
                progress.report(0.0)
            return super().on_worker(plan, world, progress)
        except Cancelled:
            self.cut_short += 1
            raise


@pytest.fixture
def gate():
    return Gate()


@pytest.fixture
def charts():
    return worlds.world()


@pytest.fixture
def desk(qtbot, gate, charts):
    document = Document(gate.at_once, lambda _plan: charts, follow, gate)
    window = make_window(qtbot, document)
    window.bring_profile()
    # No wider than the screen of the tests lets it stay.
    window.resize(1000, 720)
    window.show()
    document.replace(worlds.plan(path=row(MANY)), None)
    settled(qtbot, document)
    gate.asked = 0
    yield window
    gate.open.set()
    document.close()


def said(desk):
    """Return verdict, findings, line under the map and what stands in place of the profile."""
    message = desk.profile_view.panel.message
    findings = desk.side.findings
    return (
        desk.top_bar.verdict.words.text(),
        findings.empty.text() if findings.empty.isVisible() else f"{len(findings.model.findings)} told",
        desk.readout.words,
        message._main.text() if message.isVisible() else "drawn",
    )


def patterns(desk):
    """Return the patterns of the planned line and of the path on the map."""
    answer, curves = desk.document.assessment, desk.profile_view.panel.plot.curves
    line = {Pattern(value) for value in curves.planned.pattern.tolist()}
    return line, {mark["mark"] for mark in path_marks(answer)}


def test_the_plan_changes_at_once_and_is_called_nothing_until_it_is_judged(qtbot, desk, gate):
    document, before = desk.document, desk.document.plan
    gate.open.clear()
    assert document.try_edit(ReversePath())
    assert document.plan.path[0].place == before.path[-1].place
    assert document.checking
    assert said(desk) == ("Checking", LEGS_WORKED_OUT, LEGS_WORKED_OUT, LEGS_WORKED_OUT)
    assert [mark["mark"] for mark in path_marks(document.assessment)] == ["unknown"] * (MANY - 1)
    assert document.assessment.verdict is Verdict.UNDETERMINED
    assert f"Working out {MANY - 1} legs" in desk.status.message.whole_text
    assert desk.side.points.model.rowCount() == MANY
    assert desk.side.permissions.open_count == 0
    gate.open.set()
    settled(qtbot, document)
    alone = assess(document.plan, document.world)
    assert document.assessment.findings == alone.findings
    assert stretches(document.assessment) == stretches(alone)
    assert not desk.status.message.isVisible()
    assert said(desk)[3] == "drawn"
    assert QApplication.overrideCursor() is None


def test_undo_and_redo_find_their_legs_and_wait_for_nothing(qtbot, desk, gate):
    document = desk.document
    document.try_edit(ReversePath())
    settled(qtbot, document)
    gate.asked = 0
    for step in (document.undo_stack.undo, document.undo_stack.redo):
        step()
        assert document.assessment.live
        assert document.assessment.plan is document.plan
    assert gate.asked == 0


def test_a_jump_over_many_steps_is_judged_once(qtbot, desk):
    document, heard = desk.document, []
    for step in range(6):
        document.try_edit(SetPointHeight((step,), row(1)[0].height))
    last = document.plan
    document.assessed.connect(lambda: heard.append(document.assessment.plan))
    document.undo_stack.setIndex(0)
    document.undo_stack.setIndex(6)
    assert [plan == last for plan in heard] == [False, True]
    assert document.assessment.plan is document.plan
    settled(qtbot, document)


def test_an_edit_meanwhile_cuts_it_short_and_the_newest_wins(qtbot, desk, gate):
    document, judged = desk.document, []
    gate.open.clear()
    document.assessed.connect(lambda: judged.append(document.assessment))
    document.try_edit(ReversePath())
    qtbot.waitUntil(lambda: gate.asked == 1)
    document.try_edit(SetName("newest"))
    qtbot.waitUntil(lambda: gate.cut_short == 1)
    assert document.checking
    gate.open.set()
    settled(qtbot, document)
    live = [answer for answer in judged if answer.live]
    assert [answer.plan.name for answer in live] == ["newest"]
    assert document.judged


def test_an_undo_meanwhile_is_judged_at_once(qtbot, desk, gate):
    document, before = desk.document, desk.document.plan
    gate.open.clear()
    document.try_edit(ReversePath())
    qtbot.waitUntil(lambda: gate.asked == 1)
    document.undo_stack.undo()
    assert document.plan == before
    assert document.assessment.live
    assert not document.judging
    assert not desk.status.message.isVisible()
    qtbot.waitUntil(lambda: gate.cut_short == 1)
    settled(qtbot, document)
    assert document.judged


def test_of_a_long_path_what_is_known_is_drawn_and_the_rest_as_not_known(qtbot, desk, gate):
    document = desk.document
    document.replace(worlds.plan(path=row(4 * MANY)), None)
    settled(qtbot, document)
    gate.open.clear()
    assert document.try_edit(RaisePoints(tuple(range(MANY)), 3.0))
    assert said(desk)[3] == "drawn"
    assert patterns(desk) == ({Pattern.UNKNOWN}, {"unknown"})
    track, profile = document.assessment.track, document.assessment.profile
    new = track.leg < MANY
    assert np.isnan(track.ground_amsl_m[new]).all()
    assert np.isnan(profile.ceiling_amsl_m[new]).all()
    assert np.isfinite(track.ground_amsl_m[~new]).all()
    assert np.isfinite(track.planned_amsl_m[track.point_sample]).all()
    gate.open.set()
    settled(qtbot, document)
    assert np.isfinite(document.assessment.track.ground_amsl_m).all()


def test_a_hand_that_pulls_many_points_keeps_hold_of_them(qtbot, desk, gate):
    document, panel = desk.document, desk.profile_view.panel
    every = tuple(range(MANY))
    panel.select_point(30, every)
    gate.open.clear()
    before = document.plan.path
    release = pull(panel, 30, -25)
    # The hand's moves are told in turns of their own, for which a busy machine has no time at once.
    qtbot.waitUntil(lambda: document.checking)
    assert panel._drag.index == 30
    assert abs(handle(panel, 30).y() - release.y()) <= 6
    assert said(desk)[3] == "drawn"
    assert patterns(desk)[0] == {Pattern.UNKNOWN}
    gate.open.set()
    settled(qtbot, document)
    QTest.mouseRelease(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=release)
    settled(qtbot, document)
    raised = [now.height.m - was.height.m for now, was in zip(document.plan.path, before, strict=True)]
    assert min(raised) > 0.5
    assert raised == pytest.approx([raised[0]] * MANY)
    assert document.judged


def test_nothing_about_the_profile_moves_while_its_legs_are_worked_out(qtbot, desk, gate):
    document, moment = desk.document, Moment(flown_s=3.0)
    desk.hours.bar.band.moved.emit(moment)
    QApplication.processEvents()
    seen = (desk.hours.bar, desk.readout, desk.profile_view.panel, desk.map_place)
    before = [(part.isVisible(), part.geometry()) for part in seen]
    assert all(visible for visible, _ in before)
    gate.open.clear()
    document.try_edit(ReversePath())
    for _ in range(3):
        QApplication.processEvents()
    assert document.checking
    assert [(part.isVisible(), part.geometry()) for part in seen] == before
    assert desk.hours.bar.words.whole_text == LEGS_WORKED_OUT
    assert desk.hours.aircraft_m is None
    desk.hours.point_at(5.0)
    gate.open.set()
    settled(qtbot, document)
    assert desk.hours.moment == moment
    assert desk.hours.aircraft_m is not None
    assert [part.geometry() for part in seen] == [where for _, where in before]


def test_a_few_new_legs_are_judged_at_once(qtbot, desk, gate):
    document = desk.document
    assert document.try_edit(SetPointHeight((4,), row(1)[0].height))
    assert document.assessment.live
    assert document.try_edit(InsertPoints(MANY, row(LEGS_AT_ONCE - 1, 600.0)))
    assert document.assessment.live
    assert gate.asked == 0
    assert document.try_edit(InsertPoints(len(document.plan.path), row(LEGS_AT_ONCE + 1, 1_200.0)))
    assert not document.assessment.live
    settled(qtbot, document)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_check_that_fails_on_the_worker_leaves_nothing_known(qtbot, desk, gate, monkeypatch):
    document, told = desk.document, []

    def failing(*_):
        raise ValueError("made to fail")

    monkeypatch.setattr(gate, "on_worker", failing)
    document.message.connect(told.append)
    document.try_edit(ReversePath())
    settled(qtbot, document)
    assert told == ["The plan could not be checked"]
    assert not document.judged
    assert said(desk)[:2] == (Verdict.UNDETERMINED.words, "The check itself failed, so nothing is known.")
    monkeypatch.undo()
    document.try_edit(SetName("again"))
    settled(qtbot, document)
    assert document.judged


def test_closing_does_not_wait_for_the_end_of_it(qtbot, desk, gate):
    gate.open.clear()
    desk.document.try_edit(ReversePath())
    qtbot.waitUntil(lambda: gate.asked == 1)
    desk.document.close()  # the gate stays shut: only being told to stop ends it
    assert gate.cut_short == 1


def test_what_was_worked_out_before_a_cut_counts(charts):
    class Until:
        def __init__(self, share):
            self.share = share

        def report(self, share):
            if share >= self.share:
                raise Cancelled

    live, plan = LiveWork(), worlds.plan(path=row(100))
    with pytest.raises(Cancelled):
        live.on_worker(plan, charts, Until(0.5))
    assert live.legs_ahead(plan, charts) == 99 - 50
    assert live.on_worker(plan, charts, Until(2.0)).findings == assess_live(plan, charts).findings
    assert live.legs_ahead(plan, charts) == 0


def test_ahead_of_everything_nothing_is_known(charts):
    plan, memory = worlds.plan(path=row(20)), Memory()
    assert legs_to_judge(plan, charts, memory) == 19
    ahead = assess_ahead(plan, charts, memory)
    assert (ahead.track, ahead.profile, ahead.findings, ahead.permissions) == (None, None, (), ())
    assert ahead.verdict is Verdict.UNDETERMINED
    assert not ahead.live
    assess_live(plan, charts, memory)
    assert legs_to_judge(plan, charts, memory) == 0
    known = assess_ahead(plan, charts, memory)
    assert known.track.length_m == pytest.approx(assess_live(plan, charts).track.length_m)
    assert {part.pattern for part in stretches(known)} == {Pattern.UNKNOWN}
    assert assess_ahead(worlds.plan(path=()), charts, memory).track is None


def test_an_edit_of_a_few_points_of_a_long_path_is_judged_without_looking_for_each_leg(charts, monkeypatch):
    """Our own rule: what differs little from what was judged last is judged at once."""
    asked = []
    monkeypatch.setattr("planner.desk.live_work.legs_to_judge", lambda *given: asked.append(given) or 0)
    live, plan = LiveWork(), worlds.plan(path=row(100))
    live.at_once(plan, charts)
    moved = MovePoint(50, worlds.at(900.0, 40.0)).apply(plan)
    assert live.legs_ahead(moved, charts) == 0
    assert asked == []
    assert live.legs_ahead(ReversePath().apply(plan), charts) == 0
    assert len(asked) == 1
