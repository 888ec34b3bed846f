"""Where returns on lost link pass over the lowest, and the highest, ground between the edges of outlines.

What begins or ends so high above the ground, or is granted up to so high above it, is met where the ground
lies lowest, or highest: no spacing of places is enough, and no choice of some returns.
"""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.fan import least_ground_along
from planner.flight.grid_fit import GridFit
from planner.flight.rays import Fan
from planner.flight.return_places import ReturnPlaces, cuts_of
from planner.flight.way_home import LossWays
from planner.world.lowered import lowered_about
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_A_CELL: Final = 2
_MOST_PLACES: Final = 150_000
"""The ground is looked at in so many places of all returns; then nearer to each other about the lowest."""
_FINER: Final = np.linspace(-1.0, 1.0, 9)


def over_lowest_ground(
    loss: LossWays, ground: PlaneTerrain | None, room_m: float, edges: Sequence[BaseGeometry]
) -> ReturnPlaces:
    """Return the places of returns that lie over the least ground of each piece between two edges.

    Of the pieces that may be higher than `room_m` over the lowest ground there, or over ground not known.
    """
    rows = _known(loss)
    if ground is None or not len(rows):
        return ReturnPlaces.none()
    lowered = lowered_about(ground, _box(loss, rows))
    rows = rows[_may_be_deep(loss, rows, lowered, room_m)]
    if not len(rows):
        return ReturnPlaces.none()
    found, cuts = ReturnPlaces.none(), _cuts(loss, rows, edges)
    for surface in (lowered, ground) if ground.terrain.horizontal_uncertainty_m > 0.0 else (lowered,):
        level = _Level.of(loss, rows, surface, cuts)
        at = level.least_of_pieces(1.0)
        with np.errstate(invalid="ignore"):
            deep = ~(loss.corner_amsl_m[rows[level.owner[at]], 3] - level.ground_m[at] <= room_m)
        found = found.and_these(level.places(loss, rows, at[deep], 1.0))
    return found


def over_highest_ground(
    loss: LossWays, ground: PlaneTerrain | None, tops: Sequence[BaseGeometry], edges: Sequence[BaseGeometry]
) -> ReturnPlaces:
    """Return the places of returns over the highest ground of each piece, of those that meet an outline.

    `tops` are those of what ends so high above the ground.
    """
    rows = _known(loss)
    if ground is None or not tops or not len(rows):
        return ReturnPlaces.none()
    lines, met = _lines(loss, rows), np.zeros(len(rows), dtype=bool)
    for outline in tops:
        shapely.prepare(outline)
        met |= np.asarray(shapely.intersects(outline, lines), dtype=bool)
    if not met.any():
        return ReturnPlaces.none()
    level = _Level.of(loss, rows[met], ground, _cuts(loss, rows[met], edges))
    return level.places(loss, rows[met], level.least_of_pieces(-1.0), -1.0)


def _known(loss: LossWays) -> Ints:
    """Return the samples whose return has a level part that is known."""
    ends = (loss.corner_x_m[:, 2:], loss.corner_y_m[:, 2:], loss.corner_amsl_m[:, 3:])
    return np.flatnonzero(np.isfinite(np.column_stack(ends)).all(axis=1))


def _box(loss: LossWays, rows: Ints) -> tuple[float, float, float, float]:
    x_m, y_m = loss.corner_x_m[rows][:, 2:], loss.corner_y_m[rows][:, 2:]
    return float(x_m.min()), float(y_m.min()), float(x_m.max()), float(y_m.max())


def _may_be_deep(loss: LossWays, rows: Ints, lowered: PlaneTerrain, room_m: float) -> Mask:
    level_m, heights_m = loss.corner_amsl_m[rows, 3], lowered.terrain.heights_m
    if heights_m.size and not (~(heights_m >= level_m.max() - room_m)).any():
        return np.zeros(len(rows), dtype=bool)
    home = float(loss.corner_x_m[rows[0], 3]), float(loss.corner_y_m[rows[0], 3])
    fan = Fan(home, loss.corner_x_m[rows, 2], loss.corner_y_m[rows, 2])
    least_m, _ = least_ground_along(fan, lowered, np.inf)
    with np.errstate(invalid="ignore"):
        return np.asarray(~(level_m - least_m <= room_m))


def _lines(loss: LossWays, rows: Ints) -> NDArray[np.object_]:
    ends = np.stack([loss.corner_x_m[rows][:, 2:], loss.corner_y_m[rows][:, 2:]], axis=2)
    return np.asarray(shapely.linestrings(ends), dtype=object)


def _cuts(loss: LossWays, rows: Ints, edges: Sequence[BaseGeometry]) -> Floats:
    """Return where pieces end, in order: that of the n-th return at share s is 2 n + s."""
    cut_of, cut_at = cuts_of(_lines(loss, rows), edges)
    return np.sort(np.concatenate([2.0 * cut_of + cut_at, 2.0 * np.arange(len(rows)) - 0.5]))


@attrs.frozen(eq=False)
class _Level:
    """Places close to each other on the level parts of returns, in order.

    Arrays (n,): which return, its share, the ground [m AMSL], and which piece between two of the `cuts`.
    """

    owner: Ints
    share: Floats
    ground_m: Floats
    piece: Ints
    cuts: Floats
    steps: Floats
    ends: tuple[Floats, Floats]
    fit: GridFit

    @classmethod
    def of(cls, loss: LossWays, rows: Ints, ground: PlaneTerrain, cuts: Floats) -> "_Level":
        x_m, y_m = loss.corner_x_m[rows][:, 2:], loss.corner_y_m[rows][:, 2:]
        length_m = np.hypot(x_m[:, 1] - x_m[:, 0], y_m[:, 1] - y_m[:, 0])
        cell_m = ground.cell_m(float(x_m.mean()), float(y_m.mean()))
        step_m = max(cell_m / _A_CELL, float(length_m.sum()) / _MOST_PLACES)
        count = np.ceil(length_m / step_m).astype(np.int64) + 1
        steps = 1.0 / np.maximum(count - 1, 1)
        owner = np.repeat(np.arange(len(rows)), count)
        nth = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        share = nth * steps[owner]
        fit = GridFit.over(ground, x_m.ravel(), y_m.ravel())
        ground_m = fit.ground(_along(x_m, owner, share), _along(y_m, owner, share))
        piece = np.searchsorted(cuts, 2.0 * owner + share)
        return cls(owner, share, ground_m, piece, cuts, steps, (x_m, y_m), fit)

    def least_of_pieces(self, sign: float) -> Ints:
        """Return, of each piece, the place over the least ground (sign 1), or the highest (-1).

        Of several in a row the middle one: what makes them low lies abeam of it. What is not known is least.
        """
        height_m = np.where(np.isnan(self.ground_m), -sign * np.inf, sign * self.ground_m)
        other = np.diff(self.piece, prepend=-1) != 0
        begins = np.flatnonzero(other)
        counts = np.diff(np.append(begins, len(height_m)))
        least = height_m == np.repeat(np.minimum.reduceat(height_m, begins), counts)
        runs = np.flatnonzero(least & (other | ~np.append(False, least[:-1])))
        first = runs[np.flatnonzero(np.diff(self.piece[runs], prepend=-1))]
        ends = np.append(np.flatnonzero(~least | other), len(height_m))
        after = ends[np.searchsorted(ends, first, side="right")]
        return np.asarray((first + after - 1) // 2)

    def places(self, loss: LossWays, rows: Ints, at: Ints, sign: float) -> ReturnPlaces:
        """Return some of them, or what lies over still less ground close beside, as high as the return is."""
        owner = self.owner[at]
        share = np.clip(self.share[at, None] + self.steps[owner, None] * _FINER, 0.0, 1.0)
        x_m, y_m = (_along(axis, owner[:, None], share) for axis in self.ends)
        ground_m = sign * self.fit.ground(x_m, y_m)
        inside = np.searchsorted(self.cuts, 2.0 * owner[:, None] + share) == self.piece[at, None]
        middle = len(_FINER) // 2
        lower = inside & (ground_m < ground_m[:, middle, None])
        best = np.where(lower.any(axis=1), np.argmin(np.where(lower, ground_m, np.inf), axis=1), middle)
        x_m, y_m = (np.take_along_axis(axis, best[:, None], axis=1)[:, 0] for axis in (x_m, y_m))
        return ReturnPlaces(rows[owner], x_m, y_m, loss.corner_amsl_m[rows[owner], 3])


def _along(ends: Floats, owner: Ints, share: Floats) -> Floats:
    return np.asarray(ends[owner, 0] + (ends[owner, 1] - ends[owner, 0]) * share)
