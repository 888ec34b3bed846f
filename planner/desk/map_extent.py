"""Boxes to show on the map, and places along the track."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from pyproj import Transformer

from planner.assessment import Assessment
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.track.track import Track
from planner.world.world import World

Box = tuple[float, float, float, float]
LonLat = tuple[float, float]
_LEAST_SIDE_DEG = 0.004
_LEAST_OF_PLAN_DEG = 0.0015
"""Some 160 m: a dive along a mast, with its points apart."""
_BESIDE_DEG = 0.02
_MOST_COORDS = 400


def box_around(
    coords: Iterable[LonLat], margin: float = 0.08, least_pad_deg: float = _LEAST_SIDE_DEG / 2
) -> Box | None:
    """Return west, south, east, north round the positions [deg], None for none."""
    pairs = list(coords)
    if not pairs:
        return None
    lons, lats = zip(*pairs, strict=True)
    pad_lon = max((max(lons) - min(lons)) * margin, least_pad_deg)
    pad_lat = max((max(lats) - min(lats)) * margin, least_pad_deg)
    return min(lons) - pad_lon, min(lats) - pad_lat, max(lons) + pad_lon, max(lats) + pad_lat


def around(coords: Sequence[LonLat]) -> Box:
    """Return a box with room round one or more positions [deg]."""
    box = box_around(coords, margin=0.35)
    assert box is not None
    return box


def about(place: Place) -> Box:
    """Return a box of some four kilometres about a place [deg]."""
    aside = _BESIDE_DEG / max(math.cos(math.radians(place.lat_deg)), 0.1)
    return (
        place.lon_deg - aside,
        place.lat_deg - _BESIDE_DEG,
        place.lon_deg + aside,
        place.lat_deg + _BESIDE_DEG,
    )


def contains(outer: Box, inner: Box) -> bool:
    """Whether one box lies in another."""
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]


def box_of_plan(plan: Plan) -> Box | None:
    """Return the box of everything drawn, close about what is short; of one place some 400 m."""
    box = box_around(((place.lon_deg, place.lat_deg) for place in plan.places()), least_pad_deg=0.0)
    if box is None:
        return None
    west, south, east, north = box
    alone = west == east and south == north
    least_deg = _LEAST_SIDE_DEG if alone else _LEAST_OF_PLAN_DEG
    # Degrees of longitude are shorter than those of latitude; the map decides by whichever needs more room.
    aside, above = (max(least_deg - side, 0.0) / 2 for side in (east - west, north - south))
    return west - aside, south - above, east + aside, north + above


def box_of_world(world: World) -> Box | None:
    """Return the box of the terrain, else of the charts' coverage."""
    terrain = world.terrain
    if terrain is not None:
        rows, columns = terrain.heights_m.shape
        to_crs = terrain.cell_to_crs
        corners = ((0, 0), (columns, 0), (0, rows), (columns, rows))
        xs = [to_crs.a * column + to_crs.b * row + to_crs.c for column, row in corners]
        ys = [to_crs.d * column + to_crs.e * row + to_crs.f for column, row in corners]
        to_degrees = Transformer.from_crs(terrain.crs, "EPSG:4326", always_xy=True)
        return to_degrees.transform_bounds(min(xs), min(ys), max(xs), max(ys))
    outlines = [record.coverage.bounds for record in world.layers if record.coverage is not None]
    corners_deg = [pair for box in outlines for pair in ((box[0], box[1]), (box[2], box[3]))]
    return box_around(corners_deg, margin=0.0)


def track_position(track: Track, distance_m: float) -> LonLat:
    """Return longitude and latitude [deg] at a distance along the path [m]."""
    return (
        float(np.interp(distance_m, track.distance_m, track.lon_deg)),
        float(np.interp(distance_m, track.distance_m, track.lat_deg)),
    )


def distance_on_leg(track: Track, leg: int, share: float) -> float | None:
    """Return the distance along the path [m] at a share of a leg."""
    on_leg = np.flatnonzero(track.leg == leg)
    if not len(on_leg):
        return None
    return float(np.interp(share, track.fraction[on_leg], track.distance_m[on_leg]))


def stretch_coords(
    answer: Assessment, from_m: float | None, to_m: float | None, place: Place | None
) -> list[LonLat]:
    """Return the positions along a stretch of the path [m], else the one place, or none."""
    track = answer.track
    if track is None or from_m is None or to_m is None:
        return [(place.lon_deg, place.lat_deg)] if place else []
    inner = (track.distance_m > from_m) & (track.distance_m < to_m)
    within = np.flatnonzero(inner)
    within = within[:: max(1, len(within) // _MOST_COORDS)]
    middle = [(float(track.lon_deg[k]), float(track.lat_deg[k])) for k in within]
    return [track_position(track, from_m), *middle, track_position(track, to_m)]
