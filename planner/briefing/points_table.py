"""Heights at each point of the path, rounded so that no room is promised that is not there."""

import attrs
import numpy as np

from planner.assessment import Assessment
from planner.briefing.moments import minutes, times_of
from planner.briefing.never_exceed_words import figures_by_leg, goggles_words, leg_words, over_words
from planner.briefing.words import plain
from planner.ceiling.never_exceed import readout_unit
from planner.track.track import Track
from planner.wording import UNKNOWN, distance, limit_ft, planned_ft

_SAME_M = 1e-6


@attrs.frozen
class PointRow:
    """One row, in words; `over` says whether the plan is above the ceiling there."""

    number: str
    name: str
    along: str
    above_ground: str
    above_launch: str
    above_sea: str
    ceiling: str
    room: str
    over: bool
    never: str = ""
    after: str = ""
    leg_time: str = ""


def points_table(assessment: Assessment) -> tuple[PointRow, ...]:
    """Return a row for each point of the path; without a track only their names."""
    track, profile = assessment.track, assessment.profile
    points = assessment.plan.path
    if track is None or profile is None or len(track.point_sample) != len(points):
        return tuple(
            PointRow(
                str(number),
                plain(point.name, 24),
                UNKNOWN,
                UNKNOWN,
                UNKNOWN,
                UNKNOWN,
                UNKNOWN,
                UNKNOWN,
                False,
            )
            for number, point in enumerate(points, start=1)
        )
    rows = []
    shown, never = goggles_words(assessment), figures_by_leg(assessment)
    unit = readout_unit(assessment.plan)
    time_s = times_of(assessment, track)[track.point_sample]
    for number, (point, sample) in enumerate(zip(points, track.point_sample, strict=True), start=1):
        here = _same_place(track, int(sample))
        planned_m = float(track.planned_amsl_m[sample])
        ceiling_m = _lowest(profile.ceiling_amsl_m[here])
        room_m = ceiling_m - planned_m
        rows.append(
            PointRow(
                str(number),
                plain(point.name, 24),
                distance(float(track.distance_m[sample])),
                planned_ft(planned_m - float(track.ground_amsl_m[sample])),
                shown[number - 1].replace("?", UNKNOWN),
                planned_ft(planned_m),
                limit_ft(ceiling_m),
                f"over by {planned_ft(-room_m)}" if room_m < -_SAME_M else limit_ft(room_m),
                over=bool(room_m < -_SAME_M),
                never=leg_words(never[number - 1], unit) + over_words(assessment, never[number - 1])
                if number <= len(never)
                else "",
                after=_minutes(float(time_s[number - 1])),
                leg_time=_minutes(float(time_s[number] - time_s[number - 1])) if number < len(points) else "",
            )
        )
    return tuple(rows)


def _same_place(track: Track, sample: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """All samples at that distance: before and after a jump of the ceiling."""
    same = np.abs(track.distance_m - track.distance_m[sample]) <= _SAME_M
    return np.flatnonzero(same) if np.isfinite(track.distance_m[sample]) else np.array([sample])


def _minutes(time_s: float) -> str:
    return minutes(time_s) if np.isfinite(time_s) else UNKNOWN


def _lowest(heights_m: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    return float(heights_m.min()) if np.isfinite(heights_m).all() else float("nan")
