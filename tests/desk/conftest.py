"""One map canvas for all tests of the map: starting a browser view for each would take long."""

import time

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog

from planner.desk import palette
from planner.desk.map import MapCanvas
from planner.desk.profile.panel import ProfilePanel
from planner.desk.style import dress
from planner.locate import resources_dir
from tests.bench.profile_scene import build
from tests.desk.desk_rig import make_document, make_window, settled, small_plan
from tests.desk.form_hand import open_all_parts
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
def document(qtbot):
    """Give a document with a small plan in the open ocean, judged without any chart."""
    made = make_document()
    made.replace(small_plan(), None)
    settled(qtbot, made)
    yield made
    made.close()


@pytest.fixture
def side(qtbot, document):
    """Give the panel at the side of a shown window, all parts of its form open."""
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    window.activateWindow()
    open_all_parts(window.side.plan)
    return window.side


@pytest.fixture
def fresh_canvas(qtbot):
    """Give a canvas of the test's own, not yet shown or ready."""
    canvas = MapCanvas(resources_dir() / "map_page")
    qtbot.addWidget(canvas)
    return canvas


@pytest.fixture(scope="session")
def scene():
    """Give an assessment whose profile has a mast and a void in it."""
    return build(1200)


@pytest.fixture
def panel(qtbot, scene):
    """Give the profile panel, shown, with that assessment."""
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    panel.resize(1040, 340)
    panel.show()
    qtbot.waitExposed(panel)
    panel.show_assessment(scene)
    QApplication.processEvents()
    return panel


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
def heard_only(canvas, hand):
    """Give an ear that never acknowledges."""
    hand.waits_for_answers = False
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


@pytest.fixture
def dressed(qapp):
    """Let the application wear its look, and take it off again."""
    font, colours = qapp.font(), qapp.palette()
    dress(qapp)
    yield
    palette.put_on(qapp, "light")
    qapp.setStyleSheet("")
    qapp.setFont(font)
    qapp.setPalette(colours)
