"""The ends of a path's legs, made once for each leg while a path is edited."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import attrs

from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.track.build import launch_ground_m, leg_ends
from planner.track.leg import LegEnds
from planner.track.mapped import Mapped
from planner.track.unchanged import unchanged_ends

_ONE_BY_ONE: Final = 40
"""So many legs are made one by one; more of them all together, with those that are known."""


@attrs.frozen(eq=False)
class _Last:
    mapped: Mapped
    launch_m: float
    path: Sequence[PathPoint]
    ends: list[LegEnds]


class PathEnds:
    """Remembers the ends of the last path: an edit hands on the points that it leaves alone."""

    def __init__(self) -> None:
        self._last: _Last | None = None

    def of(self, plan: Plan, mapped: Mapped) -> tuple[list[LegEnds], float]:
        """Return the ends of each leg, as `leg_ends` makes them, and the zero of heights above launch.

        The path has two points or more. That zero is in m AMSL.
        """
        launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
        last = self._last
        if last is None or last.mapped is not mapped or not _same(last.launch_m, launch_m):
            ends = leg_ends(plan.path, mapped.frame, mapped.ground, launch_m)
        elif last.path is plan.path:
            return last.ends, launch_m
        else:
            ends = _with_known(plan, last)
        self._last = _Last(mapped, launch_m, plan.path, ends)
        return ends, launch_m


def _same(one_m: float, other_m: float) -> bool:
    return one_m == other_m or (math.isnan(one_m) and math.isnan(other_m))


def _with_known(plan: Plan, last: _Last) -> list[LegEnds]:
    head, tail = unchanged_ends(last.path, plan.path)
    # A leg has two points: of so many that are the same there is one leg less.
    before, after = max(head - 1, 0), max(tail - 1, 0)
    old, new = (slice(before, len(path) - after) for path in (last.path, plan.path))
    between = _between(plan.path[new], last, last.path[old], last.ends[before : len(last.ends) - after])
    return [*last.ends[:before], *between, *last.ends[len(last.ends) - after :]]


def _between(
    path: Sequence[PathPoint], last: _Last, last_path: Sequence[PathPoint], last_ends: Sequence[LegEnds]
) -> list[LegEnds]:
    """Return the ends of each leg of a part, as far as known from those of a part of the last path."""
    # The last path keeps its points alive, so that none of their ids belongs to another one.
    known = {
        (id(start), id(end)): ends for (start, end), ends in zip(pairwise(last_path), last_ends, strict=True)
    }
    found = [known.get((id(start), id(end))) for start, end in pairwise(path)]
    new = [k for k, ends in enumerate(found) if ends is None]
    frame, ground = last.mapped.frame, last.mapped.ground
    if len(new) > _ONE_BY_ONE:
        return leg_ends(path, frame, ground, last.launch_m)
    for k in new:
        (found[k],) = leg_ends(path[k : k + 2], frame, ground, last.launch_m)
    return [ends for ends in found if ends is not None]
