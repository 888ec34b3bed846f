"""Where the crew may stand: drawn on the map or taken from its view, and what the search makes of it."""

import pytest
import shapely
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.assess import assess_live, follow
from planner.desk.document import Document
from planner.desk.map_view import MapView
from planner.plan.edits import AllowStanding, SetVisibility
from planner.plan.standing import StandArea
from tests.desk.desk_rig import make_document, make_window, settled
from tests.desk.map_hand import words
from tests.worlds import at, plan, points, world

LEFT = Qt.MouseButton.LeftButton
CORNERS = [at(-100, -60), at(60, -60), at(60, 40), at(-100, 40)]


def lonlat(place):
    return (place.lon_deg, place.lat_deg)


def click(button):
    QTest.mouseClick(button, LEFT)


@pytest.fixture
def desk(qtbot):
    document = make_document(lambda _plan: world())
    document.replace(plan(path=points([(100, -60, 20.0), (100, 60, 20.0)])), None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.show()
    yield window
    window.doors.stands.close()
    document.close()


@pytest.fixture
def on_map(desk, canvas):
    """Give the shared map as this desk's, joined as the window joins its own."""
    view = MapView(desk.document, canvas, desk)
    desk.map_view = view
    stands = desk.doors.stands
    canvas.view_changed.connect(stands.see)
    stands.area_chosen.connect(view.show_stand_area)
    box = shapely.union_all([shapely.Point(lonlat(place)) for place in CORNERS]).bounds
    canvas.fit(*box)
    QTest.qWait(200)
    yield view
    view.close()
    canvas.disconnect(view)
    canvas.view_changed.disconnect(stands.see)


def opened(desk, qtbot):
    desk.menu_actions["stand"].trigger()
    dialog = desk.doors.stands.dialog
    qtbot.waitUntil(dialog.again.isVisible, timeout=60_000)
    return dialog


def test_an_area_is_drawn_dragged_and_undone_on_the_map(desk, on_map, hand, canvas, qtbot):
    document = desk.document
    on_map.set_tool("standing")
    for place in CORNERS[:2]:
        hand.click(lonlat(place))
    hand.key(Qt.Key.Key_Return)
    assert document.plan.stand_areas == ()
    for place in CORNERS[2:]:
        hand.click(lonlat(place))
    hand.key(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(document.plan.stand_areas) == 1)
    (area,) = document.plan.stand_areas
    assert len(area.ring) == 4
    qtbot.waitUntil(lambda: "crew may stand" in words(qtbot, canvas))
    # Taken in hand from the list its corner follows the mouse, and one undo brings it back.
    on_map.set_tool("move")
    dialog = opened(desk, qtbot)
    dialog.areas.areas.activated.emit(0)
    QTest.qWait(100)
    hand.drag(hand.at(lonlat(area.ring[0])), hand.at(lonlat(at(-60, -30))))
    qtbot.waitUntil(lambda: document.plan.stand_areas[0] != area)
    moved = document.plan.stand_areas[0].ring
    assert moved[1:] == area.ring[1:]
    assert lonlat(moved[0]) == pytest.approx(lonlat(at(-60, -30)), abs=2e-5)
    document.undo_stack.undo()
    assert document.plan.stand_areas == (area,)
    document.undo_stack.undo()
    assert document.plan.stand_areas == ()


def test_the_maps_view_is_taken_and_only_places_in_it_are_named(desk, on_map, canvas, qtbot):
    document = desk.document
    canvas.fit(*lonlat(at(150, -80)), *lonlat(at(260, 60)))
    QTest.qWait(200)
    dialog = opened(desk, qtbot)
    anywhere = {place.place for place in dialog.places}
    assert dialog.areas.areas.currentText() == "anywhere, as far as the plan says"
    assert not dialog.areas.remove.isEnabled()
    assert "whether you may stand there" in dialog.state.text()
    click(dialog.areas.view)
    (area,) = document.plan.stand_areas
    assert dialog.places == ()
    assert "look again" in dialog.state.text()
    settled(qtbot, document)
    click(dialog.again)
    qtbot.waitUntil(lambda: dialog.again.isVisible() and bool(dialog.places), timeout=60_000)
    ring = shapely.Polygon([lonlat(place) for place in area.ring])
    found = [place.place for place in dialog.places]
    assert all(shapely.intersects_xy(ring, *lonlat(place)) for place in found)
    assert not all(shapely.intersects_xy(ring, *lonlat(place)) for place in anywhere)
    assert "whether you may stand there" not in dialog.state.text()
    click(dialog.areas.remove)
    assert document.plan.stand_areas == ()
    document.undo_stack.undo()
    assert document.plan.stand_areas == (area,)


def test_asked_for_within_an_edit_places_are_looked_for_as_soon_as_the_check_is_done(qtbot):
    """Our own rule: nothing that was asked for waits for being asked again."""
    document = Document(assess_live, lambda _plan: world(), follow)
    document.replace(plan(path=points([(100, -60, 20.0), (100, 60, 20.0)])), None)
    settled(qtbot, document)
    desk = make_window(qtbot, document)
    desk.show()
    document.try_edit(AllowStanding(StandArea(tuple(CORNERS))))
    assert document.checking, "a worker's answer comes in a later turn"
    desk.menu_actions["stand"].trigger()
    dialog = desk.doors.stands.dialog
    assert "right after it" in dialog.state.text()
    assert not dialog.take.isEnabled()
    qtbot.waitUntil(lambda: bool(dialog.places), timeout=60_000)
    desk.doors.stands.close()
    document.close()


def test_what_is_missing_is_told_in_a_sentence_and_nothing_can_be_taken(desk, qtbot):
    desk.document.try_edit(SetVisibility(None))
    settled(qtbot, desk.document)
    dialog = opened(desk, qtbot)
    assert dialog.state.text().startswith("Nobody knows how far the aircraft is seen")
    assert dialog.state.text().endswith(".")
    assert not dialog.take.isEnabled()


def test_out_of_reach_on_foot_is_said_and_a_limit_that_is_none_is_marked(desk, qtbot):
    document = desk.document
    far = StandArea(tuple(at(east, north) for east, north in ((-400, 0), (-380, 0), (-380, 20))), "hill")
    document.try_edit(AllowStanding(far))
    settled(qtbot, document)
    dialog = opened(desk, qtbot)
    walk = dialog.areas.walk
    walk.edit.setText("200 m")
    walk.edit.editingFinished.emit()
    click(dialog.again)
    qtbot.waitUntil(dialog.again.isVisible, timeout=60_000)
    assert dialog.state.text() == "No place where you allow to stand can be reached within 200 m on foot."
    assert dialog.areas.areas.currentText() == "1  hill"
    walk.edit.setText("5 km")
    walk.edit.editingFinished.emit()
    assert walk.has_trouble
    click(dialog.again)
    assert "type 20 m to 2.00 km" in dialog.state.text()
