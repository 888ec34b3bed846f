"""Where an action that stays brings down what is lost in a flying area: ahead of its edge, too."""

import math
from collections.abc import Callable, Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.area_comes import Comes
from planner.flight.failsafe import RETURNS, Failsafe
from planner.permission.entries import floor_amsl_m, top_amsl_m
from planner.plan.aircraft import LinkLossAction
from planner.rules.area_ahead import ahead_of, highest_within
from planner.rules.area_links import area_failsafe
from planner.rules.beside_area import nearest_of_area
from planner.rules.case import Case
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import AirspaceVolume, LimitReference

Floats = NDArray[np.float64]

_ROUNDING_M = 0.01


def straight_m(comes: Comes, failsafe: Failsafe) -> float:
    """Return how far it comes without wind until it is down [m]; what is not known counts nothing."""
    ahead_m = comes.ahead_m if failsafe.action is LinkLossAction.DROP else 0.0
    return sum(way_m for way_m in (comes.wait_m, ahead_m) if not math.isnan(way_m))


def down_over(case: Case) -> tuple[BaseGeometry, float] | None:
    """Return over what of the plane it may come down, and how far ahead of the area's edge [m].

    What returns flies on so far first, as high as it was.
    """
    samples, failsafe = case.area_samples, area_failsafe(case)
    if samples is None or case.area is None or case.area_flight is None or failsafe is None:
        return None
    far_m = straight_m(case.area_flight.comes, failsafe)
    return (shapely.buffer(samples.footprint, far_m), far_m) if far_m > 0.0 else None


def down_beside_area(
    case: Case,
    mapped: Mapped,
    wanted: Callable[[int, AirspaceVolume], bool],
    reach_m: float | None = None,
) -> Iterator[WaySamples]:
    """Yield places over which it may come down through each airspace beside the area, asked by column.

    From as high as the area is flown within reach, no higher than the airspace goes up. `reach_m`: how far
    beyond the area's edge, where that is not what is given of it.
    """
    samples = case.area_samples
    if samples is None:
        return
    found = down_over(case) if reach_m is None else (shapely.buffer(samples.footprint, reach_m), reach_m)
    if found is None:
        return
    over, far_m = found
    # Places at its very rim lie on either side of it by rounding.
    reached = shapely.buffer(over, _ROUNDING_M)
    for column in map(int, mapped.outlines.columns_near(np.array(over.bounds))):
        volume, outline = mapped.airspace.get(column), mapped.outlines.polygon(column)
        if volume is None or not wanted(column, volume):
            continue
        shape = shapely.intersection(over, outline)
        from_ground = volume.floor.reference is LimitReference.ABOVE_GROUND
        # Over lower ground ahead it comes into what the area itself stays beneath.
        if shape.is_empty or not (from_ground or comes_near(mapped, samples, volume, outline, far_m)):
            continue
        corners = shapely.get_coordinates([shape, shapely.point_on_surface(shape)])
        ahead = ahead_of(case, mapped, samples, far_m)
        inside = shapely.intersects_xy(outline, *ahead.places.T)
        inside &= shapely.intersects_xy(reached, *ahead.places.T)
        places = np.concatenate([corners, ahead.places[inside]])
        high_m = np.concatenate([highest_within(samples, corners, far_m), ahead.high_m[inside]])
        there = sample_way(mapped, places, high_m, np.full(len(places), -np.inf))
        to_m = np.fmin(high_m, top_amsl_m(volume, there))
        there = attrs.evolve(there, planned_amsl_m=to_m, where=_where(case))
        if from_ground:
            # Ground or a height that is not known could be any.
            there = there.only(~(high_m < floor_amsl_m(volume, there)))
        if len(there.x_m):
            yield there


def _where(case: Case) -> str:
    failsafe = area_failsafe(case)
    returns = failsafe is not None and failsafe.action in RETURNS
    return "where it flies on on lost link" if returns else "where it comes down by itself on lost link"


def comes_near(
    mapped: Mapped, samples: AreaSamples, volume: AirspaceVolume, outline: BaseGeometry, far_m: float
) -> bool:
    """Whether some of an area that is so near to an outline comes down through the airspace's heights."""
    return nearest_of_area(mapped, samples, volume, outline, far_m, comes_down=True) is not None
