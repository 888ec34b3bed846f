"""What an aircraft that acts by itself has to clear."""

from collections.abc import Sequence

import attrs

from planner.flight.cover import Cover
from planner.flight.obstacles import Obstacles
from planner.world.plane_terrain import PlaneTerrain


@attrs.frozen(eq=False)
class Surroundings:
    """What a way home must clear.

    `surfaces` are the ground, then crowns and roofs where known; `margin_m`
    is the pilot's, upward over ground and structures and sideways of these.
    `cover` are trees and buildings that the pilot drew. While the aircraft
    waits and flies on as it flew, structures and cover count where it strikes
    them. `landings` are where the flight takes off and lands, in the plane [m];
    `glides`: whether it lands with way on, as a wing does.
    """

    surfaces: Sequence[PlaneTerrain]
    obstacles: Obstacles
    margin_m: float
    cover: Cover | None = None
    landings: tuple[tuple[float, float], ...] = ()
    glides: bool = False
