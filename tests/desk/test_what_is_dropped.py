"""What is dropped by real drop events and is not taken: told, never swallowed, and nothing is asked."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.plain_label import PlainLabel
from planner.desk.tidy_memory import put_pictures_away
from tests.desk.charts_hand import bring, charts_of, drop, island_desk, looked_at
from tests.desk.desk_rig import Answers
from tests.world.chart_files import CLASS_D, feature, write_geojson


@pytest.fixture
def desk(qtbot):
    yield from island_desk(qtbot, Answers())


@pytest.fixture
def charts(qtbot, desk):
    return charts_of(qtbot, desk)


@pytest.fixture
def airspace(tmp_path):
    return write_geojson(tmp_path / "some name.json", feature(**CLASS_D))


def test_what_is_dropped_and_not_taken_is_told(qtbot, desk, tmp_path):
    """Our own rule (issue 8): no act of the hand is swallowed without a word."""
    ridge, canyon = (
        Path(__file__).parents[2] / "demo_missions" / f"{name}.lowline.geojson"
        for name in ("ridge_line", "canyon_hidden")
    )
    (tmp_path / "hollow").mkdir()
    before = desk.document.path
    for paths, told in (
        ([ridge, canyon], "lowline.geojson; drop one plan by itself"),
        ([tmp_path / "hollow"], "No file in hollow"),
        ([tmp_path / "gone.kml"], "Nothing in what was dropped"),
    ):
        with qtbot.waitSignal(desk.document.message) as said:
            assert drop(desk, paths)
        assert told in said.args[0]
    assert desk.document.path == before
    assert desk.doors.charts.window is None


def test_a_plan_beside_a_chart_or_on_the_charts_window_is_not_opened_and_told_of(
    qtbot, desk, charts, airspace
):
    """Our own rule (issue 8): no act of the hand is swallowed without a word."""
    plan = Path(__file__).parents[2] / "demo_missions" / "ridge_line.lowline.geojson"
    assert drop(charts, [plan])
    qtbot.waitUntil(lambda: "Not opened: ridge_line.lowline.geojson" in charts.result.text())
    charts.result.setText("")
    assert drop(desk, [airspace, plan])
    looked_at(qtbot, charts, airspace)
    assert "Not opened: ridge_line.lowline.geojson" in charts.result.text()
    assert desk.document.path != plan


def test_charts_are_dropped_on_their_window_after_it_was_closed_and_put_away(qtbot, charts, airspace):
    charts.close()
    put_pictures_away()
    assert charts.windowHandle() is None
    charts.show()
    qtbot.waitExposed(charts)
    assert drop(charts, [airspace])
    looked_at(qtbot, charts, airspace)


def test_a_dropped_file_that_is_no_chart_asks_for_nothing(qtbot, desk, tmp_path):
    """KML 2.3 (OGC 12-007r2): a path is a LineString, its fields name and description."""
    line = tmp_path / "line.kml"
    line.write_text(
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>a way</name><LineString>'
        "<coordinates>-150.2,37.8 -150.1,37.8</coordinates></LineString></Placemark></Document></kml>"
    )
    empty = write_geojson(tmp_path / "empty.geojson")
    for file in (line, empty):
        with qtbot.waitSignal(desk.document.message, timeout=20_000) as said:
            assert drop(desk, [file])
        assert f"Not known as a chart, and no plan of this program: {file.name}." in said.args[0]
    assert desk.doors.charts.window is None


def test_on_the_charts_window_no_set_is_asked_for_before_a_chart_is_known(qtbot, charts, tmp_path):
    empty = write_geojson(tmp_path / "empty.geojson")
    words = tmp_path / "words.pdf"
    words.write_text("no chart")
    bring(qtbot, charts, empty, words)
    assert charts.dialog is None
    told = charts.adding.list.text()
    assert "empty.geojson: nothing in it tells what it is: no feature has an attribute" in told
    assert "words.pdf: no kind of file" in told


@pytest.mark.parametrize("way", ["drop", "escape", "click"])
def test_the_veil_goes_though_who_dragged_is_gone(qtbot, desk, way):
    """Our own rule: a file manager that ends while it is let go sends a drop without files, or nothing."""
    desk.show()
    handle = desk.windowHandle()
    files, nothing = QMimeData(), QMimeData()
    files.setUrls([QUrl.fromLocalFile(__file__)])
    QApplication.sendEvent(handle, dragged(QDragEnterEvent, QPoint(200, 200), files))
    veil = desk.findChild(PlainLabel, "drop_veil")
    assert veil.isVisible()
    if way == "drop":
        QApplication.sendEvent(handle, dragged(QDropEvent, QPointF(200, 200), nothing))
    elif way == "escape":
        QTest.keyClick(handle, Qt.Key.Key_Escape)
    else:
        QTest.mouseClick(handle, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    assert not veil.isVisible()


def dragged(kind, at, data):
    return kind(at, Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
