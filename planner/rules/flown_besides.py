"""What a request has to hold beside what is drawn: the ways to the spots, and home on lost link."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.way_home import LossWays
from planner.permission.besides import Besides
from planner.rules.case import AboveAsked, Case
from planner.rules.undrawn import ways_not_drawn

_THIN_M = 0.1


def flown_besides(case: Case | None) -> Besides:
    """Return what the flight needs beside its path and area, in the plane; heights by airspace column."""
    if case is None or case.mapped is None:
        return Besides()
    found: list[BaseGeometry] = [way.line for way in ways_not_drawn(case, case.mapped)]
    on_lost_link = list(_on_lost_link(case))
    # Between places in one line nothing would be left of an outline that thin.
    wide = shapely.buffer(np.asarray(found + on_lost_link, dtype=object), _THIN_M, quad_segs=2)
    return Besides(shapely.union_all(wide), rise_m=_rises(case), on_lost_link=bool(on_lost_link))


def _on_lost_link(case: Case) -> Iterator[BaseGeometry]:
    """Yield what the ways on lost link sweep over: of a straight leg all between those from its ends."""
    if case.flight is not None and case.flight.loss is not None and case.track is not None:
        leg = case.track.leg
        ends = np.concatenate([[0], np.flatnonzero(np.diff(leg)) + 1, [len(leg) - 1]])
        corners = _corners(case.flight.loss)
        for first, last in pairwise(ends.tolist()):
            yield from _hull(corners[first : last + 1].reshape(-1, 2))
    elif case.area_flight is not None:
        for loss in case.area_flight.losses:
            for corners in _corners(loss):
                yield from _hull(corners)


def _corners(loss: LossWays) -> NDArray[np.float64]:
    return np.stack([loss.corner_x_m, loss.corner_y_m], axis=2)


def _hull(places: NDArray[np.float64]) -> Iterator[BaseGeometry]:
    known = places[np.isfinite(places).all(axis=1)]
    if len(known):
        yield shapely.MultiPoint(known).convex_hull


def _rises(case: Case) -> dict[int, float]:
    """Return, by column of an airspace to ask for, how far above the height asked for a return comes [m]."""
    rises: dict[int, float] = {}
    found: list[AboveAsked] = list(case.area_loss_above_asked)
    if case.loss_above_asked is not None:
        found.append(case.loss_above_asked)
    for one in found:
        for column in np.unique(one.column[one.column >= 0]).tolist():
            most_m = float(np.max(one.above_m[one.column == column]))
            rises[column] = max(rises.get(column, 0.0), most_m)
    return rises
