"""Where a flight in an area lies in the lee of higher ground."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np

from planner.flight.area_places import only, places_of
from planner.flight.lee import in_lee
from planner.flight.wind import Wind
from planner.geo.frame import LocalFrame
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

LOW_M: Final = 10.0
"""So high above the ground lee is asked, or at the top of a lower area: own choice; lower, banks shelter."""


def in_lee_of(
    area: AreaSamples, frame: LocalFrame, winds: Sequence[Wind], ground: PlaneTerrain | None
) -> Track:
    """Return the places of an area, low in it, that lie in the lee in any of the winds; maybe none."""
    top = places_of(area, frame, None, at_top=True)
    low = attrs.evolve(top, planned_amsl_m=np.fmin(top.ground_amsl_m + LOW_M, top.planned_amsl_m))
    return only(low, in_lee(low, winds, ground))
