"""Edits of what sight hangs on: the visibility counted on, and the pilot's own limits."""

import attrs

from planner.plan.edits.base import OneStep
from planner.plan.model import Plan


@attrs.frozen
class SetVisibility(OneStep):
    """Say which ground visibility is counted on [m]; None: not yet."""

    visibility_m: float | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set visibility"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that visibility."""
        return attrs.evolve(plan, visibility_m=self.visibility_m)


@attrs.frozen
class SetOwnUnseen(OneStep):
    """Set the own limit for time behind a mast or tree [s]; None: none."""

    seconds: float | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set own limit unseen"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that limit."""
        return attrs.evolve(plan, own_unseen_s=self.seconds)


@attrs.frozen
class SetOwnTriedDays(OneStep):
    """Set the own limit for how long before the flight a range may have been tried [days]; None: none."""

    days: float | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set own limit of trials"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that limit."""
        return attrs.evolve(plan, own_tried_days=self.days)
