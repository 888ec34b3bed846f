"""Rules on whom the aircraft comes down on, or returns over, when the control link is lost."""

from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.below import GRAVEST_FIRST, OF_PEOPLE, Below, Thing
from planner.flight.failsafe import RETURNS
from planner.plan.aircraft import LinkLossAction
from planner.rules.beneath_judged import as_fast_words
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.landing_words import RATE, adrift_words
from planner.rules.loss_assumed import by_what_is_said
from planner.rules.loss_ends import ended_on
from planner.rules.loss_reached import MAY_BE, matters, may_come_to, may_reach, reached
from planner.rules.loss_words import comes_down, lost
from planner.saying import marked


@attrs.frozen
class OnPeople:
    """The first sample from which it comes down on people (`there`), or where they may be."""

    sample: int
    there: bool
    what: str


def first_on_people(case: Case) -> OnPeople | None:
    """Return where the link must not be lost for those beneath, people who are there first."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or flight.beneath is None:
        return None
    found = None
    for thing in flight.beneath.things:
        if not matters(thing):
            continue
        there = thing.below in OF_PEOPLE
        if loss.failsafe.action in RETURNS:
            met = ~loss.blown_away & ended_on(case, thing)
        else:
            met = reached(flight, loss, thing)
        if met.any() and (found is None or (there and not found.there)):
            found = OnPeople(int(np.argmax(met)), there, thing.called)
    return found


def comes_down_on(case: Case) -> Iterator[Finding]:
    """Yield a stop where it comes down on people, and where a drop meets a place where they may be."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or flight.beneath is None:
        return
    if loss.failsafe.action in RETURNS:
        return
    things = [one for one in flight.beneath.things if matters(one)]
    for thing in things:
        worst = worst_of(track, reached(flight, loss, thing))
        if worst is None:
            yield from _may_come_down_on(case, thing)
            continue
        there = thing.below in OF_PEOPLE
        stop = there or loss.failsafe.action is LinkLossAction.DROP
        what = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
        drifts = loss.failsafe.by_satellites is False and adrift_words(flight, loss)
        found = worst.finding(
            rule="link-loss-on-people",
            mark=Mark.STOP if stop else Mark.ACT,
            title="On lost link it comes down on people"
            if there
            else "On lost link it comes down where people may be",
            message=f"{lost(worst.stretch)} the aircraft "
            f"{comes_down(case.plan, loss.failsafe.action)} on {what}."
            + (f" {marked(drifts)}" if drifts else ""),
            remedy="set an action that takes it away from there, close the place and tell everybody, or fly "
            "farther away",
        )
        found = by_what_is_said(found, loss.failsafe, RATE) if drifts else found
        yield by_category(case, thing, found, sustained=loss.failsafe.action is LinkLossAction.HOLD)


def _may_come_down_on(case: Case, thing: Thing) -> Iterator[Finding]:
    """Yield what is open, or something to do, where what is not said decides whether it reaches a thing."""
    drifting = list(_may_drift_on(case, thing))
    yield from drifting or _may_fly_to(case, thing)


def _may_fly_to(case: Case, thing: Thing) -> Iterator[Finding]:
    flight, track = case.flight, case.track
    assert flight is not None
    assert track is not None
    assert flight.loss is not None
    if (worst := worst_of(track, may_come_to(flight, thing))) is None:
        return
    there, action = thing.below in OF_PEOPLE, flight.loss.failsafe.action
    found = worst.finding(
        rule="reach-not-known",
        mark=Mark.UNKNOWN if there or action is LinkLossAction.DROP else Mark.ACT,
        title=f"On lost link it may come down {'on people' if there else 'where people may be'}",
        message=f"{lost(worst.stretch)} the aircraft flies "
        f"on for {flight.loss.failsafe.delay_s:g} s, then {comes_down(case.plan, action)}. "
        f"{marked(as_fast_words(case.plan))}, that may be on "
        f"{thing.called if there else f'{MAY_BE[thing.below]} ({thing.called})'}.",
        remedy="say how fast the legs are flown, set another action, or fly farther away",
    )
    yield by_category(case, thing, found, sustained=action is LinkLossAction.HOLD)


def _may_drift_on(case: Case, thing: Thing) -> Iterator[Finding]:
    """Yield an unknown, else an act, where it falls and no drag area says whether wind takes it there."""
    flight, track = case.flight, case.track
    assert flight is not None
    assert track is not None
    assert flight.loss is not None
    if (worst := worst_of(track, may_reach(case.plan, flight, flight.loss, thing))) is None:
        return
    there = thing.below in OF_PEOPLE
    action = flight.loss.failsafe.action
    lands = action is LinkLossAction.LAND
    whom = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
    found = worst.finding(
        rule="link-loss-adrift" if lands else "link-loss-drift-not-known",
        mark=Mark.UNKNOWN if there or action is LinkLossAction.DROP else Mark.ACT,
        title=f"On lost link wind may carry it {'onto people' if there else 'where people may be'}",
        message=f"{lost(worst.stretch)} the aircraft "
        f"{comes_down(case.plan, action)}"
        + (
            f". {marked(adrift_words(flight, flight.loss))} That may be as far as {whom}."
            if lands
            else f", and no drag area says how far wind carries it then: it may be as far as {whom}."
        ),
        remedy=("say whether it uses a satellite fix to land" if lands else "give the aircraft's drag area")
        + ", set an action that takes it away from there, or fly farther away",
    )
    yield by_category(case, thing, found, sustained=action is LinkLossAction.HOLD)


def first_returning_over(case: Case) -> OnPeople | None:
    """Return where the link must not be lost for those that it then returns over, a gathering first."""
    over = [(thing, met) for thing, met in _returned_over(case) if thing.below in OF_PEOPLE]
    if not over:
        return None
    thing, met = min(over, key=lambda one: GRAVEST_FIRST.index(one[0].below))
    return OnPeople(int(np.argmax(met)), True, thing.called)


def returns_over(case: Case) -> Iterator[Finding]:
    """Yield a stop where the way home leads over a gathering, an act over others, else a note."""
    for thing, met in _returned_over(case):
        assert case.track is not None
        worst = worst_of(case.track, met)
        assert worst is not None
        there = thing.below in OF_PEOPLE
        what = thing.called if there else f"{MAY_BE[thing.below]} ({thing.called})"
        found = worst.finding(
            rule="return-over-people",
            mark=Mark.NOTE if not there else Mark.STOP if thing.below is Below.ASSEMBLY else Mark.ACT,
            title="On lost link it returns over people"
            if there
            else "On lost link it returns over where people may be",
            message=f"{lost(worst.stretch)} its way home leads over {what}, and nobody steers it.",
            remedy="move the landing point or them, close the place and tell everybody, or set another action"
            if there
            else "",
        )
        yield by_category(case, thing, found)


def _returned_over(case: Case) -> Iterator[tuple[Thing, NDArray[np.bool_]]]:
    """Yield what a way home leads over, with the samples (n,) from which it does."""
    flight = case.flight
    if flight is None or (loss := flight.loss) is None or flight.beneath is None:
        return
    if loss.failsafe.action not in RETURNS:
        return
    for thing in flight.beneath.things:
        if not matters(thing) or ended_on(case, thing):
            # Where it ends on them that is told, not that it comes over them.
            continue
        if (met := loss.meets(thing.shape) & ~loss.blown_away).any():
            yield thing, met


RULES = (comes_down_on, returns_over)
