"""Who and what is beneath, drawn by a hand on the map, and who else flies there: forms, undo, findings."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.map_view import MapView
from planner.desk.positions import place_text
from planner.plan.aircraft import Aircraft, Radio, RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs, OtherPilot
from planner.plan.edits import AddBeneath, SetAircraft
from planner.plan.file import read_plan, write_plan
from tests.desk.desk_rig import make_document, make_window, place, settled, small_plan
from tests.desk.form_hand import choose, type_into
from tests.desk.map_hand import drawn, words

LEFT = Qt.MouseButton.LeftButton
FOOT_M = 0.3048
HERE = ((-150.205, 37.803), (-150.195, 37.803), (-150.198, 37.797))


def click(button):
    QTest.mouseClick(button, LEFT)


@pytest.fixture
def desk(qtbot):
    document = make_document()
    window = make_window(qtbot, document)
    document.replace(small_plan(), None)
    window.show()
    window.side.go_to_form("beneath")
    settled(qtbot, document)
    yield window
    window.doors.beneath.close()
    document.close()


@pytest.fixture
def section(desk):
    return desk.side.plan.beneath


@pytest.fixture
def on_map(desk, canvas, qtbot):
    """Give the shared map as this desk's: its hand's figures go to the form."""
    view = MapView(desk.document, canvas, desk)
    desk.doors.show_on(view)
    view.figures.beneath.drawn.connect(desk.doors.beneath.enter_drawn)
    desk.map_view = view
    canvas.fit(-150.22, 37.79, -150.18, 37.81)
    QTest.qWait(150)
    yield view
    view.close()
    canvas.disconnect(view)


def draw(view, hand, places, *, close=False):
    view.set_tool("beneath")
    for spot in places:
        hand.click(spot)
    if close:
        hand.click(places[0])
    else:
        hand.key(Qt.Key.Key_Return)


def outlines(qtbot, canvas):
    return drawn(qtbot, canvas, "rings", "12 4")


def test_a_spot_a_line_and_an_area_are_drawn_and_said_in_the_form(desk, on_map, hand, canvas, qtbot):
    for places, close, drawn_as, usual in (
        (HERE[:1], False, DrawnAs.SPOT, BeneathKind.PEOPLE),
        (HERE, False, DrawnAs.LINE, BeneathKind.ROAD),
        (HERE, True, DrawnAs.AREA, BeneathKind.GATHERING),
    ):
        draw(on_map, hand, places, close=close)
        qtbot.waitUntil(lambda: desk.doors.beneath.dialog is not None)
        dialog = desk.doors.beneath.dialog
        assert (dialog.drawn_as.value(), dialog.kind.value()) == (drawn_as, usual)
        dialog.name.edit.setText(f"{drawn_as.value} (INVENTED)")
        # Its form open, it is drawn as what is not in the plan yet.
        wanted = int(drawn_as is not DrawnAs.SPOT)
        qtbot.waitUntil(lambda: len(outlines(qtbot, canvas)) == wanted)  # noqa: B023
        click(dialog.keep)
        qtbot.waitUntil(lambda: outlines(qtbot, canvas) == [])
        item = desk.document.plan.beneath[-1]
        assert (item.kind, item.drawn_as, len(item.places)) == (usual, drawn_as, len(places))
        for spot, (lon, lat) in zip(item.places, places, strict=True):
            assert (spot.lon_deg, spot.lat_deg) == (
                pytest.approx(lon, abs=2e-4),
                pytest.approx(lat, abs=2e-4),
            )
    qtbot.waitUntil(lambda: "area (INVENTED)" in words(qtbot, canvas), timeout=10_000)
    for left in (2, 1, 0):
        desk.document.undo_stack.undo()
        assert len(desk.document.plan.beneath) == left


def test_one_in_hand_is_moved_by_its_corner_in_one_step(desk, section, on_map, hand, canvas, qtbot):
    road = BeneathItem(BeneathKind.ROAD, DrawnAs.LINE, tuple(place(*at) for at in ((-5, 3), (5, 3), (2, -3))))
    desk.document.try_edit(AddBeneath(road))
    section.refresh()
    click(section.lines[0].show_it)
    QTest.qWait(400)
    start, toward = (hand.at((spot.lon_deg, spot.lat_deg)) for spot in road.places[1:])
    steps = desk.document.undo_stack.count()
    hand.drag(start, start + (toward - start) / 2)
    moved = desk.document.plan.beneath[0]
    assert moved.places[1] != road.places[1]
    assert moved.places[::2] == road.places[::2]
    assert moved.kind is BeneathKind.ROAD
    assert desk.document.undo_stack.count() == steps + 1
    desk.document.undo_stack.undo()
    assert desk.document.plan.beneath == (road,)
    # In hand a line stays open: two legs, not three.
    (course,) = drawn(qtbot, canvas, "plan", dash="9 3 2 3")
    assert course.count("L") == 2


def test_only_what_fits_the_kind_is_asked_and_kept(desk, section):
    click(section.ways["figures"])
    dialog = desk.doors.beneath.dialog
    choose(dialog.kind, BeneathKind.TREES)
    assert dialog.high.isVisible()
    assert not dialog.moving.isVisible()
    click(dialog.keep)
    assert "nowhere" in dialog.error.text()
    dialog.places.edit.setText("; ".join(place_text(place(*at)) for at in ((0, 0), (2, 0), (2, 2))))
    choose(dialog.drawn_as, DrawnAs.AREA)
    dialog.high.edit.setText("60")
    click(dialog.keep)
    (trees,) = desk.document.plan.beneath
    assert (trees.kind, trees.drawn_as) == (BeneathKind.TREES, DrawnAs.AREA)
    assert trees.height_m == pytest.approx(60 * FOOT_M)
    section.refresh()
    assert section.lines[0].words.text() == "trees · area of 3 points · 60 ft high"
    click(section.lines[0].edit)
    dialog = desk.doors.beneath.dialog
    choose(dialog.kind, BeneathKind.ROAD)
    choose(dialog.drawn_as, DrawnAs.LINE)
    choose(dialog.moving, False)
    click(dialog.keep)
    (road,) = desk.document.plan.beneath
    assert (road.height_m, road.moving_vehicles, road.places) == (None, False, trees.places)
    section.refresh()
    click(section.lines[0].remove)
    assert desk.document.plan.beneath == ()
    desk.document.undo_stack.undo()
    assert desk.document.plan.beneath == (road,)


def test_corners_that_cross_are_refused_in_one_line(desk, section):
    click(section.ways["figures"])
    dialog = desk.doors.beneath.dialog
    dialog.places.edit.setText("; ".join(place_text(place(*at)) for at in ((0, 0), (2, 2), (2, 0), (0, 2))))
    choose(dialog.drawn_as, DrawnAs.AREA)
    click(dialog.keep)
    assert "cross each other" in dialog.error.text()
    assert "\n" not in dialog.error.text()
    assert desk.document.plan.beneath == ()


def test_own_distance_and_a_vehicle_reach_the_plan(desk, section):
    type_into(section.distance, "150")
    assert desk.document.plan.own_people_distance_m == pytest.approx(150 * FOOT_M)
    choose(section.vehicle, True)
    choose(section.sparse, True)
    assert desk.document.plan.from_vehicle.sparsely_populated is True
    choose(section.vehicle, False)
    assert desk.document.plan.from_vehicle is None


def test_other_pilots_are_held_against_the_own_channel_and_kept_in_the_file(desk, tmp_path, qtbot):
    video = Radio(RadioUse.VIDEO, 5800.0, analog=True)
    desk.document.try_edit(SetAircraft(Aircraft("Sparrow", 0.6, 0.25, radios=(video,))))
    desk.side.go_to_form("pilots")
    section = desk.side.plan.sections["pilots"]
    click(section.rows.add)
    row = section.rows.rows[0]
    type_into(row["name"], "Finch (invented)")
    assert "frequency" in section.rows.error.text()
    type_into(row["frequency"], "5.8 GHz")
    type_into(row["channel"], "F4")
    assert desk.document.plan.other_pilots == (OtherPilot("Finch (invented)", 5800.0, None, "F4"),)
    settled(qtbot, desk.document)
    assert "channels-clash" in [one.rule for one in desk.document.assessment.findings]
    write_plan(desk.document.plan, tmp_path / "two.lowline.geojson")
    assert read_plan(tmp_path / "two.lowline.geojson").other_pilots == desk.document.plan.other_pilots
    type_into(row["frequency"], "5658")
    settled(qtbot, desk.document)
    assert "channels-clash" not in [one.rule for one in desk.document.assessment.findings]


def test_its_form_keeps_clear_of_what_was_drawn(desk):
    desk.resize(1280, 720)
    desk.doors.beneath.enter_drawn((place(0, 0), place(4, 0)), DrawnAs.LINE)
    dialog = desk.doors.beneath.dialog
    right = desk.mapToGlobal(desk.rect().topRight()).x()
    assert right - dialog.frameGeometry().right() < 30
    desk.doors.restrictions.enter_drawn((place(0, 0),))
    closure = desk.doors.restrictions.dialog
    assert right - closure.frameGeometry().right() < 30
    closure.reject()
