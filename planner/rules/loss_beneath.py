"""Rules on whom the aircraft comes down on, or returns over, when the control link is lost."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import FlightAnswer
from planner.flight.below import GRAVEST_FIRST, OF_PEOPLE, Below, Thing
from planner.flight.comes_down import places_of_impact
from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction
from planner.rules.beneath_judged import PLACES
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.loss_words import comes_down
from planner.rules.words import along

_MAY_BE: Final = {
    Below.ROAD: "a road on which vehicles may move",
    Below.TRAIL: "a trail on which people may be",
    Below.GATHERING_PLACE: "a place where people may gather",
}


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
    if loss.failsafe.action in RETURNS:
        return None
    found = None
    for thing in flight.beneath.things:
        if not _matters(thing):
            continue
        there = thing.below in OF_PEOPLE
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
    things = [one for one in flight.beneath.things if _matters(one)]
    for thing in things:
        worst = worst_of(track, reached(flight, loss, thing))
        if worst is None:
            continue
        there = thing.below in OF_PEOPLE
        stop = there or loss.failsafe.action is LinkLossAction.DROP
        what = thing.called if there else f"{_MAY_BE[thing.below]} ({thing.called})"
        yield worst.finding(
            rule="link-loss-on-people",
            mark=Mark.STOP if stop else Mark.ACT,
            title="On lost link it comes down on people"
            if there
            else "On lost link it comes down where people may be",
            message=f"Lost from {along(worst.stretch.from_m)} to {along(worst.stretch.to_m)} the aircraft "
            f"{comes_down(case.plan, loss.failsafe.action)} on {what}.",
            remedy="set an action that takes it away from there, close the place and tell everybody, or fly "
            "farther away",
        )


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
        what = thing.called if there else f"{_MAY_BE[thing.below]} ({thing.called})"
        yield worst.finding(
            rule="return-over-people",
            mark=Mark.NOTE if not there else Mark.STOP if thing.below is Below.ASSEMBLY else Mark.ACT,
            title="On lost link it returns over people"
            if there
            else "On lost link it returns over where people may be",
            message=f"Lost from {along(worst.stretch.from_m)} to {along(worst.stretch.to_m)} its way home "
            f"leads over {what}, and nobody steers it.",
            remedy="move the landing point or them, close the place and tell everybody, or set another action"
            if there
            else "",
        )


def _returned_over(case: Case) -> Iterator[tuple[Thing, NDArray[np.bool_]]]:
    """Yield what a way home leads over, with the samples (n,) from which it does."""
    flight = case.flight
    if flight is None or (loss := flight.loss) is None or flight.beneath is None:
        return
    if loss.failsafe.action not in RETURNS:
        return
    for thing in flight.beneath.things:
        if _matters(thing) and (met := loss.meets(thing.shape) & ~loss.blown_away).any():
            yield thing, met


def _matters(thing: Thing) -> bool:
    closed = thing.item is not None and thing.item.closed_site is True
    return thing.below in OF_PEOPLE or (thing.below in PLACES and not closed)


def reached(flight: FlightAnswer, loss: LossWays, thing: Thing) -> NDArray[np.bool_]:
    """Return from which samples it ends on a thing; what is met between two of them counts for both."""
    assert flight.beneath is not None
    places = places_of_impact(loss, flight.winds, flight.beneath.terminal_mps)
    known: NDArray[np.bool_] = np.asarray(np.isfinite(places).all(axis=(1, 2)))
    wide = shapely.buffer(thing.shape, max(flight.beneath.zone.grown_m, 0.1))
    steps = np.flatnonzero(known[:-1] & known[1:])
    clouds = np.concatenate([places[steps], places[steps + 1]], axis=1)
    beside = _beside(clouds, wide)
    steps, clouds = steps[beside], clouds[beside]
    hulls = shapely.convex_hull(shapely.linestrings(clouds))
    met = np.asarray(shapely.intersects(np.asarray(hulls, dtype=object), wide), dtype=np.bool_)
    near = steps[np.flatnonzero(met)]
    found = np.zeros(len(places), dtype=np.bool_)
    found[near], found[near + 1] = True, True
    return found


def _beside(clouds: NDArray[np.float64], shape: BaseGeometry) -> NDArray[np.bool_]:
    """Return whose box (n, k, 2) touches that of the shape: of most no hull is needed."""
    west, south, east, north = shape.bounds
    low, high = clouds.min(axis=1), clouds.max(axis=1)
    across = (low[:, 0] <= east) & (high[:, 0] >= west)
    return np.asarray(across & (low[:, 1] <= north) & (high[:, 1] >= south))


RULES = (comes_down_on, returns_over)
