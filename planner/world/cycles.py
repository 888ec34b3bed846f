"""The dates on which aeronautical data change: every 28 days, some of it every 56.

Counted from 2 January 2020 (the AIRAC list of that year; check_values 11b). A
cycle is named by its year and number: 2601 is the first of 2026. The 56-day
products follow every second cycle; of 2026 the odd ones (NASR's own readme
names 27 November 2025 as one, so 22 January 2026 is the next).
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta

import attrs

FIRST_KNOWN = date(2020, 1, 2)
DAYS = 28
LONG_DAYS = 56
CHANGED_BY = time(9, 1)
"""UTC. The data of the United States change at 0901, as the covers of both editions say (from memory). AIRAC
data change at 0000 (ICAO Annex 15, from memory): sets made for another state make no plan ready, so the hours
between count for the old edition."""
_A_LONG_ONE = date(2025, 11, 27)


@attrs.frozen
class Cycle:
    """One cycle: its days from `start` up to `end`, which is the start of the next."""

    start: date
    days: int = DAYS

    @property
    def end(self) -> date:
        """The first day on which it no longer holds."""
        return self.start + timedelta(days=self.days)

    @property
    def name(self) -> str:
        """Year and number, four digits: '2611'; the numbers are those of the 28-day cycles."""
        number = (self.start - _first_start_of(self.start.year)).days // DAYS + 1
        return f"{self.start.year % 100:02d}{number:02d}"

    @property
    def effective_utc(self) -> datetime:
        """The hour of its first day at which its data take over."""
        return datetime.combine(self.start, CHANGED_BY, UTC)

    @property
    def expires_utc(self) -> datetime:
        """The moment at which the data of the next take over."""
        return datetime.combine(self.end, CHANGED_BY, UTC)


def current_cycle(on: date, days: int = DAYS) -> Cycle:
    """Return the cycle in force on a day.

    Parameters
    ----------
    on : date
        Any day.
    days : int
        28 or 56.
    """
    anchor = _anchor(days)
    return Cycle(on - timedelta(days=(on - anchor).days % days), days)


def cycles_of(year: int, days: int = DAYS) -> Iterator[Cycle]:
    """Yield the cycles that start in a year."""
    cycle = current_cycle(date(year, 1, 1), days)
    if cycle.start.year < year:
        cycle = Cycle(cycle.end, days)
    while cycle.start.year == year:
        yield cycle
        cycle = Cycle(cycle.end, days)


def cycle_named(name: str) -> Cycle | None:
    """Return the 28-day cycle of that name ('2611'), None if there is none."""
    if len(name) != 4 or not (name.isascii() and name.isdigit()) or int(name[2:]) < 1:
        return None
    year = 2000 + int(name[:2])
    start = _first_start_of(year) + timedelta(days=DAYS * (int(name[2:]) - 1))
    return Cycle(start) if start.year == year else None


def _anchor(days: int) -> date:
    if days not in (DAYS, LONG_DAYS):
        raise ValueError(f"a cycle has {DAYS} or {LONG_DAYS} days, not {days}")
    return FIRST_KNOWN if days == DAYS else _A_LONG_ONE


def _first_start_of(year: int) -> date:
    start = current_cycle(date(year, 1, 1)).start
    return start if start.year == year else start + timedelta(days=DAYS)
