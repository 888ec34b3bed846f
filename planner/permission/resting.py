"""Which of several records a cover rests on."""

from collections.abc import Callable, Iterable

from planner.permission.records import in_order
from planner.plan.records import PermissionRecord

Kept = frozenset[PermissionRecord]


def rested_on(
    records: Iterable[PermissionRecord], covered: Callable[[Kept], int], whole: int
) -> tuple[PermissionRecord, ...]:
    """Return records none of which can be missing, the one that covers most first.

    `covered` says how much of `whole` some of them cover. What covers little
    and can be spared is left out first.
    """
    shares = {record: covered(frozenset([record])) for record in in_order(records)}
    rising = sorted(shares, key=lambda record: (shares[record], record.reference))
    kept = frozenset(rising)
    for record in rising:
        if covered(kept - {record}) == whole:
            kept -= {record}
    return tuple(record for record in reversed(rising) if record in kept)
