"""The document: edits, undo, charts read on a worker. What it promises stands in its docstrings."""

import threading

import pytest
from PySide6.QtTest import QTest
from shiboken6 import delete

from planner.desk.questions import Keep
from planner.errors import ChartError
from planner.geo.heights import AboveGround
from planner.plan.edits import AppendPoint, DeletePoint, MovePoint, SetName
from planner.rules.verdict import Verdict
from planner.world.world import World
from tests.desk.desk_rig import Answers, make_document, make_window, place, settled, small_plan


@pytest.fixture
def document(qtbot):
    made = make_document()
    yield made
    made.close()


@pytest.fixture
def messages(document):
    heard = []
    document.message.connect(heard.append)
    return heard


def test_an_edit_is_judged_at_once_and_can_be_undone(document):
    judged = []
    document.assessed.connect(lambda: judged.append(document.assessment.plan))
    assert document.try_edit(AppendPoint(place(), AboveGround(30.0)))
    assert len(document.plan.path) == 1
    assert judged[-1] is document.plan
    document.undo_stack.undo()
    assert document.plan.path == ()
    document.undo_stack.redo()
    assert len(document.plan.path) == 1


def test_a_refused_edit_says_why_in_one_line_and_changes_nothing(document, messages):
    document.replace(small_plan(), None)
    before = document.plan
    assert not document.try_edit(DeletePoint(7))
    assert document.plan is before
    assert len(messages) == 1
    assert "\n" not in messages[0]
    assert "point 8" in messages[0]
    assert not document.undo_stack.canUndo()


def test_moves_of_one_gesture_are_one_step_and_of_two_gestures_two(document):
    document.replace(small_plan(), None)
    start = document.plan
    for east in (1, 2, 3):
        document.try_edit(MovePoint(0, place(east, 0)), merge_key=("map", 1))
    document.try_edit(MovePoint(0, place(9, 0)), merge_key=("map", 2))
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    assert document.plan.path[0].place == place(3, 0)
    document.undo_stack.undo()
    assert document.plan.path == start.path


def test_an_edit_that_changes_nothing_is_no_step(document):
    document.try_edit(SetName("Ridge"))
    assert not document.try_edit(SetName("Ridge"))
    assert document.undo_stack.count() == 1


def test_dirty_follows_the_disk(document, tmp_path):
    heard = []
    document.dirty_changed.connect(heard.append)
    document.try_edit(SetName("Ridge"))
    document.mark_saved(tmp_path / "a.lowline.geojson", as_draft=True)
    document.undo_stack.undo()
    document.undo_stack.redo()
    assert heard == [True, False, True, False]


def test_saving_keeps_the_judgement_but_undo_keeps_the_draft_mark(document, tmp_path):
    document.try_edit(SetName("Ridge"))
    document.mark_saved(tmp_path / "a.lowline.geojson", as_draft=False)
    assert document.judged
    document.undo_stack.undo()
    assert not document.plan.saved_as_draft


def test_while_charts_are_read_the_document_is_checking_and_only_the_newest_world_counts(qtbot):
    gate = threading.Event()
    asked, worlds = [], []

    def load(plan):
        asked.append(plan.name)
        if plan.name == "first":
            gate.wait(10)
        worlds.append(World())
        return worlds[-1]

    document = make_document(load)
    document.replace(small_plan(name="first"), None)
    qtbot.waitUntil(lambda: asked == ["first"])
    document.replace(small_plan(name="second"), None)
    assert document.checking
    gate.set()
    settled(qtbot, document)
    assert len(worlds) == 2
    assert document.world is worlds[1]
    assert document.judged
    document.close()


def test_charts_that_cannot_be_read_leave_nothing_known_and_say_why(qtbot):
    def load(_plan):
        raise ChartError("the raster is damaged", where="hills.tif", remedy="fetch it again")

    document = make_document(load)
    heard = []
    document.message.connect(heard.append)
    document.replace(small_plan(), None)
    settled(qtbot, document)
    assert heard == ["hills.tif: the raster is damaged; fetch it again"]
    assert document.world.terrain is None
    assert document.assessment.verdict in (Verdict.MUST_CHANGE, Verdict.UNDETERMINED)
    document.close()


def test_a_check_that_fails_is_told_as_undetermined_and_never_leaves_the_old_verdict(qtbot):
    document = make_document()
    window = make_window(qtbot, document, Answers())
    settled(qtbot, document)

    def broken(_plan, _world):
        raise ZeroDivisionError

    document._assess = broken
    document.plan = small_plan()
    with pytest.raises(ZeroDivisionError):
        document._judge()
    assert not document.judged
    assert window.top_bar.verdict.words.text() == Verdict.UNDETERMINED.words
    document.close()


def test_moving_far_away_reads_the_charts_again(qtbot):
    asked = []

    def load(plan):
        asked.append(plan)
        return World()

    document = make_document(load)
    document.replace(small_plan(), None)
    settled(qtbot, document)
    document.try_edit(MovePoint(0, place(3, 0)))
    assert len(asked) == 1
    document.try_edit(MovePoint(0, place(300, 0)))
    assert document.checking
    settled(qtbot, document)
    assert len(asked) == 2
    document.close()


@pytest.mark.parametrize(("answer", "kept"), [(Keep.CANCEL, True), (Keep.DISCARD, False)])
def test_a_new_plan_asks_before_unsaved_work_is_lost(qtbot, document, answer, kept):
    answers = Answers()
    answers.keep = answer
    window = make_window(qtbot, document, answers)
    document.try_edit(SetName("Ridge"))
    window.menu_actions["new"].trigger()
    assert answers.asked == ["Ridge"]
    assert (document.plan.name == "Ridge") is kept


def test_a_document_that_goes_without_being_closed_says_no_more_of_its_steps(qtbot):
    gone = make_document()
    window = make_window(qtbot, gone)
    gone.try_edit(SetName("Never closed (INVENTED)"))
    settled(qtbot, gone)
    assert window.menu_actions["undo"].isEnabled()
    delete(gone)
    QTest.qWait(10)
    assert window.menu_actions["undo"].isEnabled(), "nobody asked the stack while it went"
