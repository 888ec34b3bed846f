"""Paths over made and real ground for the tests of the flight."""

from pathlib import Path

import numpy as np
import pyproj
import rasterio

from planner.flight.motion import Motion, fly
from planner.flight.wind import CALM, Wind
from planner.geo.frame import LocalFrame
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.model import Plan
from planner.plan.performance import Performance
from planner.track.build import build_track
from planner.track.mapped import Mapped, map_world
from planner.track.track import Track
from planner.world.terrain import Terrain
from planner.world.world import World
from tests.worlds import HERE, at


def points(
    *stops: tuple[float, float, Height], speed_mps: float | None = 12.0, shape: LegShape = LegShape.STRAIGHT
) -> tuple[PathPoint, ...]:
    """Path points east and north of HERE [m] with their heights."""
    return tuple(PathPoint(at(east, north), height, Leg(shape, speed_mps)) for east, north, height in stops)


def track_over(terrain: Terrain | None, path: tuple[PathPoint, ...]) -> tuple[Track, Mapped]:
    """The track of a path over a terrain, in the plane about the path's first point."""
    mapped = map_world(World(terrain=terrain), (), LocalFrame(path[0].place))
    track = build_track(Plan(path=path), mapped)
    assert track is not None
    return track, mapped


def flown(
    track: Track, path: tuple[PathPoint, ...], wind: Wind = CALM, able: Performance | None = None
) -> Motion:
    return fly(track, path, wind, able)


def level(amsl_m: float) -> Height:
    return AboveSeaLevel(amsl_m)


def real_terrain(shared_data: Path) -> Terrain:
    """Real hills (see the data's own note on origin and licence)."""
    with rasterio.open(shared_data / "terrain" / "jacksboro_tn_3arcsec.tif") as raster:
        crs = pyproj.CRS.from_user_input(raster.crs)
        return Terrain(raster.read(1).astype(np.float32), raster.transform, crs)


def low_run(start: Place, bearing_deg: float, length_m: float, height_m: float) -> tuple[PathPoint, ...]:
    """Out along the ground at a height above it, and back beside it."""
    stops = [
        start,
        travel(start, TrueBearing(bearing_deg), length_m / 4),
        travel(start, TrueBearing(bearing_deg + 5), length_m / 2),
        travel(start, TrueBearing(bearing_deg + 9), length_m / 4),
        travel(start, TrueBearing(bearing_deg), 30.0),
    ]
    leg = Leg(LegShape.FOLLOW_GROUND, 14.0)
    return tuple(PathPoint(place, AboveGround(height_m), leg) for place in stops)


__all__ = ["HERE", "flown", "level", "low_run", "points", "real_terrain", "track_over"]
