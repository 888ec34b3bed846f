"""The forms of weather, power and link loss: one step a field, raw text as it was, nothing lost.

Units: international knot and foot (exact); 29.92 inHg = 1013.21 hPa; 50 °F = 10 °C.
Report codes: WMO FM 15 and FM 51.
"""

from datetime import UTC, datetime

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from planner.desk.fields import Section
from planner.desk.forms.report_lines import ReportLines
from planner.desk.forms.report_words import report_lines
from planner.desk.forms.text_box import TextBox
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.edits import SetAircraft, SetWeather, SetWindow
from planner.plan.file import read_plan
from planner.plan.weather import PlannedWeather, Station, TypedWind, WindLaw
from planner.rules.finding import Basis, Finding, Mark
from tests.desk.desk_rig import small_plan
from tests.desk.form_hand import type_into

KNOT_MPS = 1852 / 3600
METAR = "METAR XINV 251153Z 24012G20KT 10SM FEW020 BKN045 12/07 A3002"
WINDOW = TimeWindow(
    datetime(2026, 11, 25, 12, 0, tzinfo=UTC), datetime(2026, 11, 25, 13, 0, tzinfo=UTC), "UTC"
)


@pytest.fixture
def section(side):
    return side.plan.sections["weather"]


def paste(box, text):
    QApplication.clipboard().setText(text)
    box.edit.setFocus()
    QTest.keyClick(box.edit, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(box.edit, Qt.Key.Key_Tab)


def test_a_pasted_report_is_kept_to_the_character_and_told_in_words(section, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    raw = f"  {METAR}\u00a0 \n  ZZTOP9="
    paste(section.reports["metar"], raw)
    assert document.plan.weather.metar == raw
    qtbot.waitUntil(lambda: bool(section.understood["metar"].text()))
    words = section.understood["metar"].text()
    for told in ("from 240° true 12 kt, gusts 20 kt", "10 mi", "broken 4,500 ft", "12 °C", "ZZTOP9"):
        assert told in words
    assert "Counts for the flight" in words


def test_a_report_pasted_and_saved_without_leaving_the_box_is_on_the_disk(side, section, document, tmp_path):
    document.path = tmp_path / "pasted.lowline.geojson"
    box = section.reports["metar"].edit
    QApplication.clipboard().setText(METAR)
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(box, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert box.hasFocus()
    side.window().saver.dialog.reject()
    assert read_plan(document.path).weather.metar == METAR
    section.cloud.edit.setFocus()
    QTest.keyClicks(section.cloud.edit, "2,500")
    QTest.keyClick(section.cloud.edit, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert read_plan(document.path).weather.cloud_base_m == pytest.approx(2500 * 0.3048)


def test_a_report_typed_counts_at_a_pause_and_a_visit_is_one_step_back(section, document, qtbot):
    box = section.reports["taf"].edit
    box.setFocus()
    QTest.keyClicks(box, "TAF XINV")
    assert document.plan.weather is None
    qtbot.waitUntil(lambda: document.plan.weather is not None)
    assert box.hasFocus()
    QTest.keyClicks(box, " 251130Z")
    qtbot.waitUntil(lambda: document.plan.weather.taf == "TAF XINV 251130Z")
    assert document.undo_stack.count() == 1
    QTest.keyClick(box, Qt.Key.Key_Tab)
    box.setFocus()
    QTest.keyClicks(box, "=")
    QTest.keyClick(box, Qt.Key.Key_Tab)
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.plan.weather is None
    qtbot.waitUntil(lambda: box.toPlainText() == "")


def test_a_text_that_is_no_report_is_kept_and_said_not_to_be_used(section, document, qtbot):
    paste(section.reports["taf"], "fair weather, they say")
    assert document.plan.weather.taf == "fair weather, they say"
    qtbot.waitUntil(lambda: "Not used" in section.understood["taf"].text())
    assert "Understood" not in section.understood["taf"].text()


def test_an_old_report_is_understood_and_does_not_count():
    old = TimeWindow(WINDOW.start_utc.replace(hour=20), WINDOW.end_utc.replace(hour=21), "UTC")
    lines = report_lines(METAR, old)
    assert any(line.startswith("Understood") for line in lines)
    assert lines[-1] == "× Not used: it is more than 3 hours older than the flight"
    assert "not known" in report_lines(METAR, None)[-1]


def test_a_forecast_says_which_of_its_periods_count():
    taf = "TAF XINV 251130Z 2512/2612 24012KT P6SM SCT030 FM251500 26015G25KT P6SM BKN020"
    first, later, end = report_lines(taf, WINDOW, forecast=True)
    assert "day 25 12:00 to day 26 12:00 UTC, counts" in first
    assert "day 25 15:00" in later
    assert "counts" not in later
    assert "gusts 25 kt" in later
    assert "worst" in end
    other_day = TimeWindow(WINDOW.start_utc.replace(day=20), WINDOW.end_utc.replace(day=20), "UTC")
    missed = report_lines(taf, other_day, forecast=True)
    assert "Not used" in missed[-1]
    assert not any("counts" in line for line in missed)


def test_looking_at_a_report_changes_nothing_of_it(section, document, qtbot):
    raw = f"{METAR}\r\n\t="
    document.try_edit(SetWeather(PlannedWeather(metar=raw)))
    qtbot.waitUntil(lambda: METAR in section.reports["metar"].edit.toPlainText())
    section.reports["metar"].edit.setFocus()
    QTest.keyClick(section.reports["metar"].edit, Qt.Key.Key_Tab)
    type_into(section.cloud, "2,500")
    assert document.plan.weather.metar == raw
    assert document.plan.weather.cloud_base_m == pytest.approx(2500 * 0.3048)


def test_each_field_is_one_step_back(section, document, qtbot):
    for field, text in (
        (section.temperature, "50 F"),
        (section.pressure, "29.92 inHg"),
        (section.direction, "240"),
        (section.speed, "8"),
        (section.gust, "14 kt"),
        (section.measured_at, "6 ft"),
    ):
        type_into(field, text)
    weather = document.plan.weather
    assert weather.temperature_c == pytest.approx(10.0)
    assert weather.pressure_hpa == pytest.approx(1013.21, abs=0.01)
    assert attrs.astuple(weather.wind) == (
        pytest.approx(8 * KNOT_MPS),
        240.0,
        pytest.approx(14 * KNOT_MPS),
        pytest.approx(6 * 0.3048),
        WindLaw.POWER,
    )
    steps = []
    while document.plan.weather is not None:
        document.undo_stack.undo()
        steps.append(document.plan.weather)
    # Direction alone is no wind yet; speed makes it one.
    assert [step and step.wind is not None for step in steps] == [True, True, False, False, None]
    qtbot.waitUntil(lambda: section.speed.edit.text() == "")


def test_half_a_wind_waits_is_said_and_is_not_lost(section, document, qtbot):
    type_into(section.speed, "8")
    assert document.plan.weather is None
    assert "direction" in section.state.text()
    type_into(section.cloud, "2000")
    QTest.qWait(50)
    assert section.speed.edit.text() == "8"
    type_into(section.direction, "90")
    assert document.plan.weather.wind.from_true_deg == 90.0
    qtbot.waitUntil(lambda: not section.state.text())


def test_a_wind_taken_away_counts_no_more_and_comes_back_by_undo(section, document, qtbot):
    wind = TypedWind(4.0, 240.0, 7.0, 3.0, WindLaw.LOGARITHMIC)
    document.try_edit(SetWeather(PlannedWeather(wind=wind)))
    qtbot.waitUntil(lambda: section.speed.edit.text() != "")
    type_into(section.speed, " ")
    assert document.plan.weather is None
    assert "does not count" in section.state.text()
    document.undo_stack.undo()
    assert document.plan.weather.wind == wind
    qtbot.waitUntil(lambda: section.speed.edit.text() == "7.8 kt")
    type_into(section.direction, "250")
    assert document.plan.weather.wind == attrs.evolve(wind, from_true_deg=250.0)


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("speed", "400 kt", "not from 0 kt to 224 kt"),
        ("direction", "west", "not a number"),
        ("direction", "361", "360"),
        ("pressure", "29.92", "inHg"),
        ("temperature", "99", "60 °C"),
        ("cloud", "-3", "not from 0 ft"),
    ],
)
def test_what_cannot_be_is_one_line_and_stays(section, document, name, text, told):
    kept = PlannedWeather(metar=METAR, station=Station("XINV", -150.2, 37.8))
    document.try_edit(SetWeather(kept))
    field = getattr(section, name)
    type_into(field, text)
    assert document.plan.weather == kept
    assert told in field.error.text()
    assert "\n" not in field.error.text()
    QTest.qWait(30)
    assert field.edit.text() == text


def test_gusts_under_the_mean_wind_are_marked_and_the_old_wind_stays(section, document):
    for field, text in ((section.direction, "240"), (section.speed, "12"), (section.gust, "8")):
        type_into(field, text)
    assert document.plan.weather.wind.gust_mps is None
    assert "weaker" in section.gust.error.text()
    QTest.qWait(50)
    assert section.gust.edit.text() == "8"


def test_the_station_is_placed_by_the_form_and_is_half_said_until_it_has_a_place(section, document, qtbot):
    document.try_edit(SetWeather(PlannedWeather(metar=METAR)))
    _ident, place, height = section.station.fields
    type_into(height, "120")
    assert document.plan.weather.station is None
    document.try_edit(SetWindow(WINDOW))
    QTest.qWait(30)
    assert height.edit.text() == "120"
    type_into(place, "37.81 -150.24")
    # The report names it: XINV.
    assert document.plan.weather.station == Station("XINV", -150.24, 37.81, 120 * 0.3048)
    document.undo_stack.undo()
    assert document.plan.weather == PlannedWeather(metar=METAR)


def test_a_station_typed_for_one_plan_is_not_put_into_the_next(section, document, qtbot):
    document.try_edit(SetWeather(PlannedWeather(station=Station("XINV", -150.24, 37.81, 30.0, "Corrow"))))
    qtbot.waitUntil(lambda: section.station.ident.edit.text() == "XINV")
    type_into(section.station.height, "50 m")
    assert document.plan.weather.station == Station("XINV", -150.24, 37.81, 50.0, "Corrow")
    document.replace(small_plan(), None)
    qtbot.waitUntil(lambda: section.station.place.edit.text() == "")
    type_into(section.cloud, "2000")
    assert document.plan.weather.station is None


@pytest.mark.parametrize(
    ("rule", "section", "field"),
    [
        ("wind-not-compared", "aircraft", "highest_speed"),
        ("home-not-reached", "aircraft", "reserve"),
        ("link-loss-too-low", "aircraft", "link_height"),
        ("way-not-held", "weather", "wind"),
        ("weather-report", "weather", "metar"),
    ],
)
def test_a_finding_leads_to_its_field(side, document, qtbot, rule, section, field):
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25)))
    side.go_to("findings")
    side.go_to_cure(Finding(rule, Mark.ACT, Basis.SAFETY, "t", "m", "c"))
    target = side.plan.sections[section].input_of(field)
    assert target.isVisible()
    qtbot.waitUntil(lambda: not target.visibleRegion().isEmpty())
    qtbot.waitUntil(target.hasFocus)


LONG_TAF = (
    "TAF XINV 251130Z 2512/2618 24015KT 9999 SCT020 TEMPO 2512/2516 24030G45KT 1500 TSRA BKN004CB "
    "BECMG 2518/2520 30010KT FM260300 VRB03KT CAVOK TEMPO 26o4/2606 2404KT WS020/24055KT RMK NXT FCST BY 18Z"
)


@pytest.mark.parametrize("width", [250, 350, 450])
def test_words_of_a_part_are_whole_in_a_panel_narrower_than_it_likes(qtbot, width):
    part, page, panel = Section("Part", "why"), QWidget(), QScrollArea()
    words = QLabel("\n".join(["words that go over several lines " * 5] * 6))
    words.setWordWrap(True)
    part.add_row(words)
    part.add_row(QLineEdit())
    column = QVBoxLayout(page)
    column.addWidget(part)
    column.addStretch(1)
    panel.setWidgetResizable(True)
    panel.setWidget(page)
    panel.resize(width, 400)
    qtbot.addWidget(panel)
    panel.show()
    qtbot.waitUntil(lambda: words.height() >= words.heightForWidth(words.width()))


@pytest.mark.parametrize("width", [300, 350, 427, 600])
def test_what_was_understood_is_whole_however_narrow_the_panel(section, side, document, qtbot, width):
    document.try_edit(SetWindow(WINDOW))
    side.plan.setFixedWidth(width)
    paste(section.reports["metar"], f"{METAR} TEMPO 24025G40KT RMK SEEN 1130")
    paste(section.reports["taf"], LONG_TAF)
    lines = section.understood["taf"]
    qtbot.waitUntil(lambda: lines.text().endswith("The worst of what counts is taken"))
    qtbot.waitUntil(
        lambda: all(label.height() >= label.heightForWidth(label.width()) for label in lines.labels)
    )
    told = [label for one in section.understood.values() for label in one.labels if label.isVisible()]
    assert len(told) > 10
    for label in told:
        assert label.height() >= label.heightForWidth(label.width())
        assert label.fontMetrics().horizontalAdvance(max(label.text().split(), key=len)) <= label.width()
    below = section.station.fields[0]
    assert (
        lines.mapTo(section, lines.rect().bottomLeft()).y() < below.mapTo(section, below.rect().topLeft()).y()
    )


def test_a_box_of_a_report_shows_all_its_lines_and_no_more_than_nine(qtbot):
    box = TextBox("TAF", "The forecast as it was issued.")
    qtbot.addWidget(box)
    box.resize(300, 400)
    box.show()
    qtbot.waitExposed(box)
    before = box.edit.height()
    box.edit.setPlainText("\n".join([METAR] * 7))
    qtbot.waitUntil(lambda: box.edit.height() > before)
    box.edit.setPlainText("\n".join([METAR] * 40))
    line = box.edit.fontMetrics().lineSpacing()
    assert box.edit.height() < 12 * line


def test_a_report_that_is_taken_away_leaves_no_line(section, document):
    paste(section.reports["metar"], METAR)
    section.reports["metar"].edit.clear()
    section.reports["metar"].commit_now()
    assert section.understood["metar"].text() == ""
    assert not section.understood["metar"].labels


@pytest.mark.usefixtures("dressed")
def test_a_box_of_a_report_is_never_squeezed_below_its_lines(qtbot):
    """Our own rule (issue 8: nothing is clipped): a page too short for it gets a bar, no half line."""
    box = TextBox("TAF", "The forecast as it was issued.")
    qtbot.addWidget(box)
    box.ensurePolished()
    box.edit.ensurePolished()
    wanted = box.edit.maximumHeight()
    assert wanted >= 3 * box.edit.fontMetrics().lineSpacing()
    box.layout().activate()
    assert box.minimumSizeHint().height() >= wanted
    box.resize(400, 20)
    box.show()
    assert box.edit.height() == wanted


@pytest.mark.usefixtures("dressed")
@pytest.mark.parametrize("width", [380, 440])
def test_nothing_below_moves_when_a_usual_report_is_read(qtbot, width):
    """Our own rule (issue 8: hard to use wrongly): the next click must meet what it was aimed at."""
    lines = ReportLines()
    qtbot.addWidget(lines)
    lines.ensurePolished()
    before = lines.minimumSizeHint().height(), lines.heightForWidth(width)
    for text, window in (
        (METAR, WINDOW),
        ("KABC 121953Z", None),
        ("fair weather, they say", None),
        ("", None),
    ):
        lines.show_lines(report_lines(text, window))
        for label in lines.labels:
            label.ensurePolished()
        lines.layout().invalidate()
        assert (lines.minimumSizeHint().height(), lines.heightForWidth(width)) == before
        assert (not text) == (not lines.labels)
