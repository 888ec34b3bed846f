"""Where somebody of the crew may stand and go on foot."""

import math
from collections.abc import Iterable, Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathKind
from planner.plan.model import Plan
from planner.sight.surfaces import Screen, ScreenKind
from planner.track.drawn import drawn_outline
from planner.world.outlines import earth_box, polygons_in_plane, shapes_in_plane
from planner.world.plane_terrain import PlaneTerrain
from planner.world.sites import ClosedLand, GroundFeature, GroundKind

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Slices = tuple[slice, ...]
Way = tuple[Slices, Slices, Floats]
"""The two ends of all ways of one kind, and their lengths over the ground [m]; inf where closed."""

STEEPEST_DEG: Final = 45.0
"""Steeper ground is not walked: own choice; that is climbing."""
STANDING_DEG: Final = 30.0
"""On steeper ground nobody of a crew stands and watches for minutes: own choice."""
# Sixteen ways from a place to those about it make a way at most 2.8 % too long.
_WAYS: Final = ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (2, -1), (1, -2))
_ROUNDING_M: Final = 0.001


@attrs.frozen(eq=False)
class Footing:
    """Plane polygons [m]: where the pilot allows to stand (None: anywhere), and where nobody goes.

    `barred` is closed land, water and buildings; None: none is known.
    """

    allowed: BaseGeometry | None = None
    barred: BaseGeometry | None = None

    def may_stand(self, x_m: Floats, y_m: Floats) -> Mask:
        """Return at which plane positions somebody may stand."""
        good = np.ones(len(x_m), dtype=bool)
        if self.allowed is not None:
            good &= shapely.intersects_xy(self.allowed, x_m, y_m)
        if self.barred is not None:
            good &= ~shapely.intersects_xy(self.barred, x_m, y_m)
        return good


@attrs.frozen(eq=False)
class Walks:
    """Places of a grid about a start, arrays (n,): plane positions, ground [m AMSL], way on foot [m].

    `walk_m` is inf where nobody comes within the limit; `slope_deg` is the ground's across each place.
    """

    x_m: Floats
    y_m: Floats
    ground_amsl_m: Floats
    walk_m: Floats
    slope_deg: Floats

    def where(self, footing: Footing) -> Mask:
        """Return at which of the places somebody comes and may stand."""
        reached = np.isfinite(self.walk_m) & ~np.isnan(self.ground_amsl_m)
        return reached & (self.slope_deg <= STANDING_DEG) & footing.may_stand(self.x_m, self.y_m)


def footing_of(
    plan: Plan,
    frame: LocalFrame,
    closed: Iterable[ClosedLand],
    charted: Sequence[GroundFeature],
    within: tuple[float, float, float, float],
    standing: Iterable[Screen] = (),
) -> Footing:
    """Return where the plan's crew may stand and go; `within` bounds charts in the plane [m].

    Nobody goes through a building of `standing`. Water counts where it is charted or drawn as an area:
    a line may be a brook.
    """
    allowed = [
        polygons_in_plane(shapely.Polygon([(place.lon_deg, place.lat_deg) for place in area.ring]), frame)
        for area in plan.stand_areas
    ]
    water = [one.shape for one in charted if one.kind is GroundKind.WATER]
    shapes = np.array([*(land.outline for land in closed), *water], dtype=object)
    near = shapes[shapely.intersects(shapes, earth_box(within, frame))] if len(shapes) else shapes
    barred = [shape for shape in shapes_in_plane(near, frame) if shapely.get_dimensions(shape) == 2]
    barred += [drawn_outline(item, frame) for item in plan.beneath if item.kind is BeneathKind.WATER]
    barred += [screen.outline for screen in standing if screen.kind is ScreenKind.BUILDING]
    return Footing(
        shapely.union_all(allowed) if allowed else None, shapely.union_all(barred) if barred else None
    )


def walks_from(
    start: tuple[float, float],
    ground: PlaneTerrain,
    barred: BaseGeometry | None,
    walk_m: float,
    spacing_m: float,
    steepest_deg: float = STEEPEST_DEG,
) -> Walks:
    """Return how far it is on foot from a start to the places of a grid about it.

    Nobody goes over what is barred, over unknown ground, or where the ground between two places of
    the grid or across one is steeper than `steepest_deg`. Ways go from place to place: 3 % too long
    at most, never too short. What is narrower than the grid or the raster is not seen.
    """
    count = int(walk_m // spacing_m)
    offset_m = spacing_m * np.arange(-count, count + 1)
    x_m, y_m = np.meshgrid(start[0] + offset_m, start[1] + offset_m)
    height_m = ground.ground(x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
    rise = math.tan(math.radians(steepest_deg))
    slope = _slope(height_m, spacing_m)
    shut = barred, _beside(barred, (x_m, y_m), spacing_m)
    open_ways = [_way(height_m, slope > rise, (x_m, y_m), step, spacing_m, shut, rise) for step in _WAYS]
    far_m = np.full(x_m.shape, np.inf)
    far_m[count, count] = 0.0
    _relax(far_m, open_ways, walk_m)
    slope_deg = np.degrees(np.arctan(slope))
    return Walks(x_m.ravel(), y_m.ravel(), height_m.ravel(), far_m.ravel(), slope_deg.ravel())


def _relax(far_m: Floats, ways: Sequence[Way], walk_m: float) -> None:
    """Let every place take the shortest way over its neighbours until none gets shorter."""
    while True:
        before = far_m.copy()
        for here, there, length_m in ways:
            np.minimum(far_m[there], far_m[here] + length_m, out=far_m[there])
            np.minimum(far_m[here], far_m[there] + length_m, out=far_m[here])
        far_m[far_m > walk_m] = np.inf
        if np.array_equal(before, far_m):
            return


def _way(
    height_m: Floats,
    too_steep: Mask,
    at: tuple[Floats, Floats],
    step: tuple[int, int],
    spacing_m: float,
    barred: tuple[BaseGeometry | None, Mask],
    rise: float,
) -> Way:
    """Return the ways from every place to the one a step away; `barred` says at which places to look."""
    here, there = _ends(step, height_m.shape)
    flat_m = spacing_m * math.hypot(*step)
    up_m = height_m[there] - height_m[here]
    with np.errstate(invalid="ignore"):
        passable = (np.abs(up_m) <= rise * flat_m) & ~too_steep[here] & ~too_steep[there]
    shape, beside = barred
    asked = passable & (beside[here] | beside[there])
    if shape is not None and asked.any():
        ends = np.stack(
            [np.stack([axis[side][asked] for axis in at], axis=1) for side in (here, there)], axis=1
        )
        passable[asked] = ~shapely.intersects(shape, shapely.linestrings(ends))
    return here, there, np.where(passable, np.hypot(flat_m, np.nan_to_num(up_m)), np.inf)


def _beside(barred: BaseGeometry | None, at: tuple[Floats, Floats], spacing_m: float) -> Mask:
    """Return which places lie so near to what is barred that a way of theirs can meet it.

    A way that meets it has one of its ends within half its length.
    """
    if barred is None:
        return np.zeros(at[0].shape, dtype=bool)
    shapely.prepare(barred)
    longest_m = spacing_m * max(math.hypot(*step) for step in _WAYS)
    return np.asarray(shapely.dwithin(barred, shapely.points(*at), longest_m / 2 + _ROUNDING_M), dtype=bool)


def _ends(step: tuple[int, int], shape: tuple[int, ...]) -> tuple[Slices, Slices]:
    here, there = [], []
    for move, size in zip(step, shape, strict=True):
        here.append(slice(max(-move, 0), size - max(move, 0)))
        there.append(slice(max(move, 0), size - max(-move, 0)))
    return tuple(here), tuple(there)


def _slope(height_m: Floats, spacing_m: float) -> Floats:
    """Return the steepest rise across each place, along the slope it counts too; beside unknown ground 0."""
    if min(height_m.shape) < 2:
        return np.zeros(height_m.shape)
    north, east = np.gradient(height_m, spacing_m)
    return np.asarray(np.nan_to_num(np.hypot(north, east), nan=0.0))
