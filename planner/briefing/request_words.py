"""A request in words: every field as the authority's form asks for it."""

from datetime import datetime

import attrs

from planner.briefing.ask_late import ask_late
from planner.briefing.words import plain
from planner.geo.place import Place
from planner.geo.time_words import zone_name
from planner.geo.window import TimeWindow
from planner.permission.ask_times import AskTime, Bound
from planner.permission.cells import TouchedCells
from planner.permission.need import Rise, Route, Subject
from planner.permission.request import AirspaceRequest, radius_nm
from planner.plan.crew import Role
from planner.plan.model import Plan, Purpose
from planner.plan.role_words import role_words
from planner.saying import planned_feet
from planner.wording import UNKNOWN, distance, limit_ft, moment, planned_ft, position, way_of

PURPOSE_WORDS = {
    Purpose.PART_107: "operation under 14 CFR part 107",
    Purpose.RECREATIONAL: "recreational flight under 49 USC 44809",
    None: "not said",
}

_INQUIRY_AT = "the air traffic facility of its airport, or the authority's office for unmanned aircraft"


@attrs.frozen
class RequestText:
    """One request as rows of label and value, its corners, and the text to paste."""

    title: str
    route: str
    recorded: str
    rows: tuple[tuple[str, str], ...]
    corners: tuple[str, ...]
    warnings: tuple[str, ...]
    paste: str
    holds: str


def request_text(request: AirspaceRequest, plan: Plan) -> RequestText:
    """Return a request in words."""
    need = request.need
    of_class = f" (Class {need.airspace_class})" if need.airspace_class else ""
    title = f"{plain(need.airspace, 80)}{of_class}"
    rows = _rows(request, plan)
    corners = tuple(position(place) for place in request.area.ring)
    return RequestText(
        title=title,
        route=way_of(need),
        recorded=plain(need.references, 200),
        rows=rows,
        corners=corners,
        warnings=tuple(_warnings(request)),
        paste=_paste(title, rows, corners),
        holds=_holds(request),
    )


def _holds(request: AirspaceRequest) -> str:
    """Return what the outline is drawn about."""
    home = ", and where it comes on lost link" if request.on_lost_link else ""
    out = " and to bail-out places" if request.bails_out else ""
    return f"the flight, its ways from launch and to landing{out}{home}"


def _rows(request: AirspaceRequest, plan: Plan) -> tuple[tuple[str, str], ...]:
    area, window = request.area, plan.window
    circle = f"centre {position(area.circle.centre)}, radius {radius_nm(area.circle):.2f} NM"
    return (
        ("purpose", PURPOSE_WORDS[plan.purpose]),
        *_who_asks(plan),
        *_whose(request),
        ("highest, above ground", _highest(request)),
        *_values(request),
        ("smallest circle", circle),
        ("centre in degrees, minutes, seconds", dms(area.circle.centre)),
        ("start, UTC", utc_words(request.start_utc)),
        ("end, UTC", utc_words(request.end_utc)),
        (f"start, {_clock(window)}", _local(request.start_utc, window)),
        (f"end, {_clock(window)}", _local(request.end_utc, window)),
        ("duration", _duration(request)),
        *((_bound(time), f"{_time_of(time, window)} ({time.standing})") for time in request.times),
    )


def _who_asks(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return who asks with which numbers, as far as the plan has them; no form is filled in by guess."""
    names = [plain(person.name, 60) for person in plan.crew_in(Role.REMOTE_PILOT) if person.name.strip()]
    number = plain(plan.papers.certificate, 40) if plan.papers else ""
    mark = plain(plan.aircraft.registration or "", 40) if plan.aircraft else ""
    rows = [
        (
            f"who asks, {role_words(Role.REMOTE_PILOT, plan.purpose)}",
            ", ".join(names) or "not named in the plan",
        )
    ]
    if plan.purpose is Purpose.PART_107:
        rows.append(("remote pilot certificate", number or "not in the plan"))
    return (*rows, ("registration of the aircraft", mark or "not in the plan"))


def _whose(request: AirspaceRequest) -> tuple[tuple[str, str], ...]:
    named = _named(plain(request.need.airspace, 80), request.ident)
    if request.need.route is Route.AGENCY:
        agency = plain(request.agency, 80) or "not named in the charts: the using or controlling agency"
        return (("airspace", named), ("agency to ask", agency))
    if request.need.subject is Subject.INQUIRY:
        return (("airspace", named), ("whom to ask", _INQUIRY_AT))
    return (("facility", named), ("airports", _airports(request)))


def _values(request: AirspaceRequest) -> tuple[tuple[str, str], ...]:
    """Return what limits the height that can be asked for; no facility map speaks of an agency's airspace."""
    floor_m = request.need.floor_amsl_m
    floor = () if floor_m is None else (("its floor, above sea level", limit_ft(floor_m)),)
    if request.need.route is Route.AGENCY or request.need.subject is Subject.INQUIRY:
        return floor
    return (*floor, ("cells touched", cells_words(request.area.cells)))


_OVER_LOWEST = "planned over the lowest ground near"
_NOT_DRAWN = "over the lowest ground near on ways that are not drawn or on lost link"
_AS_FLOWN = f"over the lowest ground near, {Rise.AS_FLOWN.value}"
"""What is asked for counts from there: it may be more than the plan says above the ground straight below."""


def _highest(request: AirspaceRequest) -> str:
    """Return the one height to type, and what it is made of: all that the flight may reach is asked for."""
    highest_m, may_m = request.highest_agl_m, request.may_reach_agl_m
    if highest_m is None:
        return planned_ft(None)
    level_m = highest_m - request.rise_m
    drawn_ft, level_ft, most_ft = map(planned_ft, (level_m - request.way_rise_m, level_m, highest_m))
    drawn = f"{drawn_ft} " if request.rise_m or request.way_rise_m else ""
    over = _over(request)
    more = f", on ways that are not drawn up to {level_ft}" if level_ft != drawn_ft else ""
    more += f", {request.rise.value} up to {most_ft}" if most_ft != level_ft else ""
    if may_m is None:
        unsaid = "the readout's error is not given, so nothing is added for it"
        return f"type {planned_ft(highest_m)}: {drawn}{over}{more}; {unsaid}"
    if not request.readout_error_m:
        return f"type {planned_ft(highest_m)}: {drawn}{over}{more}; the readout is said to have no error"
    drawn = drawn or f"{planned_ft(highest_m)} "
    # All else is rounded up already: what is said together comes to what is to be typed.
    off_ft = planned_feet(may_m) - planned_feet(highest_m)
    off = f"{off_ft} ft more as" if off_ft else "with what"
    made_of = f"{drawn}{over}{more}, {off} the readout may be off"
    typed_m = typed_agl_m(request)
    if typed_m is not None and typed_m < may_m:
        return f"type {limit_ft(typed_m)}, the most that is given here: {made_of}"
    return f"type {planned_ft(may_m)}: {made_of}"


def _over(request: AirspaceRequest) -> str:
    if not request.need.not_drawn:
        return _OVER_LOWEST
    return _AS_FLOWN if request.rise is Rise.AS_FLOWN else _NOT_DRAWN


def typed_agl_m(request: AirspaceRequest) -> float | None:
    """Return the height above ground to be typed [m], not yet rounded to feet; None if it is not known."""
    highest_m = request.highest_agl_m
    return None if highest_m is None else request.need.to_type_agl_m(highest_m, request.readout_error_m)


def _named(name: str, ident: str) -> str:
    return f"{name}, identifier {plain(ident, 40)}" if ident else f"{name}, identifier not in the charts"


def _airports(request: AirspaceRequest) -> str:
    found = [
        f"{plain(airport.name, 60)} ({plain(airport.ident, 12)})"
        if airport.ident
        else f"{plain(airport.name, 60)} (identifier not in the charts)"
        for airport in request.airports
    ]
    return "; ".join(found) or "none named by the cells touched"


def cells_words(cells: TouchedCells) -> str:
    """Return the cells touched by value: 'lowest 200 ft; 2 of 200 ft, 1 of 400 ft'."""
    if not cells.cells:
        return "none known here"
    counts: dict[float | None, int] = {}
    for cell in cells.cells:
        counts[cell.ceiling_agl_m] = counts.get(cell.ceiling_agl_m, 0) + 1
    known = sorted(value for value in counts if value is not None)
    parts = [f"{counts[value]} of {limit_ft(value)}" for value in known]
    if None in counts:
        parts.append(f"{counts[None]} without a usable value")
    lowest = f"lowest {limit_ft(cells.ceiling_agl_m)}; " if cells.ceiling_agl_m is not None else ""
    whole = "" if cells.complete else "; they leave part of the place uncovered"
    return f"{lowest}{', '.join(parts)}{whole}"


def _place_warnings(request: AirspaceRequest) -> list[str]:
    found = []
    area, value_m = request.area, request.need.cell_ceiling_agl_m
    if request.margin_lowers_value:
        found.append(
            f"Within {distance(area.margin_m)} of {_holds(request)} lies a cell with less than the "
            f"{limit_ft(value_m)} of the flight itself: fly farther from it, or ask for less height."
        )
    elif area.is_cut:
        found.append(
            f"Only {distance(area.margin_m)} about it are asked for: a wider margin touches a cell "
            f"with less than {limit_ft(value_m)}. What is flown outside the outline is not allowed."
        )
    costs = area.circle_cells.cells and not request.margin_lowers_value
    if costs and area.circle_cells.ceiling_agl_m != area.cells.ceiling_agl_m:
        found.append(
            f"The circle touches more cells than the outline ({cells_words(area.circle_cells)}): "
            "enter the outline rather than the circle."
        )
    return found


def _warnings(request: AirspaceRequest) -> list[str]:
    found = [*ask_late(request, request.asked_utc), *_outgrown(request), *_place_warnings(request)]
    value_m = request.need.cell_ceiling_agl_m
    if value_m is not None and request.highest_agl_m is not None and request.highest_agl_m > value_m + 1e-6:
        found.append(
            f"{_what_goes(request, value_m)} {planned_ft(request.highest_agl_m - value_m)} above the lowest "
            "value touched."
        )
    elif value_m is not None and (request.may_reach_agl_m or 0.0) > value_m + 1e-6:
        found.append(
            f"With the readout's error the flight may reach {planned_ft(request.may_reach_agl_m)}, above the "
            f"lowest value touched of {limit_ft(value_m)}: plan it so much lower."
        )
    if request.over_limit_m:
        found.append(
            f"{request.over_limit_by.value.capitalize()} it comes {planned_ft(request.over_limit_m)} above "
            f"the limit on height there, which {_whose_word(request)} does not lift: change that first."
        )
    if request.highest_agl_m is None:
        found.append("The height flown there is not known: give the plan terrain and heights first.")
    if request.start_utc is None:
        found.append("The plan has no time: set its window first.")
    if not request.times and request.need.route is not Route.NONE:
        found.append("No time to ask ahead is published for this route: ask as early as you can.")
    return found


def _outgrown(request: AirspaceRequest) -> list[str]:
    """Return which records hold for less height than is flown."""
    names = ", ".join(plain(record.reference, 80) for record in request.outgrown)
    if not names:
        return []
    return [f"{names}, on record, holds for less height than the flight needs: ask anew for all of it."]


def _whose_word(request: AirspaceRequest) -> str:
    asked_about = request.need.subject is Subject.INQUIRY
    return "the authority's answer" if asked_about else "the agency's permission"


def _what_goes(request: AirspaceRequest, value_m: float) -> str:
    assert request.highest_agl_m is not None
    drawn = request.highest_agl_m - request.rise_m > value_m + 1e-6
    if drawn:
        return "The plan goes"
    lost = request.rise is Rise.ON_LOST_LINK
    return "On lost link the aircraft goes" if lost else "Where it can't sink fast enough it goes"


def dms(place: Place) -> str:
    """Return a position in degrees, minutes and hundredths of seconds, as forms take it."""
    return f"{_dms(place.lat_deg, 'NS')} {_dms(place.lon_deg, 'EW')}"


def _dms(degrees: float, letters: str) -> str:
    hundredths = round(abs(degrees) * 360_000)
    whole, rest = divmod(hundredths, 360_000)
    minutes, seconds = divmod(rest, 6_000)
    letter = letters[0] if degrees >= 0 else letters[1]
    return f"{whole}°{minutes:02d}'{seconds / 100:05.2f}\" {letter}"


def utc_words(at_utc: datetime | None) -> str:
    """Return a moment in UTC as forms take it: '2027-06-12 20:00Z'."""
    return f"{at_utc:%Y-%m-%d %H:%M}Z" if at_utc else UNKNOWN


def _clock(window: TimeWindow | None) -> str:
    """Return whose clock it is, after 'start, ': it may be another than that of the place."""
    if window is None:
        return "local"
    region, _, city = window.zone.partition("/")
    if not city or region == "Etc":
        # Etc/GMT+10 is ten hours behind: its name misleads.
        return f"clock of {zone_name(window.local(window.start_utc))}"
    return f"clock of {city.rpartition('/')[2].replace('_', ' ')}"


def _local(at_utc: datetime | None, window: TimeWindow | None) -> str:
    return moment(at_utc, window) if at_utc else UNKNOWN


def _duration(request: AirspaceRequest) -> str:
    if request.duration is None:
        return UNKNOWN
    minutes = round(request.duration.total_seconds() / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min ({minutes} min)"


def _bound(time: AskTime) -> str:
    return f"ask {'not before' if time.bound is Bound.EARLIEST else 'by'} ({time.what})"


def _time_of(time: AskTime, window: TimeWindow | None) -> str:
    return f"{utc_words(time.at_utc)}, {moment(time.at_utc, window)}"


def _paste(title: str, rows: tuple[tuple[str, str], ...], corners: tuple[str, ...]) -> str:
    entries = (f"{label}: {value}" for label, value in rows)
    return "\n".join([f"Request for {title}", *entries, f"outline: {'; '.join(corners)}"])
