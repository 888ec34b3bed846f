"""Moments in words where a second can decide."""

from datetime import datetime, time, timedelta

from planner.geo.window import TimeWindow


def clock(at: datetime | time) -> str:
    """Return the time of day: '15:40', with seconds where there are any."""
    return f"{at:%H:%M:%S}" if at.second else f"{at:%H:%M}"


def moment_in_words(at_utc: datetime, window: TimeWindow | None = None) -> str:
    """Return '12 Jun 2027 10:00 HST' in the window's zone, UTC without one; seconds where there are any."""
    local = window.local(at_utc) if window else at_utc
    zone = local.tzname() or "UTC"
    zone = f"UTC{zone}" if zone.startswith(("+", "-")) else zone
    return f"{local.day} {local:%b %Y} {clock(local)} {zone}"


def gap_in_words(gap: timedelta) -> str:
    """Return a span of time, rounded down to minutes: '2 h 05 min', '40 min', 'less than a minute'."""
    minutes = int(gap.total_seconds()) // 60
    if minutes < 1:
        return "less than a minute"
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
