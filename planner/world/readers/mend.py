"""Broken outlines as the area that they bound by any reading, where that is to be had in time."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

_ALWAYS_UP_TO = 60
_LOOKED_AT = 60
_FEW_CORNERS = 9
_TREE_EDGES = 1_500
_LARGE = 10_000
_MOST_CROSSINGS = 3_000
"""More than these take seconds, soon minutes, to resolve; no chart's outline crosses itself so often."""
_MOST_MENDED_CORNERS = 100_000
_MOST_CROSSINGS_IN_ALL = 150_000
"""The whole of a file's tangles takes no longer than some seconds."""


def sound(shapes: NDArray[np.object_]) -> NDArray[np.bool_]:
    """Return which shapes need no mending; a large tangle is told without looking at all of it."""
    large = shapely.get_num_coordinates(shapes) > _LARGE
    fine = np.zeros(len(shapes), dtype=bool)
    fine[~large] = shapely.is_valid(shapes[~large])
    for position in np.flatnonzero(large).tolist():
        fine[position] = not too_tangled(shapes[position]) and shapely.is_valid(shapes[position])
    return fine


def mended(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return the shapes of one file made valid, None for what is too tangled, itself or all in all."""
    found = np.full(len(shapes), None, dtype=object)
    spent = 0.0
    for position, shape in enumerate(shapes.tolist()):
        corners = shapely.get_num_coordinates(shape)
        spent += _crossings_of(shape) if _FEW_CORNERS < corners <= _TREE_EDGES else 1.0
        if spent <= _MOST_CROSSINGS_IN_ALL:
            found[position] = mend(shape)
    return found


def mend(shape: BaseGeometry) -> BaseGeometry | None:
    """Return a shape made valid, None if nothing is left of an area or it is too tangled."""
    # Of a small shape this is known sooner than how much it is tangled.
    small = shapely.get_num_coordinates(shape) <= _LARGE
    if small and shapely.is_valid(shape):
        return shape
    if too_tangled(shape):
        return None
    if not small and shapely.is_valid(shape):
        return shape
    if shapely.get_num_coordinates(shape) > _MOST_MENDED_CORNERS:
        return None
    # By this method what any part encloses is inside: of two readings the wider one.
    valid = shapely.make_valid(shape, method="structure")
    if shape.geom_type not in {"Polygon", "MultiPolygon"}:
        return valid
    parts = [part for part in _parts(valid) if part.geom_type == "Polygon"]
    return shapely.union_all(parts) if parts else None


def too_tangled(shape: BaseGeometry) -> bool:
    """Whether the outline crosses itself so often that mending it would take too long."""
    segments = _segments(shape)
    if len(segments) <= _ALWAYS_UP_TO:
        return False
    some = _lines(segments[_spread(len(segments), _TREE_EDGES)])
    if _crossings(some, len(segments)) > _MOST_CROSSINGS:
        return True
    if not _TREE_EDGES < len(segments) <= _MOST_MENDED_CORNERS:
        return False
    return _crossings(_lines(segments), len(segments)) > _MOST_CROSSINGS


def _crossings_of(shape: BaseGeometry) -> float:
    segments = _segments(shape)
    return _crossings(_lines(segments), len(segments)) if len(segments) > 2 else 0.0


def _segments(shape: BaseGeometry) -> NDArray[np.float64]:
    """Return the edges (n, 2, 2) of a shape's outlines."""
    ends, owner = shapely.get_coordinates(
        shapely.get_parts(shapely.boundary(shape)).ravel(), return_index=True
    )
    joined = owner[1:] == owner[:-1]
    # A corner told twice is no edge; it would seem to cross its neighbours.
    joined &= (ends[1:] != ends[:-1]).any(axis=1)
    segments: NDArray[np.float64] = np.stack([ends[:-1], ends[1:]], axis=1)[joined]
    return segments


def _lines(segments: NDArray[np.float64]) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(segments), dtype=object)


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
