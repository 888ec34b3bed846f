"""Trees and buildings, as the pilot draws them or as charted: how a way clears their tops."""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.below import drawn_in_plane
from planner.flight.grid_fit import GridFit
from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathKind
from planner.plan.model import Plan
from planner.world.buildings import Building
from planner.world.drawn_over import DrawnOver
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_STANDING: Final = (BeneathKind.TREES, BeneathKind.BUILDING)
# The ground under a piece of cover is looked at in so many places of a way.
_PLACES: Final = 33


@attrs.frozen(eq=False)
class Cover:
    """Trees and buildings of known height in the plane, drawn ones first.

    `names` are what they are called, `shapes` their outlines (c,), `height_m`
    how high they stand above the ground below them (c,).
    """

    names: tuple[str, ...]
    shapes: NDArray[np.object_]
    height_m: Floats

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.names)


def cover_of(plan: Plan, frame: LocalFrame, charted: Sequence[Building] = ()) -> Cover:
    """Return what of the plan's drawing and of the charted buildings stands up and says how high."""
    items = [item for item in plan.beneath if item.kind in _STANDING and item.height_m]
    told = [one for one in left_of(charted, plan, frame) if one.height_m is not None]
    return Cover(
        (*(item.called for item in items), *(one.name for one in told)),
        np.array(
            [*(drawn_in_plane(item, frame).shape for item in items), *(one.shape for one in told)],
            dtype=object,
        ),
        np.array([*(item.height_m or 0.0 for item in items), *(one.height_m for one in told)], dtype=float),
    )


def left_of(charted: Sequence[Building], plan: Plan, frame: LocalFrame) -> list[Building]:
    """Return what is left of charted buildings where nothing is drawn in their place, or of their name."""
    drawn = [drawn_in_plane(item, frame) for item in plan.beneath if item.kind in _STANDING]
    over, left = DrawnOver.of([one.shape for one in drawn]), []
    for one in charted:
        named = [each.shape for each in drawn if each.name and each.name.casefold() == one.name.casefold()]
        if (rest := over.left_of(one.shape, named)) is not None:
            left.append(attrs.evolve(one, shape=rest))
    return left


def ways_met(ways: NDArray[np.object_], shapes: NDArray[np.object_]) -> Iterator[tuple[int, Ints]]:
    """Yield each shape (its index) that straight ways meet, and which ways, in order."""
    if not len(shapes) or not len(ways):
        return
    which, rows = shapely.STRtree(ways).query(shapes, predicate="intersects")
    order = np.lexsort((rows, which))
    which, rows = which[order], rows[order]
    for some in np.split(np.arange(len(which)), np.flatnonzero(np.diff(which)) + 1):
        if len(some):
            yield int(which[some[0]]), rows[some]


def untold_cover(plan: Plan, frame: LocalFrame) -> Iterator[tuple[str, BaseGeometry]]:
    """Yield name and outline in the plane of drawn trees and buildings of which no height is said."""
    for item in plan.beneath:
        if item.kind in _STANDING and item.height_m is None:
            yield item.called, drawn_in_plane(item, frame).shape


def least_over_cover(
    cover: Cover, begin: tuple[Floats, Floats], end: tuple[Floats, Floats], level_amsl_m: Floats,
    around: tuple[PlaneTerrain, float],
) -> tuple[Floats, Ints]:  # fmt: skip
    """Return the least clearance of level ways over cover [m], and over which; inf and -1: over none.

    `around` is the ground and how far to the side of a way cover counts [m].
    """
    ground, aside_m = around
    least, which = np.full(len(level_amsl_m), np.inf), np.full(len(level_amsl_m), -1)
    if not len(cover):
        return least, which
    starts, ends = np.column_stack(begin), np.column_stack(np.broadcast_arrays(*end, begin[0])[:2])
    ways = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)), dtype=object)
    wide = shapely.buffer(cover.shapes, aside_m)
    for k, rows in ways_met(ways, wide):
        shape = wide[k]
        top_m = highest_ground_m(ground, pieces_met(ways[rows], shape)) + cover.height_m[k]
        clearance = level_amsl_m[rows] - top_m
        lower = clearance < least[rows]
        least[rows[lower]], which[rows[lower]] = clearance[lower], k
    return least, which


def pieces_met(ways: NDArray[np.object_], shape: BaseGeometry) -> NDArray[np.object_]:
    """Return the pieces of straight ways that lie in a shape they meet; of one without length its place."""
    met = np.asarray(shapely.intersection(ways, shape), dtype=object)
    none = shapely.is_empty(met)
    met[none] = shapely.get_point(ways[none], 0)
    return met


def highest_ground_m(ground: PlaneTerrain, met: NDArray[np.object_]) -> Floats:
    """Return the highest ground under pieces of ways (n,) [m AMSL]; what lies between them counts, too.

    -inf where all of it is unknown.
    """
    box = shapely.bounds(met)
    points, owner = shapely.get_coordinates(met, return_index=True)
    # Pieces of one straight way lie on one line: from its first point to the one farthest from it.
    first = points[np.searchsorted(owner, np.arange(len(met)))]
    far = np.where(np.abs(box[:, 2:] - first) > np.abs(box[:, :2] - first), box[:, 2:], box[:, :2])
    share = np.linspace(0.0, 1.0, _PLACES)[:, None]
    x_m = first[:, 0] + (far[:, 0] - first[:, 0]) * share
    y_m = first[:, 1] + (far[:, 1] - first[:, 1]) * share
    return np.asarray(
        np.fmax.reduce(GridFit.over(ground, x_m, y_m).ground(x_m, y_m), axis=0, initial=-np.inf)
    )
