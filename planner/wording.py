"""Quantities and states in words, written once for desk, paper and command line.

Rounding never flatters: a limit is rounded down, a planned height up. `planner.saying` says each quantity;
what names feet here is for paper and terminal, where the units are always the same.
"""

from collections.abc import Callable
from datetime import datetime

import attrs

from planner import saying
from planner.ceiling.profile import Binding
from planner.geo.place import Place
from planner.geo.time_words import clock, zone_name
from planner.geo.window import TimeWindow
from planner.permission.need import PermissionNeed, Rise, Route, Subject
from planner.rules.finding import Basis, Mark
from planner.saying import AS_IT_COMES, WAYS, Units
from planner.units import STATUTE_MILE_M

UNKNOWN = saying.UNKNOWN


def limit_ft(metres: float | None) -> str:
    """Return a limit in whole feet, rounded down: '1,204 ft'."""
    return saying.limit(metres)


def planned_ft(metres: float | None) -> str:
    """Return a planned height in whole feet, rounded up: '329 ft'."""
    return saying.planned(metres)


def nearest_ft(metres: float | None) -> str:
    """Return a length in feet to the nearest foot, where neither side is the safe one."""
    return saying.nearest(metres)


def distance(metres: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a distance along the path or over the ground: '640 m', '2.14 km'."""
    return saying.way(metres, units)


def statute_miles(metres: float) -> str:
    """Return a distance in statute miles: '5 mi'."""
    return f"{metres / STATUTE_MILE_M:.3g} mi"


def stretch(from_m: float | None, to_m: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a stretch of the path: '2.47 to 2.61 km'; '' off the path."""
    if from_m is None or to_m is None:
        return ""
    if round(to_m) - round(from_m) < 1:
        return f"at {distance(from_m, units)}"
    first, last = distance(from_m, units), distance(to_m, units)
    if units.way != "km" and first.endswith(units.height) and last.endswith(units.way):
        # One range, one unit: not from feet to miles.
        first = f"{from_m / WAYS[units.way]:,.2f} {units.way}"
    return f"{first} to {last}"


def position(place: Place) -> str:
    """Return a position as people write it: '37.81210° N 150.24400° W'."""
    north = "N" if place.lat_deg >= 0 else "S"
    east = "E" if place.lon_deg >= 0 else "W"
    return f"{abs(place.lat_deg):.5f}° {north} {abs(place.lon_deg):.5f}° {east}"


def day_and_hours(window: TimeWindow | None, units: Units = AS_IT_COMES) -> str:
    """Return a window in its own zone: 'Wed 25 Nov 2026, 15:40 to 16:05'; or in UTC, and said so."""
    if window is None:
        return "no time set"
    if units.utc:
        window = attrs.evolve(window, zone="UTC")
    start, end = window.local(window.start_utc), window.local(window.end_utc)
    first, last = clock(start), clock(end)
    if window.clocks_change:
        # Clocks change in between: without their names the hours would mislead.
        first, last = f"{first} {zone_name(start)}", f"{last} {zone_name(end)}"
    if start.date() != end.date():
        last = f"{end:%a} {end.day} {end:%b} {last}"
    zone = " UTC" if units.utc else ""
    return f"{start:%a} {start.day} {start:%b %Y}, {first} to {last}{zone}"


def moment(at_utc: datetime | None, window: TimeWindow | None, units: Units = AS_IT_COMES) -> str:
    """Return a moment in the window's zone and its name, UTC without a window or where it is preferred."""
    if at_utc is None:
        return UNKNOWN
    local = window.local(at_utc) if window and not units.utc else at_utc
    return f"{local:%a} {local.day} {local:%b %Y}, {clock(local)} {zone_name(local)}"


MARK_SIGNS = {Mark.STOP: "×", Mark.UNKNOWN: "?", Mark.ACT: "!", Mark.NOTE: "i"}
MARK_WORDS = {
    Mark.STOP: "must change",
    Mark.UNKNOWN: "not known",
    Mark.ACT: "to do",
    Mark.NOTE: "to know",
}
BASIS_WORDS = {Basis.LAW: "law", Basis.SAFETY: "safety", Basis.OWN_LIMIT: "your own limit"}

MAY_BE_CLOSED = "may be closed"

BINDING_WORDS = {
    Binding.GROUND: "ground + 400 ft",
    Binding.STRUCTURE: "structure + 400 ft",
    Binding.AIRSPACE_FLOOR: "under an airspace floor",
    Binding.NO_PERMISSION: "no permission on record",
    Binding.PERMITTED_HEIGHT: "height permitted",
    Binding.CLOSED: "closed airspace",
    Binding.SITE_HEIGHT: "fixed site's height",
    Binding.UNKNOWN: "not known",
}

ROUTE_WORDS = {
    Route.AUTOMATED: "automated request",
    Route.FURTHER_COORDINATION: "further coordination request",
    Route.ASK_AUTHORITY: "not through the automated service: ask the authority, or fly a fixed site",
    Route.FIXED_SITE: "written agreement for the fixed flying site",
    Route.AGENCY: "permission of the using or controlling agency",
    Route.HEADQUARTERS: "coordination by the authority's headquarters",
    Route.WAIVER: "waiver by the authority",
    Route.SITE_AUTHORIZATION: "the authority's authorization of the fixed site",
    Route.LANDOWNER: "leave of whoever owns or runs the ground",
    Route.NONE: "none",
}

_WAY_OF_INQUIRY = "ask the authority whether the flight may enter it: nothing published settles that"


def way_of(need: PermissionNeed) -> str:
    """Return the way to what is needed, in words."""
    return _WAY_OF_INQUIRY if need.subject is Subject.INQUIRY else ROUTE_WORDS[need.route]


def heights_of(
    need: PermissionNeed, words: Callable[[float], str], readout_error_m: float | None = None
) -> tuple[str, ...]:
    """Return how high it is flown there: as drawn, on ways that are not, on lost link; what to ask for."""
    asked_m, drawn_m = need.asked_agl_m, need.drawn_agl_m
    if asked_m is None:
        return ()
    found = [f"planned up to {words(drawn_m)} above ground"] if drawn_m is not None else []
    if drawn_m is None:
        where = need.rise.value if need.rise is Rise.AS_FLOWN else "on ways not drawn or on lost link"
        found.append(f"{where} up to {words(asked_m)} above ground")
    elif (level := words(asked_m - need.rise_m)) != words(drawn_m):
        found.append(f"on ways not drawn up to {level}")
    if drawn_m is not None and words(asked_m) != words(asked_m - need.rise_m):
        found.append(f"{need.rise.value} up to {words(asked_m)}")
    typed_m = need.to_type_agl_m(asked_m, readout_error_m)
    if readout_error_m and typed_m > asked_m and not need.recorded:
        found.append(f"ask for {words(typed_m)}, with what the readout may be off")
    return tuple(found)


CAUTIONS = (
    "A plan, not a permission: the rules of the day, the authority, the land's owner "
    "and the pilot's own judgement stand above it.",
    "Look up notices and temporary restrictions again right before flying.",
    "Charts are never complete: look for wires, trees, people and other aircraft on the spot.",
    "Give way to every other aircraft. Keep away from emergency work: to interfere is an offence.",
)
INVENTED_STAMP = "INVENTED PLACE"
DRAFT_STAMP = "DRAFT"
NOT_READY_STAMP = "NOT READY"
