"""What a rule says of a flight in every wind that counts, not only the one that is worst for the battery."""

import functools
from collections.abc import Callable, Iterator

import attrs

from planner.flight.answer import FlightAnswer
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import wind_words
from planner.saying import marked

_WEIGHT = {mark: rank for rank, mark in enumerate(Mark)}
Rule = Callable[[Case], Iterator[Finding]]


def in_each_wind(rule: Rule) -> Rule:
    """Return a rule that asks the same of the flight in each other wind, and tells what weighs more there.

    Of findings that weigh the same the first is told, that of the wind all else is reckoned with; notes are
    told of that one only.
    """

    @functools.wraps(rule)
    def asked(case: Case) -> Iterator[Finding]:
        found = list(rule(case))
        for other in case.flight.in_other_winds if case.flight is not None else ():
            for one in rule(attrs.evolve(case, flight=other)):
                alike = [k for k, known in enumerate(found) if _of(known) == _of(one)]
                if one.mark is Mark.NOTE or any(_WEIGHT[found[k].mark] <= _WEIGHT[one.mark] for k in alike):
                    continue
                found = [known for k, known in enumerate(found) if k not in alike]
                found.append(_named(one, other))
        yield from found

    return asked


def _of(finding: Finding) -> tuple[str, bool]:
    return finding.rule, finding.from_m is None


def _named(finding: Finding, flight: FlightAnswer) -> Finding:
    source = flight.weather.wind_source
    words = (
        f"That is in another wind than the charge is reckoned with: "
        f"{wind_words(flight.wind.speed_mps, flight.wind.gust_mps)} from "
        f"{flight.wind.from_true_deg:03.0f} degrees true ({source})."
    )
    return attrs.evolve(finding, message=f"{marked(finding.message)} {words}")
