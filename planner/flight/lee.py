"""Whether the path lies in the lee of higher ground.

Behind a ridge the wind eddies to about ten times the ridge's height above
the ground there (common practice); inside that the wind laws say nothing.
"""

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.flight.wind import Wind
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

REACH_HEIGHTS: Final = 10.0
_FARTHEST_M: Final = 1_500.0
_PLACES: Final = 20
# Lighter wind than this makes no eddies worth a word.
_LIGHTEST_MPS: Final = 3.0


def in_lee(track: Track, winds: Iterable[Wind], ground: PlaneTerrain | None) -> NDArray[np.bool_]:
    """Return, per sample (n,), whether upwind ground stands above the aircraft near enough to shelter it.

    Any of the winds counts. Ground that is unknown shelters nobody.
    """
    strong = [wind for wind in winds if max(wind.speed_mps, wind.gust_mps) >= _LIGHTEST_MPS]
    found = [_sheltered(track, wind, ground) for wind in strong] if ground is not None else []
    return np.asarray(np.any([np.zeros(len(track), dtype=bool), *found], axis=0))


def _sheltered(track: Track, wind: Wind, ground: PlaneTerrain) -> NDArray[np.bool_]:
    east, north = wind.toward()
    away = np.linspace(_FARTHEST_M / _PLACES, _FARTHEST_M, _PLACES)[:, None]
    x_m, y_m = track.x_m - east * away, track.y_m - north * away
    upwind = GridFit.over(ground, x_m, y_m).ground(x_m, y_m)
    with np.errstate(invalid="ignore"):
        ridge = upwind - track.ground_amsl_m
        sheltered = (upwind >= track.planned_amsl_m) & (away <= REACH_HEIGHTS * ridge)
    return np.asarray(sheltered.any(axis=0))
