"""The quiet map under everything: hillshade and contours in paper tones."""

import math

import attrs
from affine import Affine
from rasterio.warp import transform_bounds

from planner.drawing.terrain_picture import PixelGrid, terrain_picture
from planner.world.terrain import Terrain

_WEB_MERCATOR = "EPSG:3857"
_MOST_ENLARGEMENT = 2.0
_LEAST_SIDE_PX = 700
_WORTH = 0.8
"""A closer picture is worth making if its pixels are smaller than this share of the base's."""

Bounds = tuple[float, float, float, float]


@attrs.frozen(eq=False)
class BaseMap:
    """A picture of the terrain between four bounds [deg, WGS 84].

    Rows and columns of the PNG are even in Web Mercator (EPSG:3857), so a map
    page can stretch it between its corners. Unknown ground is transparent.
    `contour_m` and `index_m` are the heights between its lines [m].
    """

    png: bytes
    west: float
    south: float
    east: float
    north: float
    contour_m: float
    index_m: float


def base_map(terrain: Terrain, *, max_pixels: int = 1100) -> BaseMap:
    """Return the picture of `terrain`, at most `max_pixels` on its longer side."""
    return _drawn(terrain, _mercator_bounds(terrain), base_side_px(terrain, max_pixels))


def closer_map(terrain: Terrain, bounds: Bounds, side_px: int) -> BaseMap | None:
    """Return what lies within `bounds`, `side_px` wide or high; None where `base_map` is as sharp.

    `bounds` are west, south, east, north [deg, WGS 84].
    """
    whole = _mercator_bounds(terrain)
    left, bottom, right, top = transform_bounds("EPSG:4326", _WEB_MERCATOR, *bounds)
    part = (max(left, whole[0]), max(bottom, whole[1]), min(right, whole[2]), min(top, whole[3]))
    if part[0] >= part[2] or part[1] >= part[3]:
        return None
    pixel = max(right - left, top - bottom) / side_px
    if pixel * base_side_px(terrain) >= _WORTH * max(whole[2] - whole[0], whole[3] - whole[1]):
        return None
    return _drawn(terrain, part, max(2, round(max(part[2] - part[0], part[3] - part[1]) / pixel)))


def base_side_px(terrain: Terrain, max_pixels: int = 1100) -> int:
    """Return how many pixels the longer side of the base map has."""
    longer = max(terrain.heights_m.shape)
    return min(max_pixels, max(_LEAST_SIDE_PX, int(_MOST_ENLARGEMENT * longer)))


def _drawn(terrain: Terrain, bounds: Bounds, side_px: int) -> BaseMap:
    left, bottom, right, top = bounds
    pixel = max(right - left, top - bottom) / side_px
    wide, high = max(2, round((right - left) / pixel)), max(2, round((top - bottom) / pixel))
    to_mercator = Affine((right - left) / wide, 0.0, left, 0.0, (bottom - top) / high, top)
    west, south, east, north = transform_bounds(_WEB_MERCATOR, "EPSG:4326", left, bottom, right, top)
    on_ground = math.cos(math.radians((south + north) / 2))
    picture = terrain_picture(
        terrain, PixelGrid(high, wide, to_mercator, _WEB_MERCATOR, to_mercator.a * on_ground)
    )
    interval = picture.interval
    return BaseMap(picture.png, west, south, east, north, interval.line_m, interval.index_m)


def _mercator_bounds(terrain: Terrain) -> Bounds:
    rows, columns = terrain.heights_m.shape
    transform = terrain.cell_to_crs
    corners = ((0, 0), (columns, 0), (0, rows), (columns, rows))
    xs = [transform.a * column + transform.b * row + transform.c for column, row in corners]
    ys = [transform.d * column + transform.e * row + transform.f for column, row in corners]
    left, bottom, right, top = transform_bounds(
        terrain.crs.to_wkt(), _WEB_MERCATOR, min(xs), min(ys), max(xs), max(ys)
    )
    return left, bottom, right, top
