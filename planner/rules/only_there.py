"""What stops a flight, or leaves it open, only in the wind or the air that a report tells."""

from collections.abc import Callable, Iterable, Iterator

from planner.rules.case import Case
from planner.rules.finding import Finding, Mark

Rules = tuple[Callable[[Case], Iterable[Finding]], ...]


def stops_only_in(there: Case | None, here: Case, rules: Rules) -> tuple[str, ...]:
    """Return the titles of what stops the flight there, or leaves it open, and not here."""
    if there is None:
        return ()
    known = {one.rule for one in _heavy(here, rules)}
    return tuple(dict.fromkeys(one.title for one in _heavy(there, rules) if one.rule not in known))


def _heavy(case: Case, rules: Rules) -> Iterator[Finding]:
    return (one for rule in rules for one in rule(case) if one.mark in (Mark.STOP, Mark.UNKNOWN))
