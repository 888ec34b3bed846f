"""Many legs as one set of arrays, and what they are cut into by what is mapped."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import LegShape
from planner.track.crossings import between_whole_numbers, outline_crossings, rising
from planner.track.leg import LegEnds
from planner.world.outlines import Outlines
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

APART_M = 12.0
"""No two samples over known ground lie farther apart, however coarse the raster is: what is asked of places
(a way home, a fall, a line of sight) sees what stands between two of them. Own choice: less than the room of
10 m to both sides that a way home keeps by itself."""
_PIECE_M = 100.0
_MOST_PIECES = 5_000
_MOST_PARTS = 5_000
"""A point drawn on the wrong side of the earth must not stop the desk."""


@attrs.frozen(eq=False)
class LegLines:
    """Legs, arrays (legs, 2) of their ends [m] and (legs,) of heights, as `LegEnds` has them."""

    start: Floats
    end: Floats
    start_amsl_m: Floats
    end_amsl_m: Floats
    start_agl_m: Floats
    end_agl_m: Floats
    straight: NDArray[np.bool_]

    def __len__(self) -> int:
        """Return the number of legs."""
        return len(self.start)

    @classmethod
    def of(cls, every: Sequence[LegEnds]) -> "LegLines":
        """Return legs as arrays."""
        numbers = np.array([(*ends.start_xy, *ends.end_xy, *ends[2:6]) for ends in every]).reshape(-1, 8)
        start_amsl_m, end_amsl_m, start_agl_m, end_agl_m = numbers[:, 4:].T
        straight = np.array([ends.shape is LegShape.STRAIGHT for ends in every], dtype=bool)
        return cls(
            numbers[:, :2], numbers[:, 2:4], start_amsl_m, end_amsl_m, start_agl_m, end_agl_m, straight
        )

    def at(self, leg: Ints, share: Floats) -> tuple[Floats, Floats]:
        """Return plane positions [m] at shares of some legs (n,); at 1 the end to the last digit.

        The next leg begins there: a hair between the two would be a step with a direction of its own.
        """
        start, end = self.start, self.end
        return (
            _between(start[:, 0][leg], end[:, 0][leg], share),
            _between(start[:, 1][leg], end[:, 1][leg], share),
        )

    def planned_m(self, leg: Ints, share: Floats, ground_m: Floats) -> Floats:
        """Return planned heights [m AMSL] at shares of some legs over their ground (n,)."""
        straight = self.straight[leg]
        if straight.all():
            return self._straight_m(leg, share)
        followed_m = ground_m + _between(self.start_agl_m[leg], self.end_agl_m[leg], share)
        return np.where(straight, self._straight_m(leg, share), followed_m)

    def _straight_m(self, leg: Ints, share: Floats) -> Floats:
        return _between(self.start_amsl_m[leg], self.end_amsl_m[leg], share)

    def slope_met(self) -> Floats:
        """Return the slope of the ground, per leg, at which each leg has its extremum.

        Of a straight leg that is its height above ground; of a leg that follows
        the ground its height above sea level, since there it is the other one
        that is straight.
        """
        return np.where(self.straight, self.end_amsl_m - self.start_amsl_m, self.start_agl_m - self.end_agl_m)


def _between(start: Floats, end: Floats, share: Floats) -> Floats:
    return np.where(share == 1.0, end, start + (end - start) * share)


@attrs.frozen(eq=False)
class Stretches:
    """Pieces of legs between two crossings of outlines, arrays (stretches,), in the order of legs.

    Parameters
    ----------
    leg : the leg of each.
    first, last : the share of the leg at which it begins and ends.
    inside : (stretches, outlines) whether it lies in the outline.
    """

    leg: Ints
    first: Floats
    last: Floats
    inside: NDArray[np.bool_]

    def holding(self, leg: Ints, share: Floats) -> Ints:
        """Return the stretch of each of some shares (n,) inside (0, 1) of legs; at a border the later one."""
        every = np.concatenate([self.leg, leg])
        shares = np.concatenate([self.first, share])
        # Of what lies at one share the border comes first.
        order = np.lexsort((np.arange(len(every)) >= len(self.leg), shares, every))
        begun = np.cumsum(order < len(self.leg)) - 1
        found = np.empty(len(every), dtype=np.int64)
        found[order] = begun
        return found[len(self.leg) :]


def stretches_of(lines: LegLines, outlines: Outlines) -> Stretches:
    """Return what outlines cut legs into; what runs along an edge is decided by its middle."""
    leg, share = outline_crossings(lines.start, lines.end, outlines)
    every = np.arange(len(lines))
    borders_of = np.concatenate([every, leg, every])
    borders = np.concatenate([np.zeros(len(lines)), share, np.ones(len(lines))])
    order = np.lexsort((borders, borders_of))
    borders_of, borders = borders_of[order], borders[order]
    inner = borders_of[:-1] == borders_of[1:]
    owner, first, last = borders_of[:-1][inner], borders[:-1][inner], borders[1:][inner]
    return Stretches(owner, first, last, _membership(lines, owner, (first + last) / 2, outlines))


def _membership(lines: LegLines, leg: Ints, middle: Floats, outlines: Outlines) -> NDArray[np.bool_]:
    boxes = np.hstack([np.minimum(lines.start, lines.end), np.maximum(lines.start, lines.end)])
    inside = outlines.near_each(boxes)[leg]
    stretch, column = np.nonzero(inside)
    x_m, y_m = lines.at(leg, middle)
    inside[stretch, column] = outlines.contains_each(column, x_m[stretch], y_m[stretch])
    return inside


def raster_lines(lines: LegLines, ground: PlaneTerrain | None) -> tuple[Ints, Floats]:
    """Return where legs pass raster lines, and places between that lie far apart.

    That is which leg, and the share of it, both rising. Without a raster it is every 100 m.
    """
    long_m = np.hypot(*(lines.end - lines.start).T)
    pieces = np.clip(np.ceil(long_m / _PIECE_M), 1, _MOST_PIECES).astype(np.int64)
    leg = np.repeat(np.arange(len(lines)), pieces + 1)
    rank = np.arange(len(leg)) - np.repeat(np.cumsum(pieces + 1) - (pieces + 1), pieces + 1)
    share = np.where(rank == pieces[leg], 1.0, rank * (1.0 / pieces)[leg])
    if ground is None:
        return rising(leg, share)
    begins = np.flatnonzero(leg[:-1] == leg[1:])
    rows, columns = ground.terrain.heights_m.shape
    found = []
    for axis, size in zip(ground.grid(*lines.at(leg, share)), (columns, rows), strict=True):
        piece, inner = between_whole_numbers(axis[begins], axis[begins + 1], size)
        at = begins[piece]
        found.append((leg[at], share[at] + inner * (share[at + 1] - share[at])))
    crossed = rising(*(np.concatenate(each) for each in zip(*found, strict=True)))
    return _filled(long_m, *crossed)


def _filled(long_m: Floats, leg: Ints, share: Floats) -> tuple[Ints, Floats]:
    """Return shares of legs with more of them where two, or one and the leg's end, lie far apart."""
    every = np.arange(len(long_m))
    owner = np.concatenate([every, leg, every])
    at = np.concatenate([np.zeros(len(every)), share, np.ones(len(every))])
    order = np.lexsort((at, owner))
    owner, at = owner[order], at[order]
    wide = np.flatnonzero((owner[1:] == owner[:-1]) & (np.diff(at) * long_m[owner[:-1]] > APART_M))
    if not len(wide):
        return leg, share
    gap = at[wide + 1] - at[wide]
    parts = np.minimum(np.ceil(gap * long_m[owner[wide]] / APART_M), _MOST_PARTS).astype(np.int64)
    piece = np.repeat(np.arange(len(wide)), parts - 1)
    rank = np.arange(len(piece)) - np.repeat(np.cumsum(parts - 1) - (parts - 1), parts - 1) + 1
    more = at[wide][piece] + gap[piece] * (rank / parts[piece])
    return rising(np.concatenate([leg, owner[wide][piece]]), np.concatenate([share, more]))
