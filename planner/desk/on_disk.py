"""Whether a plan's file is still as the desk left it: somebody else may have written it meanwhile."""

from enum import Enum
from pathlib import Path

from planner.errors import PlanFileError
from planner.plan.file import read_plan
from planner.plan.model import Plan


class OnDisk(Enum):
    """How a file stands against the plan that was last read from it or written to it."""

    AS_KNOWN = "as known"
    GONE = "gone"
    CHANGED = "changed"


def state_of(path: Path, known: Plan | None) -> OnDisk:
    """Return how the file stands; where it is not known what was in it, what is there counts as changed.

    Only what it says counts: the same plan written with other spaces is no change.
    """
    try:
        there = read_plan(path)
    except PlanFileError:
        return OnDisk.CHANGED if path.exists() else OnDisk.GONE
    return OnDisk.AS_KNOWN if there == known else OnDisk.CHANGED
