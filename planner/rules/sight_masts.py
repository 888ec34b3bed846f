"""Masts and towers of the obstacle file in the line of sight: behind them for a moment, not judged."""

import math
from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.role_words import name_or_role
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.must_see import demands_of, most_own_unseen_s
from planner.rules.words import along
from planner.sight.spot import Spot
from planner.sight.surfaces import Surfaces
from planner.track.track import Track
from planner.world.obstacles import Obstacles
from planner.world.terrain import SurfaceKind

Floats = NDArray[np.float64]

WIDTH_M = 2.0
"""How wide a slim structure is taken to be: own choice; records say nothing of it."""
_UNKNOWN_ERROR_M = 30.0
_LEAST_CROSSING = 0.05
_NAMED = 3


@attrs.frozen
class _Behind:
    """A structure that the aircraft passes behind: where along the path [m], for how long about [s]."""

    label: str
    at_m: float
    seconds: float


def behind_masts(case: Case) -> Iterator[Finding]:
    """Yield, for each who must see, the structures behind which the aircraft is lost for a moment.

    A record says neither how wide nor exactly where it stands, so nothing is called hidden by it;
    over a surface model nothing is added.
    """
    answer, track = case.sight, case.track
    if answer is None or track is None or case.mapped is None or answer.times is None:
        return
    surfaces = answer.surfaces
    if surfaces is None or surfaces.ground.terrain.surface is SurfaceKind.SURFACE:
        return
    told: set[str] = set()
    for demand in demands_of(case):
        for member in demand.people:
            eye = next(viewer.eye for viewer in answer.viewers if viewer.key == member.key)
            found = _passed_behind(eye, track, answer.times.time_s, case.mapped.obstacles, surfaces)
            name = name_or_role(member, case.plan.purpose)
            if found and name not in told:
                told.add(name)
                yield _finding(case, name, found)


def _finding(case: Case, name: str, found: list[_Behind]) -> Finding:
    longest_s = max(one.seconds for one in found)
    own_s = case.plan.own_unseen_s
    allowed = own_s is not None and longest_s <= min(own_s, most_own_unseen_s(case.plan))
    where = "; ".join(f"{one.label} at {along(one.at_m)}" for one in found[:_NAMED])
    more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    own = f" Your own limit for that is {own_s:g} s; it is no rule." if own_s is not None else ""
    return Finding(
        rule="behind-a-mast",
        mark=Mark.ACT,
        basis=Basis.OWN_LIMIT if allowed else Basis.SAFETY,
        title=f"Behind a mast for {name}" + (", within your own limit" if allowed else ""),
        message=f"The line of sight passes {where}{more}: with {WIDTH_M:.0f} m of width it is lost for up to "
        f"{longest_s:.1f} s. No record says how wide it is or exactly where, so it is not counted as hidden."
        + own,
        citation="",
        remedy="look at it on the spot, and stand where the mast is not between",
        from_m=min(one.at_m for one in found),
        to_m=max(one.at_m for one in found),
        numbers={"longest_s": longest_s},
    )


def _passed_behind(
    eye: Spot, track: Track, time_s: Floats, obstacles: Obstacles, surfaces: Surfaces
) -> list[_Behind]:
    """Return the structures between an eye and the path, in the order of the path."""
    at_m, amsl_m, x_m, y_m = track.distance_m, track.planned_amsl_m, track.x_m, track.y_m
    east, north = x_m - eye.x_m, y_m - eye.y_m
    box = (min(eye.x_m, x_m.min()), min(eye.y_m, y_m.min()), max(eye.x_m, x_m.max()), max(eye.y_m, y_m.max()))
    found = []
    for index in obstacles.within(*(float(side) for side in box)).tolist():
        structure = obstacles.structures[index]
        away = float(obstacles.x_m[index]) - eye.x_m, float(obstacles.y_m[index]) - eye.y_m
        top_m = structure.top_amsl_m
        if top_m is None:
            spot = np.array([obstacles.x_m[index]]), np.array([obstacles.y_m[index]])
            top_m = float(surfaces.ground.ground(*spot)[0]) + (structure.height_agl_m or np.inf)
        error_m = structure.vertical_error_m
        top_m += _UNKNOWN_ERROR_M if error_m is None else error_m
        side = east * away[1] - north * away[0]
        for k in np.flatnonzero((side[:-1] == 0.0) | (side[:-1] * side[1:] < 0.0)).tolist():
            gone = side[k] / (side[k] - side[k + 1]) if side[k] else 0.0
            met = [float(axis[k] + (axis[k + 1] - axis[k]) * gone) for axis in (east, north, amsl_m, at_m)]
            share = (met[0] * away[0] + met[1] * away[1]) / max(met[0] ** 2 + met[1] ** 2, 1e-9)
            line_m = eye.amsl_m + (met[2] - eye.amsl_m) * share
            if 0.0 < share < 1.0 and not line_m > top_m:
                step = [float(axis[k + 1] - axis[k]) for axis in (east, north, time_s)]
                found.append(_Behind(structure.label, met[3], _lost_s(share, (met[0], met[1]), step)))
    return sorted(found, key=lambda one: one.at_m)


def _lost_s(share: float, met: tuple[float, float], step: list[float]) -> float:
    """Return how long the shadow of `WIDTH_M` at a share of the line lies on the aircraft [s].

    `met` is where that is from the eye, `step` the way there: east and north [m], time [s].
    """
    east_m, north_m, taken_s = step
    length_m = math.hypot(east_m, north_m)
    if not length_m:
        return taken_s
    across = abs(east_m * met[1] - north_m * met[0]) / (length_m * math.hypot(*met))
    return WIDTH_M / share / (length_m / taken_s * max(across, _LEAST_CROSSING))


RULES = (behind_masts,)
