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
    rows, columns = terrain.heights_m.shape
    left, bottom, right, top = _mercator_bounds(terrain)
    side_px = min(max_pixels, max(_LEAST_SIDE_PX, int(_MOST_ENLARGEMENT * max(rows, columns))))
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


def _mercator_bounds(terrain: Terrain) -> tuple[float, float, float, float]:
    rows, columns = terrain.heights_m.shape
    transform = terrain.cell_to_crs
    corners = ((0, 0), (columns, 0), (0, rows), (columns, rows))
    xs = [transform.a * column + transform.b * row + transform.c for column, row in corners]
    ys = [transform.d * column + transform.e * row + transform.f for column, row in corners]
    left, bottom, right, top = transform_bounds(
        terrain.crs.to_wkt(), _WEB_MERCATOR, min(xs), min(ys), max(xs), max(ys)
    )
    return left, bottom, right, top
