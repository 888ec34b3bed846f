"""The two ends of a line of sight."""

from typing import Final

import attrs
import numpy as np

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.world.plane_terrain import PlaneTerrain

# A standing person's eye.
EYE_HEIGHT_M: Final = 1.7


@attrs.frozen
class Spot:
    """A point in the local plane [m] at a height [m AMSL]; NaN where unknown.

    `ground_amsl_m` is the ground straight below.
    """

    x_m: float
    y_m: float
    amsl_m: float
    ground_amsl_m: float


def spot_above_ground(x_m: float, y_m: float, above_m: float, ground: PlaneTerrain | None) -> Spot:
    """Return the spot that high above the ground at a plane position."""
    ground_m = float(ground.ground(np.array([x_m]), np.array([y_m]))[0]) if ground else float("nan")
    return Spot(x_m, y_m, ground_m + above_m, ground_m)


def eye_at(
    place: Place, ground: PlaneTerrain | None, frame: LocalFrame, eye_height_m: float = EYE_HEIGHT_M
) -> Spot:
    """Return the eye of somebody who stands at a place, at an unknown height without ground."""
    x_m, y_m = frame.place_to_xy(place)
    return spot_above_ground(x_m, y_m, eye_height_m, ground)
