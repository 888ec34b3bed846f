"""Gestures on the map canvas: real mouse and key events on a real page, offscreen.

What a gesture should report is written down beside the signals of `MapCanvas`.
"""

import math

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWebEngineCore import QWebEnginePage

from tests.desk.map_hand import boxes, drawn, each_element, marks, page_value, plan, words

pytestmark = pytest.mark.qt_log_level_fail("CRITICAL")  # an error in the page is an error

CENTRE = (-150.2, 37.8)
A, B, C, D = (-150.21, 37.795), (-150.21, 37.805), (-150.19, 37.805), (-150.19, 37.795)
RUBBER_BAND = "3 5"
CROSS_HIDDEN = "document.querySelector('.middle-cross').hidden"
LONGER_THAN_A_DOUBLE_CLICK_MS = 500
TWO_PIXELS_DEG = 2e-4


def close_to(place):
    return pytest.approx(place, abs=TWO_PIXELS_DEG)


def disc_width_at(qtbot, canvas, point):
    """Width of the widest disc centred within two and a half pixels of a point, 0 where there is none."""
    near = [0]
    for left, top, right, bottom in boxes(qtbot, canvas, ".leaflet-handles-pane path"):
        if math.dist(((left + right) / 2, (top + bottom) / 2), (point.x(), point.y())) < 2.5:
            near.append(right - left)
    return max(near)


def test_an_area_is_drawn_by_clicking_and_finished_by_a_double_click(canvas, hand, heard, wire):
    canvas.set_tool("area")
    coords = []

    def add(tool, lon, lat):
        coords.append((lon, lat))
        canvas.set_plan(plan(area=coords))

    wire(canvas.clicked, add)
    for corner in (A, B, C):
        hand.click(corner)
        QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    hand.double_click(D)
    assert [tool for _, tool, _, _ in heard.of("clicked")] == ["area"] * 4
    assert coords == [close_to(corner) for corner in (A, B, C, D)]
    assert heard.of("finished") == [("finished", "area")]
    assert heard.all.index(("finished", "area")) > heard.all.index(heard.of("clicked")[-1])


def test_a_path_is_drawn_with_a_rubber_band_and_finished_by_enter(qtbot, canvas, hand, heard):
    canvas.set_tool("path")
    hand.click(A)
    assert heard.of("clicked")[0][1] == "path"
    canvas.set_plan(plan(path=[A]))
    start, pointer = hand.at(A), hand.at(C)
    hand.move(pointer)
    # A busy machine takes its time to hand a move to the page.
    qtbot.waitUntil(lambda: len(drawn(qtbot, canvas, "plan", RUBBER_BAND)) == 1)
    (band,) = drawn(qtbot, canvas, "plan", RUBBER_BAND)
    ends = [tuple(map(float, end.split())) for end in band.replace("M", "").split("L")]
    assert ends[1][0] - ends[0][0] == pytest.approx(pointer.x() - start.x(), abs=1.5)
    assert ends[1][1] - ends[0][1] == pytest.approx(pointer.y() - start.y(), abs=1.5)
    hand.key(Qt.Key.Key_Return)
    assert heard.of("finished") == [("finished", "path")]
    assert not drawn(qtbot, canvas, "plan", RUBBER_BAND)


def test_a_click_on_the_first_corner_closes_the_area(canvas, hand, heard):
    canvas.set_tool("area")
    canvas.set_plan(plan(area=[A, B, C]))
    hand.click(A)
    assert heard.of("finished", "clicked") == [("finished", "area")]


def test_a_path_may_come_back_to_its_own_point_exactly(qtbot, canvas, hand, heard):
    canvas.set_tool("path")
    canvas.set_plan(plan(path=[A, B, C]))
    hand.click(A)
    qtbot.waitUntil(lambda: bool(heard.of("clicked")))
    assert heard.of("clicked") == [("clicked", "path", *A)]


def test_escape_is_reported_and_clicks_without_a_tool_probe(canvas, hand, heard):
    hand.click(CENTRE)
    hand.key(Qt.Key.Key_Escape)
    assert [name for name, *_ in heard.of("clicked", "probed", "cancelled")] == ["probed", "cancelled"]
    assert heard.of("probed")[0][1:] == close_to(CENTRE)


def test_a_vertex_is_dragged_from_start_to_end(canvas, hand, heard):
    canvas.set_plan(plan(path=[A, B, C], path_marks=marks([A, B, C], "clear", "act")))
    hand.drag(hand.at(B), hand.at(CENTRE))
    heard.to_its_end(hand)
    moves = heard.of("vertex_moved")
    assert [move[-1] for move in moves[:2]] == ["start", "move"]
    assert [move[-1] for move in moves].count("start") == 1
    assert moves[-1][-1] == "end"
    assert {move[1:3] for move in moves} == {("path", 1)}
    assert moves[0][3:5] == close_to(B)
    assert moves[-1][3:5] == close_to(CENTRE)
    assert heard.of("vertex_selected") == [("vertex_selected", "path", 1)]
    assert not heard.of("probed", "clicked")


def test_never_more_than_one_move_is_in_flight_and_the_newest_wins(qtbot, canvas, hand, heard_only):
    heard = heard_only
    canvas.set_plan(plan(path=[A, B, C]))
    target = hand.at(CENTRE)
    hand.drag(hand.at(B), target, steps=20)
    assert [move[-1] for move in heard.of("vertex_moved")] == ["start"]
    canvas.acknowledge()
    qtbot.waitUntil(lambda: len(heard.of("vertex_moved")) == 2)
    assert heard.of("vertex_moved")[1][-1] == "move"
    assert heard.of("vertex_moved")[1][3:5] == close_to(CENTRE)
    canvas.acknowledge()
    qtbot.waitUntil(lambda: len(heard.of("vertex_moved")) == 3)
    assert heard.of("vertex_moved")[2][-1] == "end"
    canvas.acknowledge()
    QTest.qWait(100)
    assert len(heard.of("vertex_moved")) == 3


def test_the_end_of_a_drag_arrives_even_when_nothing_is_acknowledged(qtbot, canvas, hand, heard_only):
    heard = heard_only
    canvas.set_plan(plan(path=[A, B, C]))
    hand.drag(hand.at(B), hand.at(CENTRE))
    qtbot.waitUntil(lambda: heard.of("vertex_moved")[-1][-1] == "end", timeout=5_000)


def test_a_late_plan_does_not_pull_the_vertex_out_of_the_hand(qtbot, canvas, hand, heard):
    canvas.set_plan(plan(path=[A, B, C], path_marks=marks([A, B, C], "clear", "stop")))
    start, end = hand.at(B), hand.at(CENTRE)
    hand.press(start)
    hand.move(start + QPoint(30, 30))
    hand.move(end)
    canvas.set_plan(plan(path=[A, B, C], path_marks=marks([A, B, C], "clear", "stop")))
    QTest.qWait(100)
    assert disc_width_at(qtbot, canvas, end) > 9, "the vertex left the hand"
    hand.release(end)


def test_after_the_end_the_plan_of_the_desk_is_the_truth(qtbot, canvas, hand, heard):
    canvas.set_plan(plan(path=[A, B, C]))
    start, end = hand.at(B), hand.at(CENTRE)
    hand.drag(start, end)  # the desk acknowledges and refuses: its plan stays as it was
    assert disc_width_at(qtbot, canvas, start) > 9
    assert disc_width_at(qtbot, canvas, end) == 0


def test_the_legs_at_a_point_that_is_put_in_are_dotted_until_they_are_judged(qtbot, canvas, hand, heard):
    """Our own rule: one pattern on map and profile, and what is not judged is not known."""
    canvas.set_plan(plan(path=[A, B, C], path_marks=marks([A, B, C], "clear", "clear")))
    middle = hand.at(((A[0] + B[0]) / 2, (A[1] + B[1]) / 2))
    hand.press(middle)
    hand.move(middle + QPoint(30, 10))
    hand.move(middle + QPoint(60, 10))
    attributes = "['stroke-dasharray', 'd'].map(name => e.getAttribute(name))"
    paths = each_element(qtbot, canvas, ".leaflet-plan-pane path", attributes)
    dotted = [course for dashes, course in paths if dashes == "0.1 8" and course not in (None, "M0 0")]
    assert len(dotted) == 1
    assert dotted[0].count("L") == 2
    hand.release(middle + QPoint(60, 10))
    qtbot.waitUntil(lambda: heard.phases()[-1:] == ["end"])


def test_escape_during_a_drag_puts_the_vertex_back(canvas, hand, heard):
    canvas.set_plan(plan(path=[A, B, C]))
    start = hand.at(B)
    hand.press(start)
    hand.move(start + QPoint(40, 40))
    hand.move(start + QPoint(60, 60))
    hand.key(Qt.Key.Key_Escape)
    hand.release(start + QPoint(60, 60))
    heard.to_its_end(hand)
    assert heard.of("vertex_moved")[-1] == ("vertex_moved", "path", 1, *B, "end")
    assert heard.of("cancelled")


def test_a_middle_handle_inserts_a_vertex_that_then_moves(canvas, hand, heard, wire):
    canvas.set_plan(plan(path=[A, C], area=[A, B, C, D]))
    coords = [A, C]

    def insert(part, after, lon, lat):
        coords.insert(after + 1, (lon, lat))
        canvas.set_plan(plan(**{part: coords}))

    def move(part, index, lon, lat, phase):
        coords[index] = (lon, lat)
        canvas.set_plan(plan(**{part: coords}))

    wire(canvas.vertex_inserted, insert)
    wire(canvas.vertex_moved, move)
    middle = hand.at(CENTRE)
    hand.drag(middle, middle + QPoint(-90, -30))
    heard.to_its_end(hand)
    (inserted,) = heard.of("vertex_inserted")
    assert inserted[1:3] == ("path", 0)
    assert inserted[3:] == close_to(CENTRE)
    assert heard.of("vertex_moved")[0][1:3] == ("path", 1)
    assert heard.of("vertex_moved")[-1][-1] == "end"
    assert heard.all.index(inserted) < heard.all.index(heard.of("vertex_moved")[0])
    assert coords[1][0] < CENTRE[0] - 0.002
    assert len(coords) == 3


def test_the_closing_edge_of_the_area_has_a_middle_handle_too(canvas, hand, heard):
    canvas.set_plan(plan(area=[A, B, C, D]))
    middle = hand.at(((A[0] + D[0]) / 2, A[1]))
    hand.drag(middle, middle + QPoint(0, 50))
    assert heard.of("vertex_inserted")[0][1:3] == ("area", 3)


@pytest.mark.parametrize("key", [Qt.Key.Key_Delete, Qt.Key.Key_Backspace])
def test_the_selected_vertex_is_deleted_by_key(canvas, hand, heard, key):
    canvas.set_plan(plan(path=[A, B, C]))
    hand.click(B)
    hand.key(key)
    assert heard.of("vertex_selected", "vertex_deleted") == [
        ("vertex_selected", "path", 1),
        ("vertex_deleted", "path", 1),
    ]


def test_the_right_button_changes_nothing(canvas, hand, heard):
    """Who right-clicks a point looks for what can be done with it (issue 8: hard to use wrongly)."""
    canvas.set_plan(plan(path=[A, B], area=[B, C, D]))
    hand.click(D, Qt.MouseButton.RightButton)
    hand.click(D)
    assert heard.of("vertex_deleted", "vertex_selected") == [("vertex_selected", "area", 2)]


def test_backspace_while_drawing_takes_back_the_last_point(canvas, hand, heard):
    canvas.set_tool("path")
    canvas.set_plan(plan(path=[A, B, C]))
    hand.click(CENTRE)
    hand.key(Qt.Key.Key_Backspace)
    assert heard.of("vertex_deleted") == [("vertex_deleted", "path", 2)]


def test_launch_landing_and_crew_are_set_and_dragged(canvas, hand, heard):
    for tool in ("launch", "landing", "return_point", "crew"):
        canvas.set_tool(tool)
        hand.click(CENTRE)
        QTest.qWait(LONGER_THAN_A_DOUBLE_CLICK_MS)
    assert [one[1] for one in heard.of("clicked")] == ["launch", "landing", "return_point", "crew"]
    canvas.set_tool("move")
    crew = [{"id": "o1", "label": "observer", "role": "visual observer", "lon": C[0], "lat": C[1]}]
    back = (A[0], C[1] + (A[1] - C[1]) / 2)
    canvas.set_plan(plan(launch=A, landing=B, return_point=back, crew=crew))
    for place, part in ((A, "launch"), (B, "landing"), (back, "return_point"), (C, "crew")):
        before = heard.phases().count("end")
        hand.drag(hand.at(place), hand.at(place) + QPoint(20, 20))
        heard.to_its_end(hand, drags=before + 1)
        assert heard.of("vertex_moved")[-1][1:3] == (part, 0)


def test_hovering_near_the_path_tells_leg_and_place(canvas, hand, heard):
    canvas.set_plan(plan(path=[A, B, C]))
    quarter = (B[0] + (C[0] - B[0]) / 4, B[1])
    hand.move(hand.at(quarter, dy=6))
    QTest.qWait(120)
    leg, t, lon, lat = heard.of("path_hovered")[-1][1:]
    assert leg == 1
    assert t == pytest.approx(0.25, abs=0.02)
    assert (lon, lat) == close_to(quarter)
    assert not heard.of("hover_left")
    hand.move(hand.at(CENTRE))
    QTest.qWait(120)
    assert heard.all[-1][0] in ("hover_left", "pointer")
    assert len(heard.of("hover_left")) == 1
    assert heard.of("pointer")[-1][1:] == close_to(CENTRE)


def test_the_desk_zooms_about_the_middle(canvas, hand, heard, qtbot):
    start = list(heard.of("view_changed"))
    canvas.zoom(1.0)
    qtbot.waitUntil(lambda: len(heard.of("view_changed")) > len(start), timeout=5000)
    qtbot.wait(400)
    closer = heard.of("view_changed")[-1]
    canvas.zoom(-1.0)
    qtbot.waitUntil(lambda: heard.of("view_changed")[-1][-1] == closer[-1] - 1.0, timeout=5000)
    middle = lambda view: ((view[-5] + view[-3]) / 2, (view[-4] + view[-2]) / 2)  # noqa: E731
    assert middle(heard.of("view_changed")[-1]) == pytest.approx(middle(closer), abs=1e-4)


def test_keys_pan_and_zoom_and_the_view_is_told(canvas, hand, heard):
    hand.click(CENTRE)
    hand.key(Qt.Key.Key_Plus)
    QTest.qWait(500)
    hand.key(Qt.Key.Key_Right)
    QTest.qWait(600)
    zooms = [view[-1] for view in heard.of("view_changed")]
    assert zooms
    assert zooms[-1] > zooms[0] - 1e-9
    west, south, east, north = heard.of("view_changed")[-1][1:5]
    assert west < east
    assert south < north
    assert (west + east) / 2 > CENTRE[0]


def test_no_second_move_goes_out_while_a_slow_desk_works_on_the_first(qtbot, canvas, hand, heard_only, wire):
    canvas.set_plan(plan(path=[A, B, C]))
    unanswered = []
    most = []

    def answer_late(*_):
        unanswered.append(1)
        most.append(len(unanswered))
        QTimer.singleShot(120, answer)

    def answer():
        unanswered.pop()
        canvas.acknowledge()

    wire(canvas.vertex_moved, answer_late)
    hand.drag(hand.at(B), hand.at(CENTRE), steps=25)
    qtbot.waitUntil(lambda: heard_only.phases()[-1] == "end" and not unanswered)
    assert heard_only.phases()[0] == "start"
    assert 1 <= heard_only.phases().count("move") < 25
    assert max(most) == 1


def test_a_second_drag_does_not_fight_the_late_answer_to_the_first(qtbot, canvas, hand, heard_only):
    canvas.set_plan(plan(path=[A, B, C]))
    hand.drag(hand.at(B), hand.at(CENTRE), steps=3)
    start = hand.at(C)
    end = start + QPoint(-40, 60)
    hand.press(start)
    hand.move(end)
    for _ in range(5):
        canvas.acknowledge()
        QTest.qWait(30)
    assert disc_width_at(qtbot, canvas, end) > 9, "the vertex left the hand"
    hand.release(end)
    while heard_only.phases().count("end") < 2:
        canvas.acknowledge()
        QTest.qWait(30)
    canvas.acknowledge()
    assert [move[2] for move in heard_only.of("vertex_moved") if move[-1] == "end"] == [1, 2]


@pytest.mark.parametrize(("tool", "key"), [("launch", Qt.Key.Key_Return), ("path", Qt.Key.Key_Space)])
def test_keys_place_at_the_cross_in_the_middle(qtbot, canvas, hand, heard, tool, key):
    """Without the mouse: arrows move the map under the cross, the key places where it then stands."""
    canvas.set_tool(tool)
    assert page_value(qtbot, canvas, CROSS_HIDDEN) is True
    views = []
    canvas.view_changed.connect(lambda *view: views.append(view))
    hand.key(Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: bool(views))
    assert page_value(qtbot, canvas, CROSS_HIDDEN) is False
    hand.key(key)
    qtbot.waitUntil(lambda: bool(heard.of("clicked")))
    (placed,) = heard.of("clicked")
    west, south, east, north, _zoom = views[-1]
    assert placed[1] == tool
    assert placed[2:] == pytest.approx(((west + east) / 2, (south + north) / 2), abs=2e-5)
    hand.move(hand.at(CENTRE))
    qtbot.waitUntil(lambda: page_value(qtbot, canvas, CROSS_HIDDEN) is True)


def test_a_key_places_nothing_where_no_cross_was_seen(qtbot, canvas, hand, heard):
    """Our own rule (issue 8: hard to use wrongly): an Enter meant for another window sets nothing down."""
    canvas.set_tool("landing")
    assert page_value(qtbot, canvas, CROSS_HIDDEN) is True  # and the page knows the tool
    hand.key(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not page_value(qtbot, canvas, CROSS_HIDDEN))
    assert not heard.of("clicked")
    hand.key(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(heard.of("clicked")))


def test_with_the_hand_that_moves_no_key_places(canvas, hand, heard):
    hand.key(Qt.Key.Key_Space)
    hand.key(Qt.Key.Key_Return)
    assert not heard.of("clicked")


def test_a_return_point_is_shown_and_dragged(canvas, hand, heard, qtbot):
    canvas.set_tool("move")
    canvas.set_plan(plan(launch=A, return_point=B))
    qtbot.waitUntil(lambda: {"launch", "return"} <= set(words(qtbot, canvas)))
    hand.drag(hand.at(B), hand.at(CENTRE))
    heard.to_its_end(hand)
    assert {move[1:3] for move in heard.of("vertex_moved")} == {("return_point", 0)}
    assert heard.of("vertex_moved")[-1][3:5] == close_to(CENTRE)


def test_nothing_on_the_page_can_be_marked_as_text(qtbot, canvas, hand):
    canvas.set_plan(plan(path=[A, B, C], path_marks=marks([A, B, C], "clear", "act")))
    canvas.page.triggerAction(QWebEnginePage.WebAction.SelectAll)
    hand.heard_of()
    assert page_value(qtbot, canvas, "getSelection().toString()") == ""
