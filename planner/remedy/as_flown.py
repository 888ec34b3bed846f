"""Where a path is under the ceiling and still not to be flown, no lowering of it helps."""

from planner.assessment import Assessment
from planner.remedy.remedy import NoRemedy
from planner.rules.finding import Mark
from planner.rules.flown_line import NOT_AS_DRAWN
from planner.wording import stretch


def not_flown_as_drawn(assessment: Assessment) -> NoRemedy | None:
    """Return what to do where the aircraft can't follow what is drawn, None where it can."""
    for found in assessment.findings:
        if found.rule in NOT_AS_DRAWN and found.mark in (Mark.STOP, Mark.UNKNOWN):
            return NoRemedy(f"the path is not flown as it is drawn: {found.remedy}")
    return None


def runs_into_ground(assessment: Assessment) -> NoRemedy | None:
    """Return where the path is to be raised: no remedy raises a path. None where nowhere."""
    for found in assessment.findings:
        if found.rule == "into-ground" and found.mark is Mark.STOP and found.from_m is not None:
            where = stretch(found.from_m, found.to_m)
            return NoRemedy(
                f"{where} it runs into the ground, and nothing here raises a path: {found.remedy}"
            )
    return None
