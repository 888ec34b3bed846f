"""Rules on restrictions whose hours are given by days, or end and begin close to the flight.

How close is an own choice, as no rule gives a figure: a restriction about a stadium ends an hour after the
event really ends, which no calendar knows, so 3 hours before the window; 1 hour for others, and for any that
begins after the window, where an overrun flies into it.
"""

from bisect import bisect_left
from collections.abc import Iterator
from datetime import datetime, timedelta

import attrs

from planner.geo.time_words import gap_in_words, moment_in_words
from planner.geo.window import TimeWindow
from planner.permission.entries import is_active
from planner.permission.inquiry import inquired_of
from planner.rules.bibliography import CLOSED_AIRSPACE
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.moments import moment
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceKind, AirspaceVolume
from planner.world.schedule.model import Activity

AFTER_AN_EVENT = timedelta(hours=3)
AFTER_OTHERS = BEFORE_ANY = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)
_CLOSING = FORBIDDEN_WHILE_ACTIVE | NEEDS_AUTHORIZATION


def restrictions_near_in_time(case: Case) -> Iterator[Finding]:
    """Yield something to do for each restriction on the way that ends or begins close to the window."""
    window = case.plan.window
    for column, volume in _dated(case):
        told = None if window is None else _just_over(volume, window) or _soon(volume, window)
        if told and flown(case, column, volume):
            yield told


def hours_begin_soon(case: Case) -> Iterator[Finding]:
    """Yield something to do for each airspace on the way whose published hours begin shortly after."""
    window = case.plan.window
    if case.mapped is None or window is None:
        return
    for column, volume in case.mapped.airspace.items():
        counts = volume.kind in _CLOSING or inquired_of(volume, case.plan.purpose)
        if volume.schedule and counts and flown(case, column, volume):
            begins = _begins_by_hours(volume, window)
            if begins is not None:
                yield _begins(volume, begins, window, "published hours")


def _begins_by_hours(volume: AirspaceVolume, window: TimeWindow) -> datetime | None:
    """Return the minute by which hours make it active after the window, None if not within the next hour."""

    def active_by(minutes: int) -> bool:
        longer = attrs.evolve(window, end_utc=window.end_utc + minutes * _MINUTE)
        return volume.active_during(longer) is not Activity.INACTIVE

    first = bisect_left(range(BEFORE_ANY // _MINUTE + 1), True, key=active_by)
    if not 0 < first <= BEFORE_ANY // _MINUTE or volume.active_from_utc is not None:
        return None
    return window.end_utc + first * _MINUTE


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
    event = volume.kind is AirspaceKind.STADIUM
    last = volume.active_to_utc
    if last is None:
        return None
    gap = window.start_utc - last
    if not timedelta(0) < gap <= (AFTER_AN_EVENT if event else AFTER_OTHERS):
        return None
    why = (
        "The restriction lasts until an hour after the event really ends, and events end late."
        if event
        else "Restrictions are prolonged by notice."
    )
    return Finding(
        rule="restriction-just-over",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"{volume.name}: over shortly before",
        message=f"By the dates on file it ends at {moment(last, window)}, {gap_in_words(gap)} "
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


RULES = (restrictions_near_in_time, hours_begin_soon, dates_without_hours)
