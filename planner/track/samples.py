"""What a question about height is put to: places with ground and planned height."""

import math
from collections.abc import Hashable, Mapping, Sequence
from typing import Protocol

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.heights import AboveGround
from planner.plan.model import Plan
from planner.track.build import amsl_m, launch_ground_m
from planner.track.edges import Piece, edge_pieces, inner_points, points_on_ground, spaced_points
from planner.track.mapped import Mapped
from planner.track.patches import Patch, Patches, inside_of, joined, measured, node_patch
from planner.world.outlines import polygons_in_plane

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
    kept: dict[Hashable, object] = attrs.field(init=False, factory=dict, repr=False)
    """What is found from these samples alone, kept for whoever asks again; it changes no answer."""

    @property
    def flown_from_amsl_m(self) -> Floats:
        """Lowest height flown over each place [m AMSL]: the ground."""
        return self.ground_amsl_m

    def inside_outline(self, column: int) -> Mask:
        """Return, per sample, whether it lies in outline `column`."""
        inside = self.columns.get(column)
        return np.zeros(len(self.x_m), dtype=bool) if inside is None else inside


def sample_area(plan: Plan, mapped: Mapped, known: Patches | None = None) -> AreaSamples | None:
    """Return samples over the plan's flying area, None if it has none or it is too large.

    An area that only bounds the path (no top) has its footprint, and no samples. `known` keeps
    what is measured between calls; it holds for one mapped world.
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
        return _samples(plan, mapped, footprint, [], {})
    if ground and ground.node_count(footprint.bounds) > MOST_NODES:
        return None
    spacing_m = max(_FALLBACK_SPACING_M, math.sqrt(float(footprint.area) / _FALLBACK_NODES))
    patches = Patches() if known is None else known
    parts: list[list[_Source]] = [[*edge_pieces(footprint), inner_points(footprint)]]
    about = shapely.buffer(footprint, _ABOUT_M, join_style="mitre")
    own: dict[int, int] = {}
    for column in map(int, mapped.outlines.columns_near(np.array(footprint.bounds))):
        outline = shapely.intersection(mapped.outlines.polygon(column), about)
        shared = shapely.intersection(outline, footprint)
        if shared.is_empty:
            continue
        own[column] = len(parts) + 1
        parts.append([*edge_pieces(shared), inner_points(shared)])
        for side_m in (-_BESIDE_M, _BESIDE_M):
            beside = shapely.buffer(outline, side_m, join_style="mitre").boundary
            parts.append([*edge_pieces(shapely.intersection(beside, footprint))])
    lines = _Lines(mapped, spacing_m, patches).measured(parts)
    return _samples(
        plan, mapped, footprint, [lines[0], [_nodes(footprint, mapped, spacing_m, patches)], *lines[1:]], own
    )


_Source = Piece | Floats
"""An edge's piece, or points (n, 2) [m]."""


@attrs.frozen
class _Lines:
    """Measures what parts of an area are made of."""

    mapped: Mapped
    spacing_m: float
    known: Patches

    def measured(self, parts: Sequence[Sequence[_Source]]) -> list[list[Patch]]:
        """Return the patches of each part; what is new is measured at once."""
        wanted = [(self._key(source), source) for part in parts for source in part]
        patches = iter(self.known.of(wanted, self._points, self.mapped))
        return [[next(patches) for _ in part] for part in parts]

    def _key(self, source: _Source) -> Hashable:
        if isinstance(source, Piece):
            return (
                "edge",
                source.corners.tobytes(),
                source.closed,
                None if self.mapped.ground else self.spacing_m,
            )
        return "points", source.tobytes()

    def _points(self, sources: Sequence[_Source]) -> list[Floats]:
        pieces = [source for source in sources if isinstance(source, Piece)]
        if self.mapped.ground is None:
            on_edges = iter([spaced_points(piece, self.spacing_m) for piece in pieces])
        else:
            on_edges = iter(points_on_ground(pieces, self.mapped.ground))
        return [next(on_edges) if isinstance(source, Piece) else source for source in sources]


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
        columns=inside_of(points, mapped),
        where="at the launch or landing point",
        is_surface=False,
    )


def _samples(
    plan: Plan,
    mapped: Mapped,
    footprint: BaseGeometry,
    parts: Sequence[Sequence[Patch]],
    own: Mapping[int, int],
) -> AreaSamples:
    """Join parts, the area's own edge first; `own` says which one is cut from an outline."""
    whole = joined([patch for part in parts for patch in part])
    return AreaSamples(
        x_m=whole.x_m,
        y_m=whole.y_m,
        ground_amsl_m=whole.ground_m,
        lowest_ground_amsl_m=whole.lowest_m,
        planned_amsl_m=_top(plan, mapped, whole.ground_m),
        launch_ground_amsl_m=launch_ground_m(plan, mapped.frame, mapped.ground),
        footprint=footprint,
        columns=_columns(mapped, whole, parts, own),
    )


def _columns(
    mapped: Mapped, whole: Patch, parts: Sequence[Sequence[Patch]], own: Mapping[int, int]
) -> dict[int, Mask]:
    """Return which places lie in which outline, an edge of the area along one being the same line."""
    if not len(whole):
        return {}
    sizes = [sum(len(patch) for patch in part) for part in parts]
    starts = np.concatenate([[0], np.cumsum(sizes, dtype=np.int64)])
    rim = shapely.points(whole.x_m[: sizes[0]], whole.y_m[: sizes[0]])
    box = np.array([whole.x_m.min(), whole.y_m.min(), whole.x_m.max(), whole.y_m.max()])
    found = {}
    for column in map(int, mapped.outlines.columns_near(box)):
        mask = whole.inside.get(column)
        mask = np.zeros(len(whole), dtype=bool) if mask is None else mask
        mask[: sizes[0]] |= shapely.dwithin(mapped.outlines.polygon(column), rim, _SAME_EDGE_M)
        if (part := own.get(column)) is not None:
            # A corner of the shared shape may be rounded out of the outline it was cut from.
            mask[starts[part] : starts[part + 1]] = True
        if mask.any():
            found[column] = mask
    return found


def _top(plan: Plan, mapped: Mapped, ground_m: Floats) -> Floats:
    top = plan.area.top if plan.area else None
    if top is None:
        return np.full(len(ground_m), np.nan)
    if isinstance(top, AboveGround):
        return np.asarray(ground_m + top.m)
    launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
    return np.full(len(ground_m), amsl_m(top, np.nan, launch_m))


def _nodes(footprint: BaseGeometry, mapped: Mapped, spacing_m: float, known: Patches) -> Patch:
    """Return the raster's nodes in a shape; without a raster those of a grid."""
    if mapped.ground is not None:
        return node_patch(footprint, mapped, mapped.ground, known)
    west, south, east, north = footprint.bounds
    grid = np.meshgrid(np.arange(west, east, spacing_m), np.arange(south, north, spacing_m))
    x_m, y_m = grid[0].ravel(), grid[1].ravel()
    kept = shapely.intersects_xy(footprint, x_m, y_m)
    return measured([np.column_stack([x_m[kept], y_m[kept]])], mapped)[0]
