"""How high what is drawn or charted beneath stands, as far as an aircraft can hit it."""

import math
from typing import Final

from planner.flight.below import Below, Thing
from planner.rules.case import Case
from planner.sight.screens import PLAUSIBLE_M
from planner.sight.surfaces import ScreenKind
from planner.world.terrain import SurfaceKind

COVER: Final = frozenset({Below.TREES, Below.BUILDING})
"""What stands up and is flown into."""
CHARTED_AT_MOST_M: Final = PLAUSIBLE_M[ScreenKind.BUILDING]
"""As high a charted building of unknown height may be: as for sight, own choice."""


def stands(case: Case, thing: Thing) -> bool:
    """Whether a thing stands above the terrain; in a surface model charted buildings are ground already."""
    if thing.below not in COVER:
        return False
    ground = case.mapped.ground if case.mapped else None
    return thing.item is not None or ground is None or ground.terrain.surface is not SurfaceKind.SURFACE


def may_reach_m(case: Case, thing: Thing) -> float | None:
    """Return how high a thing stands, or may for all that is said [m], None if it does not stand.

    Nothing bounds what is drawn without a height; charts know the heights of few buildings.
    """
    if not stands(case, thing):
        return None
    if thing.height_m is not None:
        return thing.height_m
    return math.inf if thing.item is not None else CHARTED_AT_MOST_M
