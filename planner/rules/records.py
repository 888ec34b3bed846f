"""Rules on permissions in hand: the conditions they hold with, and how long."""

from collections.abc import Iterator
from typing import Final

from planner.permission.records import in_order, in_time
from planner.plan.records import PermissionRecord
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark

_MOST_LETTERS: Final = 300


def conditions(case: Case) -> Iterator[Finding]:
    """Yield something to do for each record that holds with conditions: nobody but the crew can keep them."""
    for record in _holding(case):
        words = " ".join(record.conditions.split())
        if words:
            cut = words if len(words) <= _MOST_LETTERS else f"{words[:_MOST_LETTERS].rstrip()} …"
            yield Finding(
                rule="permission-conditions",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"Conditions of record {record.reference}",
                message=f"For {record.airspace}: “{cut}”",
                citation="the permission itself",
                remedy="read them on the paper, keep to them, and tell everybody who takes part",
            )


def without_end(case: Case) -> Iterator[Finding]:
    """Yield something to do for each record that says not until when it holds."""
    for record in _holding(case):
        if record.valid_to_utc is None:
            yield Finding(
                rule="permission-without-end",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"Record {record.reference} names no end",
                message=f"For {record.airspace} it counts as holding for ever. Most permissions end.",
                citation="the permission itself",
                remedy="look on the paper until when it holds, and enter that",
            )


def _holding(case: Case) -> Iterator[PermissionRecord]:
    return (record for record in in_order(case.plan.permissions) if in_time(record, case.plan.window))


RULES = (conditions, without_end)
