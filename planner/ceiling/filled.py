"""Which cells of a grid lie in an outline: kept as a mask over part of the grid."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.world.outlines import Outlines

Mask = NDArray[np.bool_]
Tile = tuple[slice, slice]


@attrs.frozen(eq=False)
class Filled:
    """Cells in an outline: `mask` is the part of the grid from (row, column) `first` on."""

    first: tuple[int, int]
    mask: Mask

    @property
    def box(self) -> tuple[int, int, int, int]:
        """First row, first column, and one past the last row and column."""
        (top, left), (height, width) = self.first, self.mask.shape
        return top, left, top + height, left + width

    def within(self, tile: Tile) -> Mask | None:
        """Return the mask over a tile of the grid, None if they lie apart."""
        (top, left), (height, width) = self.first, self.mask.shape
        north, south = max(tile[0].start, top), min(tile[0].stop, top + height)
        west, east = max(tile[1].start, left), min(tile[1].stop, left + width)
        if north >= south or west >= east:
            return None
        found = np.zeros((tile[0].stop - tile[0].start, tile[1].stop - tile[1].start), dtype=bool)
        found[north - tile[0].start : south - tile[0].start, west - tile[1].start : east - tile[1].start] = (
            self.mask[north - top : south - top, west - left : east - left]
        )
        return found


class KeptCells:
    """The cells in outlines that have been asked for, as long as the outlines stay the very same ones."""

    def __init__(self) -> None:
        self._outlines: Outlines | None = None
        self._known: dict[int, Filled | None] = {}

    def of(self, outlines: Outlines) -> dict[int, Filled | None]:
        """Return what is known by column, None where an outline holds no cell; what is new is put there."""
        if outlines is not self._outlines:
            self._outlines, self._known = outlines, {}
        return self._known
