"""Ground with buildings and trees put on its raster's nodes: coarse, for what only chooses and draws."""

from collections.abc import Sequence

import attrs
import numpy as np
import shapely

from planner.sight.spot import Spot
from planner.sight.surfaces import Screen
from planner.world.plane_terrain import PlaneTerrain

_FREE_CELLS = 1.5
"""So near to the eye nothing is put up: one coarse node would take half of the view."""


def raised(ground: PlaneTerrain, screens: Sequence[Screen], eye: Spot) -> PlaneTerrain:
    """Return the ground as high as screens stand, at all nodes in them or within half a cell of them.

    Where a top is not known the node is not, either.
    """
    heights_m = ground.terrain.heights_m.copy()
    transform = ground.terrain.cell_to_crs
    cell_m = ground.cell_m(eye.x_m, eye.y_m)
    rows, columns = heights_m.shape
    for screen in screens:
        outline = screen.outline.buffer(cell_m / 2)
        west, south, east, north = outline.bounds
        column, row = ground.grid(np.array([west, east, west, east]), np.array([south, south, north, north]))
        if not (np.isfinite(column).all() and np.isfinite(row).all()):
            continue
        right, down = np.meshgrid(
            np.arange(max(int(column.min()), 0), min(int(column.max()) + 2, columns)),
            np.arange(max(int(row.min()), 0), min(int(row.max()) + 2, rows)),
        )
        crs_x = transform.a * (right + 0.5) + transform.b * (down + 0.5) + transform.c
        crs_y = transform.d * (right + 0.5) + transform.e * (down + 0.5) + transform.f
        x_m, y_m = ground.way.back(crs_x.ravel(), crs_y.ravel())
        inside = shapely.intersects_xy(outline, x_m, y_m)
        inside &= np.hypot(x_m - eye.x_m, y_m - eye.y_m) > _FREE_CELLS * cell_m
        at = down.ravel()[inside], right.ravel()[inside]
        own_m = ground.terrain.heights_m[at]
        top_m = screen.top_amsl_m if screen.over_ground_m is None else own_m + screen.over_ground_m
        heights_m[at] = np.maximum(heights_m[at], np.where(np.isinf(top_m), np.nan, top_m))
    return attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, heights_m=heights_m))
