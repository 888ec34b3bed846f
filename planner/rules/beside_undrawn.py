"""How near a way that is not drawn comes to an airspace which it does not enter."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.at_edge import at_heights_of_edge, counts_from_ground, nearest_edge
from planner.rules.transit_airspace import at_its_height
from planner.rules.undrawn import UndrawnWay
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import AirspaceVolume


def nearest_on_way(
    mapped: Mapped, way: UndrawnWay, column: int, volume: AirspaceVolume, within_m: float
) -> tuple[float, float, float] | None:
    """Return how near a way comes to an airspace at heights of both, and where in the plane [m].

    None where it comes no nearer than that, or enters: that is told of the way itself.
    """
    outline = mapped.outlines.polygon(column)
    if shapely.distance(outline, way.line) > within_m:
        return None
    samples = _samples(mapped, way, outline)
    places = np.asarray(shapely.points(np.column_stack([samples.x_m, samples.y_m])))
    away_m = np.asarray(shapely.distance(outline, places))
    there = _at_its_height(mapped, volume, samples, outline, places) & (away_m <= within_m)
    if not there.any() or (there & (away_m <= 0.0)).any():
        return None
    k = int(np.argmin(np.where(there, away_m, np.inf)))
    return float(away_m[k]), float(samples.x_m[k]), float(samples.y_m[k])


def _at_its_height(
    mapped: Mapped,
    volume: AirspaceVolume,
    samples: WaySamples,
    outline: BaseGeometry,
    places: NDArray[np.object_],
) -> NDArray[np.bool_]:
    if not counts_from_ground(volume):
        return at_its_height(volume, samples)
    edge = nearest_edge(outline, places)
    return at_heights_of_edge(mapped, volume, edge, samples.planned_amsl_m, samples.flown_from_amsl_m)


def _samples(mapped: Mapped, way: UndrawnWay, outline: BaseGeometry) -> WaySamples:
    if way.is_column:
        places = np.asarray(way.line.coords)[:, :2]
        ground_m = mapped.ground.ground(*places.T) if mapped.ground else np.full(len(places), np.nan)
        return sample_way(mapped, places, np.full(len(places), way.planned_amsl_m[-1]), ground_m)
    nearest = shapely.get_coordinates(shapely.shortest_line(way.line, outline))[0]
    at = way.line.project(shapely.Point(nearest), normalized=True)
    shares = np.union1d(way.shares, [at])
    return sample_way(mapped, way.places(shares), way.height_amsl_m(shares))
