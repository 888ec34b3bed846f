"""The sun for the observer: when it stands behind the aircraft, and until when there is light."""

from datetime import timedelta
from itertools import pairwise

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.briefing.facing import Facing, clock_hour
from planner.briefing.moments import runs
from planner.briefing.words import clock
from planner.geo.frame import LocalFrame
from planner.rules.light import dark_spans
from planner.sight.sun import GLARE_CONE_DEG
from planner.world.light import SUN_DOUBT_DEG, SunTimes, earlier_minute, later_minute, sun_times
from planner.world.sun_position import SunCourse, direction, sun_course

Floats = NDArray[np.float64]

_STEP_S = 60.0
_LONGEST = timedelta(hours=24)
_MOST_TARGETS = 200
_MOST_SPANS = 2
# Over an area that is flown freely the aircraft may be anywhere up to this high in the observer's sky.
_AREA_UP_TO_DEG = 45.0


@attrs.frozen
class GlareSpan:
    """From when to when [s after the window's start], and where the sun then stands."""

    from_s: float
    to_s: float
    azimuth_deg: float
    altitude_deg: float


def sun_lines(assessment: Assessment, facing: Facing | None) -> list[str]:
    """Return what the observer must know of the sun, each a line."""
    window = assessment.plan.window
    if facing is None or window is None:
        return ["Sun: not known without place and time."]
    spans = glare_spans(assessment, facing)
    if spans is None:
        return ["Sun in your eyes: not known."]
    if not spans:
        return [_no_glare(assessment, facing)]
    told = []
    for span in spans[:_MOST_SPANS]:
        start, end = (window.start_utc + timedelta(seconds=at_s) for at_s in (span.from_s, span.to_s))
        hour = clock_hour(span.azimuth_deg - facing.toward.deg)
        told.append(
            f"{clock(earlier_minute(start), window)} to {clock(later_minute(end), window)}, "
            f"at {hour} o’clock, {span.altitude_deg:.0f}° up"
        )
    more = f"; {len(spans) - _MOST_SPANS} more times" if len(spans) > _MOST_SPANS else ""
    return [f"Sun in your eyes {'; '.join(told)}{more}."]


def glare_spans(assessment: Assessment, facing: Facing) -> list[GlareSpan] | None:
    """Return when the sun stands within the dazzling angle of where the aircraft may be.

    Every minute of the window counts (its first day), as the start may slip.
    None where nothing is drawn that could be looked at.
    """
    window, targets = assessment.plan.window, _targets(assessment, facing)
    if window is None or targets is None:
        return None
    lasts = min(window.end_utc - window.start_utc, _LONGEST)
    time_s = np.arange(0.0, lasts.total_seconds() + 1e-6, _STEP_S)
    sun = sun_course(facing.stand, window.start_utc, time_s)
    toward = direction(sun.azimuth_deg, sun.altitude_deg)
    nearest = np.degrees(np.arccos(np.clip(toward.T @ targets, -1.0, 1.0).max(axis=1)))
    dazzles = (nearest < GLARE_CONE_DEG) & (sun.altitude_deg > -0.8333)
    return [_span(time_s, sun, first, last) for first, last in runs(dazzles)]


def _span(time_s: Floats, sun: SunCourse, first: int, last: int) -> GlareSpan:
    middle = (first + last) // 2
    return GlareSpan(
        max(float(time_s[first]) - _STEP_S, 0.0),
        min(float(time_s[last]) + _STEP_S, float(time_s[-1])),
        float(sun.azimuth_deg[middle]),
        float(sun.altitude_deg[middle]),
    )


def _targets(assessment: Assessment, facing: Facing) -> Floats | None:
    """Return directions (3, n) in which the aircraft may be seen."""
    frame = LocalFrame(facing.stand)
    track = assessment.track
    if track is not None and len(track):
        kept = np.unique(np.linspace(0, len(track) - 1, _MOST_TARGETS).astype(int))
        x_m, y_m = frame.forward(track.lon_deg[kept], track.lat_deg[kept])
        stand_m = _stand_amsl_m(assessment, facing)
        up_m = np.nan_to_num(track.planned_amsl_m[kept] - stand_m, nan=0.0)
        return _unit(np.stack([x_m, y_m, up_m]))
    if assessment.plan.area is None:
        return None
    return _over_area(assessment, frame)


def _over_area(assessment: Assessment, frame: LocalFrame) -> Floats:
    ring = assessment.plan.area.ring if assessment.plan.area else ()
    corners = np.array([frame.place_to_xy(place) for place in (*ring, *ring[:1])])
    edge = np.vstack([np.linspace(one, other, 20) for one, other in pairwise(corners)])
    azimuth_deg = np.degrees(np.arctan2(edge[:, 0], edge[:, 1]))
    rises = np.arange(0.0, _AREA_UP_TO_DEG + 1.0, 15.0)
    grid = np.meshgrid(azimuth_deg, rises)
    return direction(grid[0].ravel(), grid[1].ravel())


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=0), 1e-9))


def _stand_amsl_m(assessment: Assessment, facing: Facing) -> float:
    sight = assessment.sight
    if sight is not None and facing.observer is not None:
        for viewer in sight.viewers:
            if viewer.key == facing.observer.key:
                return viewer.eye.amsl_m
    return assessment.track.launch_ground_amsl_m if assessment.track else float("nan")


def stand_ground_m(assessment: Assessment, facing: Facing) -> float:
    """Return the ground where the observer stands [m AMSL], NaN if not known."""
    sight = assessment.sight
    if sight is not None and facing.observer is not None:
        for viewer in sight.viewers:
            if viewer.key == facing.observer.key:
                return viewer.eye.ground_amsl_m
    return assessment.track.launch_ground_amsl_m if assessment.track else float("nan")


def _no_glare(assessment: Assessment, facing: Facing) -> str:
    window = assessment.plan.window
    if window is None:
        return ""
    middle_s = (window.end_utc - window.start_utc).total_seconds() / 2
    sun = sun_course(facing.stand, window.start_utc, np.array([middle_s]))
    altitude_deg = float(sun.altitude_deg[0])
    if altitude_deg <= 0:
        return "Sun in your eyes: no, it is down."
    hour = clock_hour(float(sun.azimuth_deg[0]) - facing.toward.deg)
    return f"Sun in your eyes: no. It stands at {hour} o’clock, {altitude_deg:.0f}° up."


def light_line(assessment: Assessment) -> str:
    """Return until when there is light: 'sunset 19:23, twilight ends 19:54'."""
    plan = assessment.plan
    anchor = plan.anchor()
    if anchor is None or plan.window is None:
        return ""
    times = sun_times(anchor, plan.window.start_utc, SUN_DOUBT_DEG)
    parts = [
        f"{words} {clock(rounded(at_utc), plan.window)}"
        for words, at_utc, rounded in (
            ("sunrise", times.rise_utc, later_minute),
            ("sunset", times.set_utc, earlier_minute),
            ("civil twilight ends", times.end_civil_utc, earlier_minute),
        )
        if at_utc is not None
    ]
    parts += _without(times)
    if dark_spans(plan):
        parts.append("light on: the sun may be down")
    words = ", ".join(parts)
    return f"{words[:1].upper()}{words[1:]}."


def _without(times: SunTimes) -> list[str]:
    """Return what of sun and twilight does not occur that day, and why."""
    words = []
    if times.never_sets:
        words.append("no sunset: up all day")
    elif times.never_rises:
        words.append("no sunrise: down all day")
    if times.twilight_all_night:
        words.append("twilight all night")
    return words
