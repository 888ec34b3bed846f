"""Hours that people read from a clock on the wall, as moments, also on days on which clocks change.

A clock put forward leaves hours out; one put back shows an hour twice (the first has the greater offset).
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from planner.errors import PlanError
from planner.geo.time_words import clock
from planner.geo.window import TimeWindow, zone_info


def local_moments(day: date, hour: time, zone: str) -> tuple[datetime, ...]:
    """Return when clocks in a zone show an hour on a day, in UTC: once, twice or never.

    An hour with an offset from UTC is one of these moments, or none.
    """
    legal, wall = zone_info(zone), datetime.combine(day, hour.replace(tzinfo=None, fold=0))
    found = {wall.replace(tzinfo=legal, fold=fold).astimezone(UTC) for fold in (0, 1)}
    shown = sorted(moment for moment in found if moment.astimezone(legal).replace(tzinfo=None) == wall)
    if hour.tzinfo is None:
        return tuple(shown)
    said = wall.replace(tzinfo=hour.tzinfo).astimezone(UTC)
    return (said,) if said in shown else ()


def local_moment(day: date, hour: time, zone: str) -> datetime:
    """Return when clocks in a zone show an hour on a day, in UTC.

    Raises
    ------
    PlanError
        If no clock in the zone shows it then, or clocks show it twice and no offset says which is meant.
    """
    shown = local_moments(day, hour, zone)
    if not shown:
        raise _not_shown(day, hour, zone)
    if len(shown) > 1:
        first, second = (f"{clock(hour)}{_offset(at.astimezone(zone_info(zone)))}" for at in shown)
        raise PlanError(
            f"on {day:%Y-%m-%d} clocks in {zone} show {clock(hour)} twice",
            remedy=f"type {first} for the first, {second} for the second",
        )
    return shown[0]


def window_of(day: date, start: time, end: time, zone: str) -> TimeWindow:
    """Return the window from the first time that clocks show `start` to the next time that they show `end`.

    Raises
    ------
    PlanError
        If no clock in the zone shows one of the two then.
    """
    begin_utc = _first(local_moments(day, start, zone), (day, start, zone))
    today = local_moments(day, end, zone)
    if not today and end.replace(tzinfo=None) > start.replace(tzinfo=None):
        raise _not_shown(day, end, zone)
    later = [moment for moment in today if moment > begin_utc]
    tomorrow = day + timedelta(days=1)
    end_utc = later[0] if later else _first(local_moments(tomorrow, end, zone), (tomorrow, end, zone))
    return TimeWindow(begin_utc, end_utc, zone)


def hour_text(at_utc: datetime, zone: str) -> str:
    """Return the hour on the clock: '15:40'; with its offset, '01:30 -05:00', where clocks show it twice."""
    local = at_utc.astimezone(zone_info(zone))
    return f"{clock(local)} {_offset(local)}" if is_shown_twice(local, zone) else clock(local)


def moment_text(at_utc: datetime, zone: str) -> str:
    """Return day and hour on the clock: '2026-11-25 15:40'; '2026-11-01 01:30-04:00' where shown twice.

    In UTC, and said so, where the zone would need a year beyond 9999.
    """
    try:
        local = at_utc.astimezone(zone_info(zone))
    except OverflowError:
        return f"{at_utc:%Y-%m-%d} {clock(at_utc)} UTC"
    return f"{local:%Y-%m-%d} {clock(local)}{_offset(local) if is_shown_twice(local, zone) else ''}"


def is_shown_twice(local: datetime, zone: str) -> bool:
    """Whether clocks in the zone show that hour of that day twice."""
    return len(local_moments(local.date(), local.time(), zone)) > 1


def twice_words(window: TimeWindow) -> str:
    """Return which is meant where clocks show the start or the end twice, and how to say the other."""
    words = []
    for at_utc in (window.start_utc, window.end_utc):
        local = window.local(at_utc)
        shown = local_moments(local.date(), local.time(), window.zone)
        if len(shown) < 2:
            continue
        which, other = ("first", shown[1]) if local.astimezone(UTC) == shown[0] else ("second", shown[0])
        words.append(
            f"Clocks show {clock(local)} twice that night; this is the {which}. "
            f"For the other type {hour_text(other, window.zone)}."
        )
    return " ".join(dict.fromkeys(words))


def _first(shown: Sequence[datetime], asked: tuple[date, time, str]) -> datetime:
    if not shown:
        raise _not_shown(*asked)
    return shown[0]


def _not_shown(day: date, hour: time, zone: str) -> PlanError:
    said = f"{clock(hour)} {_offset(datetime.combine(day, hour))}" if hour.tzinfo else clock(hour)
    return PlanError(
        f"on {day:%Y-%m-%d} no clock in {zone} shows {said}",
        remedy="clocks change that night: give an hour that they show"
        if _changes(day, zone)
        else "give the hour without an offset, or the offset that holds there",
    )


def _changes(day: date, zone: str) -> bool:
    legal = zone_info(zone)
    ends = (datetime.combine(day, time(), tzinfo=legal), datetime.combine(day, time(23, 59), tzinfo=legal))
    return ends[0].utcoffset() != ends[1].utcoffset()


def _offset(local: datetime) -> str:
    return f"{local:%z}"[:3] + ":" + f"{local:%z}"[3:5]
