"""What stands under level ways home: under each of them, and between those of two neighbouring samples.

Samples lie metres apart, and the link may be lost anywhere between two of them: ways home from there sweep
the triangle between the ways of both.
"""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.cover import Cover, least_over_cover
from planner.flight.grid_fit import GridFit
from planner.flight.obstacles import Obstacles, keep_lowest, least_clearance_m
from planner.flight.seen_from_hub import SeenFromHub
from planner.flight.surroundings import Surroundings
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Shapes = NDArray[np.object_]

# The ground under cover that lies between two ways is looked at so far apart, along the cover's outline.
_GROUND_EVERY_M = 5.0


@attrs.frozen(eq=False)
class LevelWays:
    """Straight level ways from places of the plane (n,) to one hub [m], each at its height [m AMSL].

    `in_order`: whether neighbours are so in flight, so that what lies between their ways may be flown over.
    """

    x_m: Floats
    y_m: Floats
    hub: tuple[float, float]
    level_amsl_m: Floats
    in_order: bool = False

    @property
    def gap_m(self) -> Floats:
        """Return how far apart two neighbours begin (n - 1,) [m]; 0 where nothing is flown between them."""
        return np.hypot(np.diff(self.x_m), np.diff(self.y_m)) * self.in_order

    @property
    def lower_m(self) -> Floats:
        """Return the lower height of two neighbours (n - 1,) [m AMSL]."""
        return np.fmin(self.level_amsl_m[1:], self.level_amsl_m[:-1])

    def lines(self, rows: Ints) -> Shapes:
        """Return some of the ways."""
        begin = np.column_stack([self.x_m[rows], self.y_m[rows]])
        end = np.broadcast_to(self.hub, begin.shape)
        return np.asarray(shapely.linestrings(np.stack([begin, end], axis=1)), dtype=object)

    def swept_near(
        self, rows: Ints, x_m: Floats, y_m: Floats, reach_m: Floats
    ) -> Iterator[tuple[Ints, Ints]]:
        """Yield pairs (disc, row): some of the rows that sweep so near a disc, all that do among them."""
        begins, ends = (np.column_stack([self.x_m[at], self.y_m[at]]) for at in (rows, rows + 1))
        for disc, nth in SeenFromHub.swept(self.hub, begins, ends).near(x_m, y_m, reach_m):
            yield disc, rows[nth]

    def swept(self, rows: Ints) -> Shapes:
        """Return the triangles between some ways and the next of each."""
        one, next_one = (np.column_stack([self.x_m[at], self.y_m[at]]) for at in (rows, rows + 1))
        hub = np.broadcast_to(self.hub, one.shape)
        return np.asarray(shapely.polygons(np.stack([one, next_one, hub], axis=1)), dtype=object)


@attrs.frozen(eq=False)
class Under:
    """The least height of each way over what stands (n,) [m], and what that is; inf and -1: over nothing."""

    least_m: Floats
    which: Ints

    def lower(self, rows: Ints, clearance_m: Floats, which: int) -> "Under":
        """Return it with something that some rows and the next of each come lower over."""
        least_m, named = self.least_m.copy(), self.which.copy()
        for at in (rows, rows + 1):
            lower = clearance_m < least_m[at]
            least_m[at[lower]], named[at[lower]] = clearance_m[lower], which
        return Under(least_m, named)


def over_obstacles(ways: LevelWays, obstacles: Obstacles, margin_m: float) -> Under:
    """Return how ways clear structures that come nearer to them than the margin and their own error."""
    spots = ways.x_m, ways.y_m
    least_m, which = least_clearance_m(spots, ways.hub, ways.level_amsl_m, (obstacles, margin_m))
    reach_m = obstacles.radius_m + margin_m
    gap_m = ways.gap_m
    rows = np.flatnonzero(gap_m > 2 * reach_m.min(initial=np.inf))
    for k, at in ways.swept_near(rows, obstacles.x_m, obstacles.y_m, reach_m):
        wide = gap_m[at] > 2 * reach_m[k]
        k, at = k[wide], at[wide]
        between = _between(ways, at, (obstacles.x_m[k], obstacles.y_m[k]), reach_m[k])
        k, at = k[between], at[between]
        low_m = ways.lower_m[at] - obstacles.top_amsl_m[k]
        both = np.concatenate([at, at + 1])
        keep_lowest((least_m, which), both, np.tile(low_m, 2), np.tile(k, 2))
    return Under(least_m, which)


def over_cover(ways: LevelWays, cover: Cover | None, ground: PlaneTerrain | None, margin_m: float) -> Under:
    """Return how ways clear cover that comes nearer to them than the margin."""
    count = len(ways.x_m)
    if cover is None or ground is None or not len(cover):
        return Under(np.full(count, np.inf), np.full(count, -1))
    end = np.full(count, ways.hub[0]), np.full(count, ways.hub[1])
    begin, around = (ways.x_m, ways.y_m), (ground, margin_m)
    found = Under(*least_over_cover(cover, begin, end, ways.level_amsl_m, around))
    for k, rows in _met_between(ways, cover.shapes, margin_m):
        pieces = shapely.intersection(ways.swept(rows), shapely.buffer(cover.shapes[k], margin_m))
        top_m = _highest_ground_m(ground, pieces) + cover.height_m[k]
        found = found.lower(rows, ways.lower_m[rows] - top_m, k)
    return found


def met_between(ways: LevelWays, shape: BaseGeometry) -> Mask:
    """Return which ways have a shape between them and the next or the one before, met by neither (n,)."""
    met = np.zeros(len(ways.x_m), dtype=np.bool_)
    for _, rows in _met_between(ways, np.array([shape], dtype=object), 0.0):
        met[rows] = met[rows + 1] = True
    return met


def under(ways: LevelWays, around: Surroundings) -> tuple[Under, Under]:
    """Return how ways clear structures, and drawn or charted cover."""
    ground = around.surfaces[0] if around.surfaces else None
    return (
        over_obstacles(ways, around.obstacles, around.margin_m),
        over_cover(ways, around.cover, ground, around.margin_m),
    )


def _met_between(ways: LevelWays, shapes: Shapes, margin_m: float) -> list[tuple[int, Ints]]:
    """Return each shape (its index) that comes near what lies between ways, near neither, and which ways.

    What meets neither side of a triangle lies wholly in it, or comes in over the line on which both begin.
    """
    rows, found = np.flatnonzero(ways.gap_m > 2 * margin_m), []
    if not len(rows) or not len(shapes):
        return []
    spots = np.column_stack([ways.x_m, ways.y_m])
    begins = np.asarray(shapely.linestrings(np.stack([spots[rows], spots[rows + 1]], axis=1)), dtype=object)
    which, at = shapely.STRtree(begins).query(shapes, predicate="dwithin", distance=margin_m)
    for k, shape in enumerate(shapes):
        inside = np.zeros(len(rows), dtype=np.bool_)
        inside[at[which == k]] = True
        for spot in _one_of_each_part(shape):
            inside |= _within(*_sides(ways, rows, spot))
        near = rows[inside]
        if len(near):
            shapely.prepare(shape)
            alone = [~shapely.dwithin(shape, ways.lines(one), margin_m) for one in (near, near + 1)]
            if (kept := near[alone[0] & alone[1]]).size:
                found.append((k, kept))
    return found


def _one_of_each_part(shape: BaseGeometry) -> list[tuple[float, float]]:
    points, part = shapely.get_coordinates(shapely.get_parts(shape), return_index=True)
    _, first = np.unique(part, return_index=True)
    return [(float(x_m), float(y_m)) for x_m, y_m in points[first]]


def _between(ways: LevelWays, rows: Ints, spot: tuple[Floats, Floats], reach_m: Floats) -> Mask:
    """Return between which ways and the next of each a disc lies, near neither; a disc for each (n,)."""
    hub, one, next_one = _sides(ways, rows, spot)
    within = _within(hub, one, next_one) | (_away_m(one, next_one) <= reach_m)
    return np.asarray(within & (_away_m(hub, one) > reach_m) & (_away_m(hub, next_one) > reach_m))


def _sides(
    ways: LevelWays, rows: Ints, spot: tuple[float | Floats, float | Floats]
) -> tuple[Floats, Floats, Floats]:
    """Return the hub and where some ways and the next of each begin, seen from a spot (2, n)."""
    one, next_one = (np.stack([ways.x_m[at] - spot[0], ways.y_m[at] - spot[1]]) for at in (rows, rows + 1))
    hub = np.empty_like(one)
    hub[0], hub[1] = ways.hub[0] - spot[0], ways.hub[1] - spot[1]
    return hub, one, next_one


def _within(hub: Floats, one: Floats, next_one: Floats) -> Mask:
    """Return which triangles hold the origin."""
    turns = np.stack([_turn(*side) for side in ((hub, one), (one, next_one), (next_one, hub))])
    return np.asarray((turns > 0).all(axis=0) | (turns < 0).all(axis=0))


def _turn(begin: Floats, end: Floats) -> Floats:
    return np.asarray(begin[0] * end[1] - begin[1] * end[0])


def _away_m(begin: Floats, end: Floats) -> Floats:
    """Return how far lines between places (2, n) pass from the origin (n,) [m]."""
    along = end - begin
    square = np.maximum((along**2).sum(axis=0), 1e-12)
    share = np.clip(-(begin * along).sum(axis=0) / square, 0.0, 1.0)
    return np.asarray(np.hypot(*(begin + along * share)))


def _highest_ground_m(ground: PlaneTerrain, pieces: Shapes) -> Floats:
    """Return the highest ground about the outlines of pieces (n,) [m AMSL], -inf where all is unknown."""
    points, owner = shapely.get_coordinates(shapely.segmentize(pieces, _GROUND_EVERY_M), return_index=True)
    x_m, y_m = points[:, 0], points[:, 1]
    highest_m = np.full(len(pieces), -np.inf)
    np.fmax.at(highest_m, owner, GridFit.over(ground, x_m, y_m).ground(x_m, y_m))
    return highest_m
