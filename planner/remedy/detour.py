"""The shortest way round plane shapes."""

import heapq

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

LEAST_SLACK_M = 0.05


def keep_out(shape: BaseGeometry, clearance_m: float, slack_m: float) -> BaseGeometry:
    """Return a shape of few corners that holds everything within `clearance_m` of `shape` [m].

    It reaches out by up to `slack_m` more.
    """
    slack_m = max(slack_m, LEAST_SLACK_M)
    grown = shapely.buffer(shape, clearance_m + slack_m, quad_segs=16)
    return shapely.simplify(grown, slack_m * 0.98, preserve_topology=True)


def shortest_way(start: Floats, end: Floats, blocked: BaseGeometry) -> Floats | None:
    """Return the corners (n, 2) of the shortest way from start to end outside a shape [m].

    It may touch the shape's edge. None if there is none.
    """
    corners = shapely.get_coordinates(blocked)
    nodes = np.vstack([start, end, np.unique(corners, axis=0)])
    length_m = _visible_lengths(nodes, blocked)
    came_from = _cheapest(length_m)
    if came_from is None:
        return None
    way = [1]
    while way[-1] != 0:
        way.append(came_from[way[-1]])
    return np.asarray(nodes[way[::-1]])


def _visible_lengths(nodes: Floats, blocked: BaseGeometry) -> Floats:
    """Return distances (n, n) [m] between nodes that see each other, else infinity."""
    count = len(nodes)
    first, second = np.triu_indices(count, 1)
    lines = shapely.linestrings(np.stack([nodes[first], nodes[second]], axis=1))
    # The edge itself is free: only what reaches inside by more than rounding is not.
    inner = shapely.buffer(blocked, -LEAST_SLACK_M / 100)
    shapely.prepare(inner)
    free = ~shapely.intersects(inner, lines)
    length_m = np.full((count, count), np.inf)
    apart = np.hypot(*(nodes[first] - nodes[second]).T)
    length_m[first[free], second[free]] = apart[free]
    length_m[second[free], first[free]] = apart[free]
    return length_m


def _cheapest(length_m: Floats) -> list[int] | None:
    """Return for each node the one before it on the shortest way from node 0 to node 1 (Dijkstra 1959)."""
    best = [np.inf] * len(length_m)
    came_from = [0] * len(length_m)
    best[0] = 0.0
    queue = [(0.0, 0)]
    while queue:
        cost, node = heapq.heappop(queue)
        if node == 1:
            return came_from
        if cost > best[node]:
            continue
        for other in np.flatnonzero(np.isfinite(length_m[node])):
            longer = cost + float(length_m[node, other])
            if longer < best[other]:
                best[other], came_from[other] = longer, node
                heapq.heappush(queue, (longer, int(other)))
    return None
