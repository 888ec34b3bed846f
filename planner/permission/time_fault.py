"""When a record does not hold for all of a flight, in words."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from planner.geo.time_words import moment_in_words
from planner.geo.window import TimeWindow
from planner.plan.records import PermissionRecord
from planner.saying import Timed, told


def time_fault(record: PermissionRecord, window: TimeWindow | None) -> str:
    """Return why a record does not hold for all of a window, in words."""
    if window is None:
        return f"record {record.reference} can't be held against the flight: no time is set"
    first, last = record.valid_from_utc, record.valid_to_utc
    if last is not None and last < window.start_utc:
        fault = f"ended {_duration(window.start_utc - last)} before the time window starts"
    elif first is not None and first > window.end_utc:
        fault = f"begins {_duration(first - window.end_utc)} after the time window ends"
    else:
        faults = []
        if first is not None and first > window.start_utc:
            faults.append(f"begins {_duration(first - window.start_utc)} after the time window starts")
        if last is not None and last < window.end_utc:
            faults.append(f"ends {_duration(window.end_utc - last)} before the time window ends")
        fault = " and ".join(faults)
    moments = [
        f"from {_moment(first, window)}" if first else "",
        f"to {_moment(last, window)}" if last else "",
    ]
    return told(f"record {record.reference} {fault} (it holds {' '.join(text for text in moments if text)})")


def one_after_the_other(records: Sequence[PermissionRecord], window: TimeWindow | None) -> str:
    """Return that records would hold for all of a window one after the other, '' where they don't.

    Together they count in space alone: in time each stands for itself.
    """
    if window is None or len(records) < 2:
        return ""
    until, used = window.start_utc, list[str]()
    for record in sorted(records, key=lambda one: one.valid_from_utc or window.start_utc):
        first, last = record.valid_from_utc, record.valid_to_utc
        if (first is None or first <= until) and (last is None or last > until):
            until, used = window.end_utc if last is None else last, [*used, record.reference]
    if until < window.end_utc or len(used) < 2:
        return ""
    return f"; {' and '.join(used)} follow one another, but are not joined in time: plan a flight for each"


def _duration(lacking: timedelta) -> str:
    """Return a span of time that lacks, rounded up to minutes: '2 days', '1 h 05 min', '40 min'."""
    minutes = -(-int(lacking.total_seconds()) // 60)
    if minutes >= 48 * 60:
        return f"{-(-minutes // (24 * 60)):,} days"
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{max(minutes, 1)} min"


def _moment(at_utc: datetime, window: TimeWindow) -> str:
    return Timed(moment_in_words(at_utc, window), moment_in_words(at_utc.astimezone(UTC)))
