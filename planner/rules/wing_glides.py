"""Whom a wing may glide onto that does not return where its link is lost: as far as its glide may reach."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.area_flight import AreaFlight
from planner.flight.below import OF_PEOPLE, Thing
from planner.flight.failsafe import RETURNS, Failsafe
from planner.flight.fall_zone import grown_by_m
from planner.flight.surroundings import ground_over
from planner.flight.turning import turn_radius_m
from planner.flight.way_home import LossWays
from planner.rules.case import Case
from planner.rules.loss_reached import matters, reached
from planner.rules.wing_room import turn_speed_mps
from planner.track.mapped import Mapped

Floats = NDArray[np.float64]

GLIDE: Final = 10.0
"""As many times as far away as it is high: no long glide of a wing (common practice)."""
_DOWN_M: Final = 1.0
"""What is no higher over the ground than this has landed, and turns nowhere: own choice."""


@attrs.frozen
class Glided:
    """Somebody a wing may come down on: how far from where its action begins [m], and from which sample.

    `sample` is of the path's track, None of a flying area, from whose edge `away_m` is.
    """

    thing: Thing
    away_m: float
    sample: int | None


def glides_onto(case: Case, failsafe: Failsafe) -> list[Glided]:
    """Return those on whom it may come down, nearest first.

    Asked as far as its glide and as its whole circle, from where it has flown on to; not those on whom it
    comes down straight, falling or carried, of whom that is told.
    """
    if failsafe.action in RETURNS or case.mapped is None:
        return []
    found = [*_from_path(case, case.mapped), *_from_area(case, case.mapped)]
    nearest: dict[str, Glided] = {}
    for one in sorted(found, key=lambda one: one.away_m):
        nearest.setdefault(one.thing.called, one)
    return list(nearest.values())


def _from_path(case: Case, mapped: Mapped) -> Iterator[Glided]:
    flight = case.flight
    if flight is None or flight.loss is None or flight.beneath is None:
        return
    losses = (flight.loss, *flight.fast_losses)
    for thing in flight.beneath.things:
        if thing.below not in OF_PEOPLE or not matters(thing) or reached(flight, flight.loss, thing).any():
            continue
        for loss in losses:
            if (one := _nearest(case, mapped, (flight, loss), thing)) is not None:
                yield one
                break


def _nearest(case: Case, mapped: Mapped, flown: tuple[FlightAnswer, LossWays], thing: Thing) -> Glided | None:
    flight, loss = flown
    assert case.track is not None
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    x_m, y_m, level_m = (part[:, 1] for part in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m))
    known = np.isfinite(x_m) & np.isfinite(y_m)
    away_m = np.full(len(x_m), np.inf)
    away_m[known] = shapely.distance(shapely.points(x_m[known], y_m[known]), thing.shape)
    circle_m = 2.0 * turn_radius_m(
        turn_speed_mps(flight, loss, case.track, able.cruise_mps if able else None)
    )
    # How high it is where nobody knows the ground is told by itself.
    glide_m = np.nan_to_num(GLIDE * (level_m - _lowest_ground_m(mapped, thing)), nan=0.0)
    turns = ~(loss.waited_agl_m <= _DOWN_M)
    reach_m = np.fmax(glide_m, np.where(turns, circle_m, 0.0)) + grown_by_m(case.plan.aircraft)
    met = away_m < reach_m
    if not met.any():
        return None
    k = int(np.argmin(np.where(met, away_m, np.inf)))
    return Glided(thing, float(away_m[k]), k)


def _from_area(case: Case, mapped: Mapped) -> Iterator[Glided]:
    flight, samples = case.area_flight, case.area_samples
    if flight is None or samples is None:
        return
    high_m = float(np.fmax.reduce(samples.planned_amsl_m, initial=-np.inf))
    circle_m = 2.0 * turn_radius_m(_fastest_mps(case, flight))
    on_m = float(np.fmax.reduce([flight.comes.wait_m, flight.at_most.wait_m, 0.0]))
    grown_m = grown_by_m(case.plan.aircraft)
    for one in flight.nearby:
        if one.thing.below not in OF_PEOPLE or not matters(one.thing) or one.ended_on:
            continue
        glide_m = float(np.nan_to_num(GLIDE * (high_m - _lowest_ground_m(mapped, one.thing)), nan=0.0))
        if one.apart_m < on_m + max(glide_m, circle_m) + grown_m:
            yield Glided(one.thing, one.apart_m, None)


def _fastest_mps(case: Case, flight: AreaFlight) -> float:
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    return max((able.cruise_mps if able else None) or 0.0, flight.airspeed_mps or 0.0) + flight.wind_mps


def _lowest_ground_m(mapped: Mapped, thing: Thing) -> float:
    """Return the lowest ground at a thing's corners [m AMSL]; NaN where nobody knows it."""
    if mapped.ground is None:
        return float("nan")
    spots = shapely.get_coordinates([thing.shape, shapely.point_on_surface(thing.shape)])
    return float(np.fmin.reduce(ground_over((mapped.ground,), *spots.T)))
