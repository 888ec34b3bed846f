"""One verdict for a plan, from its findings and permissions."""

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum

import attrs

from planner.permission.need import PermissionNeed
from planner.rules.finding import Finding, Mark


class Verdict(StrEnum):
    """The four verdicts, by the value they have in JSON."""

    MUST_CHANGE = "must-change"
    UNDETERMINED = "undetermined"
    PERMISSION_NEEDED = "permission-needed"
    READY = "ready"

    @property
    def exit_code(self) -> int:
        """Exit code of `lowline check`."""
        return _EXIT_CODES[self]

    @property
    def words(self) -> str:
        """The verdict as people read it."""
        return _WORDS[self]


_EXIT_CODES = {
    Verdict.MUST_CHANGE: 20,
    Verdict.UNDETERMINED: 30,
    Verdict.PERMISSION_NEEDED: 10,
    Verdict.READY: 0,
}
_WORDS = {
    Verdict.MUST_CHANGE: "Must change",
    Verdict.UNDETERMINED: "Cannot be determined",
    Verdict.PERMISSION_NEEDED: "Permission needed",
    Verdict.READY: "Ready",
}


@attrs.frozen
class Recheck:
    """Something to look at again: what, and when at the latest."""

    what: str
    at_utc: datetime


def verdict_of(findings: Iterable[Finding], needs: Iterable[PermissionNeed]) -> Verdict:
    """Return the verdict: stop, else unknown, else unrecorded permission, else ready."""
    marks = {finding.mark for finding in findings}
    if Mark.STOP in marks:
        return Verdict.MUST_CHANGE
    if Mark.UNKNOWN in marks:
        return Verdict.UNDETERMINED
    if any(not need.recorded for need in needs):
        return Verdict.PERMISSION_NEEDED
    return Verdict.READY
