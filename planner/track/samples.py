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
from planner.track.edges import edge_points, inner_points
from planner.track.mapped import Mapped
from planner.world.outlines import polygons_in_plane
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

MOST_NODES = 500_000
WIDEST_M = 100_000.0
_FALLBACK_SPACING_M = 25.0
_SAME_EDGE_M = 0.05
"""Edges of an outline this near to the area's own edge are the same edge."""
_BESIDE_M = 0.02
"""Where just inside and just outside of an outline are; more than the error of its edges."""
_ABOUT_M = 1.0
_FALLBACK_NODES = 40_000
_ROUNDING_M = 0.001


class Samples(Protocol):
    """Arrays of one shape (n,) over places; see `Track` for their meaning."""

    @property
    def ground_amsl_m(self) -> Floats: ...  # noqa: D102

    @property
    def lowest_ground_amsl_m(self) -> Floats: ...  # noqa: D102

    @property
    def planned_amsl_m(self) -> Floats: ...  # noqa: D102

    @property
    def flown_from_amsl_m(self) -> Floats:
        """Lowest height flown over each place [m AMSL]; the highest is the planned one."""

    @property
    def is_surface(self) -> bool:
        """Whether the samples stand for all places between them, not for a line or for spots."""

    def inside_outline(self, column: int) -> Mask:
        """Return, per sample, whether it lies in outline `column`."""


@attrs.frozen(eq=False)
class AreaSamples:
    """Places all over a flying area, flown from the ground to `planned_amsl_m`.

    On bilinear ground the lowest and the highest ground of an area lie at
    grid nodes or on its edge: every node in it is here, and the edges of the
    area and, for either side, of every outline within it, sampled wherever the
    ground's formula changes. `planned_amsl_m` is the top of the area, NaN where
    it has none or its zero is unknown. `where` says in words what the places are.
    """

    x_m: Floats
    y_m: Floats
    ground_amsl_m: Floats
    lowest_ground_amsl_m: Floats
    planned_amsl_m: Floats
    launch_ground_amsl_m: float
    footprint: BaseGeometry
    columns: dict[int, Mask]
    where: str = "in the flying area"
    is_surface: bool = True

    @property
    def flown_from_amsl_m(self) -> Floats:
        """Lowest height flown over each place [m AMSL]: the ground."""
        return self.ground_amsl_m

    def inside_outline(self, column: int) -> Mask:
        """Return, per sample, whether it lies in outline `column`."""
        inside = self.columns.get(column)
        return np.zeros(len(self.x_m), dtype=bool) if inside is None else inside


def sample_area(plan: Plan, mapped: Mapped) -> AreaSamples | None:
    """Return samples over the plan's flying area, None if it has none or it is too large.

    An area that only bounds the path (no top) has its footprint, and no samples.
    """
    if plan.area is None:
        return None
    corners = np.array([(place.lon_deg, place.lat_deg) for place in plan.area.ring])
    if np.ptp(mapped.frame.forward(*corners.T), axis=1).max() > WIDEST_M:
        return None
    ring = shapely.Polygon(corners)
    footprint = polygons_in_plane(ring, mapped.frame)
    shapely.prepare(footprint)
    ground = mapped.ground
    if plan.area.top is None and len(plan.path) > 1:
        return _samples(plan, mapped, footprint, [np.empty((0, 2))], {})
    if ground and ground.node_count(footprint.bounds) > MOST_NODES:
        return None
    spacing_m = max(_FALLBACK_SPACING_M, math.sqrt(float(footprint.area) / _FALLBACK_NODES))
    points = [
        edge_points(footprint, ground, spacing_m),
        inner_points(footprint),
        _node_points(footprint, ground, spacing_m),
    ]
    about = shapely.buffer(footprint, _ABOUT_M, join_style="mitre")
    own: dict[int, int] = {}
    for column in map(int, mapped.outlines.columns_near(np.array(footprint.bounds))):
        outline = shapely.intersection(mapped.outlines.polygon(column), about)
        shared = shapely.intersection(outline, footprint)
        if shared.is_empty:
            continue
        own[column] = len(points)
        points.append(np.vstack([edge_points(shared, ground, spacing_m), inner_points(shared)]))
        for side_m in (-_BESIDE_M, _BESIDE_M):
            beside = shapely.buffer(outline, side_m, join_style="mitre").boundary
            points.append(edge_points(shapely.intersection(beside, footprint), ground, spacing_m))
    return _samples(plan, mapped, footprint, points, own)


def sample_spots(plan: Plan, mapped: Mapped) -> AreaSamples | None:
    """Return the ground that the aircraft leaves and returns to, None if neither is set."""
    places = [spot.place for spot in (plan.launch, plan.landing) if spot]
    if not places:
        return None
    points = np.array([mapped.frame.place_to_xy(place) for place in places])
    ground_m = mapped.ground.ground(*points.T) if mapped.ground else np.full(len(points), np.nan)
    return AreaSamples(
        x_m=points[:, 0],
        y_m=points[:, 1],
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=ground_m,
        planned_amsl_m=ground_m,
        launch_ground_amsl_m=launch_ground_m(plan, mapped.frame, mapped.ground),
        footprint=shapely.MultiPoint(points),
        columns=_columns(mapped, points, {}, []),
        where="at the launch or landing point",
        is_surface=False,
    )


def _samples(
    plan: Plan,
    mapped: Mapped,
    footprint: BaseGeometry,
    points: list[Floats],
    own: dict[int, int],
) -> AreaSamples:
    """Join points, the area's own edge first; `own` says which part lies in an outline, being cut from it."""
    ground = mapped.ground
    x_m, y_m = np.vstack(points).T
    ground_m, lowest_m = ground.ground_and_lowest(x_m, y_m) if ground else (np.full(len(x_m), np.nan),) * 2
    return AreaSamples(
        x_m=x_m,
        y_m=y_m,
        ground_amsl_m=ground_m,
        lowest_ground_amsl_m=lowest_m,
        planned_amsl_m=_top(plan, mapped, ground_m),
        launch_ground_amsl_m=launch_ground_m(plan, mapped.frame, ground),
        footprint=footprint,
        columns=_columns(mapped, np.column_stack([x_m, y_m]), own, [len(part) for part in points]),
    )


def _columns(mapped: Mapped, points: Floats, own: dict[int, int], sizes: list[int]) -> dict[int, Mask]:
    if not len(points):
        return {}
    box = np.concatenate([points.min(axis=0), points.max(axis=0)])
    starts = np.concatenate([[0], np.cumsum(sizes, dtype=np.int64)])
    records = frozenset(mapped.record_columns.values())
    found = {}
    for column in mapped.outlines.columns_near(box):
        if int(column) in records:
            # An area and its permission drawn on one line differ by roundings that must not part them.
            ring = mapped.outlines.polygon(int(column))
            mask = np.asarray(shapely.dwithin(ring, shapely.points(points), _ROUNDING_M), dtype=bool)
        else:
            mask = mapped.outlines.contains(int(column), points[:, 0], points[:, 1])
        if sizes:
            rim = shapely.points(points[: sizes[0]])
            mask[: sizes[0]] |= shapely.dwithin(mapped.outlines.polygon(int(column)), rim, _SAME_EDGE_M)
        if (part := own.get(int(column))) is not None:
            # A corner of the shared shape may be rounded out of the outline it was cut from.
            mask[starts[part] : starts[part + 1]] = True
        if mask.any():
            found[int(column)] = mask
    return found


def _top(plan: Plan, mapped: Mapped, ground_m: Floats) -> Floats:
    top = plan.area.top if plan.area else None
    if top is None:
        return np.full(len(ground_m), np.nan)
    if isinstance(top, AboveGround):
        return np.asarray(ground_m + top.m)
    launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
    return np.full(len(ground_m), amsl_m(top, np.nan, launch_m))


def _node_points(footprint: BaseGeometry, ground: PlaneTerrain | None, spacing_m: float) -> Floats:
    if ground is not None:
        x_m, y_m = ground.nodes_within(footprint.bounds)
    else:
        west, south, east, north = footprint.bounds
        grid = np.meshgrid(np.arange(west, east, spacing_m), np.arange(south, north, spacing_m))
        x_m, y_m = grid[0].ravel(), grid[1].ravel()
    kept = shapely.intersects_xy(footprint, x_m, y_m)
    return np.column_stack([x_m[kept], y_m[kept]])
