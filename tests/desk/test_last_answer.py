"""While a part of the answer is awaited the path keeps what was said or is not known, and findings stay."""

import threading

import attrs
import pytest
from PySide6.QtTest import QTest

from planner.assess import assess_live, follow
from planner.desk.document import Document
from planner.desk.last_answer import LastAnswer
from planner.desk.path_marks import path_marks
from planner.desk.profile.legend import Sample
from planner.drawing.path_pattern import Stretch, laid_together
from planner.drawing.patterns import Pattern
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.edits import MovePoint
from planner.plan.edits.beneath import AddBeneath
from tests import worlds
from tests.desk.desk_rig import make_window, settled

AT = [(0, 0, 20.0), (200, 0, 20.0), (400, 0, 20.0), (600, 0, 20.0)]


class Gate:
    """Follows as long as it is open."""

    def __init__(self):
        self.open = threading.Event()
        self.open.set()

    def follow(self, answer, _progress):
        assert self.open.wait(20)
        return follow(answer)


@pytest.fixture
def desk(qtbot):
    """Give a window on three legs of 200 m, people under the first, and the gate."""
    gate = Gate()
    document = Document(assess_live, lambda _plan: worlds.world(), gate.follow)
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.bring_profile()
    window.show()
    document.replace(worlds.plan(path=worlds.points(AT)), None)
    settled(qtbot, document)
    ring = tuple(worlds.at(*offset) for offset in ((60, -20), (110, -20), (110, 20), (60, 20)))
    assert document.try_edit(AddBeneath(BeneathItem(BeneathKind.PEOPLE, DrawnAs.AREA, ring)))
    settled(qtbot, document)
    yield window, gate
    gate.open.set()
    document.close()


def patterns(document):
    """Return the pattern in the middle of each leg, as drawn now."""
    answer = document.assessment
    parts = LastAnswer.of(document).stretches(answer)
    ends_m = answer.track.distance_m[answer.track.point_sample]
    middles_m = (ends_m[:-1] + ends_m[1:]) / 2
    return [next(p.pattern for p in parts if p.from_m <= at_m <= p.to_m) for at_m in middles_m]


def marks(document):
    answer = document.assessment
    found = path_marks(answer, LastAnswer.of(document).stretches(answer))
    return {leg: {piece["mark"] for piece in found if piece["from"] == leg} for leg in range(3)}


def test_legs_that_stay_keep_their_answer_and_moved_ones_are_not_known(desk, qtbot):
    window, gate = desk
    document = window.document
    assert patterns(document) == [Pattern.STOP, Pattern.CLEAR, Pattern.CLEAR]
    count = len(window.side.findings.model.findings)
    gate.open.clear()
    document.try_edit(MovePoint(3, worlds.at(600, 40)))
    QTest.qWait(120)
    assert document.following
    assert patterns(document) == [Pattern.STOP, Pattern.CLEAR, Pattern.UNKNOWN]
    assert marks(document)[2] == {"unknown"}
    assert "stop" in marks(document)[0]
    panel = window.profile_view.panel
    assert len(panel.plot.lines.drawn(Pattern.UNKNOWN)[0]) > 1
    assert Sample.UNKNOWN in panel.legend.samples
    assert len(window.side.findings.model.findings) == count, "the list shrinks and grows"
    assert window.map_view is None  # the map is sent the same stretches: `marks`
    gate.open.set()
    settled(qtbot, document)
    assert patterns(document) == [Pattern.STOP, Pattern.CLEAR, Pattern.CLEAR]
    assert len(panel.plot.lines.drawn(Pattern.UNKNOWN)[0]) == 0


def test_a_stop_that_is_moved_away_from_does_not_turn_clear_before_the_answer(desk, qtbot):
    window, gate = desk
    document = window.document
    gate.open.clear()
    document.try_edit(MovePoint(0, worlds.at(0, 300)))
    assert patterns(document)[0] is Pattern.UNKNOWN
    titles = [finding.rule for finding in window.side.findings.model.findings]
    gate.open.set()
    settled(qtbot, document)
    after = [finding.rule for finding in window.side.findings.model.findings]
    assert len(titles) >= len(after)


def test_only_rows_that_say_something_else_are_drawn_again(desk, qtbot):
    window, gate = desk
    document, told = window.document, []
    model = window.side.findings.model
    gate.open.clear()
    before = model.findings
    model.dataChanged.connect(lambda top, bottom: told.append((top.row(), bottom.row())))
    document.try_edit(MovePoint(3, worlds.at(600, 1)))
    QTest.qWait(30)
    assert len(model.findings) == len(before)
    changed = {row for row, (old, new) in enumerate(zip(before, model.findings, strict=True)) if old != new}
    assert {row for top, bottom in told for row in range(top, bottom + 1)} == changed
    assert len(changed) < len(before)


def test_before_the_first_answer_nothing_is_clear(qtbot):
    gate = Gate()
    document = Document(assess_live, lambda _plan: worlds.world(), gate.follow)
    gate.open.clear()
    document.replace(worlds.plan(path=worlds.points(AT)), None)
    qtbot.waitUntil(lambda: not document.reading)
    assert set(patterns(document)) == {Pattern.UNKNOWN}
    gate.open.set()
    settled(qtbot, document)
    assert set(patterns(document)) == {Pattern.CLEAR}
    document.close()


def test_another_plan_is_not_told_by_the_former_ones_answer(desk, qtbot):
    window, gate = desk
    document = window.document
    gate.open.clear()
    plan = document.plan
    document.replace(attrs.evolve(plan, name="Another (INVENTED)"), None)
    qtbot.waitUntil(lambda: not document.reading)
    assert patterns(document)[1:] == [Pattern.UNKNOWN, Pattern.UNKNOWN]


def test_a_path_laid_together_is_whole_and_heaviest_first():
    parts = laid_together(100.0, [Stretch(10.0, 40.0, Pattern.ACT), Stretch(30.0, 120.0, Pattern.STOP)])
    assert [(p.from_m, p.to_m, p.pattern) for p in parts] == [
        (0.0, 10.0, Pattern.CLEAR),
        (10.0, 30.0, Pattern.ACT),
        (30.0, 100.0, Pattern.STOP),
    ]
