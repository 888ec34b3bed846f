"""Whether what is flown beside an outline is at an airspace's heights there: over the ground at its edge.

A limit above the ground is another one beyond a cliff than over the ground that is flown over.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.entries import floor_amsl_m, level, top_amsl_m
from planner.permission.routes import TOLERANCE_M
from planner.track.mapped import Mapped
from planner.track.track import Track
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


def counts_from_ground(volume: AirspaceVolume) -> bool:
    """Whether a limit of it is a height above the ground."""
    of_top = {LimitReference.ABOVE_GROUND, LimitReference.SURFACE}
    return volume.floor.reference is LimitReference.ABOVE_GROUND or volume.top.reference in of_top


def at_heights_of_edge(
    mapped: Mapped, volume: AirspaceVolume, edge: Floats, planned_m: Floats, from_m: Floats
) -> Mask:
    """Return where heights flown, from and to [m AMSL], are the airspace's over places (n, 2) of its edge.

    Ground that is not known could be any; so does a height that is not known count.
    """
    beside = sample_way(mapped, edge, planned_m, from_m)
    in_g = volume.kind is AirspaceKind.CLASS_E_OTHER
    with np.errstate(invalid="ignore"):
        # A floor itself still belongs to what is below, where Class G ends there.
        below = planned_m < floor_amsl_m(volume, beside) + (TOLERANCE_M if in_g else 0.0)
        over = from_m > top_amsl_m(volume, beside)
    return np.asarray(~below & ~over)


def nearest_edge(outline: BaseGeometry, places: NDArray[np.object_]) -> Floats:
    """Return the place of an outline that is nearest to each point (n, 2) [m in the plane]."""
    return np.asarray(shapely.get_coordinates(shapely.shortest_line(outline, places)))[::2].reshape(-1, 2)


def level_beside(
    mapped: Mapped, track: Track | WaySamples, volume: AirspaceVolume, outline: BaseGeometry, within_m: float
) -> Mask:
    """Return which samples in a row are at an airspace's heights, of those so near to its outline."""
    if not counts_from_ground(volume):
        return level(volume, track)
    reached = np.zeros(len(track.x_m), dtype=bool)
    places = np.column_stack([track.x_m, track.y_m])
    known = np.isfinite(places).all(axis=1) & ~np.isnan(track.planned_amsl_m)
    pieces = np.flatnonzero(known[1:] & known[:-1])
    lines = np.asarray(shapely.linestrings(np.stack([places[pieces], places[pieces + 1]], axis=1)))
    near = pieces[np.asarray(shapely.dwithin(lines, outline, within_m), dtype=bool)]
    rows = np.unique([near, near + 1])
    if len(rows):
        planned_m = track.planned_amsl_m[rows]
        edge = nearest_edge(outline, np.asarray(shapely.points(places[rows])))
        reached[rows] = at_heights_of_edge(mapped, volume, edge, planned_m, planned_m)
    return reached
