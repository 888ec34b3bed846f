"""Places of returns on lost link at which the ceiling may change: where they meet outlines.

A ceiling leaps at the edge of an airspace, so no spacing of places is enough.
"""

from collections.abc import Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.way_home import LossWays
from planner.world.outlines import Disc, Shape

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_WITHIN = np.array([0.01, 0.5, 0.99])
"""Where between two edges the ceiling is asked: just inside both, and in the middle."""
_MOST_RUNS = 60
"""Of so many separate runs of samples whose ways meet one outline the ends and the middle are chosen."""


@attrs.frozen(eq=False)
class ReturnPlaces:
    """Places on returns (n,): the sample each belongs to, plane places [m] and heights [m AMSL]."""

    owner: Ints
    x_m: Floats
    y_m: Floats
    amsl_m: Floats

    @classmethod
    def none(cls) -> "ReturnPlaces":
        """Return no place."""
        return cls(np.empty(0, dtype=np.int64), np.empty(0), np.empty(0), np.empty(0))

    def and_these(self, other: "ReturnPlaces") -> "ReturnPlaces":
        """Return both together."""
        return ReturnPlaces(
            np.concatenate([self.owner, other.owner]),
            np.concatenate([self.x_m, other.x_m]),
            np.concatenate([self.y_m, other.y_m]),
            np.concatenate([self.amsl_m, other.amsl_m]),
        )


def chosen_ways(loss: LossWays, every: int, outlines: Sequence[BaseGeometry]) -> Ints:
    """Return the samples whose returns are looked at: every so-many-th, and more where outlines are met.

    Of the samples in a row whose ways meet an outline these are the first, the middle and the last one.
    """
    chosen = [np.arange(0, len(loss.clearance_m), every)]
    for outline in outlines:
        met = _meets(outline, _ways(loss))
        if met.all() or not met.any():
            continue
        steps = np.flatnonzero(np.diff(np.concatenate([[0], met.astype(np.int8), [0]])))
        first, last = steps[::2][:_MOST_RUNS], steps[1::2][:_MOST_RUNS] - 1
        chosen += [first, (first + last) // 2, last]
    return np.unique(np.concatenate(chosen))


def between_edges(loss: LossWays, chosen: Ints, outlines: Sequence[Shape]) -> ReturnPlaces:
    """Return places of some samples' returns between any two edges of outlines that they cross."""
    found = ReturnPlaces.none()
    for begin, end in ((0, 1), (2, 3)):
        starts, ends = (_corner(loss, chosen, corner) for corner in (begin, end))
        lines = np.asarray(shapely.linestrings(np.stack([starts[:, :2], ends[:, :2]], axis=1)))
        owner, share = cuts_of(lines, outlines)
        if not len(owner):
            continue
        # All of its crossings of a way, its own ends among them, in their order.
        crossed = np.unique(owner)
        owner = np.concatenate([owner, crossed, crossed])
        share = np.concatenate([share, np.zeros(len(crossed)), np.ones(len(crossed))])
        order = np.lexsort((share, owner))
        owner, share = owner[order], share[order]
        piece = np.flatnonzero((owner[1:] == owner[:-1]) & (share[1:] > share[:-1]))
        at = (share[piece, None] + (share[piece + 1] - share[piece])[:, None] * _WITHIN).ravel()
        which = np.repeat(owner[piece], len(_WITHIN))
        x_m, y_m, amsl_m = (starts[which] + (ends[which] - starts[which]) * at[:, None]).T
        found = found.and_these(ReturnPlaces(chosen[which], x_m, y_m, amsl_m))
    return found


def passed_between(loss: LossWays, outlines: Sequence[BaseGeometry]) -> ReturnPlaces:
    """Return a place in each outline that lies between the returns of two neighbours, met by neither."""
    ways, found = _ways(loss), ReturnPlaces.none()
    if len(ways) < 2:
        return found
    corners = np.stack(
        [np.column_stack([loss.corner_x_m[:, k], loss.corner_y_m[:, k]]) for k in (0, 1, 3)], axis=1
    )
    pairs = np.concatenate([corners[:-1], corners[1:]], axis=1)
    swept = np.asarray(shapely.convex_hull(_lines(pairs)))
    for outline in outlines:
        met = _meets(outline, ways)
        steps = np.flatnonzero(_meets(outline, swept) & ~met[1:] & ~met[:-1])
        if len(steps):
            there = shapely.get_coordinates(
                shapely.point_on_surface(shapely.intersection(outline, swept[steps]))
            )
            level_m = np.fmax(loss.corner_amsl_m[steps, 2], loss.corner_amsl_m[steps + 1, 2])
            found = found.and_these(ReturnPlaces(steps, there[:, 0], there[:, 1], level_m))
    return found


def _corner(loss: LossWays, chosen: Ints, corner: int) -> Floats:
    return np.column_stack(
        [part[chosen, corner] for part in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m)]
    )


def _ways(loss: LossWays) -> NDArray[np.object_]:
    corners = [np.column_stack([loss.corner_x_m[:, k], loss.corner_y_m[:, k]]) for k in (0, 1, 3)]
    return _lines(np.stack(corners, axis=1))


def _lines(corners: Floats) -> NDArray[np.object_]:
    """Return lines through corners (n, k, 2), None where one of them is not known."""
    known = np.isfinite(corners).all(axis=(1, 2))
    lines = np.full(len(corners), None, dtype=object)
    lines[known] = shapely.linestrings(corners[known])
    return lines


def _meets(outline: BaseGeometry, shapes: NDArray[np.object_]) -> Mask:
    shapely.prepare(outline)
    return np.asarray(shapely.intersects(outline, shapes), dtype=np.bool_)


def cuts_of(lines: NDArray[np.object_], outlines: Sequence[Shape]) -> tuple[Ints, Floats]:
    """Return where straight lines cross the edges of outlines: the line's index, and the share of it."""
    starts, ends = np.swapaxes(shapely.get_coordinates(lines).reshape(-1, 2, 2), 0, 1)
    along = ends - starts
    square = (along * along).sum(axis=1)
    boxes = shapely.STRtree(lines)
    discs = [one for one in outlines if isinstance(one, Disc)]
    owner, share = _disc_cuts(boxes, (starts, along, square), discs)
    owners, shares = [owner], [share]
    for outline in outlines:
        if isinstance(outline, Disc):
            continue
        rows = np.sort(boxes.query(outline))
        # What lies wholly inside crosses no edge.
        crosses = _meets(outline, lines[rows]) & ~shapely.contains_properly(outline, lines[rows])
        rows = rows[crosses & (square[rows] > 0.0)]
        if not len(rows):
            continue
        pieces = np.asarray(shapely.intersection(lines[rows], outline))
        places, index = shapely.get_coordinates(pieces, return_index=True)
        of = rows[index]
        at = ((places - starts[of]) * along[of]).sum(axis=1) / square[of]
        inner = (at > 0.0) & (at < 1.0)
        owners.append(rows[index[inner]])
        shares.append(at[inner])
    return np.concatenate(owners), np.concatenate(shares)


def _disc_cuts(
    boxes: shapely.STRtree, lines: tuple[Floats, Floats, Floats], discs: Sequence[Disc]
) -> tuple[Ints, Floats]:
    """Return `cuts_of` of discs; lines are where they begin, how they lead on, and their square length."""
    round_ones = np.array([(one.x_m, one.y_m, one.radius_m) for one in discs]).reshape(-1, 3)
    middles, radius_m = round_ones[:, :2], round_ones[:, 2:]
    which, row = boxes.query(shapely.box(*(middles - radius_m).T, *(middles + radius_m).T))
    starts, along, square = (one[row] for one in lines)
    away = starts - middles[which]
    # Where |away + share along| is the radius: with half the middle term, as all are even.
    half = (away * along).sum(axis=1)
    least = half**2 - square * ((away * away).sum(axis=1) - radius_m[which, 0] ** 2)
    crossing = (least > 0.0) & (square > 0.0)
    row, half, square, root = row[crossing], half[crossing], square[crossing], np.sqrt(least[crossing])
    share = np.concatenate([-half - root, -half + root]) / np.tile(square, 2)
    inner = (share > 0.0) & (share < 1.0)
    return np.tile(row, 2)[inner], share[inner]
