"""A stretch of time with the zone in which people speak of it."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import attrs

from planner.errors import PlanError


@attrs.frozen
class TimeWindow:
    """When the flight may take place: from `start_utc` to `end_utc`, both aware.

    `zone` is an IANA time zone name; it only decides how times are shown.
    """

    start_utc: datetime
    end_utc: datetime
    zone: str = "UTC"

    def __attrs_post_init__(self) -> None:
        object.__setattr__(self, "start_utc", in_utc(self.start_utc, "the start of the time window"))
        object.__setattr__(self, "end_utc", in_utc(self.end_utc, "the end of the time window"))
        if self.end_utc <= self.start_utc:
            raise PlanError(
                "the time window has no length or ends before it begins", remedy="set its end after its start"
            )
        zone_info(self.zone)

    def overlaps(self, start_utc: datetime | None, end_utc: datetime | None) -> bool:
        """Whether any moment of the window lies in [start, end]; None is open."""
        return (start_utc is None or start_utc <= self.end_utc) and (
            end_utc is None or end_utc >= self.start_utc
        )

    def within(self, start_utc: datetime | None, end_utc: datetime | None) -> bool:
        """Whether the whole window lies in [start, end]; None is open."""
        return (start_utc is None or start_utc <= self.start_utc) and (
            end_utc is None or end_utc >= self.end_utc
        )

    @property
    def first_day(self) -> date:
        """The day on which it starts, in its own zone."""
        return self.local(self.start_utc).date()

    @property
    def last_day(self) -> date:
        """The day on which it ends, in its own zone."""
        return self.local(self.end_utc).date()

    @property
    def clocks_change(self) -> bool:
        """Whether its zone's offset is another at the end than at the beginning: an hour may come twice."""
        return self.local(self.start_utc).utcoffset() != self.local(self.end_utc).utcoffset()

    def local(self, moment_utc: datetime) -> datetime:
        """Return the moment in the window's own zone; in UTC where the zone would need a year beyond 9999."""
        try:
            return moment_utc.astimezone(zone_info(self.zone))
        except OverflowError:
            return moment_utc


def in_utc(moment: datetime, what: str) -> datetime:
    """Return the moment in UTC.

    Raises
    ------
    PlanError
        If it has no offset from UTC or UTC can't express it.
    """
    if moment.utcoffset() is None:
        raise PlanError(f"{what} has no offset from UTC", remedy="write it like 2026-11-25T15:40:00Z")
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        raise PlanError(f"{what} lies outside the years 1 to 9999") from None


def zone_info(name: str) -> ZoneInfo:
    """Return the IANA zone of that name.

    Raises
    ------
    PlanError
        If no such zone is known.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise PlanError(
            f"time zone {name!r} is not known", remedy="use a name like America/New_York or UTC"
        ) from None
