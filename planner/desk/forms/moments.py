"""Days, hours and zones as people type them."""

import re
from datetime import UTC, date, datetime, time

from PySide6.QtCore import QTimeZone

from planner.errors import PlanError
from planner.geo.window import zone_info


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
    """Return the time of day of '15:40' or '1540'.

    Raises
    ------
    PlanError
        If it is no time of day.
    """
    found = re.fullmatch(r"(\d{1,2})[:.h ]?(\d{2})", text.strip())
    if found is None or int(found.group(1)) > 23 or int(found.group(2)) > 59:
        raise PlanError(f"{text.strip()!r} is not a time of day", remedy="type it like 15:40")
    return time(int(found.group(1)), int(found.group(2)))


def parse_zone(text: str) -> str:
    """Return the name of a known time zone.

    Raises
    ------
    PlanError
        If it is not known.
    """
    zone_info(text.strip())
    return text.strip()


def parse_moment(text: str) -> datetime:
    """Return the moment of '2026-11-25 15:40' in UTC, or with its own offset.

    Raises
    ------
    PlanError
        If it is no moment.
    """
    plain = text.strip().removesuffix("UTC").strip()
    try:
        moment = datetime.fromisoformat(plain.replace("Z", "+00:00"))
    except ValueError:
        raise PlanError(
            f"{text.strip()!r} is not a moment", remedy="type it like 2026-11-25 15:40, in UTC"
        ) from None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def moment_text(moment: datetime | None) -> str:
    """Return a moment as `parse_moment` reads it, '' for None."""
    return "" if moment is None else f"{moment.astimezone(UTC):%Y-%m-%d %H:%M}"


def at(day: date, hour: time, zone: str) -> datetime:
    """Return a local moment in UTC."""
    return datetime.combine(day, hour, tzinfo=zone_info(zone)).astimezone(UTC)


def system_zone() -> str:
    """Return the name of this computer's time zone, UTC where it has none that is known."""
    name = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
    try:
        return parse_zone(name)
    except PlanError:
        return "UTC"
