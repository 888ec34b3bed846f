"""Where a leg crosses outlines and raster lines."""

import numpy as np
from numpy.typing import NDArray

from planner.world.outlines import Outlines, boxes_meet

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def outline_crossings(starts: Floats, ends: Floats, outlines: Outlines) -> tuple[Ints, Floats]:
    """Return where legs meet outlines: which leg, and the share of it strictly inside (0, 1), both rising.

    Parameters
    ----------
    starts, ends : (legs, 2) plane positions [m] of the legs' ends.
    """
    boxes = np.hstack([np.minimum(starts, ends), np.maximum(starts, ends)])
    leg, column = np.nonzero(outlines.near_each(boxes))
    if not len(leg):
        return np.empty(0, dtype=np.int64), np.empty(0)
    circles = outlines.circles[column]
    is_round = ~np.isnan(circles[:, 2])
    of_edges = (
        _edge_crossings(starts, ends, boxes, outlines) if not is_round.all() else (leg[:0], np.empty(0))
    )
    leg, circles = leg[is_round], circles[is_round]
    of_discs = _disc_crossings(leg, starts[leg], ends[leg], circles)
    return rising(np.concatenate([of_edges[0], of_discs[0]]), np.concatenate([of_edges[1], of_discs[1]]))


def rising(leg: Ints, share: Floats) -> tuple[Ints, Floats]:
    """Return the shares of legs strictly inside (0, 1), each once, in the order of legs and shares."""
    inner = (share > 0.0) & (share < 1.0)
    leg, share = leg[inner], share[inner]
    order = np.lexsort((share, leg))
    leg, share = leg[order], share[order]
    new = np.ones(len(leg), dtype=bool)
    new[1:] = (leg[1:] != leg[:-1]) | (share[1:] != share[:-1])
    return leg[new], share[new]


def _edge_crossings(starts: Floats, ends: Floats, boxes: Floats, outlines: Outlines) -> tuple[Ints, Floats]:
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    edges = outlines.edges
    edge_boxes = np.hstack([np.minimum(edges[:, :2], edges[:, 2:]), np.maximum(edges[:, :2], edges[:, 2:])])
    if len(boxes) > 1:
        near = boxes_meet(np.concatenate([low, high])[None, :], edge_boxes)[0]
        edges, edge_boxes = edges[near], edge_boxes[near]
    leg, which = np.nonzero(boxes_meet(boxes, edge_boxes))
    edges = edges[which]
    along = (ends - starts)[leg]
    edge = edges[:, 2:] - edges[:, :2]
    apart = edges[:, :2] - starts[leg]
    turn = along[:, 0] * edge[:, 1] - along[:, 1] * edge[:, 0]
    slanted = turn != 0.0
    leg, along, turn, edge, apart = leg[slanted], along[slanted], turn[slanted], edge[slanted], apart[slanted]
    # A leg of almost no length overflows; what comes of it lies outside the leg.
    with np.errstate(over="ignore", invalid="ignore"):
        on_leg = (apart[:, 0] * edge[:, 1] - apart[:, 1] * edge[:, 0]) / turn
        on_edge = (apart[:, 0] * along[:, 1] - apart[:, 1] * along[:, 0]) / turn
    tolerance = 1e-9
    met = (on_edge >= -tolerance) & (on_edge <= 1 + tolerance)
    return leg[met], on_leg[met]


def _disc_crossings(leg: Ints, start: Floats, end: Floats, circles: Floats) -> tuple[Ints, Floats]:
    """Return where leg k (start and end (n, 2)) meets circle k (centre and radius, (n, 3))."""
    along, from_centre = end - start, start - circles[:, :2]
    a, b = np.vecdot(along, along), 2 * np.vecdot(along, from_centre)
    c = np.vecdot(from_centre, from_centre) - circles[:, 2] ** 2
    under_root = b * b - 4 * a * c
    met = (a != 0.0) & (under_root > 0.0)
    leg, a, b, root = leg[met], a[met], b[met], np.sqrt(under_root[met])
    with np.errstate(over="ignore"):
        return np.concatenate([leg, leg]), np.concatenate([(-b - root) / (2 * a), (-b + root) / (2 * a)])


def whole_number_crossings(shares: Floats, values: Floats, size: int | None = None) -> Floats:
    """Return where a piecewise linear function passes whole numbers, with `size` only those from 0 below it.

    Parameters
    ----------
    shares, values : (k,) abscissae, rising, and the function there.
    """
    piece, inner = between_whole_numbers(values[:-1], values[1:], size)
    return np.asarray(shares[:-1][piece] + inner * (shares[1:] - shares[:-1])[piece])


def between_whole_numbers(first: Floats, last: Floats, size: int | None = None) -> tuple[Ints, Floats]:
    """Return where straight pieces (k,) pass whole numbers: which piece, and the share of it."""
    low, high = np.ceil(np.minimum(first, last)), np.floor(np.maximum(first, last))
    if size is not None:
        low, high = np.maximum(low, 0), np.minimum(high, size - 1)
    count = np.where(np.isfinite(first) & np.isfinite(last), np.maximum(high - low + 1, 0), 0).astype(
        np.int64
    )
    count[first == last] = 0
    piece = np.repeat(np.arange(len(count)), count)
    rank = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    whole = low[piece] + rank
    return piece, (whole - first[piece]) / (last[piece] - first[piece])
