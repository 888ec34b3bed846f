"""The frame of the window: what lies where. It shows before anything that needs the plan is loaded."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QEvent, Qt, QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QMainWindow, QSplitter, QVBoxLayout, QWidget

from planner.desk.manual.address import lead_to
from planner.desk.on_screen import FRAMED_MS, keep_on_screen
from planner.desk.style import scaled
from planner.locate import resources_dir

if TYPE_CHECKING:
    from planner.desk.map.canvas import MapCanvas

_STRIP_WIDTH = 108
_SIDE_WIDTH = 430
_SIDE_SHOWN = 470
_BARS = 110
"""Height of menus, top bar and status line together, about."""
_PLOT, _ROUND_PLOT, _WITH_STRIPS = 120, 105, 200
"""Height in which heights can be read; of legend, axis and two strips round it; and of more strips and the
readout as well."""
_MOST_LOWER, _MOST_SIDE, _EMPTY_LOWER = 0.6, 0.4, 0.3
"""Shares of the room that large text may take from the map, and the profile while it is empty."""


class DeskFrame(QMainWindow):
    """A place for each part of the desk, empty at first, and the map as soon as it is wanted."""

    def __init__(self) -> None:
        super().__init__()
        self.canvas: MapCanvas | None = None
        self.top_place, self.banner_place, self.status_place = (_place(self) for _ in range(3))
        self.strip_place, self.map_place = _place(self), _place(self)
        self.readout_place, self.profile_place = _place(self), _place(self)
        self.hour_place = _place(self)
        self.side_place = _place(self)
        self._shared_for_px = 0
        self._room_to_map = False
        self._readable = False
        self._shared_by_hand = False
        self._was_shown = False
        self.setCentralWidget(self._page())
        self.setWindowTitle("Lowline")
        self.setMinimumSize(1000, 600)
        room = self.screen().availableGeometry()
        self.resize(min(1400, room.width()), min(900, room.height()))
        self._explain()
        self.dress()

    def dress(self) -> None:
        """Give the columns at the sides the width that their words need at the size of text in use."""
        self.strip_place.setFixedWidth(scaled(_STRIP_WIDTH))
        self.side_place.setMinimumWidth(scaled(_SIDE_WIDTH))
        if self.canvas is not None:
            self.canvas.set_text(scaled(100) / 100)
        if scaled(_BARS) != self._shared_for_px:
            self._shared_for_px = scaled(_BARS)
            self._keep_readable()
            self.share_room()

    def _explain(self) -> None:
        """Say where the manual tells of each part; what has a page of its own says so itself."""
        for place, anchor in (
            (self.top_place, "verdict"),
            (self.strip_place, "tools"),
            (self.map_place, "the-map"),
            (self.readout_place, "the-readout"),
            (self.hour_place, "a-moment-of-the-window"),
            (self.side_place, "the-panel-at-the-side"),
        ):
            lead_to(place, f"the_desk#{anchor}")
        lead_to(self, "the_desk")

    def share_room(self) -> None:
        """Share the window's room among map, profile and the panel at the side, as it comes."""
        self._share_height()
        side = min(scaled(_SIDE_SHOWN), round(_MOST_SIDE * self.width()))
        self.sides.setSizes([self.width() - side, side])

    def showEvent(self, event: QShowEvent) -> None:
        """Once the window manager has put a frame about the window, keep both on the screen."""
        super().showEvent(event)
        if not self._was_shown:
            self._was_shown = True
            QTimer.singleShot(FRAMED_MS, self, lambda: keep_on_screen(self))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Share the height anew, unless that was done by hand."""
        super().resizeEvent(event)
        if not self._shared_by_hand:
            self._share_height()

    def _share_height(self) -> None:
        room = self.height() - scaled(_BARS)
        lower = max(min(_PLOT + scaled(_WITH_STRIPS), round(_MOST_LOWER * room)), round(0.4 * room))
        if self._room_to_map:
            lower = round(_EMPTY_LOWER * room)
        self.stack.setSizes([room - lower, lower])

    def leave_room_to_map(self, on: bool) -> None:
        """Give the map the profile's room, or take it back; what was chosen by hand stays.

        A profile that is read never gets lower than it can be read.
        """
        self._readable = not on
        self._keep_readable()
        if on is not self._room_to_map and not self._shared_by_hand:
            self._room_to_map = on
            self.share_room()

    def _keep_readable(self) -> None:
        self.profile_place.setMinimumHeight(_PLOT + scaled(_ROUND_PLOT) if self._readable else 0)

    def _on_shared_by_hand(self) -> None:
        self._shared_by_hand = True

    def bring_map(self) -> None:
        """Put the map into its place; its page loads by itself."""
        # Imported here: the browser view takes a moment, and not every window needs it.
        from planner.desk.map.canvas import MapCanvas

        self.canvas = MapCanvas(resources_dir() / "map_page")
        self.canvas.set_text(scaled(100) / 100)
        fill(self.map_place, self.canvas)

    def in_turn(self, act: Callable[[], object]) -> None:
        """Do what was asked for once the clicks on the map before it have been dealt with."""
        if self.canvas is None:
            act()
        else:
            self.canvas.order.after(act)

    @property
    def map_settled(self) -> bool:
        """Whether the map's page is up, or has said that it will not be."""
        return self.canvas is not None and (self.canvas.is_ready or bool(self.canvas.failure))

    def stop(self) -> None:
        """Stop everything in the background."""

    def dissolve(self) -> None:
        """Stop, and delete the window now, while the application and the browser's profile last.

        Left to the interpreter, the map's page may outlive the profile, which crashes at exit, or go on
        whichever thread collects garbage first.
        """
        self.stop()
        self.deleteLater()
        QCoreApplication.sendPostedEvents(self, QEvent.Type.DeferredDelete)

    def _page(self) -> QWidget:
        upper = _side_by_side(self.strip_place, self.map_place)
        lower = _stacked(self.readout_place, self.profile_place)
        self.stack = QSplitter(Qt.Orientation.Vertical, self)
        self.stack.addWidget(upper)
        self.stack.addWidget(lower)
        self.sides = QSplitter(Qt.Orientation.Horizontal, self)
        self.sides.addWidget(self.stack)
        self.sides.addWidget(self.side_place)
        for splitter in (self.stack, self.sides):
            splitter.setChildrenCollapsible(False)
            splitter.setStretchFactor(0, 1)
        self.stack.splitterMoved.connect(self._on_shared_by_hand)
        self.stack.setStretchFactor(0, 3)
        self.stack.setStretchFactor(1, 2)
        page = _stacked(self.top_place, self.banner_place, self.sides, self.hour_place, self.status_place)
        column = page.layout()
        assert isinstance(column, QVBoxLayout)
        column.setStretchFactor(self.sides, 1)
        return page


def fill(place: QWidget, widget: QWidget) -> None:
    """Put a widget into a place of the frame."""
    layout = place.layout()
    assert layout is not None
    layout.addWidget(widget)


def _place(parent: QWidget) -> QWidget:
    place = QWidget(parent)
    column = QVBoxLayout(place)
    column.setContentsMargins(0, 0, 0, 0)
    return place


def _side_by_side(left: QWidget, right: QWidget) -> QWidget:
    both = QWidget()
    row = QHBoxLayout(both)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(0)
    row.addWidget(left)
    row.addWidget(right, 1)
    return both


def _stacked(*widgets: QWidget) -> QWidget:
    whole = QWidget()
    column = QVBoxLayout(whole)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    for widget in widgets:
        column.addWidget(widget)
    return whole
