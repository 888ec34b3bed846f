"""Edits of what the pilot has in hand: permissions, notices, structures seen standing."""

import attrs

from planner.errors import PlanError
from planner.plan.edits.base import OneStep, checked, replaced, without
from planner.plan.mast_wires import MastWires
from planner.plan.model import Plan
from planner.plan.records import NoticesChecked, PermissionRecord


@attrs.frozen
class RecordPermission(OneStep):
    """Put a permission on record."""

    record: PermissionRecord

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Record {self.record.kind.value.replace('-', ' ')}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the permission."""
        if self.record in plan.permissions:
            raise PlanError("this very permission is on record already")
        return attrs.evolve(plan, permissions=(*plan.permissions, self.record))


@attrs.frozen
class ReplacePermission(OneStep):
    """Put another permission in the place of one on record, which mends a slip in it."""

    index: int
    record: PermissionRecord

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Change {self.record.kind.value.replace('-', ' ')}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the permission exchanged."""
        checked(self.index, len(plan.permissions), "permission")
        if self.record in without(plan.permissions, self.index):
            raise PlanError("this very permission is on record already")
        return attrs.evolve(plan, permissions=replaced(plan.permissions, self.index, self.record))


@attrs.frozen
class RemovePermission(OneStep):
    """Take a permission off the record."""

    index: int

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Remove permission {self.index + 1}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan without the permission."""
        checked(self.index, len(plan.permissions), "permission")
        return attrs.evolve(plan, permissions=without(plan.permissions, self.index))


@attrs.frozen
class SetNotices(OneStep):
    """Say when and by whom notices were checked; None: not yet."""

    notices: NoticesChecked | None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set check of notices"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that check."""
        return attrs.evolve(plan, notices=self.notices)


@attrs.frozen
class SetGuyWires(OneStep):
    """Say how far the guy wires of a mast reach out, as a share of its height; None: by rule of thumb.

    `record` is what its record says now (`Structure.wires_record`).
    """

    structure_id: str
    share: float | None
    record: str | None = None

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Set reach of guy wires"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with that reach."""
        others = [one for one in plan.mast_wires if one.structure != self.structure_id]
        said = [] if self.share is None else [MastWires(self.structure_id, self.share, self.record)]
        return attrs.evolve(plan, mast_wires=tuple(sorted((*others, *said), key=lambda one: one.structure)))


@attrs.frozen
class ConfirmStructure(OneStep):
    """Say that a structure still stands, or take that back.

    `structure_id` is what the plan keeps (`Structure.standing_word`); `instead_of` is what was said of it
    before, of this record or another, and goes.
    """

    structure_id: str
    standing: bool
    instead_of: frozenset[str] = frozenset()

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return "Confirm structure" if self.standing else "Withdraw structure"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with the pilot's word on that structure."""
        standing = plan.structures_standing - {self.structure_id} - self.instead_of
        if self.standing:
            standing |= {self.structure_id}
        return attrs.evolve(plan, structures_standing=standing)
