"""The height allowed at each place as a picture to lay over the map: bands of tone, each with its pattern."""

from typing import Final

import attrs
import numpy as np
from affine import Affine
from numpy.typing import NDArray
from rasterio.io import MemoryFile
from rasterio.warp import Resampling, reproject, transform_bounds

from planner.ceiling.allowed_layer import AllowedLayer
from planner.drawing.allowed_bands import ABOVE, BANDS, FULL, NOTHING, UNKNOWN, BandPattern
from planner.units import FOOT_M

_WEB_MERCATOR: Final = "EPSG:3857"
_ABOVE_LIMIT_FT: Final = 400.5
_EDGES_FT: Final = (100.0, 200.0, 300.0, 380.0)
_PATTERN: Final = 16

Codes = NDArray[np.uint8]


@attrs.define(eq=False)
class AllowedPicture:
    """A PNG, its rows in Web Mercator, between four bounds [deg]."""

    png: bytes
    west: float
    south: float
    east: float
    north: float


def allowed_picture(layer: AllowedLayer, side_px: int) -> AllowedPicture:
    """Return the layer as a picture, `side_px` on its longer side."""
    left, bottom, right, top = _bounds(layer)
    pixel = max(right - left, top - bottom) / side_px
    wide, high = max(2, round((right - left) / pixel)), max(2, round((top - bottom) / pixel))
    to_mercator = Affine((right - left) / wide, 0.0, left, 0.0, (bottom - top) / high, top)
    codes = np.zeros((high, wide), dtype=np.uint8)
    reproject(
        band_codes(layer),
        codes,
        src_transform=layer.to_crs,
        src_crs=layer.crs.to_wkt(),
        dst_transform=to_mercator,
        dst_crs=_WEB_MERCATOR,
        resampling=Resampling.nearest,
    )
    west, south, east, north = transform_bounds(_WEB_MERCATOR, "EPSG:4326", left, bottom, right, top)
    return AllowedPicture(_png(_patterned(codes)), west, south, east, north)


def band_codes(layer: AllowedLayer) -> Codes:
    """Return the band of each cell; the ground straight below is the zero."""
    allowed_ft = layer.allowed_agl_m / np.float32(FOOT_M)
    codes = (3 + np.searchsorted(_EDGES_FT, allowed_ft, side="right")).astype(np.uint8)
    codes[codes == ABOVE] = FULL
    codes[allowed_ft > _ABOVE_LIMIT_FT] = ABOVE
    codes[layer.allowed_amsl_m <= layer.ground_amsl_m] = NOTHING
    codes[np.isnan(allowed_ft)] = UNKNOWN
    return codes


def _patterned(codes: Codes) -> Codes:
    row, column = np.arange(codes.shape[0])[:, None], np.arange(codes.shape[1])[None, :]
    where = {
        BandPattern.SLANTED: (row + column) % 9 < 2,
        BandPattern.DOTTED: (row % 7 < 2) & (column % 7 < 2),
        BandPattern.UPRIGHT: (column % 8 < 1) & (row >= 0),
    }
    marked = codes.copy()
    for code, band in BANDS.items():
        if band.pattern in where:
            marked[(codes == code) & where[band.pattern]] += _PATTERN
    return marked


def _bounds(layer: AllowedLayer) -> tuple[float, float, float, float]:
    rows, columns = layer.code.shape
    corners, to_crs = ((0, 0), (columns, 0), (0, rows), (columns, rows)), layer.to_crs
    xs = [to_crs.a * column + to_crs.b * row + to_crs.c for column, row in corners]
    ys = [to_crs.d * column + to_crs.e * row + to_crs.f for column, row in corners]
    left, bottom, right, top = transform_bounds(
        layer.crs.to_wkt(), _WEB_MERCATOR, min(xs), min(ys), max(xs), max(ys)
    )
    return left, bottom, right, top


def _png(codes: Codes) -> bytes:
    rows, columns = codes.shape
    colours = {0: (0, 0, 0, 0)}
    for code, band in BANDS.items():
        colours[code], colours[code + _PATTERN] = band.fill, band.mark
    profile = {"driver": "PNG", "width": columns, "height": rows, "count": 1, "dtype": "uint8", "zlevel": 6}
    with MemoryFile() as memory:
        # PNG holds no place, but without one rasterio warns.
        with memory.open(**profile, transform=Affine(2.0, 0.0, 0.0, 0.0, -2.0, 0.0)) as picture:
            picture.write(codes, 1)
            picture.write_colormap(1, colours)
        return bytes(memory.read())
