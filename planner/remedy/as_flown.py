"""Where a path is drawn under the ceiling and is not flown as drawn, no remedy on the drawing helps."""

from planner.assessment import Assessment
from planner.remedy.remedy import NoRemedy
from planner.rules.finding import Mark
from planner.rules.flown_line import NOT_AS_DRAWN


def not_flown_as_drawn(assessment: Assessment) -> NoRemedy | None:
    """Return what to do where the aircraft can't follow what is drawn, None where it can."""
    for found in assessment.findings:
        if found.rule in NOT_AS_DRAWN and found.mark in (Mark.STOP, Mark.UNKNOWN):
            return NoRemedy(f"the path is not flown as it is drawn: {found.remedy}")
    return None
