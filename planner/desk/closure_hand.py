"""What the pilot's gestures on the map do to temporary restrictions."""

import itertools

from PySide6.QtCore import QObject, Signal

from planner.desk.document import Document
from planner.geo.place import Place
from planner.plan.edits import ReshapeRestriction
from planner.plan.restrictions import TemporaryRestriction

PART = "closure"


class ClosureHand(QObject):
    """Keeps the corners of a restriction in the making, and which drawn one is in hand.

    `drawn` carries the corners of a finished outline: one is the centre of a circle.
    """

    figure_changed = Signal()
    drawn = Signal(object)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._gestures = itertools.count(1)
        self._gesture = 0
        self.corners: tuple[Place, ...] = ()
        self.chosen = -1
        document.replaced.connect(self._forget)

    def shown(self) -> tuple[Place, ...]:
        """Return the points that can be taken hold of."""
        if self.corners:
            return self.corners
        found = self._in_hand()
        if found is None:
            return ()
        return found.ring if found.ring is not None else (found.centre,) if found.centre else ()

    def choose(self, index: int) -> None:
        """Take a drawn restriction in hand, none with -1."""
        self.chosen = index
        self.figure_changed.emit()

    def click(self, place: Place) -> None:
        """Set a corner."""
        self.corners = (*self.corners, place)
        self.figure_changed.emit()

    def finish(self) -> None:
        """End the outline, if it has one corner or at least three."""
        if not self.corners:
            return
        if len(self.corners) == 2:
            self._document.message.emit(
                "Two corners bound nothing: one is the centre of a circle, three or more an outline"
            )
            return
        corners, self.corners = self.corners, ()
        self.figure_changed.emit()
        self.drawn.emit(corners)

    def cancel(self) -> bool:
        """Drop the outline in the making, else let go of the drawn one; return whether there was any."""
        had = bool(self.corners) or self.chosen >= 0
        self._forget()
        return had

    def move(self, index: int, place: Place, phase: str) -> None:
        """Follow a drag; all of it is one step of undoing."""
        if phase == "start" or not self._gesture:
            self._gesture = next(self._gestures)
        self._change(index, (place,), 1)
        if phase == "end":
            self._gesture = 0

    def insert(self, after: int, place: Place) -> None:
        """Add a corner in the middle of an edge."""
        self._gesture = next(self._gestures)
        self._change(after + 1, (place,), 0)

    def delete(self, index: int) -> None:
        """Take a corner away."""
        self._gesture = next(self._gestures)
        self._change(index, (), 1)
        self._gesture = 0

    def _change(self, index: int, new: tuple[Place, ...], instead_of: int) -> None:
        points = self.shown()
        if not 0 <= index <= len(points):
            return
        changed = (*points[:index], *new, *points[index + instead_of :])
        if self.corners:
            self.corners = changed
            self.figure_changed.emit()
            return
        found = self._in_hand()
        if found is None or not changed:
            return
        edit = ReshapeRestriction(self.chosen, changed)
        self._document.try_edit(edit, merge_key=("closure", self._gesture))

    def _in_hand(self) -> TemporaryRestriction | None:
        drawn = self._document.plan.restrictions
        return drawn[self.chosen] if 0 <= self.chosen < len(drawn) else None

    def _forget(self) -> None:
        self.corners = ()
        self.chosen = -1
        self.figure_changed.emit()
