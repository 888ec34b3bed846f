"""Places of a plane shape at which ground may lie lowest in it, or a limit may change."""

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.edges import edge_pieces, points_on_ground
from planner.track.mapped import Mapped
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_SPACING_M: Final = 5.0
_BESIDE_M: Final = 0.02
"""Where just inside and just outside of an outline are."""


def places_on_edges(
    ground: PlaneTerrain | None, shape: BaseGeometry, outlines: Iterable[BaseGeometry]
) -> Iterator[Floats]:
    """Yield places (n, 2) on a shape's edge, and on either side of that of each outline in it [m]."""
    yield _on_edge(ground, shape)
    if shape.is_empty:
        return
    near = shapely.buffer(shape, 1.0)
    for outline in outlines:
        # No more of it than is near.
        here = shapely.intersection(outline, near)
        for side_m in (-_BESIDE_M, _BESIDE_M):
            edge = shapely.buffer(here, side_m, join_style="mitre").boundary
            yield _on_edge(ground, shapely.intersection(edge, shape))


def _on_edge(ground: PlaneTerrain | None, shape: BaseGeometry) -> Floats:
    if ground is None:
        return np.asarray(shapely.get_coordinates(shapely.segmentize(shape, _SPACING_M))).reshape(-1, 2)
    found = points_on_ground(list(edge_pieces(shape)), ground)
    return np.concatenate([np.empty((0, 2)), *found])


def nodes_in(ground: PlaneTerrain | None, shape: BaseGeometry) -> Floats:
    """Return the nodes (n, 2) of the ground in a shape [m], and what is nearest to those within its error."""
    if ground is None or shape.is_empty:
        return np.empty((0, 2))
    error_m = ground.terrain.horizontal_uncertainty_m
    about = shapely.buffer(shape, error_m) if error_m > 0.0 else shape
    nodes = np.column_stack(ground.nodes_within(about.bounds))
    shapely.prepare(about)
    shapely.prepare(shape)
    nodes = nodes[shapely.intersects_xy(about, *nodes.T)]
    beside = ~shapely.intersects_xy(shape, *nodes.T)
    if beside.any():
        lines = shapely.shortest_line(shape, shapely.points(nodes[beside]))
        nodes[beside] = shapely.get_coordinates(lines)[::2]
    return nodes


def pieces_between(mapped: Mapped, places: Floats) -> list[Ints]:
    """Return which places (n, 2) lie in each piece of the plane between outlines, with the same limits."""
    box = np.concatenate([places.min(axis=0), places.max(axis=0)])
    inside = [
        mapped.outlines.contains(column, *places.T) for column in map(int, mapped.outlines.columns_near(box))
    ]
    if not inside:
        return [np.arange(len(places))]
    _, own = np.unique(np.packbits(np.stack(inside), axis=0).T, axis=0, return_inverse=True)
    order = np.argsort(own.ravel(), kind="stable")
    return np.split(order, np.flatnonzero(np.diff(own.ravel()[order])) + 1)
