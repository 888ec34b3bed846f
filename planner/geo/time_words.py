"""Moments in words where a second can decide."""

from datetime import date, datetime, time, timedelta

from planner.geo.window import TimeWindow


def clock(at: datetime | time) -> str:
    """Return the time of day: '15:40', with seconds where there are any."""
    return f"{at:%H:%M:%S}" if at.second else f"{at:%H:%M}"


def zone_name(local: datetime) -> str:
    """Return what the clock of an aware moment is called: 'HST', 'UTC-10' where it has no name."""
    zone = local.tzname() or "UTC"
    return f"UTC{zone}" if zone.startswith(("+", "-")) else zone


def moment_in_words(at_utc: datetime, window: TimeWindow | None = None) -> str:
    """Return '12 Jun 2027 10:00 HST' in the window's zone, UTC without one; seconds where there are any."""
    local = window.local(at_utc) if window else at_utc
    return f"{local.day} {local:%b %Y} {clock(local)} {zone_name(local)}"


def day_words(day: date) -> str:
    """Return a day in words, one way everywhere: '5 Jun 2027'."""
    return f"{day.day} {day:%b %Y}"


def gap_in_words(gap: timedelta) -> str:
    """Return a span of time, rounded down to minutes: '2 h 05 min', '40 min', 'less than a minute'."""
    minutes = int(gap.total_seconds()) // 60
    if minutes < 1:
        return "less than a minute"
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"
