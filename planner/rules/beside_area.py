"""How near the parts of a flying area that reach an airspace's heights come to an outline."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.at_edge import at_heights_of_edge, counts_from_ground, nearest_edge
from planner.permission.entries import floor_amsl_m, level
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.world.airspace import AirspaceVolume, LimitReference

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
    *,
    comes_down: bool = False,
) -> NearArea | None:
    """Return where an area, at heights of its own and the airspace, comes nearest; None if not so near.

    On sloping ground another part of it may be at those heights than the one beside the outline. Samples
    are no farther apart than a cell of the ground is wide: by so much more it may be nearer than they are.
    Of samples `among` all, in an area that reaches the outline itself, they alone count. `comes_down`:
    whether it comes down there to the ground, from as high as the area is flown.
    """
    nearest = shapely.shortest_line(samples.footprint, outline)
    if not nearest.length <= within_m:
        return None
    x_m, y_m = np.asarray(shapely.get_coordinates(nearest))[0].tolist()
    spare_m = _CELLS * mapped.ground.cell_m(x_m, y_m) if mapped.ground else np.inf
    if comes_down and volume.floor.reference is not LimitReference.ABOVE_GROUND:
        # Down to the ground it passes every top; the floor is the same over any ground.
        with np.errstate(invalid="ignore"):
            reached = np.asarray(samples.planned_amsl_m >= floor_amsl_m(volume, samples))
    elif comes_down or counts_from_ground(volume):
        reached = _at_heights(mapped, samples, (volume, outline), within_m + spare_m, comes_down=comes_down)
    else:
        reached = level(volume, samples)
    if among is not None:
        reached &= among
    if not reached.any():
        return None
    places = np.column_stack([samples.x_m[reached], samples.y_m[reached]])
    if among is not None and nearest.length == 0.0:
        places, apart_m = _near(places, outline, within_m)
        k = int(np.argmin(apart_m)) if len(apart_m) else -1
        return NearArea(float(apart_m[k]), *places[k].tolist()) if k >= 0 else None
    shapely.prepare(outline)
    if shapely.intersects_xy(outline, *places.T).any():
        return NearArea(float(nearest.length), x_m, y_m)
    _, apart_m = _near(places, outline, within_m + spare_m)
    away_m = max(float(nearest.length), float(np.min(apart_m, initial=np.inf)) - spare_m)
    return NearArea(away_m, x_m, y_m) if away_m <= within_m else None


def _near(places: Floats, outline: BaseGeometry, within_m: float) -> tuple[Floats, Floats]:
    """Return which places (n, 2) are so near to an outline, and how near [m]."""
    west, south, east, north = outline.bounds
    x_m, y_m = places.T
    about = (x_m >= west - within_m) & (x_m <= east + within_m)
    about &= (y_m >= south - within_m) & (y_m <= north + within_m)
    points = np.asarray(shapely.points(places[about]))
    shapely.prepare(outline)
    near = shapely.dwithin(outline, points, within_m)
    return places[about][near], np.asarray(shapely.distance(points[near], outline))


def _at_heights(
    mapped: Mapped,
    samples: AreaSamples,
    there: tuple[AirspaceVolume, BaseGeometry],
    within_m: float,
    *,
    comes_down: bool,
) -> NDArray[np.bool_]:
    """Return which samples of an area are so near to an outline, at heights of the airspace there."""
    volume, outline = there
    places = np.asarray(shapely.points(np.column_stack([samples.x_m, samples.y_m])))
    shapely.prepare(outline)
    near = np.flatnonzero(shapely.dwithin(outline, places, within_m) & ~np.isnan(samples.planned_amsl_m))
    edge, planned_m = nearest_edge(outline, places[near]), samples.planned_amsl_m[near]
    from_m = np.full(len(near), -np.inf) if comes_down else samples.ground_amsl_m[near]
    reached = np.zeros(len(samples.x_m), dtype=bool)
    reached[near[at_heights_of_edge(mapped, volume, edge, planned_m, from_m)]] = True
    return np.asarray(reached)
