"""A long path is shown view by view, edits of one turn are judged together (our own rules: issue 8)."""

import pytest
from PySide6.QtCore import QObject, Qt
from PySide6.QtTest import QTest
from shiboken6 import delete, isValid

from planner.assess import assess, follow
from planner.desk import long_path
from planner.desk.document import Document
from planner.desk.held_back import held_back
from planner.desk.in_turns import InTurns
from planner.desk.live_work import LiveWork
from planner.desk.words import LEGS_WORKED_OUT
from planner.geo.heights import AboveGround
from planner.plan.edits import DeletePoint, InsertPoints, SetPointHeight
from planner.rules.verdict import Verdict
from tests import worlds
from tests.desk.desk_rig import make_window, settled
from tests.desk.profile_hand import pull

POINTS = 12


class Counting(LiveWork):
    """Counts how often it judges on the desk's own thread."""

    def __init__(self):
        super().__init__()
        self.judged = 0

    def at_once(self, plan, world):
        self.judged += 1
        return super().at_once(plan, world)


def row(points, north_m=0.0):
    return worlds.points(
        [(40.0 * k, north_m + 5.0 * (k % 2), AboveGround(20.0 + k % 5)) for k in range(points)]
    )


class Panel(QObject):
    """Shows a document, and may go before it."""

    def __init__(self):
        super().__init__()
        self.drawn = 0

    def draw(self):
        assert isValid(self)
        self.drawn += 1


@pytest.fixture
def live():
    return Counting()


@pytest.fixture
def desk(qtbot, monkeypatch, live):
    """A desk to which twelve points are a long path."""
    monkeypatch.setattr(long_path, "LONG", POINTS - 4)
    charts = worlds.world()
    document = Document(live.at_once, lambda _plan: charts, follow, live)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.resize(1280, 720)
    window.show()
    document.replace(worlds.plan(path=row(POINTS)), None)
    shown(qtbot, window)
    live.judged = 0
    yield window
    document.close()


def shown(qtbot, desk):
    """Wait until all is judged and drawn."""
    settled(qtbot, desk.document)
    qtbot.waitUntil(lambda: not InTurns.of(desk.document).waiting, timeout=10_000)


def raised(index, by_m):
    return SetPointHeight((index,), AboveGround(40.0 + by_m))


def test_each_view_has_a_turn_of_its_own_and_shows_what_is_newest(qtbot, desk):
    turns, told, now = InTurns.of(desk.document), [], ["one"]
    names = [teller(told, now, name) for name in "abc"]
    for tell in (*names, names[0]):
        turns.do(tell)
    now[0] = "two"
    assert told == []
    qtbot.waitUntil(lambda: not turns.waiting, timeout=5_000)
    assert told == [("a", "two"), ("b", "two"), ("c", "two")]
    turns.do(names[0])
    desk.document.close()
    assert not turns.waiting
    turns.do(names[0])
    assert len(told) == 3


def teller(told, now, name):
    return lambda: told.append((name, now[0]))


def test_one_turn_does_one_piece_of_work(desk):
    turns, told = InTurns.of(desk.document), []
    for number in range(3):
        turns.do(lambda number=number: told.append(number))
    for count in (1, 2, 3):
        turns._turn.timeout.emit()
        assert told == list(range(count))
    turns._turn.timeout.emit()
    assert not turns._turn.isActive()


def test_a_short_path_is_shown_at_once(qtbot, desk):
    desk.document.replace(worlds.plan(path=row(3)), None)
    told = []
    InTurns.of(desk.document).do(lambda: told.append(1))
    assert told == [1]
    settled(qtbot, desk.document)
    desk.document.try_edit(DeletePoint(0))
    assert desk.profile_view.panel.plot.handles.count == 2


def test_an_edit_is_judged_at_once_and_drawn_in_its_turn(qtbot, desk, live):
    handles = desk.profile_view.panel.plot.handles
    assert desk.document.try_edit(DeletePoint(0))
    assert live.judged == 1
    assert desk.document.assessment.plan is desk.document.plan
    assert len(desk.document.assessment.track.point_sample) == POINTS - 1
    assert desk.side.points.model.rowCount() == POINTS - 1
    assert handles.count == POINTS
    shown(qtbot, desk)
    assert handles.count == POINTS - 1
    assert desk.side.findings.model.findings == desk.document.assessment.findings


def test_edits_of_one_turn_are_judged_together_and_nothing_is_said_meanwhile(qtbot, desk, live):
    document = desk.document
    for step in range(5):
        assert document.try_edit(raised(step, step))
    assert live.judged == 1
    assert document.checking
    assert document.assessment.verdict is Verdict.UNDETERMINED
    assert document.assessment.plan is document.plan
    assert not document.assessment.live
    assert document.waits_for == LEGS_WORKED_OUT
    assert held_back(document, "print it")
    assert desk.top_bar.verdict.words.text() == "Checking"
    shown(qtbot, desk)
    assert live.judged == 2
    alone = assess(document.plan, document.world)
    assert document.assessment.findings == alone.findings
    assert document.assessment.verdict is alone.verdict
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
    shown(qtbot, desk)
    assert live.judged == 4
    assert document.assessment.findings == assess(document.plan, document.world).findings


def test_what_followed_is_not_drawn_over_a_path_that_is_not_drawn_yet(qtbot, desk):
    """The newest judgement, of fewer points, was laid over the handles of the one before."""
    document, panel = desk.document, desk.profile_view.panel
    document.followed.emit()
    document.try_edit(DeletePoint(2))
    desk.profile_view.choose(POINTS - 1)
    shown(qtbot, desk)
    assert panel.plot.handles.count == POINTS - 1
    assert panel.selected_point is None


def test_what_is_pasted_is_chosen_once_it_is_drawn(qtbot, desk):
    at, new = 3, row(POINTS, 60.0)
    desk.document.try_edit(InsertPoints(at, new))
    rows = tuple(range(at, at + len(new)))
    desk.pointing.pick_rows(rows)
    assert desk.side.points.chosen_rows == rows
    shown(qtbot, desk)
    assert desk.profile_view.panel.plot.handles.group == frozenset(rows)
    desk.profile_view.choose(10 * POINTS)
    shown(qtbot, desk)
    assert desk.profile_view.panel.selected_point is None


def test_a_height_is_dragged_on_a_long_path(qtbot, desk):
    panel, before = desk.profile_view.panel, desk.document.plan
    told = []
    panel.point_height_dragged.connect(lambda _index, _amsl_m, phase: told.append(phase))
    at = pull(panel, 5, -20)
    shown(qtbot, desk)
    QTest.mouseRelease(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=at)
    shown(qtbot, desk)
    assert told[0] == "start"
    assert told[-1] == "end"
    assert desk.document.plan.path[5].height.m > before.path[5].height.m
    assert panel.plot.handles._held is None


def test_the_headings_ask_no_cell_whether_it_is_chosen(desk):
    """A heading would go through its whole column at each painting, 3,000 points in 0.13 s."""
    table = desk.side.points.table
    table.selectAll()
    assert len(desk.side.points.chosen_rows) == POINTS
    assert not table.horizontalHeader().selectionModel().hasSelection()


def test_all_but_the_deleted_stay_chosen(qtbot, desk):
    desk.pointing.pick_rows(tuple(range(POINTS)))
    desk.document.try_edit(DeletePoint(4))
    shown(qtbot, desk)
    assert desk.side.points.chosen_rows == tuple(range(POINTS - 1))
    assert desk.side.points.chosen_row == POINTS - 2


def test_who_is_gone_by_its_turn_is_passed_over(desk, qtbot):
    """A window that was closed while its view of a long path waited."""
    turns, gone, stays = InTurns.of(desk.document), Panel(), Panel()
    turns.do(gone.draw)
    turns.do(stays.draw)
    delete(gone)
    qtbot.waitUntil(lambda: not turns.waiting)
    assert (gone.drawn, stays.drawn) == (0, 1)
