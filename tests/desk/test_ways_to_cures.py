"""A remedy that looks like a link leads to where it can be done; one that leads nowhere looks like none."""

from datetime import date

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QStyleOptionViewItem

from planner.desk import jumps, palette
from planner.desk.action_table import ACTIONS
from planner.desk.explaining.rule_dialog import RuleDialog
from planner.desk.jumps import CHARTS, DRAW_PATH, NOWHERE_ON_THE_DESK, PERMISSIONS, POINTS, WINDOWS, cure_of
from planner.plan.crew import Contact, CrewMember, Role, Task, TriedRange
from planner.plan.edits import ReplaceCrew
from planner.plan.model import Purpose
from planner.rules.finding import Basis, Finding, Mark
from tests.desk.desk_rig import make_window, place, small_plan
from tests.desk.test_findings_panel import click_remedy, row_of
from tests.rules.test_plain_words import every_id

PILOT = CrewMember("pilot", Role.REMOTE_PILOT, "Ash (invented)", place(0, -0.5), tasks=frozenset(Task))
NEXT = CrewMember("next", Role.OBSERVER, "Wren (invented)", place(0, -0.5))


def told(rule):
    return Finding(rule, Mark.ACT, Basis.SAFETY, "Title", "Message.", "", "do this and that")


@pytest.fixture
def window(qtbot, document):
    made = make_window(qtbot, document)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    return made


def test_of_every_rule_it_is_known_where_it_is_cured_or_that_the_desk_has_no_place_for_it():
    """Our own rule (issue 8: nothing unexplained): no remedy is painted as a link by default."""
    leading = {rule for rule in every_id() if cure_of(told(rule))}
    assert every_id() - leading == NOWHERE_ON_THE_DESK
    assert not leading & NOWHERE_ON_THE_DESK
    assert set(jumps._OF_RULE) <= every_id()
    assert cure_of(told("data-security")) == CHARTS


def test_every_way_ends_at_a_window_a_tab_or_a_field_of_its_own(window):
    sections = window.side.plan.sections
    assert {spec.key for spec in ACTIONS} >= WINDOWS
    ways = {cure_of(told(rule)) for rule in every_id()} - WINDOWS - {"", DRAW_PATH, PERMISSIONS, POINTS}
    for way in ways:
        key, _, field = way.partition("/")
        assert not field or sections[key].input_of(field) is not None, way
        assert key in sections, way


def test_a_remedy_that_asks_for_charts_opens_their_window(window, qtbot):
    click_remedy(window.side.findings, row_of(window.side.findings, "no-charts"))
    qtbot.waitUntil(lambda: window.doors.charts.window is not None and window.doors.charts.window.isVisible())


def test_nobody_watches_leads_to_what_the_observer_does_with_their_eyes(window, document, qtbot):
    document.replace(small_plan(crew=(PILOT, NEXT)), None)
    qtbot.waitUntil(lambda: not document.checking)
    click_remedy(window.side.findings, row_of(window.side.findings, "nobody-watches"))
    _pilot, card = window.side.plan.sections["crew"].cards
    qtbot.waitUntil(card.tasks.input.hasFocus)
    qtbot.waitUntil(lambda: not card.tasks.input.visibleRegion().isEmpty())


def test_side_by_side_is_done_by_a_click_and_taken_back_in_one_step(window, document, qtbot):
    """Our own rule (issue 8: less typing). Co-located: 49 USC 44809(a)(3); how near is our own choice."""
    apart = attrs.evolve(NEXT, contact=Contact.BESIDE, place=place(1, 0))
    document.replace(small_plan(crew=(PILOT, apart), purpose=Purpose.RECREATIONAL), None)
    qtbot.waitUntil(lambda: not document.checking)
    said = []
    document.message.connect(said.append)
    click_remedy(window.side.findings, row_of(window.side.findings, "observer-stands-apart"))
    assert document.plan.crew == (PILOT, attrs.evolve(apart, place=PILOT.place))
    assert said[-1] == "Wren (invented) stands beside Ash (invented) now; Undo puts them back"
    assert "observer-stands-apart" not in {one.rule for one in document.assessment.findings}
    document.undo_stack.undo()
    assert document.plan.crew == (PILOT, apart)


def remedy_spots(panel):
    """Give all positions of the first row on which a click would go to a cure."""
    index = panel.model.index(0)
    option = QStyleOptionViewItem()
    panel.list.initViewItemOption(option)
    option.rect = panel.list.visualRect(index)
    finding, delegate = panel.model.findings[0], panel.list.itemDelegate()
    spots = [QPoint(60, y) for y in range(option.rect.top(), option.rect.bottom())]
    return [spot for spot in spots if delegate.is_on_remedy(spot, finding, option)]


def blue_below_the_title(panel):
    """Count the pixels of the first row that are painted in the colour of links, 'why?' left out."""
    box = panel.list.visualRect(panel.model.index(0))
    seen = panel.list.viewport().grab(box.adjusted(0, 34, -60, 0)).toImage()
    blue = palette.in_use().ask
    return sum(
        seen.pixelColor(x, y).name() == blue for x in range(seen.width()) for y in range(seen.height())
    )


@pytest.mark.parametrize(("rule", "leads"), [("no-charts", True), ("structure-close", False)])
def test_what_leads_nowhere_neither_looks_like_a_link_nor_acts_like_one(window, rule, leads):
    panel = window.side.findings
    panel.model.show((told(rule),))
    panel.list.doItemsLayout()
    assert bool(remedy_spots(panel)) is leads
    assert bool(blue_below_the_title(panel)) is leads
    bottom = panel.list.visualRect(panel.model.index(0)).bottomLeft() + QPoint(60, -16)
    QTest.mouseMove(panel.list.viewport(), bottom)
    shape = panel.list.viewport().cursor().shape()
    assert (shape is Qt.CursorShape.PointingHandCursor) is leads


@pytest.mark.parametrize(("rule", "leads"), [("no-charts", True), ("structure-close", False)])
def test_the_window_of_a_rule_offers_to_go_only_where_there_is_a_way(qtbot, rule, leads):
    dialog = RuleDialog()
    qtbot.addWidget(dialog)
    dialog.show_finding(told(rule))
    offered = [button.text() for button in dialog.findChildren(QPushButton)]
    assert ("Go and do it" in offered) is leads


def test_still_open_asks_who_watches_and_where_the_observer_stands(window, document, qtbot):
    """Our own rule (README): the Plan tab asks for what leaves the answer undetermined."""
    crew = (PILOT, attrs.evolve(NEXT, place=None))
    document.replace(small_plan(crew=crew), None)
    qtbot.waitUntil(lambda: not document.checking)
    form = window.side.plan
    window.side.go_to("plan")
    found = {finding.rule for finding in document.assessment.findings}
    assert {"nobody-watches", "observer-not-placed"} <= found
    for words, field in (("Nobody's eyes", "tasks"), ("Observer not placed", "stands")):
        (link,) = [one for one in form.missing.links if one.text().startswith(words)]
        QTest.mouseClick(link, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(getattr(form.sections["crew"].cards[1], field).input.hasFocus)
    watching = attrs.evolve(NEXT, tasks=frozenset({Task.WATCH}))
    document.try_edit(ReplaceCrew("next", watching))
    qtbot.waitUntil(lambda: not [one for one in form.missing.links if "eyes" in one.text()])
    assert not [one for one in form.missing.links if "Observer" in one.text()]
    assert "nobody-watches" not in {finding.rule for finding in document.assessment.findings}


def test_an_untried_distance_leads_to_the_observers_own_trials(window, document, qtbot):
    """Our own rule (issue 8: hard to use wrongly): a remedy ends where it is done, not near it."""
    document.replace(small_plan(crew=(PILOT, NEXT)), None)
    qtbot.waitUntil(lambda: not document.checking)
    window.side.go_to_cure(told("distance-not-tried"))
    _pilot, card = window.side.plan.sections["crew"].cards
    # In a row that is begun for them.
    qtbot.waitUntil(card.tried.rows[0]["distance"].input.hasFocus)
    tried = TriedRange("Sparrow 7 (invented)", date(2026, 11, 1), "overcast", 300.0)
    document.try_edit(ReplaceCrew(NEXT.key, attrs.evolve(NEXT, tried_ranges=(tried,))))
    qtbot.waitUntil(lambda: len(card.tried.rows) == 1)
    window.side.go_to_cure(told("range-tried-long-ago"))
    qtbot.waitUntil(card.tried.rows[0]["distance"].input.hasFocus)
