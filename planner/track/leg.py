"""One leg, sampled wherever the ground's formula or what is mapped changes."""

import math
from typing import Final, NamedTuple

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import LegShape
from planner.track.crossings import outline_crossings, whole_number_crossings
from planner.track.levels import Heights, LegShares, Levels, level_passages
from planner.world.outlines import Outlines
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_PIECE_M = 100.0
_MOST_PIECES = 5_000
"""A point drawn on the wrong side of the earth must not stop the desk."""
_NEGLIGIBLE_BOW_M = 0.004


class LegEnds(NamedTuple):
    """What decides a leg's samples: plane positions and heights of both ends.

    `start_amsl_m` and `end_amsl_m` are planned heights [m AMSL], `NOT_KNOWN` where
    unknown; `start_agl_m` and `end_agl_m` the same above ground. Thousands of them are
    keys: a tuple is made, hashed and compared at once.
    """

    start_xy: tuple[float, float]
    end_xy: tuple[float, float]
    start_amsl_m: float
    end_amsl_m: float
    start_agl_m: float
    end_agl_m: float
    shape: LegShape


NOT_KNOWN: Final = math.nan
"""The one NaN of `LegEnds`: in a tuple it equals itself, another one would make each leg a new one."""


@attrs.frozen(eq=False)
class LegSamples:
    """Samples of one leg, arrays (n,); `inside` is (stretches, outlines)."""

    share: Floats
    stretch: Ints
    inside: NDArray[np.bool_]
    x_m: Floats
    y_m: Floats
    ground_m: Floats
    lowest_m: Floats
    planned_m: Floats
    length_m: Floats


def sample_leg(ends: LegEnds, ground: PlaneTerrain | None, outlines: Outlines, levels: Levels) -> LegSamples:
    """Return the samples of a leg.

    Between two samples of one stretch the ground is one quadratic (bilinear
    cells under a straight line), no extremum of ground against a straight
    planned line, or of a planned height that follows the ground, lies between
    them by more than 1 mm, and no floor or top of airspace is passed.
    `length_m` is the 3D length flown from the leg's start; where the ground
    is unknown only its horizontal part is.
    """
    start, end = np.array(ends.start_xy), np.array(ends.end_xy)
    borders = np.concatenate([[0.0], outline_crossings(start, end, outlines), [1.0]])
    inside = _membership(start, end, borders, outlines)
    share, stretch = _with_borders(borders, _raster_lines(start, end, ground))
    if ground:
        share, stretch = _with_extrema(ends, ground, share, stretch)
    heights = _heights(ends, ground, share)
    passing = level_passages(
        LegShares(share, stretch, inside), levels, heights, lambda shares: _heights(ends, ground, shares)
    )
    if len(passing[0]):
        more = _heights(ends, ground, passing[0])
        order = np.lexsort((np.concatenate([share, passing[0]]), np.concatenate([stretch, passing[1]])))
        share, stretch = _merged(share, stretch, *passing)
        heights = Heights(
            *(
                np.concatenate([known, new])[order]
                for known, new in zip(_three(heights), _three(more), strict=True)
            )
        )
    x_m, y_m = _along(start, end, share)
    return LegSamples(
        share=share,
        stretch=stretch,
        inside=inside,
        x_m=x_m,
        y_m=y_m,
        ground_m=heights.ground_m,
        lowest_m=heights.lowest_m,
        planned_m=heights.planned_m,
        length_m=_length(x_m, y_m, heights.planned_m),
    )


def _heights(ends: LegEnds, ground: PlaneTerrain | None, share: Floats) -> Heights:
    if ground:
        x_m, y_m = _along(np.array(ends.start_xy), np.array(ends.end_xy), share)
        ground_m, lowest_m = ground.ground_and_lowest(x_m, y_m)
    else:
        ground_m = lowest_m = np.full(share.shape, np.nan)
    return Heights(ground_m, lowest_m, _planned(ends, share, ground_m))


def _three(heights: Heights) -> tuple[Floats, Floats, Floats]:
    return heights.ground_m, heights.lowest_m, heights.planned_m


def _along(start: Floats, end: Floats, share: Floats) -> tuple[Floats, Floats]:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _raster_lines(start: Floats, end: Floats, ground: PlaneTerrain | None) -> Floats:
    pieces = min(max(1, math.ceil(float(np.hypot(*(end - start))) / _PIECE_M)), _MOST_PIECES)
    shares = np.linspace(0.0, 1.0, pieces + 1)
    if ground is None:
        return shares[1:-1]
    column, row = ground.grid(*_along(start, end, shares))
    rows, columns = ground.terrain.heights_m.shape
    lines = np.concatenate(
        [whole_number_crossings(shares, column, columns), whole_number_crossings(shares, row, rows)]
    )
    return np.unique(lines[(lines > 0.0) & (lines < 1.0)])


def _with_borders(borders: Floats, lines: Floats) -> tuple[Floats, Ints]:
    stretches = np.arange(len(borders) - 1)
    owner = np.clip(np.searchsorted(borders, lines, side="right") - 1, 0, len(stretches) - 1)
    share = np.concatenate([borders[:-1], borders[1:], lines])
    stretch = np.concatenate([stretches, stretches, owner])
    order = np.lexsort((share, stretch))
    return share[order], stretch[order]


def _with_extrema(ends: LegEnds, ground: PlaneTerrain, share: Floats, stretch: Ints) -> tuple[Floats, Ints]:
    same = stretch[:-1] == stretch[1:]
    first, last, owner = share[:-1][same], share[1:][same], stretch[:-1][same]
    start, end = np.array(ends.start_xy), np.array(ends.end_xy)
    found_m = ground.ground(*_along(start, end, np.concatenate([share, (first + last) / 2])))
    at_share, at_middle = found_m[: len(share)], found_m[len(share) :]
    at_first, at_last = at_share[:-1][same], at_share[1:][same]
    bow = 2 * at_first + 2 * at_last - 4 * at_middle
    lean = 4 * at_middle - 3 * at_first - at_last
    climb = _slope_met(ends) * (last - first)
    with np.errstate(invalid="ignore"):
        bent = np.abs(bow) > _NEGLIGIBLE_BOW_M
        inner = np.where(bent, (climb - lean) / np.where(bent, 2 * bow, 1.0), np.nan)
        found = (inner > 0.0) & (inner < 1.0)
    extrema = (first + (last - first) * np.where(found, inner, 0.0))[found]
    return _merged(share, stretch, extrema, owner[found])


def _slope_met(ends: LegEnds) -> float:
    """Return the slope of the ground, per leg, at which a leg has its extremum.

    Of a straight leg that is its height above ground; of a leg that follows
    the ground its height above sea level, since there it is the other one
    that is straight.
    """
    if ends.shape is LegShape.STRAIGHT:
        return ends.end_amsl_m - ends.start_amsl_m
    return ends.start_agl_m - ends.end_agl_m


def _merged(share: Floats, stretch: Ints, more_share: Floats, more_stretch: Ints) -> tuple[Floats, Ints]:
    if not len(more_share):
        return share, stretch
    share, stretch = np.concatenate([share, more_share]), np.concatenate([stretch, more_stretch])
    order = np.lexsort((share, stretch))
    return share[order], stretch[order]


def _membership(start: Floats, end: Floats, borders: Floats, outlines: Outlines) -> NDArray[np.bool_]:
    middle_x, middle_y = _along(start, end, (borders[:-1] + borders[1:]) / 2)
    inside = np.zeros((len(middle_x), len(outlines)), dtype=bool)
    box = np.concatenate([np.minimum(start, end), np.maximum(start, end)])
    for column in outlines.columns_near(box):
        inside[:, column] = outlines.contains(int(column), middle_x, middle_y)
    return inside


def _planned(ends: LegEnds, share: Floats, ground_m: Floats) -> Floats:
    if ends.shape is LegShape.STRAIGHT:
        return ends.start_amsl_m + (ends.end_amsl_m - ends.start_amsl_m) * share
    return np.asarray(ground_m + ends.start_agl_m + (ends.end_agl_m - ends.start_agl_m) * share)


def _length(x_m: Floats, y_m: Floats, planned_m: Floats) -> Floats:
    climb = np.nan_to_num(np.diff(planned_m), nan=0.0)
    steps = np.sqrt(np.diff(x_m) ** 2 + np.diff(y_m) ** 2 + climb**2)
    return np.concatenate([[0.0], np.cumsum(steps)])
