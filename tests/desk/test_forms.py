"""Forms: what is typed becomes one edit; what can't be read stays, marked, and changes nothing."""

from datetime import UTC, date, datetime

import attrs
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.forms.aircraft_fields import aircraft_of, values_of
from planner.desk.forms.missing import missing_things
from planner.geo.heights import AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import (
    Aircraft,
    AircraftForm,
    Battery,
    LinkLoss,
    LinkLossAction,
    Radio,
    RadioUse,
    RemoteId,
)
from planner.plan.crew import CrewMember, Role, TriedRange
from planner.plan.edits import ConfirmStructure, SetAircraft, SetLaunch, SetWindow
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.performance import Performance
from planner.plan.records import NoticesChecked
from tests.desk.desk_rig import make_window, place
from tests.desk.form_hand import choose, open_all_parts, type_into


@pytest.fixture
def form(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    open_all_parts(window.side.plan)
    return window.side.plan


def test_a_time_window_is_set_once_all_of_it_can_be_read(form, document):
    section = form.sections["window"]
    type_into(section.zone, "America/New_York")
    type_into(section.day, "2026-11-25")
    type_into(section.start, "15:40")
    assert document.plan.window is None
    assert "to" in section.state.text()
    type_into(section.end, "1605")
    # 25 November lies in standard time: New York is five hours behind UTC.
    start = datetime(2026, 11, 25, 20, 40, tzinfo=UTC)
    assert document.plan.window == TimeWindow(start, start.replace(hour=21, minute=5), "America/New_York")


def test_an_end_before_the_start_means_the_next_day(form, document):
    section = form.sections["window"]
    for field, text in (
        (section.zone, "UTC"),
        (section.day, "2026-11-25"),
        (section.start, "23:30"),
        (section.end, "00:15"),
    ):
        type_into(field, text)
    assert document.plan.window.end_utc == datetime(2026, 11, 26, 0, 15, tzinfo=UTC)
    assert "next" in section.end.toolTip()


def test_another_day_that_is_typed_says_that_structures_were_seen_standing_the_day_before(form, document):
    """Own choice: what was seen on one day says nothing of the next."""
    said = []
    document.message.connect(said.append)
    section = form.sections["window"]
    for field, text in (
        (section.zone, "UTC"),
        (section.day, "2026-11-25"),
        (section.start, "15:30"),
        (section.end, "16:00"),
    ):
        type_into(field, text)
    type_into(section.day, "2026-11-26")
    document.try_edit(ConfirmStructure("mast-9", standing=True))
    type_into(section.start, "15:00")
    assert said == []
    type_into(section.day, "2026-11-27")
    (told,) = said
    assert "structures still stand was said of the day before" in told
    assert document.plan.structures_standing == {"mast-9"}
    for field in (section.day, section.start, section.end):
        type_into(field, " ")
    for field, text in ((section.start, "15:00"), (section.end, "16:00"), (section.day, "2026-11-28")):
        type_into(field, text)
    assert said == [told, told]


def test_hours_of_a_night_on_which_clocks_change(form, document):
    """2027 in New York: 14 March has no 02:30, 7 November has 01:30 twice."""
    section = form.sections["window"]
    for field, text in (
        (section.zone, "America/New_York"),
        (section.day, "2027-03-14"),
        (section.start, "02:30"),
        (section.end, "04:00"),
    ):
        type_into(field, text)
    assert document.plan.window is None
    assert "no clock in America/New_York shows 02:30" in section.state.text()
    type_into(section.start, "01:30")
    type_into(section.day, "2027-11-07")
    assert document.plan.window.start_utc == datetime(2027, 11, 7, 5, 30, tzinfo=UTC)
    section.refresh()
    assert section.start.edit.text() == "01:30 -04:00"
    assert "this is the first. For the other type 01:30 -05:00" in section.state.text()
    type_into(section.start, "01:30 -05:00")
    assert document.plan.window.start_utc == datetime(2027, 11, 7, 6, 30, tzinfo=UTC)
    section.refresh()
    assert "this is the second" in section.state.text()


def test_seconds_of_a_window_stay(form, document):
    start = datetime(2027, 6, 12, 19, 0, 30, tzinfo=UTC)
    document.try_edit(SetWindow(TimeWindow(start, start.replace(hour=20, second=59))))
    section = form.sections["window"]
    section.refresh()
    assert (section.start.edit.text(), section.end.edit.text()) == ("19:00:30", "20:00:59")
    type_into(section.day, "2027-06-13")
    assert document.plan.window.start_utc == start.replace(day=13)


def test_what_cannot_be_read_is_marked_with_one_line_and_stays(form, document):
    section = form.sections["window"]
    type_into(section.day, "tomorrow")
    assert section.day.error.isVisible()
    assert "tomorrow" in section.day.error.text()
    document.try_edit(SetLaunch(place(0, 0)))
    QTest.qWait(50)
    assert section.day.edit.text() == "tomorrow"
    assert document.plan.window is None


def test_an_aircraft_needs_weight_size_and_form_and_takes_their_units(form, document, qtbot):
    section = form.sections["aircraft"]
    type_into(section.fields["name"], "Sparrow (invented)")
    assert document.plan.aircraft is None
    assert "take-off weight" in section.state.text()
    type_into(section.fields["weight"], "1.37 lb")
    type_into(section.fields["size"], "250 mm")
    # Our own rule: nothing is filled in that nobody said, and the form decides sight, lost link and power.
    assert document.plan.aircraft is None
    assert section.state.text() == "Still needed: form."
    assert section.fields["form"].value() is None
    choose(section.fields["form"], AircraftForm.FIXED_WING)
    aircraft = document.plan.aircraft
    assert aircraft.form is AircraftForm.FIXED_WING
    assert aircraft.take_off_weight_kg == pytest.approx(1.37 * 0.45359237)
    assert aircraft.largest_dimension_m == pytest.approx(0.25)
    qtbot.waitUntil(lambda: not section.state.text())


def test_changing_one_field_leaves_the_exact_value_of_another(form, document):
    exact = Aircraft(
        "Sparrow", 0.6213371, 0.2513371, radios=(Radio(RadioUse.VIDEO, 5805.0, 25.0, True, "4"),)
    )
    document.try_edit(SetAircraft(exact))
    QTest.qWait(50)
    choose(form.sections["aircraft"].fields["remote_id"], RemoteId.BROADCAST_MODULE)
    changed = document.plan.aircraft
    assert changed.remote_id is RemoteId.BROADCAST_MODULE
    assert changed.take_off_weight_kg == exact.take_off_weight_kg
    assert changed.largest_dimension_m == exact.largest_dimension_m
    assert changed.radios == exact.radios


def test_a_radio_says_how_it_signals_and_on_which_channel(form, document):
    radio = Radio(RadioUse.VIDEO, 5805.0, 25.0, air_gain_dbi=2.0)
    document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25, radios=(radio,))))
    QTest.qWait(50)
    (row,) = form.sections["aircraft"].radios.rows
    choose(row["analog"], False)
    type_into(row["channel"], "R4")
    assert document.plan.aircraft.radios == (attrs.evolve(radio, analog=False, channel="R4"),)


def test_a_new_row_is_where_typing_goes_on(form, qtbot):
    """Our own rule: who asks for a row wants to fill it in."""
    card = form.sections["crew"].cards[0]
    QTest.mouseClick(card.tried.add, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: card.tried.rows[-1]["distance"].input.hasFocus())


def test_a_refused_weight_is_marked_at_its_own_field(form, document):
    section = form.sections["aircraft"]
    type_into(section.fields["name"], "Sparrow")
    type_into(section.fields["size"], "10 in")
    type_into(section.fields["weight"], "-1 lb")
    assert document.plan.aircraft is None
    assert section.fields["weight"].has_trouble


def test_recreational_flights_are_asked_for_their_guidelines(form, document):
    section = form.sections["purpose"]
    choose(section.purpose, Purpose.RECREATIONAL)
    QTest.qWait(20)
    assert section.guidelines.isVisible()
    type_into(section.guidelines, "Invented club's guidelines")
    assert document.plan.guidelines == "Invented club's guidelines"
    choose(section.purpose, Purpose.PART_107)
    QTest.qWait(20)
    assert not section.guidelines.isVisible()


def test_ground_permitted_by_nobody_stays_unsettled_and_says_so(form, document):
    document.try_edit(SetLaunch(place(0, 0)))
    QTest.qWait(20)
    status, by = form.sections["land"].rows["launch"]
    choose(status, LandStatus.PERMITTED)
    QTest.qWait(20)
    assert not document.plan.launch.settled
    assert by.has_trouble
    type_into(by, "Wren (invented)")
    QTest.qWait(20)
    assert document.plan.launch == GroundSpot(place(0, 0), LandStatus.PERMITTED, "Wren (invented)")
    assert not by.has_trouble


def test_notices_need_when_and_who(form, document):
    section = form.sections["notices"]
    type_into(section.at, "2026-11-25 18:10")
    assert document.plan.notices is None
    type_into(section.by, "Ash (invented)")
    assert document.plan.notices == NoticesChecked(
        datetime(2026, 11, 25, 18, 10, tzinfo=UTC), "Ash (invented)"
    )


def test_the_areas_top_takes_a_unit_and_a_reference(form, document, qtbot):
    section = form.sections["area"]
    choose(section.reference, "above-sea-level")
    type_into(section.top, "36 m")
    assert document.plan.area.top == AboveSeaLevel(36.0)
    type_into(section.top, " ")
    assert document.plan.area.top is None
    qtbot.waitUntil(lambda: "bounds" in section.state.text())


def test_the_aircraft_of_a_tried_range_and_its_light_have_room(form, document, qtbot):
    section = form.sections["crew"]
    section.add.activated.emit(list(Role).index(Role.OBSERVER) + 1)
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    card = section.cards[1]
    card.tried.add.click()
    row = card.tried.rows[0]
    qtbot.waitUntil(lambda: row["aircraft"].width() > row["on"].width())
    assert row["light"].width() == row["aircraft"].width()


def test_a_tried_range_is_added_to_an_observer(form, document, qtbot):
    section = form.sections["crew"]
    index = list(Role).index(Role.OBSERVER) + 1
    section.add.activated.emit(index)
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    card = section.cards[1]
    card.tried.add.click()
    row = card.tried.rows[0]
    for key, text in (("distance", "1500 ft"), ("aircraft", "Sparrow"), ("on", "2026-11-01")):
        type_into(row[key], text)
    member = document.plan.crew_in(Role.OBSERVER)[0]
    assert member.tried_ranges == (TriedRange("Sparrow", date(2026, 11, 1), "", 1500 * 0.3048),)
    choose(row["dark"], True)
    (tried,) = document.plan.crew_in(Role.OBSERVER)[0].tried_ranges
    assert (tried.by_dark, tried.against_sun) == (True, False)


def test_removing_somebody_can_be_undone(form, document, qtbot):
    section = form.sections["crew"]
    section.cards[0].remove.click()
    assert document.plan.crew == ()
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: len(section.cards) == 1)
    assert document.plan.crew[0].key == "pilot"


def test_missing_things_come_in_the_order_in_which_they_change_the_verdict(form, qtbot):
    keys = [key for key, _ in missing_things(Plan())]
    assert keys == ["purpose", "window", "land", "notices", "aircraft", "sight", "crew", "crew"]
    crew = (CrewMember("a", Role.REMOTE_PILOT), CrewMember("b", Role.OBSERVER))
    assert ("crew", "Nobody is named as visual observer") not in missing_things(Plan(crew=crew))


def test_a_missing_line_leads_to_its_section(form, qtbot):
    link = next(link for link in form.missing.links if link.text().startswith("Aircraft"))
    link.click()
    qtbot.waitUntil(lambda: form.sections["aircraft"].fields["name"].edit.hasFocus())
    top = form.drawers["aircraft"].y() - form.verticalScrollBar().value()
    qtbot.waitUntil(lambda: form.verticalScrollBar().value() > 0)
    assert abs(top) <= form.viewport().height()


def test_what_has_no_field_survives_an_edit_of_the_aircraft():
    """Figures that another program wrote, or that a later form will show, are not lost by a new name."""
    before = Aircraft(
        "Sparrow (invented)",
        0.9,
        0.4,
        link_loss=LinkLoss(
            LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(30.0), needs_fix=True, climb_mps=4.0
        ),
        battery=Battery("LiPo", 6, 1300.0, cell_resistance_mohm=4.0, share_at_0_c=0.7),
        performance=Performance(hover_w=250.0),
        radios=(Radio(RadioUse.VIDEO, 5800.0, 25.0, air_gain_dbi=2.0),),
    )
    after = aircraft_of({**values_of(before), "name": "Renamed"}, before)
    assert after == attrs.evolve(before, name="Renamed")


def test_the_wheel_scrolls_the_form_and_adds_nobody(form, document):
    box = form.sections["crew"].add
    before = document.plan
    middle = QPointF(box.rect().center())
    for way in (120, -120):
        event = QWheelEvent(
            middle, box.mapToGlobal(middle), QPoint(), QPoint(0, way), Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
        )  # fmt: skip
        QApplication.sendEvent(box, event)
        assert not event.isAccepted()
    assert document.plan == before
    assert box.currentIndex() == 0


def test_launch_landing_crew_and_area_are_placed_by_keyboard_in_any_form(qtbot, form, document):
    """Degrees, minutes and seconds worked out by hand: 49'12" is 0.82, 12'36" is 0.21."""
    land, area = form.sections["land"], form.sections["area"]
    type_into(land.places["launch"], "37 49 12 N 150 12 36 W")
    launch = document.plan.launch.place
    assert (launch.lon_deg, launch.lat_deg) == pytest.approx((-150.21, 37.82), abs=1e-9)
    type_into(land.places["landing"], "geo:37.81,-150.2")
    assert document.plan.landing.place == Place(-150.2, 37.81)
    card = form.sections["crew"].cards[0]
    type_into(card.stands, "N37.8205 W150.2105")
    assert document.plan.crew[0].place == Place(-150.2105, 37.8205)
    type_into(card.name, "Fern (invented)")
    assert document.plan.crew[0].place == Place(-150.2105, 37.8205)
    type_into(area.corners, "37.8 -150.2; 37.8 -150.19; 37.81 -150.19; 37.8 -150.2")
    assert document.plan.area.ring == (Place(-150.2, 37.8), Place(-150.19, 37.8), Place(-150.19, 37.81))
    for _ in range(5):
        document.undo_stack.undo()
    assert document.plan.launch is None
    qtbot.waitUntil(lambda: land.places["launch"].edit.text() == "")


def test_a_position_that_cannot_be_read_stays_marked_and_changes_nothing(form, document):
    before = document.plan
    field = form.sections["land"].places["launch"]
    type_into(field, "somewhere")
    assert "is no position" in field.error.text()
    corners = form.sections["area"].corners
    type_into(corners, "37.8 -150.2; 37.8 -150.19")
    assert corners.has_trouble
    card = form.sections["crew"].cards[0]
    type_into(card.stands, "nowhere")
    type_into(card.name, "Fern (invented)")
    assert document.plan.crew[0].place == before.crew[0].place
    assert (document.plan.launch, document.plan.area) == (before.launch, before.area)


def test_a_place_emptied_in_its_form_is_taken_away(form, document):
    type_into(form.sections["land"].places["launch"], "37.82 -150.21")
    field = form.sections["land"].places["launch"]
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClick(field.edit, Qt.Key.Key_Delete)
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    assert document.plan.launch is None


def test_where_it_returns_to_is_typed_and_emptied_again(form, document):
    field = form.sections["land"].return_point
    type_into(field, "37.82 -150.21")
    assert document.plan.return_point == Place(-150.21, 37.82)
    assert document.plan.launch is None
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClick(field.edit, Qt.Key.Key_Delete)
    QTest.keyClick(field.edit, Qt.Key.Key_Return)
    assert document.plan.return_point is None
    document.undo_stack.undo()
    assert document.plan.return_point == Place(-150.21, 37.82)


def test_a_place_on_the_map_is_shown_and_kept_exactly(qtbot, form, document):
    exact = Place(-150.20000012345, 37.80000098765)
    document.try_edit(SetLaunch(exact))
    field = form.sections["land"].places["launch"]
    qtbot.waitUntil(lambda: field.edit.text() == "37.800001 -150.200000")
    assert field.value() == exact
