"""The profile's lines as arrays in metres along and feet above sea level; no Qt."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import CeilingProfile
from planner.desk.profile.thinning import seen
from planner.drawing.path_ceilings import between, both_ends
from planner.drawing.path_pattern import Stretch
from planner.drawing.patterns import Pattern
from planner.track.track import Track
from planner.units import FOOT_M

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


_STRAIGHT_FT_PER_M = 1e-9
"""Slopes closer than this are one straight line: 0.1 ft apart after ten thousand samples of ten metres."""


@attrs.frozen(eq=False)
class PlannedLine:
    """The planned line, cut where its pattern changes; all arrays (m,).

    `pattern` of piece k is that from vertex k to k + 1; the last one closes
    the array. `uncertainty_ft` is one-sided.
    """

    distance_m: Floats
    height_ft: Floats
    uncertainty_ft: Floats
    pattern: NDArray[np.int8]

    def joined(self, pattern: Pattern) -> Bools:
        """Return, per vertex, whether it is joined to the next in that pattern."""
        return self.known_joined() & (self.pattern == pattern)

    def known_joined(self) -> Bools:
        """Return, per vertex, whether the height is known from it to the next."""
        return both_ends(np.isfinite(self.height_ft))

    def has(self, pattern: Pattern) -> bool:
        """Whether any visible piece is drawn so."""
        lengths_m = np.diff(self.distance_m, append=self.distance_m[-1:])
        return bool(np.any(self.joined(pattern) & (lengths_m > 0)))


@attrs.frozen(eq=False)
class ProfileCurves:
    """All lines of one profile, arrays (n,) on the track's axis, NaN unknown.

    `open_ft`: up to where all is open where the ceiling waits for the authority's word; `flown_ft`: how
    high it is flown where that is not as planned.
    """

    distance_m: Floats
    ground_ft: Floats
    ceiling_ft: Floats
    asked_ft: Floats
    open_ft: Floats
    flown_ft: Floats
    ground_joined: Bools
    ceiling_joined: Bools
    asked_joined: Bools
    open_joined: Bools
    flown_joined: Bools
    planned: PlannedLine

    @property
    def length_m(self) -> float:
        """Length of the path [m]."""
        return float(self.distance_m[-1])


def curves_of(
    track: Track, profile: CeilingProfile, parts: Sequence[Stretch], flown_amsl_m: Floats | None = None
) -> ProfileCurves:
    """Return the lines to draw for a track, its ceilings and the patterns of its parts.

    `flown_amsl_m` is how high it is flown where that is not as planned (n,), NaN elsewhere.
    """
    open_m = beside_too(profile.open_below_amsl_m(track.ground_amsl_m))
    flown_m = np.full(len(track), np.nan) if flown_amsl_m is None else flown_amsl_m
    ceiling_known = np.isfinite(profile.ceiling_amsl_m)
    asked = profile.can_ask()
    return ProfileCurves(
        distance_m=track.distance_m,
        ground_ft=track.ground_amsl_m / FOOT_M,
        ceiling_ft=profile.ceiling_amsl_m / FOOT_M,
        asked_ft=profile.requestable_amsl_m / FOOT_M,
        open_ft=open_m / FOOT_M,
        flown_ft=flown_m / FOOT_M,
        ground_joined=both_ends(np.isfinite(track.ground_amsl_m)),
        ceiling_joined=both_ends(ceiling_known),
        asked_joined=both_ends(asked),
        open_joined=both_ends(np.isfinite(open_m)),
        flown_joined=both_ends(np.isfinite(flown_m)),
        planned=_planned_line(track, profile, parts),
    )


def beside_too(values: Floats) -> Floats:
    """Return values, and those of a neighbour where there are none: as far as hatches reach."""
    before, after = np.insert(values[:-1], 0, np.nan), np.append(values[1:], np.nan)
    return np.where(np.isfinite(values), values, np.where(np.isfinite(after), after, before))


def _planned_line(track: Track, profile: CeilingProfile, parts: Sequence[Stretch]) -> PlannedLine:
    position = _cut_at(track.distance_m, [part.from_m for part in parts])
    distance_m = between(track.distance_m, position)
    height_ft = between(track.planned_amsl_m, position) / FOOT_M
    uncertainty_ft = between(profile.uncertainty_m, position) / FOOT_M
    pattern = _pattern_after(distance_m, parts)
    corner = _bends(distance_m, height_ft) | _bends(distance_m, uncertainty_ft)
    corner[1:] |= pattern[1:] != pattern[:-1]
    return PlannedLine(distance_m[corner], height_ft[corner], uncertainty_ft[corner], pattern[corner])


def _cut_at(distance_m: Floats, at_m: Sequence[float]) -> Floats:
    """Return sample numbers, with fractions where the line is cut between two samples."""
    cuts = np.clip(np.asarray(at_m, dtype=float), distance_m[0], distance_m[-1])
    before = np.searchsorted(distance_m, cuts, "right") - 1
    after = np.minimum(before + 1, len(distance_m) - 1)
    length_m = distance_m[after] - distance_m[before]
    share = np.divide(cuts - distance_m[before], length_m, out=np.zeros(len(cuts)), where=length_m > 0)
    return np.unique(np.concatenate([np.arange(len(distance_m), dtype=float), before + share]))


def _pattern_after(distance_m: Floats, parts: Sequence[Stretch]) -> NDArray[np.int8]:
    if not parts:
        return np.full(len(distance_m), Pattern.UNKNOWN, dtype=np.int8)
    middle_m = (distance_m + np.append(distance_m[1:], distance_m[-1:])) / 2
    part = np.searchsorted([part.to_m for part in parts], middle_m)
    return np.array([part.pattern for part in parts], dtype=np.int8)[np.minimum(part, len(parts) - 1)]


def _bends(x: Floats, y: Floats) -> Bools:
    """Return where a line bends, begins, ends or has a gap; in between it is straight."""
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.diff(y) / np.diff(x)
        turn = np.abs(np.diff(slope))
    bends = np.ones(len(x), dtype=bool)
    # A NaN compares as a bend: beside gaps and jumps every vertex stays.
    bends[1:-1] = ~(turn <= _STRAIGHT_FT_PER_M)
    return bends


def unknown_stretches(distance_m: Floats, values: Floats) -> list[tuple[float, float]]:
    """Return the stretches [m] on which `values` is NaN, out to the next known sample."""
    unknown = np.isnan(values)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], unknown, [False])).astype(np.int8)))
    last = len(distance_m) - 1
    return [
        (float(distance_m[max(first - 1, 0)]), float(distance_m[min(after, last)]))
        for first, after in zip(edges[::2], edges[1::2], strict=True)
    ]


def height_range_ft(curves: ProfileCurves, from_m: float, to_m: float) -> tuple[float, float] | None:
    """Return the lowest and highest line between two distances [ft AMSL], None if all is unknown."""
    samples = seen(curves.distance_m, from_m, to_m)
    line = curves.planned
    planned_seen = seen(line.distance_m, from_m, to_m)
    asked = np.where(curves.asked_joined[samples], curves.asked_ft[samples], np.nan)
    heights = np.concatenate(
        (
            curves.ground_ft[samples],
            curves.ceiling_ft[samples],
            asked,
            curves.open_ft[samples],
            curves.flown_ft[samples],
            (line.height_ft - line.uncertainty_ft)[planned_seen],
            (line.height_ft + line.uncertainty_ft)[planned_seen],
        )
    )
    heights = heights[np.isfinite(heights)]
    return (float(heights.min()), float(heights.max())) if heights.size else None
