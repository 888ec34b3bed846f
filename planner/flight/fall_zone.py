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
from planner.flight.velocity import velocity_along
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
        flown on from there in each of m winds, and carried by each of w.
    coming : the same, as flown up to there: a step's falls lie in the hull of the places of its first
        sample and these of its last.
    owner : (n,) piece of the path that each sample belongs to.
    grown_m : what the hull is grown by: `grown_by_m`.
    """

    height_m: Floats
    reach_m: Floats
    drift_m: Floats
    one_to_one_enough: NDArray[np.bool_]
    places: Floats
    coming: Floats
    owner: NDArray[np.int64]
    grown_m: float

    @cached_property
    def polygon(self) -> BaseGeometry:
        """Hull of all places of impact in the plane, grown; empty where nothing is known."""
        return _hull(self.owner, self.places, self.coming, self.grown_m)

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
    on = [thrown_along(track, motion) for motion in flown.motions]
    below = np.column_stack([track.x_m, track.y_m])
    ballistic: list[Floats] = []
    carried: list[Floats] = []
    both = []
    for thrown in (on, [one.coming() for one in on]):
        free = [one.ballistic_m(height_m) for one in thrown]
        blown = carried_ways(thrown, flown.winds, height_m, terminal_mps) if terminal_mps else []
        both.append(np.stack([below, *(below + way for way in (*free, *blown))], axis=1))
        ballistic += free
        carried += blown
    reach_m = farthest_m(ballistic, height_m)
    drift_m = farthest_m(carried, height_m)
    with np.errstate(invalid="ignore"):
        enough = (reach_m <= height_m) & (drift_m <= height_m)
    return FallZone(height_m, reach_m, drift_m, enough, both[0], both[1], _owner(track), grown_m)


def farthest_m(ways: Sequence[Floats], height_m: Floats) -> Floats:
    """Return the length of the longest way from each sample [m]; NaN where the height is unknown."""
    lengths = [np.hypot(*way.T) for way in ways]
    return np.asarray(np.max([height_m * 0.0, *lengths], axis=0))


def thrown_along(track: Track, motion: Motion) -> Thrown:
    """Return how an aircraft that fails is thrown from each sample (n,)."""
    return Thrown(*velocity_along(track, motion))


def _owner(track: Track) -> NDArray[np.int64]:
    piece = np.floor(track.distance_m / _PIECE_M).astype(np.int64) + track.leg * 1_000_000
    return np.asarray(np.cumsum(np.diff(piece, prepend=piece[0]) != 0))


def _hull(owner: NDArray[np.int64], places: Floats, coming: Floats, grown_m: float) -> BaseGeometry:
    """Return the union of hulls over short pieces, each up to the first sample of the next."""
    ends = np.concatenate([places, coming[1:]])
    owners = np.concatenate([owner, owner[:-1]])
    rows = np.flatnonzero(np.all(np.isfinite(ends), axis=(1, 2)))
    if not len(rows):
        return shapely.Polygon()
    rows = rows[np.argsort(owners[rows], kind="stable")]
    _, dense = np.unique(owners[rows], return_inverse=True)
    indices = np.repeat(dense, places.shape[1])
    clouds = shapely.multipoints(ends[rows].reshape(-1, 2), indices=indices)
    grown = shapely.buffer(shapely.convex_hull(clouds), grown_m, quad_segs=4)
    return shapely.union_all(grown)
