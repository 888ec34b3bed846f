"""Why: each finding opens its rule, each ceiling its origin."""

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

from planner.ceiling.derivation import derive_sample
from planner.desk.explaining.ceiling_dialog import CeilingDialog
from planner.desk.explaining.number_words import number_lines
from planner.desk.explaining.rule_dialog import RuleDialog
from planner.desk.fixing.kinds import FixKind
from planner.desk.saying import choose
from planner.rules.finding import Basis, Finding, Mark
from planner.saying import AS_IT_COMES, Kind, Quantity, Units
from planner.units import FOOT_M, POUND_KG
from tests.desk.saving_rig import Rig
from tests.missions import judged_demo


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    made.open("cliff_level.lowline.geojson")
    yield made
    made.window.doors.fixes.close()
    made.document.close()


def stop_of(rig):
    return next(each for each in rig.document.assessment.findings if each.rule == "above-height-limit")


def test_the_word_why_in_a_row_opens_the_rule(rig, qtbot):
    findings = rig.window.side.findings
    rect = findings.list.visualRect(findings.model.index(0))
    at = QPoint(rect.right() - 24, rect.top() + 16)
    QTest.mouseClick(findings.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    dialog = rig.window.doors.reasons.rule
    assert dialog is not None
    texts = dialog.texts()
    finding = findings.model.findings[0]
    for part in (
        finding.title,
        finding.message,
        finding.citation,
        f"{finding.remedy[:1].upper()}{finding.remedy[1:]}",
    ):
        assert part in texts
    assert any("400-ft radius" in text for text in texts)
    # The cliff is level at 624 ft over the water: 224 ft above 400 ft, both in the finding's numbers.
    assert {"224 ft", "624 ft"} <= set(texts)


def test_return_on_a_finding_opens_the_rule(rig):
    findings = rig.window.side.findings
    findings.list.setCurrentIndex(findings.model.index(1))
    findings.list.activated.emit(findings.model.index(1))
    assert findings.model.findings[1].title in rig.window.doors.reasons.rule.texts()


def test_from_the_rule_to_the_cure_and_to_the_ceiling(rig):
    reasons = rig.window.doors.reasons
    finding = stop_of(rig)
    reasons.show_rule(finding)
    reasons.rule.cure_wanted.emit(finding)
    assert rig.window.doors.fixes.dialog.kind is FixKind.LEAST
    reasons.rule.ceiling_wanted.emit(finding.from_m)
    assert reasons.ceiling.isVisible()


def test_a_click_on_the_profile_tells_how_the_ceiling_came_about(rig, qtbot):
    """Over the open sea the ground is 0 ft: the limit is 400 ft (14 CFR 107.51(b), standing B)."""
    window = rig.window
    window.bring_profile()
    panel = window.profile_view.panel
    panel.resize(800, 300)
    panel.grab()
    box = panel.plot.plot_box()
    at = QPoint(round(box.left() + box.width() * 0.8), round(box.top() + 12))
    QTest.mouseClick(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=at)
    dialog = window.doors.reasons.ceiling
    assert dialog is not None
    lines = {line.what: line.height for line in dialog.lines}
    assert lines["the ceiling here"] == "400 ft"
    assert "along the path" in dialog.where.text()


def test_a_click_on_a_handle_or_a_drag_is_no_question(rig):
    window = rig.window
    window.bring_profile()
    panel = window.profile_view.panel
    panel.resize(800, 300)
    panel.grab()
    handle = panel.plot.handle_position(0).toPoint()
    QTest.mouseClick(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=handle)
    assert panel.selected_point == 0
    viewport = panel.plot.viewport()
    middle = panel.plot.plot_box().center().toPoint()
    QTest.mousePress(viewport, Qt.MouseButton.LeftButton, pos=middle)
    QTest.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=middle + QPoint(60, 0))
    assert window.doors.reasons.ceiling is None


def test_a_click_on_the_readout_asks_for_the_place_read_last(rig, qtbot):
    readout = rig.window.readout
    QTest.mouseClick(readout, Qt.MouseButton.LeftButton)
    assert rig.window.doors.reasons.ceiling is None
    readout.show_at(700.0)
    readout.show_at(None)
    QTest.mouseClick(readout, Qt.MouseButton.LeftButton)
    assert rig.window.doors.reasons.ceiling.where.text().startswith("700 m along")


def test_numbers_are_told_in_feet_and_pounds_rounded_to_the_safe_side():
    lines = dict(
        number_lines(_finding({"over_m": 10.01 * FOOT_M, "room_m": 10.99 * FOOT_M, "weight_kg": POUND_KG}))
    )
    assert lines["Above the limit"] == "11 ft"
    assert lines["Room under the limit"] == "10 ft"
    assert lines["Weight"].startswith("1.000 lb")


def test_numbers_are_told_as_the_finding_tells_them():
    """A place along the path in metres, charge in percent, visibility in miles, as the messages do."""
    numbers = {
        "turn_back_m": 679.0,
        "reserve": 0.25,
        "least_left": 0.179,
        "apart_mhz": 20.0,
        "ago_days": 400.0,
    }
    assert [said for _, said in number_lines(_finding(numbers))] == [
        "679 m",
        "25 %",
        "17 %",
        "20.0 MHz",
        "400 days",
    ]
    assert number_lines(_finding({"visibility_m": 4_828.0})) == (("Visibility", "2.99 statute miles"),)


@pytest.mark.parametrize(
    ("kind", "value_m", "said", "in_metres"),
    [
        (Kind.LIMIT, 413.6 * FOOT_M, "413 ft", "126 m"),
        (Kind.PLANNED, 413.4 * FOOT_M, "414 ft", "127 m"),
        (Kind.PLANNED, -413.4 * FOOT_M, "−414 ft", "−127 m"),
    ],
)
def test_a_number_is_rounded_as_the_finding_rounds_it(qapp, kind, value_m, said, in_metres):
    """To the nearest foot it would be the other one than the message above it tells."""
    told = Quantity(kind, abs(value_m))
    found = attrs.evolve(_finding({"aside_m": value_m}), message=f"It passes {told} beside it.")
    assert number_lines(found) == (("Aside", said),)
    choose(qapp, Units(height="m"))
    try:
        assert number_lines(found) == (("Aside", in_metres),)
    finally:
        choose(qapp, AS_IT_COMES)


def test_a_margin_is_rounded_as_the_finding_rounds_it():
    weak = next(one for one in judged_demo("canyon_video_breaks").findings if "margin_db" in one.numbers)
    for _name, said in number_lines(weak):
        assert said in weak.message


@pytest.mark.parametrize("kind", ["rule", "ceiling"])
def test_no_line_of_an_explanation_is_cut_also_of_the_next_one_in_the_same_window(qtbot, kind):
    """Every label is as high as its own text asks for at the width it has."""
    answer = judged_demo("canyon_hidden")
    dialog = RuleDialog() if kind == "rule" else CeilingDialog()
    qtbot.addWidget(dialog)
    things = (
        answer.findings
        if kind == "rule"
        else [derive_sample(answer.scene, answer.track, sample) for sample in (0, 5, 9)]
    )
    assert len(things) > 1
    for thing in things:
        (dialog.show_finding if kind == "rule" else dialog.show_derivation)(thing)
        qtbot.waitExposed(dialog)
        QTest.qWait(1)
        shown = [label for label in dialog.findChildren(QLabel) if label.isVisible() and label.text()]
        assert len(shown) > 4
        for label in shown:
            asked = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
            assert label.height() >= asked, label.text()


def _finding(numbers):
    return Finding("close-beside-airspace", Mark.ACT, Basis.SAFETY, "Close", "", "", "", numbers=numbers)


def test_what_is_flown_otherwise_is_named_as_that():
    """It adds to what is planned: no height of its own, and nothing above what is asked for."""
    numbers = {"asked_agl_m": 149 * FOOT_M, "above_asked_m": 2 * FOOT_M}
    assert number_lines(_finding(numbers)) == (
        ("Planned above ground, at most", "149 ft"),
        ("Flown otherwise, above that", "2 ft"),
    )
