"""Lines of sight from one eye to many targets: fast where clear-cut, exact where in doubt."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.curvature import REFRACTION, bend_per_m
from planner.sight.grid import Box, GridWindow, window_over
from planner.sight.line import TOUCH_M
from planner.sight.screened import Met, met_by
from planner.sight.settle import bilinear, ground_under, settle
from planner.sight.skim import GridRays, Skim, skim
from planner.sight.spot import Spot
from planner.sight.surfaces import Rays, Screen, ScreenKind, Surfaces

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]


_LEAST_SHARE = 1e-9


@attrs.frozen(eq=False)
class Outlook:
    """The surfaces around a box, laid out for many lines of sight."""

    surfaces: Surfaces
    ground: GridWindow
    cover: GridWindow | None

    @classmethod
    def over(cls, surfaces: Surfaces, box: Box) -> "Outlook":
        """Cut the surfaces to a box (west, south, east, north) of the plane [m]."""
        cover = window_over(surfaces.cover, box) if surfaces.cover else None
        return cls(surfaces, window_over(surfaces.ground, box), cover)


@attrs.frozen(eq=False)
class Targets:
    """Points to be seen, arrays (n,): plane positions [m], heights and ground [m AMSL]."""

    x_m: Floats
    y_m: Floats
    amsl_m: Floats
    ground_amsl_m: Floats

    def __len__(self) -> int:
        """Return the number of points."""
        return len(self.x_m)

    def take(self, which: Mask | NDArray[np.int64]) -> "Targets":
        """Return some of the points."""
        return Targets(self.x_m[which], self.y_m[which], self.amsl_m[which], self.ground_amsl_m[which])


@attrs.frozen(eq=False)
class Lines:
    """`Line` for many targets, arrays (n,).

    `clearance_m` and `spare_m` are too great by at most `clearance_doubt_m`
    and `spare_doubt_m`: what lies between raster lines. Whether a target is
    hidden is exact all the same.

    `behind` is the index among the surfaces' screens of what the clearance is
    least over, `unmeasured` the one among their unmeasured ones of what may
    hide the target; -1: none. `thin` is what nothing but trees hides.
    """

    slant_m: Floats
    clearance_m: Floats
    clearance_at_m: Floats
    clearance_doubt_m: Floats
    spare_m: Floats
    spare_at_m: Floats
    spare_doubt_m: Floats
    whole: Mask
    behind: Ints
    unmeasured: Ints
    thin: Mask

    @property
    def hidden(self) -> Mask:
        """Which targets are hidden by something known."""
        return np.asarray(self.clearance_m < -TOUCH_M)

    @property
    def unknown(self) -> Mask:
        """Of which targets it can't be said whether they are hidden."""
        return ~self.hidden & (~self.whole | np.isnan(self.clearance_m) | (self.unmeasured >= 0))

    @classmethod
    def unseen(cls, slant_m: Floats) -> "Lines":
        """Return lines of which nothing is known but their lengths."""
        nothing, nobody = np.full(len(slant_m), np.nan), np.full(len(slant_m), -1)
        no = np.zeros(len(slant_m), dtype=bool)
        return cls(
            slant_m, nothing, nothing, nothing, nothing, nothing, nothing, no, nobody, nobody, no
        )  # fmt: skip


def rays_to(eye: Spot, targets: Targets, refraction: float = REFRACTION) -> Rays:
    """Return the rays from an eye to targets."""
    square_m2 = (targets.x_m - eye.x_m) ** 2 + (targets.y_m - eye.y_m) ** 2
    return Rays(
        eye_xy=(eye.x_m, eye.y_m),
        eye_amsl_m=eye.amsl_m,
        x_m=targets.x_m,
        y_m=targets.y_m,
        amsl_m=targets.amsl_m,
        bow_m=bend_per_m(refraction) * square_m2,
    )


def slant_m(eye: Spot, targets: Targets) -> Floats:
    """Return distances through the air [m], horizontal where a height is unknown."""
    rise_m = np.nan_to_num(targets.amsl_m - eye.amsl_m, nan=0.0)
    flat_m = np.hypot(targets.x_m - eye.x_m, targets.y_m - eye.y_m)
    return np.asarray(np.hypot(flat_m, rise_m))


def lines_to(outlook: Outlook, eye: Spot, targets: Targets, refraction: float = REFRACTION) -> Lines:
    """Return the lines of sight from an eye to targets; all must lie in the outlook's box."""
    rays = rays_to(eye, targets, refraction)
    return over_screens(over_bare(outlook, rays, eye, targets), outlook, rays)


def over_bare(outlook: Outlook, rays: Rays, eye: Spot, targets: Targets) -> Lines:
    """Return the lines over the rasters alone, ground and what covers it, without what stands there."""
    lines = over_window(outlook.ground, rays, eye, targets)
    if outlook.cover:
        lines = _lower_of(lines, over_window(outlook.cover, rays, eye, targets))
    return lines


def over_window(window: GridWindow, rays: Rays, eye: Spot, targets: Targets) -> Lines:
    """Return how rays from the eye to the targets pass over one raster, lifted by its error or not."""
    met = _with_turns(skim(window, rays), window, rays)
    bare = _with_ends(met, window, rays, eye, targets)
    surely = (bare.clearance_m < -TOUCH_M) | (bare.clearance_m - bare.clearance_doubt_m >= -TOUCH_M)
    doubtful = ~surely | np.isnan(bare.clearance_doubt_m)
    return _settled(bare, doubtful, window, rays) if doubtful.any() else bare


def _with_turns(met: Skim, window: GridWindow, rays: Rays) -> Skim:
    """Add where an error of the ground bends what is free, between two raster lines."""
    every = np.arange(len(rays))
    shares = np.maximum(rays.turns(every), _LEAST_SHARE)
    if not shares.size:
        return met
    under_m = ground_under(window, GridRays.lay(window, rays), every, shares)
    clearance_m = rays.free_m(every[:, None], shares) - under_m
    x_m, y_m = (
        start + (end - start)[:, None] * shares
        for start, end in zip(rays.eye_xy, (rays.x_m, rays.y_m), strict=True)
    )
    floor_m = clearance_m - _bulge_at(window, *window.place(x_m.ravel(), y_m.ravel())).reshape(shares.shape)
    clearance, share = _lower(clearance_m, shares, met.clearance_m, met.clearance_share)
    spare, spare_share = _lower(clearance_m / shares, shares, met.spare_m, met.spare_share)
    return Skim(
        clearance, share, np.minimum(met.clearance_floor_m, floor_m.min(axis=1)),
        spare, spare_share, np.minimum(met.spare_floor_m, (floor_m / shares).min(axis=1)),
    )  # fmt: skip


def _lower(values: Floats, shares: Floats, least: Floats, at: Floats) -> tuple[Floats, Floats]:
    column = values.argmin(axis=1)[:, None]
    found, where = (np.take_along_axis(axis, column, axis=1)[:, 0] for axis in (values, shares))
    return np.minimum(found, least), np.where(found < least, where, at)


def _with_ends(met: Skim, window: GridWindow, rays: Rays, eye: Spot, targets: Targets) -> Lines:
    """Add the two ends of each ray to what was met at raster lines."""
    flat_m = np.hypot(rays.x_m - eye.x_m, rays.y_m - eye.y_m)
    eye_column, eye_row = window.place(np.array([eye.x_m]), np.array([eye.y_m]))
    own_m = eye.amsl_m - eye.ground_amsl_m
    theirs_m = rays.free_m(np.arange(len(rays)), np.ones(len(rays))) - targets.ground_amsl_m
    own_bulge_m = _bulge_at(window, eye_column, eye_row)[0]
    their_bulge_m = _bulge_at(window, *window.place(rays.x_m, rays.y_m))
    clearance_m = np.minimum(np.minimum(met.clearance_m, own_m), theirs_m)
    share = np.where(clearance_m == theirs_m, 1.0, met.clearance_share)
    share = np.where(clearance_m == own_m, 0.0, share)
    floor_m = np.minimum(np.minimum(met.clearance_floor_m, own_m - own_bulge_m), theirs_m - their_bulge_m)
    spare_m = np.minimum(met.spare_m, theirs_m)
    spare_floor_m = np.minimum(met.spare_floor_m, theirs_m - their_bulge_m)
    return Lines(
        slant_m=slant_m(eye, targets),
        clearance_m=clearance_m,
        clearance_at_m=share * flat_m,
        clearance_doubt_m=clearance_m - floor_m,
        spare_m=spare_m,
        spare_at_m=np.where(spare_m == theirs_m, 1.0, met.spare_share) * flat_m,
        spare_doubt_m=spare_m - spare_floor_m,
        whole=~np.isnan(clearance_m),
        behind=np.full(len(rays), -1),
        unmeasured=np.full(len(rays), -1),
        thin=np.zeros(len(rays), dtype=bool),
    )


def _bulge_at(window: GridWindow, column: Floats, row: Floats) -> Floats:
    return np.asarray(window.bulge_m[row.astype(np.intp), column.astype(np.intp)], dtype=float)


def _settled(lines: Lines, doubtful: Mask, window: GridWindow, rays: Rays) -> Lines:
    exact = settle(window, rays.take(doubtful))
    flat_m = np.hypot(rays.x_m - rays.eye_xy[0], rays.y_m - rays.eye_xy[1])[doubtful]

    def put(values: Floats, settled: Floats | float) -> Floats:
        values = values.copy()
        values[doubtful] = settled
        return values

    whole = lines.whole.copy()
    whole[doubtful] = exact.whole
    return attrs.evolve(
        lines,
        clearance_m=put(lines.clearance_m, exact.value_m),
        clearance_at_m=put(lines.clearance_at_m, exact.share * flat_m),
        clearance_doubt_m=put(lines.clearance_doubt_m, 0.0),
        spare_m=put(lines.spare_m, exact.ratio_m),
        spare_at_m=put(lines.spare_at_m, exact.ratio_share * flat_m),
        spare_doubt_m=put(lines.spare_doubt_m, 0.0),
        whole=whole,
    )


def _lower_of(ground: Lines, cover: Lines) -> Lines:
    """Return whichever is less at each target; cover counts only where it is known."""
    clearer, sparer = cover.clearance_m < ground.clearance_m, cover.spare_m < ground.spare_m
    return attrs.evolve(
        ground,
        clearance_m=np.where(clearer, cover.clearance_m, ground.clearance_m),
        clearance_at_m=np.where(clearer, cover.clearance_at_m, ground.clearance_at_m),
        clearance_doubt_m=np.maximum(ground.clearance_doubt_m, np.nan_to_num(cover.clearance_doubt_m)),
        spare_m=np.where(sparer, cover.spare_m, ground.spare_m),
        spare_at_m=np.where(sparer, cover.spare_at_m, ground.spare_at_m),
        spare_doubt_m=np.maximum(ground.spare_doubt_m, np.nan_to_num(cover.spare_doubt_m)),
    )


def over_screens(lines: Lines, outlook: Outlook, rays: Rays) -> Lines:
    """Return the lines with what stands there: buildings first, then trees, then what is not measured."""
    surfaces = outlook.surfaces
    kinds = np.array([screen.kind is ScreenKind.TREES for screen in surfaces.screens], dtype=bool)
    for trees in (False, True):
        which = np.flatnonzero(kinds == trees)
        if len(which):
            before = lines.hidden
            lines = _over(lines, outlook, rays, which)
            lines = attrs.evolve(lines, thin=lines.hidden & ~before) if trees else lines
    if not surfaces.unmeasured:
        return lines
    unsure = met_over(outlook, surfaces.unmeasured, rays)
    # Only what is surely high enough leaves the line free.
    low = ~(unsure.clearance_m >= -TOUCH_M)
    return attrs.evolve(lines, unmeasured=np.where(low, unsure.clearance_screen, -1))


def met_over(outlook: Outlook, screens: tuple[Screen, ...], rays: Rays) -> Met:
    """Return how rays pass over screens on the outlook's ground."""
    window = outlook.ground

    def ground(x_m: Floats, y_m: Floats) -> Floats:
        return bilinear(window.heights_m, *window.place(x_m, y_m))

    return met_by(screens, rays, ground, outlook.surfaces.ground.cell_m(*rays.eye_xy))


def _over(lines: Lines, outlook: Outlook, rays: Rays, which: Ints) -> Lines:
    met = met_over(outlook, tuple(outlook.surfaces.screens[k] for k in which.tolist()), rays)
    flat_m = np.hypot(rays.x_m - rays.eye_xy[0], rays.y_m - rays.eye_xy[1])
    # Where the ground is not known a screen that hides still hides.
    lower = (met.clearance_m < lines.clearance_m) | (
        np.isnan(lines.clearance_m) & (met.clearance_screen >= 0)
    )
    sparer = (met.spare_m < lines.spare_m) | (np.isnan(lines.spare_m) & (met.clearance_screen >= 0))
    return attrs.evolve(
        lines,
        clearance_m=np.where(lower, met.clearance_m, lines.clearance_m),
        clearance_at_m=np.where(lower, met.clearance_share * flat_m, lines.clearance_at_m),
        spare_m=np.where(sparer, met.spare_m, lines.spare_m),
        spare_at_m=np.where(sparer, met.spare_share * flat_m, lines.spare_at_m),
        behind=np.where(lower, which[met.clearance_screen], lines.behind),
    )
