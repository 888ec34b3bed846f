"""Bands of tone and pattern as a picture laid over the map."""

from collections.abc import Mapping
from typing import Final

import attrs
import numpy as np
from affine import Affine
from numpy.typing import NDArray
from rasterio.io import MemoryFile

from planner.drawing.bands import Band, BandPattern

Codes = NDArray[np.uint8]

_MARKED: Final = 16
"""Added to the code of a pixel on which a pattern's mark lies."""


@attrs.define(eq=False)
class BandPicture:
    """A PNG, its rows in Web Mercator, between four bounds [deg]."""

    png: bytes
    west: float
    south: float
    east: float
    north: float


def banded_png(codes: Codes, bands: Mapping[int, Band]) -> bytes:
    """Return pixels (rows, columns) of bands' codes (1 to 15; 0 is left clear) as a PNG, patterns laid on."""
    return _png(_patterned(codes, bands), bands)


def _patterned(codes: Codes, bands: Mapping[int, Band]) -> Codes:
    row, column = np.arange(codes.shape[0])[:, None], np.arange(codes.shape[1])[None, :]
    slanted, leaning = (row + column) % 9 < 2, (row - column) % 9 < 2
    where = {
        BandPattern.SLANTED: slanted,
        BandPattern.LEANING: leaning,
        BandPattern.CROSSED: slanted | leaning,
        BandPattern.DOTTED: (row % 7 < 2) & (column % 7 < 2),
        BandPattern.UPRIGHT: (column % 8 < 1) & (row >= 0),
        BandPattern.LEVEL: (row % 6 < 2) & (column >= 0),
    }
    marked = codes.copy()
    for code, band in bands.items():
        if band.pattern in where:
            marked[(codes == code) & where[band.pattern]] += _MARKED
    return marked


def _png(codes: Codes, bands: Mapping[int, Band]) -> bytes:
    rows, columns = codes.shape
    colours = {0: (0, 0, 0, 0)}
    for code, band in bands.items():
        colours[code], colours[code + _MARKED] = band.fill, band.mark
    profile = {"driver": "PNG", "width": columns, "height": rows, "count": 1, "dtype": "uint8", "zlevel": 6}
    with MemoryFile() as memory:
        # PNG holds no place, but without one rasterio warns.
        with memory.open(**profile, transform=Affine(2.0, 0.0, 0.0, 0.0, -2.0, 0.0)) as picture:
            picture.write(codes, 1)
            picture.write_colormap(1, colours)
        return bytes(memory.read())
