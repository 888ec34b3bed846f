"""Keep a page still under the hand while parts of it grow and shrink."""

from PySide6.QtCore import QEvent, QObject, QPoint
from PySide6.QtWidgets import QApplication, QScrollArea, QVBoxLayout, QWidget


class StillPage(QObject):
    """Holds what has the focus, else what is under the pointer, where it stands in the view.

    What the page can't be scrolled by, being at its beginning, is left free in `room`, and
    given back as soon as it is out of sight or nobody is at the page any more.

    Parameters
    ----------
    area, page : what scrolls, and what is scrolled in it.
    column : the page's column.
    room : a widget of the column, below the first thing that changes and above all that is to be held.
    """

    def __init__(self, area: QScrollArea, page: QWidget, column: QVBoxLayout, room: QWidget) -> None:
        super().__init__(area)
        self._area, self._page, self._column, self._room = area, page, column, room
        room.setFixedHeight(0)
        self._held: tuple[QWidget, ...] = ()
        self._seen_px = 0
        self._free_px = 0
        self._holding = False
        bar = area.verticalScrollBar()
        bar.rangeChanged.connect(self.hold)
        bar.valueChanged.connect(self._on_scrolled)
        self._page.installEventFilter(self)
        QApplication.instance().focusChanged.connect(self._on_focus)  # type: ignore[union-attr]

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Hold as soon as the page lays itself out anew."""
        if event.type() is QEvent.Type.LayoutRequest and watched is self._page:
            self.hold()
        return False

    def look(self) -> None:
        """Take note of what is at hand, and where: before something changes."""
        if QApplication.activePopupWidget() is not None:
            # The list that is open has the focus; what it belongs to is at hand still.
            return
        at = self._at_hand()
        if at is None:
            self.let_go()
        elif not self._held or at is not self._held[0]:
            self._held = (at, *self._parents(at))
            self._seen_px = at.mapTo(self._area.viewport(), QPoint()).y()

    def hold(self) -> None:
        """Bring what was noted back to where it was seen."""
        held = next((one for one in self._held if _is_shown(one)), None)
        if held is None or self._holding:
            return
        self._holding = True
        self._column.activate()
        scroll_px = held.mapTo(self._page, QPoint()).y() - self._free_px - self._seen_px
        self._leave_free(max(-scroll_px, 0))
        self._area.verticalScrollBar().setValue(max(scroll_px, 0))
        self._holding = False

    def let_go(self) -> None:
        """Hold nothing, and leave no room free."""
        self._held = ()
        self._leave_free(0)

    def _on_scrolled(self) -> None:
        if not self._holding:
            self._held = ()
            if self._area.isVisible() and self._at_hand() is not None:
                self.look()

    def _on_focus(self, _old: QWidget | None, now: QWidget | None) -> None:
        if now is not None and self._area.isVisible() and self._page.isAncestorOf(now):
            self.look()

    def _leave_free(self, height_px: int) -> None:
        if height_px != self._free_px:
            self._free_px = height_px
            self._room.setFixedHeight(height_px)
            self._column.activate()

    def _at_hand(self) -> QWidget | None:
        for widget in (QApplication.focusWidget(), self._under_pointer()):
            if widget is not None and self._page.isAncestorOf(widget) and self._is_below(widget):
                return widget
        return None

    def _under_pointer(self) -> QWidget | None:
        if not self._page.underMouse():
            return None
        return self._page.childAt(self._page.mapFromGlobal(self._page.cursor().pos()))

    def _is_below(self, widget: QWidget) -> bool:
        return widget.mapTo(self._page, QPoint()).y() >= self._room.y()

    def _parents(self, widget: QWidget) -> list[QWidget]:
        parents = []
        while (parent := widget.parentWidget()) is not None and parent is not self._page:
            parents.append(parent)
            widget = parent
        return parents


def _is_shown(widget: QWidget) -> bool:
    try:
        return widget.isVisible()
    except RuntimeError:
        return False  # Its row is gone.
