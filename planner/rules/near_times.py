"""Rules on restrictions whose hours are given by days, or end and begin close to the flight.

How close is an own choice, as no rule gives a figure: a restriction about a stadium ends an hour after the
event really ends, which no calendar knows, so 3 hours before the window; 1 hour for others, and for any that
begins after the window, where an overrun flies into it.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

import attrs

from planner.geo.time_words import gap_in_words, moment_in_words
from planner.geo.window import TimeWindow
from planner.permission.entries import is_active
from planner.permission.inquiry import inquired_of
from planner.rules.at_hand import at_hand
from planner.rules.bibliography import CLOSED_AIRSPACE
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.lost_ways import comes_into
from planner.rules.moments import moment
from planner.saying import marked
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, AirspaceVolume
from planner.world.schedule.model import Activity

AFTER_AN_EVENT = timedelta(hours=3)
AFTER_OTHERS = BEFORE_ANY = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)
_CLOSING = FORBIDDEN_WHILE_ACTIVE | NEEDS_AUTHORIZATION


def restrictions_near_in_time(case: Case) -> Iterator[Finding]:
    """Yield something to do for each restriction at hand that its dates end or begin close to the window."""
    for column, volume, told in _by_dates(case):
        if at_hand(case, column, volume):
            yield told


def hours_near_in_time(case: Case) -> Iterator[Finding]:
    """Yield something to do for each airspace at hand that by its hours ends or begins close by."""
    for column, volume, told in _by_published_hours(case):
        if at_hand(case, column, volume):
            yield told


def near_in_time_on_lost_link(case: Case) -> Iterator[Finding]:
    """Yield the same for what only an action on lost link comes into: a way home, or a way down."""
    for column, volume, told in (*_by_dates(case), *_by_published_hours(case)):
        if not at_hand(case, column, volume) and comes_into(case, column, volume):
            yield attrs.evolve(
                told,
                message=f"{marked(told.message)} On lost link the aircraft would come into it by itself.",
            )


def _by_dates(case: Case) -> Iterator[tuple[int, AirspaceVolume, Finding]]:
    window = case.plan.window
    for column, volume in _dated(case):
        told = None if window is None else _just_over(volume, window) or _soon(volume, window)
        if told:
            yield column, volume, told


def _by_published_hours(case: Case) -> Iterator[tuple[int, AirspaceVolume, Finding]]:
    """Yield what hours say; where dates bound them as well, an end or a beginning by date is told as such."""
    window = case.plan.window
    if case.mapped is None or window is None:
        return
    for column, volume in case.mapped.airspace.items():
        counts = volume.kind in _CLOSING or inquired_of(volume, case.plan.purpose)
        if volume.schedule and counts and volume.active_during(window) is Activity.INACTIVE:
            for told in _by_hours(volume, window):
                yield column, volume, told


def _by_hours(volume: AirspaceVolume, window: TimeWindow) -> list[Finding]:
    found = []
    if _just_over(volume, window) is None and (minutes := _over_for(volume, window)) is not None:
        last = window.start_utc - minutes * _MINUTE
        found.append(_over(volume, last, window, "published hours"))
    if _soon(volume, window) is None and (minutes := _begins_in(volume, window)) is not None:
        found.append(_begins(volume, window.end_utc + minutes * _MINUTE, window, "published hours"))
    return found


def _begins_in(volume: AirspaceVolume, window: TimeWindow) -> int | None:
    """Return in how many minutes after the window hours make it active, None if not within the next hour."""
    return _first_active(
        volume,
        BEFORE_ANY // _MINUTE,
        lambda minutes: attrs.evolve(window, end_utc=window.end_utc + minutes * _MINUTE),
    )


def _over_for(volume: AirspaceVolume, window: TimeWindow) -> int | None:
    """Return how many minutes before the window it was active last, None if not close before it."""
    return _first_active(
        volume,
        _after(volume) // _MINUTE,
        lambda minutes: attrs.evolve(window, start_utc=window.start_utc - minutes * _MINUTE),
    )


def _first_active(volume: AirspaceVolume, most: int, longer: Callable[[int], TimeWindow]) -> int | None:
    """Return by how many minutes a window has to be longer to meet a volume active, None beyond `most`."""

    def active_by(minutes: int) -> bool:
        return volume.active_during(longer(minutes)) is not Activity.INACTIVE

    first = bisect_left(range(most + 1), True, key=active_by)
    return first if first <= most else None


def _after(volume: AirspaceVolume) -> timedelta:
    return AFTER_AN_EVENT if volume.kind is AirspaceKind.STADIUM else AFTER_OTHERS


def dates_without_hours(case: Case) -> Iterator[Finding]:
    """Yield a note for each restriction on the way whose dates are bare days: how they were counted."""
    for column, volume in _dated(case):
        if volume.given_by_days and is_active(volume, case.plan.window) and flown(case, column, volume):
            yield _by_days(case, volume)


def _dated(case: Case) -> Iterator[tuple[int, AirspaceVolume]]:
    if case.mapped is not None:
        for column, volume in case.mapped.airspace.items():
            if volume.active_from_utc is not None or volume.active_to_utc is not None:
                yield column, volume


def _just_over(volume: AirspaceVolume, window: TimeWindow) -> Finding | None:
    last = volume.active_to_utc
    if last is None or not timedelta(0) < window.start_utc - last <= _after(volume):
        return None
    return _over(volume, last, window, "dates on file")


def _over(volume: AirspaceVolume, last: datetime, window: TimeWindow, by: str) -> Finding:
    gap = window.start_utc - last
    why = (
        "The restriction lasts until an hour after the event really ends, and events end late."
        if volume.kind is AirspaceKind.STADIUM
        else "Restrictions are prolonged by notice."
        if volume.kind in FORBIDDEN_WHILE_ACTIVE
        else "Hours are prolonged by notice."
    )
    return Finding(
        rule="restriction-just-over",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{volume.name}: over shortly before",
        message=f"By the {by} it ends at {moment(last, window)}, {gap_in_words(gap)} "
        f"before the time window. {why}",
        citation=CLOSED_AIRSPACE,
        remedy="look up when it really ended before you launch, or fly later",
        numbers={"gap_s": gap.total_seconds()},
    )


def _soon(volume: AirspaceVolume, window: TimeWindow) -> Finding | None:
    first = volume.active_from_utc
    if first is None or not timedelta(0) < first - window.end_utc <= BEFORE_ANY:
        return None
    return _begins(volume, first, window, "dates on file")


def _begins(volume: AirspaceVolume, first: datetime, window: TimeWindow, by: str) -> Finding:
    gap = first - window.end_utc
    return Finding(
        rule="restriction-soon",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{volume.name}: begins shortly after",
        message=f"By the {by} it begins at {moment(first, window)}, {gap_in_words(gap)} "
        "after the time window. A flight that overruns is in it, and notices bring beginnings forward.",
        citation=CLOSED_AIRSPACE,
        remedy="be on the ground when the window ends; look up whether it begins earlier",
        numbers={"gap_s": gap.total_seconds()},
    )


def _by_days(case: Case, volume: AirspaceVolume) -> Finding:
    first, last = volume.active_from_utc, volume.active_to_utc
    begins = f"from {moment_in_words(first)}" if first else "from any time before"
    ends = f"to {moment_in_words(last)}" if last else "for ever"
    return Finding(
        rule="dates-without-hours",
        mark=Mark.NOTE,
        basis=Basis.LAW,
        title=f"{volume.name}: days without hours",
        message="Its dates are days without hours, and a day is not the same everywhere. It counts as closed "
        f"{begins} {ends}: until the last place on earth has the day no more, from when the first has it.",
        citation=CLOSED_AIRSPACE,
        remedy="look up its hours, and import them with their offset from UTC",
    )


RULES = (restrictions_near_in_time, hours_near_in_time, dates_without_hours)
FOLLOWING_RULES = (near_in_time_on_lost_link,)
