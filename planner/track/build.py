"""From the plan's path to the sampled track."""

import math
from collections.abc import Iterator, MutableMapping, Sequence
from itertools import pairwise

import numpy as np

from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.geo.progress import Progress, Unwatched
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.track.joined import JoinedLegs
from planner.track.leg import NOT_KNOWN, LegEnds, LegSamples
from planner.track.mapped import Mapped
from planner.track.sampling import sample_legs
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

LegMemory = MutableMapping[LegEnds, LegSamples]

_LEGS_AT_ONCE = 50
_LENGTH_AT_ONCE_M = 20_000.0
_KEPT_LEGS = 2000
_KEPT_PATHS = 4
"""So many paths of the present length are kept at least: Undo and Redo of the whole path find theirs."""


def ground_at(place: Place, frame: LocalFrame, ground: PlaneTerrain | None) -> float:
    """Return the ground's height at a place [m AMSL], NaN where unknown."""
    if ground is None:
        return float("nan")
    x_m, y_m = frame.place_to_xy(place)
    return float(ground.ground(np.array([x_m]), np.array([y_m]))[0])


def launch_ground_m(plan: Plan, frame: LocalFrame, ground: PlaneTerrain | None) -> float:
    """Return the zero of heights above launch [m AMSL]: the launch, else the first point."""
    if plan.launch:
        return ground_at(plan.launch.place, frame, ground)
    if plan.path:
        return ground_at(plan.path[0].place, frame, ground)
    return float("nan")


def amsl_m(height: Height, ground_m: float, launch_m: float) -> float:
    """Return a height above sea level [m]; NaN where its zero is unknown."""
    match height:
        case AboveSeaLevel():
            return height.m
        case AboveLaunch():
            return launch_m + height.m
        case AboveGround():
            return ground_m + height.m


def build_track(
    plan: Plan,
    mapped: Mapped,
    memory: LegMemory | None = None,
    progress: Progress | None = None,
    known_ends: tuple[list[LegEnds], float] | None = None,
    joined: JoinedLegs | None = None,
) -> Track | None:
    """Return the track of the plan's path, None with fewer than two points.

    `memory` keeps legs between calls; it holds for one mapped world only, and another thread may use it, too.
    `known_ends` are those of `PathEnds`, made here where none are given; `joined` remembers the last track.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits; the legs done until then are in `memory`.
    """
    if len(plan.path) < 2:
        return None
    memory = {} if memory is None else memory
    progress = Unwatched() if progress is None else progress
    every, launch_m = _ends(plan, mapped) if known_ends is None else known_ends
    _forget_oldest(memory, every, max(_KEPT_LEGS, _KEPT_PATHS * len(every)))
    found = {ends: memory.get(ends) for ends in every}
    wanted = [ends for ends, leg in found.items() if leg is None]
    done = len(found) - len(wanted)
    for some in _together(wanted):
        progress.report(done / len(found))
        done += len(some)
        new = dict(zip(some, sample_legs(some, mapped), strict=True))
        memory.update(new)
        found.update(new)
    legs = [leg for ends in every if (leg := found[ends]) is not None]
    return (joined or JoinedLegs()).track(legs, mapped.frame, launch_m)


def _together(every: Sequence[LegEnds]) -> Iterator[list[LegEnds]]:
    """Yield legs in parts that are sampled at once: few enough to be stopped in between."""
    part: list[LegEnds] = []
    long_m = 0.0
    for ends in every:
        part.append(ends)
        long_m += math.dist(ends.start_xy, ends.end_xy)
        if len(part) == _LEGS_AT_ONCE or long_m > _LENGTH_AT_ONCE_M:
            yield part
            part, long_m = [], 0.0
    if part:
        yield part


def _ends(plan: Plan, mapped: Mapped) -> tuple[list[LegEnds], float]:
    launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
    return leg_ends(plan.path, mapped.frame, mapped.ground, launch_m), launch_m


def _forget_oldest(memory: LegMemory, every: Sequence[LegEnds], most: int) -> None:
    if len(memory) > most:
        present = set(every)
        for ends in list(memory)[: len(memory) - most // 2]:
            if ends not in present:
                memory.pop(ends, None)


def leg_ends(
    path: Sequence[PathPoint], frame: LocalFrame, ground: PlaneTerrain | None, launch_m: float
) -> list[LegEnds]:
    """Return what decides the samples of each leg of a path."""
    lon_deg = np.array([point.place.lon_deg for point in path])
    lat_deg = np.array([point.place.lat_deg for point in path])
    x_m, y_m = frame.forward(lon_deg, lat_deg)
    grounds_m = (ground.ground(x_m, y_m) if ground else np.full(len(path), np.nan)).tolist()
    heights = [
        _told(amsl_m(point.height, ground_m, launch_m))
        for point, ground_m in zip(path, grounds_m, strict=True)
    ]
    above = [
        point.height.m if isinstance(point.height, AboveGround) else _told(high - ground_m)
        for point, high, ground_m in zip(path, heights, grounds_m, strict=True)
    ]
    each = zip(zip(x_m.tolist(), y_m.tolist(), strict=True), heights, above, path, strict=True)
    return [
        LegEnds(start, end, start_amsl_m, end_amsl_m, start_agl_m, end_agl_m, point.leg.shape)
        for (start, start_amsl_m, start_agl_m, point), (end, end_amsl_m, end_agl_m, _) in pairwise(each)
    ]


def _told(height_m: float) -> float:
    return NOT_KNOWN if math.isnan(height_m) else height_m
