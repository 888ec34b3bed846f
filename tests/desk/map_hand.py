"""A hand on the map and an ear on its signals: real mouse and key events, places instead of pixels."""

import json
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest

GESTURES = (
    "clicked",
    "probed",
    "finished",
    "cancelled",
    "vertex_moved",
    "vertex_inserted",
    "vertex_deleted",
    "vertex_selected",
    "vertex_toggled",
    "path_hovered",
    "hover_left",
    "pointer",
    "view_changed",
)
EDITS = ("vertex_moved", "vertex_inserted")
LEFT = Qt.MouseButton.LeftButton
NO_KEYS = Qt.KeyboardModifier.NoModifier


def plan(**parts):
    """Give a payload for `set_plan` with only these parts in it."""
    empty = {
        "area": [],
        "path": [],
        "path_marks": [],
        "launch": None,
        "landing": None,
        "return_point": None,
        "crew": [],
    }
    return {**empty, "selected": None, **parts}


def marks(coords, *kinds):
    legs = enumerate(zip(pairwise(coords), kinds, strict=True))
    return [{"from": leg, "coords": list(ends), "mark": kind} for leg, (ends, kind) in legs]


class Heard:
    """Every gesture the canvas reports, in order; acknowledges edits at once unless told not to."""

    def __init__(self, canvas, acknowledging=True):
        self.all = []
        self._canvas = canvas
        self._acknowledging = acknowledging
        self._connections = [getattr(canvas, name).connect(self._noting(name)) for name in GESTURES]

    def of(self, *names):
        return [one for one in self.all if one[0] in names]

    def phases(self):
        return [move[-1] for move in self.of("vertex_moved")]

    def to_its_end(self, hand, drags=1):
        """Wait until so many drags have told their end, which comes once their moves are dealt with."""
        hand.wait_until(lambda: self.phases().count("end") == drags and self.phases()[-1] == "end")

    def stop(self):
        for connection in self._connections:
            self._canvas.disconnect(connection)

    def _noting(self, name):
        def note(*args):
            self.all.append((name, *args))
            if name in EDITS and self._acknowledging:
                self._canvas.acknowledge()

        return note


class Hand:
    """Points at longitude and latitude, presses real buttons and keys."""

    def __init__(self, qtbot, canvas):
        self._qtbot = qtbot
        self._canvas = canvas
        self._target = canvas.focusProxy()
        self.waits_for_answers = True

    def at(self, place, dx=0, dy=0):
        found = []
        self._canvas.point_on_screen(*place, lambda x, y: found.append((x, y)))
        self._qtbot.waitUntil(lambda: bool(found))
        return QPoint(round(found[0][0]) + dx, round(found[0][1]) + dy)

    def heard_of(self):
        """Wait until the page, busy as the machine may be, has dealt with what it was given before."""
        answers = []
        self._canvas.page.runJavaScript("1", answers.append)
        self._qtbot.waitUntil(lambda: bool(answers), timeout=10_000)
        if self.waits_for_answers:
            self.wait_until(lambda: not self._canvas.order.waits)

    def wait_until(self, so):
        """Wait until something is so, however busy the machine."""
        self._qtbot.waitUntil(so, timeout=10_000)

    def move(self, point):
        QTest.mouseMove(self._target, point)
        QTest.qWait(25)

    def click(self, place, button=LEFT):
        point = self.at(place)
        self.move(point)
        QTest.mouseClick(self._target, button, NO_KEYS, point)
        QTest.qWait(40)
        self.heard_of()

    def double_click(self, place):
        # Sent to the window: a widget gets only the second half of a double click from QTest.
        point = self._target.mapTo(self._canvas.window(), self.at(place))
        QTest.mouseDClick(self._canvas.window().windowHandle(), LEFT, NO_KEYS, point)
        QTest.qWait(60)
        self.heard_of()

    def click_with(self, keys, place):
        point = self.at(place)
        self.move(point)
        QTest.mouseClick(self._target, LEFT, keys, point)
        QTest.qWait(60)
        self.heard_of()

    def press(self, point):
        self.move(point)
        QTest.mousePress(self._target, LEFT, NO_KEYS, point)
        QTest.qWait(40)
        self.heard_of()

    def release(self, point):
        QTest.mouseRelease(self._target, LEFT, NO_KEYS, point)
        QTest.qWait(60)
        self.heard_of()

    def drag(self, start, end, steps=8):
        self.press(start)
        for step in range(1, steps + 1):
            self.move(start + (end - start) * (step / steps))
        self.release(end)

    def key(self, key):
        QTest.keyClick(self._target, key)
        QTest.qWait(60)
        self.heard_of()


def page_value(qtbot, canvas, expression):
    """Evaluate an expression of the test's own in the page."""
    answers = []
    canvas.page.runJavaScript(f"JSON.stringify({expression})", answers.append)
    qtbot.waitUntil(lambda: bool(answers), timeout=10_000)
    return json.loads(answers[0])


def each_element(qtbot, canvas, selector, value):
    """Evaluate one JavaScript expression of `e` for each element that matches."""
    expression = f"Array.from(document.querySelectorAll({json.dumps(selector)}), e => {value})"
    return page_value(qtbot, canvas, expression)


def boxes(qtbot, canvas, selector):
    """Left, top, right and bottom of each element [px]."""
    side = "(b => [b.left, b.top, b.right, b.bottom])(e.getBoundingClientRect())"
    return each_element(qtbot, canvas, selector, side)


def drawn(qtbot, canvas, pane, dash=None):
    """Courses of the SVG paths in one pane, optionally those of one dash pattern only."""
    selector = f".leaflet-{pane}-pane path" + (f'[stroke-dasharray="{dash}"]' if dash else "")
    courses = each_element(qtbot, canvas, selector, "e.getAttribute('d')")
    return [course for course in courses if course not in (None, "", "M0 0")]


def words(qtbot, canvas):
    return each_element(qtbot, canvas, ".map-label", "e.textContent")


def inked(canvas, colour, tolerance=40):
    """Count pixels of about this colour in a picture of the widget, of every fourth."""
    QTest.qWait(300)
    away = np.abs(shades(canvas.grab().toImage())[::2, ::2, :3] - QColor(colour).getRgb()[:3])
    return int((away <= tolerance).all(axis=2).sum())


def shades(image):
    """Give red, green, blue and alpha of every pixel, rows first."""
    plain = image.convertToFormat(QImage.Format.Format_RGBA8888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    return rows[:, : 4 * plain.width()].reshape(plain.height(), plain.width(), 4).astype(int)
