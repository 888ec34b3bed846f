"""How the path is marked on the map: clear, briefly hidden, to ask for, must change, not known."""

from typing import Any

import numpy as np

from planner.assessment import Assessment
from planner.rules.must_see import waives_sight
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight

CLEAR, ASK, STOP, UNKNOWN, BRIEF = "clear", "ask", "stop", "unknown", "brief"
_NAMES = (CLEAR, ASK, STOP, UNKNOWN, BRIEF)


def marks_of_samples(answer: Assessment) -> np.ndarray:
    """Return one of 0 clear, 1 ask, 2 stop, 3 unknown, 4 briefly hidden for each sample of the track."""
    track, profile = answer.track, answer.profile
    if track is None or profile is None:
        return np.zeros(0, dtype=int)
    planned = track.planned_amsl_m
    over_now = planned > profile.ceiling_amsl_m
    over_any = planned > profile.requestable_amsl_m
    marks = np.where(over_now | profile.in_unpermitted, 1, 0)
    marks = np.where(over_any | profile.in_closed, 2, marks)
    unknown = np.isnan(planned) | np.isnan(profile.ceiling_amsl_m)
    marks = np.where(unknown, 3, marks)
    return _with_sight(marks, answer)


def _with_sight(marks: np.ndarray, answer: Assessment) -> np.ndarray:
    """Mark also what the crew does not see, or may not; a stop of the ceiling stays one."""
    axis = sight_axis(answer.case)
    if axis is None:
        return marks
    unseen = np.isin(axis.grave, [GRAVEST_FIRST.index(kind) for kind in (Sight.HIDDEN, Sight.TOO_FAR)])
    dazzled = axis.grave == GRAVEST_FIRST.index(Sight.AGAINST_SUN)
    open_ones = [GRAVEST_FIRST.index(kind) for kind in (Sight.UNKNOWN, Sight.UNTRIED)]
    unsure = np.isin(axis.grave, open_ones) | (dazzled & ~axis.sun_tried)
    if not waives_sight(answer.plan):
        marks = np.where(unseen & (marks < 2), 2, marks)
    marks = np.where(unsure & (marks < 2), 3, marks)
    brief = axis.grave == GRAVEST_FIRST.index(Sight.BRIEFLY_HIDDEN)
    return np.where(brief & (marks == 0), _NAMES.index(BRIEF), marks)


def path_marks(answer: Assessment) -> list[dict[str, Any]]:
    """Return the marked stretches for MapCanvas.set_plan; none where no path is judged."""
    track = answer.track
    marks = marks_of_samples(answer)
    if track is None or len(marks) < 2:
        return []
    pieces = _graver(marks[:-1], marks[1:])
    leg = track.leg[:-1]
    length = np.diff(track.distance_m)
    pieces = np.where(length > 0, pieces, -1)
    runs: list[dict[str, Any]] = []
    begin = 0
    while begin < len(pieces):
        end = begin
        while end < len(pieces) and pieces[end] == pieces[begin] and leg[end] == leg[begin]:
            end += 1
        if pieces[begin] >= 0:
            runs.append(_run(answer, begin, end, _NAMES[int(pieces[begin])]))
        begin = end
    return runs


def _graver(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Return the graver mark of each pair; what is briefly hidden gives way to all but what is clear."""
    brief = _NAMES.index(BRIEF)
    open_one, open_other = (np.where(marks == brief, 0, marks) for marks in (one, other))
    either = (one == brief) | (other == brief)
    graver = np.maximum(open_one, open_other)
    return np.where(either & (graver == 0), brief, graver)


def _run(answer: Assessment, begin: int, end: int, mark: str) -> dict[str, Any]:
    track = answer.track
    assert track is not None
    lon, lat = track.lon_deg[begin : end + 1], track.lat_deg[begin : end + 1]
    kept = [0, len(lon) - 1]
    coords = [[float(lon[k]), float(lat[k])] for k in kept]
    return {"from": int(track.leg[begin]), "coords": coords, "mark": mark}
