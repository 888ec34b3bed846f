"""Edits of the path; indices count from zero, titles from one.

A leg belongs to the point it leaves. A new point takes the height and the leg
of its predecessor unless it is given its own.
"""

from collections.abc import Callable, Iterable, Sequence

import attrs

from planner.errors import PlanError
from planner.geo.heights import Height
from planner.geo.place import Place
from planner.plan.edits.base import OneStep, checked, indices_of, inserted, numbered, without
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan


@attrs.frozen
class AppendPoint(OneStep):
    """Add a point at the end; the very first one needs a height. Its `number` counts from one."""

    place: Place
    height: Height | None = None
    leg: Leg | None = None
    number: int | None = None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Add point" if self.number is None else f"Add point {self.number}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more point."""
        return InsertPoint(len(plan.path), self.place, self.height, self.leg).apply(plan)


@attrs.frozen
class InsertPoint(OneStep):
    """Add a point before the one at `index`; at the start it is modelled on the first."""

    index: int
    place: Place
    height: Height | None = None
    leg: Leg | None = None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Insert point {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more point."""
        checked(self.index, len(plan.path) + 1, "point")
        model = plan.path[max(self.index - 1, 0)] if plan.path else None
        height = self.height or (model.height if model else None)
        if height is None:
            raise PlanError("the first point of the path has no height", remedy="give its height")
        leg = self.leg or (model.leg if model else Leg())
        point = PathPoint(self.place, height, leg, figure=figure_between(plan.path, self.index))
        return plan.with_path(inserted(plan.path, self.index, point))


@attrs.frozen
class MovePoint:
    """Move a point on the map; its height keeps its figure and its kind."""

    index: int
    place: Place

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Move point {self.index + 1}"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return (MovePoint, self.index)

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the point moved."""
        return _changed(plan, (self.index,), lambda point: attrs.evolve(point, place=self.place))


@attrs.frozen
class DeletePoint(OneStep):
    """Delete a point; the leg that led to it leads to the next one."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Delete point {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the point."""
        checked(self.index, len(plan.path), "point")
        return plan.with_path(without(plan.path, self.index))


@attrs.frozen
class SetPointHeight:
    """Give one or several points a height."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    height: Height

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Set height of {numbered('point', self.indices)}"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return (SetPointHeight, self.indices)

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points at that height."""
        return _changed(plan, self.indices, lambda point: attrs.evolve(point, height=self.height))


@attrs.frozen
class SetLegShape(OneStep):
    """Make one or several legs straight or follow the ground."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    shape: LegShape

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Set shape of {numbered('leg', self.indices)}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the legs so shaped."""
        return _with_legs(plan, self.indices, lambda leg: attrs.evolve(leg, shape=self.shape))


@attrs.frozen
class SetLegSpeed:
    """Set the intended ground speed of one or several legs [m/s]; None: not stated."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    speed_mps: float | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Set speed of {numbered('leg', self.indices)}"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return (SetLegSpeed, self.indices)

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the legs at that speed."""
        return _with_legs(plan, self.indices, lambda leg: attrs.evolve(leg, speed_mps=self.speed_mps))


@attrs.frozen
class ReversePath(OneStep):
    """Fly the path the other way; each leg keeps its shape and speed."""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Reverse path"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the path reversed."""
        legs = [point.leg for point in plan.path]
        turned = [*reversed(legs[:-1]), *legs[-1:]]
        points = zip(reversed(plan.path), turned, strict=True)
        return plan.with_path(attrs.evolve(point, leg=leg) for point, leg in points)


def figure_between(path: Sequence[PathPoint], index: int) -> str | None:
    """Return the figure that a point put in before `index` belongs to: that of both its neighbours."""
    if not 0 < index < len(path) or path[index - 1].figure != path[index].figure:
        return None
    return path[index].figure


def _in_row(points: Iterable[PathPoint]) -> tuple[PathPoint, ...]:
    return tuple(points)


@attrs.frozen
class ReplacePath(OneStep):
    """Put another path in place of the old one; an empty one clears it."""

    path: tuple[PathPoint, ...] = attrs.field(converter=_in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Replace path" if self.path else "Clear path"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the other path."""
        return plan.with_path(self.path)


def _changed(plan: Plan, indices: tuple[int, ...], change: Callable[[PathPoint], PathPoint]) -> Plan:
    path = list(plan.path)
    for index in indices:
        checked(index, len(path), "point")
        path[index] = change(path[index])
    return plan.with_path(path)


def _with_legs(plan: Plan, indices: tuple[int, ...], change: Callable[[Leg], Leg]) -> Plan:
    for index in indices:
        checked(index, max(len(plan.path) - 1, 0), "leg")
    return _changed(plan, indices, lambda point: attrs.evolve(point, leg=change(point.leg)))
