"""The line with the fewest corners that only sinks and stays in a corridor."""

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PLACES = 60
HEIGHTS = 9
_TINY_M = 1e-7
_NEVER = np.iinfo(np.int64).max


@attrs.frozen(eq=False)
class Corridor:
    """Heights `low_m` to `top_m` [m AMSL] over rising distances, arrays (n,); the steepest gradient down."""

    along_m: Floats
    top_m: Floats
    low_m: Floats
    steepest: float


def fewest_corners(corridor: Corridor, start_m: float) -> tuple[Ints, Floats] | None:
    """Return the samples at which the line turns and its heights there, ends included.

    Of the lines from `start_m` that turn at some of 60 samples at one of 9
    heights each, it has the fewest turns and then the highest sum of heights.
    None if no line fits.
    """
    places = _places(corridor)
    grid = _candidates(corridor, places, start_m)
    links = np.full((len(places), HEIGHTS), _NEVER, dtype=np.int64)
    total = np.full((len(places), HEIGHTS), -np.inf)
    came = np.full((len(places), HEIGHTS, 2), -1, dtype=np.int64)
    links[0, 0], total[0, 0] = 0, start_m
    for start in range(len(places) - 1):
        live = np.flatnonzero(links[start] < _NEVER)
        if len(live):
            _extend(corridor, places, grid, start, live, (links, total, came))
    if links[-1].min() == _NEVER:
        return None
    return _walk_back(places, grid, links, total, came)


def _places(corridor: Corridor) -> Ints:
    """Return samples for corners: both ends, and some spread evenly between."""
    wanted = np.linspace(corridor.along_m[0], corridor.along_m[-1], PLACES)
    found = np.unique(np.searchsorted(corridor.along_m, wanted).clip(0, len(corridor.along_m) - 1))
    found[0], found[-1] = 0, len(corridor.along_m) - 1
    rising = np.concatenate([[True], np.diff(corridor.along_m[found]) > 0])
    kept = found[rising]
    if kept[-1] != len(corridor.along_m) - 1:
        kept[-1] = len(corridor.along_m) - 1
    return np.asarray(kept, dtype=np.int64)


def _candidates(corridor: Corridor, places: Ints, start_m: float) -> Floats:
    share = np.linspace(1.0, 0.0, HEIGHTS)
    low_m, top_m = corridor.low_m[places][:, None], corridor.top_m[places][:, None]
    grid = low_m + (top_m - low_m) * share
    grid[0] = start_m
    return grid


def _extend(
    corridor: Corridor,
    places: Ints,
    grid: Floats,
    start: int,
    live: Ints,
    tables: tuple[NDArray[np.int64], Floats, NDArray[np.int64]],
) -> None:
    """Draw pieces from every live height at one place to all later ones."""
    links, total, came = tables
    origin = places[start]
    run_m = corridor.along_m[origin + 1 :] - corridor.along_m[origin]
    apart = run_m > 0.0
    safe_m = np.where(apart, run_m, 1.0)
    from_m = grid[start, live][:, None]
    upper = np.where(apart, (corridor.top_m[origin + 1 :] + _TINY_M - from_m) / safe_m, np.inf)
    lower = np.where(apart, (corridor.low_m[origin + 1 :] - _TINY_M - from_m) / safe_m, -np.inf)
    upper = np.minimum(np.minimum.accumulate(upper, axis=1), _TINY_M)
    lower = np.maximum(np.maximum.accumulate(lower, axis=1), -corridor.steepest - _TINY_M)
    later = places[start + 1 :] - origin - 1
    slope = (grid[start + 1 :][None] - from_m[:, :, None]) / safe_m[later][None, :, None]
    fits = (slope <= upper[:, later][:, :, None]) & (slope >= lower[:, later][:, :, None])
    _improve(links, total, came, fits, grid[start + 1 :], (start, live))


def _improve(
    links: NDArray[np.int64],
    total: Floats,
    came: NDArray[np.int64],
    fits: NDArray[np.bool_],
    heights_m: Floats,
    origin: tuple[int, Ints],
) -> None:
    """Take over, at each later place and height, the best of the pieces that fit (live, places, heights).

    Fewest turns come first, then the highest sum; of equals the first counts, and what is there before all.
    """
    start, live = origin
    more = np.where(fits, links[start, live][:, None, None] + 1, _NEVER)
    fewest = more.min(axis=0)
    sums = np.where(fits & (more == fewest), total[start, live][:, None, None] + heights_m, -np.inf)
    best = sums.argmax(axis=0)
    highest = np.take_along_axis(sums, best[None], axis=0)[0]
    there = links[start + 1 :], total[start + 1 :]
    better = (fewest < there[0]) | ((fewest < _NEVER) & (fewest == there[0]) & (highest > there[1]))
    there[0][better] = fewest[better]
    there[1][better] = highest[better]
    came[start + 1 :][better] = np.stack([np.full(best.shape, start), live[best]], axis=-1)[better]


def _walk_back(
    places: Ints, grid: Floats, links: NDArray[np.int64], total: Floats, came: NDArray[np.int64]
) -> tuple[Ints, Floats]:
    fewest = links[-1] == links[-1].min()
    at = (len(places) - 1, int(np.argmax(np.where(fewest, total[-1], -np.inf))))
    corners, heights = [], []
    while True:
        corners.append(int(places[at[0]]))
        heights.append(float(grid[at]))
        if at[0] == 0:
            break
        before = came[at]
        at = (int(before[0]), int(before[1]))
    return np.array(corners[::-1], dtype=np.int64), np.array(heights[::-1])
