"""What an action on lost link comes down on, from which samples, and of what that has to be told."""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.answer import FlightAnswer
from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.comes_down import places_of_impact, widest_impact
from planner.flight.drift_bound import drift_is_open
from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.plan.model import Plan
from planner.rules.beneath_judged import PLACES

MAY_BE: Final = {
    Below.ROAD: "a road on which vehicles may move",
    Below.TRAIL: "a trail on which people may be",
    Below.GATHERING_PLACE: "a place where people may gather",
}


def matters(thing: Thing) -> bool:
    """Whether people are there, or may be."""
    closed = thing.item is not None and thing.item.closed_site is True
    return thing.below in OF_PEOPLE or (thing.below in PLACES and not closed)


def reached(flight: FlightAnswer, loss: LossWays, thing: Thing) -> NDArray[np.bool_]:
    """Return from which samples it ends on a thing; what is met between two of them counts for both."""
    assert flight.beneath is not None
    return met_by(flight, places_of_impact(loss, flight.winds, flight.beneath.terminal_mps), thing.shape)


def may_reach(plan: Plan, flight: FlightAnswer, loss: LossWays, thing: Thing) -> NDArray[np.bool_]:
    """Return from which samples wind may carry it onto a thing, where what is not said decides how far.

    Of what falls that is its drag area, of what lands whether it holds its place by satellites.
    """
    none = np.zeros(len(loss.unknown), dtype=np.bool_)
    if not flight.winds or flight.beneath is None:
        return none
    slowest_mps = flight.beneath.slowest_mps if drift_is_open(plan) else None
    places = widest_impact(loss, flight.winds, slowest_mps)
    return none if places is None else met_by(flight, places, thing.shape)


def may_come_to(flight: FlightAnswer, thing: Thing) -> NDArray[np.bool_]:
    """Return from which samples it may end on a thing as fast as it may fly, where nobody said how fast."""
    assert flight.beneath is not None
    terminal_mps = flight.beneath.terminal_mps or flight.beneath.slowest_mps
    met = np.zeros(len(flight.beneath.zone.height_m), dtype=np.bool_)
    for loss in flight.fast_losses:
        if loss.failsafe.action in RETURNS:
            # It ends at home.
            continue
        met |= met_by(flight, places_of_impact(loss, flight.winds, terminal_mps), thing.shape)
    return met


def met_by(flight: FlightAnswer, places: NDArray[np.float64], shape: BaseGeometry) -> NDArray[np.bool_]:
    """Return from which samples it comes down on a shape of the plane, between places (n, k, 2) [m]."""
    assert flight.beneath is not None
    known: NDArray[np.bool_] = np.asarray(np.isfinite(places).all(axis=(1, 2)))
    wide = shapely.buffer(shape, max(flight.beneath.zone.grown_m, 0.1))
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
