"""The list of findings: order, picking, remedies that lead somewhere, empty states."""

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QStyleOptionViewItem

from planner.desk.findings_panel import no_findings
from planner.desk.signs import SIGN_OF_MARK, SIGN_OF_VERDICT
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.edits import AppendPoint, RemoveArea
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests.desk.desk_rig import make_document, make_window, place, settled


@pytest.fixture
def window(qtbot, document):
    made = make_window(qtbot, document)
    made.show()
    qtbot.waitExposed(made)
    return made


def row_of(panel, rule):
    return [finding.rule for finding in panel.model.findings].index(rule)


def click_remedy(panel, row):
    index = panel.model.index(row)
    panel.list.scrollTo(index)
    option = QStyleOptionViewItem()
    panel.list.initViewItemOption(option)
    option.rect = panel.list.visualRect(index)
    finding = panel.model.findings[row]
    delegate = panel.list.itemDelegate()
    spots = (QPoint(option.rect.left() + 60, y) for y in range(option.rect.top(), option.rect.bottom()))
    spot = next(spot for spot in spots if delegate.is_on_remedy(spot, finding, option))
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def test_the_findings_are_those_of_the_judgement_in_its_order(window, document):
    assert window.side.findings.model.findings == document.assessment.findings
    count = len(document.assessment.findings)
    assert count > 0
    assert window.side.tabText(0) == f"Findings {count}"


@pytest.mark.parametrize(
    ("rule", "section", "field"),
    [("no-purpose", "purpose", "purpose"), ("no-window", "window", "day")],
)
def test_a_click_on_a_remedy_leads_to_where_it_can_be_done(qtbot, window, rule, section, field):
    panel = window.side.findings
    click_remedy(panel, row_of(panel, rule))
    assert window.side.currentWidget() is window.side.plan
    target = getattr(window.side.plan.sections[section], field).input
    qtbot.waitUntil(target.hasFocus)


def test_what_an_observer_has_not_said_is_asked_in_that_observers_field(qtbot, window, document):
    """Our own rule: a remedy leads to the field that it speaks of."""
    crew = (
        *document.plan.crew,
        CrewMember("o1", Role.OBSERVER, "Wren (invented)", place(1, 1), Contact.BESIDE),
        CrewMember("o2", Role.OBSERVER, "Finch (invented)", place(2, 1)),
    )
    document.replace(attrs.evolve(document.plan, crew=crew), None)
    settled(qtbot, document)
    panel = window.side.findings
    click_remedy(panel, row_of(panel, "observer-contact"))
    section = window.side.plan.sections["crew"]
    qtbot.waitUntil(lambda: bool(section.cards) and section.cards[-1].contact.input.hasFocus())
    assert [card.key for card in section.cards][-1] == "o2"
    assert section.input_of("stands") is section.cards[-2].stands.input  # none lacks it: the first
    document.replace(attrs.evolve(document.plan, crew=crew[:1]), None)
    settled(qtbot, document)
    window.side.plan.jump("crew")
    assert section.input_of("contact") is section.first_input()


def test_a_click_beside_the_remedy_only_picks_the_finding(window):
    panel = window.side.findings
    heard = []
    panel.chosen.connect(heard.append)
    row = row_of(panel, "no-window")
    panel.list.scrollTo(panel.model.index(row))
    corner = panel.list.visualRect(panel.model.index(row)).topLeft()
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=corner + QPoint(60, 14))
    assert heard == [panel.model.findings[row]]
    assert window.side.currentWidget() is panel


def test_what_was_picked_stays_picked_while_the_plan_changes(window, document):
    panel = window.side.findings
    row = row_of(panel, "no-window")
    panel.list.setCurrentIndex(panel.model.index(row))
    document.try_edit(AppendPoint(place(5, 0)))
    document.try_edit(RemoveArea())
    picked = panel.list.selectionModel().selectedIndexes()
    assert [index.data(panel.model.FINDING).rule for index in picked] == ["no-window"]


def test_an_empty_list_says_why(document):
    answer = document.assessment
    assert "No findings" in no_findings(answer)
    assert all(words in no_findings(answer) for words in answer.not_known)


def test_signs_differ_for_every_mark_and_every_verdict():
    assert len({SIGN_OF_MARK[mark] for mark in Mark}) == len(Mark)
    assert len({SIGN_OF_VERDICT[verdict] for verdict in Verdict}) == len(Verdict)


def test_whoever_hears_the_screen_gets_the_mark_in_words(window):
    model = window.side.findings.model
    spoken = model.index(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken.startswith(("must change", "not known"))


def test_an_empty_plan_is_not_scolded(qtbot):
    document = make_document()
    window = make_window(qtbot, document)
    assert document.assessment.findings
    assert window.side.findings.model.findings == ()
    assert window.side.tabText(0) == "Findings"
    document.close()


def test_what_the_verdict_does_not_cover_stands_beside_any_findings(window, document):
    panel = window.side.findings
    assert panel.model.findings
    assert panel.unchecked.isVisible()
    words = panel.unchecked.text()
    for name in ("wires", "trees", "people", "parachute sites"):
        assert name in words
    assert panel.unchecked.toolTip() == "\n".join(document.assessment.not_known)


def test_a_window_is_never_larger_than_its_screen(window):
    room = window.screen().availableGeometry()
    assert window.width() <= max(room.width(), window.minimumWidth())
    assert window.height() <= max(room.height(), window.minimumHeight())
