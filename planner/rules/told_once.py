"""What several rules say of one thing, told once: as open as the worst of them has it."""

from collections.abc import Iterable

from planner.rules.finding import Finding, Mark

_OF_ONE_AIRSPACE = frozenset({"close-beside-airspace"})


def told_once(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings without what is something to do where another says of the same that it is open.

    A flight close beside an airspace, and what it does on lost link yet closer, ask for one thing: to keep
    farther away.
    """
    every = tuple(findings)
    asked = {_what(one) for one in every if one.mark is Mark.UNKNOWN and one.rule in _OF_ONE_AIRSPACE}
    return tuple(one for one in every if not (one.mark is Mark.ACT and _what(one) in asked))


def _what(finding: Finding) -> tuple[str, ...]:
    return finding.rule, finding.title, *finding.about
