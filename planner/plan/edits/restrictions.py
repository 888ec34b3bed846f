"""Edits of the temporary restrictions that the pilot draws."""

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits.base import OneStep, checked, in_row, replaced, without
from planner.plan.model import Plan
from planner.plan.restrictions import TemporaryRestriction


@attrs.frozen
class AddRestriction(OneStep):
    """Draw a temporary restriction."""

    restriction: TemporaryRestriction

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Draw restriction {self.restriction.name}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more restriction."""
        if self.restriction in plan.restrictions:
            raise PlanError("this very restriction is in the plan already")
        return attrs.evolve(plan, restrictions=(*plan.restrictions, self.restriction))


@attrs.frozen
class ReplaceRestriction(OneStep):
    """Put another restriction in the place of one."""

    index: int
    restriction: TemporaryRestriction

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Change restriction {self.restriction.name}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the restriction exchanged."""
        checked(self.index, len(plan.restrictions), "restriction")
        return attrs.evolve(plan, restrictions=replaced(plan.restrictions, self.index, self.restriction))


@attrs.frozen
class ReshapeRestriction(OneStep):
    """Move a restriction's circle, or give it another ring: `points` is the one centre, or the corners."""

    index: int
    points: tuple[Place, ...] = attrs.field(converter=in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Reshape restriction {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the restriction elsewhere, its figures kept."""
        checked(self.index, len(plan.restrictions), "restriction")
        old = plan.restrictions[self.index]
        if old.ring is not None:
            changed = attrs.evolve(old, ring=self.points)
        elif len(self.points) == 1:
            changed = attrs.evolve(old, centre=self.points[0])
        else:
            raise PlanError("a circle has one centre", remedy="give one point, or draw an outline")
        return attrs.evolve(plan, restrictions=replaced(plan.restrictions, self.index, changed))


@attrs.frozen
class RemoveRestriction(OneStep):
    """Remove a temporary restriction."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Remove restriction {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the restriction."""
        checked(self.index, len(plan.restrictions), "restriction")
        return attrs.evolve(plan, restrictions=without(plan.restrictions, self.index))
