"""Which point of one path is which of another: points have no names of their own, so places decide."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import PathPoint

Pair = tuple[int | None, int | None]
"""A point's number in each path, from zero; None where it is not there."""

_DEGREE_M = 111_000.0
_FAR_M = 2_000.0
_MOST_CELLS = 40_000
_SAME_PLACE, _MOVED, _FAR = 0.25, 0.5, 1.4


def aligned(before: Sequence[PathPoint], after: Sequence[PathPoint]) -> tuple[Pair, ...]:
    """Return the points of two paths side by side, in the order flown.

    As few come and go as the counts ask for, and those that are taken for one lie as near to each other as
    can be. The sides are alike: exchanged they give the same pairs exchanged.
    """
    start = _common(before, after)
    end = _common(before[start:][::-1], after[start:][::-1])
    left, right = before[start : len(before) - end], after[start : len(after) - end]
    middle = _middle(left, right)
    head: list[Pair] = [(index, index) for index in range(start)]
    shifted: list[Pair] = [
        (None if i is None else i + start, None if j is None else j + start) for i, j in middle
    ]
    tail: list[Pair] = [(len(before) - back, len(after) - back) for back in range(end, 0, -1)]
    return (*head, *shifted, *tail)


def turned_round(before: Sequence[PathPoint], after: Sequence[PathPoint]) -> bool:
    """Whether one path leads over the other's places the other way round."""
    places = [point.place for point in before]
    back = [point.place for point in reversed(after)]
    return len(places) > 1 and places == back and places != back[::-1]


def same_legs(before: Sequence[PathPoint], after: Sequence[PathPoint]) -> tuple[tuple[int, int], ...]:
    """Return the legs that lead from the same place to the same place: numbers on each side, from zero."""
    pairs = [(i, j) for i, j in aligned(before, after) if i is not None and j is not None]
    same = {(i, j) for i, j in pairs if before[i].place == after[j].place}
    return tuple((i, j) for i, j in sorted(same) if (i + 1, j + 1) in same)


def _common(left: Sequence[PathPoint], right: Sequence[PathPoint]) -> int:
    count = 0
    for one, other in zip(left, right, strict=False):
        if one != other:
            break
        count += 1
    return count


def _middle(left: Sequence[PathPoint], right: Sequence[PathPoint]) -> list[Pair]:
    if len(left) * len(right) > _MOST_CELLS:
        longest = max(len(left), len(right))
        return [(i if i < len(left) else None, i if i < len(right) else None) for i in range(longest)]
    if _order(left) > _order(right):
        return [(i, j) for j, i in _cheapest(right, left)]
    return _cheapest(left, right)


def _order(points: Sequence[PathPoint]) -> tuple[int, str]:
    return len(points), repr(points)


def _cheapest(left: Sequence[PathPoint], right: Sequence[PathPoint]) -> list[Pair]:
    """Return the alignment of least cost: a point that comes or goes costs 1, one that moved less than 2."""
    rows, columns = len(left), len(right)
    costs = _costs(left, right)
    total = np.zeros((rows + 1, columns + 1))
    total[:, 0], total[0, :] = np.arange(rows + 1), np.arange(columns + 1)
    for i in range(1, rows + 1):
        for j in range(1, columns + 1):
            total[i, j] = min(
                total[i - 1, j - 1] + costs[i - 1, j - 1], total[i - 1, j] + 1.0, total[i, j - 1] + 1.0
            )
    pairs: list[Pair] = []
    i, j = rows, columns
    while i or j:
        if i and j and total[i, j] == total[i - 1, j - 1] + costs[i - 1, j - 1]:
            i, j = i - 1, j - 1
            pairs.append((i, j))
        elif i and total[i, j] == total[i - 1, j] + 1.0:
            i -= 1
            pairs.append((i, None))
        else:
            j -= 1
            pairs.append((None, j))
    return pairs[::-1]


def _costs(left: Sequence[PathPoint], right: Sequence[PathPoint]) -> NDArray[np.float64]:
    if not left or not right:
        return np.zeros((len(left), len(right)))
    there, here = (np.array([(p.place.lon_deg, p.place.lat_deg) for p in path]) for path in (left, right))
    step = there[:, None, :] - here[None, :, :]
    east = (step[..., 0] + 180.0) % 360.0 - 180.0
    away_m = _DEGREE_M * np.hypot(east * np.cos(np.radians(here[0, 1])), step[..., 1])
    costs = _MOVED + _FAR * np.minimum(away_m, _FAR_M) / _FAR_M
    for i, one in enumerate(left):
        for j, other in enumerate(right):
            if one.place == other.place:
                costs[i, j] = 0.0 if one == other else _SAME_PLACE
    return np.asarray(costs, dtype=float)
