"""What the pilot's gestures do to figures beside the path: restrictions, what is beneath, where to stand."""

import itertools

import attrs
from PySide6.QtCore import QObject, Signal

from planner.desk.document import Document
from planner.desk.figure_guide import GUIDE
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.beneath import BeneathItem, DrawnAs
from planner.plan.edits import (
    AllowStanding,
    Edit,
    ReplaceFigure,
    ReshapeBeneath,
    ReshapeRestriction,
    ReshapeStanding,
)
from planner.plan.figures import Figure, FigureKind
from planner.plan.standing import StandArea

PART = "closure"
"""What the page calls the figure in hand, whichever it is."""
_SAME_DEG = 1e-9


class FigureHand(QObject):
    """Keeps the corners of a figure in the making, and which drawn one is in hand."""

    figure_changed = Signal()

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
        return self._points_in_hand()

    @property
    def is_line(self) -> bool:
        """Whether the figure stays open: its last point is not joined to its first."""
        return False

    def take_up(self) -> None:
        """Begin with the tool: most need no words."""

    def choose(self, index: int) -> None:
        """Take a drawn figure in hand, none with -1."""
        self.chosen = index
        self.figure_changed.emit()

    def click(self, place: Place) -> None:
        """Set a corner."""
        self.corners = (*self.corners, place)
        self.figure_changed.emit()

    def finish(self) -> None:
        """End the figure, if it can be one."""
        raise NotImplementedError

    def cancel(self) -> bool:
        """Drop the figure in the making, else let go of the drawn one; return whether there was any."""
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
        if points and changed:
            self._document.try_edit(self._reshaping(changed), merge_key=("figure", self._gesture))

    def _points_in_hand(self) -> tuple[Place, ...]:
        raise NotImplementedError

    def _reshaping(self, points: tuple[Place, ...]) -> Edit:
        raise NotImplementedError

    def _taken(self) -> tuple[Place, ...]:
        corners, self.corners = self.corners, ()
        self.figure_changed.emit()
        return corners

    def _forget(self) -> None:
        # Every hand hears of another plan: those with nothing in hand would each have all of it drawn anew.
        if self.corners or self.chosen >= 0:
            self.corners = ()
            self.chosen = -1
            self.figure_changed.emit()


class ClosureHand(FigureHand):
    """Draws temporary restrictions.

    `drawn` carries the corners of a finished outline: one is the centre of a circle.
    """

    drawn = Signal(object)

    def finish(self) -> None:
        """End the outline, if it has one corner or at least three."""
        if len(self.corners) == 2:
            self._document.message.emit(
                "Two corners bound nothing: one is the centre of a circle, three or more an outline"
            )
        elif self.corners:
            self.drawn.emit(self._taken())

    def _points_in_hand(self) -> tuple[Place, ...]:
        drawn = self._document.plan.restrictions
        found = drawn[self.chosen] if 0 <= self.chosen < len(drawn) else None
        if found is None:
            return ()
        return found.ring if found.ring is not None else (found.centre,) if found.centre else ()

    def _reshaping(self, points: tuple[Place, ...]) -> Edit:
        return ReshapeRestriction(self.chosen, points)


class BeneathHand(FigureHand):
    """Draws who and what is beneath: one click a spot, several a line, back on the first an area.

    `drawn` carries the places and how they are drawn.
    """

    drawn = Signal(object, object)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(document, parent)
        self._closed = False

    @property
    def is_line(self) -> bool:
        """Whether the figure stays open: in the making it does."""
        found = self._item()
        return bool(self.corners) or (found is not None and found.drawn_as is DrawnAs.LINE)

    def click(self, place: Place) -> None:
        """Set a corner; on the first of three or more the ring is closed."""
        self._closed = len(self.corners) >= 3 and _same(place, self.corners[0])
        if not self._closed:
            super().click(place)

    def finish(self) -> None:
        """End the figure, whatever it is."""
        if not self.corners:
            return
        closed, self._closed = self._closed, False
        places = self._taken()
        drawn_as = DrawnAs.SPOT if len(places) == 1 else DrawnAs.AREA if closed else DrawnAs.LINE
        self.drawn.emit(places, drawn_as)

    def _points_in_hand(self) -> tuple[Place, ...]:
        found = self._item()
        return found.places if found is not None else ()

    def _reshaping(self, points: tuple[Place, ...]) -> Edit:
        return ReshapeBeneath(self.chosen, points)

    def _item(self) -> BeneathItem | None:
        drawn = self._document.plan.beneath
        return drawn[self.chosen] if 0 <= self.chosen < len(drawn) else None


class StandingHand(FigureHand):
    """Draws areas in which the crew may stand."""

    def finish(self) -> None:
        """End the outline and allow it, if it has at least three corners."""
        if 0 < len(self.corners) < 3:
            self._document.message.emit("Two corners bound nothing: an area to stand in has three or more")
        elif self.corners:
            try:
                area = StandArea(self.corners)
            except PlanError as error:
                self._document.message.emit(error.one_line())
                return
            self._taken()
            self._document.try_edit(AllowStanding(area))

    def _points_in_hand(self) -> tuple[Place, ...]:
        drawn = self._document.plan.stand_areas
        return drawn[self.chosen].ring if 0 <= self.chosen < len(drawn) else ()

    def _reshaping(self, points: tuple[Place, ...]) -> Edit:
        return ReshapeStanding(self.chosen, points)


class FlownHand(FigureHand):
    """Takes the clicks that lay out a figure to be flown: its place, its other end, perhaps a way out.

    Of one that is in the plan it has the way out in hand. `drawn` carries its
    kind and the places.
    """

    drawn = Signal(object, object)
    _NEEDED, _MOST = 2, 3

    def __init__(self, kind: FigureKind, document: Document, parent: QObject | None = None) -> None:
        super().__init__(document, parent)
        self._kind = kind

    @property
    def is_line(self) -> bool:
        """What is clicked is never closed to a ring."""
        return True

    def take_up(self) -> None:
        """Say what the next click is."""
        if len(self.corners) < self._MOST:
            self._document.message.emit(GUIDE[self._kind][len(self.corners)])

    def click(self, place: Place) -> None:
        """Take a place; with the last one the figure is whole."""
        super().click(place)
        if len(self.corners) == self._MOST:
            self.finish()
        else:
            self.take_up()

    def finish(self) -> None:
        """End it, once its two places are there."""
        if len(self.corners) >= self._NEEDED:
            self.drawn.emit(self._kind, self._taken())
        elif self.corners:
            self.take_up()

    def _points_in_hand(self) -> tuple[Place, ...]:
        found = self._figure()
        return (found.bail_out,) if found is not None and found.bail_out is not None else ()

    def _reshaping(self, points: tuple[Place, ...]) -> Edit:
        found = self._figure()
        assert found is not None
        return ReplaceFigure(self.chosen, attrs.evolve(found, bail_out=points[-1]))

    def _figure(self) -> Figure | None:
        drawn = self._document.plan.figures
        return drawn[self.chosen] if 0 <= self.chosen < len(drawn) else None


class FigureHands:
    """The hands by the names of their tools; one of them holds what the map's page shows."""

    def __init__(self, document: Document, parent: QObject) -> None:
        self.closures = ClosureHand(document, parent)
        self.beneath = BeneathHand(document, parent)
        self.standing = StandingHand(document, parent)
        self.flown = tuple(FlownHand(kind, document, parent) for kind in FigureKind)
        self._of_tool: dict[str, FigureHand] = {
            "closure": self.closures,
            "beneath": self.beneath,
            "standing": self.standing,
            **dict(zip(map(str, FigureKind), self.flown, strict=True)),
        }
        self.active: FigureHand = self.closures

    @property
    def tools(self) -> tuple[str, ...]:
        """The tools that draw figures."""
        return tuple(self._of_tool)

    def all(self) -> tuple[FigureHand, ...]:
        """Return every hand."""
        return tuple(self._of_tool.values())

    def use(self, tool: str) -> None:
        """Take the hand of a tool; any other tool but moving lets go of what is in hand."""
        wanted = self._of_tool.get(tool)
        if tool != "move" and wanted is not self.active:
            self.active.cancel()
        if wanted is not None:
            self.active = wanted
            wanted.take_up()

    def take(self, hand: FigureHand, index: int) -> None:
        """Take a drawn figure in hand."""
        if hand is not self.active:
            self.active.cancel()
            self.active = hand
        hand.choose(index)


def _same(one: Place, other: Place) -> bool:
    return abs(one.lon_deg - other.lon_deg) < _SAME_DEG and abs(one.lat_deg - other.lat_deg) < _SAME_DEG
