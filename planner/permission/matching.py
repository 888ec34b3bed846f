"""Records held against the parts of a flight in one airspace: which cover it, or why the best does not."""

from collections.abc import Mapping, Sequence

from planner.permission.part import Part
from planner.permission.records import Grant
from planner.permission.resting import Kept, rested_on
from planner.permission.shortfall import NO_SHORTFALL, Held, Shortfall, shortfall
from planner.plan.model import Plan
from planner.plan.records import PermissionRecord
from planner.world.airspace import AirspaceVolume

Matched = tuple[tuple[PermissionRecord, ...], Shortfall]


def match_records(
    parts: Sequence[Part],
    grants: Mapping[int, Sequence[Grant]],
    volume: AirspaceVolume,
    plan: Plan,
    held: Held,
) -> Matched:
    """Return the records that together cover all parts, none of which can be missing; else what falls short.

    `grants` are those that hold in each column of the airspace, `volume` is one of its pieces.
    """
    every = {(grant.record, grant.columns): grant for found in grants.values() for grant in found}

    def covered(kept: Kept) -> int:
        of_kept = {
            column: [grant for grant in found if grant.record in kept] for column, found in grants.items()
        }
        return sum(int(part.covered_by(of_kept, held.launch_m).sum()) for part in parts)

    records, whole = {record for record, _ in every}, sum(int(part.entered.sum()) for part in parts)
    if every and covered(frozenset(records)) == whole:
        return rested_on(records, covered, whole), NO_SHORTFALL
    failing = [(part.samples, part.entered) for part in parts]
    return (), shortfall(volume, plan, list(every.values()), failing, held)
