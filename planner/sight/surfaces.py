"""What may stand between an eye and the aircraft."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.world.plane_terrain import PlaneTerrain
from planner.world.terrain import SurfaceKind

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Building:
    """A solid thing: its outline in the local plane and its top [m AMSL]."""

    outline: BaseGeometry
    top_amsl_m: float


@attrs.frozen(eq=False)
class Surfaces:
    """The ground people stand on, what covers it where known, and buildings.

    `cover` is a surface of crowns and roofs; where it is missing or void the
    ground alone counts.
    """

    ground: PlaneTerrain
    cover: PlaneTerrain | None = None
    buildings: tuple[Building, ...] = ()

    @property
    def trees_checked(self) -> bool:
        """Whether crowns are in what is looked through; else say "trees not checked"."""
        return self.cover is not None or self.ground.terrain.surface is SurfaceKind.SURFACE


@attrs.frozen(eq=False)
class Rays:
    """Straight lines from one eye to many targets, arrays (rays,).

    `bow_m` is how far the middle of each ray would sag, times four: at share
    t of the way the ray is `bow_m * t * (1 - t)` below the chord of its ends'
    heights above sea level.
    """

    eye_xy: tuple[float, float]
    eye_amsl_m: float
    x_m: Floats
    y_m: Floats
    amsl_m: Floats
    bow_m: Floats

    def __len__(self) -> int:
        """Return the number of rays."""
        return len(self.x_m)

    def take(self, which: NDArray[np.bool_] | NDArray[np.int64]) -> "Rays":
        """Return some of the rays."""
        return attrs.evolve(
            self,
            x_m=self.x_m[which],
            y_m=self.y_m[which],
            amsl_m=self.amsl_m[which],
            bow_m=self.bow_m[which],
        )

    def height_m(self, ray: NDArray[np.int64], share: Floats) -> Floats:
        """Return heights of rays at shares of their way [m AMSL]."""
        rise = self.amsl_m[ray] - self.eye_amsl_m
        return np.asarray(self.eye_amsl_m + rise * share - self.bow_m[ray] * share * (1.0 - share))


def building_clearance(buildings: tuple[Building, ...], rays: Rays) -> tuple[Floats, Floats]:
    """Return the least clearance [m] of rays over buildings and its share; inf where none is met.

    A ray sags between the ends of its way over a building by less than 1 mm
    in 100 m; only the ends are looked at.
    """
    least, at = np.full(len(rays), np.inf), np.full(len(rays), np.nan)
    if not buildings or not len(rays):
        return least, at
    ends = np.empty((len(rays), 2, 2))
    ends[:, 0], ends[:, 1, 0], ends[:, 1, 1] = rays.eye_xy, rays.x_m, rays.y_m
    lines = shapely.linestrings(ends)
    length_m = np.hypot(rays.x_m - rays.eye_xy[0], rays.y_m - rays.eye_xy[1])
    for building in buildings:
        met = shapely.intersection(lines, building.outline)
        points, ray = shapely.get_coordinates(met, return_index=True)
        away_m = np.hypot(points[:, 0] - rays.eye_xy[0], points[:, 1] - rays.eye_xy[1])
        share = np.clip(away_m / np.maximum(length_m[ray], 1e-9), 0.0, 1.0)
        clearance_m = rays.height_m(ray, share) - building.top_amsl_m
        order = np.argsort(-clearance_m, kind="stable")
        lower = clearance_m[order] < least[ray[order]]
        at[ray[order][lower]] = share[order][lower]
        np.minimum.at(least, ray, clearance_m)
    return least, at
