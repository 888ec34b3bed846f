"""A hand on the profile: real mouse events at distances and heights instead of pixels."""

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

LEFT = Qt.MouseButton.LeftButton


def at(panel, distance_m, height_ft=None):
    scale, box = panel.plot.view.scale_now, panel.plot.plot_box()
    y = box.height() / 2 if height_ft is None else scale.y_px(height_ft)
    return QPoint(round(box.left() + scale.x_px(distance_m)), round(box.top() + y))


def handle(panel, index):
    return panel.plot.handle_position(index).toPoint()


def pull(panel, index, by_px, steps=4, keys=Qt.KeyboardModifier.NoModifier):
    """Pull with the mouse; Shift held keeps the ceiling from catching."""
    start, target = handle(panel, index), panel.plot.viewport()
    QTest.mousePress(target, LEFT, keys, start)
    for step in range(1, steps + 1):
        at_px = QPointF(start + QPoint(0, round(by_px * step / steps)))
        # QTest's own move carries no keys.
        move = QMouseEvent(
            QEvent.Type.MouseMove, at_px, target.mapToGlobal(at_px), Qt.MouseButton.NoButton, LEFT, keys
        )
        QApplication.sendEvent(target, move)
        QApplication.processEvents()
    return start + QPoint(0, by_px)
