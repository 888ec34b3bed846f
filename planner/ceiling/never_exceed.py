"""The figure on the readout never to be exceeded, leg by leg."""

import math
from collections.abc import Iterable
from enum import Enum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import Binding, CeilingProfile
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import ReadoutUnit
from planner.plan.model import Plan
from planner.track.track import Track
from planner.units import FOOT_M, SINGLE_M

Ints = NDArray[np.int64]

SPLIT_FALL_M = 100 * FOOT_M
"""A leg is split where its ceiling has changed by more than this."""

LEAST_PIECE_M = 100.0
"""No piece of a split leg is shorter: a figure has to be read before it changes."""

_SAME_M = 1e-6
_CLOSED = frozenset({Binding.NO_PERMISSION, Binding.CLOSED})
_FLOORS = frozenset({Binding.AIRSPACE_FLOOR, Binding.CLOSED})


class HeightUnit(Enum):
    """The unit of the pilot's readout; the value is its length [m]."""

    FEET = FOOT_M
    METRES = 1.0


_UNITS = {ReadoutUnit.FEET: HeightUnit.FEET, ReadoutUnit.METRES: HeightUnit.METRES}


class Standing(Enum):
    """Whether there is a figure, and if not, why."""

    KNOWN = "known"
    NOT_ALLOWED = "not-allowed"
    GROUND_UNKNOWN = "ground-unknown"
    LIMIT_UNKNOWN = "limit-unknown"
    LAUNCH_UNKNOWN = "launch-unknown"
    READOUT_UNKNOWN = "readout-unknown"


@attrs.frozen
class NeverExceed:
    """The highest figure for one leg, or for one piece of it.

    Parameters
    ----------
    leg : index of the leg, from zero.
    from_m, to_m : where it holds, along the path [m].
    figure : whole units above launch, None without one; `standing` says why.
    lowest_ceiling_amsl_m : what it rests on [m AMSL], NaN if unknown.
    """

    leg: int
    from_m: float
    to_m: float
    figure: int | None
    standing: Standing
    lowest_ceiling_amsl_m: float


def never_exceed(
    track: Track, profile: CeilingProfile, readout_error_m: float | None, unit: HeightUnit
) -> tuple[NeverExceed, ...]:
    """Return the figures never to exceed, in the order flown, as the readout shows them: above launch.

    Each is the lowest ceiling of its piece above the launch point, less the
    readout's error, rounded down to a whole unit; of the floor of an airspace,
    which belongs to it, to a unit under it. It holds only as long as
    the readout's zero is the launch point: whoever arms elsewhere starts a
    new zero.

    Notes
    -----
    A leg is one piece while its ceilings differ by no more than 100 ft.
    Otherwise a new piece begins wherever the ceiling has changed by more than
    that since the last piece began, but no piece is shorter than 100 m (of a
    leg shorter than 200 m: no shorter than half of it); what is left over at
    its end belongs to the piece before. Neighbours with the
    same lowest ceiling are one piece. Where any ceiling is
    not known, the piece has no figure; likewise where nothing is allowed
    without a permission that is not on record.
    """
    legs = range(len(track.point_sample) - 1)
    return tuple(
        figure for leg in legs for figure in figures_of_leg(track, profile, leg, readout_error_m, unit)
    )


def figures_of_leg(
    track: Track, profile: CeilingProfile, leg: int, readout_error_m: float | None, unit: HeightUnit
) -> tuple[NeverExceed, ...]:
    """Return the figures of one leg, in the order flown."""
    samples = np.arange(*np.searchsorted(track.leg, (leg, leg + 1)))
    pieces = _pieces(samples, track, profile)
    return tuple(
        _figure(track, profile, piece, readout_error_m, unit)
        for piece in _without_idle_splits(profile, pieces)
    )


def figures_meeting(
    track: Track, profile: CeilingProfile, point: int, readout_error_m: float | None, unit: HeightUnit
) -> tuple[NeverExceed, ...]:
    """Return the figures that hold at a point of the path: the last before it and the first after it."""
    before = figures_of_leg(track, profile, point - 1, readout_error_m, unit)[-1:] if point > 0 else ()
    legs = len(track.point_sample) - 1
    after = figures_of_leg(track, profile, point, readout_error_m, unit)[:1] if point < legs else ()
    return (*before, *after)


def samples_of(track: Track, piece: NeverExceed) -> Ints:
    """Return the samples of a piece, those at both its ends with it."""
    on_leg = track.leg == piece.leg
    on_leg[track.point_sample[piece.leg : piece.leg + 2]] = True
    along = (track.distance_m >= piece.from_m) & (track.distance_m <= piece.to_m)
    return np.flatnonzero(on_leg & along)


def units_over(track: Track, figures: Iterable[NeverExceed], unit: HeightUnit) -> Ints:
    """Return by how much the readout shows more than the figure of its piece, per sample; 0 or less: not.

    The planned height counts to the nearest unit, as the readout shows it.
    """
    above_m = track.planned_amsl_m - track.launch_ground_amsl_m
    over = np.zeros(len(above_m), dtype=np.int64)
    shown = np.where(np.isfinite(above_m), np.round(above_m / unit.value), 0.0).astype(np.int64)
    for piece in figures:
        if piece.figure is not None:
            here = samples_of(track, piece)
            over[here] = np.maximum(over[here], shown[here] - piece.figure)
    return over


def planned_over(
    track: Track, profile: CeilingProfile, figures: Iterable[NeverExceed], unit: HeightUnit
) -> tuple[NeverExceed, ...]:
    """Return the pieces that are lawful all along, but planned above their figure.

    Where the plan comes above the ceiling, it is the plan that is wrong.
    """
    with np.errstate(invalid="ignore"):
        above = track.planned_amsl_m > profile.ceiling_amsl_m + TOLERANCE_M
    return tuple(
        piece
        for piece in figures
        if not above[samples_of(track, piece)].any() and units_over(track, (piece,), unit).max() > 0
    )


def readout_unit(plan: Plan) -> HeightUnit:
    """Return the unit of the pilot's readout; feet where none is stated."""
    readout = plan.aircraft.readout if plan.aircraft else None
    return _UNITS[readout.unit] if readout is not None and readout.unit is not None else HeightUnit.FEET


def shown_above_launch(track: Track, unit: HeightUnit) -> tuple[int | None, ...]:
    """Return the height of each path point as the readout shows it, to the nearest unit; None if unknown."""
    above_m = track.planned_amsl_m[track.point_sample] - track.launch_ground_amsl_m
    return tuple(round(height / unit.value) if math.isfinite(height) else None for height in above_m.tolist())


def _pieces(samples: Ints, track: Track, profile: CeilingProfile) -> list[Ints]:
    """Return the pieces of a leg as samples.

    Neighbours share a sample, except at a jump: that has one on either side.
    """
    distance_m, ceiling_m = track.distance_m[samples], profile.ceiling_amsl_m[samples]
    least_m = min(LEAST_PIECE_M, float(distance_m[-1] - distance_m[0]) / 2)
    starts, ends = [0], []
    low = high = float(ceiling_m[0])
    for sample in range(1, len(ceiling_m)):
        here = float(ceiling_m[sample])
        changed = max(high, here) - min(low, here) > SPLIT_FALL_M or math.isnan(here) != math.isnan(low)
        if changed and distance_m[sample - 1] - distance_m[starts[-1]] >= least_m:
            jumps = distance_m[sample] <= distance_m[sample - 1]
            ends.append(sample - 1)
            starts.append(sample if jumps else sample - 1)
            low = high = float(ceiling_m[starts[-1]])
        low, high = min(low, here), max(high, here)
    if ends and distance_m[-1] - distance_m[starts[-1]] < least_m:
        starts.pop()
        ends.pop()
    ends.append(len(ceiling_m) - 1)
    return [samples[first : last + 1] for first, last in zip(starts, ends, strict=True)]


def _without_idle_splits(profile: CeilingProfile, pieces: list[Ints]) -> list[Ints]:
    """Join neighbours whose lowest ceiling is the same: a split that changes no figure helps nobody."""
    joined = pieces[:1]
    for piece in pieces[1:]:
        lowest = [float(profile.ceiling_amsl_m[part].min()) for part in (joined[-1], piece)]
        if np.isclose(lowest[0], lowest[1], rtol=0.0, atol=_SAME_M, equal_nan=True):
            joined[-1] = np.arange(joined[-1][0], piece[-1] + 1)
        else:
            joined.append(piece)
    return joined


def _figure(
    track: Track,
    profile: CeilingProfile,
    samples: Ints,
    readout_error_m: float | None,
    unit: HeightUnit,
) -> NeverExceed:
    lowest_m = float(np.min(profile.ceiling_amsl_m[samples]))
    standing = _standing(track, profile, samples, readout_error_m, lowest_m)
    figure = None
    if standing is Standing.KNOWN:
        units = (lowest_m - track.launch_ground_amsl_m) / unit.value
        reached = not _at_a_floor(profile, samples, lowest_m)
        error = (readout_error_m or 0.0) / unit.value
        figure = _whole(units, SINGLE_M / unit.value, reached=reached, error=error)
    return NeverExceed(
        leg=int(track.leg[samples[0]]),
        from_m=float(track.distance_m[samples[0]]),
        to_m=float(track.distance_m[samples[-1]]),
        figure=figure,
        standing=standing,
        lowest_ceiling_amsl_m=lowest_m,
    )


def _whole(units: float, single: float, *, reached: bool, error: float) -> int:
    """Return the highest whole figure up to a number less an error, or under it where it may not be reached.

    Both heights that the number comes from may be off by what single precision takes: `single`. The readout's
    error is as it was stated.
    """
    near = round(units)
    at_most = (near if abs(units - near) <= single else units) - error
    return math.floor(at_most + _SAME_M) if reached else math.ceil(at_most - _SAME_M) - 1


def _at_a_floor(profile: CeilingProfile, samples: Ints, lowest_m: float) -> bool:
    """Whether the floor of an airspace sets the lowest ceiling: the floor itself is inside."""
    lowest = samples[profile.ceiling_amsl_m[samples] <= lowest_m + _SAME_M]
    return any(profile.binding[sample] in _FLOORS for sample in lowest.tolist())


def _room(track: Track, profile: CeilingProfile, sample: int) -> bool:
    """Whether anything is left between the ground and the ceiling."""
    return bool(profile.ceiling_amsl_m[sample] > track.ground_amsl_m[sample] + _SAME_M)


def _standing(
    track: Track,
    profile: CeilingProfile,
    samples: Ints,
    readout_error_m: float | None,
    lowest_m: float,
) -> Standing:
    if math.isnan(lowest_m):
        blind = np.isnan(track.ground_amsl_m[samples]).any()
        return Standing.GROUND_UNKNOWN if blind else Standing.LIMIT_UNKNOWN
    if math.isnan(track.launch_ground_amsl_m):
        return Standing.LAUNCH_UNKNOWN
    # Closed airspace also sets a ceiling from above, as its floor: under that one may fly.
    if any(profile.binding[k] in _CLOSED and not _room(track, profile, k) for k in samples.tolist()):
        return Standing.NOT_ALLOWED
    return Standing.READOUT_UNKNOWN if readout_error_m is None else Standing.KNOWN
