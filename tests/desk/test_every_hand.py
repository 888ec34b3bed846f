"""Every hand of the desk in random order: undone to the very first plan, done again to the very last one.

`LOWLINE_ACTIONS=2000` makes it hundreds of gestures on one desk, in long rows.
"""

import gc
import math
import os
import random
import threading
from collections.abc import Callable
from functools import partial
from types import SimpleNamespace

import pytest
import shiboken6
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QEvent, QItemSelectionModel, QPointF, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog

from planner.assess import Memory, assess_live, follow
from planner.desk.document import Document
from planner.desk.drawing_hand import DrawingHand
from planner.desk.figure_hand import FigureHands
from planner.desk.points_model import HEIGHT, LEG, REFERENCE
from planner.geo.heights import AboveGround
from planner.plan.crew import Role
from planner.plan.figures import FigureKind
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.geometry import Area, LegShape
from tests.desk.desk_rig import make_window, settled
from tests.worlds import at, plan, points, slope, terrain, world

LONG = int(os.environ.get("LOWLINE_ACTIONS", "60")) >= 2_000
CHARTS = world(terrain=terrain(slope(0.05)))
START = plan(
    path=points([(-300, 0, 20.0), (-100, 80, 30.0), (100, 0, 25.0), (300, 60, 40.0)]),
    area=Area((at(-400, -200), at(400, -200), at(400, 250), at(-400, 250)), AboveGround(90.0)),
)
LEFT, NO_KEYS = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
HEIGHTS = ("120", "350ft", "45 m", "1300 msl", "60 m launch", "high", "")
TEXTS = ("geo:37.801,-150.201", "37.8 -150.199 90 ft AGL\n37.801 -150.2", "[-150.2, 37.8]", "no point", "")


class Desk:
    """A desk without its map, and all hands that change a plan."""

    def __init__(self, qtbot) -> None:
        self.document = Document(partial(assess_live, memory=Memory()), lambda _plan: CHARTS, follow)
        self.window = make_window(qtbot, self.document)
        self.window.bring_profile()
        self.window.resize(1280, 720)
        self.window.show()
        self.drawing = DrawingHand(self.document, self.window)
        self.figures = FigureHands(self.document, self.window)
        self.window.doors.join(self.figures)
        self.chance = random.Random(0)
        self.did: list[str] = []

    def begin(self, seed: int) -> None:
        self.did = []
        self.chance = random.Random(seed)
        self.document.replace(START, None)
        self.window.menu_actions["show_points"].trigger()
        while self.document.reading:
            QApplication.processEvents()

    # What hands need

    def near(self):
        return at(self.chance.uniform(-350, 350), self.chance.uniform(-150, 200))

    def index(self) -> int:
        return self.chance.randrange(max(len(self.document.plan.path), 1))

    def choose(self) -> None:
        table = self.window.side.points.table
        table.clearSelection()
        how = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows
        for _ in range(self.chance.randint(0, 3)):
            table.selectionModel().select(table.model().index(self.index(), 0), how)

    def trigger(self, key: str) -> None:
        self.choose()
        self.window.menu_actions[key].trigger()

    def answer(self) -> None:
        """Accept what is open, or leave it where it can't be accepted."""
        for dialog in [
            one for one in QApplication.topLevelWidgets() if isinstance(one, QDialog) and one.isVisible()
        ]:
            dialog.accept()
            dialog.reject()

    # Hands on the map

    def draw_points(self) -> None:
        for _ in range(self.chance.randint(1, 3)):
            place = self.near()
            self.drawing.click("path", place.lon_deg, place.lat_deg)

    def drag(self) -> None:
        part = self.chance.choice(("path", "path", "area", "launch", "landing", "return_point", "crew"))
        index = self.index()
        for phase in ("start", "move", "move", "end"):
            place = self.near()
            self.drawing.move(part, index, place.lon_deg, place.lat_deg, phase)

    def pull_out_of_a_leg(self) -> None:
        part, after, place = self.chance.choice(("path", "area")), self.index(), self.near()
        self.drawing.insert(part, after, place.lon_deg, place.lat_deg)
        for phase in ("start", "end"):
            place = self.near()
            self.drawing.move(part, after + 1, place.lon_deg, place.lat_deg, phase)

    def delete_on_map(self) -> None:
        self.drawing.delete(
            self.chance.choice(("path", "area", "launch", "landing", "return_point", "crew")), self.index()
        )

    def set_down(self) -> None:
        self.drawing.role = self.chance.choice(list(Role))
        place = self.near()
        self.drawing.click(
            self.chance.choice(("launch", "landing", "return_point", "crew")), place.lon_deg, place.lat_deg
        )

    def draw_area(self) -> None:
        for place in (at(-200, -100), at(200, -90), self.near()):
            self.drawing.click("area", place.lon_deg, place.lat_deg)
        self.drawing.finish("area")
        self.drawing.cancel()

    def draw_beside(self) -> None:
        tool = self.chance.choice(("closure", "beneath", "standing"))
        self.figures.use(tool)
        for place in (at(-60, -50), at(70, -40), self.near())[: self.chance.choice((1, 3))]:
            self.figures.active.click(place)
        self.figures.active.finish()
        self.figures.active.cancel()
        self.answer()

    def reshape_beside(self) -> None:
        counts = {
            "closure": len(self.document.plan.restrictions),
            "beneath": len(self.document.plan.beneath),
            "standing": len(self.document.plan.stand_areas),
        }
        tool = self.chance.choice([name for name, count in counts.items() if count] or ["beneath"])
        self.figures.use(tool)
        self.figures.active.choose(self.chance.randrange(max(counts[tool], 1)))
        for phase in ("start", "move", "end"):
            self.figures.active.move(0, self.near(), phase)
        self.figures.active.insert(0, self.near())
        self.figures.active.delete(1)
        self.figures.active.cancel()

    def fly_figure(self) -> None:
        self.choose()
        kind = self.chance.choice(list(FigureKind))
        self.figures.use(kind.value)
        for _ in range(self.chance.choice((2, 3))):
            self.figures.active.click(self.near())
        self.figures.active.finish()
        self.answer()

    # Hands on table and profile

    def type_into_table(self) -> None:
        self.choose()
        model = self.window.side.points.model
        column = self.chance.choice((HEIGHT, HEIGHT, REFERENCE, LEG))
        value = {
            HEIGHT: HEIGHTS,
            REFERENCE: ("above-ground", "above-launch", "above-sea-level"),
            LEG: tuple(shape.value for shape in LegShape),
        }[column]
        model.setData(model.index(self.index(), column), self.chance.choice(value))

    def delete_rows(self) -> None:
        self.choose()
        self.window.side.points.remove.click()

    def pull_height(self) -> None:
        panel = self.window.profile_view.panel
        if not panel.plot.isVisible() or not panel.plot.handles.count:
            return
        QApplication.processEvents()
        start = panel.plot.handle_position(self.chance.randrange(panel.plot.handles.count))
        if math.isnan(start.y()):
            return
        target = panel.plot.viewport()
        QTest.mousePress(target, LEFT, NO_KEYS, start.toPoint())
        for share in (0.3, 0.7, 1.0):
            where = QPointF(start.x(), start.y() + share * self.chance.uniform(-60, 60))
            move = QMouseEvent(QEvent.Type.MouseMove, where, target.mapToGlobal(where), LEFT, LEFT, NO_KEYS)
            QApplication.sendEvent(target, move)
            QApplication.processEvents()
        if self.chance.random() < 0.2:
            QTest.keyClick(panel, Qt.Key.Key_Escape)
        QTest.mouseRelease(target, LEFT, NO_KEYS, start.toPoint())

    def arrow_keys(self) -> None:
        panel = self.window.profile_view.panel
        panel.select_point(self.index())
        if panel.selected_point is not None and panel.selected_point < panel.plot.handles.count:
            QTest.keyClick(panel, self.chance.choice((Qt.Key.Key_Up, Qt.Key.Key_Down)))

    # Hands in menus and forms

    def reshape(self) -> None:
        self.trigger("reshape")
        dialog = self.window.hands.dialog
        if dialog is not None:
            for field, texts in (
                (dialog.east, ("30 m", "-100")),
                (dialog.turn, ("90", "")),
                (dialog.scale, ("50 %", "")),
            ):
                field.edit.setText(self.chance.choice(texts))
        self.answer()

    def copy_and_paste(self) -> None:
        self.trigger("copy_points")
        if self.chance.random() < 0.4:
            QApplication.clipboard().setText(self.chance.choice(TEXTS))
        self.trigger("paste_points")

    def split(self) -> None:
        track = self.document.assessment.track
        if track is not None and self.chance.random() < 0.5:
            self.window.profile_view.panel.set_marker(self.chance.random() * track.length_m)
        self.trigger("split")
        self.window.profile_view.panel.set_marker(None)

    def make_figure(self) -> None:
        self.trigger("make_figure")
        self.answer()

    def work_on_figures(self) -> None:
        self.window.menu_actions["figures"].trigger()
        listed = self.window.doors.flown.list
        listed.list.setCurrentRow(self.chance.randrange(max(listed.list.count(), 1)))
        for button in (listed.change, self.chance.choice((listed.dissolve, listed.remove)))[
            self.chance.randint(0, 1) :
        ]:
            button.click()
            self.answer()
        listed.close()

    def undo_some(self) -> None:
        stack = self.document.undo_stack
        stack.setIndex(self.chance.randint(0, stack.count()))


IN_MENUS = ("merge", "reverse", "level", "snap_ground")
HANDS: dict[str, Callable[[Desk], None]] = {
    hand.__name__: hand
    for hand in (
        *(Desk.draw_points, Desk.drag, Desk.pull_out_of_a_leg, Desk.delete_on_map, Desk.set_down),
        *(Desk.draw_area, Desk.draw_beside, Desk.reshape_beside, Desk.fly_figure, Desk.type_into_table),
        *(Desk.pull_height, Desk.arrow_keys, Desk.reshape, Desk.copy_and_paste, Desk.split),
        *(Desk.make_figure, Desk.work_on_figures, Desk.delete_rows, Desk.undo_some),
    )
} | {key: partial(Desk.trigger, key=key) for key in IN_MENUS}


@pytest.fixture
def desk(qtbot):
    found = Desk(qtbot)
    settled(qtbot, found.document)
    found.window.bring_side()
    yield found
    found.window.stop()


@settings(
    deadline=None,
    max_examples=150 if LONG else 3,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    hands=st.lists(st.sampled_from(sorted(HANDS)), min_size=10, max_size=60 if LONG else 18),
    seed=st.integers(0, 10_000),
)
def test_all_undone_is_the_first_plan_and_all_done_again_the_last(desk, hands, seed):
    desk.begin(seed)
    for name in hands:
        HANDS[name](desk)
        QApplication.processEvents()
    document, stack = desk.document, desk.document.undo_stack
    stack.setIndex(stack.count())
    last = document.plan
    # What hands make can be written and read: the draft on the disk opens.
    assert plan_from_json(plan_to_json(last), where="text") == last
    steps = stack.count()
    for _ in range(steps):
        stack.undo()
    assert not stack.canUndo()
    assert document.plan == START
    for _ in range(steps):
        stack.redo()
    assert not stack.canRedo()
    assert document.plan == last


def active_timers() -> set[int]:
    return {
        id(one)
        for one in gc.get_objects()
        if isinstance(one, QTimer) and shiboken6.isValid(one) and one.isActive()
    }


def test_each_hand_does_something_goes_back_and_leaves_nothing_running():
    """So that the rows above are no rows of nothing; and no thread and no timer outlives the desk."""
    gc.collect()
    threads, timers = set(threading.enumerate()), active_timers()
    # The window is dissolved here, as the program does at its end.
    desk = Desk(SimpleNamespace(addWidget=lambda *_given, **_named: None))
    try:
        for name, hand in HANDS.items():
            did_something(desk, name, hand)
    finally:
        desk.window.dissolve()
    QApplication.processEvents()
    assert active_timers() <= timers
    assert {one for one in threading.enumerate() if one.is_alive()} <= threads


def did_something(desk, name, hand):
    for seed in range(12):
        desk.begin(seed)
        if name in ("work_on_figures", "reshape_beside"):
            (Desk.fly_figure if name == "work_on_figures" else Desk.draw_beside)(desk)
        before, index = desk.document.plan, desk.document.undo_stack.index()
        hand(desk)
        QApplication.processEvents()
        if desk.document.plan != before:
            break
    if name != "undo_some":
        assert desk.document.plan != before, name
        while desk.document.undo_stack.index() > index:
            desk.document.undo_stack.undo()
    else:
        desk.document.undo_stack.setIndex(index)
    assert desk.document.plan == before, name
