"""How near the parts of a flying area that reach an airspace's heights come to an outline."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.entries import level
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.world.airspace import AirspaceVolume

Floats = NDArray[np.float64]

_CELLS = 1.5
"""Across a cell it is somewhat farther than along its side."""


@attrs.frozen
class NearArea:
    """How near that is, not overstated [m]; the place of the area nearest to the outline in the plane [m]."""

    away_m: float
    x_m: float
    y_m: float


def nearest_of_area(
    mapped: Mapped,
    samples: AreaSamples,
    volume: AirspaceVolume,
    outline: BaseGeometry,
    within_m: float,
    among: NDArray[np.bool_] | None = None,
) -> NearArea | None:
    """Return where an area, at heights of its own and the airspace, comes nearest; None if not so near.

    On sloping ground another part of it may be at those heights than the one beside the outline. Samples
    are no farther apart than a cell of the ground is wide: by so much more it may be nearer than they are.
    Of samples `among` all, in an area that reaches the outline itself, they alone count.
    """
    nearest = shapely.shortest_line(samples.footprint, outline)
    if not nearest.length <= within_m:
        return None
    reached = level(volume, samples) if among is None else level(volume, samples) & among
    if not reached.any():
        return None
    x_m, y_m = np.asarray(shapely.get_coordinates(nearest))[0].tolist()
    spare_m = _CELLS * mapped.ground.cell_m(x_m, y_m) if mapped.ground else np.inf
    places = np.column_stack([samples.x_m[reached], samples.y_m[reached]])
    apart_m = np.asarray(shapely.distance(shapely.points(places), outline))
    if among is not None and nearest.length == 0.0:
        k = int(np.argmin(apart_m))
        return NearArea(float(apart_m[k]), *places[k].tolist()) if apart_m[k] <= within_m else None
    least_m = float(np.min(apart_m)) - spare_m
    away_m = max(float(nearest.length), least_m)
    if away_m > within_m:
        return None
    return NearArea(away_m, x_m, y_m)
