"""What closes an airspace that is entered: its kind, its limits, its times, and whose word opens it."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from planner.permission.need import PermissionNeed
from planner.plan.model import Purpose
from planner.rules.asked_words import asked_numbers
from planner.rules.bibliography import closed_rule
from planner.rules.case import Case
from planner.rules.flown import flown
from planner.rules.moments import moment
from planner.rules.words import over_ft, room_ft
from planner.saying import marked
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit

_WHAT: Final = {
    AirspaceKind.PROHIBITED: "a prohibited area",
    AirspaceKind.RESTRICTED: "a restricted area",
    AirspaceKind.SECURITY: "a security restriction",
    AirspaceKind.STADIUM: "a restriction about a stadium event",
    AirspaceKind.TEMPORARY: "a temporary restriction",
    AirspaceKind.ZONE_PROHIBITED: "a zone closed to unmanned aircraft",
    AirspaceKind.ZONE_PERMISSION: "a zone that wants permission or conditions",
}
_ANY_AGENCY: Final = "the using or controlling agency"


def entered_volumes(case: Case, need: PermissionNeed) -> list[AirspaceVolume]:
    """Return the volumes that a need is about and the flight enters."""
    if case.mapped is None:
        return []
    columns = [column for use in case.uses if use.need is need for column in use.volumes]
    airspace = case.mapped.airspace
    return [airspace[column] for column in columns if flown(case, column, airspace[column])]


def what_it_is(case: Case, volumes: list[AirspaceVolume]) -> str:
    """Return ' It is a restricted area, from the ground to 3,000 ft above ground.', '' of nothing known."""
    told = dict.fromkeys(
        f"{_WHAT[volume.kind]}, from {floor_words(volume.floor)} to {_top(volume.top)}{_times(case, volume)}"
        for volume in volumes
        if volume.kind in _WHAT
    )
    return f" It is {marked('; and '.join(told))}." if told else ""


def agency_of(volumes: Iterable[AirspaceVolume]) -> str:
    """Return whose permission it takes."""
    return " and ".join(sorted({one.agency for one in volumes if one.agency})) or _ANY_AGENCY


def or_another_time(case: Case, volumes: list[AirspaceVolume]) -> str:
    """Return ', fly after …' where the dates on file end or begin within the window, else ''."""
    window = case.plan.window
    if window is None or not volumes:
        return ""
    ends = [volume.active_to_utc for volume in volumes]
    known_ends = [end for end in ends if end is not None]
    if len(known_ends) == len(ends) and (last := max(known_ends)) < window.end_utc:
        return f", fly after {moment(last, window)}"
    begins = [volume.active_from_utc for volume in volumes]
    known = [first for first in begins if first is not None]
    if len(known) == len(begins) and (first := min(known)) > window.start_utc:
        return f", be down before {moment(first, window)}"
    return ""


def numbers_of(need: PermissionNeed, volumes: list[AirspaceVolume]) -> dict[str, float]:
    """Return the figures that led here: what is planned, and the limits of the first volume."""
    found = asked_numbers(need)
    kinds = {LimitReference.SEA_LEVEL: "amsl", LimitReference.ABOVE_GROUND: "agl"}
    for volume in volumes[:1]:
        for name, limit in (("floor", volume.floor), ("top", volume.top)):
            if limit.reference in kinds:
                found[f"{name}_{kinds[limit.reference]}_m"] = limit.m
    return found


def citation_of(purpose: Purpose | None, volumes: Iterable[AirspaceVolume]) -> str:
    """Return what closes it to that purpose."""
    return closed_rule(purpose, {volume.kind for volume in volumes})


def floor_words(limit: VerticalLimit) -> str:
    """Return where a floor lies: '1,200 ft above sea level'."""
    match limit.reference:
        case LimitReference.SEA_LEVEL:
            return f"{room_ft(limit.m)} above sea level"
        case LimitReference.ABOVE_GROUND:
            return f"{room_ft(limit.m)} above ground"
        case LimitReference.SURFACE:
            return "the ground"
        case _:
            return "a floor that is not known"


def _top(limit: VerticalLimit) -> str:
    match limit.reference:
        case LimitReference.SEA_LEVEL:
            return f"{over_ft(limit.m)} above sea level"
        case LimitReference.ABOVE_GROUND:
            return f"{over_ft(limit.m)} above ground"
        case LimitReference.UNLIMITED:
            return "any height"
        case _:
            return "a top that is not known"


def _times(case: Case, volume: AirspaceVolume) -> str:
    window = case.plan.window

    def at(when: datetime) -> str:
        return moment(when, window)

    match volume.active_from_utc, volume.active_to_utc:
        case None, None:
            return ""
        case None, datetime() as last:
            return f", on file until {at(last)}"
        case datetime() as first, None:
            return f", on file from {at(first)} on"
        case datetime() as first, datetime() as last:
            return f", on file from {at(first)} to {at(last)}"
    return ""
