"""A remedy with the verdict on the whole plan after it: what it cures may not be all that is wrong."""

from collections import Counter
from collections.abc import Sequence

import attrs

from planner.assess import assess, memory_of
from planner.assessment import Assessment
from planner.remedy.remedy import Remedy
from planner.rules.finding import Finding, Mark
from planner.rules.verdict import Verdict

_HEAVY = (Mark.STOP, Mark.UNKNOWN)
_RANK = {Verdict.READY: 0, Verdict.PERMISSION_NEEDED: 0, Verdict.UNDETERMINED: 1, Verdict.MUST_CHANGE: 2}


@attrs.frozen(eq=False)
class Judged:
    """A remedy, and the plan as it is judged before and after."""

    remedy: Remedy
    before: Assessment
    then: Assessment

    @property
    def open_then(self) -> tuple[Finding, ...]:
        """What still stops the plan, or is not known, after it and stood before."""
        return tuple(one for one in _heavy(self.then) if one not in self.new_then)

    @property
    def new_then(self) -> tuple[Finding, ...]:
        """What stops it, or is not known, only after it: of a rule that says so more often than before."""
        before = Counter((one.rule, one.mark) for one in _heavy(self.before))
        found = []
        for one in _heavy(self.then):
            before[one.rule, one.mark] -= 1
            if before[one.rule, one.mark] < 0:
                found.append(one)
        return tuple(found)


def best_judged(answer: Assessment, remedies: Sequence[Remedy]) -> Judged:
    """Return the first remedy after which nothing stops the plan, else the one that leaves least open.

    A permission that can be asked for stops nothing. `remedies` come with the
    one that changes least first; there is at least one.
    """
    memory, found = memory_of(answer), []
    for number, remedy in enumerate(remedies):
        then = assess(remedy.edit.apply(answer.plan), answer.world, memory)
        judged = Judged(remedy, answer, then)
        if not _RANK[then.verdict]:
            return judged
        marks = Counter(one.mark for one in then.findings)
        found.append((_RANK[then.verdict], marks[Mark.STOP], marks[Mark.UNKNOWN], number, judged))
    return min(found, key=lambda entry: entry[:4])[4]


def _heavy(answer: Assessment) -> tuple[Finding, ...]:
    return tuple(one for one in answer.findings if one.mark in _HEAVY)
