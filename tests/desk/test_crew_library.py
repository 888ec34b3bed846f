"""The library of people from the desk: keep, take, replace, take out; a damaged file harms nothing."""

from datetime import date

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.crew_shelf import FILE_NAME, CrewShelf, same_person
from planner.desk.shelf import Shelf
from planner.errors import PlanError
from planner.plan.crew import Contact, CrewMember, Role, Task, TriedRange
from planner.plan.edits import AddCrew, SetPurpose
from planner.plan.file import read_plan
from planner.plan.model import Purpose
from tests.desk.desk_rig import make_window, place, settled, small_plan
from tests.desk.form_hand import choose_entry

LEFT = Qt.MouseButton.LeftButton
WREN = CrewMember(
    "observer-1",
    Role.OBSERVER,
    "Wren (invented)",
    place(1, 1),
    Contact.BESIDE,
    (TriedRange("Sparrow (invented)", date(2026, 11, 1), "overcast", 450.0, by_dark=False),),
    frozenset({Task.WATCH}),
)


@pytest.fixture
def section(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to_form("crew")
    return window.side.plan.sections["crew"]


def card_of(section, name):
    return next(card for card in section.cards if card.name.edit.text() == name)


def test_somebody_is_kept_and_taken_into_another_plan_in_one_step(document, section, state_dir, qtbot):
    assert not section.take.isEnabled()
    document.try_edit(AddCrew(WREN))
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    card = card_of(section, WREN.name)
    assert card.keep.text() == "Keep in the library"
    QTest.mouseClick(card.keep, LEFT)
    (kept,) = read_plan(state_dir / FILE_NAME).crew
    assert same_person(kept, WREN)
    assert kept.place is None
    assert card_of(section, WREN.name).keep.text() == "Kept in the library"
    assert not card_of(section, WREN.name).keep.isEnabled()

    document.replace(small_plan(name="Another (INVENTED)"), None)
    settled(qtbot, document)
    qtbot.waitUntil(lambda: len(section.cards) == 1)
    before = document.plan
    choose_entry(section.take.entries, "Wren")
    assert same_person(document.plan.crew[-1], WREN)
    assert document.plan.crew[-1].place is None
    assert len({one.key for one in document.plan.crew}) == 2
    document.undo_stack.undo()
    assert document.plan == before


def test_who_is_in_the_plan_by_that_name_keeps_their_place(document, section, state_dir, qtbot):
    CrewShelf(state_dir).keep(WREN)
    there = attrs.evolve(WREN, key="observer-7", place=place(3, 0), tried_ranges=(), contact=Contact.RADIO)
    document.try_edit(AddCrew(there))
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    assert card_of(section, WREN.name).keep.text() == "Replace in the library"
    choose_entry(section.take.entries, "Wren")
    (taken,) = [one for one in document.plan.crew if one.name == WREN.name]
    assert (taken.key, taken.place) == ("observer-7", place(3, 0))
    assert same_person(taken, WREN)


def test_somebody_goes_out_of_the_library_and_stays_in_the_plan(document, section, state_dir, qtbot):
    CrewShelf(state_dir).keep(WREN)
    document.try_edit(AddCrew(WREN))
    qtbot.waitUntil(section.take.isEnabled)
    choose_entry(section.take.entries, "Delete from", "Wren")
    assert read_plan(state_dir / FILE_NAME).crew == ()
    assert WREN in document.plan.crew
    assert not section.take.isEnabled()


def test_without_a_name_nobody_is_kept(document, section, qtbot):
    document.try_edit(AddCrew(attrs.evolve(WREN, name="")))
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    card = card_of(section, "")
    assert not card.keep.isEnabled()
    assert "name" in card.keep.toolTip()


@pytest.mark.parametrize("damage", ["{ not json", "[]", "", '{"type": "FeatureCollection"}'])
def test_a_damaged_library_is_told_and_left_as_it_is(damage, document, section, state_dir, qtbot):
    (state_dir / FILE_NAME).write_text(damage, "utf-8")
    document.try_edit(AddCrew(WREN))
    qtbot.waitUntil(lambda: FILE_NAME in section.error.text())
    assert "\n" not in section.error.text()
    assert not card_of(section, WREN.name).keep.isEnabled()
    assert not section.take.isEnabled()
    with pytest.raises(PlanError, match="can't be read"):
        CrewShelf(state_dir).keep(WREN)
    assert (state_dir / FILE_NAME).read_text("utf-8") == damage


def test_two_of_one_name_in_the_file_are_no_library(tmp_path):
    from planner.plan.file import write_plan
    from planner.plan.model import Plan

    twins = (attrs.evolve(WREN, place=None), attrs.evolve(WREN, key="other", place=None))
    write_plan(Plan(name="People", crew=twins), tmp_path / FILE_NAME)
    assert "two of one name" in CrewShelf(tmp_path).trouble


@settings(max_examples=20, deadline=None)
@given(st.lists(st.sampled_from(("Ash", "Wren", "Teal", "Rook")), max_size=8))
def test_the_library_holds_each_name_once_and_the_latest(tmp_path_factory, names):
    folder = tmp_path_factory.mktemp("people")
    shelf, latest = CrewShelf(folder), {}
    for number, name in enumerate(names, start=1):
        latest[name] = float(number)
        tried = (TriedRange("Sparrow", date(2026, 11, 1), "", float(number)),)
        shelf.keep(attrs.evolve(WREN, name=name, tried_ranges=tried))
    again = CrewShelf(folder)
    assert {one.name: one.tried_ranges[0].distance_m for one in again.kept} == latest
    assert [one.name for one in again.kept] == sorted(latest)


def test_a_full_library_says_so_and_still_replaces(tmp_path, monkeypatch):
    monkeypatch.setattr(Shelf, "most", 2)
    shelf = CrewShelf(tmp_path)
    for name in ("Ash", "Teal"):
        shelf.keep(attrs.evolve(WREN, name=name))
    with pytest.raises(PlanError, match="full"):
        shelf.keep(WREN)
    shelf.keep(attrs.evolve(WREN, name="Ash", contact=Contact.RADIO))
    assert [one.contact for one in shelf.kept] == [Contact.RADIO, Contact.BESIDE]


@pytest.mark.parametrize(
    ("purpose", "words"),
    [(Purpose.RECREATIONAL, "Pilot"), (Purpose.PART_107, "Remote pilot"), (None, "Pilot")],
)
def test_a_flight_for_recreation_has_no_remote_pilot(document, section, qtbot, purpose, words):
    """49 USC 44809 knows none: the word is that of 14 CFR part 107 (from memory)."""
    document.try_edit(SetPurpose(Purpose.PART_107))
    document.try_edit(SetPurpose(purpose))
    qtbot.waitUntil(lambda: section.add.itemText(1) == words)
    (card,) = section.cards
    assert card.role.box.currentText() == words
    section.add.setFocus()
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Return):
        QTest.keyClick(QApplication.focusWidget(), key)
    qtbot.waitUntil(lambda: len(section.cards) == 2)
    assert [card.role.value() for card in section.cards] == [Role.REMOTE_PILOT] * 2
    assert [card.role.box.currentText() for card in section.cards] == [words] * 2
