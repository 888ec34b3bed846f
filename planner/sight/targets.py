"""Points of the track to look at, closer together than its samples where those lie far apart."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.lines import Targets
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

SPACING_M = 10.0
_STRAIGHT_WITHIN_M = 0.001


@attrs.frozen(eq=False)
class FineTargets:
    """Targets: first the track's samples, then points between them.

    `before` and `after` are the samples on both sides of each point between.
    """

    targets: Targets
    samples: int
    before: Ints
    after: Ints

    @property
    def own(self) -> slice:
        """The track's own samples among the targets."""
        return slice(0, self.samples)

    def any(self, mask: Mask) -> Mask:
        """Return, per sample, whether it or a point beside it is marked."""
        result = mask[self.own].copy()
        between = mask[self.samples :]
        result[self.before[between]] = True
        result[self.after[between]] = True
        return result

    def least(self, values: Floats) -> Floats:
        """Return, per sample, the least of it and the points beside it; NaN if any is."""
        result = values[self.own].copy()
        with np.errstate(invalid="ignore"):
            for side in (self.before, self.after):
                np.minimum.at(result, side, values[self.samples :])
        return result

    def of_least(self, values: Floats, labels: Ints) -> Ints:
        """Return, per sample, the label of the least of it and the points beside it."""
        result, least = labels[self.own].copy(), np.nan_to_num(values[self.own], nan=np.inf)
        for side in (self.before, self.after):
            order = np.argsort(-np.nan_to_num(values[self.samples :], nan=np.inf), kind="stable")
            # The least is written last.
            candidate, label = np.full(len(least), np.inf), np.full(len(least), -1)
            candidate[side[order]] = np.nan_to_num(values[self.samples :], nan=np.inf)[order]
            label[side[order]] = labels[self.samples :][order]
            lower = candidate < least
            result[lower], least[lower] = label[lower], candidate[lower]
        return result

    def any_of(self, labels: Ints) -> Ints:
        """Return, per sample, a label of it or of a point beside it; -1 where none has one."""
        result = labels[self.own].copy()
        for side in (self.before, self.after):
            np.maximum.at(result, side, labels[self.samples :])
        return result

    def greatest(self, values: Floats) -> Floats:
        """Return, per sample, the greatest of it and the points beside it; NaN if any is."""
        return -self.least(-values)


def fine_targets(track: Track, ground: PlaneTerrain | None, spacing_m: float = SPACING_M) -> FineTargets:
    """Return the track's samples and points so that no two neighbours are farther apart."""
    gap_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    extra = np.maximum(np.ceil(gap_m / spacing_m).astype(np.int64) - 1, 0)
    before = np.repeat(np.arange(len(extra)), extra)
    rank = np.arange(len(before)) - np.repeat(np.cumsum(extra) - extra, extra) + 1
    share = rank / (extra[before] + 1)

    def between(values: Floats) -> Floats:
        return np.asarray(values[before] + (values[before + 1] - values[before]) * share)

    x_m, y_m = between(track.x_m), between(track.y_m)
    ground_m = ground.ground(x_m, y_m) if ground and len(before) else np.full(len(before), np.nan)
    follows = ~_straight(track)[track.leg[before]]
    planned_m = np.where(follows, ground_m + between(track.planned_agl_m), between(track.planned_amsl_m))
    targets = Targets(
        np.concatenate([track.x_m, x_m]),
        np.concatenate([track.y_m, y_m]),
        np.concatenate([track.planned_amsl_m, planned_m]),
        np.concatenate([track.ground_amsl_m, ground_m]),
    )
    return FineTargets(targets, len(track), before, before + 1)


def _straight(track: Track) -> Mask:
    """Return, per leg, whether its planned heights lie on one straight line."""
    legs = int(track.leg[-1]) + 1
    first = np.searchsorted(track.leg, np.arange(legs), side="left")
    last = np.searchsorted(track.leg, np.arange(legs), side="right") - 1
    start_m, end_m = track.planned_amsl_m[first], track.planned_amsl_m[last]
    line_m = start_m[track.leg] + (end_m - start_m)[track.leg] * track.fraction
    bent = np.abs(track.planned_amsl_m - line_m) > _STRAIGHT_WITHIN_M
    straight = np.ones(legs, dtype=bool)
    straight[track.leg[bent]] = False
    return straight
