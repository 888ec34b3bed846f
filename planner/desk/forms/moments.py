"""Days, hours and zones as people type them."""

import re
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import available_timezones

from PySide6.QtCore import QTimeZone

from planner.errors import PlanError
from planner.geo import local_hours
from planner.geo.window import in_utc, zone_info

_HOUR = re.compile(r"(\d{1,2})[:.h ]?(\d{2})(?::(\d{2}))?(?:\s*(?:UTC\s*)?([+-])(\d{1,2})(?::?(\d{2}))?)?")
_HALF_DAY = re.compile(
    r"(\d{4}-?\d{2}-?\d{2}[ Tt]\s*)?(\d{1,2})(?:[:.h ]?(\d{2}(?::\d{2})?))?"
    r"\s*([AaPp])\.?[Mm]\.?(?![A-Za-z])(.*)"
)
"""All that is typed, with its day and its offset: in '9 05 pm' stands a '05 pm', which is not meant."""
_WITH_HOUR = re.compile(r"\d{4}-?\d{2}-?\d{2}[ Tt]\s*\d.*")
_FEWEST_LETTERS = 4
"""Of a part of a zone's name: of fewer a slip would find one."""
_LIKE = "type it like 2026-11-25 15:40, in UTC"


def parse_day(text: str) -> date:
    """Return the day of '2026-11-25'.

    Raises
    ------
    PlanError
        If it is no day.
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise PlanError(f"{text.strip()!r} is not a day", remedy="type it like 2026-11-25") from None


def parse_hour(text: str) -> time:
    """Return the time of day of '15:40', '3:40 pm', '1540', '15:40:30'; aware with an offset: '1:30 -05:00'.

    Raises
    ------
    PlanError
        If it is no time of day.
    """
    plain = text.strip()
    found = _HOUR.fullmatch(_by_24_hours(plain))
    hour, minute, second, sign, ahead_h, ahead_min = found.groups("0") if found else ("24",) * 6
    ahead = timedelta(hours=int(ahead_h), minutes=int(ahead_min))
    too_much = int(hour) > 23 or max(map(int, (minute, second, ahead_min))) > 59
    if too_much or ahead > timedelta(hours=14):
        raise PlanError(f"{plain!r} is not a time of day", remedy="type it like 15:40")
    offset = timezone(-ahead if sign == "-" else ahead) if sign in ("+", "-") else None
    return time(int(hour), int(minute), int(second), tzinfo=offset)


def parse_zone(text: str) -> str:
    """Return the name of a known time zone; a part of it will do where only one has it: 'honolulu'.

    Raises
    ------
    PlanError
        If it is not known.
    """
    typed = text.strip()
    try:
        zone_info(typed)
    except PlanError:
        return _zone_meant(typed)
    return typed


def _zone_meant(typed: str) -> str:
    """Return the one zone that is called so, or whose name holds what is typed."""
    wanted = typed.casefold().replace(" ", "_")
    names = sorted(available_timezones()) if len(wanted) >= _FEWEST_LETTERS else []
    for means in (str.__eq__, str.endswith, str.__contains__):
        found = [name for name in names if means(name.casefold(), wanted)]
        if len(found) == 1:
            return found[0]
    zone_info(typed)
    raise AssertionError(typed)


def parse_moment(text: str, zone: str = "UTC", like: str = _LIKE) -> datetime:
    """Return the moment of '2026-11-25 15:40' by the zone's clock, or with its own offset, in UTC.

    `like` says in a refusal how it is typed.

    Raises
    ------
    PlanError
        If it is no moment, or a day without an hour: whether its beginning or its end is meant, nobody knows;
        or if clocks in the zone don't show it, or show it twice.
    """
    moment = _as_typed(text, like)
    if moment.tzinfo is not None:
        return in_utc(moment, repr(text.strip()))
    try:
        return local_hours.local_moment(moment.date(), moment.time(), zone)
    except OverflowError:
        raise PlanError(f"{text.strip()!r} lies outside the years 1 to 9999") from None


def wall_of(text: str) -> datetime:
    """Return day and hour as they are typed, by whatever clock; it raises as `parse_moment` does."""
    return _as_typed(text, _LIKE).replace(tzinfo=None)


def parse_day_or_moment(text: str) -> date:
    """Return a day, or a moment as `parse_moment` reads it.

    Raises
    ------
    PlanError
        If it is neither.
    """
    return parse_day(text) if _is_day(text.strip()) else parse_moment(text)


def moment_text(moment: datetime | None, zone: str = "UTC") -> str:
    """Return a moment as `parse_moment` reads it by the zone's clock, to the second; '' for None."""
    return "" if moment is None else local_hours.moment_text(moment, zone)


def system_zone() -> str:
    """Return the name of this computer's time zone, UTC where it has none that is known."""
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
    try:
        return parse_zone(name)
    except PlanError:
        return "UTC"


def _as_typed(text: str, like: str) -> datetime:
    """Return what is typed, aware only where it names its clock."""
    plain = _by_24_hours(text.strip()).removesuffix("UTC").strip()
    if _is_day(plain.rstrip("Zz")):
        raise PlanError(f"{text.strip()!r} is a day without an hour", remedy=f"give the hour: {like}")
    try:
        # Without the check the offset of '2026-11-25-05:00' would be read as its hour.
        moment = datetime.fromisoformat(plain.replace("Z", "+00:00") if _WITH_HOUR.fullmatch(plain) else "")
    except ValueError:
        raise PlanError(f"{text.strip()!r} is not a moment", remedy=like) from None
    in_words = moment.tzinfo is None and text.strip().endswith("UTC")
    return moment.replace(tzinfo=UTC) if in_words else moment


def _by_24_hours(text: str) -> str:
    """Return what is typed with '3:40 pm' as '15:40'."""
    found = _HALF_DAY.fullmatch(text)
    if found is None or not 1 <= int(found.group(2)) <= 12:
        return text
    day, hour, minute, half, rest = found.groups("")
    return f"{day}{int(hour) % 12 + 12 * (half in 'Pp'):02d}:{minute or '00'}{rest}"


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
