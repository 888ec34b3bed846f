"""Edits of figures flown on the path: laid out, made of points, changed, dissolved."""

from collections.abc import Iterable

import attrs

from planner.errors import PlanError
from planner.plan.edits.base import OneStep, checked, indices_of, replaced, without
from planner.plan.figures import FEWEST_POINTS, Figure
from planner.plan.geometry import Leg, PathPoint
from planner.plan.model import Plan

_WHAT = "figure"


def _in_row(points: Iterable[PathPoint]) -> tuple[PathPoint, ...]:
    return tuple(points)


@attrs.frozen
class LayFigure(OneStep):
    """Put a figure's points into the path before the one at `index`.

    The leg that led on from there leads on from its exit.
    """

    index: int
    figure: Figure
    points: tuple[PathPoint, ...] = attrs.field(converter=_in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Lay out {self.figure.kind.value}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the figure in its path."""
        checked(self.index, len(plan.path) + 1, "point")
        if len(self.points) < FEWEST_POINTS:
            raise PlanError("a figure has fewer than two points", remedy="give it an entry and an exit")
        _unknown_key(plan, self.figure)
        points = [attrs.evolve(point, figure=self.figure.key) for point in self.points]
        leg = plan.path[self.index - 1].leg if self.index else Leg(points[-1].leg.shape)
        points[-1] = attrs.evolve(points[-1], leg=leg)
        path = (*plan.path[: self.index], *points, *plan.path[self.index :])
        return attrs.evolve(plan, path=path, figures=(*plan.figures, self.figure))


@attrs.frozen
class RelayFigure(OneStep):
    """Lay a figure out anew: its points give way to others, in the same place of the path.

    Entry and exit keep their names, and the leg that led on from its exit leads on.
    """

    index: int
    figure: Figure
    points: tuple[PathPoint, ...] = attrs.field(converter=_in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Lay out {self.figure.kind.value} anew"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the figure's new points; it keeps its key."""
        checked(self.index, len(plan.figures), _WHAT)
        if len(self.points) < FEWEST_POINTS:
            raise PlanError("a figure has fewer than two points", remedy="give it an entry and an exit")
        old = plan.figures[self.index]
        span = next(one for one in plan.figure_spans() if one.figure is old)
        points = [attrs.evolve(point, figure=old.key) for point in self.points]
        entry, left = plan.path[span.first], plan.path[span.last]
        points[0] = attrs.evolve(points[0], name=entry.name)
        points[-1] = attrs.evolve(points[-1], name=left.name, leg=left.leg)
        path = (*plan.path[: span.first], *points, *plan.path[span.last + 1 :])
        changed = attrs.evolve(self.figure, key=old.key)
        return attrs.evolve(plan, path=path, figures=replaced(plan.figures, self.index, changed))


@attrs.frozen
class MakeFigure(OneStep):
    """Make a figure of points that are drawn: from the first of them to the last, with all in between."""

    indices: tuple[int, ...] = attrs.field(converter=indices_of)
    figure: Figure

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Make {self.figure.kind.value} of points"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the points in the figure."""
        for index in self.indices:
            checked(index, len(plan.path), "point")
        if len(self.indices) < FEWEST_POINTS:
            raise PlanError(
                "a figure has an entry and an exit", remedy="choose two or more points in the table of points"
            )
        _unknown_key(plan, self.figure)
        path = list(plan.path)
        for index in range(self.indices[0], self.indices[-1] + 1):
            other = path[index].figure
            if other is not None:
                called = next(one.called for one in plan.figures if one.key == other)
                raise PlanError(
                    f"point {index + 1} is of {called} already", remedy="dissolve that figure first"
                )
            path[index] = attrs.evolve(path[index], figure=self.figure.key)
        return attrs.evolve(plan, path=tuple(path), figures=(*plan.figures, self.figure))


@attrs.frozen
class ReplaceFigure(OneStep):
    """Change what is said of a figure; its points stay."""

    index: int
    figure: Figure

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Change {self.figure.kind.value}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the figure changed; it keeps its key."""
        checked(self.index, len(plan.figures), _WHAT)
        changed = attrs.evolve(self.figure, key=plan.figures[self.index].key)
        return attrs.evolve(plan, figures=replaced(plan.figures, self.index, changed))


@attrs.frozen
class DissolveFigure(OneStep):
    """Take a figure away; its points stay in the path."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Dissolve figure {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the figure."""
        checked(self.index, len(plan.figures), _WHAT)
        key = plan.figures[self.index].key
        path = (attrs.evolve(point, figure=None) if point.figure == key else point for point in plan.path)
        return attrs.evolve(plan, path=tuple(path), figures=without(plan.figures, self.index))


@attrs.frozen
class DeleteFigure(OneStep):
    """Delete a figure with its points; its neighbours are joined."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Delete figure {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the figure and its points."""
        checked(self.index, len(plan.figures), _WHAT)
        key = plan.figures[self.index].key
        return plan.with_path(point for point in plan.path if point.figure != key)


def _unknown_key(plan: Plan, figure: Figure) -> None:
    if any(one.key == figure.key for one in plan.figures):
        raise PlanError(f"the plan has a figure {figure.key!r} already", remedy="give it another key")
