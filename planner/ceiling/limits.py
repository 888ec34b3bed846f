"""The ceiling over any samples: the top of the lawful range that counts.

All heights are AMSL [m]. The ceiling is the top of the lawful range that
holds the lowest height flown (of a path the planned height, of an area the
ground), else of the next lower one.
"""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.blocks import Block
from planner.ceiling.open_limit import OpenLimit
from planner.permission.routes import TOLERANCE_M
from planner.track.samples import Samples

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class Ceiling:
    """A ceiling over samples [m AMSL] with what sets it.

    `column` is the setting outline (volume, structure or site), -1 the
    ground. `permitted` says where a permission on record sets it.
    """

    amsl_m: Floats
    column: Ints
    permitted: Mask

    def only(self, sample: int) -> "Ceiling":
        """Return the ceiling over one sample."""
        one = slice(sample, sample + 1)
        return Ceiling(self.amsl_m[one], self.column[one], self.permitted[one])


def ceiling_of(samples: Samples, limit: OpenLimit, blocks: Sequence[Block]) -> Ceiling:
    """Return the ceiling over samples; NaN where the ground is unknown, or its airspace can't be settled yet.

    Where the planned height is unknown, the range that begins at the ground
    counts. Where nothing is lawful the ceiling is the ground itself, whatever
    is open of another airspace there.
    """
    settled = [block for block in blocks if not block.unsettled]
    plain = _ceiling(samples, limit, settled)
    if len(settled) == len(blocks):
        return plain
    whole, height = _ceiling(samples, limit, blocks), _height_asked(samples, limit)
    unsettled = np.zeros(len(height), dtype=bool)
    for block in blocks:
        if block.unsettled:
            unsettled |= block.holds(height)
    with np.errstate(invalid="ignore"):
        shut = plain.amsl_m <= samples.ground_amsl_m
    return Ceiling(
        amsl_m=np.where(shut, plain.amsl_m, np.where(unsettled, np.nan, whole.amsl_m)),
        column=np.where(shut, plain.column, whole.column),
        permitted=np.where(shut, plain.permitted, whole.permitted),
    )


def _height_asked(samples: Samples, limit: OpenLimit) -> Floats:
    flown = samples.flown_from_amsl_m
    return np.where(np.isnan(flown), samples.ground_amsl_m, np.fmin(flown, limit.amsl_m))


def _ceiling(samples: Samples, limit: OpenLimit, blocks: Sequence[Block]) -> Ceiling:
    flown, ground = samples.flown_from_amsl_m, samples.ground_amsl_m
    height = _height_asked(samples, limit)
    lawful = np.ones(len(height), dtype=bool)
    for block in blocks:
        lawful &= ~block.holds(height)
    with np.errstate(invalid="ignore"):
        lawful &= np.isnan(flown) | (flown <= limit.amsl_m + TOLERANCE_M)
    found = _next_range(height, lawful, limit, blocks)
    with np.errstate(invalid="ignore"):
        nothing = found.amsl_m < ground
    amsl_m = np.where(nothing, ground, found.amsl_m)
    amsl_m[np.isnan(limit.amsl_m)] = np.nan
    return Ceiling(amsl_m, found.column, found.permitted & ~nothing)


def _next_range(height: Floats, lawful: Mask, limit: OpenLimit, blocks: Sequence[Block]) -> Ceiling:
    if lawful.all():
        return _next_block_above(height, limit, blocks)
    if not lawful.any():
        return _next_range_below(height, limit, blocks)
    above = _next_block_above(height, limit, blocks)
    below = _next_range_below(height, limit, blocks)
    return Ceiling(
        np.where(lawful, above.amsl_m, below.amsl_m),
        np.where(lawful, above.column, below.column),
        np.where(lawful, above.permitted, below.permitted),
    )


def _next_block_above(height: Floats, limit: OpenLimit, blocks: Sequence[Block]) -> Ceiling:
    top, setter, permitted = limit.amsl_m.copy(), limit.column.copy(), limit.permitted.copy()
    for block in blocks:
        with np.errstate(invalid="ignore"):
            lower = (
                (block.low_m < top) & (block.low_m >= height - TOLERANCE_M) & (block.high_m >= block.low_m)
            )
        _set_by(block, lower, top, setter, permitted)
    return Ceiling(top, setter, permitted)


def _set_by(block: Block, there: Mask, top: Floats, setter: Ints, permitted: Mask) -> None:
    if there.any():
        np.copyto(top, block.low_m, where=there)
        np.copyto(setter, block.column, where=there)
        np.copyto(permitted, block.permitted, where=there)


def _next_range_below(height: Floats, limit: OpenLimit, blocks: Sequence[Block]) -> Ceiling:
    top, setter, permitted = height.copy(), limit.column.copy(), limit.permitted.copy()
    for _ in range(len(blocks) + 1):
        moved = False
        for block in blocks:
            lower = block.holds(top) & ((block.low_m < top) | (setter != block.column))
            if lower.any():
                moved = True
                _set_by(block, lower, top, setter, permitted)
        if not moved:
            break
    return Ceiling(top, setter, permitted)
