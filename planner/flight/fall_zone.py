"""Where a failed aircraft comes down, along the whole path."""

from collections.abc import Sequence
from functools import cached_property
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.every_wind import InWinds
from planner.flight.fall import PLACE_ERROR_M, thrown_time_s
from planner.flight.motion import Motion
from planner.flight.wind import Wind
from planner.plan.aircraft import Aircraft
from planner.track.track import Track

Floats = NDArray[np.float64]

# A hull over so much of the path stands for its samples; it is never smaller than they are.
_PIECE_M: Final = 200.0


@attrs.frozen(eq=False)
class FallZone:
    """Places of impact; arrays (n,) on the track's samples [m], NaN where the height is unknown.

    Parameters
    ----------
    height_m : above the ground straight below.
    reach_m : ballistic reach, without drag, at the speed over the ground and
        the rate of climb; the farthest in any of the winds.
    drift_m : how far wind carries what falls at terminal speed, at most; 0
        where that is not known.
    one_to_one_enough : whether a distance of the height covers both.
    places : (n, 1 + m + w, 2) of each sample: straight below, ballistic as
        flown in each of m winds, drifting with each of w.
    owner : (n,) piece of the path that each sample belongs to.
    grown_m : what the hull is grown by: `grown_by_m`.
    """

    height_m: Floats
    reach_m: Floats
    drift_m: Floats
    one_to_one_enough: NDArray[np.bool_]
    places: Floats
    owner: NDArray[np.int64]
    grown_m: float

    @cached_property
    def polygon(self) -> BaseGeometry:
        """Hull of all places of impact in the plane, grown; empty where nothing is known."""
        return _hull(self.owner, self.places, self.grown_m)

    @property
    def separation_m(self) -> Floats:
        """Distance to keep from uninvolved people: height, reach or drift, whichever is most."""
        return np.asarray(np.maximum(np.maximum(self.height_m, self.reach_m), self.drift_m))


def grown_by_m(craft: Aircraft | None) -> float:
    """Return how far beside its reckoned place an aircraft may strike [m]: half its size, and its place."""
    return PLACE_ERROR_M + (craft.largest_dimension_m / 2 if craft else 0.0)


def fall_zone(track: Track, flown: InWinds, terminal_mps: float | None, grown_m: float) -> FallZone:
    """Return the fall zone of a path, for all winds that count.

    A body without drag keeps its velocity over the ground; one with much drag
    falls at terminal speed and goes with the wind. Real falls lie between, and
    so does the hull of straight down, ballistic and drifting. The gust is what
    carries.
    """
    height_m = np.maximum(track.planned_agl_m, 0.0)
    thrown = [_thrown(track, motion, height_m) for motion in flown.motions]
    carried = [carried_m(wind, height_m, terminal_mps) for wind in flown.winds] if terminal_mps else []
    reach_m = _farthest(thrown, height_m)
    drift_m = _farthest(carried, height_m)
    with np.errstate(invalid="ignore"):
        enough = (reach_m <= height_m) & (drift_m <= height_m)
    below = np.column_stack([track.x_m, track.y_m])
    places = np.stack([below, *(below + way for way in (*thrown, *carried))], axis=1)
    return FallZone(height_m, reach_m, drift_m, enough, places, _owner(track), grown_m)


def _thrown(track: Track, motion: Motion, height_m: Floats) -> Floats:
    """Return how far a body without drag comes from each sample (n, 2) [m]."""
    time_s = thrown_time_s(height_m, np.nan_to_num(motion.climb_mps, nan=0.0))
    return np.column_stack([part * time_s for part in _velocity(track, motion)])


def carried_m(wind: Wind, height_m: Floats, terminal_mps: float) -> Floats:
    """Return how far a wind's gusts carry what falls at terminal speed (n, 2) [m]."""
    away_m = wind.at(height_m, wind.gust_mps) * height_m / terminal_mps
    return np.column_stack([toward * away_m for toward in wind.toward()])


def _farthest(ways: Sequence[Floats], height_m: Floats) -> Floats:
    """Return the length of the longest way from each sample [m]; NaN where the height is unknown."""
    lengths = [np.hypot(*way.T) for way in ways]
    return np.asarray(np.max([height_m * 0.0, *lengths], axis=0))


def _velocity(track: Track, motion: Motion) -> tuple[Floats, Floats]:
    dx, dy = np.diff(track.x_m), np.diff(track.y_m)
    flat = np.hypot(dx, dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        east, north = np.where(flat > 0, dx / flat, 0.0), np.where(flat > 0, dy / flat, 0.0)
    speed = np.nan_to_num(motion.ground_speed_mps, nan=0.0)
    return np.append(east, east[-1]) * speed, np.append(north, north[-1]) * speed


def _owner(track: Track) -> NDArray[np.int64]:
    piece = np.floor(track.distance_m / _PIECE_M).astype(np.int64) + track.leg * 1_000_000
    return np.asarray(np.cumsum(np.diff(piece, prepend=piece[0]) != 0))


def _hull(owner: NDArray[np.int64], places: Floats, grown_m: float) -> BaseGeometry:
    """Return the union of hulls over short pieces, each with the first sample of the next."""
    known = np.all(np.isfinite(places), axis=(1, 2))
    begins = np.flatnonzero(np.diff(owner, prepend=owner[0]))
    rows = np.concatenate([np.arange(len(owner)), begins])
    owners = np.concatenate([owner, owner[begins] - 1])[known[rows]]
    rows = rows[known[rows]]
    if not len(rows):
        return shapely.Polygon()
    order = np.argsort(owners, kind="stable")
    _, dense = np.unique(owners[order], return_inverse=True)
    indices = np.repeat(dense, places.shape[1])
    clouds = shapely.multipoints(places[rows[order]].reshape(-1, 2), indices=indices)
    grown = shapely.buffer(shapely.convex_hull(clouds), grown_m, quad_segs=4)
    return shapely.union_all(grown)
