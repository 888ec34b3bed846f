"""Rules on where a return or a landing on lost link ends: on people, in trees, on a roof, in water."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely

from planner.flight.answer import return_of
from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.failsafe import RETURNS
from planner.flight.fall import PLACE_ERROR_M
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, worst_of
from planner.rules.landing_words import adrift_words
from planner.rules.loss_reached import MAY_BE, matters, may_reach, reached
from planner.rules.loss_words import does, lost
from planner.rules.words import over_ft, room_ft
from planner.saying import marked

_MOST_NAMED: Final = 3
_ENDS_IN: Final = {
    Below.TREES: "in trees",
    Below.BUILDING: "on a building",
    Below.WATER: "in water",
}


def ended_on(case: Case, thing: Thing) -> bool:
    """Whether a return may end on a thing: its landing there is one on whatever is beneath.

    It finds its place by satellites, on a map: no nearer than their errors let it (check value 8.4).
    """
    return _beside_m(case, thing) <= PLACE_ERROR_M


def _beside_m(case: Case, thing: Thing) -> float:
    """Return how far from a thing the aircraft is where its return ends [m]; inf where nothing returns."""
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    if link_loss is None or link_loss.action not in RETURNS or case.mapped is None:
        return math.inf
    if (home := return_of(case.plan, case.mapped)) is None:
        return math.inf
    away_m = float(shapely.distance(thing.shape, shapely.Point(home.x_m, home.y_m)))
    assert case.plan.aircraft is not None
    return max(away_m - case.plan.aircraft.largest_dimension_m / 2, 0.0)


def _not_exactly(case: Case, things: Sequence[Thing]) -> str:
    """Return why it may end on what lies beside the place; '' where one of them is at the place itself."""
    beside_m = min(_beside_m(case, one) for one in things)
    if beside_m <= 0.0:
        return ""
    return f", {room_ft(beside_m)} beside: it finds the place to {over_ft(PLACE_ERROR_M)}, no nearer"


def returns_onto(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return ends on people, an act where it ends where they may be."""
    for thing in things_about(case):
        if not matters(thing) or not ended_on(case, thing):
            continue
        there = thing.below in OF_PEOPLE
        what = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
        found = _at_home(
            case,
            rule="link-loss-on-people",
            mark=Mark.STOP if there else Mark.ACT,
            title="On lost link it lands on people" if there else "On lost link it lands where people may be",
            message=f"{_returns(case)}, and lands there on {what}{_not_exactly(case, [thing])}; nobody "
            "steers it.",
            remedy="set the return point or the launch point where nobody is, close the place and tell "
            "everybody, or set another action",
        )
        yield by_category(case, thing, found)


def ends_in_something(case: Case) -> Iterator[Finding]:
    """Yield an act for each kind of trees, buildings and water that a return or a landing ends in."""
    for below, where in _ENDS_IN.items():
        of_kind = [one for one in things_about(case) if one.below is below]
        found = [*_returned_into(case, of_kind, where), *_landed_in(case, of_kind, where)]
        # Of a path in it the area is told where the path tells nothing.
        yield from found or _landed_in_area(case, where, below)


def _returned_into(case: Case, things: Sequence[Thing], where: str) -> Iterator[Finding]:
    met = [one for one in things if ended_on(case, one)]
    if met:
        yield _at_home(
            case,
            rule="link-loss-ends-in",
            mark=Mark.ACT,
            title=f"On lost link it lands {where}",
            message=f"{_returns(case)}, and lands there {where}: {_names(met)}{_not_exactly(case, met)}.",
            remedy="set the return point or the launch point on open ground, or set another action",
        )


def _landed_in(case: Case, things: Sequence[Thing], where: str) -> Iterator[Finding]:
    flight, track = case.flight, case.track
    if (
        flight is None
        or track is None
        or (loss := flight.loss) is None
        or flight.beneath is None
        or not things
    ):
        return
    if loss.failsafe.action is not LinkLossAction.LAND:
        return
    everything = attrs.evolve(things[0], shape=shapely.union_all([one.shape for one in things]))
    met = reached(flight, loss, everything) | may_reach(case.plan, flight, loss, everything)
    if (worst := worst_of(track, met)) is None:
        return
    spot = shapely.Point(loss.corner_x_m[worst.sample, 3], loss.corner_y_m[worst.sample, 3])
    nearest = things[int(np.argmin([shapely.distance(one.shape, spot) for one in things]))]
    yield worst.finding(
        rule="link-loss-ends-in",
        mark=Mark.ACT,
        title=f"On lost link it lands {where}",
        message=f"{lost(worst.stretch)} the aircraft lands "
        f"{where}: {nearest.called}. {marked(adrift_words(flight, loss))}".rstrip(),
        remedy="set an action that takes it to open ground, or fly where it can land",
    )


def _landed_in_area(case: Case, where: str, below: Below) -> Iterator[Finding]:
    flight = case.area_flight
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    if flight is None or link_loss is None:
        return
    if link_loss.action is not LinkLossAction.LAND:
        return
    met = [one.thing for one in flight.nearby if one.thing.below is below and one.ended_on]
    if met:
        yield _finding(
            rule="link-loss-ends-in",
            mark=Mark.ACT,
            title=f"On lost link it lands {where}",
            message=f"Lost in places of the flying area the aircraft lands {where}: {_names(met)}.",
            remedy="set an action that takes it to open ground, or cut them out of the area",
        )


def things_about(case: Case) -> Sequence[Thing]:
    """Return what is drawn and charted about the path, else about the flying area."""
    if case.flight is not None:
        return case.flight.beneath.things if case.flight.beneath is not None else ()
    return [one.thing for one in case.area_flight.nearby] if case.area_flight is not None else ()


def _returns(case: Case) -> str:
    assert case.plan.aircraft is not None
    assert case.plan.aircraft.link_loss is not None
    return f"The aircraft {does(case.plan, case.plan.aircraft.link_loss.action)}"


def _names(things: Sequence[Thing]) -> str:
    names = sorted({one.called for one in things})
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return f"{', '.join(names[:_MOST_NAMED])}{more}"


def _at_home(case: Case, *, rule: str, mark: Mark, title: str, message: str, remedy: str) -> Finding:
    assert case.mapped is not None
    home = return_of(case.plan, case.mapped)
    assert home is not None
    found = _finding(rule=rule, mark=mark, title=title, message=message, remedy=remedy)
    return attrs.evolve(found, place=case.mapped.frame.xy_to_place(home.x_m, home.y_m))


def _finding(*, rule: str, mark: Mark, title: str, message: str, remedy: str) -> Finding:
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation=COMMON_PRACTICE,
        remedy=remedy,
    )


RULES = (returns_onto, ends_in_something)
