"""Who types on at once types where it is meant, and nothing that is typed goes by itself.

Our own rules (issue 8: hard to use wrongly; less typing).
"""

from datetime import UTC, datetime, timedelta

import attrs
import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox

from planner.desk import saying
from planner.desk.forms.waiting import NOT_TAKEN
from planner.desk.whom_to_place import form_at_hand, whom_to_place
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft, AircraftForm, Radio, RadioUse
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import AddCrew, SetAircraft, SetNotices, SetSheetNotes, SetWeather, SetWindow
from planner.plan.records import NoticesChecked
from planner.plan.sheet import CallTimes, Landmark, SheetNotes
from planner.plan.weather import PlannedWeather, Station, TypedWind
from tests.desk.desk_rig import place
from tests.desk.form_hand import choose, type_into

START = datetime(2027, 6, 12, 20, tzinfo=UTC)
WINDOW = TimeWindow(START, START + timedelta(hours=1), "Etc/GMT+10")
AIRCRAFT = Aircraft("Sparrow (invented)", 0.6, 0.3, AircraftForm.ROTORCRAFT)
RADIO = Radio(RadioUse.VIDEO, 5800.0, 25.0)
SOMEBODY = CrewMember("kim", Role.OBSERVER, "Kim (invented)", place(1, 0))


def test_a_name_typed_at_the_list_that_adds_somebody_adds_nobody(side, document):
    section, before = side.plan.sections["crew"], document.plan.crew
    section.add.setFocus()
    QTest.keyClicks(section.add, "Sam")
    QTest.keyClick(section.add, Qt.Key.Key_End)
    assert document.plan.crew == before
    assert section.add.currentIndex() == 0
    letter = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_A, Qt.KeyboardModifier.NoModifier, "a")
    letter.ignore()
    QApplication.sendEvent(section.add, letter)
    assert letter.isAccepted(), "the letter would arm a tool of the map"


@pytest.mark.parametrize(
    ("key", "held", "text"),
    [
        (Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier, "2"),
        (Qt.Key.Key_O, Qt.KeyboardModifier.AltModifier, "o"),
        (Qt.Key.Key_Semicolon, Qt.KeyboardModifier.ControlModifier, ";"),
        (Qt.Key.Key_Equal, Qt.KeyboardModifier.ControlModifier, "="),
    ],
)
def test_shortcuts_work_at_the_list_that_adds_somebody(side, document, key, held, text):
    section, before = side.plan.sections["crew"], document.plan.crew
    for kind in (QEvent.Type.ShortcutOverride, QEvent.Type.KeyPress):
        event = QKeyEvent(kind, key, held, text)
        event.ignore()
        section.add.event(event)
        assert not event.isAccepted(), "the shortcut would be taken for a name"
    assert (document.plan.crew, section.add.currentIndex()) == (before, 0)


def test_the_wheel_gives_no_list_of_the_form_the_keys(side):
    """WheelFocus is Qt's own for a list (Qt's documentation of QComboBox and Qt::FocusPolicy)."""
    boxes = side.plan.findChildren(QComboBox)
    assert side.plan.sections["crew"].add in boxes
    assert {box.focusPolicy() for box in boxes} == {Qt.FocusPolicy.StrongFocus}


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Space, Qt.Key.Key_Down])
def test_whoever_is_added_from_the_list_is_given_a_name_next(side, document, qtbot, key):
    section, before = side.plan.sections["crew"], document.plan.crew
    section.add.setFocus()
    QTest.keyClick(section.add, key)
    view = section.add.view()
    qtbot.waitUntil(view.isVisible)
    for _down in range(list(Role).index(Role.OBSERVER) + 1):
        QTest.keyClick(view, Qt.Key.Key_Down)
    QTest.keyClick(view, Qt.Key.Key_Return)
    assert [one.role for one in document.plan.crew[len(before) :]] == [Role.OBSERVER]
    assert side.window().focusWidget() is section.cards[-1].name.edit


def test_hours_typed_beside_a_refused_day_wait_for_it(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    qtbot.waitUntil(lambda: section.start.edit.text() == "10:00")
    for field, text in ((section.day, "1 Dec"), (section.start, "09:20"), (section.end, "10:40")):
        type_into(field, text)
    assert section.half_said() == section.state.text() == NOT_TAKEN
    # Whatever else is edited meanwhile.
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert (section.start.edit.text(), section.end.edit.text()) == ("09:20", "10:40")
    assert document.plan.window == WINDOW
    type_into(section.day, "2027-06-13")
    day_later = datetime(2027, 6, 13, 19, 20, tzinfo=UTC)
    assert document.plan.window == TimeWindow(
        day_later, day_later + timedelta(hours=1, minutes=20), WINDOW.zone
    )
    section.refresh()
    assert (section.start.edit.text(), section.state.text()) == ("09:20", "")


def test_hours_that_are_emptied_are_taken_out_of_the_plan(side, document):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    section.refresh()
    type_into(section.day, " ")
    type_into(section.start, " ")
    assert document.plan.window == WINDOW
    assert section.half_said() == section.state.text() == "Still needed: day, from."
    type_into(section.end, " ")
    assert document.plan.window is None
    section.refresh()
    assert section.half_said() == section.state.text() == ""
    assert section.zone.edit.text() == WINDOW.zone
    document.undo_stack.undo()
    section.refresh()
    assert section.start.edit.text() == "10:00"


def test_an_aircraft_that_is_emptied_is_named_while_the_plan_holds_it(side, document):
    document.try_edit(SetAircraft(AIRCRAFT))
    section = side.plan.sections["aircraft"]
    section.refresh()
    for key in ("name", "weight", "size"):
        type_into(section.fields[key], " ")
    choose(section.fields["form"], None)
    assert document.plan.aircraft == AIRCRAFT
    assert section.half_said() == section.state.text()
    assert "take-off weight" in section.state.text()


def test_what_waits_goes_once_the_plan_has_other_hours(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    qtbot.waitUntil(lambda: section.start.edit.text() == "10:00")
    type_into(section.end, "10:00")
    type_into(section.zone, "nowhere")
    type_into(section.start, "09:20")
    document.try_edit(SetWindow(TimeWindow(START, START + timedelta(hours=2), WINDOW.zone)))
    section.refresh()
    assert section.start.edit.text() == "10:00"


def test_who_looked_up_notices_waits_for_a_refused_hour(side, document, qtbot):
    checked = NoticesChecked(START - timedelta(hours=2), "Ash (invented)")
    document.try_edit(SetNotices(checked))
    section = side.plan.sections["notices"]
    qtbot.waitUntil(lambda: section.by.edit.text() == "Ash (invented)")
    type_into(section.at, "2027-06-12")
    type_into(section.by, "Wren (invented)")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert (section.by.edit.text(), section.state.text()) == ("Wren (invented)", NOT_TAKEN)
    assert document.plan.notices == checked
    type_into(section.at, "2027-06-12 19:00")
    assert document.plan.notices == NoticesChecked(datetime(2027, 6, 12, 19, tzinfo=UTC), "Wren (invented)")


def test_what_is_typed_of_an_aircraft_waits_for_a_refused_figure(side, document):
    document.try_edit(SetAircraft(AIRCRAFT))
    section = side.plan.sections["aircraft"]
    section.refresh()
    name, weight = section.fields["name"], section.fields["weight"]
    type_into(weight, "abc")
    type_into(name, "Elk (invented)")
    assert section.half_said() == section.state.text() == NOT_TAKEN
    document.try_edit(AddCrew(SOMEBODY))
    # Radios are taken by themselves, and shown.
    section.radios.changed.emit((RADIO,))
    section.refresh()
    assert (name.edit.text(), section.state.text()) == ("Elk (invented)", NOT_TAKEN)
    assert document.plan.aircraft == attrs.evolve(AIRCRAFT, radios=(RADIO,))
    assert section.radios.rows
    type_into(weight, "0.5 kg")
    taken = attrs.evolve(AIRCRAFT, name="Elk (invented)", take_off_weight_kg=0.5, radios=(RADIO,))
    assert document.plan.aircraft == taken
    section.refresh()
    assert section.state.text() == ""


def test_what_is_typed_after_tab_replaces_what_stands_there_though_the_form_is_shown_anew(side, document):
    document.try_edit(SetAircraft(AIRCRAFT))
    section = side.plan.sections["aircraft"]
    section.refresh()
    name, weight = section.fields["name"].edit, section.fields["weight"].edit
    name.setFocus()
    name.selectAll()
    QTest.keyClicks(name, "Elk")
    QTest.keyClick(name, Qt.Key.Key_Tab)
    section.refresh()
    assert side.window().focusWidget() is weight
    QTest.keyClicks(weight, "2 kg")
    QTest.keyClick(weight, Qt.Key.Key_Tab)
    assert document.plan.aircraft == attrs.evolve(AIRCRAFT, name="Elk", take_off_weight_kg=2.0)


def test_a_cursor_stays_where_it_is_while_the_form_is_shown_anew(side, document):
    document.try_edit(SetAircraft(AIRCRAFT))
    section = side.plan.sections["aircraft"]
    section.refresh()
    edit = section.fields["name"].edit
    edit.setFocus()
    edit.setCursorPosition(3)
    section.refresh()
    assert (edit.cursorPosition(), edit.selectedText()) == (3, "")
    document.try_edit(SetAircraft(attrs.evolve(AIRCRAFT, name="Elk (invented)")))
    section.refresh()
    assert edit.selectedText() == "Elk (invented)"


def test_a_weight_that_is_emptied_stays_so_and_is_still_asked_for(side, document):
    document.try_edit(SetAircraft(AIRCRAFT))
    section = side.plan.sections["aircraft"]
    section.refresh()
    weight = section.fields["weight"]
    type_into(weight, " ")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    asked = section.state.text()
    assert (weight.edit.text().strip(), asked) == ("", "Still needed: take-off weight.")
    assert section.half_said() == asked
    document.try_edit(SetAircraft(attrs.evolve(AIRCRAFT, name="Elk (invented)")))
    section.refresh()
    assert weight.edit.text().strip()
    assert not section.half_said()


def test_wind_typed_beside_a_refused_gust_waits_for_it(side, document):
    held = TypedWind(4.0, 240.0)
    document.try_edit(SetWeather(PlannedWeather(wind=held)))
    section = side.plan.sections["weather"]
    section.refresh()
    type_into(section.gust, "strong")
    type_into(section.speed, "6 m/s")
    type_into(section.direction, "180")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    told = "The wind is not taken yet: mend what is refused."
    assert (section.direction.edit.text(), section.state.text()) == ("180", told)
    assert section.half_said() == told
    assert document.plan.weather.wind == held
    type_into(section.gust, "9 m/s")
    wind = document.plan.weather.wind
    assert (wind.speed_mps, wind.from_true_deg, wind.gust_mps) == (6.0, 180.0, 9.0)
    section.refresh()
    assert section.state.text() == ""


def test_figures_wait_only_in_the_units_in_which_they_were_typed(side, document, qapp):
    """Our own rule: a figure without its unit never becomes another one."""
    held = TypedWind(4.0, 240.0)
    document.try_edit(SetWeather(PlannedWeather(wind=held)))
    section = side.plan.sections["weather"]
    section.refresh()
    type_into(section.gust, "strong")
    type_into(section.speed, "12")
    before = saying.in_use()
    saying.choose(qapp, attrs.evolve(before, speed="m/s"))
    try:
        section.refresh()
        assert section.speed.edit.text() == "4 m/s"
    finally:
        saying.choose(qapp, before)


def test_a_landmark_that_is_typed_in_part_waits_for_the_rest_and_is_named(side, document):
    section = side.plan.sections["sheet"]
    type_into(section.landmark, "the mast")
    type_into(section.texts["gate"], "cart track")
    section.refresh()
    assert document.plan.sheet == SheetNotes(gate="cart track")
    assert section.landmark.edit.text() == "the mast"
    assert section.half_said() == section.state.text() == "A landmark needs a name and a position"
    type_into(section.landmark_at, "37.8121 -150.2440")
    assert document.plan.sheet.landmark == Landmark("the mast", Place(-150.2440, 37.8121))
    section.refresh()
    assert section.half_said() == section.state.text() == ""


def test_what_is_typed_for_the_sheet_beside_a_refused_position_is_taken(side, document):
    held = Landmark("the mast", place(0, 1))
    document.try_edit(SetSheetNotes(SheetNotes(landmark=held)))
    section = side.plan.sections["sheet"]
    section.refresh()
    type_into(section.landmark_at, "over there")
    type_into(section.texts["gate"], "cart track")
    type_into(section.landmark, "the barn")
    section.refresh()
    assert document.plan.sheet == SheetNotes(landmark=held, gate="cart track")
    assert section.landmark.edit.text() == "the barn"
    assert "mend its position" in section.half_said()
    document.try_edit(SetSheetNotes(SheetNotes(landmark=attrs.evolve(held, name="the silo"))))
    section.refresh()
    assert (section.landmark.edit.text(), section.state.text()) == ("the silo", "")


def test_a_time_that_no_call_has_keeps_what_is_typed_for_the_sheet(side, document):
    section = side.plan.sections["sheet"]
    type_into(section.calls["lost_s"], "900 s")
    type_into(section.texts["gate"], "cart track")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert document.plan.sheet is None
    assert section.texts["gate"].edit.text() == "cart track"
    assert "call's time" in section.half_said()
    type_into(section.calls["lost_s"], "4 s")
    assert document.plan.sheet == SheetNotes(gate="cart track", calls=CallTimes(lost_s=4.0))


def test_a_station_typed_in_part_waits_and_is_named(side, document):
    held = Station("XINV", -150.24, 37.81, 30.0)
    document.try_edit(SetWeather(PlannedWeather(station=held)))
    section = side.plan.sections["weather"]
    section.refresh()
    ident, position, _height = section.station.fields
    type_into(position, "over there")
    type_into(ident, "XNEW")
    document.try_edit(AddCrew(SOMEBODY))
    section.refresh()
    assert ident.edit.text() == "XNEW"
    assert document.plan.weather.station == held
    type_into(position, " ")
    section.refresh()
    assert ident.edit.text() == "XNEW"
    assert section.half_said() == "The station does not count yet. Still needed: its position."
    type_into(position, "37.9 -150.3")
    assert document.plan.weather.station == Station("XNEW", -150.3, 37.9, 30.0)
    assert not section.half_said()


def test_enter_on_what_adds_a_row_adds_it(side, document, qtbot):
    document.try_edit(AddCrew(SOMEBODY))
    section = side.plan.sections["crew"]
    qtbot.waitUntil(lambda: any(card.key == "kim" for card in section.cards))
    tried = next(card.tried for card in section.cards if card.key == "kim")
    tried.add.setFocus()
    QTest.keyClick(tried.add, Qt.Key.Key_Return)
    assert len(tried.rows) == 1
    assert side.window().focusWidget() is tried.rows[0]["distance"].input


def test_a_way_into_a_filled_field_chooses_all_that_stands_there(side, document, qtbot):
    document.try_edit(SetWindow(WINDOW))
    section = side.plan.sections["window"]
    side.plan.jump("window")
    assert section.day.edit.selectedText() == "2027-06-12"


def test_the_crew_tool_places_the_one_whose_form_is_typed_into_first(side, document):
    """Our own rule: under their form stands "press O and click there"."""
    for key, role in (("ola", Role.REMOTE_PILOT), ("kim", Role.OBSERVER)):
        document.try_edit(AddCrew(CrewMember(key, role, key)))
    section = side.plan.sections["crew"]
    section.refresh()
    card = next(card for card in section.cards if card.key == "kim")
    card.tasks.box.setFocus()
    at_hand = form_at_hand()
    assert at_hand == "kim"
    assert whom_to_place(document, Role.REMOTE_PILOT, insists=False, at_hand=at_hand).key == "kim"
    assert whom_to_place(document, Role.REMOTE_PILOT, insists=True, at_hand=at_hand).key == "ola"
    side.setFocus()
    assert form_at_hand() == ""
