"""Broken outlines as the area that they bound by any reading, where that is to be had in time."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

_ALWAYS_UP_TO = 1_500
_LOOKED_AT = 400
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
    chosen = edges[:: max(1, len(edges) // _LOOKED_AT)]
    met, _ = shapely.STRtree(edges).query(chosen, predicate="intersects")
    own_and_neighbours = 3 * len(chosen)
    crossings = max(0, len(met) - own_and_neighbours) / len(chosen) * len(edges) / 2
    return crossings > _MOST_CROSSINGS


def _parts(shape: BaseGeometry) -> Sequence[BaseGeometry]:
    if hasattr(shape, "geoms"):
        return [part for member in shape.geoms for part in _parts(member)]
    return [shape]
