"""The one adapter between edits, which are values, and Qt's undo stack."""

from collections.abc import Callable

from PySide6.QtGui import QUndoCommand

from planner.plan.model import Plan

_MERGEABLE = 1


class PlanStep(QUndoCommand):
    """From one plan to the next.

    Neighbours with an equal merge key that is not None become one step.
    """

    def __init__(
        self,
        title: str,
        before: Plan,
        after: Plan,
        *,
        show: Callable[[Plan], None],
        merge_key: object = None,
    ) -> None:
        super().__init__(title)
        self.before = before
        self.after = after
        self._show = show
        self._merge_key = merge_key

    def redo(self) -> None:
        """Show the later plan."""
        self._show(self.after)

    def undo(self) -> None:
        """Show the earlier plan."""
        self._show(self.before)

    def id(self) -> int:
        """Tell Qt whether merging may be tried."""
        return -1 if self._merge_key is None else _MERGEABLE

    def mergeWith(self, other: QUndoCommand) -> bool:
        """Take over the outcome of a later step of the same gesture."""
        if not isinstance(other, PlanStep) or other._merge_key != self._merge_key:  # noqa: SLF001
            return False
        self.after = other.after
        return True
