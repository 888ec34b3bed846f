"""What a question about height is put to: places with ground and planned height."""

import math
from typing import Protocol

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.heights import AboveGround
from planner.plan.model import Plan
from planner.track.build import amsl_m, launch_ground_m
from planner.track.mapped import Mapped
from planner.world.outlines import polygons_in_plane
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

_SHARE_OF_CELL = 0.5
_FALLBACK_SPACING_M = 25.0
_MOST_NODES = 400_000


class Samples(Protocol):
    """Arrays of one shape (n,) over places; see `Track` for their meaning."""

    @property
    def ground_amsl_m(self) -> Floats: ...  # noqa: D102

    @property
    def lowest_ground_amsl_m(self) -> Floats: ...  # noqa: D102

    @property
    def planned_amsl_m(self) -> Floats: ...  # noqa: D102

    def inside_outline(self, column: int) -> NDArray[np.bool_]:
        """Return, per sample, whether it lies in outline `column`."""


@attrs.frozen(eq=False)
class AreaSamples:
    """Places all over the flying area: every grid node in it, and its edges.

    On bilinear ground the lowest and the highest ground of an area lie at
    grid nodes or on its edge; the edge, and the edge of every outline within
    the area, is sampled at half a raster cell. `planned_amsl_m` is the top of
    the area, NaN where it has none or its zero is unknown.
    """

    x_m: Floats
    y_m: Floats
    ground_amsl_m: Floats
    lowest_ground_amsl_m: Floats
    planned_amsl_m: Floats
    launch_ground_amsl_m: float
    footprint: BaseGeometry
    columns: dict[int, NDArray[np.bool_]]

    def inside_outline(self, column: int) -> NDArray[np.bool_]:
        """Return, per sample, whether it lies in outline `column`."""
        inside = self.columns.get(column)
        return np.zeros(len(self.x_m), dtype=bool) if inside is None else inside


def sample_area(plan: Plan, mapped: Mapped) -> AreaSamples | None:
    """Return samples over the plan's flying area, None if it has none."""
    if plan.area is None:
        return None
    ring = shapely.Polygon([(place.lon_deg, place.lat_deg) for place in plan.area.ring])
    footprint = polygons_in_plane(ring, mapped.frame)
    shapely.prepare(footprint)
    spacing_m = _spacing_m(mapped.ground, footprint)
    points = [_edge_points(footprint, spacing_m), _node_points(footprint, mapped.ground, spacing_m)]
    box = np.array(footprint.bounds)
    near = [int(column) for column in mapped.outlines.columns_near(box)]
    points += [_edge_points(_shared(mapped, column, footprint), spacing_m) for column in near]
    x_m, y_m = np.vstack(points).T
    ground = mapped.ground
    ground_m = ground.ground(x_m, y_m) if ground else np.full(len(x_m), np.nan)
    lowest_m = ground.lowest(x_m, y_m) if ground else ground_m
    return AreaSamples(
        x_m=x_m,
        y_m=y_m,
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=lowest_m,
        planned_amsl_m=_top(plan, mapped, ground_m),
        launch_ground_amsl_m=launch_ground_m(plan, mapped.frame, ground),
        footprint=footprint,
        columns={column: mapped.outlines.contains(column, x_m, y_m) for column in near},
    )


def _top(plan: Plan, mapped: Mapped, ground_m: Floats) -> Floats:
    top = plan.area.top if plan.area else None
    if top is None:
        return np.full(len(ground_m), np.nan)
    if isinstance(top, AboveGround):
        return np.asarray(ground_m + top.m)
    launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
    return np.full(len(ground_m), amsl_m(top, np.nan, launch_m))


def _spacing_m(ground: PlaneTerrain | None, footprint: BaseGeometry) -> float:
    if ground is None:
        return max(_FALLBACK_SPACING_M, math.sqrt(float(footprint.area) / _MOST_NODES))
    return ground.cell_m(float(footprint.centroid.x), float(footprint.centroid.y)) * _SHARE_OF_CELL


def _shared(mapped: Mapped, column: int, footprint: BaseGeometry) -> BaseGeometry:
    return shapely.intersection(mapped.outlines.polygon(column), footprint)


def _edge_points(shape: BaseGeometry, spacing_m: float) -> Floats:
    return np.asarray(shapely.get_coordinates(shapely.segmentize(shape, spacing_m)), dtype=float)


def _node_points(footprint: BaseGeometry, ground: PlaneTerrain | None, spacing_m: float) -> Floats:
    if ground is not None:
        x_m, y_m = ground.nodes_within(footprint.bounds)
    else:
        west, south, east, north = footprint.bounds
        grid = np.meshgrid(np.arange(west, east, spacing_m), np.arange(south, north, spacing_m))
        x_m, y_m = grid[0].ravel(), grid[1].ravel()
    kept = shapely.intersects_xy(footprint, x_m, y_m)
    return np.column_stack([x_m[kept], y_m[kept]])
