"""Whether a path passes over somebody, or stays there: also as near beside as no aircraft keeps its place."""

from collections.abc import Sequence
from typing import Final

import attrs
import shapely

from planner.flight.below import Thing
from planner.flight.crossings import Crossing, crossings
from planner.flight.fall_zone import grown_by_m
from planner.rules.case import Case

# A longer stay over somebody counts as sustained [m]: own choice, no rule gives a figure.
_LONG_M: Final = 100.0


def stays_over(case: Case, thing: Thing, over: Sequence[Crossing] = ()) -> bool:
    """Whether the path passes a thing more than once, or stays over it for long.

    `over` is where it passes over it. Within `grown_by_m` beside it may be over it as well.
    """
    if len(over) > 1 or _length_m(over) > _LONG_M:
        return True
    if case.track is None:
        return False
    wide = attrs.evolve(thing, shape=shapely.buffer(thing.shape, grown_by_m(case.plan.aircraft)))
    near = crossings(case.track, [wide])
    return len(near) > 1 or _length_m(near) > _LONG_M


def _length_m(some: Sequence[Crossing]) -> float:
    return sum(cross.to_m - cross.from_m for cross in some)
