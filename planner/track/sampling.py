"""Legs, sampled wherever the ground's formula or what is mapped changes."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.track.leg import LegEnds, LegSamples
from planner.track.leg_lines import LegLines, Stretches, raster_lines, stretches_of
from planner.track.levels import Heights, LegShares, level_passages
from planner.track.lowest_between import Ways, deepest_dips
from planner.track.mapped import Mapped
from planner.world.plane_terrain import Disc, GridPlaces, PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEGLIGIBLE_BOW_M = 0.004
_NEGLIGIBLE_DIP_M = 0.06
"""By so much the lowest ground about a place may lie under the line between two samples unseen."""
_NEGLIGIBLE_FOLLOWED_M = 0.03
"""By so much a height that follows the ground may be greater over it than at the samples before and after."""
_MOST_ROUNDS = 40
"""Far more than any ground needs; each round leaves the pieces that are right alone."""


def sample_legs(ends: Sequence[LegEnds], mapped: Mapped) -> list[LegSamples]:
    """Return the samples of some legs; those of each are the same whatever is sampled together with it.

    Between two samples of one stretch the ground is one quadratic (bilinear
    cells under a straight line), no extremum of ground against a straight
    planned line, or of a planned height that follows the ground, lies between
    them by more than 1 mm, and no floor or top of airspace is passed.
    `length_m` is the 3D length flown from the leg's start; where the ground
    is unknown only its horizontal part is.
    """
    if not ends:
        return []
    lines = LegLines.of(ends)
    stretches = stretches_of(lines, mapped.outlines)
    work = _Sampling.of(lines, stretches, mapped.ground)
    stops = work.with_extrema(work.stops(*raster_lines(lines, mapped.ground)))
    stops, heights = work.refined(stops, work.heights(stops))
    passing = level_passages(
        LegShares(stops.share, stops.stretch, stretches.inside),
        mapped.levels,
        heights,
        lambda pieces: work.heights_between(stops, pieces),
    )
    if len(passing[0]):
        order = np.argsort(stretches.leg[passing[1]], kind="stable")
        more = work.measured(passing[0][order], passing[1][order])
        heights = heights.joined(work.heights(more), stops.order_with(more))
        stops = stops.joined(more)
    return _parted(lines, stretches, stops, heights, mapped)


@attrs.frozen(eq=False)
class _Stops:
    """Places along legs, arrays (n,): share, stretch, and what the raster says there."""

    share: Floats
    stretch: Ints
    at: GridPlaces

    def order_with(self, other: "_Stops") -> Ints:
        """Return in which order these and others lie along the legs."""
        return np.lexsort(
            (np.concatenate([self.share, other.share]), np.concatenate([self.stretch, other.stretch]))
        )

    def taken(self, which: Ints) -> "_Stops":
        """Return some of these."""
        at = GridPlaces(self.at.column[which], self.at.row[which], self.at.ground_m[which])
        return _Stops(self.share[which], self.stretch[which], at)

    def joined(self, other: "_Stops") -> "_Stops":
        """Return these and others, in their order along the legs."""
        order = self.order_with(other)
        return _Stops(
            np.concatenate([self.share, other.share])[order],
            np.concatenate([self.stretch, other.stretch])[order],
            self.at.joined(other.at, order),
        )


@attrs.frozen(eq=False)
class _Sampling:
    lines: LegLines
    stretches: Stretches
    ground: PlaneTerrain | None
    disc: Disc | None
    """The disc of the raster's error sideways about places on each leg; None without one."""

    @classmethod
    def of(cls, lines: LegLines, stretches: Stretches, ground: PlaneTerrain | None) -> "_Sampling":
        """Return the sampling of legs, with the raster's scale in the middle of each."""
        if ground is None or ground.terrain.horizontal_uncertainty_m <= 0.0:
            return cls(lines, stretches, ground, None)
        every = np.arange(len(lines))
        middles = lines.at(every, np.full(len(every), 0.5))
        return cls(lines, stretches, ground, ground.disc_at(*middles))

    def measured(self, share: Floats, stretch: Ints) -> _Stops:
        """Return stops with what the raster says there."""
        if self.ground is None:
            unknown = np.full(share.shape, np.nan)
            return _Stops(share, stretch, GridPlaces(unknown, unknown, unknown))
        places = self.ground.grid(*self.lines.at(self.stretches.leg[stretch], share))
        return _Stops(share, stretch, GridPlaces(*places, self.ground.terrain.at_grid(*places)))

    def stops(self, leg: Ints, share: Floats) -> _Stops:
        """Return the ends of all stretches, and shares of some legs between them."""
        every = np.arange(len(self.stretches.leg))
        share = np.concatenate([self.stretches.first, self.stretches.last, share])
        stretch = np.concatenate([every, every, self.stretches.holding(leg, share[2 * len(every) :])])
        order = np.lexsort((share, stretch))
        return self.measured(share[order], stretch[order])

    def with_extrema(self, stops: _Stops) -> _Stops:
        """Return stops with those added at which height has an extremum between two of them."""
        if self.ground is None:
            return stops
        begins = np.flatnonzero(stops.stretch[:-1] == stops.stretch[1:])
        first, last, owner = stops.share[begins], stops.share[begins + 1], stops.stretch[begins]
        at_first, at_last = stops.at.ground_m[begins], stops.at.ground_m[begins + 1]
        leg = self.stretches.leg[owner]
        at_middle = self.ground.ground(*self.lines.at(leg, (first + last) / 2))
        bow = 2 * at_first + 2 * at_last - 4 * at_middle
        lean = 4 * at_middle - 3 * at_first - at_last
        climb = self.lines.slope_met()[leg] * (last - first)
        with np.errstate(invalid="ignore"):
            bent = np.abs(bow) > _NEGLIGIBLE_BOW_M
            inner = np.where(bent, (climb - lean) / np.where(bent, 2 * bow, 1.0), np.nan)
            found = (inner > 0.0) & (inner < 1.0)
        if not found.any():
            return stops
        extrema = (first + (last - first) * np.where(found, inner, 0.0))[found]
        return stops.joined(self.measured(extrema, owner[found]))

    def heights(self, stops: _Stops) -> Heights:
        """Return the heights at stops."""
        leg, ground_m = self.stretches.leg[stops.stretch], stops.at.ground_m
        lowest_m = ground_m
        if self.ground is not None and self.disc is not None:
            lowest_m = self.ground.lowest_about(stops.at, self.disc.of(leg))
        return Heights(ground_m, lowest_m, self.lines.planned_m(leg, stops.share, ground_m))

    def refined(self, stops: _Stops, heights: Heights) -> tuple[_Stops, Heights]:
        """Return stops with more between those where the lowest ground about them lies under the line.

        Until it does so nowhere by more than `_NEGLIGIBLE_DIP_M`.
        """
        if self.ground is None or self.disc is None:
            return stops, heights
        pieces = np.arange(len(stops.share) - 1)
        for _ in range(_MOST_ROUNDS):
            pieces = self._known(stops, heights, pieces)
            ways = self._ways(stops, heights, pieces, self.disc)
            dips = deepest_dips(self.ground, ways, _NEGLIGIBLE_DIP_M)
            bows, tops = self._bows(stops, heights, pieces)
            first, inner = np.concatenate([pieces[dips.way], bows]), np.concatenate([dips.share, tops])
            if not len(first):
                break
            share = stops.share[first] + inner * (stops.share[first + 1] - stops.share[first])
            more = self.measured(share, stops.stretch[first])
            order = stops.order_with(more)
            heights, stops = heights.joined(self.heights(more), order), stops.joined(more)
            new = np.flatnonzero(order >= len(order) - len(first))
            pieces = np.unique(np.concatenate([new - 1, new]))
        return stops, heights

    def _known(self, stops: _Stops, heights: Heights, pieces: Ints) -> Ints:
        """Return those of pieces that lead on, and over ground that is known at both ends."""
        known = np.isfinite(heights.lowest_m)
        kept = (stops.stretch[pieces] == stops.stretch[pieces + 1]) & known[pieces] & known[pieces + 1]
        kept &= stops.share[pieces] < stops.share[pieces + 1]
        return np.asarray(pieces[kept])

    def _bows(self, stops: _Stops, heights: Heights, pieces: Ints) -> tuple[Ints, Floats]:
        """Return pieces that follow ground which bows up, and the share at which they are highest over it.

        Over the lowest ground about them, that is, and higher than at both ends.
        """
        pieces = pieces[~self.lines.straight[self.stretches.leg[stops.stretch[pieces]]]]
        if not len(pieces):
            return pieces, np.empty(0)
        share = (stops.share[pieces] + stops.share[pieces + 1]) / 2
        middle_m = self.measured(share, stops.stretch[pieces]).at.ground_m
        bow_m = 4 * middle_m - 2 * (stops.at.ground_m[pieces] + stops.at.ground_m[pieces + 1])
        over_m = heights.planned_m - heights.lowest_m
        rise_m = over_m[pieces + 1] - over_m[pieces]
        with np.errstate(invalid="ignore", divide="ignore"):
            missed_m = (bow_m - np.abs(rise_m)) ** 2 / (4 * bow_m)
            bowed = (bow_m > np.abs(rise_m)) & (missed_m > _NEGLIGIBLE_FOLLOWED_M)
        return pieces[bowed], 0.5 + rise_m[bowed] / (2 * bow_m[bowed])

    def _ways(self, stops: _Stops, heights: Heights, pieces: Ints, disc: Disc) -> Ways:
        ends = np.stack([pieces, pieces + 1])
        leg = self.stretches.leg[stops.stretch[pieces]]
        return Ways(stops.at.column[ends], stops.at.row[ends], heights.lowest_m[ends], disc, leg)

    def heights_between(self, stops: _Stops, pieces: Ints) -> Heights:
        """Return the heights midway between stops `pieces` and the next ones."""
        share = (stops.share[pieces] + stops.share[pieces + 1]) / 2
        return self.heights(self.measured(share, stops.stretch[pieces]))


def _parted(
    lines: LegLines, stretches: Stretches, stops: _Stops, heights: Heights, mapped: Mapped
) -> list[LegSamples]:
    leg = stretches.leg[stops.stretch]
    x_m, y_m = lines.at(leg, stops.share)
    lon_deg, lat_deg = mapped.frame.inverse(x_m, y_m)
    climb = np.nan_to_num(np.diff(heights.planned_m), nan=0.0)
    steps = np.sqrt(np.diff(x_m) ** 2 + np.diff(y_m) ** 2 + climb**2)
    every = np.arange(len(lines) + 1)
    ends, stretch_ends = np.searchsorted(leg, every), np.searchsorted(stretches.leg, every)
    found = []
    for k in range(len(lines)):
        own, cut = slice(ends[k], ends[k + 1]), slice(stretch_ends[k], stretch_ends[k + 1])
        # Copies: a leg that is kept must not keep all that were sampled together with it.
        found.append(
            LegSamples(
                share=stops.share[own].copy(),
                stretch=stops.stretch[own] - stretch_ends[k],
                inside=stretches.inside[cut].copy(),
                x_m=x_m[own].copy(),
                y_m=y_m[own].copy(),
                lon_deg=lon_deg[own].copy(),
                lat_deg=lat_deg[own].copy(),
                ground_m=heights.ground_m[own].copy(),
                lowest_m=heights.lowest_m[own].copy(),
                planned_m=heights.planned_m[own].copy(),
                length_m=np.concatenate([[0.0], np.cumsum(steps[ends[k] : ends[k + 1] - 1])]),
            )
        )
    return found
