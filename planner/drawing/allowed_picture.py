"""The height allowed at each place as a picture to lay over the map: bands of tone, each with its pattern."""

from typing import Final

import numpy as np
from affine import Affine
from rasterio.warp import Resampling, reproject, transform_bounds

from planner.ceiling.allowed_layer import AllowedLayer
from planner.drawing.allowed_bands import ABOVE, BANDS, FULL, NOTHING, UNKNOWN
from planner.drawing.band_picture import BandPicture, Codes, banded_png
from planner.units import FOOT_M

_WEB_MERCATOR: Final = "EPSG:3857"
_ABOVE_LIMIT_FT: Final = 400.5
_EDGES_FT: Final = (100.0, 200.0, 300.0, 380.0)


def allowed_picture(layer: AllowedLayer, side_px: int) -> BandPicture:
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
    return BandPicture(banded_png(codes, BANDS), west, south, east, north)


def band_codes(layer: AllowedLayer) -> Codes:
    """Return the band of each cell; the ground straight below is the zero."""
    allowed_ft = layer.allowed_agl_m / np.float32(FOOT_M)
    codes = (3 + np.searchsorted(_EDGES_FT, allowed_ft, side="right")).astype(np.uint8)
    codes[codes == ABOVE] = FULL
    codes[allowed_ft > _ABOVE_LIMIT_FT] = ABOVE
    codes[layer.allowed_amsl_m <= layer.ground_amsl_m] = NOTHING
    codes[np.isnan(allowed_ft)] = UNKNOWN
    return codes


def _bounds(layer: AllowedLayer) -> tuple[float, float, float, float]:
    rows, columns = layer.code.shape
    corners, to_crs = ((0, 0), (columns, 0), (0, rows), (columns, rows)), layer.to_crs
    xs = [to_crs.a * column + to_crs.b * row + to_crs.c for column, row in corners]
    ys = [to_crs.d * column + to_crs.e * row + to_crs.f for column, row in corners]
    left, bottom, right, top = transform_bounds(
        layer.crs.to_wkt(), _WEB_MERCATOR, min(xs), min(ys), max(xs), max(ys)
    )
    return left, bottom, right, top
