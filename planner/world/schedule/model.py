"""What published hours say, once read."""

from datetime import datetime
from enum import StrEnum

import attrs

DAY_MIN = 24 * 60
EVERY_DAY = frozenset(range(7))
"""Days of the week as Python counts them: Monday is 0."""


class Activity(StrEnum):
    """Whether a volume is active in a window; all but INACTIVE count as active."""

    ACTIVE = "active"
    INACTIVE = "inactive"
    BY_NOTICE = "by-notice"
    UNREADABLE = "unreadable"


class SunEvent(StrEnum):
    """Events of the sun by their codes in ED-318 and AIXM."""

    BEGIN_CIVIL = "BMCT"
    RISE = "SR"
    SET = "SS"
    END_CIVIL = "EECT"


class Otherwise(StrEnum):
    """What a volume is outside its hours."""

    UNSTATED = "unstated"
    NOT_ACTIVE = "not-active"
    BY_NOTICE = "by-notice"
    CLASS_E = "class-e"
    CLASS_G = "class-g"


@attrs.frozen
class Clock:
    """By which clock a time is told.

    `ahead_min` is how far it runs ahead of UTC [min], None for the place's own
    legal time. `earlier_in_summer`: from an unnamed day in spring to one in
    autumn the times are an hour earlier. `or_local`: the place's own legal time
    counts as well.
    """

    ahead_min: int | None = None
    earlier_in_summer: bool = False
    or_local: bool = False


LOCAL = Clock()
UTC_CLOCK = Clock(0)


@attrs.frozen
class Edge:
    """A beginning or an end: a minute of the day, or minutes after an event of the sun."""

    minute: float
    event: SunEvent | None = None
    clock: Clock | None = None


@attrs.frozen
class Season:
    """Part of the year, each day as (month, day), both included; it may span the new year."""

    first: tuple[int, int]
    last: tuple[int, int]

    def holds(self, month: int, day: int) -> bool:
        """Whether a day of the year lies in it."""
        if self.first <= self.last:
            return self.first <= (month, day) <= self.last
        return (month, day) >= self.first or (month, day) <= self.last


@attrs.frozen
class Period:
    """Hours that recur on days of the week; an end at or before its start is on the next day."""

    start: Edge
    end: Edge
    days: frozenset[int] = EVERY_DAY
    season: Season | None = None
    from_utc: datetime | None = None
    until_utc: datetime | None = None

    @property
    def is_always(self) -> bool:
        """Whether it is every minute of every day."""
        bounds = (self.season, self.from_utc, self.until_utc, self.start.event, self.end.event)
        whole_days = (self.end.minute - self.start.minute) % DAY_MIN == 0 and self.days == EVERY_DAY
        return whole_days and all(bound is None for bound in bounds)


ALL_DAY = (Edge(0), Edge(DAY_MIN))


@attrs.frozen
class Schedule:
    """Hours of activity, and what holds outside them. Without periods it is never in its hours.

    `sure` says whether it is active in all of them; else they are those in
    which it may be.
    """

    periods: tuple[Period, ...]
    otherwise: Otherwise = Otherwise.UNSTATED
    sure: bool = True
