"""Samples of a way that is not drawn, put to the same questions as a path."""

import math

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.mapped import Mapped
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Of so many ways, no longer than that, heights are kept.
_MOST_KEPT, _LONGEST_KEPT = 64, 512
_ROUNDING_M = 0.001
"""A way and a permission drawn to one point differ by roundings that must not part them."""


@attrs.frozen(eq=False)
class WaySamples:
    """Places on a straight way, each flown from `flown_from_amsl_m` to `planned_amsl_m`; see `Track`.

    `footprint` is what the way covers in the plane, empty where nobody asks; `where` says in words what the
    places are, `on_lost_link` whether it is flown on lost link alone.
    """

    mapped: Mapped
    x_m: Floats
    y_m: Floats
    ground_amsl_m: Floats
    lowest_ground_amsl_m: Floats
    planned_amsl_m: Floats
    flown_from_amsl_m: Floats
    is_surface: bool = False
    footprint: BaseGeometry = attrs.field(factory=lambda: shapely.GeometryCollection([]))
    where: str = "on a way that is not drawn"
    on_lost_link: bool = False
    launch_ground_amsl_m: float = math.nan

    def inside_outline(self, column: int) -> Mask:
        """Return, per sample, whether it lies in outline `column`, its edge included."""
        outline = self.mapped.outlines.polygon(column)
        places = shapely.points(np.column_stack([self.x_m, self.y_m]))
        return np.asarray(shapely.dwithin(outline, places, _ROUNDING_M), dtype=bool)

    def only(self, these: Mask) -> "WaySamples":
        """Return some of the samples (n,)."""
        return attrs.evolve(
            self,
            x_m=self.x_m[these],
            y_m=self.y_m[these],
            ground_amsl_m=self.ground_amsl_m[these],
            lowest_ground_amsl_m=self.lowest_ground_amsl_m[these],
            planned_amsl_m=self.planned_amsl_m[these],
            flown_from_amsl_m=self.flown_from_amsl_m[these],
        )


def sample_way(
    mapped: Mapped, places: Floats, planned_amsl_m: Floats, flown_from_amsl_m: Floats | None = None
) -> WaySamples:
    """Return samples at plane places (n, 2) [m]; without a lower height a place is flown at one height."""
    x_m, y_m = places[:, 0], places[:, 1]
    if mapped.ground is None:
        ground_m = lowest_m = np.full(len(x_m), np.nan)
    else:
        ground_m, lowest_m = _ground_and_lowest(mapped, mapped.ground, places)
    from_m = planned_amsl_m if flown_from_amsl_m is None else flown_from_amsl_m
    return WaySamples(mapped, x_m, y_m, ground_m, lowest_m, planned_amsl_m, from_m)


def _ground_and_lowest(mapped: Mapped, ground: PlaneTerrain, places: Floats) -> tuple[Floats, Floats]:
    """Return both heights; of ways that stay where they are while a point is dragged they are kept."""
    kept = mapped.heights_of_ways
    asked = places.tobytes()
    if (known := kept.get(asked)) is not None:
        return known
    found = ground.ground_and_lowest(places[:, 0], places[:, 1])
    for heights_m in found:
        heights_m.setflags(write=False)
    if len(kept) >= _MOST_KEPT:
        kept.clear()
    if len(places) <= _LONGEST_KEPT:
        kept[asked] = found
    return found
