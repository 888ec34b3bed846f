"""Where the check fails, nothing that was known before stays on map, profile, strips and in the lists;
while charts are read, nothing of the path is drawn as known.

Our own rule (design, section 2): what is not known never looks like what is known.
"""

import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.assess import follow
from planner.desk.document import Document
from planner.desk.live_work import LiveWork
from planner.desk.map_view import MapView
from planner.desk.words import CHECK_FAILED
from planner.plan.edits import MovePoint, RaisePoints
from planner.rules.verdict import Verdict
from tests import worlds
from tests.desk.desk_rig import make_window, settled
from tests.desk.profile_hand import handle, pull

pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
AT = [(0, 0, 20.0), (200, 0, 20.0), (400, 0, 20.0)]
FAILS = ("assess", "legs", "worker", "follow")


class Failing(LiveWork):
    """Judges until a part of it is told to fail."""

    def __init__(self):
        super().__init__()
        self.fails = ""

    def at_once(self, plan, world):
        self._may_fail("assess")
        return super().at_once(plan, world)

    def legs_ahead(self, plan, world):
        self._may_fail("legs")
        return 2 if self.fails == "worker" else super().legs_ahead(plan, world)

    def on_worker(self, plan, world, progress):
        self._may_fail("worker")
        return super().on_worker(plan, world, progress)

    def follow(self, answer, _progress):
        self._may_fail("follow")
        return follow(answer)

    def _may_fail(self, part):
        if self.fails == part:
            raise ValueError("made to fail")


@pytest.fixture
def desk(qtbot, canvas, monkeypatch):
    """Give a window and a map on two clear legs, what the map was told, and what judges."""
    told, work = [], Failing()
    monkeypatch.setattr(canvas, "set_plan", told.append)
    document = Document(work.at_once, lambda _plan: worlds.world(), work.follow, work)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.resize(1280, 720)
    window.show()
    view = MapView(document, canvas)
    document.replace(worlds.plan(path=worlds.points(AT)), None)
    settled(qtbot, document)
    yield window, told, work
    view.close()
    document.close()


def marks(told):
    return [mark["mark"] for mark in told[-1]["path_marks"]]


def edit(qtbot, window, work, fails):
    work.fails = fails
    with qtbot.captureExceptions() as caught:
        window.document.try_edit(RaisePoints((1,), 1.0))
    assert bool(caught) is (fails in ("assess", "legs"))
    settled(qtbot, window.document)


@pytest.mark.parametrize("fails", FAILS)
def test_nothing_of_the_former_picture_stays_and_all_is_back_with_the_next_answer(qtbot, desk, fails):
    window, told, work = desk
    document, panel, findings = window.document, window.profile_view.panel, window.side.findings
    assert "unknown" not in marks(told)
    assert panel.plot.isVisible()
    edit(qtbot, window, work, fails)
    assert window.top_bar.verdict.words.text() == Verdict.UNDETERMINED.words
    assert marks(told) == ["unknown", "unknown"]
    assert len(told[-1]["path"]) == 3
    assert not panel.plot.isVisible()
    assert not panel.strips.isVisible()
    assert panel.message._main.text() == CHECK_FAILED
    assert findings.empty.text() == CHECK_FAILED
    assert findings.empty.isVisible()
    assert window.readout.words == CHECK_FAILED
    assert window.status.data.whole_text == CHECK_FAILED
    assert not document.judged
    work.fails = ""
    document.undo_stack.undo()
    settled(qtbot, document)
    assert document.judged
    assert "unknown" not in marks(told)
    assert panel.plot.isVisible()
    assert "By" in window.status.data.whole_text or "known" in window.status.data.whole_text


@pytest.mark.parametrize("fails", FAILS)
def test_a_hand_that_holds_a_height_lets_go_when_the_check_fails(qtbot, desk, fails):
    window, told, work = desk
    panel = window.profile_view.panel
    release = pull(panel, 1, -8)
    assert panel._drag.index == 1
    work.fails = fails
    with qtbot.captureExceptions():
        QTest.mouseMove(panel.plot.viewport(), handle(panel, 1))
        settled(qtbot, window.document)
        QTest.mouseRelease(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=release)
        edit(qtbot, window, work, fails)
    assert panel._drag.index is None
    assert panel.message._main.text() == CHECK_FAILED
    assert panel.message.isVisible()
    assert set(marks(told)) == {"unknown"}


def test_while_charts_are_read_every_leg_on_the_map_is_not_known(qtbot, desk):
    window, told, _work = desk
    document, gate = window.document, threading.Event()

    def load(_plan):
        assert gate.wait(20)
        return worlds.world()

    document.load = load
    try:
        document.try_edit(MovePoint(2, worlds.at(4_000, 0)))
        assert document.reading
        assert marks(told) == ["unknown", "unknown"]
    finally:
        gate.set()
    settled(qtbot, document)
    assert marks(told)[0] == "clear"
