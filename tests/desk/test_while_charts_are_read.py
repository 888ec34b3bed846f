"""While charts are read for the first time nothing is claimed of the place; then the answer comes."""

import threading

import pytest
from PySide6.QtTest import QTest

from planner.desk.words import CHARTS_BEING_READ
from planner.errors import LowlineError
from planner.plan.edits import MovePoint
from planner.plan.model import Plan
from planner.world.world import World
from tests.desk.desk_rig import Answers, make_document, make_window, place, settled, small_plan


class Gate:
    """Reads charts as long as it is shut."""

    def __init__(self):
        self.opened = threading.Event()
        self.opened.set()
        self.trouble = False

    def load(self, _plan):
        assert self.opened.wait(20)
        if self.trouble:
            raise LowlineError("the charts can't be read (invented)")
        return World()


@pytest.fixture
def gate():
    return Gate()


@pytest.fixture
def desk(qtbot, gate):
    window = make_window(qtbot, make_document(gate.load), Answers())
    window.bring_profile()
    window.resize(1280, 720)
    window.show()
    settled(qtbot, window.document)
    yield window
    gate.opened.set()
    window.document.close()


def said(desk):
    """Return what findings, bottom line, profile, line under the map and permissions say, and the count."""
    QTest.qWait(30)
    profile = desk.profile_view.panel
    on_profile = profile.message._main.text() if profile.message.isVisible() else "drawn"
    findings = desk.side.findings
    told = findings.empty.text() if findings.empty.isVisible() else f"{len(findings.model.findings)} told"
    return told, desk.status.data.whole_text, on_profile, desk.readout.words


def test_nothing_is_said_of_a_place_whose_charts_are_not_read_yet(qtbot, desk, gate):
    gate.opened.clear()
    desk.document.replace(small_plan(), None)
    assert desk.top_bar.verdict.words.text() == "Checking"
    assert said(desk) == (CHARTS_BEING_READ,) * 4
    desk.side.go_to("permissions")
    QTest.qWait(30)
    texts = [label.text() for label in desk.side.permissions.findChildren(type(desk.side.findings.empty))]
    assert CHARTS_BEING_READ in texts
    assert not any("No permission is needed" in text for text in texts)
    assert desk.side.permissions.open_count == 0
    desk.side.go_to("findings")
    gate.opened.set()
    settled(qtbot, desk.document)
    told, data, profile, line = said(desk)
    desk.side.go_to("permissions")
    QTest.qWait(30)
    texts = [label.text() for label in desk.side.permissions.findChildren(type(desk.side.findings.empty))]
    # This world is empty: no chart says that nothing is needed.
    assert any("Which permission it takes is not known" in text for text in texts)
    assert not any("No permission is needed" in text for text in texts)
    assert told.endswith("told")
    assert told != "0 told"
    assert "nothing is known" in data  # true now: this world is empty
    assert profile == "drawn"
    assert "of path" in line


def test_what_is_known_stays_in_view_while_charts_of_more_ground_are_read(qtbot, desk, gate):
    desk.document.replace(small_plan(), None)
    settled(qtbot, desk.document)
    before = said(desk)
    gate.opened.clear()
    desk.document.try_edit(MovePoint(2, place(60, 0)))
    assert desk.document.reading
    assert said(desk)[2] == before[2] == "drawn"
    assert said(desk)[0].endswith("told")


def test_charts_that_cannot_be_read_leave_what_is_so(qtbot, desk, gate):
    gate.trouble = True
    desk.document.replace(small_plan(), None)
    settled(qtbot, desk.document)
    assert said(desk)[0].endswith("told")
    assert "nothing is known" in said(desk)[1]


def test_an_edit_meanwhile_is_taken_and_claims_nothing_either(qtbot, desk, gate):
    gate.opened.clear()
    desk.document.replace(small_plan(), None)
    assert desk.document.try_edit(MovePoint(1, place(1, 1)))
    assert said(desk) == (CHARTS_BEING_READ,) * 4
    gate.opened.set()
    settled(qtbot, desk.document)
    assert desk.document.assessment.plan is desk.document.plan
    assert said(desk)[2] == "drawn"
    desk.document.replace(Plan(), None)
    settled(qtbot, desk.document)
    assert desk.side.findings.begin.isVisible()
