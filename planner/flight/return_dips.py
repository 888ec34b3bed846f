"""Where the lowest ground within a survey's error lies between two places of a return at which it was asked.

A node of the raster counts only while it is within the disc, and beside a narrow pit ground falls by metres
a metre: no spacing of places is enough. What lies between two places is known (`track.lowest_between`).
"""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.track.lowest_between import Ways, deepest_dips
from planner.world.plane_terrain import Disc, GridPlaces, PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

NEGLIGIBLE_M: Final = 0.02
"""By so much the lowest ground may lie under what is found, unseen."""
_MOST: Final = 10_000
"""So many pieces of way are looked at, the deepest first."""
_BESIDE_M: Final = np.array([-0.03, -0.005, 0.0, 0.005, 0.03])
"""So far to either side of where a node comes into the disc: each way to reckon that leaves it some mm."""


@attrs.frozen(eq=False)
class Steps:
    """Pieces of ways from one place to the next: shares of a way's straight line, arrays (2, n).

    `owner` (n,) says of which way, whose ends in the plane are `ends` (rows, 2) each [m]; `bound_m` how low
    ground within the error can be at all there, `found_m` what was found nearest to that already [m AMSL].
    """

    share: Floats
    owner: Ints
    ends: tuple[Floats, Floats]
    bound_m: Floats
    found_m: Floats

    def of(self, which: Ints) -> "Steps":
        """Return some of these."""
        return Steps(
            self.share[:, which], self.owner[which], self.ends, self.bound_m[which], self.found_m[which]
        )

    def at(self, share: Floats, which: Ints) -> tuple[Floats, Floats]:
        """Return the places of the plane at shares of the ways of some of these."""
        own = self.owner[which]
        x_m, y_m = (axis[own, 0] + (axis[own, 1] - axis[own, 0]) * share for axis in self.ends)
        return x_m, y_m


def lower_between(ground: PlaneTerrain, steps: Steps) -> tuple[Ints, Floats, Floats]:
    """Return where ground lies lower than what was found: the step's index, the way's share, and that ground.

    More than `NEGLIGIBLE_M` lower; one place for each piece of a step between two raster lines.
    """
    kept = np.flatnonzero(steps.bound_m < steps.found_m - NEGLIGIBLE_M)
    if ground.terrain.horizontal_uncertainty_m <= 0.0 or not len(kept):
        return np.empty(0, dtype=np.int64), np.empty(0), np.empty(0)
    if len(kept) > _MOST:
        kept = np.sort(kept[np.argpartition((steps.bound_m - steps.found_m)[kept], _MOST)[:_MOST]])
    which, share, column, row = _cut(ground, steps, kept)
    disc = ground.disc_at(*(np.array([axis.mean()]) for axis in steps.ends))
    lowest_m = _lowest(ground, disc, column, row)
    line_m = np.fmin(lowest_m.min(axis=0), steps.found_m[which])
    known = np.flatnonzero(np.isfinite(lowest_m).all(axis=0))
    ways = Ways(
        column[:, known],
        row[:, known],
        np.stack([line_m[known]] * 2),
        disc,
        np.zeros(len(known), dtype=np.int64),
    )
    dips = deepest_dips(ground, ways, NEGLIGIBLE_M)
    found = known[dips.way]
    at = share[0, found] + (share[1, found] - share[0, found]) * dips.share
    # Where a piece begins or ends it may be lower, too.
    lower = np.argmin(lowest_m, axis=0)
    ends = np.flatnonzero(line_m < steps.found_m[which] - NEGLIGIBLE_M)
    return _nearest(
        ground,
        steps,
        np.concatenate([which[found], which[ends]]),
        np.concatenate([at, share[lower[ends], ends]]),
    )


def _cut(ground: PlaneTerrain, steps: Steps, kept: Ints) -> tuple[Ints, Floats, Floats, Floats]:
    """Return steps cut at raster lines: which, and shares, columns and rows (2, m) of both ends."""
    fit = GridFit.over(ground, *(axis.ravel() for axis in steps.ends))
    begin, end = (fit(*steps.at(steps.share[k, kept], kept)) for k in (0, 1))
    parts = int(max(np.ceil(np.abs(b - a).max()) for a, b in zip(begin, end, strict=True)))
    inner = [np.repeat(np.linspace(0.0, 1.0, max(parts, 1) + 1)[:, None], len(kept), axis=1)]
    for first, last in zip(begin, end, strict=True):
        for k in range(1, parts + 1):
            # The k-th raster line on the way.
            up = last >= first
            line = np.where(up, np.floor(first) + k, np.ceil(first) - k)
            with np.errstate(invalid="ignore", divide="ignore"):
                share = (line - first) / (last - first)
            inner.append(np.where((share > 0.0) & (share < 1.0), share, 1.0)[None])
    stops = np.sort(np.concatenate(inner), axis=0)
    from_, to = stops[:-1].ravel(), stops[1:].ravel()
    long = np.flatnonzero(to > from_)
    nth = np.tile(np.arange(len(kept)), len(stops) - 1)[long]
    both = np.stack([from_[long], to[long]])
    column, row = (first[nth] + (last - first)[nth] * both for first, last in zip(begin, end, strict=True))
    of = kept[nth]
    share = steps.share[0, of] + (steps.share[1, of] - steps.share[0, of]) * both
    return of, share, column, row


def _lowest(ground: PlaneTerrain, disc: Disc, column: Floats, row: Floats) -> Floats:
    places = GridPlaces(column.ravel(), row.ravel(), ground.terrain.at_grid(column.ravel(), row.ravel()))
    return ground.lowest_about(places, disc).reshape(column.shape)


def _nearest(ground: PlaneTerrain, steps: Steps, which: Ints, share: Floats) -> tuple[Ints, Floats, Floats]:
    """Return the lowest of places close beside some shares, by the ground as it is asked anywhere."""
    if not len(which):
        return which, share, share
    own = steps.owner[which]
    length_m = np.hypot(*(axis[own, 1] - axis[own, 0] for axis in steps.ends))
    beside = np.clip(share + _BESIDE_M[:, None] / np.maximum(length_m, 1e-9), 0.0, 1.0)
    places = np.stack(steps.at(beside, which))
    low_m = ground.lowest(places[0].ravel(), places[1].ravel()).reshape(beside.shape)
    best = np.argmin(np.nan_to_num(low_m, nan=-np.inf), axis=0)
    nth = np.arange(len(which))
    return which, beside[best, nth], low_m[best, nth]
