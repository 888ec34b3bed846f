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
from planner.flight.fall import PLACE_ERROR_M
from planner.flight.motion import Motion
from planner.flight.slow_fall import Thrown, carried_ways
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
    drift_m : how far it comes with the wind at the most, its own speed included; 0
        where that is not known.
    one_to_one_enough : whether a distance of the height covers both.
    places : (n, 1 + m + 2 m w, 2) of each sample: straight below, ballistic as
        flown in each of m winds, and carried by each of w.
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

    The hull of straight down, without drag, and with the gusts of each wind (`slow_fall`): every fall with
    the drag that is given, or with less, ends within it.
    """
    height_m = np.maximum(track.planned_agl_m, 0.0)
    thrown = [thrown_along(track, motion) for motion in flown.motions]
    ballistic = [one.ballistic_m(height_m) for one in thrown]
    carried = carried_ways(thrown, flown.winds, height_m, terminal_mps) if terminal_mps else []
    reach_m = farthest_m(ballistic, height_m)
    drift_m = farthest_m(carried, height_m)
    with np.errstate(invalid="ignore"):
        enough = (reach_m <= height_m) & (drift_m <= height_m)
    below = np.column_stack([track.x_m, track.y_m])
    places = np.stack([below, *(below + way for way in (*ballistic, *carried))], axis=1)
    return FallZone(height_m, reach_m, drift_m, enough, places, _owner(track), grown_m)


def farthest_m(ways: Sequence[Floats], height_m: Floats) -> Floats:
    """Return the length of the longest way from each sample [m]; NaN where the height is unknown."""
    lengths = [np.hypot(*way.T) for way in ways]
    return np.asarray(np.max([height_m * 0.0, *lengths], axis=0))


def thrown_along(track: Track, motion: Motion) -> Thrown:
    """Return how an aircraft that fails is thrown from each sample (n,)."""
    dx, dy = np.diff(track.x_m), np.diff(track.y_m)
    flat = np.hypot(dx, dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        east, north = np.where(flat > 0, dx / flat, 0.0), np.where(flat > 0, dy / flat, 0.0)
    speed = np.nan_to_num(motion.ground_speed_mps, nan=0.0)
    climb_mps = np.nan_to_num(motion.climb_mps, nan=0.0)
    return Thrown(np.append(east, east[-1]) * speed, np.append(north, north[-1]) * speed, climb_mps)


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
