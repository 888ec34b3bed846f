"""The ceiling as a soft stop: a height pulled past it catches first, then goes through; no Qt."""

import math
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.never_exceed import figures_meeting, readout_unit
from planner.desk.profile.heights import zero_amsl_m
from planner.desk.saying import limit_words, planned_words, whole_m
from planner.track.track import Track
from planner.wording import UNKNOWN

CATCH_PX: Final = 14.0
"""How far a hand goes on before the height follows again: own choice."""
_SAME_M = 1e-6


@attrs.frozen
class SoftStop:
    """Where a height catches, on the side from which the pull began.

    Parameters
    ----------
    limit_m : the height at which it catches [m AMSL], NaN for none.
    begins_above : whether the pull began above it.
    """

    limit_m: float
    begins_above: bool = False

    @classmethod
    def from_height(cls, limit_m: float, begin_m: float) -> "SoftStop":
        """Return the stop for a pull that begins at a height [m AMSL]."""
        return cls(limit_m, begin_m > limit_m + _SAME_M)

    def height_m(self, pulled_m: float, m_per_px: float) -> float:
        """Return the height [m AMSL] for where the hand is [m AMSL].

        It never jumps: past the stop it lags behind the hand by `CATCH_PX`.
        """
        if math.isnan(self.limit_m):
            return pulled_m
        catch_m = CATCH_PX * m_per_px
        if self.begins_above:
            return max(pulled_m, min(self.limit_m, pulled_m + catch_m))
        return min(pulled_m, max(self.limit_m, pulled_m - catch_m))

    def holds(self, height_m: float) -> bool:
        """Whether a height [m AMSL] lies at the stop."""
        return abs(height_m - self.limit_m) < _SAME_M


def ceiling_at(assessment: Assessment, index: int) -> float:
    """Return the lowest ceiling at a point of the path [m AMSL], NaN where unknown or without one."""
    track, profile = assessment.track, assessment.profile
    if track is None or profile is None:
        return math.nan
    return float(np.min(profile.ceiling_amsl_m[_samples_at(track, index)]))


def _samples_at(track: Track, index: int) -> NDArray[np.int64]:
    sample = int(track.point_sample[index])
    here = track.distance_m == track.distance_m[sample]
    # Where the length of the path is not known its samples can't be told by it.
    here[sample] = True
    return np.flatnonzero(here)


def _kept_m(assessment: Assessment, index: int, ceiling_m: float) -> float:
    """Return the lowest figure never to exceed of the legs that meet there [m AMSL]; without one the ceiling.

    Where there is no figure, but an error is known, that is taken off.
    """
    track, profile = assessment.track, assessment.profile
    readout = assessment.plan.aircraft.readout if assessment.plan.aircraft else None
    if track is None or profile is None or readout is None or readout.error_m is None:
        return ceiling_m
    unit = readout_unit(assessment.plan)
    figures = [each.figure for each in figures_meeting(track, profile, index, readout.error_m, unit)]
    known = [figure for figure in figures if figure is not None]
    if not known or len(known) < len(figures):
        return ceiling_m - readout.error_m
    return track.launch_ground_amsl_m + min(known) * unit.value


def stop_height_m(assessment: Assessment, index: int) -> float:
    """Return the highest height that the readout lets the pilot keep [m AMSL], in the point's whole units.

    It is the figure never to exceed of the legs that meet there; without a known error of the readout the
    ceiling itself. NaN where the ceiling is not known, or where nothing is allowed above the ground.
    """
    track, ceiling_m = assessment.track, ceiling_at(assessment, index)
    if track is None or math.isnan(ceiling_m):
        return math.nan
    ground_m = float(track.ground_amsl_m[track.point_sample[index]])
    zero_m = zero_amsl_m(assessment.plan.path[index].height, ground_m, track.launch_ground_amsl_m)
    keep_m = _kept_m(assessment, index, ceiling_m)
    if not math.isfinite(zero_m):
        return keep_m
    unit_m = whole_m()
    stop_m = zero_m + math.floor((keep_m - zero_m) / unit_m + _SAME_M) * unit_m
    return stop_m if math.isnan(ground_m) or stop_m >= ground_m + unit_m else math.nan


def words_beside(assessment: Assessment, index: int, amsl_m: float) -> str:
    """Return what is said beside a height under the hand: what it is, and how it stands to the ceiling."""
    track = assessment.track
    assert track is not None
    ground_m = float(track.ground_amsl_m[track.point_sample[index]])
    above_ground = f"{planned_words(amsl_m - ground_m)} above ground · " if math.isfinite(ground_m) else ""
    return f"{above_ground}{planned_words(amsl_m)} above sea · {_standing(assessment, index, amsl_m)}"


def _standing(assessment: Assessment, index: int, amsl_m: float) -> str:
    room_m = ceiling_at(assessment, index) - amsl_m
    if math.isnan(room_m):
        return f"ceiling {UNKNOWN}"
    stop_m = stop_height_m(assessment, index)
    kept = _kept_m(assessment, index, room_m + amsl_m) < room_m + amsl_m
    if abs(amsl_m - stop_m) < _SAME_M:
        return "at the figure never to exceed" if kept else "at the ceiling"
    if room_m < 0.0:
        return f"{planned_words(-room_m)} over the ceiling"
    within = ", over the figure never to exceed" if kept and amsl_m > stop_m else ""
    return f"{limit_words(room_m)} under the ceiling{within}"
