"""Points chosen together, turned and scaled by hand: what the map's ring reports becomes one step."""

import itertools
from typing import TYPE_CHECKING, Any

import numpy as np
from PySide6.QtCore import QObject

from planner.desk.document import Document
from planner.desk.saying import distance
from planner.errors import PlanError
from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.plan.edits import PlacePoints, ReshapePath

if TYPE_CHECKING:
    from planner.plan.model import Plan

_SMALLEST_M, _LARGEST_M = 1.0, 100_000.0
"""The longer side of the points' box: what is smaller is one place, what is larger no flight."""
_STILL_DEG, _STILL_SHARE = 0.05, 5e-4


class TurningHand(QObject):
    """Follows the ring from start to end; `told` is what the map shows beside it, None between two turns."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._numbers = itertools.count(1)
        self._key: object = None
        self._began: Plan | None = None
        self._made: Plan | None = None
        self._indices: tuple[int, ...] = ()
        self._refused = False
        self.told: dict[str, Any] | None = None
        document.replaced.connect(self._forget)

    def reshape(self, turn_deg: float, scale: float, phase: str, group: tuple[int, ...]) -> None:
        """Follow the hand: points of `group` as they were at its start, turned clockwise [deg] and scaled."""
        if phase == "start":
            self._begin(group)
        if self._began is None:
            return
        if self._document.plan is not self._made:  # undone, or changed by another hand meanwhile
            self._forget()
            return
        self._follow(turn_deg, scale)
        if phase == "end":
            self._end()

    def _begin(self, group: tuple[int, ...]) -> None:
        self._began = self._made = self._document.plan
        self._indices = tuple(index for index in group if index < len(self._began.path))
        self._key = ("ring", next(self._numbers))
        self._refused = False
        self.told = _told("", 0.0, 1.0)

    def _follow(self, turn_deg: float, scale: float) -> None:
        assert self._began is not None
        try:
            places = self._places(turn_deg, scale)
            size = _size_words(places)
        except PlanError as error:
            self._refuse(error.one_line())
            return
        words = " · ".join(word for word in (turn_words(turn_deg), scale_words(scale), size) if word)
        self.told = _told(words, turn_deg, scale)
        edit = PlacePoints(self._indices, places, _done(turn_deg, scale))
        self._document.try_edit(edit, merge_key=self._key)
        self._made = self._document.plan

    def _places(self, turn_deg: float, scale: float) -> tuple[Place, ...]:
        assert self._began is not None
        if not turn_deg % 360.0 and scale == 1.0:
            return tuple(self._began.path[index].place for index in self._indices)
        after = ReshapePath(self._indices, turn_deg=turn_deg, scale=scale).apply(self._began)
        return tuple(after.path[index].place for index in self._indices)

    def _refuse(self, line: str) -> None:
        last = self.told or _told("", 0.0, 1.0)
        self.told = {**last, "words": line, "refused": True}
        if not self._refused:
            self._refused = True
            self._document.message.emit(line)

    def _end(self) -> None:
        if self.told is not None and self._document.plan is not self._began:
            turn_deg, scale = self.told["turn"], self.told["scale"]
            done = [word for word in (turn_words(turn_deg), scale_words(scale)) if word]
            if done and not self._refused:
                self._document.message.emit(f"{len(self._indices)} points {', '.join(done)}")
        self._forget()

    def _forget(self) -> None:
        self._began = self._made = None
        self.told = None


def turn_words(turn_deg: float) -> str:
    """Return how far something is turned: 'turned 23.0° clockwise', '' where it is not."""
    turned = (turn_deg + 180.0) % 360.0 - 180.0
    if abs(turned) < _STILL_DEG:
        return ""
    return f"turned {abs(turned):.1f}° {'clockwise' if turned > 0 else 'anticlockwise'}"


def scale_words(scale: float) -> str:
    """Return to how much of its size something is scaled, '' where it keeps it."""
    return "" if abs(scale - 1.0) < _STILL_SHARE else f"scaled to {100.0 * scale:.1f} %"


def _done(turn_deg: float, scale: float) -> str:
    done = [word for word, so in (("turn", turn_words(turn_deg)), ("scale", scale_words(scale))) if so]
    return " and ".join(done).capitalize() or "Move"


def _size_words(places: tuple[Place, ...]) -> str:
    """Return the points' box, west to east by south to north.

    Raises
    ------
    PlanError
        If it is smaller than a place or larger than a flight can be.
    """
    lon_deg, lat_deg = (
        np.array(part) for part in zip(*((p.lon_deg, p.lat_deg) for p in places), strict=True)
    )
    x_m, y_m = LocalFrame(places[0]).forward(lon_deg, lat_deg)
    wide_m, high_m = float(np.ptp(x_m)), float(np.ptp(y_m))
    if max(wide_m, high_m) < _SMALLEST_M:
        raise PlanError("the points would all lie within a metre", remedy="keep them farther apart")
    if max(wide_m, high_m) > _LARGEST_M:
        raise PlanError("the points would lie over more than 100 km", remedy="keep them closer together")
    return f"{distance(wide_m)} × {distance(high_m)}"


def _told(words: str, turn_deg: float, scale: float) -> dict[str, Any]:
    return {"words": words, "refused": False, "turn": turn_deg, "scale": scale}
