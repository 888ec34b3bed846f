"""Chosen points turned and scaled by hand, by the ring's grips and by keys: real mouse and keys on the map.

Bearings and lengths are held against geographiclib's geodesics (standing A).
"""

import math

import attrs
import pytest
from geographiclib.geodesic import Geodesic
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.map_view import MapView
from planner.desk.turning_hand import TurningHand
from planner.errors import PlanError
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.edits import PlacePoints, SetLaunch
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from tests.desk.desk_rig import make_document, point, settled, small_plan
from tests.desk.map_hand import Hand, boxes, page_value
from tests.desk.test_desk_by_hand import desk, pilot

__all__ = ["desk", "pilot"]  # its window, and who sits there

SPOTS = ((-150.216, 37.792), (-150.212, 37.796), (-150.206, 37.794), (-150.200, 37.801))
PLAN = Plan(path=tuple(PathPoint(Place(*spot), AboveGround(30.0)) for spot in SPOTS))
CHOSEN = (0, 1, 2)
GRIPS = ".leaflet-grips-pane .plan-symbol"


class OnTheMap:
    """A map with its document and no window: what is chosen is told by hand."""

    def __init__(self, qtbot, canvas):
        self.document = make_document()
        self.document.replace(PLAN, None)
        settled(qtbot, self.document)
        self.view = MapView(self.document, canvas)
        self.view.set_tool("move")
        self.hand = Hand(qtbot, canvas)
        self.told = []
        self.document.message.connect(self.told.append)
        self.view.choose("path", 0, CHOSEN)
        canvas.fit(-150.225, 37.785, -150.195, 37.805)
        QTest.qWait(150)

    def key(self, key, keys=Qt.KeyboardModifier.NoModifier):
        QTest.keyClick(self.view.canvas.focusProxy(), key, keys)
        QTest.qWait(60)


@pytest.fixture
def chosen(qtbot, canvas):
    """Give a map with a path of four points of which three are chosen."""
    made = OnTheMap(qtbot, canvas)
    qtbot.waitUntil(lambda: len(boxes(qtbot, canvas, GRIPS)) == 2)
    yield made
    made.view.close()
    made.view.deleteLater()
    made.document.close()
    QTest.qWait(20)


def grips(qtbot, pilot):
    """Return where the grip that turns and the one that scales are in the map [px]."""
    return [
        QPoint(round((left + right) / 2), round((top + bottom) / 2))
        for left, top, right, bottom in boxes(qtbot, pilot.view.canvas, GRIPS)
    ]


def middle(pilot):
    """Return the middle of the chosen points' box in the map [px]."""
    at = [pilot.hand.at(spot) for spot in SPOTS[:3]]
    xs, ys = [p.x() for p in at], [p.y() for p in at]
    return QPointF((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)


def balloon(qtbot, pilot):
    return page_value(
        qtbot,
        pilot.view.canvas,
        "(e => e.hidden ? '' : e.textContent)(document.querySelector('.map-balloon'))",
    )


def bearing_and_length(places):
    """Return how the first leg lies: degrees from true north, and metres."""
    one, other = places[:2]
    found = Geodesic.WGS84.Inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg)
    return found["azi1"], found["s12"]


def places_of(pilot):
    return [one.place for one in pilot.document.plan.path]


def turned_to(start, centre, degrees, factor=1.0):
    """Return where a grip goes that is turned clockwise about a centre, and pulled out."""
    by = QPointF(start) - centre
    angle = math.radians(degrees)
    return (
        centre
        + QPointF(
            by.x() * math.cos(angle) - by.y() * math.sin(angle),
            by.x() * math.sin(angle) + by.y() * math.cos(angle),
        )
        * factor
    ).toPoint()


def test_the_ring_turns_the_chosen_points_about_their_middle_in_one_step(pilot, qtbot):
    pilot.begin(attrs.evolve(PLAN, chart_sets=("demo-island",)))
    pilot.look_at(-150.225, 37.785, -150.195, 37.805)
    pilot.hand.click(SPOTS[0])
    for spot in SPOTS[1:3]:
        pilot.hand.click_with(Qt.KeyboardModifier.ControlModifier, spot)
    qtbot.waitUntil(lambda: len(boxes(qtbot, pilot.view.canvas, GRIPS)) == 2)
    chosen, told = pilot, []
    pilot.document.message.connect(told.append)
    before, steps = chosen.document.plan, chosen.document.undo_stack.count()
    was = bearing_and_length(places_of(chosen))
    turn, _ = grips(qtbot, chosen)
    centre = middle(chosen)
    assert abs(turn.x() - centre.x()) <= 2
    chosen.hand.press(turn)
    for degrees in (10, 20, 30, 40):
        chosen.hand.move(turned_to(turn, centre, degrees))
    qtbot.waitUntil(lambda: "turned 40" in balloon(qtbot, chosen) or "turned 39" in balloon(qtbot, chosen))
    assert "clockwise" in balloon(qtbot, chosen)
    assert " × " in balloon(qtbot, chosen)  # the size of what is turned
    chosen.hand.release(turned_to(turn, centre, 40))
    qtbot.waitUntil(lambda: balloon(qtbot, chosen) == "" and chosen.view.turning.told is None)
    bearing, length = bearing_and_length(places_of(chosen))
    assert (bearing - was[0]) % 360 == pytest.approx(40, abs=1.0)
    assert length == pytest.approx(was[1], rel=2e-3)
    assert places_of(chosen)[3] == before.path[3].place
    assert chosen.document.undo_stack.count() == steps + 1
    assert chosen.document.undo_stack.undoText() == "Turn points 1, 2, 3"
    assert any("3 points turned" in line for line in told)
    chosen.document.undo_stack.undo()
    assert chosen.document.plan == before
    assert chosen.window.side.points.chosen_rows == CHOSEN
    chosen.window.menu_actions["turn"].trigger()
    qtbot.waitUntil(lambda: "Left and right turn" in balloon(qtbot, chosen))
    chosen.key(Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: balloon(qtbot, chosen) == "")
    assert chosen.document.plan == before
    pilot.document.message.disconnect(told.append)


def test_the_other_grip_scales_them_and_the_preview_lies_where_the_plan_then_does(chosen, qtbot):
    before = chosen.document.plan
    bearing, length = bearing_and_length(places_of(chosen))
    _, size = grips(qtbot, chosen)
    centre = middle(chosen)
    chosen.hand.press(size)
    chosen.hand.move(turned_to(size, centre, 0, 1.2))
    chosen.hand.move(turned_to(size, centre, 0, 0.5))
    qtbot.waitUntil(
        lambda: "scaled to 5" in balloon(qtbot, chosen) or "scaled to 49" in balloon(qtbot, chosen)
    )
    preview = boxes(qtbot, chosen.view.canvas, ".leaflet-handles-pane path")
    chosen.hand.release(turned_to(size, centre, 0, 0.5))
    qtbot.waitUntil(lambda: chosen.view.turning.told is None)
    QTest.qWait(150)
    then = bearing_and_length(places_of(chosen))
    assert then[1] == pytest.approx(length / 2, rel=0.02)
    assert then[0] == pytest.approx(bearing, abs=0.5)
    at = [chosen.hand.at((p.lon_deg, p.lat_deg)) for p in places_of(chosen)]
    discs = [((left + right) / 2, (top + bottom) / 2) for left, top, right, bottom in preview]
    for spot in at:
        assert min(math.hypot(x - spot.x(), y - spot.y()) for x, y in discs) < 2.5
    chosen.document.undo_stack.undo()
    assert chosen.document.plan == before


def test_shift_turns_by_fifteen_degrees(chosen, qtbot):
    was = bearing_and_length(places_of(chosen))[0]
    turn, _ = grips(qtbot, chosen)
    to, target = turned_to(turn, middle(chosen), 50), chosen.view.canvas.focusProxy()
    chosen.hand.press(turn)
    for share in (0.5, 1.0):
        at = QPointF(turn + (to - turn) * share)
        move = QMouseEvent(
            QEvent.Type.MouseMove,
            at,
            target.mapToGlobal(at),
            Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.ShiftModifier,
        )
        QApplication.sendEvent(target, move)
        QTest.qWait(60)
    qtbot.waitUntil(lambda: "turned 45.0° clockwise" in balloon(qtbot, chosen))
    QTest.mouseRelease(target, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier, to)
    qtbot.waitUntil(lambda: chosen.view.turning.told is None)
    assert (bearing_and_length(places_of(chosen))[0] - was) % 360 == pytest.approx(45, abs=0.1)


def test_escape_puts_them_back(chosen, qtbot):
    before = chosen.document.plan
    turn, _ = grips(qtbot, chosen)
    chosen.hand.press(turn)
    chosen.hand.move(turned_to(turn, middle(chosen), 70))
    qtbot.waitUntil(lambda: places_of(chosen)[0] != before.path[0].place)
    chosen.key(Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: chosen.document.plan == before)
    assert balloon(qtbot, chosen) == ""
    chosen.hand.release(turned_to(turn, middle(chosen), 70))
    assert chosen.document.plan == before
    assert chosen.view.hand.group == CHOSEN


def test_keys_turn_and_scale_and_enter_keeps_it_as_one_step(chosen, qtbot):
    before, steps = chosen.document.plan, chosen.document.undo_stack.count()
    was = bearing_and_length(places_of(chosen))
    chosen.view.take_ring(CHOSEN)
    qtbot.waitUntil(lambda: "Left and right turn" in balloon(qtbot, chosen))
    shift = Qt.KeyboardModifier.ShiftModifier
    view = page_value(
        qtbot, chosen.view.canvas, "document.querySelector('.leaflet-map-pane').style.transform"
    )
    for key, keys in [
        (Qt.Key.Key_Right, shift),
        (Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier),
        (Qt.Key.Key_Up, shift),
    ]:
        chosen.key(key, keys)
    qtbot.waitUntil(lambda: "turned 11.0° clockwise · scaled to 110.0 %" in balloon(qtbot, chosen))
    assert view == page_value(
        qtbot, chosen.view.canvas, "document.querySelector('.leaflet-map-pane').style.transform"
    ), "the arrows must not move the map as well"
    chosen.key(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: chosen.view.turning.told is None)
    bearing, length = bearing_and_length(places_of(chosen))
    assert (bearing - was[0]) % 360 == pytest.approx(11, abs=0.1)
    assert length == pytest.approx(1.1 * was[1], rel=1e-3)
    assert chosen.document.undo_stack.count() == steps + 1
    chosen.document.undo_stack.undo()
    assert chosen.document.plan == before


def test_an_undo_amid_the_keys_ends_them_and_nothing_comes_back(chosen, qtbot):
    before = chosen.document.plan
    chosen.view.take_ring(CHOSEN)
    qtbot.waitUntil(lambda: balloon(qtbot, chosen) != "")
    chosen.key(Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: chosen.document.plan != before)
    chosen.document.undo_stack.undo()
    chosen.key(Qt.Key.Key_Right)
    QTest.qWait(150)
    assert chosen.document.plan == before
    assert balloon(qtbot, chosen) == ""
    chosen.key(Qt.Key.Key_Return)
    assert chosen.document.plan == before


def test_what_would_lie_within_a_metre_is_refused_in_one_line_and_the_last_size_stays(chosen, qtbot):
    _, size = grips(qtbot, chosen)
    centre = middle(chosen)
    chosen.hand.press(size)
    chosen.hand.move(turned_to(size, centre, 0, 0.5))
    qtbot.waitUntil(lambda: "scaled to" in balloon(qtbot, chosen))
    chosen.hand.move(centre.toPoint())
    qtbot.waitUntil(lambda: "scale" in balloon(qtbot, chosen) or "metre" in balloon(qtbot, chosen))
    chosen.hand.release(centre.toPoint())
    qtbot.waitUntil(lambda: chosen.view.turning.told is None)
    assert bearing_and_length(places_of(chosen))[1] > 1.0


def test_the_grips_lie_under_no_sign_and_no_words(chosen, qtbot):
    """Our own rule: what a hand takes hold of is in sight."""
    canvas = chosen.view.canvas
    before = boxes(qtbot, canvas, GRIPS)

    def middles(selector):
        return [
            ((left + right) / 2, (top + bottom) / 2)
            for left, top, right, bottom in boxes(qtbot, canvas, selector)
        ]

    # The launch point where the grip that scales was; its name is beside it.
    _turn, scale = middles(GRIPS)
    (west, south), (east, north) = ((at.x(), at.y()) for at in map(chosen.hand.at, (SPOTS[0], SPOTS[3])))
    lon, lat = (
        SPOTS[0][part] + (at - first) / (last - first) * (SPOTS[3][part] - SPOTS[0][part])
        for part, at, first, last in ((0, scale[0], west, east), (1, scale[1], south, north))
    )
    assert chosen.document.try_edit(SetLaunch(Place(lon, lat)))
    chosen.view.choose("path", 0, CHOSEN)
    qtbot.waitUntil(lambda: boxes(qtbot, canvas, GRIPS) != before)
    QTest.qWait(100)
    signs = middles(".leaflet-symbols-pane .plan-symbol")
    for grip in middles(GRIPS):
        assert all(math.dist(grip, sign) > 20 for sign in signs)
        for left, top, right, bottom in boxes(qtbot, canvas, ".map-label"):
            assert not (left < grip[0] < right and top < grip[1] < bottom)


def test_one_chosen_point_has_no_ring_and_no_tool_but_move_has_one(chosen, qtbot):
    chosen.view.set_tool("area")
    qtbot.waitUntil(lambda: boxes(qtbot, chosen.view.canvas, GRIPS) == [])
    chosen.view.set_tool("move")
    qtbot.waitUntil(lambda: len(boxes(qtbot, chosen.view.canvas, GRIPS)) == 2)
    chosen.hand.click(SPOTS[3])
    qtbot.waitUntil(lambda: boxes(qtbot, chosen.view.canvas, GRIPS) == [])
    chosen.view.take_ring((3,))
    assert any("Choose two points or more" in line for line in chosen.told)


def test_refusals_in_figures(qtbot):
    """Bounds of a scale are those of the form of figures; a size is ours."""
    document = make_document()
    document.replace(small_plan(path=(point(0, 0), point(2, 1), point(4, 0))), None)
    settled(qtbot, document)
    hand, told = TurningHand(document), []
    document.message.connect(told.append)
    before = document.plan
    hand.reshape(0.0, 1.0, "start", (0, 1))
    hand.reshape(0.0, 0.001, "move", (0, 1))
    assert hand.told["refused"]
    assert "1 %" in hand.told["words"]
    hand.reshape(0.0, 200.0, "move", (0, 1))
    assert hand.told["refused"]
    assert len(told) == 1, "one line is enough"
    assert document.plan == before
    hand.reshape(30.0, 1.0, "move", (0, 1))
    assert not hand.told["refused"]
    hand.reshape(0.0, 99.9, "end", (0, 1))
    assert document.plan != before
    with pytest.raises(PlanError):
        PlacePoints((9,), (Place(0.0, 0.0),)).apply(document.plan)
    document.close()
