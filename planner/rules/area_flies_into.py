"""Rule on whom a return flies into that is lost low at an area's edge: it flies on before it turns home."""

from collections.abc import Iterator

import numpy as np
import shapely

from planner.ceiling.evaluate import vertical_doubt_m
from planner.flight.area_comes import UNSAID_MPS, airspeed_of
from planner.flight.area_flight import AreaFlight, Nearby
from planner.flight.area_waits import wait_reach_m
from planner.flight.below import OF_PEOPLE
from planner.flight.failsafe import RETURNS, Failsafe
from planner.flight.fall_zone import grown_by_m
from planner.flight.surroundings import ground_over
from planner.rules.area_flight import of_kinds, place_of
from planner.rules.area_links import area_failsafe
from planner.rules.area_reach import fastest_said
from planner.rules.beneath_judged import PLACES
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.loss_flies_into import height_m
from planner.rules.loss_reached import MAY_BE, matters
from planner.rules.loss_words import does
from planner.rules.words import over_ft, room_ft
from planner.track.samples import AreaSamples


def flies_into(case: Case) -> Iterator[Finding]:
    """Yield a stop where it flies on into people outside the area, an act where they may be or by the errors.

    Open where only the speed limit would carry it there, as nobody said how fast it is, something to do where
    somebody did, but not how fast at the most. What stays comes down
    there: that is told (`area_loss_beneath`).
    """
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or failsafe.action not in RETURNS:
        return
    for one in of_kinds(case, OF_PEOPLE | PLACES):
        if matters(one.thing) and (found := _told(case, flight, failsafe, one)):
            yield by_category(case, one.thing, found)


def _told(case: Case, flight: AreaFlight, failsafe: Failsafe, one: Nearby) -> Finding | None:
    reached = next(
        (one_way for one_way in _reaches(case, flight) if _comes(case, one, one_way) is not None), None
    )
    if reached is None:
        return None
    reach_m, known, speed = reached
    there, sure = one.thing.below in OF_PEOPLE, _comes(case, one, reached)
    mark = known if there and sure else Mark.ACT
    stops = mark is Mark.STOP
    what = one.thing.called if there else f"{MAY_BE[one.thing.below]} ({one.thing.called})"
    return Finding(
        rule="link-loss-on-people",
        mark=mark,
        basis=Basis.SAFETY,
        title=f"On lost link it {'flies' if stops else 'may fly'} "
        f"{'into people' if there else 'through where people may be'}",
        message=f"Lost at the edge of the flying area the aircraft flies on as it flew for "
        f"{failsafe.delay_s:g} s, {over_ft(reach_m)} {speed}, however low it flew: into {what}, "
        f"{room_ft(one.apart_m)} outside; only then it {does(case.plan, failsafe.action)}.",
        citation=COMMON_PRACTICE,
        remedy="end the area farther before them, set a shorter delay, close the place and tell everybody"
        + ("" if known is Mark.STOP else ", or give the aircraft's highest airspeed"),
        place=place_of(case, one),
        numbers={"apart_m": one.apart_m, "reach_m": reach_m},
    )


def _reaches(case: Case, flight: AreaFlight) -> Iterator[tuple[float, Mark, str]]:
    """Yield how far on it flies [m], what it means that it comes to people there, and with which speed.

    As `area_reach` has it of what falls: who says a speed, but not the highest, has something to do.
    """
    yield flight.comes.wait_m, Mark.STOP, f"at {fastest_said(case.plan)} and with the wind"
    yield flight.at_most.wait_m, Mark.UNKNOWN, "at 87 kt, the speed limit, as no airspeed is given"
    most_m = wait_reach_m(case.plan, UNSAID_MPS, flight.wind_mps)
    yield most_m, Mark.ACT, "at 87 kt, the speed limit, as its highest airspeed is not given"


def _comes(case: Case, one: Nearby, reach: tuple[float, Mark, str]) -> bool | None:
    if reach[1] is Mark.ACT and airspeed_of(case.plan)[1]:
        return None
    return flown_into(case, one, reach[0])


def flown_into(case: Case, one: Nearby, reach_m: float) -> bool | None:
    """Return whether a flight as low as the area's ground, that far on, surely is as low as people there.

    False: only within the errors of heights. None: it does not come there, or passes high over them.
    """
    samples, mapped = case.area_samples, case.mapped
    if samples is None or mapped is None or one.apart_m <= 0.0 or not reach_m > 0.0:
        return None
    reach_m += grown_by_m(case.plan.aircraft)
    if one.apart_m >= reach_m:
        return None
    spots = shapely.get_coordinates([one.thing.shape, shapely.point_on_surface(one.thing.shape)])
    ground_m = np.nan if mapped.ground is None else np.fmax.reduce(ground_over((mapped.ground,), *spots.T))
    over_m = _lowest_m(samples, one, reach_m) - float(ground_m)
    high_m = height_m(one.thing)
    if over_m >= high_m + vertical_doubt_m(case.plan, mapped):
        return None
    # Where nobody knows the ground it may well be as low.
    return not over_m >= high_m


def _lowest_m(samples: AreaSamples, one: Nearby, reach_m: float) -> float:
    """Return how low the area may be flown from where it comes there [m AMSL]: just over its ground."""
    away_m = shapely.distance(shapely.points(samples.x_m, samples.y_m), one.thing.shape)
    # Places of the area stand apart: the nearest counts in any case.
    near = away_m <= max(reach_m, float(away_m.min(initial=np.inf)))
    return float(np.fmin.reduce(samples.ground_amsl_m[near], initial=np.inf)) if near.any() else float("nan")


RULES = (flies_into,)
