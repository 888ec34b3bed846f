"""A part of the ground, lowered by what the raster may be off sideways."""

import attrs
import numpy as np
from affine import Affine

from planner.world.plane_terrain import PlaneTerrain


def lowered_about(ground: PlaneTerrain, box: tuple[float, float, float, float]) -> PlaneTerrain:
    """Return the raster about a box of the plane [m], lowered: nowhere above `PlaneTerrain.lowest`.

    Each node is the least of those in a square about it that holds the disc; NaN where one is not known.
    """
    radius_m = ground.terrain.horizontal_uncertainty_m
    west, south, east, north = box
    middle = np.array([(west + east) / 2]), np.array([(south + north) / 2])
    # A node that counts somewhere in a cell lies no farther than the disc and that cell from its corners.
    about = ground.disc_at(*middle).cells_about + 1 if radius_m > 0.0 else 0
    wider_m = (about + 2) * 2.0 * ground.cell_m(float(middle[0][0]), float(middle[1][0]))
    first, last, top, bottom = ground.node_window(
        (west - wider_m, south - wider_m, east + wider_m, north + wider_m)
    )
    if last < first or bottom < top:
        # Off the raster nothing is known anyway.
        return ground
    heights_m = ground.terrain.heights_m[top : bottom + 1, first : last + 1]
    for axis in (0, 1):
        heights_m = _least_about(heights_m, about, axis)
    cells = ground.terrain.cell_to_crs @ Affine.translation(first, top)
    terrain = attrs.evolve(
        ground.terrain, heights_m=heights_m, cell_to_crs=cells, horizontal_uncertainty_m=0.0
    )
    return attrs.evolve(ground, terrain=terrain)


def _least_about(heights_m: np.ndarray, about: int, axis: int) -> np.ndarray:
    """Return the least within so many nodes along an axis; beyond the raster's edge nothing is less."""
    if about == 0:
        return heights_m
    least = heights_m.copy()
    count = heights_m.shape[axis]
    for step in range(1, min(about, count - 1) + 1):
        ahead, behind = [slice(None)] * 2, [slice(None)] * 2
        ahead[axis], behind[axis] = slice(step, None), slice(None, count - step)
        np.minimum(least[tuple(behind)], heights_m[tuple(ahead)], out=least[tuple(behind)])
        np.minimum(least[tuple(ahead)], heights_m[tuple(behind)], out=least[tuple(ahead)])
    return least
