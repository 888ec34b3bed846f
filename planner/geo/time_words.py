"""Moments in words where a second can decide."""

from datetime import datetime, timedelta

from planner.geo.window import TimeWindow


def moment_in_words(at_utc: datetime, window: TimeWindow | None = None) -> str:
    """Return '12 Jun 2027 10:00 HST' in the window's zone, UTC without one; seconds where there are any."""
    local = window.local(at_utc) if window else at_utc
    seconds = f"{local:%S}" if local.second or local.microsecond else ""
    zone = local.tzname() or "UTC"
    zone = f"UTC{zone}" if zone.startswith(("+", "-")) else zone
    return f"{local.day} {local:%b %Y %H:%M}{':' if seconds else ''}{seconds} {zone}"


def gap_in_words(gap: timedelta) -> str:
    """Return a span of time, rounded down to minutes: '2 h 05 min', '40 min', 'less than a minute'."""
    minutes = int(gap.total_seconds()) // 60
    if minutes < 1:
        return "less than a minute"
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
