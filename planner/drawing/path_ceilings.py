"""How the planned line stands against ground and ceilings, cut exactly where it crosses them."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.ceiling.profile import SAME_HEIGHT_M, CeilingProfile
from planner.drawing.patterns import Pattern
from planner.track.track import Track

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def against_ceilings(track: Track, profile: CeilingProfile) -> Iterator[tuple[float, float, Pattern]]:
    """Yield the stretches [m] along the path on which ground or ceilings stand against it, in order.

    As the findings have it: above what the rules on height allow, in what is closed and under the ground it
    must change; in airspace that can be asked for, however high, it is to be asked for first.
    """
    planned = track.planned_amsl_m
    over_ceiling = planned - profile.ceiling_amsl_m - SAME_HEIGHT_M
    over_limit = planned - profile.ground_limit_amsl_m - SAME_HEIGHT_M
    under_ground = track.ground_amsl_m - planned - SAME_HEIGHT_M
    position = _cut_at_zeros(over_ceiling, over_limit, under_ground)
    sample = np.minimum(position.astype(np.int64), len(planned) - 1)

    def piece(excess: Floats) -> Floats:
        vertex = between(excess, position)
        return (vertex[:-1] + vertex[1:]) / 2

    patterns = _patterns(
        piece(over_ceiling),
        piece(over_limit),
        piece(under_ground),
        both_ends(profile.in_closed)[sample][:-1],
        both_ends(profile.in_unpermitted)[sample][:-1],
    )
    yield from _runs(between(track.distance_m, position), patterns)


def both_ends(sample_has: Bools) -> Bools:
    """Return, per sample, whether it and the next one have it; never the last."""
    joined = sample_has.copy()
    joined[:-1] &= sample_has[1:]
    joined[-1:] = False
    return joined


def between(values: Floats, position: Floats) -> Floats:
    """Return values at sample numbers with fractions; a whole number takes no neighbour in."""
    index = position.astype(np.int64)
    share = position - index
    following = values[np.minimum(index + 1, len(values) - 1)]
    here = values[index]
    with np.errstate(invalid="ignore"):
        # Beside a value without end there is none between.
        endless = np.isinf(here) | np.isinf(following)
        blend = np.where(endless, here + following, here + share * (following - here))
    return np.where(share > 0, blend, here)


def _patterns(
    over_ceiling: Floats, over_limit: Floats, under_ground: Floats, in_closed: Bools, in_unpermitted: Bools
) -> NDArray[np.int8]:
    patterns = np.full(len(over_ceiling), Pattern.CLEAR, dtype=np.int8)
    patterns[np.isnan(over_ceiling)] = Pattern.UNKNOWN
    patterns[(over_ceiling > 0) | in_unpermitted] = Pattern.ACT
    patterns[(over_limit > 0) | in_closed | (under_ground > 0)] = Pattern.STOP
    return patterns


def _cut_at_zeros(*excesses: Floats) -> Floats:
    """Return sample numbers, with fractions where any excess changes its sign."""
    cuts = [np.arange(len(excesses[0]), dtype=float)]
    for excess in excesses:
        before, after = excess[:-1], excess[1:]
        at = np.flatnonzero((before > 0) & (after < 0) | (before < 0) & (after > 0))
        cuts.append(at + before[at] / (before[at] - after[at]))
    return np.unique(np.concatenate(cuts))


def _runs(distance_m: Floats, patterns: NDArray[np.int8]) -> Iterator[tuple[float, float, Pattern]]:
    turns = np.flatnonzero(np.diff(patterns)) + 1
    for first, after in zip([0, *turns.tolist()], [*turns.tolist(), len(patterns)], strict=True):
        if first < after and patterns[first] != Pattern.CLEAR and distance_m[after] > distance_m[first]:
            yield float(distance_m[first]), float(distance_m[after]), Pattern(patterns[first])
