"""What changed between two judged plans, or one plan judged by two sets of data."""

from collections.abc import Iterable

import attrs

from planner.assessment import Assessment
from planner.remedy.compare_ceiling import ceiling_changes, ceiling_not_compared
from planner.remedy.compare_change import Change, Topic
from planner.remedy.compare_data import data_changes, data_not_compared
from planner.remedy.compare_drawn import drawn_changes
from planner.remedy.compare_inputs import input_changes
from planner.remedy.compare_judged import finding_changes, permission_changes, verdict_changes
from planner.remedy.compare_legs import pieces
from planner.remedy.compare_points import path_changes
from planner.saying import told

_ORDER = {topic: rank for rank, topic in enumerate(Topic)}


def _all_told(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(told(line) for line in lines)


@attrs.frozen(eq=False)
class Comparison:
    """Two assessments and all that changed from the first to the second, in the order in which it matters.

    `not_compared` says, in sentences without a full stop, of what nobody knows
    whether it changed.
    """

    before: Assessment
    after: Assessment
    changes: tuple[Change, ...]
    not_compared: tuple[str, ...] = attrs.field(default=(), converter=_all_told)

    @property
    def weighty(self) -> tuple[Change, ...]:
        """What concerns the verdict, what decides it, or a permission."""
        return tuple(change for change in self.changes if change.weighty)


def compare(before: Assessment, after: Assessment) -> Comparison:
    """Return what changed from one whole assessment to another.

    Pure: the same two give the same answer. Exchanged they give the same changes, seen from the other side.

    Raises
    ------
    ValueError
        If one of them is not whole yet.
    """
    if not (before.whole and after.whole):
        raise ValueError("only whole assessments can be compared")
    found = tuple(pieces(before, after))
    changes = (
        *verdict_changes(before, after),
        *finding_changes(before, after),
        *permission_changes(before, after),
        *ceiling_changes(before, after, found),
        *path_changes(before, after),
        *drawn_changes(before.plan, after.plan),
        *input_changes(before.plan, after.plan),
        *data_changes(before, after),
    )
    # Crew members are told where they are drawn; what else changed of them belongs to the inputs.
    in_order = sorted(changes, key=lambda change: (_ORDER[change.topic], not change.weighty))
    return Comparison(
        before,
        after,
        tuple(in_order),
        (*ceiling_not_compared(before, after, found), *data_not_compared(before, after)),
    )
