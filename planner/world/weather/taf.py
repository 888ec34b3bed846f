"""Reading TAF."""

import re
from collections.abc import Sequence

import attrs

from planner.world.weather import patterns
from planner.world.weather.groups import read_groups
from planner.world.weather.header import Groups, coded_time, groups_of, take_issued, take_station
from planner.world.weather.report import ChangeKind, CodedTime, Forecast, Period

# The code allows no forecast, and so no part of one, for longer (WMO-No. 306, FM 51; from memory).
_LONGEST_H = 30
_MONTH_LENGTHS = (28, 29, 30, 31)
_CHANGES = {"BECMG": ChangeKind.BECOMING, "TEMPO": ChangeKind.TEMPORARY, "INTER": ChangeKind.TEMPORARY}


@attrs.define
class _Part:
    """A period whose groups are still being gathered."""

    change: ChangeKind
    start: CodedTime
    end: CodedTime
    probability: int | None = None
    groups: list[str] = attrs.field(factory=list)


def read_taf(text: str) -> Forecast:
    """Return what a forecast says.

    Raises
    ------
    WeatherReportError
        If the text is no TAF at all. Groups that can't be read are listed; a
        change whose time can't be read is listed whole and not applied.
    """
    groups = groups_of(text, "TAF")
    groups.take("TAF")
    amended = bool(groups.take("AMD", "COR"))
    station = take_station(groups, "TAF")
    issued = take_issued(groups, "TAF")
    missing = bool(groups.take("NIL"))
    start, end, doubt = _take_validity(groups)
    cancelled = bool(groups.take("CNL"))
    body, remarks = groups.before("RMK")
    parts: list[_Part] = []
    unread = body
    if start and end:
        parts, unread = _parts(body, start, end)
    return Forecast(
        raw=text,
        station=station,
        issued=issued,
        start=start,
        end=end,
        periods=tuple(
            Period(part.change, part.start, part.end, read_groups(part.groups), part.probability)
            for part in parts
        ),
        amended=amended,
        cancelled=cancelled,
        missing=missing,
        remarks=" ".join(remarks),
        validity_doubt=doubt,
        unread=tuple(unread),
    )


def _parts(body: Sequence[str], start: CodedTime, end: CodedTime) -> tuple[list[_Part], list[str]]:
    parts = [_Part(ChangeKind.PREVAILING, start, end)]
    unread: list[str] = []
    left = Groups(list(body))
    lost = False
    while left.left:
        head = left.left[0]
        if not _begins_change(head):
            (unread if lost else parts[-1].groups).append(left.left.pop(0))
            continue
        taken, part = _take_change(left, end)
        lost = part is None
        if part is None:
            unread.extend(taken)
        else:
            parts.append(part)
    return parts, unread


def _begins_change(group: str) -> bool:
    return group in _CHANGES or group.startswith(("FM", "PROB"))


def _take_change(left: Groups, end: CodedTime) -> tuple[list[str], _Part | None]:
    """Take a change's heading; None if its time or form can't be read."""
    head = left.left.pop(0)
    if found := patterns.FROM.fullmatch(head):
        at = coded_time(found[1], found[2], found[3])
        return [head], _Part(ChangeKind.FROM, at, end) if at else None
    taken = [head]
    probability: int | None = None
    change = _CHANGES.get(head)
    if chance := patterns.PROBABILITY.fullmatch(head):
        probability = int(chance[1])
        change = ChangeKind.PROBABLE
        if word := left.take("TEMPO"):
            taken.append(word)
    if change is None or not left.left:
        return taken, None
    found = patterns.VALIDITY.fullmatch(left.left[0])
    between = _validity(found) if found else None
    if between is None:
        return taken, None
    taken.append(left.left.pop(0))
    return taken, _Part(change, *between, probability)


def _take_validity(groups: Groups) -> tuple[CodedTime | None, CodedTime | None, str]:
    """Take the hours of a forecast, and why they are not believed; what can't be read stays where it is."""
    found = patterns.VALIDITY.fullmatch(groups.left[0]) if groups.left else None
    if found is None:
        return None, None, ""
    between = _validity(found)
    if between is None:
        return None, None, f"its hours {found[0]} are not from 1 to {_LONGEST_H} hours, as the code wants"
    groups.left.pop(0)
    return *between, ""


def _validity(found: re.Match[str]) -> tuple[CodedTime, CodedTime] | None:
    start, end = coded_time(found[1], found[2]), coded_time(found[3], found[4])
    return (start, end) if start and end and _follows_in_time(start, end) else None


def _follows_in_time(start: CodedTime, end: CodedTime) -> bool:
    """Whether one time comes at most so long after the other, in a month of some length."""
    hours = end.hour - start.hour
    apart = end.day - start.day
    days = [apart, *(apart + length for length in _MONTH_LENGTHS if length >= start.day)]
    return any(0 < 24 * count + hours <= _LONGEST_H for count in days)
