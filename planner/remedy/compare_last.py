"""How a plan stood the last time, and why it stands otherwise now."""

from datetime import datetime

import attrs

from planner.assessment import Assessment
from planner.permission.need import PermissionNeed
from planner.remedy.compare_judged import DECIDING, finding_key
from planner.rules.finding import Finding
from planner.rules.verdict import Verdict
from planner.saying import marked, told

MOST_CAUSES = 40
_LONGEST_TITLE = 160


@attrs.frozen
class Cause:
    """Something that keeps a plan from being ready: by what it is known again, and what it is called."""

    key: str
    title: str = attrs.field(converter=told)


@attrs.frozen
class Standing:
    """How a plan stood: verdict, when that was, what kept it from being ready, and the plan's own digest.

    `causes` are the heaviest, up to `MOST_CAUSES`.
    """

    verdict: Verdict
    at_utc: datetime
    causes: tuple[Cause, ...] = ()
    plan_digest: str = ""


@attrs.frozen(eq=False)
class Since:
    """Another verdict than the last time: why, in words, and the new cause where there is one."""

    was: Standing
    now: Verdict
    why: str
    cause: Finding | PermissionNeed | None = None


def standing_of(answer: Assessment, at_utc: datetime, plan_digest: str = "") -> Standing:
    """Return how a plan stands, to be kept for the next time."""
    causes = tuple(dict.fromkeys(cause for cause, _ in _causes(answer)))
    return Standing(answer.verdict, at_utc, causes[:MOST_CAUSES], plan_digest)


def since(was: Standing, answer: Assessment) -> Since | None:
    """Return why a whole answer has another verdict than the last time, None if it has the same.

    The first new cause is named; without one, what no longer stands in the way.
    """
    if was.verdict is answer.verdict:
        return None
    known = {cause.key for cause in was.causes}
    now = _causes(answer)
    new = [(cause, about) for cause, about in now if cause.key not in known]
    if new:
        cause, about = new[0]
        return Since(was, answer.verdict, told(f"{marked(cause.title)}{_more(len(new) - 1)}"), about)
    still = {cause.key for cause, _ in now}
    gone = [cause for cause in was.causes if cause.key not in still]
    why = (
        f"no longer in the way: {marked(gone[0].title)}{_more(len(gone) - 1)}"
        if gone
        else marked(answer.reason).rstrip(".")
    )
    return Since(was, answer.verdict, told(why))


def _more(count: int) -> str:
    return f" and {count} more" if count > 0 else ""


def _causes(answer: Assessment) -> list[tuple[Cause, Finding | PermissionNeed]]:
    """Return what keeps a plan from being ready, heaviest first."""
    found: list[tuple[Cause, Finding | PermissionNeed]] = []
    for finding in answer.findings:
        if finding.mark in DECIDING:
            rule, title = finding_key(finding)
            key = f"{rule}: {finding.mark.value}: {title}"
            found.append((Cause(_cut(key), _cut(finding.title)), finding))
    for need in answer.permissions:
        if not need.recorded:
            name = need.airspace or need.subject.value
            key = f"need: {need.subject.value}: {name}"
            found.append((Cause(_cut(key), _cut(name)), need))
    return found


def _cut(text: str) -> str:
    clean = told(" ".join(marked(text).split()))
    return clean if len(clean) <= _LONGEST_TITLE else f"{clean[: _LONGEST_TITLE - 1]}…"
