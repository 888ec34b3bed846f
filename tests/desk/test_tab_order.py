"""Tab goes through every form as it is read, reaches all of it, comes round again, and its ring is seen."""

from itertools import pairwise

from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QScrollBar, QTabBar, QWidget

from planner.desk.style import dress
from planner.settings import APPEARANCES, Settings
from tests.desk.form_hand import open_all_parts
from tests.desk.map_hand import shades
from tests.desk.test_reach import desk, shut_all, ways_in

__all__ = ["desk"]
FORMS = (
    *("another_day", "preferences", "reshape", "restriction", "event", "beneath", "record", "draft"),
    *("dive", "orbit", "gap", "pass", "rule", "fix", "figures", "compare", "history", "crossing"),
)
_MOST = 400


def can_be_reached(within: QWidget) -> list[QWidget]:
    """Return what shows there, works, and takes the focus by Tab."""
    return [
        one
        for one in within.findChildren(QWidget)
        if one.isVisibleTo(within)
        and one.isEnabled()
        and one.focusPolicy() & Qt.FocusPolicy.TabFocus
        and one.focusProxy() is None
        and not isinstance(one, QScrollBar | QTabBar)
        and not isinstance(one.parentWidget(), QComboBox)
    ]


def walked(first: QWidget, within: QWidget) -> list[QWidget]:
    """Press Tab from a widget on until it leaves what holds it or comes round; return what had the focus."""
    first.setFocus(Qt.FocusReason.TabFocusReason)
    visited = [first]
    for _ in range(_MOST):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        now = QApplication.focusWidget()
        if now is None or now in visited or not within.isAncestorOf(now):
            return visited
        visited.append(now)
    raise AssertionError("Tab never comes round")


def box_of(widget: QWidget, within: QWidget):
    at = widget.mapTo(within, QPoint(0, 0))
    return at.x(), at.y(), widget.width(), widget.height()


def out_of_order(visited: list[QWidget], within: QWidget) -> list[str]:
    """Return each step that leads up, or to the left in one line."""
    wrong = []
    for one, other in pairwise(visited):
        (x, y, _w, h), (x2, y2, _w2, h2) = box_of(one, within), box_of(other, within)
        overlap = min(y + h, y2 + h2) - max(y, y2)
        one_line = overlap > 0.5 * min(h, h2)
        if (one_line and x2 < x) or (not one_line and y2 < y):
            wrong.append(f"{told(one)} at {x},{y} -> {told(other)} at {x2},{y2}")
    return wrong


def told(widget: QWidget) -> str:
    return f"{type(widget).__name__} {widget.accessibleName() or getattr(widget, 'text', str)()}"


def windows_of(desk_, name):
    before = {one for one in QApplication.topLevelWidgets() if one.isVisible()}
    ways_in(desk_)[name]()
    QApplication.processEvents()
    return [one for one in QApplication.topLevelWidgets() if one.isVisible() and one not in before]


def test_tab_goes_through_every_window_as_it_is_read(desk, qtbot):
    wrong = []
    for name in FORMS:
        opened = windows_of(desk, name)
        assert opened, name
        for window in opened:
            window.activateWindow()
            qtbot.waitUntil(window.isActiveWindow)
            wanted = can_be_reached(window)
            top = min(wanted, key=lambda one: (box_of(one, window)[1] // 12, box_of(one, window)[0]))
            visited = walked(top, window)
            wrong += [f"{name}: never {told(one)}" for one in wanted if one not in visited]
            wrong += [f"{name}: {step}" for step in out_of_order(visited, window)]
        shut_all()
    assert wrong == []


def test_tab_goes_through_the_plans_form_as_it_is_read(desk, qtbot):
    form = desk.window.side.plan
    desk.window.side.go_to("plan")
    desk.window.activateWindow()
    qtbot.waitUntil(desk.window.isActiveWindow)
    open_all_parts(form)
    qtbot.waitUntil(lambda: form.verticalScrollBar().maximum() > 1_000)
    page = form.widget()
    wanted = can_be_reached(page)
    visited = walked(form.all, page)
    assert {told(one) for one in wanted if one not in visited} == set()
    assert out_of_order(visited, page) == []
    # Out of it again, by Tab from its last.
    QTest.keyClick(visited[-1], Qt.Key.Key_Tab)
    assert not page.isAncestorOf(QApplication.focusWidget())


def test_what_has_the_focus_looks_otherwise_in_each_look(desk, dressed, qtbot, qapp):
    form = desk.window.side.plan
    desk.window.side.go_to("plan")
    open_all_parts(form)
    desk.window.activateWindow()
    qtbot.waitUntil(desk.window.isActiveWindow)
    kinds = {}
    for one in can_be_reached(form.widget()):
        kinds.setdefault((type(one).__name__, one.property("kind")), one)
    assert len(kinds) >= 5
    for appearance in APPEARANCES:
        dress(qapp, Settings(appearance=appearance))
        assert (appearance, [kind for kind, one in kinds.items() if not ring_px(one)]) == (appearance, [])


def ring_px(widget: QWidget) -> int:
    """Return how many pixels the focus changes, a blinking cursor left out."""
    widget.clearFocus()
    QApplication.processEvents()
    plain = shades(widget.grab().toImage())
    widget.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    ringed = shades(widget.grab().toImage())
    changed = int((plain != ringed)[:, :60].any(axis=2).sum())
    return changed if changed >= 25 else 0
