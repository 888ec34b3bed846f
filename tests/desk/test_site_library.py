"""The library of sites from the desk: keep, take, replace, take out; a damaged file harms nothing."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.site_shelf import FILE_NAME, SiteShelf
from planner.plan.edits import SetLand, SetLaunch
from planner.plan.ground import LandStatus
from planner.plan.site import site_of
from planner.plan.site_library import read_sites
from tests.desk.desk_rig import make_window, place, settled, small_plan
from tests.desk.form_hand import choose_entry
from tests.plan.test_site import FLIGHT

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def row(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to_form("land")
    return window.side.plan.sections["land"].site


def test_a_site_is_kept_under_a_name_and_taken_into_another_plan_in_one_step(document, row, state_dir, qtbot):
    assert not row.take.isEnabled()
    QTest.keyClicks(row.name.edit, "Sheer Head")
    assert not row.keep.isEnabled()
    document.try_edit(SetLaunch(place(0, 0)))
    document.try_edit(SetLand("launch", LandStatus.OWN))
    qtbot.waitUntil(row.keep.isEnabled)
    QTest.mouseClick(row.keep, LEFT)
    assert read_sites(state_dir / FILE_NAME) == (site_of(document.plan, "Sheer Head"),)
    assert row.keep.text() == "Kept in the library"

    row.name.edit.clear()
    document.replace(small_plan(name="Another (INVENTED)"), None)
    settled(qtbot, document)
    qtbot.waitUntil(row.take.isEnabled)
    before = document.plan
    choose_entry(row.take.entries, "Sheer Head")
    assert document.plan.launch.place == place(0, 0)
    assert document.plan.launch.land is LandStatus.OWN
    assert document.plan.path == before.path
    assert row.name.edit.text() == "Sheer Head"
    assert row.keep.text() == "Kept in the library"
    document.undo_stack.undo()
    assert document.plan == before


def test_a_site_is_replaced_and_goes_out_of_the_library(document, row, state_dir, qtbot):
    SiteShelf(state_dir).keep(site_of(FLIGHT, "Sheer Head"))
    document.try_edit(SetLaunch(place(2, 0)))
    qtbot.waitUntil(row.take.isEnabled)
    QTest.keyClicks(row.name.edit, "Sheer Head")
    assert row.keep.text() == "Replace in the library"
    QTest.mouseClick(row.keep, LEFT)
    assert read_sites(state_dir / FILE_NAME)[0].launch.place == place(2, 0)
    choose_entry(row.take.entries, "Delete from", "Sheer Head")
    assert read_sites(state_dir / FILE_NAME) == ()
    assert document.plan.launch.place == place(2, 0)
    assert not row.take.isEnabled()


@pytest.mark.parametrize("damage", ["{ not json", "[]", '{"lowline_site_library": 2, "sites": []}'])
def test_a_damaged_library_is_told_and_left_as_it_is(damage, document, row, state_dir, qtbot):
    (state_dir / FILE_NAME).write_text(damage, "utf-8")
    document.try_edit(SetLaunch(place(0, 0)))
    qtbot.waitUntil(lambda: FILE_NAME in row.error.text())
    assert "\n" not in row.error.text()
    QTest.keyClicks(row.name.edit, "Sheer Head")
    assert not row.keep.isEnabled()
    assert not row.take.isEnabled()
    assert (state_dir / FILE_NAME).read_text("utf-8") == damage
