"""Figures with real clicks and keys: laid out on the map, made of points, listed, changed, undone."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.flown.lay_dialog import LayDialog
from planner.desk.flown.say_dialog import SayDialog
from planner.desk.map_view import MapView
from planner.geo.geodesy import distance_m
from planner.geo.heights import AboveGround
from planner.plan import edits
from planner.plan.figures import Figure, FigureKind
from planner.plan.geometry import LegShape
from planner.units import FOOT_M, KNOT_MPS
from tests.desk.desk_rig import figures_desk
from tests.desk.map_hand import words
from tests.desk.test_several_points import choose
from tests.worlds import GROUND_M, at, plan, points, world

LEFT = Qt.MouseButton.LeftButton
START = points([(-150, -60, 20.0), (-100, -60, 20.0)])
DIVE = Figure("dive-1", FigureKind.DIVE, "Stack (invented)", "DIVING", bail_out=at(-120, 40))


def lonlat(place):
    return (place.lon_deg, place.lat_deg)


@pytest.fixture
def desk(qtbot):
    with figures_desk(qtbot, plan(path=START), world()) as window:
        yield window


@pytest.fixture
def on_map(desk, canvas, qtbot):
    """Give the shared map as this desk's, joined as the window joins its own."""
    view = MapView(desk.document, canvas, desk)
    desk.map_view = view
    desk.doors.join(view.figures)
    desk.doors.flown.way_changed.connect(view.show_way)
    view.tool_wanted.connect(desk.use_tool)
    canvas.fit(*(*lonlat(at(-200, -120)), *lonlat(at(200, 120))))
    QTest.qWait(200)
    yield view
    desk.doors.flown.way_changed.disconnect(view.show_way)
    view.close()
    canvas.disconnect(view)


def clicked(desk, hand, tool, *spots):
    desk.menu_actions[tool].trigger()
    for spot in spots:
        hand.click(lonlat(spot))


def dialog_of(desk, qtbot, kind=LayDialog):
    qtbot.waitUntil(lambda: desk.doors.flown.dialog is not None, timeout=5_000)
    assert isinstance(desk.doors.flown.dialog, kind)
    return desk.doors.flown.dialog


def type_into(field, words):
    """Type over what is there, without the Enter that would accept the form."""
    field.edit.selectAll()
    QTest.keyClick(field.edit, Qt.Key.Key_Delete)
    QTest.keyClicks(field.edit, words)


def keep(dialog):
    QTest.mouseClick(dialog.keep, LEFT)


def keys_of(path):
    return [point.figure for point in path]


def test_an_orbit_is_two_clicks_a_bail_out_and_a_form(desk, on_map, hand, canvas, qtbot):
    said = []
    desk.document.message.connect(said.append)
    clicked(desk, hand, "orbit", at(0, 0), at(0, -50), at(80, -80))
    dialog = dialog_of(desk, qtbot)
    assert said[:3] == [
        "Click what is flown round",
        "Click where the orbit begins: as far out as it is to be flown",
        "Click the place to break off to, or press Enter to go without one",
    ]
    assert desk.menu_actions["move"].isChecked()
    type_into(dialog.said.name, "Old pine (invented)")
    type_into(dialog.said.call, "ROUND")
    type_into(dialog.laying.speed, "20 kt")
    keep(dialog)
    (figure,) = desk.document.plan.figures
    assert (figure.kind, figure.call) == (FigureKind.ORBIT, "ROUND")
    assert distance_m(figure.bail_out, at(80, -80)) < 1.5
    round_it = [point for point in desk.document.plan.path if point.figure == figure.key]
    radii = [distance_m(figure.subject, point.place) for point in round_it]
    assert min(radii) == pytest.approx(max(radii), abs=0.1)
    assert radii[0] == pytest.approx(51.0, abs=2.0)
    assert [point.leg.speed_mps for point in round_it[:-1]] == pytest.approx(
        [20 * KNOT_MPS] * (len(round_it) - 1)
    )
    assert {point.leg.shape for point in round_it[:-1]} == {LegShape.FOLLOW_GROUND}
    qtbot.waitUntil(lambda: 'Orbit "Old pine (invented)"' in words(qtbot, canvas))
    desk.document.undo_stack.undo()
    assert desk.document.plan.path == START
    assert desk.document.plan.figures == ()
    desk.document.undo_stack.redo()
    assert desk.document.plan.figures == (figure,)


def test_the_bottom_line_no_longer_asks_for_a_click_while_the_form_is_open(desk, qtbot):
    said = []
    desk.document.message.connect(said.append)
    desk.doors.flown.lay(FigureKind.GAP, (at(0, 0), at(-30, 0)))
    assert said[-1] == "Fill in the form: Enter or 'Lay it out' lays the figure out"
    dialog_of(desk, qtbot).reject()


def test_enter_after_two_clicks_goes_without_a_bail_out(desk, on_map, hand, qtbot):
    clicked(desk, hand, "gap", at(0, 0))
    hand.key(Qt.Key.Key_Return)
    assert desk.doors.flown.dialog is None
    hand.click(lonlat(at(-30, 0)))
    hand.key(Qt.Key.Key_Return)
    dialog = dialog_of(desk, qtbot)
    assert "own risk" in dialog.form.state.text()
    keep(dialog)
    (figure,) = desk.document.plan.figures
    assert figure.bail_out is None
    found = {finding.rule for finding in desk.document.assessment.findings}
    assert {"gap-not-judged", "figure-without-call", "figure-without-bail-out"} <= found


def test_escape_drops_what_was_clicked_and_then_the_tool(desk, on_map, hand, qtbot):
    clicked(desk, hand, "pass", at(0, 0))
    hand.key(Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: on_map.figures.active.corners == ())
    hand.key(Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: on_map.tool == "move")
    assert desk.document.plan.path == START


def lay(desk, kind, *places):
    desk.doors.flown.lay(kind, places)
    return desk.doors.flown.dialog


def test_a_dive_gets_the_speed_that_makes_its_descent_and_goes_in_after_the_chosen_point(desk):
    """By hand: 60 m down over 80 m ahead is 100 m of line; 12 m/s down takes 5 s: 20 m/s, 38.9 kt, 37°."""
    desk.side.go_to("points")
    choose(desk, 0)
    ways = []
    desk.doors.flown.way_changed.connect(ways.append)
    dialog = lay(desk, FigureKind.DIVE, at(-100, 0), at(-20, 0))
    type_into(dialog.laying.top, f"{GROUND_M + 80:.2f} m msl")
    type_into(dialog.laying.bottom, "20 m agl")
    type_into(dialog.laying.rate, "12 m/s")
    type_into(dialog.laying.run_out, "0")
    assert "37° down, 38.9 kt along the line" in dialog.form.state.text()
    assert len(ways[-1]) == 4
    keep(dialog)
    assert ways[-1] is None
    path = desk.document.plan.path
    assert keys_of(path) == [None, "dive-1", "dive-1", None]
    assert path[1].leg.speed_mps == pytest.approx(20.0, abs=0.01)
    assert path[2].height == AboveGround(20.0)


@pytest.mark.parametrize(
    ("kind", "field", "text", "says"),
    [
        (FigureKind.ORBIT, "radius", "round", "not a number"),
        (FigureKind.ORBIT, "turns", "", "no number of turns"),
        (FigureKind.DIVE, "bottom", "200 ft", "not below the top"),
        (FigureKind.PASS, "aside", "900 m", "begins nearer"),
        (FigureKind.GAP, "height", "high", "not a number"),
    ],
)
def test_what_cannot_be_flown_is_said_in_one_line_and_the_form_stays(desk, kind, field, text, says):
    dialog = lay(desk, kind, at(0, 0), at(0, 40))
    type_into(getattr(dialog.laying, field), text)
    keep(dialog)
    assert dialog.isVisible()
    assert says in dialog.error.text()
    assert "\n" not in dialog.error.text()
    assert desk.document.plan.path == START
    dialog.reject()
    assert desk.document.plan.path == START


def test_a_pass_keeps_its_distance_on_the_side_that_is_chosen(desk):
    dialog = lay(desk, FigureKind.PASS, at(0, 0), at(-60, 0), at(0, 90))
    type_into(dialog.laying.aside, "100 ft")
    dialog.laying.side.box.setCurrentIndex(1)
    dialog.laying.side.box.activated.emit(1)
    keep(dialog)
    plan_now = desk.document.plan
    entry, abeam, leaving = (point.place for point in plan_now.path[2:])
    assert distance_m(at(0, 0), abeam) == pytest.approx(100 * FOOT_M, abs=0.01)
    # Flown to the east with the subject on the right, the nearest point lies north of it.
    assert abeam.lat_deg > at(0, 0).lat_deg
    assert leaving.lon_deg > entry.lon_deg


def test_points_become_a_figure_and_the_list_changes_dissolves_and_deletes_it(desk, qtbot):
    desk.side.go_to("points")
    said = []
    desk.document.message.connect(said.append)
    choose(desk, 0)
    desk.menu_actions["make_figure"].trigger()
    assert "choose two or more rows" in said[-1]
    choose(desk, 0, 1)
    desk.menu_actions["make_figure"].trigger()
    dialog = dialog_of(desk, qtbot, SayDialog)
    type_into(dialog.said.name, "Stack (invented)")
    type_into(dialog.said.bail_out, "37.8 -150.2")
    keep(dialog)
    assert keys_of(desk.document.plan.path) == ["dive-1", "dive-1"]
    desk.menu_actions["figures"].trigger()
    listed = desk.doors.flown.list
    assert listed.list.item(0).text().startswith('Dive "Stack (invented)"\npoints 1 to 2 · no call\nbail-out')
    QTest.mouseClick(listed.change, LEFT)
    dialog = dialog_of(desk, qtbot, SayDialog)
    type_into(dialog.said.call, "NOW")
    keep(dialog)
    assert desk.document.plan.figures[0].call == "NOW"
    QTest.mouseClick(listed.dissolve, LEFT)
    assert desk.document.plan.path == START
    assert listed.empty.isVisible()
    desk.document.undo_stack.undo()
    assert listed.list.count() == 1
    QTest.mouseClick(listed.remove, LEFT)
    assert desk.document.plan.path == ()
    for _ in range(3):
        desk.document.undo_stack.undo()
    assert desk.document.plan.path == START


def test_a_figure_is_laid_out_anew_from_its_form_in_one_step(desk, qtbot):
    """80 m are 262.5 ft; an orbit's line is never nearer to its middle than its radius."""
    document = desk.document
    desk.doors.flown.lay(FigureKind.ORBIT, (at(0, 0), at(0, -50)))
    dialog = dialog_of(desk, qtbot)
    type_into(dialog.said.call, "ROUND")
    keep(dialog)
    before = document.plan
    steps = document.undo_stack.count()
    desk.menu_actions["figures"].trigger()
    listed = desk.doors.flown.list
    QTest.mouseClick(listed.again, LEFT)
    dialog = dialog_of(desk, qtbot)
    assert dialog.windowTitle() == "Lay out an orbit anew"
    assert (dialog.said.call.edit.text(), dialog.laying.turns.edit.text()) == ("ROUND", "1")
    assert dialog.laying.radius.value() == pytest.approx(50.0, abs=0.05)
    assert "moved" not in dialog.form.state.text()
    ways = []
    desk.doors.flown.way_changed.connect(ways.append)
    type_into(dialog.laying.radius, "80 m")
    type_into(dialog.laying.height, "150 ft")
    assert ways[-1] is not None
    keep(dialog)
    (figure,) = document.plan.figures
    round_it = [point for point in document.plan.path if point.figure == figure.key]
    assert min(distance_m(figure.subject, point.place) for point in round_it) >= 80.0
    assert {point.height for point in round_it} == {AboveGround(150 * FOOT_M)}
    assert document.undo_stack.count() == steps + 1
    assert document.undo_stack.undoText().endswith("Lay out orbit anew")
    document.undo_stack.undo()
    assert document.plan == before
    # Kept as it stands, nothing moves.
    QTest.mouseClick(listed.again, LEFT)
    keep(dialog_of(desk, qtbot))
    old, new = before.path, document.plan.path
    assert max(distance_m(a.place, b.place) for a, b in zip(old, new, strict=True)) < 0.01


def test_laid_out_anew_what_was_moved_by_hand_is_said_to_give_way(desk, qtbot):
    document = desk.document
    desk.doors.flown.lay(FigureKind.PASS, (at(0, 0), at(-200, 30)))
    keep(dialog_of(desk, qtbot))
    entry = next(i for i, point in enumerate(document.plan.path) if point.figure)
    document.try_edit(edits.MovePoint(entry + 1, at(10, 90)))
    desk.menu_actions["figures"].trigger()
    QTest.mouseClick(desk.doors.flown.list.again, LEFT)
    dialog = dialog_of(desk, qtbot)
    assert "moved or put in by hand give way" in dialog.form.state.text()
    dialog.reject()
    document.try_edit(edits.DeleteFigure(0))
    document.try_edit(edits.MakeFigure((0, 1), Figure("orbit-9", FigureKind.ORBIT)))
    said = []
    document.message.connect(said.append)
    QTest.mouseClick(desk.doors.flown.list.again, LEFT)
    assert "says not what it is flown about" in said[-1]


def test_the_map_draws_a_figure_where_its_points_are_dragged_to(desk, on_map, hand, canvas, qtbot):
    desk.document.try_edit(edits.MakeFigure((0, 1), DIVE))
    qtbot.waitUntil(lambda: DIVE.called in words(qtbot, canvas))
    assert f"bail-out of {DIVE.called}" in words(qtbot, canvas)
    on_map.set_tool("move")
    hand.drag(hand.at(lonlat(START[1].place)), hand.at(lonlat(at(-40, 20))))
    qtbot.waitUntil(lambda: distance_m(desk.document.plan.path[1].place, at(-40, 20)) < 2.0)
    assert keys_of(desk.document.plan.path) == ["dive-1", "dive-1"]


def test_the_bail_out_of_a_figure_shown_is_dragged_on_the_map(desk, on_map, hand, canvas, qtbot):
    desk.document.try_edit(edits.MakeFigure((0, 1), DIVE))
    desk.document.try_edit(edits.AppendPoint(at(120, 40)))
    desk.menu_actions["figures"].trigger()
    shown = []
    desk.doors.flown.shown.connect(lambda *where: shown.append(where))
    desk.doors.flown.list.list.currentRowChanged.emit(0)
    assert shown[-1][:2] == (0.0, pytest.approx(50.0, rel=0.01))
    desk.doors.flown.list.hide()
    qtbot.waitUntil(lambda: len(on_map.figures.active.shown()) == 1)
    QTest.qWait(150)
    hand.drag(hand.at(lonlat(DIVE.bail_out)), hand.at(lonlat(at(60, -80))))
    qtbot.waitUntil(lambda: distance_m(desk.document.plan.figures[0].bail_out, at(60, -80)) < 2.0)
    desk.document.undo_stack.undo()
    assert desk.document.plan.figures == (DIVE,)


def test_the_table_says_in_which_figure_a_point_is_flown(desk):
    desk.document.try_edit(edits.MakeFigure((0, 1), DIVE))
    tip = desk.side.points.model.index(0, 1).data(Qt.ItemDataRole.ToolTipRole)
    assert tip.endswith("Flown in: " + DIVE.called)


def test_the_profile_names_a_figure_at_its_entry_and_its_strip_tells_the_call(desk, qtbot):
    desk.bring_profile()
    panel = desk.profile_view.panel
    desk.document.try_edit(edits.MakeFigure((0, 1), DIVE))
    assert DIVE.called in [placed.label.text for placed in panel.plot.words.placed()]
    (strip,) = [one for one in panel.strips.strips if one.name == "figures"]
    assert strip.intervals[0].text == f"{DIVE.called}, call DIVING"
    assert strip.intervals[0].to_m == pytest.approx(50.0, rel=0.01)
    desk.document.undo_stack.undo()
    assert [one for one in panel.strips.strips if one.name == "figures"] == []
