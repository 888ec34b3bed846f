"""Rules on whose airspace it is."""

from collections.abc import Iterator

from planner.permission.entries import is_active
from planner.permission.need import PermissionNeed, Rise, Route, Subject
from planner.plan.model import Purpose
from planner.rules.asked_words import asked_numbers, readout_words, risen_words
from planner.rules.bibliography import (
    FACILITY_MAP,
    FIXED_SITES,
    FURTHER_COORDINATION,
    airspace_rule,
    give_way_rule,
)
from planner.rules.case import Case
from planner.rules.closed_words import (
    agency_of,
    citation_of,
    entered_volumes,
    numbers_of,
    or_another_time,
    what_it_is,
)
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.inquiries import inquiries
from planner.rules.inquiry_finding import inquiry_finding
from planner.rules.inquiry_uses import inquiry_uses
from planner.rules.words import capitalised, over_ft, room_ft
from planner.saying import marked
from planner.world.airspace import AirspaceKind, AirspaceVolume

_CAUTION = {
    AirspaceKind.WARNING: "warning area",
    AirspaceKind.MILITARY_OPERATIONS: "military operations area",
    AirspaceKind.ALERT: "alert area",
    AirspaceKind.NATIONAL_SECURITY: "national security area",
    AirspaceKind.TRAINING_ROUTE: "low-level training route",
    AirspaceKind.PARACHUTE: "parachute jumping",
    AirspaceKind.GLIDER: "gliding",
}

_ON_THE_GROUND_M = 0.1

_ROUTE_ADVICE = {
    Route.AUTOMATED: "ask through the automated service",
    Route.FURTHER_COORDINATION: "ask by a further coordination request",
    Route.ASK_AUTHORITY: "not through the automated service: ask the authority, or fly at a fixed site",
    Route.FIXED_SITE: "fly under the fixed site's written agreement and record it here",
    Route.HEADQUARTERS: "ask for coordination by the authority's headquarters",
}

_ROUTE_CITATION = {
    Route.FURTHER_COORDINATION: FURTHER_COORDINATION,
    Route.ASK_AUTHORITY: FURTHER_COORDINATION,
    Route.HEADQUARTERS: FACILITY_MAP,
    Route.FIXED_SITE: FIXED_SITES,
    Route.AUTOMATED: FACILITY_MAP,
}


def permission_findings(case: Case) -> Iterator[Finding]:
    """Yield one finding for each airspace the plan enters."""
    for need in case.needs:
        if need.subject is Subject.AREA_CLOSED_BY_AGENCY:
            yield _closed(case, need)
        elif need.subject is Subject.AIRSPACE:
            yield _controlled(case, need)


def _closed(case: Case, need: PermissionNeed) -> Finding:
    volumes = entered_volumes(case, need)
    citation = citation_of(case.plan.purpose, volumes)
    if need.recorded:
        return note_recorded(need, citation)
    if case.plan.window is None and need.rests_at_times:
        return _closed_at_times(case, need, volumes)
    agency = agency_of(volumes)
    return Finding(
        rule="closed-airspace",
        mark=Mark.STOP,
        basis=Basis.LAW,
        title=f"Enters {need.airspace}",
        message=f"This airspace is closed to the flight while it is active, unless permitted by {agency}."
        + what_it_is(case, volumes)
        + ("" if case.plan.window else " No time is set, so it counts as active.")
        + _flown_so_high(case, need)
        + because(need),
        citation=citation,
        remedy=f"keep clear{or_another_time(case, volumes)}, or record the permission of {agency}",
        from_m=need.from_m,
        to_m=need.to_m,
        place=need.place,
        numbers=numbers_of(need, volumes),
    )


def _closed_at_times(case: Case, need: PermissionNeed, volumes: list[AirspaceVolume]) -> Finding:
    return Finding(
        rule="closed-at-times",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=f"May be closed: {need.airspace}",
        message=(
            "This airspace is closed to the flight at certain times, unless permitted by "
            f"{agency_of(volumes)}.{what_it_is(case, volumes)} No time is set, so whether it is closed "
            f"then can't be said." + _flown_so_high(case, need) + because(need)
        ),
        citation=citation_of(case.plan.purpose, volumes),
        remedy="set from when to when you fly, or keep clear",
        from_m=need.from_m,
        to_m=need.to_m,
        place=need.place,
        numbers=numbers_of(need, volumes),
    )


def because(need: PermissionNeed) -> str:
    """Return ' Record A1 ends …' of the record that falls short, '' without one."""
    return f" {capitalised(marked(need.shortfall))}." if need.shortfall else ""


def note_recorded(need: PermissionNeed, citation: str) -> Finding:
    """Return the note that a need is covered, and by which records."""
    several = len(need.records) > 1
    cover = f"Records {need.references} together cover" if several else f"Record {need.references} covers"
    carry = "Carry each of them, and keep to their" if several else "Carry it, and keep to its"
    return Finding(
        rule="permission-on-record",
        mark=Mark.NOTE,
        basis=Basis.LAW,
        title=f"{need.airspace}: permission on record",
        message=f"{cover} this flight. {carry} conditions.",
        citation=citation,
        from_m=need.from_m,
        to_m=need.to_m,
        place=need.place,
    )


def _controlled(case: Case, need: PermissionNeed) -> Finding:
    citation = airspace_rule(case.plan.purpose)
    if need.recorded:
        return note_recorded(need, citation)
    if need.cell_ceiling_agl_m is None and case.plan.purpose is not Purpose.PART_107:
        return _no_cell(case, need)
    advice = _ROUTE_ADVICE[need.route]
    return Finding(
        rule="airspace-authorization",
        mark=Mark.ACT,
        basis=Basis.LAW,
        title=f"Ask before flying in {need.airspace}",
        message=f"Class {need.airspace_class}: {_asked(need)}{readout_words(case, need)}{_cell(need)}"
        + because(need),
        citation=f"{citation}; {_ROUTE_CITATION[need.route]}",
        remedy=f"{advice}, {need.lead_time}; record the answer here",
        from_m=need.from_m,
        to_m=need.to_m,
        place=need.place,
        numbers=_numbers(need),
    )


def _no_cell(case: Case, need: PermissionNeed) -> Finding:
    return Finding(
        rule="no-facility-map-value",
        mark=Mark.UNKNOWN,
        basis=Basis.LAW,
        title=f"No height known for {need.airspace}",
        message=(
            f"Class {need.airspace_class}: authorization is required, but no facility map value is known for "
            f"all of the flight there, so it can't be said what can be asked for.{because(need)}"
        ),
        citation=f"{airspace_rule(case.plan.purpose)}; {FACILITY_MAP}",
        remedy="add a current facility map, ask the authority, or fly at a fixed site under its agreement",
        from_m=need.from_m,
        to_m=need.to_m,
        place=need.place,
    )


def _asked(need: PermissionNeed) -> str:
    if need.asked_agl_m is None:
        return "the planned height there is not known."
    if need.asked_agl_m < _ON_THE_GROUND_M:
        return "launch or landing lies in it."
    shelf = f", above its floor at {room_ft(need.floor_amsl_m)} above sea level" if need.floor_amsl_m else ""
    if need.not_drawn:
        what = "the way to or from it, or what the aircraft does by itself on lost link,"
        if need.rise is Rise.AS_FLOWN:
            what = f"the flight, {need.rise.value},"
        return (
            f"nothing that is drawn lies in it, but {what} comes up to {over_ft(need.asked_agl_m)} above "
            f"ground there{shelf}."
        )
    drawn = f"the plan goes up to {over_ft(need.drawn_agl_m or 0.0)} above ground there{shelf}"
    return f"{drawn}{risen_words(need)}."


def _flown_so_high(case: Case, need: PermissionNeed) -> str:
    """Return how high it is flown in what an agency opens: as much as it is asked for."""
    return f" {capitalised(_asked(need))}{readout_words(case, need)}"


def _cell(need: PermissionNeed) -> str:
    if need.cell_ceiling_agl_m is None:
        return " No facility map value is known for all of it."
    return f" The lowest facility map value touched is {room_ft(need.cell_ceiling_agl_m)}."


def _numbers(need: PermissionNeed) -> dict[str, float]:
    cell_m = need.cell_ceiling_agl_m
    return asked_numbers(need) | ({} if cell_m is None else {"cell_ceiling_agl_m": cell_m})


def other_airspace(case: Case) -> Iterator[Finding]:
    """Yield an inquiry where it is not settled who may fly, and a caution for areas of other activity.

    What is published in several pieces of one name and kind is one airspace.
    """
    if case.mapped is None:
        return
    for inquiry, use in zip(inquiries(case), inquiry_uses(case), strict=False):
        yield inquiry_finding(case, case.mapped, inquiry, use.need)
    told_of: set[tuple[str, AirspaceKind]] = set()
    for column, volume in case.mapped.airspace.items():
        named = (volume.name, volume.kind)
        if volume.kind not in _CAUTION or named in told_of or not is_active(volume, case.plan.window):
            continue
        if flown(case, column, volume):
            told_of.add(named)
            yield _caution(volume, case.plan.purpose)


def _caution(volume: AirspaceVolume, purpose: Purpose | None) -> Finding:
    return Finding(
        rule="other-activity",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"{volume.name}: {_CAUTION[volume.kind]}",
        message=(
            "Not closed, but everybody is asked to keep out of it, and a notice can close it."
            if volume.kind is AirspaceKind.NATIONAL_SECURITY
            else "Not closed, but expect fast and low aircraft while it is active."
        ),
        citation=f"{give_way_rule(purpose)}; 14 CFR part 73 and FAA AIM ch. 3 sec. 4 (from memory)",
        remedy="look up when it is active",
    )


RULES = (permission_findings, other_airspace)
