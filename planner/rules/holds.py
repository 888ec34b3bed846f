"""Until when what a plan rests on holds, and a rule on what ends before the flight does."""

from collections.abc import Iterator
from datetime import datetime

from planner.rules import basics
from planner.rules.bibliography import notices_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.moments import moment
from planner.rules.unknowns import Weight
from planner.world.currency import LayerState

_NOTICES = "the check of notices"


def ends_of(case: Case) -> Iterator[tuple[datetime, str]]:
    """Yield the moment at which each thing that a plan rests on ends, and what it is.

    Permissions are not among them: a record counts only if it holds for the whole window.
    """
    for status in case.data:
        record = status.record
        counts = status.state is LayerState.OK and status.weight is not Weight.ADVISORY
        if counts and record is not None and record.expires_utc is not None:
            yield record.expires_utc, status.layer.value.replace("_", " ")
    if case.plan.notices is not None:
        yield case.plan.notices.at_utc + basics.NOTICES_HOLD, _NOTICES


def ends_before_the_flight(case: Case) -> Iterator[Finding]:
    """Yield something to do for what holds at the start of the window but not to its end."""
    window = case.plan.window
    if window is None:
        return
    for end_utc, what in sorted(ends_of(case)):
        if window.start_utc <= end_utc < window.end_utc:
            never = " It holds for no minute of it." if end_utc == window.start_utc else ""
            notices = what == _NOTICES
            ends = "A check of notices counts for 24 hours: this one ends" if notices else "It ends"
            yield Finding(
                rule="ends-before-the-flight",
                mark=Mark.ACT,
                basis=Basis.LAW,
                title=f"{what[0].upper()}{what[1:]} ends before the time window",
                message=f"{ends} at {moment(end_utc, window)}, the time window at "
                f"{moment(window.end_utc, window)}.{never}",
                citation=notices_rule(case.plan.purpose),
                remedy="look notices up again shortly before the flight, and say when"
                if notices
                else "end the flight before that, or see to what follows it",
                numbers={"lacking_s": (window.end_utc - end_utc).total_seconds()},
            )


RULES = (ends_before_the_flight,)
