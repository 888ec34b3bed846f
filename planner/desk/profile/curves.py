"""The profile's lines as arrays in metres along and feet above sea level; no Qt."""

from enum import IntEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import CeilingProfile
from planner.desk.profile.binding_words import SAME_HEIGHT_M, can_ask
from planner.desk.profile.thinning import seen
from planner.track.track import Track
from planner.units import FOOT_M

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


_STRAIGHT_FT_PER_M = 1e-9
"""Slopes closer than this are one straight line: 0.1 ft apart after ten thousand samples of ten metres."""


class Standing(IntEnum):
    """How a piece of the planned line stands against the ceilings."""

    CLEAR = 0
    ASK = 1
    OVER = 2
    UNKNOWN = 3


@attrs.frozen(eq=False)
class PlannedLine:
    """The planned line, cut where it crosses a ceiling; all arrays (m,).

    `standing` of piece k is that from vertex k to k + 1; the last one closes
    the array. `uncertainty_ft` is one-sided.
    """

    distance_m: Floats
    height_ft: Floats
    uncertainty_ft: Floats
    standing: NDArray[np.int8]

    def joined(self, standing: Standing) -> Bools:
        """Return, per vertex, whether it is joined to the next in that standing."""
        return self.known_joined() & (self.standing == standing)

    def known_joined(self) -> Bools:
        """Return, per vertex, whether the height is known from it to the next."""
        return _both_ends(np.isfinite(self.height_ft))

    def has(self, standing: Standing) -> bool:
        """Whether any visible piece stands so."""
        lengths_m = np.diff(self.distance_m, append=self.distance_m[-1:])
        return bool(np.any(self.joined(standing) & (lengths_m > 0)))


@attrs.frozen(eq=False)
class ProfileCurves:
    """All lines of one profile, arrays (n,) on the track's axis, NaN unknown."""

    distance_m: Floats
    ground_ft: Floats
    ceiling_ft: Floats
    asked_ft: Floats
    ground_joined: Bools
    ceiling_joined: Bools
    asked_joined: Bools
    planned: PlannedLine

    @property
    def length_m(self) -> float:
        """Length of the path [m]."""
        return float(self.distance_m[-1])


def curves_of(track: Track, profile: CeilingProfile) -> ProfileCurves:
    """Return the lines to draw for a track and its ceilings."""
    ceiling_known = np.isfinite(profile.ceiling_amsl_m)
    asked = can_ask(profile)
    return ProfileCurves(
        distance_m=track.distance_m,
        ground_ft=track.ground_amsl_m / FOOT_M,
        ceiling_ft=profile.ceiling_amsl_m / FOOT_M,
        asked_ft=profile.requestable_amsl_m / FOOT_M,
        ground_joined=_both_ends(np.isfinite(track.ground_amsl_m)),
        ceiling_joined=_both_ends(ceiling_known),
        asked_joined=_both_ends(asked),
        planned=_planned_line(track, profile),
    )


def _both_ends(sample_has: Bools) -> Bools:
    joined = sample_has.copy()
    joined[:-1] &= sample_has[1:]
    joined[-1:] = False
    return joined


def _planned_line(track: Track, profile: CeilingProfile) -> PlannedLine:
    planned = track.planned_amsl_m
    over_ceiling = planned - profile.ceiling_amsl_m - SAME_HEIGHT_M
    over_asked = planned - profile.requestable_amsl_m - SAME_HEIGHT_M
    under_ground = track.ground_amsl_m - planned - SAME_HEIGHT_M
    position = _cut_at_zeros(over_ceiling, over_asked, under_ground)
    sample = np.minimum(position.astype(np.int64), len(planned) - 1)

    def piece(excess: Floats) -> Floats:
        vertex = _between(excess, position)
        return (vertex + np.append(vertex[1:], vertex[-1:])) / 2

    standing = _standing(
        piece(over_ceiling),
        piece(over_asked),
        piece(under_ground),
        _both_ends(profile.in_closed)[sample],
        _both_ends(profile.in_unpermitted)[sample],
    )
    distance_m = _between(track.distance_m, position)
    height_ft = _between(planned, position) / FOOT_M
    uncertainty_ft = _between(profile.uncertainty_m, position) / FOOT_M
    corner = _bends(distance_m, height_ft) | _bends(distance_m, uncertainty_ft)
    corner[1:] |= standing[1:] != standing[:-1]
    return PlannedLine(distance_m[corner], height_ft[corner], uncertainty_ft[corner], standing[corner])


def _bends(x: Floats, y: Floats) -> Bools:
    """Return where a line bends, begins, ends or has a gap; in between it is straight."""
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.diff(y) / np.diff(x)
        turn = np.abs(np.diff(slope))
    bends = np.ones(len(x), dtype=bool)
    # A NaN compares as a bend: beside gaps and jumps every vertex stays.
    bends[1:-1] = ~(turn <= _STRAIGHT_FT_PER_M)
    return bends


def _standing(
    over_ceiling: Floats, over_asked: Floats, under_ground: Floats, in_closed: Bools, in_unpermitted: Bools
) -> NDArray[np.int8]:
    standing = np.full(len(over_ceiling), Standing.CLEAR, dtype=np.int8)
    standing[np.isnan(over_ceiling)] = Standing.UNKNOWN
    above = over_ceiling > 0
    standing[above | in_unpermitted] = Standing.ASK
    standing[(over_asked > 0) | in_closed | (under_ground > 0)] = Standing.OVER
    return standing


def _cut_at_zeros(*excesses: Floats) -> Floats:
    """Return sample numbers, with fractions where any excess changes its sign."""
    whole = np.arange(len(excesses[0]), dtype=float)
    cuts = [whole]
    for excess in excesses:
        before, after = excess[:-1], excess[1:]
        at = np.flatnonzero((before > 0) & (after < 0) | (before < 0) & (after > 0))
        cuts.append(at + before[at] / (before[at] - after[at]))
    return np.unique(np.concatenate(cuts))


def _between(values: Floats, position: Floats) -> Floats:
    index = position.astype(np.int64)
    share = position - index
    following = values[np.minimum(index + 1, len(values) - 1)]
    here = values[index]
    return np.where(share > 0, here + share * (following - here), here)


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
            (line.height_ft - line.uncertainty_ft)[planned_seen],
            (line.height_ft + line.uncertainty_ft)[planned_seen],
        )
    )
    heights = heights[np.isfinite(heights)]
    return (float(heights.min()), float(heights.max())) if heights.size else None
