"""Legs, sampled wherever the ground's formula or what is mapped changes."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.track.leg import LegEnds, LegSamples
from planner.track.leg_lines import LegLines, Stretches, raster_lines, stretches_of
from planner.track.levels import Heights, LegShares, level_passages
from planner.track.mapped import Mapped
from planner.world.plane_terrain import GridPlaces, PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEGLIGIBLE_BOW_M = 0.004
_NEGLIGIBLE_DIP_M = 0.06
"""By so much the lowest ground about a place may lie under the line between two samples unseen."""
_SHORTEST_M = 0.5
_MOST_HALVINGS = 5


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
    work = _Sampling(lines, stretches, mapped.ground)
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
        """Return the heights at stops, with the raster's scale in the middle of those of each leg."""
        leg, ground_m = self.stretches.leg[stops.stretch], stops.at.ground_m
        lowest_m = ground_m
        if self.ground is not None:
            owner, middles = _middles(leg, self.lines.at(leg, stops.share))
            lowest_m = self.ground.lowest_about(stops.at, owner, middles)
        return Heights(ground_m, lowest_m, self.lines.planned_m(leg, stops.share, ground_m))

    def refined(self, stops: _Stops, heights: Heights) -> tuple[_Stops, Heights]:
        """Return stops with more between those where the lowest ground about them is not on one line.

        The lowest ground within the raster's error sideways leaps and bends where its lines don't: where a
        node comes into that disc or leaves it.
        """
        if self.ground is None or self.ground.terrain.horizontal_uncertainty_m <= 0.0:
            return stops, heights
        pieces = np.flatnonzero(stops.stretch[:-1] == stops.stretch[1:])
        for _ in range(_MOST_HALVINGS):
            long_m = self._long_m(stops, pieces)
            pieces = pieces[long_m > _SHORTEST_M]
            if not len(pieces):
                break
            share = (stops.share[pieces] + stops.share[pieces + 1]) / 2
            middle = self.measured(share, stops.stretch[pieces])
            found = self.heights(middle)
            with np.errstate(invalid="ignore"):
                chord_m = (heights.lowest_m[pieces] + heights.lowest_m[pieces + 1]) / 2
                off = np.flatnonzero(chord_m - found.lowest_m > _NEGLIGIBLE_DIP_M)
            if not len(off):
                break
            more, told = middle.taken(off), found.take(off)
            order = stops.order_with(more)
            heights, stops = heights.joined(told, order), stops.joined(more)
            new = np.flatnonzero(order >= len(order) - len(off))
            pieces = np.unique(np.concatenate([new - 1, new]))
        return stops, heights

    def _long_m(self, stops: _Stops, pieces: Ints) -> Floats:
        leg = self.stretches.leg[stops.stretch[pieces]]
        along_m = np.hypot(*(self.lines.end - self.lines.start).T)
        return np.asarray((stops.share[pieces + 1] - stops.share[pieces]) * along_m[leg])

    def heights_between(self, stops: _Stops, pieces: Ints) -> Heights:
        """Return the heights midway between stops `pieces` and the next ones.

        With the raster's scale in the middle of all such places of their leg.
        """
        leg = self.stretches.leg[stops.stretch]
        between = np.flatnonzero(np.isin(leg, leg[pieces])[:-1] & (leg[:-1] == leg[1:]))
        share = (stops.share[between] + stops.share[between + 1]) / 2
        asked = np.searchsorted(between, pieces)
        found = self.measured(share[asked], stops.stretch[pieces])
        lowest_m = found.at.ground_m
        if self.ground is not None:
            owner, middles = _middles(leg[between], self.lines.at(leg[between], share))
            lowest_m = self.ground.lowest_about(found.at, owner[asked], middles)
        planned_m = self.lines.planned_m(leg[pieces], found.share, found.at.ground_m)
        return Heights(found.at.ground_m, lowest_m, planned_m)


def _middles(leg: Ints, places: tuple[Floats, Floats]) -> tuple[Ints, tuple[Floats, Floats]]:
    """Return which number its leg has, for places in the order of legs, and the middle of each leg's."""
    new = np.ones(len(leg), dtype=bool)
    new[1:] = leg[1:] != leg[:-1]
    begins = np.flatnonzero(new)
    parts = [slice(*ends) for ends in zip(begins, [*begins[1:], len(leg)], strict=True)]
    # One by one: a sum of parts together would be rounded by what stands beside them.
    x_m, y_m = (np.array([axis[part].mean() for part in parts]) for axis in places)
    return np.cumsum(new) - 1, (x_m, y_m)


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
