"""Times of the code, which names no month, as moments near a known one."""

from datetime import UTC, datetime, timedelta

from planner.world.weather.report import CodedTime


def moment_near(time: CodedTime, near_utc: datetime) -> datetime | None:
    """Return the moment of a coded time that lies nearest to another, None if no month near has that day."""
    candidates = []
    for month in (-1, 0, 1):
        year, number = divmod(near_utc.year * 12 + near_utc.month - 1 + month, 12)
        try:
            midnight = datetime(year, number + 1, time.day, tzinfo=UTC)
        except ValueError:
            continue
        candidates.append(midnight + timedelta(hours=time.hour, minutes=time.minute))
    return min(candidates, key=lambda moment: abs(moment - near_utc), default=None)
