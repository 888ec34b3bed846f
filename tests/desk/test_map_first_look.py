"""What stays still, in the middle, in view and legible on the map; pixels read from a picture of the page."""

import math

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.desk.map_ground import MapGround
from planner.desk.map_notice import notice
from planner.plan.model import Plan
from planner.wording import INVENTED_STAMP
from planner.world.world import World
from tests.desk.desk_rig import make_document, settled, small_plan
from tests.desk.map_hand import boxes, drawn, each_element, page_value, plan, words
from tests.desk.test_map_picture import CENTRE, layer, square

pytestmark = pytest.mark.qt_log_level_fail("CRITICAL")


def text_px(qtbot, canvas, selector):
    return each_element(qtbot, canvas, selector, "parseFloat(getComputedStyle(e).fontSize)")


def test_labels_stamp_and_scale_grow_with_the_text(qtbot, canvas):
    canvas.set_notice(INVENTED_STAMP)
    canvas.set_layers([layer("sites", [square(-150.21, 37.795, 0.01, name="Field")], label_property="name")])
    qtbot.waitUntil(lambda: "Field" in words(qtbot, canvas))
    before = [
        text_px(qtbot, canvas, one)[0] for one in (".map-label", "#notice", ".leaflet-control-scale-line")
    ]
    width = boxes(qtbot, canvas, ".map-label")[0]
    try:
        canvas.set_text(1.5)
        qtbot.waitUntil(lambda: boxes(qtbot, canvas, ".map-label")[0] != width)
        after = [
            text_px(qtbot, canvas, one)[0] for one in (".map-label", "#notice", ".leaflet-control-scale-line")
        ]
        assert after == pytest.approx([1.5 * px for px in before], rel=0.01)
    finally:
        canvas.set_text(1.0)


def test_a_cells_figure_stands_in_its_middle_or_not_at_all(qtbot, canvas, hand):
    """Cells of one thirtieth of a minute of arc: in the first view too low for a line of words."""
    size = 0.0025
    cells = [
        square(-150.215 + column * size, 37.795 + row * size, size, label=f"{column}{row}")
        for column in range(6)
        for row in range(4)
    ]
    canvas.set_layers([layer("cells", cells, label_property="label", label_at="middle")])
    canvas.set_plan(plan(path=[[-150.2125, 37.79625], [-150.2125, 37.80125]]))
    qtbot.waitUntil(lambda: len(words(qtbot, canvas)) > 10)
    QTest.qWait(100)
    told = dict(zip(words(qtbot, canvas), boxes(qtbot, canvas, ".map-label"), strict=True))
    seen = 0
    for cell in cells:
        name, ring = cell["properties"]["label"], cell["geometry"]["coordinates"][0]
        if name in told:
            seen += 1
            left, top, right, bottom = told[name]
            low, high = hand.at(ring[0]), hand.at(ring[2])
            assert (left + right) / 2 == pytest.approx((low.x() + high.x()) / 2, abs=1.5)
            assert (top + bottom) / 2 == pytest.approx((low.y() + high.y()) / 2, abs=1.5)
    assert seen >= 12


def test_no_figure_stands_across_the_border_of_a_low_cell(qtbot, canvas):
    low = square(-150.21, 37.8, 0.01, label="400")
    low["geometry"]["coordinates"][0] = [
        [-150.21, 37.8],
        [-150.2, 37.8],
        [-150.2, 37.8002],
        [-150.21, 37.8002],
        [-150.21, 37.8],
    ]
    canvas.set_layers(
        [
            layer(
                "cells",
                [low, square(-150.2, 37.79, 0.01, label="100")],
                label_property="label",
                label_at="middle",
            )
        ]
    )
    qtbot.waitUntil(lambda: "100" in words(qtbot, canvas))
    assert "400" not in words(qtbot, canvas)


def test_what_is_under_the_pointer_stays_there_when_the_map_gets_lower(qtbot, canvas, hand):
    hand.click((-150.2, 37.8))  # whoever has touched the map keeps their view of it
    before = hand.at((-150.21, 37.805))
    size = canvas.size()
    try:
        canvas.resize(size.width(), size.height() - 100)
        qtbot.waitUntil(lambda: page_value(qtbot, canvas, "innerHeight") == size.height() - 100)
        QTest.qWait(200)
        assert hand.at((-150.21, 37.805)) == before
    finally:
        canvas.resize(size)
        QTest.qWait(200)


def test_a_key_of_the_desk_leaves_the_view_to_be_fitted_anew(qtbot, canvas, hand):
    """Our own rule (issue 8: clear at the first look): only keys that move the map say what to view."""
    size, views = canvas.size(), []
    canvas.fit(-150.21, 37.795, -150.19, 37.805)
    for key in (Qt.Key.Key_X, Qt.Key.Key_Escape):
        hand.key(key)
    canvas.view_changed.connect(lambda *view: views.append(view))
    try:
        canvas.resize(size.width(), size.height() // 3)
        qtbot.waitUntil(lambda: bool(views) and views[-1][1] < 37.795 and views[-1][3] > 37.805)
    finally:
        canvas.resize(size)
        qtbot.waitUntil(lambda: page_value(qtbot, canvas, "innerHeight") == size.height())


def test_a_single_place_of_a_finding_is_seen(qtbot, canvas):
    canvas.highlight([list(CENTRE)])
    qtbot.waitUntil(lambda: bool(drawn(qtbot, canvas, "highlight")))
    (course,) = drawn(qtbot, canvas, "highlight")
    assert "L" in course


def test_the_place_asked_for_is_marked_with_its_coordinates(qtbot, canvas, hand):
    canvas.set_asked(list(CENTRE), "37.80000° N 150.20000° W")
    qtbot.waitUntil(lambda: "37.80000° N 150.20000° W" in words(qtbot, canvas))
    (box,) = boxes(qtbot, canvas, ".plan-symbol")
    middle = QPoint(round((box[0] + box[2]) / 2), round((box[1] + box[3]) / 2))
    assert (middle - hand.at(CENTRE)).manhattanLength() <= 2
    canvas.set_asked(None)
    qtbot.waitUntil(lambda: "37.80000° N 150.20000° W" not in words(qtbot, canvas))
    assert boxes(qtbot, canvas, ".plan-symbol") == []


def winding(count, closer=1.0):
    """Give a line of so many points within the view of the canvas."""
    return [
        [-150.212 + closer * 0.024 * k / count, 37.8 + closer * 0.001 * math.sin(k / 9)] for k in range(count)
    ]


def test_of_five_hundred_points_some_are_drawn_small_until_the_map_is_closer(qtbot, canvas, hand):
    canvas.set_plan(plan(path=winding(500)))
    shown = ".leaflet-handles-pane path"
    qtbot.waitUntil(lambda: 20 < len(drawn(qtbot, canvas, "handles")) < 200)
    radii = [box[2] - box[0] for box in boxes(qtbot, canvas, shown)]
    assert sorted(radii)[len(radii) // 2] < 7
    canvas.fit(-150.2125, 37.7998, -150.2115, 37.8008)
    qtbot.waitUntil(lambda: max(box[2] - box[0] for box in boxes(qtbot, canvas, shown)) > 9)


def test_what_has_no_handle_cannot_be_taken_hold_of_but_a_chosen_one_has(qtbot, canvas, hand, heard):
    path = winding(500)
    canvas.set_plan(plan(path=path))
    qtbot.waitUntil(lambda: bool(drawn(qtbot, canvas, "handles")))
    hand.click(path[251])
    chosen = heard.of("vertex_selected")[-1]
    assert chosen[1] == "path"
    assert chosen[2] != 251  # the nearest one that is drawn
    canvas.set_plan(plan(path=path, selected={"part": "path", "index": 251, "group": []}))
    hand.click(path[251])
    assert heard.of("vertex_selected")[-1][1:] == ("path", 251)


class Drawn:
    """Notes what the map is told of the ground's picture; its own signals are not needed."""

    def __init__(self, canvas):
        self.told = []
        self.view_changed = canvas.view_changed

    def set_closer(self, picture):
        self.told.append(("closer", picture))

    def clear_base(self):
        self.told.append(("cleared",))


def test_the_picture_of_the_ground_stays_where_the_plan_moves_beside_it(canvas):
    from tests import worlds

    drawn_on = Drawn(canvas)
    ground = MapGround(drawn_on)
    try:
        ground.show(worlds.world().terrain, ("isle",))
        drawn_on.told.clear()
        ground.show(None, ("isle",))
        assert drawn_on.told == []
        ground.show(None, ("other",))
        assert ("cleared",) in drawn_on.told
    finally:
        ground.close()


@pytest.mark.parametrize(
    ("sets", "stamp"), [(("demo-island",), INVENTED_STAMP), (("no such set",), ""), ((), "")]
)
def test_an_invented_place_is_stamped_while_its_charts_are_read(qtbot, sets, stamp):
    document = make_document(lambda _plan: World())
    document.replace(small_plan(chart_sets=sets), None)
    assert document.unread
    assert notice(document, None) == stamp
    settled(qtbot, document)
    assert notice(document, None) == ""  # the world read has the last word
    document.replace(Plan(), None)
    document.close()
