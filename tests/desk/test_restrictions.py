"""Temporary restrictions entered, changed, removed and imported: by map, by form, from a file."""

from datetime import UTC, datetime

import pytest
from geographiclib.geodesic import Geodesic
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.forms.restrictions_section import restriction_words
from planner.desk.map_layers import drawn_closures
from planner.desk.map_view import MapView
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.edits import AddRestriction, SetWindow
from planner.plan.restrictions import TemporaryRestriction
from planner.rules.finding import Mark
from tests.desk.desk_rig import Answers, make_document, make_window, place, point, settled, small_plan
from tests.world.chart_files import feature, write_geojson

LEFT = Qt.MouseButton.LeftButton
FOOT_M, NAUTICAL_MILE_M = 0.3048, 1852.0
BEGIN = datetime(2027, 6, 12, 19, tzinfo=UTC)
END = datetime(2027, 6, 12, 21, 30, tzinfo=UTC)
RING = (place(0, 0), place(4, 0), place(4, 3))


def click(button):
    QTest.mouseClick(button, LEFT)


def ring_restriction(name="Corner (INVENTED)", **changes):
    return TemporaryRestriction(name=name, ring=RING, from_utc=BEGIN, to_utc=END, **changes)


@pytest.fixture
def answers():
    return Answers()


@pytest.fixture
def desk(qtbot, answers):
    document = make_document()
    window = make_window(qtbot, document, answers)
    document.replace(small_plan(window=TimeWindow(BEGIN, END)), None)
    window.show()
    window.bring_side()
    window.side.go_to_form("restrictions")
    settled(qtbot, document)
    yield window
    window.doors.restrictions.close()
    document.close()


@pytest.fixture
def section(desk):
    return desk.side.plan.restrictions


def assert_height(height, kind, feet):
    assert isinstance(height, kind)
    assert height.m == pytest.approx(feet * FOOT_M)


def fill(dialog, **texts):
    for name, text in texts.items():
        getattr(dialog, name).edit.setText(text)


def test_a_circle_is_typed_as_the_notice_writes_it(desk, section):
    click(section.ways["figures"])
    dialog = desk.doors.restrictions.dialog
    fill(
        dialog,
        name="Air show (INVENTED)",
        notice="X 1/27",
        centre="374843N1501438W",
        radius="3 NM",
        top="1500 ft",
        begin="2027-06-12 19:00",
        end="2027-06-12 21:30",
    )
    click(dialog.keep)
    (drawn,) = desk.document.plan.restrictions
    assert drawn.radius_m == pytest.approx(3 * NAUTICAL_MILE_M)
    assert_height(drawn.top, AboveGround, 1500)
    assert (drawn.from_utc, drawn.to_utc, drawn.floor) == (BEGIN, END, None)
    desk.document.undo_stack.undo()
    assert desk.document.plan.restrictions == ()


def test_an_outline_is_typed_and_what_is_wrong_is_said(desk, section):
    click(section.ways["figures"])
    dialog = desk.doors.restrictions.dialog
    dialog.shape.show_value("ring")
    fill(dialog, name="Corner (INVENTED)", corners="37.8 -150.2; 37.8 -150.1")
    click(dialog.keep)
    assert "fewer than three corners" in dialog.error.text()
    fill(dialog, corners="37.8 -150.2; 37.9 -150.1; 37.8 -150.1; 37.9 -150.2")
    click(dialog.keep)
    assert "cross each other" in dialog.error.text()
    fill(
        dialog,
        corners="37.8 -150.2; 37.9 -150.2; 37.9 -150.1",
        begin="2027-06-12 21:00",
        end="2027-06-12 20:00",
    )
    click(dialog.keep)
    assert "ends before it begins" in dialog.error.text()
    # A day as the end would be over with its first second, and the flight of that day open.
    fill(dialog, begin="2027-06-10", end="2027-06-12")
    click(dialog.keep)
    assert "'2027-06-10' is a day without an hour; give the hour" in dialog.error.text()
    fill(dialog, begin="2027-06-12 21:00", end="2027-06-12 21:00")
    click(dialog.keep)
    assert "or the moment it begins" in dialog.error.text()
    assert desk.document.plan.restrictions == ()
    fill(dialog, end="", floor="3000", top="500")
    click(dialog.keep)
    assert "500 ft above ground) is not above its floor (3,000 ft above" in dialog.error.text()
    assert desk.document.plan.restrictions == ()
    fill(dialog, floor="", top="")
    click(dialog.keep)
    assert len(desk.document.plan.restrictions[0].ring) == 3


def test_one_is_changed_and_removed(desk, section):
    desk.document.try_edit(AddRestriction(ring_restriction(floor=AboveSeaLevel(100.0))))
    section.refresh()
    click(section.lines[0].edit)
    dialog = desk.doors.restrictions.dialog
    assert dialog.name.edit.text() == "Corner (INVENTED)"
    click(dialog.keep)
    assert desk.document.plan.restrictions == (ring_restriction(floor=AboveSeaLevel(100.0)),)
    click(section.lines[0].edit)
    fill(desk.doors.restrictions.dialog, name="Other (INVENTED)")
    click(desk.doors.restrictions.dialog.keep)
    assert desk.document.plan.restrictions[0].name == "Other (INVENTED)"
    section.refresh()
    click(section.lines[0].remove)
    assert desk.document.plan.restrictions == ()


def test_an_event_closes_three_miles_from_an_hour_before_to_an_hour_after(desk, section):
    """The authority's standing notice on stadiums: 3 NM, 3,000 ft, one hour (check values 11a; B)."""
    click(section.ways["event"])
    dialog = desk.doors.restrictions.dialog
    click(dialog.keep)
    assert "is needed" in dialog.error.text()
    fill(dialog, name="Cup (INVENTED)", place="37.8 -150.2", begin="2027-06-12 20:00", end="2027-06-13")
    click(dialog.keep)
    assert "'2027-06-13' is a day without an hour; give the hour" in dialog.error.text()
    fill(dialog, end="2027-06-12 20:00")
    click(dialog.keep)
    assert "an event ends before it begins, or the moment it begins" in dialog.error.text()
    fill(dialog, name="Cup (INVENTED)", place="37.8 -150.2", begin="2027-06-12 20:00", end="2027-06-12 20:30")
    click(dialog.keep)
    (drawn,) = desk.document.plan.restrictions
    assert (drawn.from_utc, drawn.to_utc) == (BEGIN, END)
    assert drawn.radius_m == pytest.approx(3 * NAUTICAL_MILE_M)
    assert_height(drawn.top, AboveGround, 3000)


@pytest.fixture
def by_local_clock(desk):
    desk.document.try_edit(SetWindow(TimeWindow(BEGIN, END, "Etc/GMT+10")))
    return desk


def test_hours_are_typed_and_listed_by_the_clock_of_the_window(by_local_clock, section):
    """Our own rule (issue 8: local or UTC by preference). By hand: Etc/GMT+10 is ten hours behind UTC."""
    click(section.ways["figures"])
    dialog = by_local_clock.doors.restrictions.dialog
    assert (dialog.begin.label.text(), dialog.end.label.text()) == ("From (UTC-10)", "Until (UTC-10)")
    # A notice gives UTC, and so may be typed as it stands there.
    fill(dialog, name="A (INVENTED)", centre="37.8 -150.2", radius="1", begin="2027-06-12 09:00")
    fill(dialog, end="2027-06-12 21:30 UTC")
    assert dialog.begin.other.text() == "= 12 Jun 2027 19:00 UTC"
    assert dialog.end.other.text() == "= 12 Jun 2027 11:30 UTC-10"
    click(dialog.keep)
    (drawn,) = by_local_clock.document.plan.restrictions
    assert (drawn.from_utc, drawn.to_utc) == (BEGIN, END)
    section.refresh()
    listed = restriction_words(drawn, by_local_clock.document.plan.window)
    assert listed.endswith("from 12 Jun 2027 09:00 UTC-10 to 12 Jun 2027 11:30 UTC-10")
    click(section.lines[0].edit)
    again = by_local_clock.doors.restrictions.dialog
    assert (again.begin.edit.text(), again.end.edit.text()) == ("2027-06-12 09:00", "2027-06-12 11:30")
    click(again.keep)
    assert by_local_clock.document.plan.restrictions == (drawn,)


def test_an_event_is_typed_by_the_clock_of_the_window(by_local_clock, section):
    click(section.ways["event"])
    dialog = by_local_clock.doors.restrictions.dialog
    fill(dialog, name="Cup (INVENTED)", place="37.8 -150.2", begin="2027-06-12 10:00", end="2027-06-12 10:30")
    click(dialog.keep)
    (drawn,) = by_local_clock.document.plan.restrictions
    assert (drawn.from_utc, drawn.to_utc) == (BEGIN, END)


def test_a_file_of_restrictions_comes_in_as_one_step(qtbot, desk, section, answers, tmp_path):
    times = {"FROM_UTC": "2027-06-12T19:00:00Z", "TO_UTC": "2027-06-12T21:30:00Z"}
    answers.restrictions = write_geojson(
        tmp_path / "closures.json",
        feature(NAME="A (INVENTED)", FLOOR="SFC", CEILING="1500 FT AGL", NOTICE="X 2/27", **times),
        feature(
            {"type": "Point", "coordinates": [-150.2, 37.8]}, NAME="B (INVENTED)", RADIUS_NM=1, FLOOR="SFC",
            CEILING="3000 FT MSL", **times,
        ),
    )  # fmt: skip
    click(section.ways["file"])
    qtbot.waitUntil(lambda: len(desk.document.plan.restrictions) == 2, timeout=20_000)
    first, second = desk.document.plan.restrictions
    assert first.notice == "X 2/27"
    assert_height(first.top, AboveGround, 1500)
    assert_height(second.top, AboveSeaLevel, 3000)
    away_m = [
        Geodesic.WGS84.Inverse(37.8, -150.2, corner.lat_deg, corner.lon_deg)["s12"] for corner in second.ring
    ]
    # Never inside the circle, and within a metre of it.
    assert all(NAUTICAL_MILE_M - 0.01 <= one <= NAUTICAL_MILE_M + 1 for one in away_m)
    desk.document.undo_stack.undo()
    assert desk.document.plan.restrictions == ()


def test_a_file_with_a_fault_adds_nothing_and_says_one_line(qtbot, desk, section, answers, tmp_path):
    said = []
    desk.document.message.connect(said.append)
    unknown = {"FROM_UTC": "", "TO_UTC": "", "FLOOR": "SFC"}
    answers.restrictions = write_geojson(
        tmp_path / "closures.json",
        feature(NAME="A", **unknown),
        feature({"type": "Point", "coordinates": [-150.2, 37.8]}, NAME="B", **unknown),
    )
    click(section.ways["file"])
    qtbot.waitUntil(lambda: any("can't be used" in one for one in said), timeout=20_000)
    assert desk.document.plan.restrictions == ()


def test_flying_into_one_is_a_stop(desk):
    desk.document.try_edit(AddRestriction(ring_restriction()))
    stops = [one for one in desk.document.assessment.findings if one.mark is Mark.STOP]
    assert any("Corner (INVENTED)" in f"{one.title} {one.message}" for one in stops)


def test_words_say_what_is_not_stated():
    assert "no times stated" in restriction_words(TemporaryRestriction("A", ring=RING))
    assert "no end stated" in restriction_words(TemporaryRestriction("A", ring=RING, from_utc=BEGIN))


def test_what_does_not_hold_at_the_planned_time_is_drawn_quietly():
    late = TimeWindow(datetime(2027, 6, 13, 19, tzinfo=UTC), datetime(2027, 6, 13, 20, tzinfo=UTC))
    plan = small_plan(restrictions=(ring_restriction(),), window=TimeWindow(BEGIN, END))
    assert [one["idle"] for one in drawn_closures(plan)] == [False]
    assert [
        one["idle"] for one in drawn_closures(small_plan(restrictions=plan.restrictions, window=late))
    ] == [True]


# On the map, by hand


@pytest.fixture
def map_view(qtbot, canvas):
    document = make_document()
    document.replace(small_plan(path=(point(0, 0), point(2, 1)), area=None, crew=()), None)
    settled(qtbot, document)
    view = MapView(document, canvas)
    view.tool_wanted.connect(view.set_tool)
    canvas.fit(-150.22, 37.79, -150.18, 37.81)
    QTest.qWait(150)
    yield view
    view.close()
    canvas.disconnect(view)
    document.close()


def at(found):
    return found.lon_deg, found.lat_deg


def test_an_outline_is_clicked_and_moved_and_one_corner_is_a_circle(qtbot, map_view, hand):
    document = map_view._document
    drawn = []
    map_view.figures.closures.drawn.connect(drawn.append)
    map_view.set_tool("closure")
    for spot in ((-150.21, 37.795), (-150.19, 37.795), (-150.2, 37.807)):
        hand.click(spot)
    hand.key(Qt.Key.Key_Return)
    assert len(drawn) == 1
    assert [round(corner.lat_deg, 3) for corner in drawn[0]] == [37.795, 37.795, 37.807]
    assert map_view.tool == "move"
    document.try_edit(AddRestriction(TemporaryRestriction("A (INVENTED)", ring=drawn[0])))
    map_view.show_restriction(0)
    map_view.canvas.fit(-150.22, 37.79, -150.18, 37.81)
    QTest.qWait(200)
    hand.drag(hand.at(at(drawn[0][2])), hand.at((-150.205, 37.805)))
    moved = document.plan.restrictions[0].ring[2]
    assert (moved.lon_deg, moved.lat_deg) == pytest.approx((-150.205, 37.805), abs=2e-4)
    document.undo_stack.undo()
    assert document.plan.restrictions[0].ring == drawn[0]
    hand.key(Qt.Key.Key_Escape)
    assert map_view.figures.closures.chosen == -1
    map_view.set_tool("closure")
    hand.click((-150.2, 37.8))
    hand.key(Qt.Key.Key_Return)
    assert len(drawn[1]) == 1


def test_a_circle_is_dragged_by_its_centre(qtbot, map_view, hand):
    document = map_view._document
    centre = Place(-150.2, 37.804)
    document.try_edit(AddRestriction(TemporaryRestriction("A (INVENTED)", centre=centre, radius_m=300.0)))
    map_view.show_restriction(0)
    map_view.canvas.fit(-150.22, 37.79, -150.18, 37.81)
    QTest.qWait(200)
    hand.drag(hand.at(at(centre)), hand.at((-150.19, 37.796)))
    found = document.plan.restrictions[0]
    assert (found.centre.lon_deg, found.centre.lat_deg) == pytest.approx((-150.19, 37.796), abs=2e-4)
    assert found.radius_m == 300.0
