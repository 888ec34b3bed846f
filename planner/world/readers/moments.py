"""Moments as publishers write them."""

import re
from datetime import UTC, datetime, timedelta

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}|\d{1,2}/\d{1,2}/\d{4}")


def moment_of(text: str, *, end_of_day: bool = False) -> datetime | None:
    """Return a moment in UTC, or None where the text is not one.

    ISO 8601, and the authority's month/day/year. A time without an offset is
    taken as UTC. A day without a time is its beginning in UTC, or its end.
    """
    plain = text.strip()
    try:
        if "/" in plain:
            month, day, year = (int(part) for part in plain.split("/"))
            moment = datetime(year, month, day, tzinfo=UTC)
        else:
            moment = datetime.fromisoformat(plain)
            moment = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
        return moment + timedelta(days=1) if end_of_day and _DAY.fullmatch(plain) else moment
    except (ValueError, OverflowError):
        return None
