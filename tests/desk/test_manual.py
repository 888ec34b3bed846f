"""The manual in the program: each field, strip and finding has its passage, links hold, F1 opens it."""

import re
import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QContextMenuEvent, QTextDocument
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from planner.desk.action_table import ACTIONS
from planner.desk.charts.statement_form import StatementForm
from planner.desk.fields import Field, Section
from planner.desk.fixing.fix_dialog import FixDialog
from planner.desk.forms.rows_editor import RowsEditor
from planner.desk.manual.address import address_of, lead_to
from planner.desk.manual.anchors import FIRST, address_of_rule, address_of_strip, anchor_of, resolved
from planner.desk.manual.help_key import HelpMark
from planner.desk.manual.pages import links_of, read_pages
from planner.desk.manual.search import found_in
from planner.desk.manual.window import ManualWindow, open_manual
from planner.desk.profile.strips import STRIPS
from planner.locate import resources_dir
from planner.rules.plain_words import PLAIN_WORDS
from tests.desk.saving_rig import Rig
from tests.missions import MISSIONS, judged_mission
from tests.rules.test_plain_words import every_id

MANUAL = resources_dir() / "manual"


@pytest.fixture(scope="module")
def pages():
    return read_pages()


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    made.open("canyon_video_breaks.lowline.geojson")
    made.window.show()
    yield made
    for each in QApplication.topLevelWidgets():
        if isinstance(each, ManualWindow):
            each.close()
    made.window.doors.close()
    made.document.close()


def told(pages, address):
    """Return what stands at an address, '' where the manual has no such page or heading."""
    page, _, anchor = address.partition("#")
    passage = pages[page].passage(anchor) if page in pages else None
    return passage.text if passage is not None else ""


def untold(pages, within: QWidget) -> set[str]:
    """Return the fields there of which the manual says nothing of their own."""
    fields = [one for one in within.findChildren(Field) if one.label.text()]
    assert fields or isinstance(within, Section)
    return {
        f"{address_of(one.input)}: {one.label.text()}"
        for one in fields
        if "#" not in address_of(one.input) or len(told(pages, address_of(one.input))) < 10
    }


def test_every_page_is_listed_once_and_every_link_and_picture_resolves(pages):
    broken, listed = [], []
    for page in pages.values():
        for link in links_of(page.text):
            if link.endswith(".png"):
                picture = (MANUAL / page.name).parent / link
                broken += [] if picture.is_file() else [(page.name, link)]
                continue
            assert "://" not in link, "the manual works without a connection"
            address = resolved(page.name, link)
            broken += [] if told(pages, address) else [(page.name, link)]
            # The same link has to lead to a file for those who read it in the repository.
            path = link.partition("#")[0]
            assert not path or ((MANUAL / page.name).parent / path).is_file(), (page.name, link)
            listed += [address] if page.name == FIRST else []
    assert broken == []
    assert sorted(listed) == sorted(set(pages) - {FIRST})


def test_no_passage_is_empty_and_no_anchor_stands_twice_on_a_page(pages):
    for page in pages.values():
        anchors = [one.anchor for one in page.passages]
        assert len(anchors) == len(set(anchors)), page.name
        assert [one.address for one in page.passages if not one.text] == []


def test_every_finding_has_its_passage(pages):
    met = {one.rule for mission in MISSIONS for one in judged_mission(mission).findings}
    assert len(met) > 30
    codes = set(PLAIN_WORDS) | every_id() | met
    assert {code for code in codes if len(told(pages, address_of_rule(code))) < 20} == set()


def test_every_strip_has_its_passage(pages, rig):
    named = {build(rig.document.assessment).name for build in STRIPS}
    assert len(named) == len(STRIPS)
    assert {name for name in named if len(told(pages, address_of_strip(name))) < 60} == set()


def test_every_field_of_the_forms_has_its_passage(pages, rig):
    form = rig.window.side.plan
    for editor in form.findChildren(RowsEditor):
        editor.add_row(())
    form.sections["aircraft"].more.setChecked(True)
    lacking = set()
    for section in form.sections.values():
        assert section.parentWidget().findChildren(HelpMark), section.heading.text()
        assert told(pages, address_of(section)), section.heading.text()
        lacking |= untold(pages, section)
    assert lacking == set()


def test_every_field_of_every_window_has_its_passage(pages, rig):
    window = rig.window
    doors, actions = window.doors, window.menu_actions
    for key in ["another_day", "preferences", "reshape", "fix", "stand", "charts"]:
        actions[key].trigger()
    doors.restrictions.enter("figures")
    doors.restrictions.enter("event")
    doors.beneath.enter("figures")
    window.side.permissions.record(None)
    doors.charts.window.make_set()
    shown = [one for one in QApplication.topLevelWidgets() if one.isVisible() and one.findChildren(Field)]
    assert {"Preferences", "Record a permission", "New chart set", "Where to stand"} <= {
        one.windowTitle() for one in shown
    }
    lacking = set().union(*(untold(pages, one) for one in [*shown, doors.charts.window]))
    for one in shown:
        if one is not window:
            one.close()
    assert lacking == set()
    assert doors.charts.window.findChildren(StatementForm)
    assert window.findChildren(FixDialog)


def test_tips_of_actions_and_the_index_know_f1():
    keys = {spec.key: spec.shortcuts for spec in ACTIONS}
    assert keys["manual"] == ("F1",)
    assert "F1" not in keys["cautions"]


def test_f1_opens_the_manual_at_the_field_typed_into(rig, qtbot):
    window = rig.window
    window.side.go_to_form("aircraft/capacity")
    field = window.side.plan.sections["aircraft"].fields["capacity"]
    field.input.setFocus()
    qtbot.waitUntil(field.input.hasFocus, timeout=5_000)
    QTest.keyClick(field.input, Qt.Key.Key_F1)
    (manual,) = window.findChildren(ManualWindow)
    assert manual.isVisible()
    assert manual.address == "plan/aircraft#capacity"
    assert manual.view.page.name == "plan/aircraft"
    # The heading gone to is at the top of what is seen.
    assert manual.view.cursorForPosition(QPoint(40, 24)).block().text() == "Capacity"


def test_f1_with_the_pointer_on_a_strip_tells_of_the_strip_while_only_the_map_has_the_focus(rig, monkeypatch):
    window = rig.window
    window.bring_profile()
    panel = window.profile_view.panel
    lead_to(panel, "strips#sight")
    inner = panel.strips.viewport() if hasattr(panel.strips, "viewport") else panel.strips
    monkeypatch.setattr("planner.desk.manual.window.QApplication.widgetAt", lambda *_at: inner)
    monkeypatch.setattr("planner.desk.manual.window.QApplication.focusWidget", lambda: window.map_place)
    window.menu_actions["manual"].trigger()
    (manual,) = window.findChildren(ManualWindow)
    assert manual.address == "strips#sight"
    # So it does where a tool's button has the focus, which the last click has left there.
    button = window.strip.buttons["layers"]
    monkeypatch.setattr("planner.desk.manual.window.QApplication.focusWidget", lambda: button)
    window.menu_actions["manual"].trigger()
    assert manual.address == "strips#sight"
    # With the pointer over the map it tells of the button.
    monkeypatch.setattr("planner.desk.manual.window.QApplication.widgetAt", lambda *_at: window.map_place)
    window.menu_actions["manual"].trigger()
    assert manual.address == "the_desk#tools"
    monkeypatch.setattr("planner.desk.manual.window.QApplication.widgetAt", lambda *_at: inner)
    # A field that is typed into goes before what the pointer happens to lie on.
    field = window.side.plan.sections["aircraft"].fields["capacity"]
    monkeypatch.setattr("planner.desk.manual.window.QApplication.focusWidget", lambda: field.input)
    window.menu_actions["manual"].trigger()
    assert manual.address == "plan/aircraft#capacity"


def test_what_was_looked_for_the_last_time_does_not_hide_the_contents(rig):
    window = rig.window
    window.menu_actions["manual"].trigger()
    (manual,) = window.findChildren(ManualWindow)
    contents = manual.list.count()
    QTest.keyClicks(manual.search, "qqqq")
    assert manual.list.count() < contents
    manual.close()
    window.menu_actions["manual"].trigger()
    assert manual.search.text() == ""
    assert manual.list.count() == contents


def test_f1_on_a_chosen_finding_opens_its_rule(rig):
    findings = rig.window.side.findings
    finding = findings.model.findings[0]
    rig.window.side.go_to("findings")
    findings.pick(finding)
    assert address_of(findings.list) == address_of_rule(finding.rule)
    rig.window.doors.reasons.show_rule(finding)
    rule = rig.window.doors.reasons.rule
    (mark,) = rule._page.findChildren(HelpMark)
    QTest.mouseClick(mark, Qt.MouseButton.LeftButton)
    (manual,) = rule.findChildren(ManualWindow)
    assert manual.address == address_of_rule(finding.rule)


def test_a_right_click_on_a_strip_offers_its_passage(rig, qtbot):
    window = rig.window
    window.bring_profile()
    strips = window.profile_view.panel.strips
    window.profile_view.panel.resize(800, 400)
    window.profile_view.panel.grab()
    names = [strip.name for strip in strips.strips]
    assert {"binds", "sight", "video"} <= set(names)
    row = names.index("video")
    at = QPoint(200, strips._between() + row * strips._pitch() + 4)
    QApplication.sendEvent(
        strips, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, strips.mapToGlobal(at))
    )
    (menu,) = strips.findChildren(QMenu)
    (entry,) = menu.actions()
    assert "video" in entry.text()
    entry.trigger()
    (manual,) = window.findChildren(ManualWindow)
    assert manual.address == "strips#video"
    menu.close()


def test_f1_in_a_dialog_that_bars_the_desk_opens_a_manual_that_can_be_read(rig, qtbot):
    rig.window.menu_actions["preferences"].trigger()
    dialog = rig.window.doors.preferences.dialog
    dialog.appearance.input.setFocus()
    qtbot.waitUntil(dialog.isActiveWindow, timeout=5_000)
    QTest.keyClick(dialog.appearance.input, Qt.Key.Key_F1)
    (manual,) = dialog.findChildren(ManualWindow)
    assert manual.address == "windows/preferences#appearance"
    QTest.keyClicks(manual.search, "landing reserve")
    assert manual.list.item(0).text().startswith("Landing reserve")
    QTest.keyClick(manual.search, Qt.Key.Key_Return)
    assert manual.address == "plan/aircraft#landing-reserve"
    QTest.mouseClick(manual.back, Qt.MouseButton.LeftButton)
    assert manual.address == "windows/preferences#appearance"
    QTest.mouseClick(manual.forward, Qt.MouseButton.LeftButton)
    assert manual.address == "plan/aircraft#landing-reserve"
    dialog.reject()


def test_what_is_searched_is_found_by_the_beginnings_of_words(pages):
    assert found_in(pages, "turn-b")[0].heading == "Turn back"
    assert "sight" in {one.page for one in found_in(pages, "twilight civil")}
    assert found_in(pages, "link-loss-on-people")[0].anchor == "link-loss-on-people"
    assert found_in(pages, "zzz") == found_in(pages, "  ") == ()


def test_a_search_without_success_says_so_and_contents_come_back(qtbot):
    owner = QWidget()
    qtbot.addWidget(owner)
    manual = open_manual(owner)
    assert manual.address == FIRST
    whole = manual.list.count()
    assert whole > len(manual.pages)
    manual.search.setText("xyzzy")
    assert manual.none.isVisible()
    assert manual.list.count() == 0
    manual.search.clear()
    assert manual.list.count() == whole
    manual.show_address("no such page#at-all")
    assert manual.address == FIRST


def test_a_followed_link_leads_within_the_manual(qtbot):
    owner = QWidget()
    qtbot.addWidget(owner)
    manual = open_manual(owner, "plan/crew")
    manual.view.link_followed.emit(resolved("plan/crew", "../sight.md#range-how-far-away"))
    assert manual.address == "sight#range-how-far-away"
    assert manual.view.page.title == "Does the crew see the aircraft?"


def test_pictures_stay_within_the_page(qtbot):
    owner = QWidget()
    qtbot.addWidget(owner)
    manual = open_manual(owner, "sight")
    manual.resize(700, 500)
    QApplication.processEvents()
    assert manual.view._pictures
    assert manual.view.horizontalScrollBar().maximum() == 0


def test_every_line_of_every_page_has_its_room_and_pages_that_were_left_are_gone(qtbot):
    """Our own rule: what is written can be read. Lists after a picture were laid out to no height."""
    owner = QWidget()
    qtbot.addWidget(owner)
    manual = open_manual(owner, "sight")
    manual.resize(760, 560)
    for page in manual.pages:
        manual.show_address(page)
        QApplication.processEvents()
        document = manual.view.document()
        room = document.documentLayout().blockBoundingRect
        blocks = [document.findBlockByNumber(number) for number in range(document.blockCount())]
        assert [one.text() for one in blocks if one.text() and room(one).height() < 5] == [], page
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert len(manual.view.findChildren(QTextDocument)) <= 2


def test_anchors_are_those_of_the_repository():
    """GitHub: lower case, punctuation dropped, a hyphen for each space (its page on section links)."""
    assert anchor_of("Does it come home, and what is beneath?") == "does-it-come-home-and-what-is-beneath"
    assert anchor_of("Capacity at 0 °C") == "capacity-at-0-c"
    assert anchor_of("Twelve o’clock is") == "twelve-oclock-is"


def test_the_manual_travels_with_the_program():
    text = Path(MANUAL.parents[1] / "pyproject.toml").read_text("utf-8")
    assert re.search(r'resources = "planner/_resources"', text)
    assert shutil.which("sh") is None or (MANUAL / "index.md").is_file()
