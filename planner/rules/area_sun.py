"""The rule on what of an area that is flown freely is looked at against the sun, and when."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.crew import CrewMember
from planner.rules.bibliography import sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.moments import hour, hour_and_day
from planner.rules.must_see import demanded_keys
from planner.rules.sight import names_of
from planner.rules.sight_area import Grade, area_place, grade_of, reach_known, share_words
from planner.sight.along import Viewer
from planner.sight.answer import SightAnswer
from planner.sight.area_sun import Columns, columns_seen, dazzle, doubt_deg, moments_of, sun_in_window
from planner.world.sun_position import SunCourse

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_SHIFT_S: Final = 600.0
_HALF_DAY_S: Final = 43_200.0
_MOST_COLUMNS_LATER: Final = 1_500
"""So many places are enough to look for another hour."""


@attrs.frozen(eq=False)
class _Watcher:
    """One who must see: what of the area they see at all, (n,), and what lies over its places."""

    viewer: Viewer
    sees: Mask
    columns: Columns

    @property
    def tried(self) -> bool:
        """Whether their range was tried toward the sun."""
        tried = self.viewer.reach.tried
        return tried is not None and tried.against_sun

    def take(self, every: int) -> "_Watcher":
        """Return the same for every so manieth place."""
        parts = (axis[::every] for axis in attrs.astuple(self.columns, recurse=False))
        return _Watcher(self.viewer, self.sees[::every], Columns(*parts))


_Groups = tuple[tuple[_Watcher, ...], ...]


def area_against_sun(case: Case) -> Iterator[Finding]:
    """Yield what of the area is looked at against the sun; or that this could not be judged."""
    answer = case.sight
    if answer is None or case.area is None or not answer.area or not (groups := _groups(case, answer)):
        return
    places = len(answer.area[0].which)
    moments_s = moments_of(case.plan, places)
    sun = sun_in_window(case.plan, moments_s)
    if sun is None:
        yield _not_judged()
        return
    sun_doubt_deg = doubt_deg(moments_s)
    untried, all_ways = (_bad(case, groups, sun, sun_doubt_deg, tried_count=count) for count in (False, True))
    for bad, mark in ((untried[1], Mark.UNKNOWN), (untried[0], Mark.ACT), (all_ways[0], Mark.NOTE)):
        if bad.any():
            yield _finding(case, groups, mark, bad, moments_s, sun)
            return


def _groups(case: Case, answer: SightAnswer) -> _Groups:
    viewers = {viewer.key: viewer for viewer in answer.viewers}
    samples = case.area_samples
    if samples is None:
        return ()
    watchers = {
        part.key: _Watcher(
            viewers[part.key],
            grade_of(part, viewers[part.key].reach) >= Grade.UNTRIED,
            columns_seen(samples, part),
        )
        for part in answer.area
        if reach_known(viewers[part.key].reach)
    }
    groups = (tuple(watchers[key] for key in keys if key in watchers) for keys in demanded_keys(case))
    return tuple(group for group in groups if group)


def _bad(
    case: Case, groups: _Groups, sun: SunCourse, sun_doubt_deg: float, *, tried_count: bool
) -> tuple[Mask, Mask]:
    """Return where somebody who must see looks into the sun: at some height, and at every one.

    Of a group one who sees without it is enough. `tried_count`: ranges tried toward the sun don't help.
    """
    shape = (len(sun.altitude_deg), len(groups[0][0].sees))
    some, whole = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
    cone_deg = case.sight.conditions.cone_deg if case.sight else 0.0
    for group in groups:
        seen = np.any([watcher.sees for watcher in group], axis=0)
        of_some, of_whole = np.tile(seen, (shape[0], 1)), np.tile(seen, (shape[0], 1))
        for watcher in group:
            if watcher.tried and not tried_count:
                of_some &= ~watcher.sees
                of_whole &= ~watcher.sees
                continue
            found = dazzle(watcher.viewer.eye, watcher.columns, sun, cone_deg, sun_doubt_deg)
            of_some &= found.some | ~watcher.sees
            of_whole &= found.whole | ~watcher.sees
        some |= of_some
        whole |= of_whole
    return some, whole


def _finding(
    case: Case, groups: _Groups, mark: Mark, bad: Mask, moments_s: Floats, sun: SunCourse
) -> Finding:
    where, when = np.asarray(bad.any(axis=0)), np.asarray(bad.any(axis=1))
    assert case.sight is not None
    who = names_of(_people(case, groups), case.plan.purpose)
    height = "at every height" if mark is Mark.UNKNOWN else "at some height"
    cone_deg = np.ceil(case.sight.conditions.cone_deg + doubt_deg(moments_s))
    first = int(np.flatnonzero(where)[0])
    return Finding(
        rule="area-against-the-sun",
        mark=mark,
        basis=Basis.LAW if mark is Mark.UNKNOWN else Basis.SAFETY,
        title=f"Part of the area is against the sun for {who}",
        message=(
            f"{share_words(where)} of the area lies {height} within {cone_deg:.0f}° of the sun "
            f"{_clock_words(case, when, moments_s)}, {_bearing_words(sun.azimuth_deg[when])}; "
            "there it may be lost (common practice, no rule)."
        ),
        citation=sight_rule(case.plan.purpose) if mark is Mark.UNKNOWN else "",
        remedy=_remedy(case, groups, mark),
        place=area_place(case, int(case.sight.area[0].which[first])),
        numbers={"share": float(where.mean())},
    )


def _people(case: Case, groups: _Groups) -> tuple[CrewMember, ...]:
    keys = {watcher.viewer.key for group in groups for watcher in group}
    return tuple(member for member in case.plan.crew if member.key in keys)


def _clock_words(case: Case, when: Mask, moments_s: Floats) -> str:
    """Return 'from 18:20 to 18:40', and further spans; ends that are not the window's lie a step outside."""
    window = case.plan.window
    assert window is not None
    steps = np.flatnonzero(np.diff(np.concatenate([[0], when.astype(np.int8), [0]])))
    spans = []
    for first, end in zip(steps[::2], steps[1::2], strict=True):
        ends_s = moments_s[max(first - 1, 0)], moments_s[min(end, len(when) - 1)]
        begin, last = (hour(window.start_utc + timedelta(seconds=float(at)), window) for at in ends_s)
        spans.append(f"from {begin} to {last}")
    return " and ".join(spans)


def _bearing_words(azimuth_deg: Floats) -> str:
    """Return 'toward 268° to 283° true', the way the sun goes."""
    around = np.unwrap(np.radians(azimuth_deg))
    ends = [round(float(np.degrees(end))) % 360 for end in (around.min(), around.max())]
    if ends[0] == ends[1]:
        return f"toward {ends[0]:03d}° true"
    return f"toward {ends[0]:03d}° to {ends[1]:03d}° true"


def _remedy(case: Case, groups: _Groups, mark: Mark) -> str:
    if mark is Mark.NOTE:
        return ""
    keep_out = "keep out of that part then, with the sun at the crew's back"
    if mark is Mark.ACT:
        return keep_out
    return f"{_other_hour(case, groups)}{keep_out}: shrink the area, or record a range tried toward the sun"


def _other_hour(case: Case, groups: _Groups) -> str:
    """Return 'begin the window at 17:10, or ' for the nearest such window in which the sun is out of the way.

    In whole steps of ten minutes within half a day, and only while the sun is up; '' if there is none.
    """
    window = case.plan.window
    assert window is not None
    every = max(1, -(-len(groups[0][0].sees) // _MOST_COLUMNS_LATER))
    fewer = tuple(tuple(watcher.take(every) for watcher in group) for group in groups)
    steps = int(_HALF_DAY_S / _SHIFT_S)
    length_s = (window.end_utc - window.start_utc) / timedelta(seconds=1)
    room = int(np.ceil(length_s / _SHIFT_S))
    moments_s = _SHIFT_S * np.arange(-steps, steps + room + 1).astype(np.float64)
    sun = sun_in_window(case.plan, moments_s)
    assert sun is not None
    _, whole = _bad(case, fewer, sun, doubt_deg(moments_s), tried_count=False)
    bad = whole.any(axis=1) | (sun.altitude_deg <= 0.0)
    for shift in sorted(range(-steps, steps + 1), key=lambda step: (abs(step), step)):
        if not bad[shift + steps : shift + steps + room + 1].any():
            start_utc = window.start_utc + timedelta(seconds=_SHIFT_S * shift)
            return f"begin the window at {hour_and_day(start_utc, window)}, or "
    return ""


def _not_judged() -> Finding:
    return Finding(
        rule="area-sun",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title="Sun over the area not judged",
        message="When the flight takes place is not known, so neither is what is against the sun.",
        remedy="say when you fly; keep the sun at the crew's back",
    )


RULES = (area_against_sun,)
