"""Where a leg crosses outlines and raster lines."""

import numpy as np
from numpy.typing import NDArray

from planner.world.outlines import Disc, Outlines

Floats = NDArray[np.float64]


def outline_crossings(start: Floats, end: Floats, outlines: Outlines) -> Floats:
    """Return where a leg meets outlines, as sorted shares of it strictly inside (0, 1).

    Parameters
    ----------
    start, end : (2,) plane positions [m] of the leg's ends.
    """
    box = np.concatenate([np.minimum(start, end), np.maximum(start, end)])
    near = outlines.columns_near(box)
    if not len(near):
        return np.empty(0)
    shares = [_edge_crossings(start, end, outlines, box)]
    shares.extend(
        _disc_crossings(start, end, disc)
        for disc in (outlines.shapes[column] for column in near)
        if isinstance(disc, Disc)
    )
    found = np.unique(np.concatenate(shares))
    return found[(found > 0.0) & (found < 1.0)]


def _edge_crossings(start: Floats, end: Floats, outlines: Outlines, box: Floats) -> Floats:
    edges = outlines.edges
    near = ~(
        (np.maximum(edges[:, 0], edges[:, 2]) < box[0])
        | (np.minimum(edges[:, 0], edges[:, 2]) > box[2])
        | (np.maximum(edges[:, 1], edges[:, 3]) < box[1])
        | (np.minimum(edges[:, 1], edges[:, 3]) > box[3])
    )
    edges = edges[near]
    along = end - start
    edge = edges[:, 2:] - edges[:, :2]
    apart = edges[:, :2] - start
    turn = along[0] * edge[:, 1] - along[1] * edge[:, 0]
    slanted = turn != 0.0
    turn, edge, apart = turn[slanted], edge[slanted], apart[slanted]
    # A leg of almost no length overflows; what comes of it lies outside the leg.
    with np.errstate(over="ignore", invalid="ignore"):
        on_leg = (apart[:, 0] * edge[:, 1] - apart[:, 1] * edge[:, 0]) / turn
        on_edge = (apart[:, 0] * along[1] - apart[:, 1] * along[0]) / turn
    tolerance = 1e-9
    return np.asarray(on_leg[(on_edge >= -tolerance) & (on_edge <= 1 + tolerance)])


def _disc_crossings(start: Floats, end: Floats, disc: Disc) -> Floats:
    along = end - start
    from_centre = start - np.array([disc.x_m, disc.y_m])
    a = float(along @ along)
    b = 2 * float(along @ from_centre)
    c = float(from_centre @ from_centre) - disc.radius_m**2
    under_root = b * b - 4 * a * c
    if a == 0.0 or under_root <= 0.0:
        return np.empty(0)
    root = under_root**0.5
    return np.array([(-b - root) / (2 * a), (-b + root) / (2 * a)])


def whole_number_crossings(shares: Floats, values: Floats, size: int | None = None) -> Floats:
    """Return where a piecewise linear function passes whole numbers, with `size` only those from 0 below it.

    Parameters
    ----------
    shares, values : (k,) abscissae, rising, and the function there.
    """
    piece, inner = between_whole_numbers(values[:-1], values[1:], size)
    return np.asarray(shares[:-1][piece] + inner * (shares[1:] - shares[:-1])[piece])


def between_whole_numbers(
    first: Floats, last: Floats, size: int | None = None
) -> tuple[NDArray[np.int64], Floats]:
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
