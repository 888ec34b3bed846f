"""Rule on own crew in or about a flying area onto whom the aircraft comes by itself after a lost link."""

from collections.abc import Iterator
from typing import Final

from planner.flight.area_flight import AreaFlight, Nearby
from planner.flight.below import Below
from planner.flight.failsafe import RETURNS, Failsafe
from planner.rules.area_flies_into import flown_into
from planner.rules.area_flight import of_kinds, place_of
from planner.rules.area_links import area_failsafe
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.loss_on_crew import REMEDY, TITLE, away_from_spots
from planner.rules.loss_words import does

_CREW: Final = frozenset({Below.CREW})


def onto_crew_of_area(case: Case) -> Iterator[Finding]:
    """Yield something to do where it comes onto crew in or about the area, but not where it lands."""
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or case.mapped is None:
        return
    away = {id(one) for one in away_from_spots(case, [near.thing for near in of_kinds(case, _CREW)])}
    met = [
        one
        for one in of_kinds(case, _CREW)
        if id(one.thing) in away and _comes_onto(case, flight, failsafe, one)
    ]
    if not met:
        return
    names = ", ".join(sorted({one.thing.called for one in met}))
    yield Finding(
        rule="link-loss-on-crew",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=TITLE,
        message=f"Lost in the flying area the aircraft flies on as it flew for {failsafe.delay_s:g} s, as "
        f"low as it was, then it {does(case.plan, failsafe.action)}: from some places of it that is onto "
        f"{names}.",
        citation=COMMON_PRACTICE,
        remedy=REMEDY,
        place=place_of(case, met[0]),
    )


def _comes_onto(case: Case, flight: AreaFlight, failsafe: Failsafe, one: Nearby) -> bool:
    if one.apart_m <= 0.0:
        # Anywhere in an area it is flown, as low as anybody stands there.
        return failsafe.action not in RETURNS or flight.comes.wait_m > 0.0
    if failsafe.action not in RETURNS:
        return one.ended_on or one.may_end_on
    return flown_into(case, one, flight.comes.wait_m) is not None


RULES = (onto_crew_of_area,)
