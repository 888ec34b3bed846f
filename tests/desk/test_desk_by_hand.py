"""The whole desk by hand: real mouse and keys on map, profile and forms, over the demo island.

One window serves all tests here; each starts with a plan of its own.
"""

import json
import time

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.assess import assess
from planner.desk.commands import WorldSource
from planner.desk.questions import Keep
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.crew import Role
from planner.plan.file import read_plan
from planner.plan.geometry import LegShape, PathPoint
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.wording import position
from tests.desk.desk_rig import Answers, make_document, settled
from tests.desk.map_hand import Hand, page_value
from tests.desk.profile_hand import LEFT, pull

LONGER_THAN_A_DOUBLE_CLICK_MS = 500
NEAR_DEG = 2e-4


class Pilot:
    """Sits at the desk."""

    def __init__(self, qtbot, window, answers):
        self.qtbot = qtbot
        self.window = window
        self.answers = answers
        self.document = window.document
        self.view = window.map_view
        self.hand = Hand(qtbot, self.view.canvas)

    def begin(self, plan):
        self.window.use_tool("move")
        self.document.replace(plan, None)
        settled(self.qtbot, self.document)
        QTest.qWait(250)

    def look_at(self, west, south, east, north):
        self.view.canvas.fit(west, south, east, north)
        QTest.qWait(250)

    def draw(self, tool, *places):
        if self.view.tool != tool:
            self.window.menu_actions[tool].trigger()
        for spot in places:
            self.hand.click(spot)
            QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)

    def sees_at(self, index, spot):
        """Wait until a point of the path has come to rest at a spot."""

        def there():
            found = self.document.plan.path[index].place
            assert (found.lon_deg, found.lat_deg) == near(spot)

        self.qtbot.waitUntil(there)

    def key(self, key):
        QTest.keyClick(self.view.canvas.focusProxy(), key)
        QTest.qWait(100)


@pytest.fixture(scope="module")
def desk(qapp):
    from planner.desk.window import DeskWindow

    document = make_document(WorldSource().load)
    answers = Answers()
    window = DeskWindow()
    window.resize(1280, 800)
    window.bring_map()
    window.show()
    window.move_in(document, WorldSource(), questions=answers)
    window.bring_profile()
    window.bring_side()
    deadline_s = time.monotonic() + 30
    while not window.map_view.canvas.is_ready and time.monotonic() < deadline_s:
        QTest.qWait(20)
    assert window.map_view.canvas.is_ready
    yield window, answers
    answers.keep = Keep.DISCARD
    window.close()
    window.deleteLater()
    QTest.qWait(50)


@pytest.fixture
def pilot(qtbot, desk):
    window, answers = desk
    made = Pilot(qtbot, window, answers)
    made.begin(Plan(chart_sets=("demo-island",)))
    made.look_at(-150.225, 37.785, -150.195, 37.805)
    return made


def near(place):
    return pytest.approx(place, abs=NEAR_DEG)


def lonlats(places):
    return [(place.lon_deg, place.lat_deg) for place in places]


def test_an_area_and_a_path_are_drawn_and_undone(pilot):
    corners = [(-150.22, 37.788), (-150.22, 37.802), (-150.20, 37.802), (-150.20, 37.788)]
    pilot.draw("area", *corners)
    assert pilot.document.plan.area is None, "an area in the making is no area yet"
    pilot.key(Qt.Key.Key_Return)
    area = pilot.document.plan.area
    assert lonlats(area.ring) == [near(corner) for corner in corners]
    assert area.top == AboveGround(30.0)
    assert pilot.view.tool == "move"

    points = [(-150.215, 37.790), (-150.212, 37.796), (-150.205, 37.798)]
    pilot.draw("path", *points)
    pilot.key(Qt.Key.Key_Return)
    path = pilot.document.plan.path
    assert lonlats(point.place for point in path) == [near(point) for point in points]
    assert {point.height for point in path} == {AboveGround(30.0)}
    assert {point.leg.shape for point in path} == {LegShape.FOLLOW_GROUND}
    assert pilot.document.assessment.track is not None
    for _ in range(4):
        pilot.window.menu_actions["undo"].trigger()
    assert pilot.document.plan.path == ()
    assert pilot.document.plan.area is None


def test_escape_drops_the_figure_then_the_tool(pilot):
    pilot.draw("area", (-150.22, 37.788), (-150.22, 37.802))
    pilot.key(Qt.Key.Key_Escape)
    assert pilot.view.hand.corners == ()
    assert pilot.view.tool == "area"
    pilot.key(Qt.Key.Key_Escape)
    assert pilot.view.tool == "move"
    assert pilot.document.plan.area is None


def test_two_corners_are_no_area_and_say_so(pilot):
    pilot.draw("area", (-150.22, 37.788), (-150.22, 37.802))
    with pilot.qtbot.waitSignal(pilot.document.message) as told:
        pilot.key(Qt.Key.Key_Return)
    assert pilot.document.plan.area is None
    assert "three corners" in told.args[0]
    pilot.key(Qt.Key.Key_Escape)


def test_the_toggle_decides_the_leg_that_is_drawn_next(pilot):
    pilot.draw("path", (-150.215, 37.790))
    pilot.window.menu_actions["follow"].trigger()
    pilot.draw("path", (-150.212, 37.796))
    pilot.window.menu_actions["follow"].trigger()
    pilot.draw("path", (-150.205, 37.798))
    shapes = [point.leg.shape for point in pilot.document.plan.path[:-1]]
    assert shapes == [LegShape.STRAIGHT, LegShape.FOLLOW_GROUND]


def test_launch_landing_return_point_and_crew_are_placed_by_a_click(pilot):
    spots = {"launch": (-150.215, 37.79), "landing": (-150.214, 37.791), "return_point": (-150.216, 37.792)}
    for tool, where in spots.items():
        pilot.draw(tool, where)
    assert (pilot.document.undo_stack.undoText(), pilot.view.tool) == ("Set return point", "move")
    pilot.draw("crew", (-150.213, 37.792))
    pilot.window.strip.role_chosen.emit(Role.OBSERVER)
    pilot.draw("crew", (-150.212, 37.793), (-150.211, 37.794))
    plan = pilot.document.plan
    assert lonlats([plan.launch.place, plan.landing.place, plan.return_point]) == [*map(near, spots.values())]
    roles = {member.key: member.role for member in plan.crew}
    assert list(roles.values()) == [Role.REMOTE_PILOT, Role.OBSERVER, Role.OBSERVER]


def test_dragging_a_point_on_the_map_is_judged_on_the_way_and_is_one_step(pilot):
    pilot.draw("path", (-150.215, 37.790), (-150.205, 37.798))
    pilot.key(Qt.Key.Key_Return)
    steps = pilot.document.undo_stack.count()
    lengths = []
    before = pilot.document.plan

    def note():
        lengths.append(pilot.document.assessment.track.length_m)

    pilot.document.assessed.connect(note)
    pilot.hand.drag(pilot.hand.at((-150.205, 37.798)), pilot.hand.at((-150.20, 37.801)))
    pilot.sees_at(1, (-150.20, 37.801))
    pilot.document.assessed.disconnect(note)
    assert len(set(lengths)) > 2, "the profile follows the hand"
    assert pilot.document.undo_stack.count() == steps + 1
    pilot.window.menu_actions["undo"].trigger()
    assert pilot.document.plan.path == before.path


def test_a_point_pulled_out_of_the_middle_of_a_leg_is_one_step(pilot):
    pilot.draw("path", (-150.215, 37.790), (-150.205, 37.790))
    pilot.key(Qt.Key.Key_Return)
    steps = pilot.document.undo_stack.count()
    pilot.hand.drag(pilot.hand.at((-150.21, 37.790)), pilot.hand.at((-150.21, 37.796)))
    pilot.sees_at(1, (-150.21, 37.796))
    assert len(pilot.document.plan.path) == 3
    assert pilot.document.undo_stack.count() == steps + 1


def test_a_height_dragged_in_the_profile_changes_plan_table_and_findings(pilot):
    pilot.begin(read_plan(demo_missions_dir() / "ridge_line.lowline.geojson"))
    assert pilot.document.assessment.verdict is Verdict.READY
    plot = pilot.window.profile_view.panel.plot
    steps = pilot.document.undo_stack.count()
    before = pilot.document.plan.path[1].height.m
    start = plot.handle_position(1).toPoint()
    target = plot.viewport()
    QTest.mousePress(target, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 9):
        QTest.mouseMove(target, QPoint(start.x(), start.y() - 12 * step))
        QTest.qWait(20)
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, pos=QPoint(start.x(), start.y() - 96))
    QTest.qWait(50)
    assert pilot.document.plan.path[1].height.m > before
    assert pilot.document.undo_stack.count() == steps + 1
    assert pilot.window.side.points.chosen_row == 1
    pilot.window.menu_actions["undo"].trigger()
    assert pilot.document.plan.path[1].height.m == before


def test_a_click_on_a_finding_marks_it_on_map_and_profile(pilot):
    pilot.begin(read_plan(demo_missions_dir() / "cliff_level.lowline.geojson"))
    panel = pilot.window.side.findings
    pilot.window.side.go_to("findings")
    where = panel.list.visualRect(panel.model.index(0)).topLeft() + QPoint(60, 14)
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=where)
    finding = panel.model.findings[0]
    assert pilot.window.profile_view.panel.marker_m == pytest.approx(finding.from_m)
    assert "along" in pilot.window.readout.words
    assert '"highlight"' not in pilot.view.canvas._kept
    assert pilot.view.canvas._kept["highlight"] != "null"


def test_hovering_the_profile_moves_the_marker_on_the_map_and_the_readout(pilot):
    pilot.begin(read_plan(demo_missions_dir() / "ridge_line.lowline.geojson"))
    plot = pilot.window.profile_view.panel.plot
    box = plot.plot_box().toRect()
    QTest.mouseMove(plot.viewport(), box.center())
    QTest.qWait(60)
    marker = pilot.view.canvas._kept["marker"]
    QTest.mouseMove(plot.viewport(), box.center() + QPoint(60, 0))
    QTest.qWait(60)
    assert marker not in ("null", pilot.view.canvas._kept["marker"])
    assert "ceiling" in pilot.window.readout.words
    there = Place(*json.loads(pilot.view.canvas._kept["marker"]))
    assert pilot.window.status.pointer.text() == position(there)


def test_draw_save_record_save_reopen(pilot, tmp_path):
    mission = read_plan(demo_missions_dir() / "under_the_cell_value.lowline.geojson")
    pilot.begin(attrs.evolve(mission, path=(), area=None, permissions=()))
    places = [point.place for point in mission.path]
    pilot.view.canvas.fit(
        min(p.lon_deg for p in places) - 0.002,
        min(p.lat_deg for p in places) - 0.002,
        max(p.lon_deg for p in places) + 0.002,
        max(p.lat_deg for p in places) + 0.002,
    )
    QTest.qWait(250)
    pilot.draw("path", *lonlats(places))
    pilot.key(Qt.Key.Key_Return)
    assert pilot.document.assessment.verdict is Verdict.PERMISSION_NEEDED

    path = tmp_path / "drawn.lowline.geojson"
    pilot.answers.save = path
    pilot.window.menu_actions["save"].trigger()
    dialog = pilot.window.saver.dialog
    assert "DRAFT" in dialog.headline.text()
    assert read_plan(path).saved_as_draft
    card = dialog.cards[next(item.key for item in dialog.items if item.need is not None)]
    card.findChild(object, "record").click()
    form = next(child for child in dialog.children() if hasattr(child, "keep"))
    form.reference.edit.setFocus()
    QTest.keyClicks(form.reference.edit, "INVENTED-7")
    for field in (form.ceiling, form.valid_from, form.valid_to):
        field.edit.setFocus()
        QTest.keyClicks(field.edit, "200 ft" if field is form.ceiling else "none stated")
    QTest.keyClick(form.place.where.box, Qt.Key.Key_Down)
    QTest.mouseClick(form.keep, Qt.MouseButton.LeftButton)
    QTest.mouseClick(dialog.done_button, Qt.MouseButton.LeftButton)
    assert pilot.document.assessment.verdict is Verdict.READY
    assert not pilot.document.dirty
    drawn = pilot.document.assessment

    pilot.answers.open = path
    pilot.window.menu_actions["open"].trigger()
    settled(pilot.qtbot, pilot.document)
    again = pilot.document.assessment
    assert again.plan == drawn.plan
    assert (again.verdict, again.reason, again.findings) == (drawn.verdict, drawn.reason, drawn.findings)
    assert again.valid_until_utc == drawn.valid_until_utc
    from_disk = assess(read_plan(path), WorldSource().load(read_plan(path)))
    assert from_disk.findings == drawn.findings
    assert from_disk.track.planned_amsl_m.tolist() == drawn.track.planned_amsl_m.tolist()


def test_moving_the_path_far_outside_the_terrain_is_never_ready(pilot):
    mission = read_plan(demo_missions_dir() / "ridge_line.lowline.geojson")
    pilot.begin(mission)
    assert pilot.document.assessment.verdict is Verdict.READY
    last = len(mission.path) - 1
    pilot.view.hand.move("path", last, -150.32, 37.70, "end")
    assert pilot.document.assessment.plan.path[last].place == Place(-150.32, 37.70)
    settled(pilot.qtbot, pilot.document)
    assert pilot.document.assessment.verdict is not Verdict.READY


ROW = ((-150.216, 37.790), (-150.213, 37.790), (-150.210, 37.790), (-150.207, 37.790))


def rings(pilot):
    """How many points the map draws as chosen."""
    count = "document.querySelectorAll('.leaflet-handles-pane path[fill=\"#1f2b2a\"]').length"
    return page_value(pilot.qtbot, pilot.view.canvas, count)


def row_of_points(pilot):
    path = tuple(PathPoint(Place(*spot), AboveGround(30.0)) for spot in ROW)
    pilot.begin(Plan(path=path, chart_sets=("demo-island",)))
    pilot.look_at(-150.225, 37.785, -150.195, 37.805)


def test_points_chosen_on_the_map_are_one_choice_everywhere_and_move_together(pilot):
    row_of_points(pilot)
    points, handles = pilot.window.side.points, pilot.window.profile_view.panel.plot.handles
    pilot.hand.click(ROW[1])
    pilot.hand.click_with(Qt.KeyboardModifier.ControlModifier, ROW[2])
    pilot.qtbot.waitUntil(lambda: points.chosen_rows == (1, 2))
    assert handles.group == {1, 2}
    pilot.qtbot.waitUntil(lambda: rings(pilot) == 2)
    # Let go in place, one of several is chosen alone.
    pilot.hand.click(ROW[2])
    pilot.qtbot.waitUntil(lambda: points.chosen_rows == (2,))
    pilot.qtbot.waitUntil(lambda: rings(pilot) == 1)
    pilot.hand.click_with(Qt.KeyboardModifier.ControlModifier, ROW[1])
    pilot.qtbot.waitUntil(lambda: points.chosen_rows == (1, 2) and rings(pilot) == 2)
    before = pilot.document.plan
    steps = pilot.document.undo_stack.count()
    to = (ROW[2][0] + 0.001, ROW[2][1] + 0.004)
    pilot.hand.drag(pilot.hand.at(ROW[2]), pilot.hand.at(to))
    pilot.sees_at(2, to)
    pilot.sees_at(1, (ROW[1][0] + 0.001, ROW[1][1] + 0.004))
    path = pilot.document.plan.path
    assert (path[0], path[3]) == (before.path[0], before.path[3])
    assert pilot.document.undo_stack.count() == steps + 1
    assert points.chosen_rows == (1, 2)
    pilot.document.undo_stack.undo()
    assert pilot.document.plan.path == before.path


def test_what_delete_takes_looks_chosen_on_map_and_profile(pilot):
    row_of_points(pilot)
    points, handles = pilot.window.side.points, pilot.window.profile_view.panel.plot.handles
    points.choose(0)
    points.toggle(1)
    points.toggle(3)
    assert handles.group == {*points.chosen_rows} == {0, 1, 3}
    pilot.qtbot.waitUntil(lambda: rings(pilot) == 3)
    pilot.key(Qt.Key.Key_Delete)
    pilot.qtbot.waitUntil(lambda: len(pilot.document.plan.path) == 1)
    assert lonlats([pilot.document.plan.path[0].place]) == [near(ROW[2])]


def test_a_height_pulled_in_the_profile_raises_all_that_are_chosen(pilot):
    row_of_points(pilot)
    pilot.window.side.points.choose(1)
    pilot.window.side.points.toggle(2)
    panel = pilot.window.profile_view.panel
    steps = pilot.document.undo_stack.count()
    end = pull(panel, 2, -12)
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    path = pilot.document.plan.path
    assert path[1].height == path[2].height != AboveGround(30.0)
    assert path[0].height == path[3].height == AboveGround(30.0)
    assert pilot.document.undo_stack.count() == steps + 1
    assert pilot.window.side.points.chosen_rows == (1, 2)


def test_a_leg_is_split_right_after_a_click_on_its_point(pilot):
    """The marker still rests on the point; by hand, the middle of the leg from the second to the third."""
    row_of_points(pilot)
    pilot.hand.click(ROW[1])
    pilot.qtbot.waitUntil(lambda: pilot.window.side.points.chosen_rows == (1,))
    pilot.window.menu_actions["split"].trigger()
    assert lonlats([one.place for one in pilot.document.plan.path[2:-2]]) == [near((-150.2115, 37.790))]
    pilot.qtbot.waitUntil(lambda: pilot.window.side.points.chosen_rows == (2,))
