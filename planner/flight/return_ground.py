"""Where returns on lost link pass over the lowest, and the highest, ground between the edges of outlines.

What begins or ends so high above the ground, or is granted up to so high above it, is met where the ground
lies lowest, or highest: no spacing of places is enough, and no choice of some returns.
"""

from collections.abc import Callable, Container, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.fan import least_ground_along
from planner.flight.grid_fit import GridFit
from planner.flight.rays import Fan
from planner.flight.return_dips import Steps, lower_between
from planner.flight.return_places import ReturnPlaces, cuts_of
from planner.flight.way_home import LossWays
from planner.units import GROUND_LIMIT_M
from planner.world.lowered import lowered_about
from planner.world.outlines import Shape
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Measure = Callable[[Floats, Floats], Floats]

_A_CELL: Final = 2
_MOST_PLACES: Final = 150_000
"""The ground is looked at in so many places of all returns; then nearer to each other about the lowest."""
_WITHIN: Final = 0.005
_WITHIN_M: Final = 0.02
"""So much of a piece, or so far, within its ends ground is asked: on the edge itself it is in both."""
_NOTHING_M: Final = 1e-6
_MANY: Final = 1_000
_FINER: Final = np.linspace(-1.0, 1.0, 17)
_ABOUT: Final = np.linspace(-8.0, 8.0, 9)
"""In steps of half a cell: so far from what lies lowest about it the lowest ground is looked for."""
_MOST_EXACT: Final = 10_000
"""So many places, the deepest, are asked one by one for the lowest ground within the survey's error."""


def over_lowest_ground(
    loss: LossWays,
    ground: PlaneTerrain | None,
    room_m: float,
    edges: Sequence[Shape],
    raising: Container[int] = (),
) -> ReturnPlaces:
    """Return the places of returns that lie over the least ground of each piece between two edges.

    Of the pieces that may be higher than `room_m` over the lowest ground there, or over ground not known.
    `raising` are the identities of edges that but raise the height limit: where no return may come above
    that, they bound no piece.
    """
    rows = _known(loss)
    if ground is None or not len(rows):
        return ReturnPlaces.none()
    lowered = lowered_about(ground, _box(loss, rows))
    rows = _rows_deeper(loss, rows, lowered, room_m)
    if not len(rows):
        return ReturnPlaces.none()
    others = [edge for edge in edges if id(edge) not in raising]
    if len(others) < len(edges) and not len(_rows_deeper(loss, rows, lowered, GROUND_LIMIT_M)):
        edges = others
    cuts = _cuts(loss, rows, edges)
    level = _Level.of(loss, rows, lowered, cuts)
    with np.errstate(invalid="ignore"):
        depth_m = np.nan_to_num(loss.corner_amsl_m[rows[level.owner], 3] - level.ground_m, nan=np.inf)
    deep = depth_m > room_m
    likeliest = deep
    if many := np.count_nonzero(deep) > _MOST_EXACT:
        # What is deepest by the lowered ground may be so by the exact one; the others are less deep anyway.
        likeliest = np.zeros(len(deep), dtype=bool)
        likeliest[np.argpartition(-depth_m, _MOST_EXACT)[:_MOST_EXACT]] = True
    exact = level.where(likeliest, ground.lowest)
    found = exact.places(loss, rows, exact.least_of_pieces(1.0), _FINER, ground.lowest)
    found = found.and_these(_lower_between(loss, rows, ground, exact, level, found))
    if not many:
        return found
    at = level.least_of_pieces(1.0)
    return found.and_these(level.places(loss, rows, at[deep[at]], _ABOUT, ground.lowest))


def _lower_between(
    loss: LossWays, rows: Ints, ground: PlaneTerrain, exact: "_Level", lowered: "_Level", found: ReturnPlaces
) -> ReturnPlaces:
    """Return the lowest place of each piece that lies lower than what is found, between two places asked."""
    if ground.terrain.horizontal_uncertainty_m <= 0.0 or not len(found.owner):
        return ReturnPlaces.none()
    pieces = exact.piece[exact.least_of_pieces(1.0)]
    least_m = np.full(int(exact.piece.max()) + 1, np.inf)
    np.fmin.at(least_m, pieces, ground.lowest(found.x_m, found.y_m))
    likely = np.isfinite(exact.ground_m)
    first = np.flatnonzero((exact.piece[1:] == exact.piece[:-1]) & (likely[1:] | likely[:-1]))
    share = np.stack([exact.share[first], exact.share[first + 1]])
    bound_m = np.fmin(lowered.ground_m[first], lowered.ground_m[first + 1])
    steps = Steps(share, exact.owner[first], exact.ends, bound_m, least_m[exact.piece[first]])
    which, at, low_m = lower_between(ground, steps)
    # The last assigned of a piece stays: the lowest.
    order = np.argsort(-low_m, kind="stable")
    nth = np.full(len(least_m), -1, dtype=np.int64)
    nth[exact.piece[first[which[order]]]] = order
    kept = nth[nth >= 0]
    owner = exact.owner[first[which[kept]]]
    x_m, y_m = (_along(axis, owner, at[kept]) for axis in exact.ends)
    return ReturnPlaces(rows[owner], x_m, y_m, loss.corner_amsl_m[rows[owner], 3])


def over_highest_ground(
    loss: LossWays, ground: PlaneTerrain | None, tops: Sequence[BaseGeometry], edges: Sequence[Shape]
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
    return level.places(
        loss, rows[met], level.least_of_pieces(-1.0), _FINER, lambda x, y: -ground.ground(x, y)
    )


def _known(loss: LossWays) -> Ints:
    """Return the samples whose return has a level part that is known."""
    ends = (loss.corner_x_m[:, 2:], loss.corner_y_m[:, 2:], loss.corner_amsl_m[:, 3:])
    flown = np.isfinite(np.column_stack(ends)).all(axis=1)
    return np.flatnonzero(flown if loss.landed is None else flown & ~loss.landed)


def _box(loss: LossWays, rows: Ints) -> tuple[float, float, float, float]:
    x_m, y_m = loss.corner_x_m[rows][:, 2:], loss.corner_y_m[rows][:, 2:]
    return float(x_m.min()), float(y_m.min()), float(x_m.max()), float(y_m.max())


def _rows_deeper(loss: LossWays, rows: Ints, lowered: PlaneTerrain, room_m: float) -> Ints:
    """Return those of some returns that may be higher than that over the lowest ground."""
    return rows[_may_be_deep(loss, rows, lowered, room_m)]


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


def _cuts(loss: LossWays, rows: Ints, edges: Sequence[Shape]) -> Floats:
    """Return where pieces end, in order: that of the n-th return at share s is 2 n + s."""
    cut_of, cut_at = cuts_of(_lines(loss, rows), edges)
    return np.sort(np.concatenate([2.0 * cut_of + cut_at, 2.0 * np.arange(len(rows)) - 0.5]))


def _in_pieces(cuts: Floats, length_m: Floats) -> Floats:
    """Return places just within the ends and in the middle of all pieces of returns, as `_cuts` has them."""
    ends = 2.0 * np.arange(len(length_m))
    stops = np.sort(np.concatenate([cuts[(cuts >= 0.0) & (cuts % 2.0 < 1.0)], ends, ends + 1.0]))
    first, last = stops[:-1], stops[1:]
    way_m = np.maximum(length_m[np.minimum(first / 2.0, len(length_m) - 1).astype(np.int64)], _WITHIN_M)
    # Two outlines that share an edge have nothing between them, whatever rounding makes of it.
    pieces = ((first + last) / 2.0 % 2.0 < 1.0) & ((last - first) * way_m > _NOTHING_M)
    first, last, way_m = first[pieces], last[pieces], way_m[pieces]
    within = np.minimum((last - first) * _WITHIN, _WITHIN_M / way_m)
    return np.concatenate([first + within, (first + last) / 2.0, last - within])


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
        # Ends and middle of each piece, too: it may be shorter than a step.
        keys = np.sort(np.concatenate([2.0 * owner + nth * steps[owner], _in_pieces(cuts, length_m)]))
        owner = np.floor(keys / 2.0).astype(np.int64)
        share = keys - 2.0 * owner
        fit = GridFit.over(ground, x_m.ravel(), y_m.ravel())
        ground_m = fit.ground(_along(x_m, owner, share), _along(y_m, owner, share))
        piece = np.searchsorted(cuts, keys)
        return cls(owner, share, ground_m, piece, cuts, steps, (x_m, y_m))

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
        first = first[height_m[first] < np.inf]
        ends = np.append(np.flatnonzero(~least | other), len(height_m))
        after = ends[np.searchsorted(ends, first, side="right")]
        return np.asarray((first + after - 1) // 2)

    def where(self, deep: Mask, measure: Measure) -> "_Level":
        """Return it with another measure of the ground at some places, and far above all at the others."""
        x_m, y_m = (_along(axis, self.owner[deep], self.share[deep]) for axis in self.ends)
        ground_m = np.full(len(deep), np.inf)
        if deep.any():
            ground_m[deep] = measure(x_m, y_m)
        return attrs.evolve(self, ground_m=ground_m)

    def places(
        self,
        loss: LossWays,
        rows: Ints,
        at: Ints,
        beside: Floats,
        measure: Measure,
    ) -> ReturnPlaces:
        """Return some of them, or what lies beside in the same piece where some measure is less.

        `beside` are steps to either side. As high as the return is.
        """
        owner = self.owner[at]
        beside = beside if len(at) < _MANY else beside[::2]
        share = np.clip(self.share[at, None] + self.steps[owner, None] * beside, 0.0, 1.0)
        x_m, y_m = (_along(axis, owner[:, None], share) for axis in self.ends)
        low = measure(x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
        inside = np.searchsorted(self.cuts, 2.0 * owner[:, None] + share) == self.piece[at, None]
        middle = len(beside) // 2
        lower = inside & (low < low[:, middle, None])
        best = np.where(lower.any(axis=1), np.argmin(np.where(lower, low, np.inf), axis=1), middle)
        x_m, y_m = (np.take_along_axis(axis, best[:, None], axis=1)[:, 0] for axis in (x_m, y_m))
        return ReturnPlaces(rows[owner], x_m, y_m, loss.corner_amsl_m[rows[owner], 3])


def _along(ends: Floats, owner: Ints, share: Floats) -> Floats:
    return np.asarray(ends[owner, 0] + (ends[owner, 1] - ends[owner, 0]) * share)
