"""Edits of what only the printed sheet needs to know."""

import attrs

from planner.plan.edits.base import OneStep
from planner.plan.model import Plan
from planner.plan.sheet import SheetNotes


@attrs.frozen
class SetSheetNotes(OneStep):
    """Say what the sheet shall say beside the plan; None: nothing."""

    notes: SheetNotes | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set notes for the sheet"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with those notes."""
        return attrs.evolve(plan, sheet=self.notes)
