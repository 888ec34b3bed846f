"""Reading METAR and SPECI."""

import re
from collections.abc import Sequence
from typing import Final

from planner.world.weather.groups import read_groups
from planner.world.weather.header import Groups, groups_of, take_issued, take_station
from planner.world.weather.report import Conditions, Report

_CHANGES: Final = ("BECMG", "TEMPO")
_TRENDS: Final = ("NOSIG", *_CHANGES)
_TREND_TIME: Final = re.compile(r"(?:FM|TL|AT)\d{4}")


def read_metar(text: str) -> Report:
    """Return what a report says.

    Raises
    ------
    WeatherReportError
        If the text is no METAR or SPECI at all. A group that can't be read or
        believed is no error: it is listed.
    """
    groups = groups_of(text, "METAR")
    kind = groups.take("METAR", "SPECI") or "METAR"
    corrected = bool(groups.take("COR"))
    station = take_station(groups, "METAR")
    issued = take_issued(groups, "METAR")
    missing = bool(groups.take("NIL"))
    automatic, corrected = _modifiers(groups, corrected=corrected)
    body, remarks = groups.before("RMK")
    body, trend = Groups(body).before(*_TRENDS)
    return Report(
        raw=text,
        kind=kind,
        station=station,
        day=issued.day,
        hour=issued.hour,
        minute=issued.minute,
        conditions=Conditions(unread=tuple(body)) if missing else read_groups(body),
        automatic=automatic,
        corrected=corrected,
        missing=missing,
        trend=" ".join(trend),
        changes=() if missing else _changes(trend),
        remarks=" ".join(remarks),
    )


def _changes(trend: Sequence[str]) -> tuple[Conditions, ...]:
    """Return what each change of a trend brings; when it comes is not told apart."""
    parts: list[list[str]] = []
    for group in trend:
        if group in _CHANGES:
            parts.append([])
        elif parts and not _TREND_TIME.fullmatch(group):
            parts[-1].append(group)
        elif group != "NOSIG" and not parts:
            parts.append([group])
    return tuple(read_groups(part) for part in parts)


def _modifiers(groups: Groups, *, corrected: bool) -> tuple[bool, bool]:
    automatic = False
    while word := groups.take("AUTO", "COR"):
        automatic, corrected = automatic or word == "AUTO", corrected or word == "COR"
    return automatic, corrected
