"""One map canvas for all tests of the map: starting a browser view for each would take long."""

import time

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog

from planner.desk.map import MapCanvas
from planner.locate import resources_dir
from tests.desk.map_hand import Hand, Heard, plan


@pytest.fixture(autouse=True)
def _nothing_stays_in_view():
    """Hide dialogs that a test leaves open: they would catch the pointer over windows of the next ones."""
    yield
    if QApplication.instance() is not None:
        for left in QApplication.topLevelWidgets():
            if isinstance(left, QDialog):
                left.hide()


@pytest.fixture
def fresh_canvas(qtbot):
    """Give a canvas of the test's own, not yet shown or ready."""
    canvas = MapCanvas(resources_dir() / "map_page")
    qtbot.addWidget(canvas)
    return canvas


@pytest.fixture(scope="session")
def _shared_canvas(qapp):
    canvas = MapCanvas(resources_dir() / "map_page")
    canvas.resize(800, 600)
    canvas.show()
    deadline_s = time.monotonic() + 30
    while not canvas.is_ready and time.monotonic() < deadline_s:
        QTest.qWait(10)
    assert canvas.is_ready, "the map page did not come up"
    yield canvas
    canvas.close()
    canvas.deleteLater()
    QTest.qWait(50)


@pytest.fixture
def canvas(_shared_canvas):
    """Give the canvas as new: nothing drawn, a piece of open ocean in view, the pointer in a corner."""
    _shared_canvas.show()
    _shared_canvas.set_plan(plan())
    _shared_canvas.set_tool("move")
    _shared_canvas.set_layers([])
    _shared_canvas.set_rings([])
    _shared_canvas.set_flight({"spots": [], "ways": []})
    _shared_canvas.set_marker(None)
    _shared_canvas.highlight(None)
    _shared_canvas.set_notice("")
    _shared_canvas.fit(-150.22, 37.79, -150.18, 37.81)
    QTest.mouseMove(_shared_canvas.focusProxy(), QPoint(3, 3))
    QTest.qWait(150)
    yield _shared_canvas
    # Left in view it would catch the pointer's moves over windows of other tests.
    _shared_canvas.hide()


@pytest.fixture
def hand(qtbot, canvas):
    return Hand(qtbot, canvas)


@pytest.fixture
def heard(canvas):
    recorder = Heard(canvas)
    yield recorder
    recorder.stop()


@pytest.fixture
def heard_only(canvas):
    """Give an ear that never acknowledges."""
    recorder = Heard(canvas, acknowledging=False)
    yield recorder
    recorder.stop()


@pytest.fixture
def wire(canvas):
    """Connect a signal of the shared canvas for this test only."""
    connections = []
    yield lambda signal, slot: connections.append(signal.connect(slot))
    for connection in connections:
        canvas.disconnect(connection)
