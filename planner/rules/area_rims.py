"""About an area whose top follows the ground: what is gained down a slope between nodes while it flies on.

How high it is flown is known at the raster's nodes. Where it flies on less far than to the next one, or to
somewhere between two, it may come from higher up the slope, or to lower down, than any node says.
"""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples

Floats = NDArray[np.float64]

_ROUND: Final = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
_MOST_PLACES: Final = 12_000
_LIKELIEST: Final = 3_000
_NEGLIGIBLE_M: Final = 0.01


def from_rim(mapped: Mapped, samples: AreaSamples, top_agl_m: float, places: Floats, far_m: float) -> Floats:
    """Return, per place (n, 2), how high the area is flown at places just so far away [m AMSL]; else -inf."""
    high_m = np.full(len(places), -np.inf)
    if mapped.ground is None:
        return high_m
    shapely.prepare(samples.footprint)
    for turn in _ROUND:
        x_m, y_m = places[:, 0] + far_m * np.cos(turn), places[:, 1] + far_m * np.sin(turn)
        inside = np.flatnonzero(shapely.intersects_xy(samples.footprint, x_m, y_m))
        flown_m = mapped.ground.ground(x_m[inside], y_m[inside]) + top_agl_m
        high_m[inside] = np.fmax(high_m[inside], flown_m)
    return high_m


def to_rim(mapped: Mapped, samples: AreaSamples, top_agl_m: float, far_m: float) -> tuple[Floats, Floats]:
    """Return places (k, 2) just so far from where the area is flown, and how high it comes there [m AMSL].

    Those over which it may be highest above the ground, and higher than the area itself; none of very many.
    """
    none = np.empty((0, 2)), np.empty(0)
    known = np.flatnonzero(~np.isnan(samples.planned_amsl_m))
    if mapped.ground is None or not 0 < len(known) <= _MOST_PLACES:
        return none
    flown = np.column_stack([samples.x_m, samples.y_m])[known]
    rim = np.column_stack([np.cos(_ROUND), np.sin(_ROUND)]) * far_m
    places = (flown[:, None] + rim).reshape(-1, 2)
    high_m = np.repeat(samples.planned_amsl_m[known], len(_ROUND))
    above_m = np.nan_to_num(high_m - mapped.ground.ground(*places.T), nan=-np.inf)
    deep = np.flatnonzero(above_m > top_agl_m + _NEGLIGIBLE_M)
    deep = deep[np.argsort(-above_m[deep], kind="stable")[:_LIKELIEST]]
    return places[deep], high_m[deep]
