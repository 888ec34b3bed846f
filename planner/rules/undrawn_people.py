"""Who is beneath a way that is not drawn, or nearer to it than what fails there may come."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.below import OF_PEOPLE, Thing, things_beneath
from planner.flight.fall import separation_m
from planner.flight.fall_zone import grown_by_m
from planner.flight.motion import GROUND_SPEED_LIMIT_MPS
from planner.geo.near_lines import lines_near
from planner.rules.case import Case
from planner.rules.undrawn import UndrawnWay
from planner.track.mapped import Mapped

Floats = NDArray[np.float64]

_STAYS_M = 100.0
"""Over more of somebody than this it stays, as of the path: own choice."""


@attrs.frozen
class Near:
    """Somebody about a way: how far from it [m]; 0 where it leads over them. `stays`: over much of them."""

    thing: Thing
    away_m: float
    stays: bool = False

    @property
    def beneath(self) -> bool:
        """Whether they are as good as beneath it."""
        return self.away_m <= 0.0


def people_about(case: Case, mapped: Mapped, way: UndrawnWay) -> tuple[Near, ...]:
    """Return who is beneath a way, or within the pilot's own distance, else within 1:1 and the fall of it.

    As fast as cruise or the fastest leg; of neither at the highest airspeed, else at 87 kt, as of legs of
    which nobody said how fast they are flown.
    """
    own_m, wide_m = case.plan.own_people_distance_m, grown_by_m(case.plan.aircraft)
    agl_m = way.planned_amsl_m - way.ground_amsl_m
    reach_m = _separation_m(case, agl_m) if own_m is None else np.full(len(agl_m), own_m)
    about = things_beneath(case.plan, (), mapped.frame, way.line.bounds)
    things = [one for one in about if one.below in OF_PEOPLE]
    return tuple(_near(way, things, reach_m, wide_m)) if things else ()


def _near(way: UndrawnWay, things: list[Thing], reach_m: Floats, wide_m: float) -> Iterator[Near]:
    places = shapely.points(way.places(way.shares))
    for thing in things:
        if lines_near(thing.shape, np.array([way.line]), wide_m)[0]:
            over_m = shapely.length(shapely.intersection(way.line, shapely.buffer(thing.shape, wide_m)))
            yield Near(thing, 0.0, stays=float(over_m) > _STAYS_M + 2 * wide_m)
            continue
        away_m = np.asarray(shapely.distance(thing.shape, places))
        with np.errstate(invalid="ignore"):
            near = away_m < reach_m
        if near.any():
            yield Near(thing, float(away_m[near].min()))


def _separation_m(case: Case, agl_m: Floats) -> Floats:
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    legs = [one.leg.speed_mps for one in case.plan.path[:-1] if one.leg.speed_mps is not None]
    cruise = [able.believed_cruise_mps] if able and able.believed_cruise_mps else []
    said_mps = max([*cruise, *legs], default=able.highest_mps if able else None)
    return np.asarray(separation_m(agl_m, np.full(len(agl_m), said_mps or GROUND_SPEED_LIMIT_MPS)))
