"""How lines of sight pass over buildings and trees: where each enters and leaves an outline."""

from collections.abc import Callable, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.sight.grid import Box, GridWindow, window_over
from planner.sight.surfaces import Rays, Screen, Surfaces
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
GroundAt = Callable[[Floats, Floats], Floats]
"""Heights of the ground [m AMSL] at plane positions [m]."""

_PLACES_A_CELL = 4


@attrs.frozen(eq=False)
class Passes:
    """Ways of rays over outlines, arrays (passes,): ray, screen, shares where it enters and leaves."""

    ray: Ints
    screen: Ints
    enters: Floats
    leaves: Floats

    def __len__(self) -> int:
        """Return the number of ways."""
        return len(self.ray)


@attrs.frozen(eq=False)
class Met:
    """What rays meet of screens, arrays (rays,); inf and -1 where a ray meets none.

    `clearance_m` is the least height over a top, `spare_m` by how much the
    ray's far end could sink until it touches one (see `Line`); each with the
    share of the way where, and which screen it is.
    """

    clearance_m: Floats
    clearance_share: Floats
    clearance_screen: Ints
    spare_m: Floats
    spare_share: Floats


def met_by(screens: tuple[Screen, ...], rays: Rays, ground: GroundAt, cell_m: float) -> Met:
    """Return how rays pass over screens.

    A flat top is asked at both ends of the way over it: between them a ray sags by less than 1 mm in
    100 m. What follows the ground is asked four times in every cell of the raster, `cell_m` wide.
    """
    passes = passes_over(screens, rays)
    follows = np.array([screen.over_ground_m is not None for screen in screens], dtype=bool)
    draped = follows[passes.screen]
    owner_a, share_a = _ends(passes, ~draped, rays)
    owner_b, share_b = _spread(passes, draped, rays, cell_m / _PLACES_A_CELL)
    tops = np.array([screen.top_amsl_m for screen in screens], dtype=float)
    over_m = np.array([screen.over_ground_m or 0.0 for screen in screens], dtype=float)
    ray_b = passes.ray[owner_b]
    crown_m = ground(*_along(rays, ray_b, share_b)) + over_m[passes.screen[owner_b]]
    # What nobody knows the ground of is as high as it may be anywhere under the outline.
    crown_m = np.where(np.isnan(crown_m), tops[passes.screen[owner_b]], crown_m)
    owner, share = np.concatenate([owner_a, owner_b]), np.concatenate([share_a, share_b])
    top_m = np.concatenate([tops[passes.screen[owner_a]], crown_m])
    return _least(rays, passes.ray[owner], passes.screen[owner], share, top_m)


def passes_over(screens: tuple[Screen, ...], rays: Rays) -> Passes:
    """Return every way of a ray over an outline."""
    nothing = np.empty(0, dtype=np.int64)
    if not screens or not len(rays):
        return Passes(nothing, nothing, np.empty(0), np.empty(0))
    ends = np.empty((len(rays), 2, 2))
    ends[:, 0], ends[:, 1, 0], ends[:, 1, 1] = rays.eye_xy, rays.x_m, rays.y_m
    lines = np.asarray(shapely.linestrings(ends), dtype=object)
    outlines = np.array([screen.outline for screen in screens], dtype=object)
    ray, screen = shapely.STRtree(outlines).query(lines, predicate="intersects")
    parts, pair = shapely.get_parts(shapely.intersection(lines[ray], outlines[screen]), return_index=True)
    points, part = shapely.get_coordinates(parts, return_index=True)
    length_m = np.hypot(rays.x_m - rays.eye_xy[0], rays.y_m - rays.eye_xy[1])[ray[pair[part]]]
    away_m = np.hypot(points[:, 0] - rays.eye_xy[0], points[:, 1] - rays.eye_xy[1])
    share = np.clip(away_m / np.maximum(length_m, 1e-9), 0.0, 1.0)
    enters, leaves = np.full(len(parts), np.inf), np.full(len(parts), -np.inf)
    np.minimum.at(enters, part, share)
    np.maximum.at(leaves, part, share)
    # Straight up there is no length that could be cut: all of the way is over what it begins in.
    upright, cut = np.flatnonzero(_upright(rays)[ray]), enters <= leaves
    pair = np.concatenate([pair[cut], upright])
    return Passes(
        ray[pair].astype(np.int64),
        screen[pair].astype(np.int64),
        np.concatenate([enters[cut], np.zeros(len(upright))]),
        np.concatenate([leaves[cut], np.ones(len(upright))]),
    )


def _upright(rays: Rays) -> NDArray[np.bool_]:
    return np.asarray((rays.x_m == rays.eye_xy[0]) & (rays.y_m == rays.eye_xy[1]))


def _ends(passes: Passes, which: NDArray[np.bool_], rays: Rays) -> tuple[Ints, Floats]:
    """Return both ends of each way, and where an error of the ground bends what is free between them."""
    owner = np.flatnonzero(which)
    turns = rays.turns(passes.ray[owner])
    enters, leaves = passes.enters[owner], passes.leaves[owner]
    between = (turns > enters[:, None]) & (turns < leaves[:, None])
    owners = [owner, owner, owner[np.nonzero(between)[0]]]
    return np.concatenate(owners), np.concatenate([enters, leaves, turns[between]])


def _spread(passes: Passes, which: NDArray[np.bool_], rays: Rays, step_m: float) -> tuple[Ints, Floats]:
    """Return shares no more than a step apart on each way, both ends among them."""
    owner = np.flatnonzero(which)
    length_m = np.hypot(rays.x_m - rays.eye_xy[0], rays.y_m - rays.eye_xy[1])[passes.ray[owner]]
    gone = passes.leaves[owner] - passes.enters[owner]
    steps = np.maximum(np.ceil(gone * length_m / step_m).astype(np.int64), 1)
    first = np.cumsum(steps + 1) - (steps + 1)
    which_one = np.repeat(np.arange(len(owner)), steps + 1)
    rank = np.arange(len(which_one)) - first[which_one]
    share = passes.enters[owner][which_one] + gone[which_one] * rank / steps[which_one]
    return owner[which_one], np.asarray(share, dtype=float)


def _along(rays: Rays, ray: Ints, share: Floats) -> tuple[Floats, Floats]:
    (x_m, y_m) = rays.eye_xy
    return x_m + (rays.x_m[ray] - x_m) * share, y_m + (rays.y_m[ray] - y_m) * share


def _least(rays: Rays, ray: Ints, screen: Ints, share: Floats, top_m: Floats) -> Met:
    count = len(rays)
    clearance_m = rays.free_m(ray, share) - top_m
    with np.errstate(divide="ignore", invalid="ignore"):
        spare_m = np.where((clearance_m == 0.0) & (share == 0.0), 0.0, clearance_m / share)
    clear, clear_at = _least_of(count, ray, clearance_m)
    spare, spare_at = _least_of(count, ray, spare_m)
    return Met(
        clearance_m=clear,
        clearance_share=_taken(share, clear_at),
        clearance_screen=np.where(clear_at >= 0, screen[clear_at], -1) if len(ray) else clear_at,
        spare_m=spare,
        spare_share=_taken(share, spare_at),
    )


def _least_of(count: int, ray: Ints, values: Floats) -> tuple[Floats, Ints]:
    """Return the least value of each ray and where it stands; inf and -1 without any."""
    least, at = np.full(count, np.inf), np.full(count, -1, dtype=np.int64)
    known = np.flatnonzero(~np.isnan(values))
    order = known[np.lexsort((known, values[known], ray[known]))]
    rays, first = np.unique(ray[order], return_index=True)
    least[rays], at[rays] = values[order[first]], order[first]
    return least, at


def _taken(share: Floats, at: Ints) -> Floats:
    return np.where(at >= 0, share[at], np.nan) if len(share) else np.full(len(at), np.nan)


def search_window(surfaces: Surfaces, box: Box) -> GridWindow:
    """Return all that may be in the way around a box as one raster; the unmeasured as high as may be."""
    surface = surfaces.cover or surfaces.ground
    return raised(surface, window_over(surface, box), (*surfaces.screens, *surfaces.unmeasured))


def raised(surface: PlaneTerrain, window: GridWindow, screens: Sequence[Screen]) -> GridWindow:
    """Return a window whose nodes in or close to an outline are as high as what stands there.

    For searches only: a node stands for half a cell about it, so that nothing is missed between two.
    """
    heights_m = window.heights_m.copy()
    rows, columns = heights_m.shape
    for screen in screens:
        middle = screen.outline.centroid
        wide = shapely.buffer(screen.outline, surface.cell_m(middle.x, middle.y) / 2)
        x_m, y_m = surface.nodes_within(wide.bounds)
        inside = shapely.intersects_xy(wide, x_m, y_m)
        column, row = (np.rint(axis).astype(np.intp) for axis in window.place(x_m[inside], y_m[inside]))
        here = (column >= 0) & (row >= 0) & (column < columns) & (row < rows)
        at = row[here], column[here]
        top_m = screen.top_amsl_m
        if screen.over_ground_m is not None:
            top_m = window.heights_m[at] + screen.over_ground_m
        heights_m[at] = np.fmax(heights_m[at], top_m)
    return attrs.evolve(window, heights_m=heights_m)
