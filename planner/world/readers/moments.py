"""Moments as publishers write them."""

import re
from datetime import UTC, datetime, timedelta

import attrs

_UTC_AHEAD_OF_EARLIEST, _UTC_BEHIND_LATEST = timedelta(hours=14), timedelta(hours=12)
"""Civil times run from UTC-12 to UTC+14."""
_OFFSET = re.compile(r".*(?:Z|[+-]\d{2}:?\d{2}|[+-]\d{2})", re.IGNORECASE)
_DAY_WITH_OFFSET = re.compile(r"(\d{4}-\d{2}-\d{2})(Z|[+-]\d{2}:?\d{2})", re.IGNORECASE)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}|\d{1,2}/\d{1,2}/\d{4}")


def moment_of(text: str, *, end_of_day: bool = False) -> datetime | None:
    """Return a moment in UTC, or None where the text is not one.

    ISO 8601, and the authority's month/day/year. A time without an offset is
    taken as UTC. A day without a time is its beginning in UTC, or its end; with
    an offset (as a date in XML may have) it is the day there.
    """
    plain = text.strip()
    try:
        if "/" in plain:
            month, day, year = (int(part) for part in plain.split("/"))
            moment = datetime(year, month, day, tzinfo=UTC)
        elif by_day := _DAY_WITH_OFFSET.fullmatch(plain):
            moment = datetime.fromisoformat(f"{by_day[1]}T00:00{by_day[2]}").astimezone(UTC)
        else:
            moment = datetime.fromisoformat(plain)
            moment = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
        whole_day = _DAY.fullmatch(plain) or _DAY_WITH_OFFSET.fullmatch(plain)
        return moment + timedelta(days=1) if end_of_day and whole_day else moment
    except (ValueError, OverflowError):
        return None


def widened(begin: str, end: str) -> tuple[datetime | None, datetime | None]:
    """Return from when to when something holds at most; None where a text is no moment.

    A time without an offset from UTC is by a clock that nobody names: it counts from when the first place
    on earth has it, or until the last has. A bare day likewise.
    """
    begin_utc, end_utc = moment_of(begin), moment_of(end, end_of_day=True)
    if begin_utc is not None and not _tells_offset(begin):
        begin_utc = _moved(begin_utc, -_UTC_AHEAD_OF_EARLIEST)
    if end_utc is not None and not _tells_offset(end):
        end_utc = _moved(end_utc, _UTC_BEHIND_LATEST)
    return begin_utc, end_utc


@attrs.frozen
class Bounds:
    """From when to when something holds at most, None open; `by_days`: one of the two was a bare day."""

    begin_utc: datetime | None
    end_utc: datetime | None
    by_days: bool = False


def utc_bounds(begin: str, end: str) -> Bounds:
    """Return the bounds in attributes whose names say UTC: a time without an offset is one.

    A bare day is by the clock of wherever it was written down: an evening in America lies on the next day
    in UTC. So it counts from when the first place on earth has it until the last has it no more. What can't
    be read is open; bounds with no time between them are no bounds.
    """
    from_first_utc, to_last_utc = widened(begin, end)
    begin_utc = from_first_utc if _is_day(begin) else moment_of(begin)
    end_utc = to_last_utc if _is_day(end) else moment_of(end, end_of_day=True)
    if begin_utc is not None and end_utc is not None and end_utc <= begin_utc:
        return Bounds(None, None)
    return Bounds(begin_utc, end_utc, _is_day(begin) or _is_day(end))


def day_by_any_clock(begin_utc: datetime | None, end_utc: datetime | None) -> Bounds:
    """Return the bounds of days that were taken for days in UTC, by the clock of whatever place."""
    return Bounds(
        begin_utc and _moved(begin_utc, -_UTC_AHEAD_OF_EARLIEST),
        end_utc and _moved(end_utc, _UTC_BEHIND_LATEST),
        by_days=True,
    )


def _is_day(text: str) -> bool:
    return bool(_DAY.fullmatch(text.strip()))


def _tells_offset(text: str) -> bool:
    plain = text.strip()
    return not _DAY.fullmatch(plain) and bool(_OFFSET.fullmatch(plain[10:]))


def _moved(moment: datetime, by: timedelta) -> datetime | None:
    try:
        return moment + by
    except OverflowError:
        return None
