"""Edits of several points of the path at once: moved, turned, scaled, put in, taken out."""

import math

import attrs
import numpy as np

from planner.errors import PlanError
from planner.geo.frame import LocalFrame
from planner.geo.heights import Height, height_of, reference_of
from planner.geo.place import Place
from planner.plan.edits.base import OneStep, checked, indices_of, numbered
from planner.plan.edits.path import figure_between
from planner.plan.geometry import LegShape, PathPoint
from planner.plan.model import Plan

_FARTHEST_M = 100_000.0
_MOST_SCALE = 100.0
_FEWEST = 2


@attrs.frozen
class ReshapePath(OneStep):
    """Scale and turn points about the middle of their box, then move them, and raise them.

    Parameters
    ----------
    indices : which points, from zero.
    east_m, north_m, up_m : how far they move [m]; `up_m` adds to each height as it is given.
    turn_deg : clockwise [deg].
    scale : 1 leaves distances as they are.

    Notes
    -----
    It happens in the azimuthal equidistant plane about the middle, so that distances there
    grow by `scale` to 4e-7 within 10 km.
    """

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    east_m: float = 0.0
    north_m: float = 0.0
    turn_deg: float = 0.0
    scale: float = 1.0
    up_m: float = 0.0

    def __attrs_post_init__(self) -> None:
        figures = (self.east_m, self.north_m, self.turn_deg, self.scale, self.up_m)
        if not all(math.isfinite(figure) for figure in figures):
            raise PlanError("a figure of the move is no number", remedy="give finite figures")
        if math.hypot(self.east_m, self.north_m) > _FARTHEST_M:
            raise PlanError("the points would move by more than 100 km", remedy="begin a plan there instead")
        if not 1.0 / _MOST_SCALE <= self.scale <= _MOST_SCALE:
            raise PlanError("the scale is not between 1 % and 10,000 %", remedy="give one between them")

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Move {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points where they go."""
        if not self.indices:
            raise PlanError("no point is chosen", remedy="choose one or more in the table of points")
        for index in self.indices:
            checked(index, len(plan.path), "point")
        places = self._moved([plan.path[index].place for index in self.indices])
        points = list(plan.path)
        for index, place in zip(self.indices, places, strict=True):
            height = points[index].height
            if self.up_m:
                height = height_of(reference_of(height), height.m + self.up_m)
            points[index] = points[index].put(place, height)
        return plan.with_path(points)

    def _moved(self, places: list[Place]) -> list[Place]:
        if not (self.east_m or self.north_m or self.turn_deg % 360.0) and self.scale == 1.0:
            return places
        first = LocalFrame(places[0])
        lon_deg, lat_deg = (
            np.array(part) for part in zip(*((p.lon_deg, p.lat_deg) for p in places), strict=True)
        )
        x_m, y_m = first.forward(lon_deg, lat_deg)
        frame = LocalFrame(first.xy_to_place((x_m.min() + x_m.max()) / 2, (y_m.min() + y_m.max()) / 2))
        x_m, y_m = frame.forward(lon_deg, lat_deg)
        sine, cosine = math.sin(math.radians(self.turn_deg)), math.cos(math.radians(self.turn_deg))
        there_x_m = self.scale * (x_m * cosine + y_m * sine) + self.east_m
        there_y_m = self.scale * (y_m * cosine - x_m * sine) + self.north_m
        lon_deg, lat_deg = frame.inverse(there_x_m, there_y_m)
        return [Place(lon, lat) for lon, lat in zip(lon_deg.tolist(), lat_deg.tolist(), strict=True)]


@attrs.frozen
class PlacePoints(OneStep):
    """Put points where they are said to be; heights keep their figures and their kinds."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    places: tuple[Place, ...]
    done: str = "Move"
    """What is done to them, for the list of undo steps."""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"{self.done} {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points moved."""
        points = list(plan.path)
        for index, place in zip(self.indices, self.places, strict=True):
            at = checked(index, len(points), "point")
            points[at] = points[at].put(place, points[at].height)
        return plan.with_path(points)


@attrs.frozen
class RaisePoints(OneStep):
    """Add to the heights of points [m], each above what it is measured from."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    by_m: float

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Raise {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points higher or lower."""
        points = list(plan.path)
        for index in self.indices:
            height = points[checked(index, len(points), "point")].height
            points[index] = attrs.evolve(
                points[index], height=height_of(reference_of(height), height.m + self.by_m)
            )
        return plan.with_path(points)


@attrs.frozen
class InsertPoints(OneStep):
    """Put points in before the one at `index`, each with its own height and leg."""

    index: int
    points: tuple[PathPoint, ...]

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Insert a point" if len(self.points) == 1 else f"Insert {len(self.points)} points"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with more points."""
        checked(self.index, len(plan.path) + 1, "point")
        figure = figure_between(plan.path, self.index)
        points = self.points
        if figure is not None:
            points = tuple(attrs.evolve(one, figure=one.figure or figure) for one in points)
        return plan.with_path((*plan.path[: self.index], *points, *plan.path[self.index :]))


@attrs.frozen
class DeletePoints(OneStep):
    """Delete points; the legs that led to them lead on to the next that stays."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Delete {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the points."""
        gone = {checked(index, len(plan.path), "point") for index in self.indices}
        return plan.with_path(p for i, p in enumerate(plan.path) if i not in gone)


@attrs.frozen
class MergePoints(OneStep):
    """Make one point of several: of the first to the last of them, with all in between.

    It lies in the middle of their places and heights, has the first one's name
    and kind of height, and the leg that left the last one leaves it.
    """

    indices: tuple[int, ...] = attrs.field(converter=indices_of)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Merge {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one point in their place."""
        first, last = _span(plan, self.indices, "to merge")
        points = plan.path[first : last + 1]
        model = points[0]
        kind = reference_of(model.height)
        if any(reference_of(point.height) != kind for point in points):
            raise PlanError(
                "the heights of the points count from different things",
                remedy="give them heights of one kind first",
            )
        height = height_of(kind, sum(point.height.m for point in points) / len(points))
        merged = attrs.evolve(model, place=_middle(points), height=height, leg=points[-1].leg)
        return plan.with_path((*plan.path[:first], merged, *plan.path[last + 1 :]))


@attrs.frozen
class ReversePoints(OneStep):
    """Fly a part of the path the other way: from the first of the points to the last, with all in between."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Reverse {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that part turned round; each leg inside it keeps its shape and speed."""
        first, last = _span(plan, self.indices, "to reverse")
        points = plan.path[first : last + 1]
        legs = [point.leg for point in points]
        turned = zip(reversed(points), [*reversed(legs[:-1]), legs[-1]], strict=True)
        part = (attrs.evolve(point, leg=leg) for point, leg in turned)
        return plan.with_path((*plan.path[:first], *part, *plan.path[last + 1 :]))


@attrs.frozen
class SnapPoints(OneStep):
    """Give points one height, and the legs between them one shape."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    height: Height
    shape: LegShape

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        what = "Let follow the ground" if self.shape is LegShape.FOLLOW_GROUND else "Level"
        return f"{what}: {numbered('point', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points at that height."""
        _span(plan, self.indices, "to bring to one height")
        chosen = set(self.indices)
        path = list(plan.path)
        for index in self.indices:
            leg = path[index].leg
            if index + 1 in chosen and leg.shape is not self.shape:
                leg = attrs.evolve(leg, shape=self.shape)
            path[index] = attrs.evolve(path[index], height=self.height, leg=leg)
        return plan.with_path(path)


def _span(plan: Plan, indices: tuple[int, ...], purpose: str) -> tuple[int, int]:
    for index in indices:
        checked(index, len(plan.path), "point")
    if len(indices) < _FEWEST:
        raise PlanError(f"it takes two points or more {purpose}", remedy="choose them in the table of points")
    return indices[0], indices[-1]


def _middle(points: tuple[PathPoint, ...]) -> Place:
    frame = LocalFrame(points[0].place)
    spots = [frame.place_to_xy(point.place) for point in points]
    return frame.xy_to_place(*(sum(axis) / len(spots) for axis in zip(*spots, strict=True)))
