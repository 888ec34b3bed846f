"""What an aircraft that acts by itself has to clear."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.cover import Cover
from planner.flight.grid_fit import GridFit
from planner.flight.obstacles import Obstacles
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Surroundings:
    """What a way home must clear.

    `surfaces` are the ground, then crowns and roofs where known; `margin_m`
    is the pilot's, upward over ground and structures and sideways of these.
    `cover` are trees and buildings that the pilot drew. While the aircraft
    waits and flies on as it flew, structures and cover count where it strikes
    them. `landings` are where the flight takes off and lands, in the plane [m];
    `glides`: whether it lands with way on, as a wing does; `own_margin`: whether the pilot stated the margin.
    """

    surfaces: Sequence[PlaneTerrain]
    obstacles: Obstacles
    margin_m: float
    cover: Cover | None = None
    landings: tuple[tuple[float, float], ...] = ()
    glides: bool = False
    own_margin: bool = False


def ground_over(surfaces: Sequence[PlaneTerrain], x_m: Floats, y_m: Floats) -> Floats:
    """Return the highest of some surfaces at places of the plane [m AMSL], NaN where the first is unknown."""
    if not surfaces:
        return np.full(x_m.shape, np.nan)
    ground = GridFit.over(surfaces[0], x_m, y_m).ground(x_m, y_m)
    for cover in surfaces[1:]:
        known = GridFit.over(cover, x_m, y_m).ground(x_m, y_m)
        ground = np.where(np.isnan(known), ground, np.maximum(ground, known))
    return ground
