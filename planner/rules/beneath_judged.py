"""Each thing beneath with what the rules say of it: for findings, JSON and strip alike."""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np

from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.beneath import Underneath
from planner.flight.crossings import Crossing
from planner.plan.model import Plan
from planner.rules.beneath_law import Ruling, ruling, ruling_of_places
from planner.rules.bibliography import OVER_PEOPLE
from planner.rules.case import Case
from planner.rules.declared_over import declared, declared_over, pass_over
from planner.rules.finding import Basis, Mark
from planner.rules.flight_words import COMMON_PRACTICE, feet, fine_speed
from planner.rules.standing import may_reach_m
from planner.rules.stays_over import stays_over
from planner.rules.words import over_ft, room_ft
from planner.saying import marked

PLACES: Final = frozenset({Below.ROAD, Below.GATHERING_PLACE, Below.TRAIL})
_ONE_TO_ONE: Final = f"European and British guidance, 1:1 rule; {COMMON_PRACTICE}"


@attrs.frozen(eq=False)
class Judged:
    """A thing, where the path meets it, and what is to be said; `rule` is the finding's."""

    rule: str
    thing: Thing
    crossings: tuple[Crossing, ...]
    ruling: Ruling
    apart_m: float | None = None
    sample: int | None = None


@attrs.frozen(eq=False)
class CoverMet:
    """Trees or a building that the path leads into, or whose height is not said.

    `lowest_m` is the lowest height flown over its ground [m], `height_m` its own.
    """

    thing: Thing
    crossing: Crossing
    lowest_m: float
    height_m: float | None

    @property
    def into(self) -> bool:
        """Whether the path surely leads into it."""
        return self.height_m is not None

    @property
    def mark(self) -> Mark:
        """How much it weighs."""
        return Mark.STOP if self.into else Mark.ACT


def judged(case: Case) -> Iterator[Judged]:
    """Yield everything beneath the path that there is something to say about, in the plan's order."""
    under = case.flight.beneath if case.flight else None
    if under is None:
        return
    met: dict[int, list[Crossing]] = {}
    for cross in under.crossings:
        met.setdefault(cross.thing, []).append(cross)
    for k, thing in enumerate(under.things):
        over = [cross for cross in met.get(k, []) if cross.overhead]
        beside = [cross for cross in met.get(k, []) if not cross.overhead]
        if thing.below in OF_PEOPLE:
            yield from _people(case, under, k, over, beside)
        elif over and (found := no_people(case.plan, thing)) is not None:
            yield Judged("over-" + thing.below.value, thing, tuple(over), found)


def cover_met(case: Case) -> Iterator[CoverMet]:
    """Yield each place where the path leads into something that stands, or may do so for all that is said.

    Charts know the heights of few buildings: over one that they give no height to it may lead into it where
    it is lower than such a building may be.
    """
    under, track = (case.flight.beneath if case.flight else None), case.track
    if under is None or track is None:
        return
    for cross in under.crossings:
        thing = under.things[cross.thing]
        reach_m = may_reach_m(case, thing)
        if not cross.overhead or reach_m is None:
            continue
        here = (track.distance_m >= cross.from_m) & (track.distance_m <= cross.to_m)
        ends = np.interp([cross.from_m, cross.to_m], track.distance_m, track.planned_agl_m)
        lowest_m = float(np.min(np.append(track.planned_agl_m[here], ends)))
        if lowest_m < reach_m:
            yield CoverMet(thing, cross, lowest_m, thing.height_m)


def _people(
    case: Case, under: Underneath, k: int, over: Sequence[Crossing], beside: Sequence[Crossing]
) -> Iterator[Judged]:
    plan, thing, own_m = case.plan, under.things[k], case.plan.own_people_distance_m
    apart = under.apart_m[k]
    nearest = int(np.argmin(apart))
    if over:
        passed = pass_over(case, thing, over, sustained=stays_over(case, thing, over))
        found = ruling(thing.below, plan.purpose, passed)
        yield Judged("over-people", thing, tuple(over), found, 0.0, nearest)
    if own_m is not None and apart[nearest] < own_m:
        yield Judged(
            "own-distance",
            thing,
            (),
            own_distance(float(apart[nearest]), own_m),
            float(apart[nearest]),
            nearest,
        )
    if over:
        return
    if beside:
        why = declared_over(case, thing, beside, sustained=stays_over(case, thing))
        fallen = declared(_fall(under, apart, own_m), why)
        yield Judged("fall-on-people", thing, tuple(beside), fallen, float(apart[nearest]), nearest)
        return
    near, unsaid = _people_near(case, under, k), _unsaid(case, under, k)
    if near is not None and (unsaid is None or near.ruling.mark is Mark.STOP):
        yield near
    elif unsaid is not None:
        yield unsaid


def _people_near(case: Case, under: Underneath, k: int) -> Judged | None:
    """Return what is said of people beside whom it passes nearer than a failing aircraft may come."""
    thing, apart = under.things[k], under.apart_m[k]
    with np.errstate(invalid="ignore"):
        lack = under.zone.separation_m - apart
    if np.isnan(lack).all() or (worst := int(np.nanargmax(lack))) is None or lack[worst] <= 0:
        return None
    found = _near(under, worst, apart, case.plan.own_people_distance_m)
    # What nobody said may only bring it farther: told beside, and no reason to leave open what is a stop.
    if k in under.may_fall_on:
        found = attrs.evolve(found, why=f"{marked(found.why)} {bound_words(_most_drift_m(under))}")
    elif k in under.may_reach:
        found = attrs.evolve(found, why=f"{marked(found.why)} {_comes_words(case, under)}")
    near = declared(found, declared_over(case, thing))
    return Judged("people-near", thing, (), near, float(apart[worst]), worst)


def _unsaid(case: Case, under: Underneath, k: int) -> Judged | None:
    """Return what is said of people whom only what nobody said may bring it onto: wind, or its speed."""
    thing, own_m = under.things[k], case.plan.own_people_distance_m
    nearest = int(np.argmin(under.apart_m[k]))
    apart_m = float(under.apart_m[k][nearest])
    if carried := under.may_fall_on.get(k):
        may = declared(_may_drift(under, apart_m, own_m), declared_over(case, thing, carried))
        return Judged("drift-not-known", thing, carried, may, apart_m, nearest)
    if ahead := under.may_reach.get(k):
        may = declared(_may_reach(case, under, apart_m), declared_over(case, thing, ahead))
        return Judged("reach-not-known", thing, ahead, may, apart_m, nearest)
    return None


def _most_drift_m(under: Underneath) -> float:
    assert under.most_drift_m is not None
    return float(np.nanmax(under.most_drift_m))


def _comes_words(case: Case, under: Underneath) -> str:
    return f"{as_fast_words(case.plan)}, what fails comes down up to {over_ft(under.most_reach_m)} away."


def own_distance(apart_m: float, own_m: float) -> Ruling:
    """Return what is said of somebody nearer than the pilot's own distance [m]."""
    return Ruling(
        Mark.STOP,
        Basis.OWN_LIMIT,
        f"{room_ft(apart_m)} away; you want {over_ft(own_m)}.",
        "",
        "fly farther away, or set another distance",
    )


def _fall(under: Underneath, apart: np.ndarray, own_m: float | None) -> Ruling:
    wanted_m = float(np.nanmax(under.zone.separation_m))
    kept = own_m is not None and float(apart.min()) >= own_m
    exact_m = under.zone.grown_m
    return Ruling(
        Mark.ACT if kept else Mark.STOP,
        Basis.SAFETY,
        f"The path passes {room_ft(float(apart.min()))} beside, and an aircraft that fails there comes down "
        f"on them: its fall reaches {feet(float(np.nanmax(under.zone.reach_m)))} ahead"
        + (
            f", wind carries it {feet(float(np.nanmax(under.zone.drift_m)))}"
            if under.zone.drift_m.any()
            else ""
        )
        + f". It is no more exactly on its path than {over_ft(exact_m)}."
        + (" Your own distance is kept." if kept else ""),
        COMMON_PRACTICE,
        f"keep {over_ft(wanted_m)} away, fly slower or lower there, or set your own distance",
    )


def _may_drift(under: Underneath, apart_m: float, own_m: float | None) -> Ruling:
    """Return what is said where wind may carry what fails onto somebody, and no drag area says whether."""
    kept = own_m is not None and apart_m >= own_m
    most_m = _most_drift_m(under)
    return Ruling(
        Mark.ACT if kept else Mark.UNKNOWN,
        Basis.SAFETY,
        f"The path passes {room_ft(apart_m)} beside. {bound_words(most_m)} So nobody can say whether what "
        "fails there comes down on them." + (" Your own distance is kept." if kept else ""),
        COMMON_PRACTICE,
        f"give the aircraft's drag area, or keep {over_ft(most_m)} away downwind",
    )


def _may_reach(case: Case, under: Underneath, apart_m: float) -> Ruling:
    """Return what is said where nobody said how fast a leg is flown, and a fast one falls onto somebody."""
    own_m, most = case.plan.own_people_distance_m, over_ft(under.most_reach_m)
    kept = own_m is not None and apart_m >= own_m
    return Ruling(
        Mark.ACT if kept else Mark.UNKNOWN,
        Basis.SAFETY,
        f"The path passes {room_ft(apart_m)} beside. {_comes_words(case, under)} So nobody can say whether "
        "it does on them." + (" Your own distance is kept." if kept else ""),
        COMMON_PRACTICE,
        f"say how fast the legs are flown, or keep {most} away",
    )


def as_fast_words(plan: Plan) -> str:
    """Return how fast it may fly where nobody said it, the beginning of a sentence."""
    able = plan.aircraft.performance if plan.aircraft else None
    if able is not None and able.highest_mps is not None:
        fastest = fine_speed(able.highest_mps)
        return f"How fast the legs are flown is not said: at its highest airspeed, {fastest}"
    return "How fast the legs are flown is not said: at 87 kt, the speed limit"


def bound_words(most_m: float) -> str:
    """Return how far wind carries what fails at the most, without a drag area [m]."""
    return (
        "No drag area is given, so how far gusts carry what fails is not known: as a disc of its size, "
        f"falling flat, {over_ft(most_m)} at the most."
    )


def _near(under: Underneath, k: int, apart: np.ndarray, own_m: float | None) -> Ruling:
    zone = under.zone
    enough = bool(zone.one_to_one_enough[k])
    kept = own_m is not None and float(apart.min()) >= own_m
    more = (
        ""
        if enough
        else f" At this speed the height is not enough: the fall reaches {feet(float(zone.reach_m[k]))}."
    )
    return Ruling(
        Mark.ACT if kept else Mark.STOP,
        Basis.SAFETY,
        f"{room_ft(float(apart[k]))} away from {feet(float(zone.height_m[k]))} up: nearer than a failing "
        f"aircraft may come, whichever way it turns.{more}" + (" Your own distance is kept." if kept else ""),
        _ONE_TO_ONE,
        f"keep {over_ft(float(zone.separation_m[k]))} away, fly lower there, or set your own distance",
    )


def no_people(plan: Plan, thing: Thing) -> Ruling | None:
    """Return what is said of flying over something that is nobody, None where it is nothing."""
    match thing.below:
        case Below.ROAD | Below.GATHERING_PLACE | Below.TRAIL:
            return ruling_of_places(thing.below, plan.purpose)
        case Below.UNDER_COVER:
            why = "Under a covered structure or in a stationary vehicle: they may be overflown."
            return Ruling(Mark.NOTE, Basis.LAW, why, OVER_PEOPLE)
        case Below.WIRE:
            why = "Charts show few wires and none for sure."
            remedy = "look at them on the spot before flying there"
            return Ruling(Mark.ACT, Basis.SAFETY, why, COMMON_PRACTICE, remedy)
        case Below.BUILDING:
            why = "Who is inside is under cover, who steps out is not."
            return Ruling(Mark.NOTE, Basis.SAFETY, why, COMMON_PRACTICE)
        case Below.WATER:
            return Ruling(Mark.NOTE, Basis.SAFETY, "What falls there is lost.", COMMON_PRACTICE)
        case _:
            return None
