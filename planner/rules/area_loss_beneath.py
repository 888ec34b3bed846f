"""Rules on whom a flight in an area comes down on, or returns over, when its link is lost."""

from collections.abc import Iterator

from planner.flight.area_flight import Nearby
from planner.flight.below import OF_PEOPLE, Below
from planner.flight.drift_bound import drift_is_open
from planner.flight.failsafe import RETURNS, Failsafe
from planner.flight.fall_zone import grown_by_m
from planner.plan.aircraft import LinkLossAction
from planner.rules.area_flies_into import flown_into
from planner.rules.area_flight import of_kinds, place_of
from planner.rules.area_links import area_failsafe
from planner.rules.area_reach import fastest_said
from planner.rules.beneath_judged import PLACES
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.landing_words import RATE, adrift_in_area, lands_adrift
from planner.rules.loss_assumed import by_what_is_said
from planner.rules.loss_ends import ended_on
from planner.rules.loss_words import does
from planner.rules.words import over_ft, room_ft
from planner.saying import marked


def over_people(case: Case) -> Iterator[Finding]:
    """Yield who a return from the area leads over, outside of it, or whom it comes down on inside it."""
    failsafe = area_failsafe(case)
    if failsafe is None:
        return
    holds = failsafe.action is LinkLossAction.HOLD
    for one, found in _over_people(case, failsafe):
        yield by_category(case, one.thing, found, sustained=holds)


def _over_people(case: Case, failsafe: Failsafe) -> Iterator[tuple[Nearby, Finding]]:
    for one in of_kinds(case, OF_PEOPLE | PLACES):
        closed = one.thing.item is not None and one.thing.item.closed_site is True
        if closed and one.thing.below not in OF_PEOPLE:
            continue
        if failsafe.action not in RETURNS and one.ended_on:
            yield one, _comes_down_on(case, failsafe, one)
        elif one.may_end_on and (causes := list(_not_said(case, failsafe))):
            yield one, _may_come_down_on(case, failsafe, one, causes)
        if failsafe.action not in RETURNS or ended_on(case, one.thing):
            continue
        gathering = one.thing.below is Below.ASSEMBLY
        if not gathering and case.area_flight and flown_into(case, one, case.area_flight.comes.wait_m):
            # Before it turns home it flies into them: that is told.
            continue
        if one.apart_m > 0 and one.returned_over:
            yield one, _returns_over(case, failsafe, one)
        elif one.apart_m > 0 and one.may_return_over and gathering:
            yield one, _may_return_over(case, failsafe, one)


def _comes_down_on(case: Case, failsafe: Failsafe, one: Nearby) -> Finding:
    there = one.thing.below in OF_PEOPLE
    # Right beneath, and where it has flown on to, it comes down however long it lands.
    adrift = failsafe.by_satellites is False and lands_adrift(failsafe) and not _flown_over(case, one)
    found = Finding(
        rule="link-loss-on-people",
        mark=Mark.STOP if there or failsafe.action is LinkLossAction.DROP else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"On lost link it comes down {'on people' if there else 'where people may be'}",
        message=_lost_where(case, failsafe, one) + (f" {marked(adrift_in_area(case))}" if adrift else ""),
        citation=COMMON_PRACTICE,
        remedy="cut them out of the area, close the place and tell everybody, or set another action"
        if one.apart_m <= 0
        else "end the area farther before them, set a shorter delay, close the place and tell everybody, or "
        "set another action",
        place=place_of(case, one),
    )
    return by_what_is_said(found, failsafe, RATE) if adrift else found


def _flown_over(case: Case, one: Nearby) -> bool:
    flight = case.area_flight
    assert flight is not None
    on_m = flight.waits.reach_m if flight.waits.reach_m > 0.0 else 0.0
    return one.apart_m <= on_m + grown_by_m(case.plan.aircraft)


def _may_come_down_on(
    case: Case, failsafe: Failsafe, one: Nearby, causes: list[tuple[str, str, str]]
) -> Finding:
    there = one.thing.below in OF_PEOPLE
    rules, whys, cures = zip(*causes, strict=True)
    return Finding(
        rule=rules[0],
        mark=Mark.UNKNOWN if there or failsafe.action is LinkLossAction.DROP else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"On lost link it may come down {'on people' if there else 'where people may be'}",
        message=f"{_lost_where(case, failsafe, one)} {' '.join(marked(why) for why in whys)}",
        citation=COMMON_PRACTICE,
        remedy=f"{', '.join(cures)}, end the area farther before them, or set another action",
        place=place_of(case, one),
    )


def _not_said(case: Case, failsafe: Failsafe) -> Iterator[tuple[str, str, str]]:
    """Yield what is not said of how far it comes: a rule's name, a sentence, and what to give."""
    flight = case.area_flight
    assert flight is not None
    if flight.airspeed_mps is None and (failsafe.delay_s > 0.0 or failsafe.action is LinkLossAction.DROP):
        on_m = flight.most_waits.reach_m
        flies_on = f"it first flies on {over_ft(on_m)}." if on_m > 0.0 else "it falls as far ahead as that."
        why = f"No airspeed is given: at 87 kt, the speed limit, {flies_on}"
        yield "reach-not-known", why, "give the aircraft's highest airspeed"
    if lands_adrift(failsafe):
        yield "link-loss-adrift", adrift_in_area(case), "say whether it uses a satellite fix to land"
    elif failsafe.action is not LinkLossAction.LAND and drift_is_open(case.plan) and flight.weather.wind:
        why = "No drag area says how far wind carries it then."
        yield "link-loss-drift-not-known", why, "give the aircraft's drag area"


def _may_return_over(case: Case, failsafe: Failsafe, one: Nearby) -> Finding:
    whys = [why for _, why, _ in _not_said(case, failsafe)]
    return Finding(
        rule="reach-not-known",
        mark=Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="On lost link it may return over people",
        message=f"{_lost_where(case, failsafe, one)} {' '.join(marked(why) for why in whys)} From there its "
        "way home may lead over them.",
        citation=COMMON_PRACTICE,
        remedy="give the aircraft's highest airspeed, move the launch point or them, or set another action",
        place=place_of(case, one),
    )


def _lost_where(case: Case, failsafe: Failsafe, one: Nearby) -> str:
    if one.apart_m <= 0:
        what = does(case.plan, failsafe.action)
        return f"Lost over {one.thing.called} inside the flying area the aircraft {what}."
    flight = case.area_flight
    assert flight is not None
    on = (
        f" flies on for {failsafe.delay_s:g} s, {over_ft(flight.waits.reach_m)} at "
        f"{fastest_said(case.plan)} and with the wind, then"
        if flight.waits.reach_m > 0.0
        else ""
    )
    return (
        f"Lost at the edge of the flying area the aircraft{on} {does(case.plan, failsafe.action)}: "
        f"{one.thing.called}, {room_ft(one.apart_m)} outside."
    )


def _returns_over(case: Case, failsafe: Failsafe, one: Nearby) -> Finding:
    there = one.thing.below in OF_PEOPLE
    gathering = one.thing.below is Below.ASSEMBLY
    return Finding(
        rule="return-over-people",
        mark=Mark.STOP if gathering else Mark.ACT if there else Mark.NOTE,
        basis=Basis.SAFETY,
        title=f"On lost link it returns over {'people' if there else 'where people may be'}",
        message=f"Lost in the flying area the aircraft {does(case.plan, failsafe.action)}; the way home from "
        f"some places leads over {one.thing.called}, and nobody steers it.",
        citation=COMMON_PRACTICE,
        remedy="move the launch point or them, close the place and tell everybody, or set another action"
        if there
        else "",
        place=place_of(case, one),
    )


RULES = (over_people,)
