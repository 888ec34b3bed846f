"""What the pilot's gestures on the map do to the plan."""

import itertools
from typing import Final

import attrs
import numpy as np
from PySide6.QtCore import QObject, Signal

from planner.desk.document import Document
from planner.desk.whom_to_place import form_at_hand, more_to_place, place_line, whom_to_place
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, Height
from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.edits import (
    AddCrew,
    AppendPoint,
    DeleteAreaCorner,
    DeletePoint,
    Edit,
    InsertAreaCorner,
    InsertPoint,
    MoveAreaCorner,
    MoveCrew,
    MovePoint,
    PlacePoints,
    RemoveCrew,
    ReplaceArea,
    SetLanding,
    SetLaunch,
    SetLegShape,
    SetReturnPoint,
)
from planner.plan.geometry import Leg, LegShape

FIRST_HEIGHT_M = 30.0
_SEVERAL = 2
_SPOTS: Final[dict[str, type[SetLaunch | SetLanding | SetReturnPoint]]] = {
    "launch": SetLaunch,
    "landing": SetLanding,
    "return_point": SetReturnPoint,
}


class DrawingHand(QObject):
    """Turns clicks and drags into edits; keeps the corners of an area in the making.

    `figure_changed` tells that those corners changed; `picked` which part and
    index was chosen ('' for none).
    """

    figure_changed = Signal()
    picked = Signal(str, int)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._gesture: int | None = None
        self._began_with_insertion = False
        self._numbers = itertools.count(1)
        self.corners: tuple[Place, ...] = ()
        self.leg_shape = LegShape.FOLLOW_GROUND
        self.role = Role.REMOTE_PILOT
        self._role_chosen = self._insists = False
        self._at_hand = ""
        self.group: tuple[int, ...] = ()
        """Points of the path that are chosen together: a drag of one moves them all."""
        self._grouped_from: dict[int, Place] = {}
        document.replaced.connect(self.cancel)

    def click(self, tool: str, lon_deg: float, lat_deg: float) -> bool:
        """Set something where the pilot clicked; return whether that is all the tool is for."""
        place = place_on_map(lon_deg, lat_deg)
        if tool in _SPOTS:
            return self._document.try_edit(_SPOTS[tool](place))
        if tool == "crew":
            return self._place_crew(place)
        if tool == "path":
            self._append(place)
        elif tool == "area":
            self._add_corner(place)
        return False

    def finish(self, tool: str) -> None:
        """Close the area in the making, if it has enough corners."""
        if tool != "area" or not self.corners:
            return
        if len(self.corners) < 3:
            self._document.message.emit(
                "An area needs at least three corners: click on, or Escape to drop it"
            )
            return
        top: Height | None = None if self._document.plan.path else AboveGround(FIRST_HEIGHT_M)
        if self._document.try_edit(ReplaceArea(self.corners, top)):
            self.cancel()

    def cancel(self) -> None:
        """Drop the area in the making."""
        if self.corners:
            self.corners = ()
            self.figure_changed.emit()

    def move(self, part: str, index: int, lon_deg: float, lat_deg: float, phase: str) -> None:
        """Follow a drag; all of it is one step of undoing."""
        if self._gesture is None or (phase == "start" and not self._began_with_insertion):
            self._gesture = next(self._numbers)
            self._grouped_from = self._grouped(part, index)
        self._began_with_insertion = False
        place = place_on_map(lon_deg, lat_deg)
        if part == "area" and self.corners:
            self._move_corner(index, place)
        else:
            edit = self._moving(part, index, place)
            if edit is not None:
                self._document.try_edit(edit, merge_key=("map", self._gesture))
        if phase == "end":
            self._gesture = None

    def insert(self, part: str, after: int, lon_deg: float, lat_deg: float) -> None:
        """Add a point in the middle of an edge; the drag that follows belongs to it."""
        self._gesture = next(self._numbers)
        self._grouped_from = {}
        self._began_with_insertion = True
        place = place_on_map(lon_deg, lat_deg)
        if part == "area" and self.corners:
            self.corners = (*self.corners[: after + 1], place, *self.corners[after + 1 :])
            self.figure_changed.emit()
            return
        edit: Edit = InsertPoint(after + 1, place) if part == "path" else InsertAreaCorner(after + 1, place)
        self._document.try_edit(edit, merge_key=("map", self._gesture))

    def delete(self, part: str, index: int) -> None:
        """Delete what the pilot pointed at."""
        if part == "area" and self.corners:
            self.corners = (*self.corners[:index], *self.corners[index + 1 :])
            self.figure_changed.emit()
            return
        edit = self._deleting(part, index)
        if edit is not None and self._document.try_edit(edit):
            self.picked.emit("", -1)

    def _append(self, place: Place) -> None:
        path = self._document.plan.path
        key = ("append", next(self._numbers))
        speed = path[-1].leg.speed_mps if path else None
        height = None if path else AboveGround(FIRST_HEIGHT_M)
        edit = AppendPoint(place, height, Leg(self.leg_shape, speed), number=len(path) + 1)
        added = self._document.try_edit(edit, merge_key=key)
        if added and path and path[-1].leg.shape is not self.leg_shape:
            self._document.try_edit(SetLegShape((len(path) - 1,), self.leg_shape), merge_key=key)

    def _add_corner(self, place: Place) -> None:
        area = self._document.plan.area
        if area is not None and not self.corners:
            self._document.try_edit(InsertAreaCorner(len(area.ring), place))
            return
        self.corners = (*self.corners, place)
        self.figure_changed.emit()

    def _move_corner(self, index: int, place: Place) -> None:
        if 0 <= index < len(self.corners):
            self.corners = (*self.corners[:index], place, *self.corners[index + 1 :])
            self.figure_changed.emit()

    def _moving(self, part: str, index: int, place: Place) -> Edit | None:
        match part:
            case "path":
                return self._moving_point(index, place)
            case "area":
                return MoveAreaCorner(index, place)
            case "launch":
                return SetLaunch(place)
            case "landing":
                return SetLanding(place)
            case "return_point":
                return SetReturnPoint(place)
            case "crew":
                key = self._crew_key(index)
                return MoveCrew(key, place) if key else None
        return None

    def _grouped(self, part: str, index: int) -> dict[int, Place]:
        path = self._document.plan.path
        together = part == "path" and index in self.group
        return {one: path[one].place for one in self.group if together and one < len(path)}

    def _moving_point(self, index: int, place: Place) -> Edit:
        began = self._grouped_from
        if len(began) < _SEVERAL or index not in began:
            return MovePoint(index, place)
        to = LocalFrame(began[index]).forward(np.array([place.lon_deg]), np.array([place.lat_deg]))
        east_m, north_m = float(to[0][0]), float(to[1][0])
        there = {
            one: place if one == index else LocalFrame(before).xy_to_place(east_m, north_m)
            for one, before in began.items()
        }
        there = began if place == began[index] else there
        return PlacePoints(tuple(there), tuple(there.values()))

    def _deleting(self, part: str, index: int) -> Edit | None:
        match part:
            case "path":
                return DeletePoint(index)
            case "area":
                return DeleteAreaCorner(index)
            case "launch":
                return SetLaunch(None)
            case "landing":
                return SetLanding(None)
            case "return_point":
                return SetReturnPoint(None)
            case "crew":
                key = self._crew_key(index)
                return RemoveCrew(key) if key else None
        return None

    def _crew_key(self, index: int) -> str:
        shown = [member for member in self._document.plan.crew if member.place]
        return shown[index].key if 0 <= index < len(shown) else ""

    def choose_role(self, role: Role) -> None:
        """Let the tool that is taken up next place somebody of this role, whoever else waits for a place."""
        self.role, self._role_chosen = role, True

    def take_up_crew(self) -> None:
        """Say whom the next click places."""
        self._insists, self._role_chosen = self._role_chosen, False
        self._at_hand = form_at_hand()
        self._say_whom()

    def _whom(self) -> CrewMember:
        return whom_to_place(self._document, self.role, insists=self._insists, at_hand=self._at_hand)

    def _say_whom(self) -> None:
        self._document.message.emit(place_line(self._document, self._whom()))

    def _place_crew(self, place: Place) -> bool:
        whom = self._whom()
        known = whom in self._document.plan.crew
        edit = MoveCrew(whom.key, place) if known else AddCrew(attrs.evolve(whom, place=place))
        if not self._document.try_edit(edit):
            return False
        if more_to_place(self._document, self.role, insists=self._insists):
            self._say_whom()
            return False
        return True


def place_on_map(lon_deg: float, lat_deg: float) -> Place:
    """Return a place for a position on a map that may have been wound round the earth."""
    turned = (lon_deg + 180.0) % 360.0 - 180.0
    return Place(turned, max(-85.0, min(85.0, lat_deg)))
