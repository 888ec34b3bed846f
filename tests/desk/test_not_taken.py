"""What is typed and can't be read is named before the plan is saved, printed or left behind."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.plan.aircraft import Aircraft, AircraftForm
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import AddCrew, MoveCrew, SetAircraft, SetName, SetWindow
from planner.plan.file import read_plan
from tests.desk.desk_rig import Answers, make_window, place, settled
from tests.desk.form_hand import type_into


@pytest.fixture
def answers():
    return Answers()


@pytest.fixture
def desk(qtbot, document, answers, tmp_path):
    window = make_window(qtbot, document, answers)
    answers.save = tmp_path / "two.lowline.geojson"
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


def half_typed(desk):
    """Type what is no time into the field where the flight ends, and leave it to another tab."""
    desk.side.go_to("plan")
    end = desk.side.plan.sections["window"].end
    desk.side.plan.bring("window", end.input)
    QTest.keyClicks(end.edit, "14:0x")
    return end


def test_saving_names_the_field_and_leads_to_it(desk, answers, qtbot):
    end = half_typed(desk)
    answers.without = False
    QTest.keyClick(end.edit, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert answers.asked == ["To: “14:0x”"]
    assert not answers.save.exists()
    desk.side.go_to("findings")
    desk.side.plan.drawers["window"].open(opened=False)
    desk.menu_actions["save"].trigger()
    assert not answers.save.exists()
    qtbot.waitUntil(end.input.hasFocus)
    assert end.edit.text() == "14:0x"


def test_whoever_goes_on_saves_the_plan_without_it(desk, answers, document, qtbot):
    half_typed(desk)
    desk.menu_actions["save"].trigger()
    if desk.saver.dialog is not None:
        desk.saver.dialog.accept()
    assert read_plan(answers.save).window == document.plan.window
    assert answers.asked == ["To: “14:0x”"]


@pytest.mark.parametrize(
    "name", ["save_as", "briefing", "sheet", "new", "open", "export", "request", "another_day"]
)
def test_paper_another_plan_and_another_name_ask_as_well(desk, answers, document, name):
    half_typed(desk)
    answers.without = False
    document.try_edit(SetName("Kept (INVENTED)"))
    desk.menu_actions[name].trigger()
    assert answers.asked == ["To: “14:0x”"]
    assert document.plan.name == "Kept (INVENTED)"
    assert desk.doors.sheets.preview is None


def test_the_desk_does_not_end_with_it(desk, answers):
    half_typed(desk)
    answers.without = False
    desk.close()
    assert desk.isVisible()
    assert answers.asked == ["To: “14:0x”"]


def test_what_can_be_read_is_taken_without_a_question(desk, answers):
    end = half_typed(desk)
    end.edit.clear()
    desk.menu_actions["save"].trigger()
    assert answers.asked == []


def test_a_row_that_lacks_something_stays_as_typed_and_is_named_before_saving(desk, answers, document, qtbot):
    """Our own rule (issue 8: hard to use wrongly): an edit from elsewhere takes nothing away."""
    document.try_edit(AddCrew(CrewMember("w", Role.OBSERVER, "Wren (invented)")))
    desk.side.go_to("plan")
    section = desk.side.plan.sections["crew"]
    desk.side.plan.bring("crew", section.first_input())
    qtbot.waitUntil(lambda: any(card.tried.isVisible() for card in section.cards))
    tried = next(card.tried for card in section.cards if card.tried.isVisible())
    tried.add.click()
    type_into(tried.rows[0]["distance"], "2500 ft")
    type_into(tried.rows[0]["on"], "2026-10-01")
    desk.setFocus()
    document.try_edit(SetName("Edited meanwhile (INVENTED)"))
    document.try_edit(MoveCrew("w", place(20, 20)))
    settled(qtbot, document)
    assert [row["distance"].edit.text() for row in tried.rows] == ["2500 ft"]
    answers.without = False
    desk.menu_actions["save"].trigger()
    assert answers.asked == ["Tried sight range: A trial needs its distance, the aircraft and the day"]
    type_into(tried.rows[0]["aircraft"], "Sparrow (invented)")
    desk.menu_actions["save"].trigger()
    assert len(answers.asked) == 1
    desk.setFocus()
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: tried.rows == [])


def test_what_is_typed_in_part_is_named_before_saving(desk, answers, qtbot):
    """Our own rule (issue 8): nothing typed goes without a word; what the forms take together they say."""
    desk.side.go_to("plan")
    sections = desk.side.plan.sections
    type_into(sections["aircraft"].fields["name"], "Fox (invented)")
    type_into(sections["notices"].at, "2027-06-12 18:30")
    type_into(sections["weather"].direction, "240")
    answers.without = False
    desk.menu_actions["save"].trigger()
    assert answers.asked == [
        "Notices and temporary restrictions: Still needed: who checked them.\n"
        "Aircraft: Still needed: take-off weight, largest dimension, form.\n"
        "Weather: The wind does not count yet. Still needed: its speed."
    ]
    for field in (
        sections["aircraft"].fields["name"],
        sections["notices"].at,
        sections["weather"].direction,
    ):
        type_into(field, " ")
    answers.without = True
    desk.menu_actions["save"].trigger()
    assert len(answers.asked) == 1


@pytest.mark.parametrize("by", ["question", "finding"])
def test_an_aircraft_said_in_part_is_gone_on_with_where_it_lacks(desk, answers, document, qtbot, by):
    """Our own rule (issue 8): not at its name, which stands there, but at the weight, then at the size."""
    desk.side.go_to("plan")
    fields = desk.side.plan.sections["aircraft"].fields
    type_into(fields["name"], "Fox (invented)")
    answers.without = False

    def lead():
        desk.side.go_to("findings")
        if by == "question":
            desk.menu_actions["save"].trigger()
        else:
            desk.side.go_to_form("aircraft")

    lead()
    qtbot.waitUntil(fields["weight"].edit.hasFocus)
    QTest.keyClicks(fields["weight"].edit, "2 lb")
    lead()
    qtbot.waitUntil(fields["size"].edit.hasFocus)
    QTest.keyClicks(fields["size"].edit, "so big")
    QTest.keyClick(fields["size"].edit, Qt.Key.Key_Return)
    lead()
    qtbot.waitUntil(fields["size"].edit.hasFocus)


def test_what_lacks_is_unfolded_and_in_sight(desk, answers, document, qtbot):
    """A battery said in part, and a figure that can't be read, in the part that is folded away."""
    document.try_edit(SetAircraft(Aircraft("Fox (invented)", 0.9, 0.3, AircraftForm.ROTORCRAFT)))
    desk.side.go_to("plan")
    section = desk.side.plan.sections["aircraft"]
    section.more.setChecked(True)
    answers.without = False
    for key, typed, wanted in (("capacity", "1500", "cells"), ("capacity", "much", "capacity")):
        type_into(section.fields[key], typed)
        section.more.setChecked(False)
        desk.menu_actions["save"].trigger()
        qtbot.waitUntil(section.fields[wanted].edit.hasFocus)
        # The page finds its height in several turns.
        qtbot.waitUntil(lambda wanted=wanted: not section.fields[wanted].edit.visibleRegion().isEmpty())


def test_hours_notices_and_wind_said_in_part_are_gone_on_with_where_they_lack(desk, answers, document, qtbot):
    desk.side.go_to("plan")
    sections = desk.side.plan.sections
    window, notices, weather = (sections[key] for key in ("window", "notices", "weather"))
    answers.without = False
    document.try_edit(SetWindow(None))
    qtbot.waitUntil(lambda: window.start.edit.text() == "")
    for typed, wanted, cleared in (
        ((window.start, "10:00"), window.day, " "),
        ((notices.at, "2027-06-12 18:30"), notices.by, " "),
        ((weather.direction, "240"), weather.speed, " "),
        ((weather.station.ident, "KXYZ"), weather.station.place, " "),
    ):
        type_into(*typed)
        desk.menu_actions["save"].trigger()
        qtbot.waitUntil(wanted.edit.hasFocus)
        type_into(typed[0], cleared)
