"""Which structures stand so near to the path that its profile must show them."""

from collections.abc import Iterable

import attrs
import numpy as np

from planner.track.track import Track
from planner.units import STRUCTURE_RADIUS_M
from planner.wording import nearest_ft
from planner.world.structures import Structure


@attrs.frozen
class StandingStructure:
    """A structure beside the path: where it comes nearest [m], foot and top [m AMSL]."""

    distance_m: float
    foot_amsl_m: float
    top_amsl_m: float
    words: str


def structures_beside(track: Track, structures: Iterable[Structure]) -> tuple[StandingStructure, ...]:
    """Return what stands within 400 ft of the path, grown by its own error, in order of distance."""
    found = []
    for structure in structures:
        top_amsl_m = structure.top_amsl_m
        if structure.dismantled or top_amsl_m is None:
            continue
        x_m, y_m = track.frame.place_to_xy(structure.place)
        away_m = np.hypot(track.x_m - x_m, track.y_m - y_m)
        nearest = int(np.argmin(away_m))
        if away_m[nearest] > STRUCTURE_RADIUS_M + (structure.horizontal_error_m or 0.0):
            continue
        foot_amsl_m = top_amsl_m - (structure.height_agl_m or 0.0)
        name = structure.name or structure.kind.lower()
        words = f"{name}, {nearest_ft(float(away_m[nearest]))} off"
        found.append(StandingStructure(float(track.distance_m[nearest]), foot_amsl_m, top_amsl_m, words))
    return tuple(sorted(found, key=lambda one: (one.distance_m, one.words)))
