"""Edits of the flying area. One with fewer than three corners is no area yet and stays with the desk."""

import attrs

from planner.errors import PlanError
from planner.geo.heights import Height
from planner.geo.place import Place
from planner.plan.edits.base import OneStep, checked, in_row, inserted, replaced, without
from planner.plan.geometry import Area
from planner.plan.model import Plan


@attrs.frozen
class ReplaceArea(OneStep):
    """Draw the area, or draw another in its place."""

    ring: tuple[Place, ...] = attrs.field(converter=in_row)
    top: Height | None = None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Draw area"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that area."""
        return attrs.evolve(plan, area=Area(self.ring, self.top))


@attrs.frozen
class RemoveArea(OneStep):
    """Remove the area."""

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Remove area"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without an area."""
        return attrs.evolve(plan, area=None)


@attrs.frozen
class MoveAreaCorner:
    """Move a corner; refused where the edges would cross."""

    index: int
    place: Place

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Move corner {self.index + 1}"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return (MoveAreaCorner, self.index)

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the corner moved."""
        ring = _area(plan).ring
        checked(self.index, len(ring), "corner")
        return _with_ring(plan, replaced(ring, self.index, self.place))


@attrs.frozen
class InsertAreaCorner(OneStep):
    """Add a corner before the one at `index`."""

    index: int
    place: Place

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Insert corner {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more corner."""
        ring = _area(plan).ring
        checked(self.index, len(ring) + 1, "corner")
        return _with_ring(plan, inserted(ring, self.index, self.place))


@attrs.frozen
class DeleteAreaCorner(OneStep):
    """Delete a corner; of three, the area goes with it."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Delete corner {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one corner less, or without the area."""
        ring = _area(plan).ring
        checked(self.index, len(ring), "corner")
        if len(ring) == 3:
            return attrs.evolve(plan, area=None)
        return _with_ring(plan, without(ring, self.index))


@attrs.frozen
class SetAreaTop:
    """Set the area's top: above ground follows the ground, else level; None: no top."""

    top: Height | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set top of area"

    @property
    def merge_key(self) -> object | None:
        """What it sets: a drag or typing is one step."""
        return None if self.top is None else SetAreaTop

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that top."""
        return attrs.evolve(plan, area=attrs.evolve(_area(plan), top=self.top))


def _area(plan: Plan) -> Area:
    if plan.area is None:
        raise PlanError("the plan has no flying area", remedy="draw one")
    return plan.area


def _with_ring(plan: Plan, ring: tuple[Place, ...]) -> Plan:
    return attrs.evolve(plan, area=attrs.evolve(_area(plan), ring=ring))
