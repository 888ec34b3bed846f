"""Edits of the areas in which the crew may stand."""

import attrs

from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits.base import OneStep, checked, in_row, replaced, without
from planner.plan.model import Plan
from planner.plan.standing import StandArea

_WHAT = "area to stand in"


@attrs.frozen
class AllowStanding(OneStep):
    """Allow the crew to stand in one more area."""

    area: StandArea

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Allow an area to stand in"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with one more area."""
        if self.area in plan.stand_areas:
            raise PlanError("this very area to stand in is in the plan already")
        return attrs.evolve(plan, stand_areas=(*plan.stand_areas, self.area))


@attrs.frozen
class ReshapeStanding(OneStep):
    """Give an area to stand in other corners."""

    index: int
    ring: tuple[Place, ...] = attrs.field(converter=in_row)

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Reshape {_WHAT} {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the area elsewhere."""
        checked(self.index, len(plan.stand_areas), _WHAT)
        changed = attrs.evolve(plan.stand_areas[self.index], ring=self.ring)
        return attrs.evolve(plan, stand_areas=replaced(plan.stand_areas, self.index, changed))


@attrs.frozen
class ForbidStanding(OneStep):
    """Remove an area to stand in; without any the crew may stand anywhere."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Remove {_WHAT} {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the area."""
        checked(self.index, len(plan.stand_areas), _WHAT)
        return attrs.evolve(plan, stand_areas=without(plan.stand_areas, self.index))
