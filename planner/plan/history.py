"""Undo and redo over plans, without a screen."""

import attrs

from planner.errors import PlanError
from planner.plan.edits.base import Edit
from planner.plan.model import Plan


@attrs.frozen
class _Step:
    title: str
    merge_key: object | None
    before: Plan
    after: Plan


class History:
    """A plan and the steps that led to it.

    Neighbouring edits with an equal merge key are one step; undo and redo end
    a merge. An edit that changes nothing leaves no step.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._done: list[_Step] = []
        self._undone: list[_Step] = []
        self._open = False

    @property
    def plan(self) -> Plan:
        """The plan as it is now."""
        return self._plan

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to take again."""
        return bool(self._undone)

    @property
    def undo_titles(self) -> tuple[str, ...]:
        """Titles of the steps done, the latest first."""
        return tuple(step.title for step in reversed(self._done))

    @property
    def redo_titles(self) -> tuple[str, ...]:
        """Titles of the steps undone, the next to redo first."""
        return tuple(step.title for step in reversed(self._undone))

    def push(self, edit: Edit) -> Plan:
        """Apply an edit and return the new plan; what was undone is forgotten.

        Raises
        ------
        PlanError
            If the edit doesn't fit; plan and steps are then as before.
        """
        after = edit.apply(self._plan)
        if after == self._plan:
            return self._plan
        step = _Step(edit.title, edit.merge_key, self._plan, after)
        if self._merges(step):
            step = attrs.evolve(step, before=self._done.pop().before)
        if step.before != after:
            self._done.append(step)
        self._undone.clear()
        self._plan = after
        self._open = True
        return after

    def undo(self) -> Plan:
        """Take the latest step back and return the plan before it.

        Raises
        ------
        PlanError
            If there is no step.
        """
        if not self._done:
            raise PlanError("there is nothing to undo")
        step = self._done.pop()
        self._undone.append(step)
        self._open = False
        self._plan = step.before
        return self._plan

    def redo(self) -> Plan:
        """Take the latest undone step again and return the plan after it.

        Raises
        ------
        PlanError
            If there is no step.
        """
        if not self._undone:
            raise PlanError("there is nothing to redo")
        step = self._undone.pop()
        self._done.append(step)
        self._open = False
        self._plan = step.after
        return self._plan

    def end_gesture(self) -> None:
        """Let the next edit be a step of its own, whatever its merge key."""
        self._open = False

    def _merges(self, step: _Step) -> bool:
        return (
            self._open
            and bool(self._done)
            and step.merge_key is not None
            and self._done[-1].merge_key == step.merge_key
        )
