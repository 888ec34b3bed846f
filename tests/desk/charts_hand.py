"""Files dropped on the desk and on its charts window, as the system does it."""

from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication

from tests.desk.desk_rig import make_document, make_window, settled, small_plan

LEFT = Qt.MouseButton.LeftButton
NO_KEYS = Qt.KeyboardModifier.NoModifier


def island_desk(qtbot, answers):
    """Yield a shown desk whose plan is judged by the demo island, and close it."""
    document = make_document()
    window = make_window(qtbot, document, answers)
    document.replace(small_plan(chart_sets=("demo-island",)), None)
    window.show()
    settled(qtbot, document)
    yield window
    window.doors.charts.close()
    document.close()


def charts_of(qtbot, desk):
    """Return the desk's charts window, open, the sets at hand read."""
    desk.menu_actions["charts"].trigger()
    window = desk.doors.charts.window
    qtbot.waitUntil(lambda: bool(window.shelf.sets), timeout=20_000)
    return window


def drop(window, paths):
    """Drop files on a window as the system does: at its own handle."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    spot, copy = QPoint(200, 200), Qt.DropAction.CopyAction
    handle = window.windowHandle()
    enter = QDragEnterEvent(spot, copy, mime, LEFT, NO_KEYS)
    QGuiApplication.sendEvent(handle, enter)
    if enter.isAccepted():
        QGuiApplication.sendEvent(handle, QDropEvent(QPointF(spot), copy, mime, LEFT, NO_KEYS))
    return enter.isAccepted()


def looked_at(qtbot, charts, *paths):
    qtbot.waitUntil(lambda: tuple(file.path for file in charts.adding.files) == paths, timeout=20_000)


def bring(qtbot, charts, *paths):
    """Drop files on the window and wait until it has looked at them."""
    assert drop(charts, paths)
    looked_at(qtbot, charts, *paths)
