"""Moments inside messages, by the window's own clock; a finding keeps them in UTC, too."""

from datetime import UTC, datetime

from planner.geo.time_words import moment_in_words, zone_name
from planner.geo.window import TimeWindow
from planner.saying import Timed


def hour(at_utc: datetime, window: TimeWindow | None) -> str:
    """Return the hour of a moment: '18:20'; 'UTC' stands beside it where that is preferred."""
    return Timed(_hour(at_utc, window), f"{at_utc.astimezone(UTC):%H:%M} UTC")


def hour_and_day(at_utc: datetime, window: TimeWindow) -> str:
    """Return the hour of a moment, with its day where that is not the one on which the window starts."""
    own, in_utc = _local(at_utc, window), at_utc.astimezone(UTC)
    starts = window.start_utc.astimezone(UTC)
    return Timed(
        f"{_hour(at_utc, window)}{_day(own, _local(window.start_utc, window))}",
        f"{in_utc:%H:%M} UTC{_day(in_utc, starts)}",
    )


def moment(at_utc: datetime, window: TimeWindow | None) -> str:
    """Return a moment with its day and its clock's name."""
    return Timed(moment_in_words(at_utc, window), moment_in_words(at_utc.astimezone(UTC)))


def _hour(at_utc: datetime, window: TimeWindow | None) -> str:
    own = _local(at_utc, window)
    # Where clocks change an hour without its clock's name may come twice.
    return f"{own:%H:%M}{f' {zone_name(own)}' if window and window.clocks_change else ''}"


def _local(at_utc: datetime, window: TimeWindow | None) -> datetime:
    return window.local(at_utc) if window else at_utc.astimezone(UTC)


def _day(at: datetime, starts: datetime) -> str:
    return "" if at.date() == starts.date() else f" on {at.day} {at:%b}"
