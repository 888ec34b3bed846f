"""Broken outlines as the area that they bound by any reading, where that is to be had in time."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

_ALWAYS_UP_TO = 1_500
_LOOKED_AT = 400
_TREE_EDGES = 4_000
_MOST_CROSSINGS = 150_000
"""More than these take minutes to resolve; no chart's outline crosses itself so often."""


def mend(shape: BaseGeometry) -> BaseGeometry | None:
    """Return a shape made valid, None if nothing is left of an area or it is too tangled."""
    if shapely.is_valid(shape):
        return shape
    if too_tangled(shape):
        return None
    valid = shapely.make_valid(shape)
    if shape.geom_type not in {"Polygon", "MultiPolygon"}:
        return valid
    parts = [part for part in _parts(valid) if part.geom_type == "Polygon"]
    return shapely.union_all(parts) if parts else None


def too_tangled(shape: BaseGeometry) -> bool:
    """Whether the outline crosses itself so often that mending it would take too long."""
    ends, owner = shapely.get_coordinates(
        shapely.get_parts(shapely.boundary(shape)).ravel(), return_index=True
    )
    if len(ends) <= _ALWAYS_UP_TO:
        return False
    joined = owner[1:] == owner[:-1]
    edges = shapely.linestrings(np.stack([ends[:-1], ends[1:]], axis=1)[joined])
    return _crossings(edges[_spread(len(edges), _TREE_EDGES)], len(edges)) > _MOST_CROSSINGS or (
        len(edges) > _TREE_EDGES and _crossings(edges, len(edges)) > _MOST_CROSSINGS
    )


def _crossings(edges: NDArray[np.object_], of: int) -> float:
    """Return about how often the edges of an outline cross, seen from a few of them; `of` counts all edges.

    Looked at among some edges first, the many crossings of a heavy tangle are never counted one by one.
    """
    chosen = edges[_spread(len(edges), _LOOKED_AT)]
    met, _ = shapely.STRtree(edges).query(chosen, predicate="intersects")
    # Each meets itself and its two neighbours.
    each = max(0.0, len(met) / len(chosen) - 3.0)
    return each * (of / len(edges)) * of / 2


def _spread(count: int, at_most: int) -> NDArray[np.intp]:
    """Return positions all over, not in step with anything that repeats."""
    if count <= at_most:
        return np.arange(count)
    return np.sort(np.random.default_rng(count).choice(count, at_most, replace=False))


def _parts(shape: BaseGeometry) -> Sequence[BaseGeometry]:
    if hasattr(shape, "geoms"):
        return [part for member in shape.geoms for part in _parts(member)]
    return [shape]
