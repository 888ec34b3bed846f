"""One line of sight, exact on bilinear ground.

The line is straight in space, bent by refraction; against heights above sea
level it sags below the chord of its ends by (1 - k) s (D - s) / (2 R). The
ground under it is one quadratic between two raster lines, so every raster
line and the extremum between two of them is looked at. Swapping eye and
target changes nothing but the side from which shares are counted.
"""

import math
from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.curvature import REFRACTION, bend_per_m
from planner.sight.pieces import Least, least_of_pieces
from planner.sight.screened import Met, met_by, passes_over
from planner.sight.spot import Spot
from planner.sight.surfaces import Rays, Screen, Surfaces
from planner.track.crossings import whole_number_crossings
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

# A line that grazes counts as clear: an aircraft on the ground touches the ground's own height.
TOUCH_M: Final = 0.001
_PIECE_M = 100.0
_CROWN_PLACES = 33


@attrs.frozen
class Line:
    """How a line of sight passes over what is known [m]; NaN where unknown.

    Parameters
    ----------
    length_m : horizontal length.
    slant_m : distance through the air; the horizontal one where a height is
        unknown, so that it is never too long.
    clearance_m : least height of the line over the ground, cover and
        buildings, the eye's own and the target's own height included.
    clearance_at_m : where, counted from the eye.
    spare_m : by how much the target could be lower, straight below, and still
        be seen; below zero by how much it must rise. -inf if no height helps.
    spare_at_m : where the line then touches, counted from the eye.
    whole : whether everything under the line is known.
    behind : the building or trees over which `clearance_m` is least; None:
        ground, cover or one of the ends.
    unmeasured : what of unknown height may hide the target.
    """

    length_m: float
    slant_m: float
    clearance_m: float
    clearance_at_m: float
    spare_m: float
    spare_at_m: float
    whole: bool
    behind: Screen | None = None
    unmeasured: tuple[Screen, ...] = ()

    @property
    def clear(self) -> bool | None:
        """Whether the target is in sight; None if that can't be known.

        What is known to hide the target hides it, whatever else is unknown.
        """
        if self.clearance_m < -TOUCH_M:
            return False
        known = self.whole and not self.unmeasured and not math.isnan(self.clearance_m)
        return True if known else None


@attrs.frozen(eq=False)
class Section:
    """A line of sight as a cross-section, arrays (n,); heights [m AMSL].

    `cover_amsl_m` is NaN where no cover is known. `standing` is what stands
    on the ground under the line.
    """

    distance_m: Floats
    ground_amsl_m: Floats
    cover_amsl_m: Floats
    line_amsl_m: Floats
    standing: tuple["Standing", ...] = ()


@attrs.frozen(eq=False)
class Standing:
    """A building or trees under a line: its top [m AMSL] at distances from the eye [m], arrays (k,).

    `measured` is False where the top is only as high as it may plausibly be.
    """

    screen: Screen
    distance_m: Floats
    top_amsl_m: Floats
    measured: bool


def line_of_sight(
    surfaces: Surfaces,
    eye: Spot,
    target: Spot,
    refraction: float = REFRACTION,
    error_m: float = 0.0,
) -> Line:
    """Return how the line between an eye and a target passes over the surfaces.

    With an error how it would if all that is in the way were that much higher (see `ground_error`).
    """
    length_m = math.hypot(target.x_m - eye.x_m, target.y_m - eye.y_m)
    rise_m = target.amsl_m - eye.amsl_m
    slant_m = length_m if math.isnan(rise_m) else math.hypot(length_m, rise_m)
    rays = _single(eye, target, length_m, refraction)
    if error_m > 0.0:
        rays = rays.lifted(error_m, np.array([target.amsl_m - target.ground_amsl_m]))
    founds = [_least_over(surfaces.ground, rays, length_m)]
    whole = bool(founds[0].whole[0])
    if surfaces.cover:
        founds.append(_least_over(surfaces.cover, rays, length_m))
    met = _met(surfaces, surfaces.screens, rays)
    bare = [(float(found.value_m[0]), float(found.share[0])) for found in founds]
    ratios = [(float(found.ratio_m[0]), float(found.ratio_share[0])) for found in founds]
    over = (float(met.clearance_m[0]), float(met.clearance_share[0]))
    value = min(*bare, over, key=_unknown_last)
    ratio = min(*ratios, (float(met.spare_m[0]), float(met.spare_share[0])), key=_unknown_last)
    behind = surfaces.screens[int(met.clearance_screen[0])] if value is over and value[0] < math.inf else None
    return Line(
        length_m, slant_m, value[0], value[1] * length_m, ratio[0], ratio[1] * length_m, whole, behind,
        unmeasured=_unmeasured(surfaces, rays),
    )  # fmt: skip


def _met(surfaces: Surfaces, screens: tuple[Screen, ...], rays: Rays) -> Met:
    ground = surfaces.ground
    return met_by(screens, rays, ground.ground, ground.cell_m(*rays.eye_xy) if screens else math.inf)


def _unmeasured(surfaces: Surfaces, rays: Rays) -> tuple[Screen, ...]:
    """Return everything of unknown height that may hide the target."""
    unsure = surfaces.unmeasured
    near = {int(k) for k in passes_over(unsure, rays).screen}
    hiding = (one for k, one in enumerate(unsure) if k in near and _may_hide(surfaces, one, rays))
    return tuple(hiding)


def _may_hide(surfaces: Surfaces, screen: Screen, rays: Rays) -> bool:
    return not float(_met(surfaces, (screen,), rays).clearance_m[0]) >= -TOUCH_M


def section_of(surfaces: Surfaces, eye: Spot, target: Spot, refraction: float = REFRACTION) -> Section:
    """Return the cross-section under a line of sight, with every raster line and half-way between."""
    length_m = math.hypot(target.x_m - eye.x_m, target.y_m - eye.y_m)
    rays = _single(eye, target, length_m, refraction)
    shares = [_raster_lines(surfaces.ground, rays, length_m)]
    if surfaces.cover:
        shares.append(_raster_lines(surfaces.cover, rays, length_m))
    standing = (
        *_standing(surfaces, surfaces.screens, rays, length_m, measured=True),
        *_standing(surfaces, surfaces.unmeasured, rays, length_m, measured=False),
    )
    shares += [one.distance_m / max(length_m, 1e-9) for one in standing]
    borders = np.unique(np.concatenate(shares))
    share = np.unique(np.concatenate([borders, (borders[:-1] + borders[1:]) / 2]))
    x_m, y_m = _along(rays, share)
    nothing = np.full(len(share), np.nan)
    return Section(
        distance_m=share * length_m,
        ground_amsl_m=surfaces.ground.ground(x_m, y_m),
        cover_amsl_m=surfaces.cover.ground(x_m, y_m) if surfaces.cover else nothing,
        line_amsl_m=rays.height_m(np.zeros(len(share), dtype=np.int64), share),
        standing=standing,
    )


def _standing(
    surfaces: Surfaces, screens: tuple[Screen, ...], rays: Rays, length_m: float, *, measured: bool
) -> Iterator[Standing]:
    passes = passes_over(screens, rays)
    for k in np.argsort(passes.enters, kind="stable").tolist():
        screen = screens[int(passes.screen[k])]
        share = np.linspace(
            passes.enters[k], passes.leaves[k], 2 if screen.over_ground_m is None else _CROWN_PLACES
        )
        top_m = np.full(len(share), screen.top_amsl_m)
        if screen.over_ground_m is not None:
            crown_m = surfaces.ground.ground(*_along(rays, share)) + screen.over_ground_m
            top_m = np.where(np.isnan(crown_m), top_m, crown_m)
        yield Standing(screen, share * length_m, top_m, measured)


def _unknown_last(found: tuple[float, float]) -> float:
    return math.inf if math.isnan(found[0]) else found[0]


def _single(eye: Spot, target: Spot, length_m: float, refraction: float) -> Rays:
    return Rays(
        eye_xy=(eye.x_m, eye.y_m),
        eye_amsl_m=eye.amsl_m,
        x_m=np.array([target.x_m]),
        y_m=np.array([target.y_m]),
        amsl_m=np.array([target.amsl_m]),
        bow_m=np.array([bend_per_m(refraction) * length_m**2]),
    )


def _along(rays: Rays, share: Floats) -> tuple[Floats, Floats]:
    x_m = rays.eye_xy[0] + (rays.x_m[0] - rays.eye_xy[0]) * share
    return x_m, rays.eye_xy[1] + (rays.y_m[0] - rays.eye_xy[1]) * share


def _raster_lines(surface: PlaneTerrain, rays: Rays, length_m: float) -> Floats:
    shares = np.linspace(0.0, 1.0, max(1, math.ceil(length_m / _PIECE_M)) + 1)
    column, row = surface.grid(*_along(rays, shares))
    crossings = [whole_number_crossings(shares, axis) for axis in (column, row)]
    lines = np.concatenate([*crossings, *rays.turns(np.zeros(1, dtype=np.int64))])
    return np.unique(np.concatenate([shares, lines[(lines > 0.0) & (lines < 1.0)]]))


def _least_over(surface: PlaneTerrain, rays: Rays, length_m: float) -> Least:
    shares = _raster_lines(surface, rays, length_m)
    middles = (shares[:-1] + shares[1:]) / 2

    def clearance_m(share: Floats) -> Floats:
        under_m = surface.ground(*_along(rays, share))
        return np.asarray(rays.free_m(np.zeros(len(share), dtype=np.int64), share) - under_m)

    return least_of_pieces(shares[None], clearance_m(shares)[None], clearance_m(middles)[None])
