"""Words of published hours, each known or the text can't be read."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import lru_cache

import attrs

from planner.world.schedule.model import (
    DAY_MIN,
    EVERY_DAY,
    LOCAL,
    UTC_CLOCK,
    Clock,
    Edge,
    Otherwise,
    Season,
    SunEvent,
)


class UnreadableError(Exception):
    """The text has something that is not understood. Never leaves the package."""


@attrs.frozen
class Dash:
    """From here to there."""


@attrs.frozen
class Break:
    """The end of a statement."""


@attrs.frozen
class Days:
    """Days of the week; not `sure` where a holiday may make it other ones."""

    days: frozenset[int]
    sure: bool = True


@attrs.frozen
class Perhaps:
    """The hours are those in which it may be active; that it is, is not said."""


@attrs.frozen
class AllDay:
    """Round the clock."""


@attrs.frozen
class Notice:
    """Activity is announced by notices."""


@attrs.frozen
class OtherTimes:
    """What follows, or stands right before, holds outside the hours."""


@attrs.frozen
class State:
    """What the airspace is."""

    otherwise: Otherwise | None


@attrs.frozen
class Bounds:
    """Dates outside which the statement does not hold."""

    from_utc: datetime | None
    until_utc: datetime | None


Token = Dash | Break | Days | Perhaps | AllDay | Notice | OtherTimes | State | Bounds | Edge | Clock | Season

_DAY = (
    r"(MON|TUE|WED|THU|FRI|SAT|SUN|TUES|WEDS|THUR|THURS"
    r"|MONDAY|TUESDAY|WEDNESDAY|THURSDAY|FRIDAY|SATURDAY|SUNDAY)S?"
)
_DAY_NAMES = ("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN")
_MONTH_NAMES = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
_MONTH = r"(JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)[A-Z]*"
_TO = r"\s*(?:-|TO|THRU|THROUGH|UNTIL)\s*"
_EVENT = r"(SUNRISE|SUNSET|SR|SS|BMCT|EECT)"
_EVENTS = {
    "SUNRISE": SunEvent.RISE,
    "SUNSET": SunEvent.SET,
    "SR": SunEvent.RISE,
    "SS": SunEvent.SET,
    "BMCT": SunEvent.BEGIN_CIVIL,
    "EECT": SunEvent.END_CIVIL,
}
_ZONE = r"AK[SD]?T|[AECMPH][SD]T|[ECMP]T"
_CLOCK = (
    rf"(?:\s*(Z\+\+|Z‡|Z|UTC(?!\s?[+-]|, AN HOUR)|LCL|LOCAL|LT|L|{_ZONE})(?![A-Z0-9])"
    r"|\+(\d{2}):?(\d{2}))?"
)
_ISO = r"(\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?(?:Z|[+-]\d{2}:\d{2}))"
_NOTICE = (
    r"(?:(?:AS|WHEN|IF)\s+)?(?:(?:ACTIVATED|PUBLISHED|ANNOUNCED|SPECIFIED|ISSUED)\s+)?(?:(?:BY|VIA|PER|IN)\s+)?"
    r"(?:A\s+)?(?:NOTAM|NOTAMS|NOTICE TO AIRMEN|NOTICE TO AIR MISSIONS)(?![A-Z])"
    r"(?:[\s,]*(?:ISSUED\s+)?(?:AT LEAST\s+)?\d{1,2}\s*(?:HRS?|HOURS?)\s+(?:IN ADVANCE|PRIOR|BEFORE))?"
)
_SUMMER = Clock(0, earlier_in_summer=True)
_STANDARD_H = {"A": -4, "E": -5, "C": -6, "M": -7, "P": -8, "AK": -9, "H": -10}
"""Zones of the United States by the letters before their S, D or T; offsets of standard time from UTC [h]."""
_CLOCKS = {
    "Z": UTC_CLOCK,
    "UTC": UTC_CLOCK,
    "Z++": _SUMMER,
    "Z‡": _SUMMER,
    "LCL": LOCAL,
    "LOCAL": LOCAL,
    "LT": LOCAL,
    "L": LOCAL,
}


def tokens_of(text: str) -> Iterator[Token]:
    """Yield the words of a text.

    Raises
    ------
    UnreadableError
        At the first thing that is not known.
    """
    plain = " ".join(text.upper().replace("–", "-").replace("—", "-").split())
    position = 0
    while position < len(plain):
        match, make = _next(plain, position)
        position = match.end()
        token = make(match)
        if token is not None:
            yield token


def _next(plain: str, position: int) -> tuple[re.Match[str], Callable[[re.Match[str]], Token | None]]:
    for pattern, make in _compiled():
        match = pattern.match(plain, position)
        if match and match.end() > position:
            return match, make
    raise UnreadableError(plain[position : position + 20])


def _days(match: re.Match[str]) -> Days:
    first = _day_number(match[1])
    if match[2] is None:
        return Days(frozenset({first}))
    last = _day_number(match[2])
    return Days(frozenset((first + step) % 7 for step in range((last - first) % 7 + 1)))


def _day_number(name: str) -> int:
    return _DAY_NAMES.index(name[:3])


def _season_day_first(match: re.Match[str]) -> Season:
    return Season(_day_of_year(match[2], match[1]), _day_of_year(match[4], match[3]))


def _season_month_first(match: re.Match[str]) -> Season:
    return Season(_day_of_year(match[1], match[2]), _day_of_year(match[3], match[4]))


def _day_of_year(month: str, day: str) -> tuple[int, int]:
    number = _MONTH_NAMES.index(month) + 1
    if not 1 <= int(day) <= (29 if number == 2 else 30 if number in (4, 6, 9, 11) else 31):
        raise UnreadableError(f"{month} {day}")
    return number, int(day)


def _time(match: re.Match[str]) -> Edge:
    hour, minute, second = int(match[1]), int(match[2]), float(match[3] or 0)
    of_day = hour * 60 + minute + second / 60
    if of_day > DAY_MIN or minute > 59 or second >= 60:
        raise UnreadableError(match[0])
    return Edge(of_day, clock=_clock_of(match[4], match[5], match[6]))


def _twelve_hour(match: re.Match[str]) -> Edge:
    hour, minute = int(match[1]), int(match[2] or 0)
    if not 1 <= hour <= 12 or minute > 59:
        raise UnreadableError(match[0])
    return Edge((hour % 12 + (12 if match[3] == "P" else 0)) * 60 + minute)


def _clock_of(name: str | None, hours: str | None, minutes: str | None) -> Clock | None:
    # A minus sign after a time is a dash; clocks behind UTC are written 'UTC-5'.
    if hours is not None:
        return Clock(_signed_minutes("+", hours, minutes))
    if not name:
        return None
    return _CLOCKS.get(name) or _named_zone(name)


def _named_zone(name: str) -> Clock:
    """Return the clock of EST, EDT or ET.

    Each is written for the other, so both count, and the place's own clock too.
    """
    letters = name.removesuffix("T")
    ahead_h = _STANDARD_H.get(letters) or _STANDARD_H[letters[:-1]]
    return Clock(ahead_h * 60, earlier_in_summer=True, or_local=True)


def _signed_minutes(sign: str, hours: str, minutes: str | None) -> int:
    ahead = int(hours) * 60 + int(minutes or 0)
    if ahead > 14 * 60:
        raise UnreadableError(f"{sign}{hours}")
    return -ahead if sign == "-" else ahead


def _sun(match: re.Match[str]) -> Edge:
    return Edge(0, _EVENTS[match[1]])


def _shifted_sun(match: re.Match[str]) -> Edge:
    count = {"HALF": 30, "ONE": 60, "AN": 60}.get(match[1] or "")
    if count is None:
        count = int(match[1]) * (1 if match[2].startswith("M") else 60)
    if count > 6 * 60:
        raise UnreadableError(match[0])
    return Edge(count if match[3] == "AFTER" else -count, _EVENTS[match[4]])


def _sun_plus(match: re.Match[str]) -> Edge:
    if int(match[3]) > 6 * 60:
        raise UnreadableError(match[0])
    return Edge(int(match[3]) * (-1 if match[2] == "MINUS" else 1), _EVENTS[match[1]])


def _utc_offset(match: re.Match[str]) -> Clock:
    return Clock(_signed_minutes(match[1], match[2], match[3]))


def _bounds(match: re.Match[str]) -> Bounds:
    return Bounds(_moment(match[1]), _moment(match[2]))


def _bound_after(match: re.Match[str]) -> Bounds:
    return Bounds(_moment(match[1]), None)


def _bound_before(match: re.Match[str]) -> Bounds:
    return Bounds(None, _moment(match[1]))


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError):
        raise UnreadableError(text) from None


def _constant(token: Token | None) -> Callable[[re.Match[str]], Token | None]:
    return lambda _match: token


def _words() -> Iterator[tuple[str, Callable[[re.Match[str]], Token | None]]]:
    """Yield patterns with what they make, those that could begin another first."""
    end = r"(?![A-Z0-9])"
    yield r"[\s,.&()]+|AND" + end + "|/", _constant(None)
    yield ";", _constant(Break())
    yield rf"FROM\s+{_ISO}\s+UNTIL\s+{_ISO}", _bounds
    yield rf"FROM\s+{_ISO}", _bound_after
    yield rf"UNTIL\s+{_ISO}", _bound_before
    yield rf"(\d{{1,2}})\s+{_MONTH}{_TO}(\d{{1,2}})\s+{_MONTH}", _season_day_first
    yield rf"{_MONTH}\s+(\d{{1,2}}){_TO}{_MONTH}\s+(\d{{1,2}}){end}", _season_month_first
    yield rf"{_DAY}(?:{_TO}{_DAY})?{end}", _days
    yield rf"(?:WEEKDAYS|WORKDAYS?){end}", _constant(Days(frozenset(range(5)), sure=False))
    yield rf"WEEKENDS?{end}", _constant(Days(frozenset({5, 6})))
    # A holiday can be any day: what is said of it holds every day, what is left out for it is not left out.
    yield (
        rf"(?:EXC|EXCEPT|EXCLUDING|EXCL){end}\.?\s*(?:FEDERAL |FED |LEGAL |PUBLIC )?HOL(?:S|IDAYS?)?{end}",
        _constant(Perhaps()),
    )
    yield rf"(?:FEDERAL |FED |LEGAL |PUBLIC )?HOL(?:S|IDAYS?)?{end}", _constant(Days(EVERY_DAY, sure=False))
    yield rf"(?:DAILY|DLY|ANY|EVERY DAY|EACH DAY){end}", _constant(Days(EVERY_DAY))
    yield rf"(?:H24|CONTINUOUS(?:LY)?|24\s*(?:HRS?|HOURS)(?: A DAY)?){end}", _constant(AllDay())
    yield rf"(?:LEGAL DESCRIPTION REFERENCES NOTAM|{_NOTICE})", _constant(Notice())
    yield rf"(?:AT )?(?:ALL )?OTHER TIMES{end}|OTHERWISE{end}", _constant(OtherTimes())
    yield rf"CLASS\s+E(?: SURFACE(?: AREA)?| SFC)?{end}", _constant(State(Otherwise.CLASS_E))
    yield rf"CLASS\s+G{end}", _constant(State(Otherwise.CLASS_G))
    yield rf"CLASS\s+[BCD]{end}", _constant(State(None))
    yield rf"(?:NOT ACTIVE|INACTIVE){end}", _constant(State(Otherwise.NOT_ACTIVE))
    yield r"UTC, AN HOUR EARLIER IN SUMMER", _constant(_SUMMER)
    yield r"UTC\s?([+-])(\d{1,2})(?::?(\d{2}))?(?![\d:])", _utc_offset
    yield rf"(?:LOCAL TIME|LOCAL|LCL TIME|LCL|LT){end}", _constant(LOCAL)
    yield rf"(?:UTC|ZULU|GMT){end}(?!\s?[+-])", _constant(UTC_CLOCK)
    yield rf"({_ZONE}){end}", lambda match: _named_zone(match[1])
    yield (
        rf"(?:(ONE|AN|HALF|\d{{1,3}})\s*(?:AN )?(MINUTES?|MINS?|HOURS?|HRS?)"
        rf"\s+(BEFORE|PRIOR TO|AFTER)\s+{_EVENT}{end})",
        _shifted_sun,
    )
    yield rf"{_EVENT}\s+(PLUS|MINUS)\s+(\d{{1,3}})(?:\s*MIN(?:S|UTES)?)?{end}", _sun_plus
    yield rf"{_EVENT}{end}", _sun
    yield rf"(\d{{1,2}})(?::(\d{{2}}))?\s*([AP])\.?M{end}\.?", _twelve_hour
    yield rf"(\d{{1,2}}):(\d{{2}})(?::(\d{{2}}(?:\.\d{{1,9}})?))?{_CLOCK}(?![\d:])", _time
    yield rf"(\d{{2}})(\d{{2}})(){_CLOCK}(?![\d:])", _time
    yield rf"-|TO{end}|THRU{end}|THROUGH{end}|UNTIL{end}", _constant(Dash())
    yield rf"INTERMITTENT(?:LY)?{end}", _constant(Perhaps())
    yield (
        rf"(?:SERVICE|SVC|AIRSPACE|EFFECTIVE|EFF|HOURS|HRS|TIMES OF USE|ACTIVE){end}",
        _constant(None),
    )


@lru_cache(maxsize=1)
def _compiled() -> tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Token | None]], ...]:
    return tuple((re.compile(pattern), make) for pattern, make in _words())
