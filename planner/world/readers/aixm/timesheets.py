"""Activations and their timesheets as one line of published hours (planner.world.schedule reads it).

Where a timesheet says what a line of hours can't, the line says more hours, never fewer.
"""

from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element

from planner.world.readers.aixm.element import child, children, nil_reason, text

_WEEK = ("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN")
_MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
_ACTIVE = frozenset({"ACTIVE", "IN_USE", "INTERMITTENT", "LIMITED"})
_WHOLE_YEAR = ("01-01", "31-12")


def hours_text(slice_: Element) -> str:
    """Return the hours of an airspace's time slice; '' if it names none, which is always."""
    activations = [
        found
        for part in children(slice_, "activation")
        if (found := child(part, "AirspaceActivation")) is not None
    ]
    said: dict[str, None] = {}
    by_notice = inactive = False
    for activation in activations:
        status = text(activation, "status").upper()
        if status == "AVBL_FOR_ACTIVATION":
            by_notice = True
        elif status == "INACTIVE":
            inactive = True
        elif status in _ACTIVE or not status:
            said.update(dict.fromkeys(_statements(activation)))
        else:
            said[f"STATUS {status}"] = None
    if by_notice:
        said["OTHER TIMES BY NOTAM"] = None
    elif inactive:
        said["OTHER TIMES NOT ACTIVE"] = None
    return "; ".join(said)


def _statements(activation: Element) -> Iterator[str]:
    intervals = list(children(activation, "timeInterval"))
    sheets = [sheet for interval in intervals for sheet in children(interval, "Timesheet")]
    if not sheets:
        reasons = {nil_reason(interval) for interval in intervals}
        yield "BY NOTAM" if "NOTAM" in reasons else "H24"
    for sheet in sheets:
        if text(sheet, "excluded").upper() != "YES":
            yield from _sheet(sheet)


def _sheet(sheet: Element) -> Iterable[str]:
    days, hours = _days_and_hours(sheet)
    season = _season(text(sheet, "startDate"), text(sheet, "endDate"))
    for clock in _clocks(text(sheet, "timeReference").upper(), text(sheet, "daylightSavingAdjust").upper()):
        yield " ".join(part for part in (season, days, hours, clock) if part)


def _days_and_hours(sheet: Element) -> tuple[str, str]:
    first, until = text(sheet, "day").upper(), text(sheet, "dayTil").upper()
    start, end = _edge(sheet, "start"), _edge(sheet, "end")
    if first not in _WEEK:
        # ANY, and days that only the state itself can name: work days, holidays and those beside them.
        whole = not start or not end or (until not in {"", first} and start < end)
        return "ANY", "H24" if whole else f"{start}-{end}"
    if not start or not end:
        return f"{first}-{until}" if until in _WEEK else first, "H24"
    after = _WEEK[(_WEEK.index(first) + 1) % 7]
    if until in {"", first} or (until == after and _runs_over(start, end)):
        return first, f"{start}-{end}"
    return f"{first}-{until}" if until in _WEEK else "ANY", "H24"


def _runs_over(start: str, end: str) -> bool:
    """Whether an end lies on the next day by the clock, or by the sun."""
    if start[0].isdigit() and end[0].isdigit():
        return end <= start
    return end[0].isdigit() or start.startswith(("SS", "EECT")) or not end.startswith(("SS", "EECT"))


def _edge(sheet: Element, which: str) -> str:
    """Return a beginning or end, '' where it is missing or told in two ways."""
    clock, event = text(sheet, f"{which}Time"), text(sheet, f"{which}Event").upper()
    if bool(clock) == bool(event):
        return ""
    if clock:
        return clock
    relative = child(sheet, f"{which}TimeRelativeEvent")
    shift = text(sheet, f"{which}TimeRelativeEvent")
    if relative is None or not shift:
        return event
    sign, minutes = ("MINUS", shift[1:]) if shift.startswith("-") else ("PLUS", shift)
    return f"{event} {sign} {minutes.removeprefix('+')}" if relative.get("uom", "MIN") == "MIN" else ""


def _season(first: str, last: str) -> str:
    if not first or not last or (first, last) == _WHOLE_YEAR:
        return ""
    days = [_day_of_year(day) for day in (first, last)]
    return "-".join(days) if all(days) else ""


def _day_of_year(said: str) -> str:
    day, _, month = said.partition("-")
    known = day.isdigit() and month.isdigit() and 1 <= int(month) <= 12
    return f"{day} {_MONTHS[int(month) - 1]}" if known else ""


def _clocks(reference: str, summer: str) -> tuple[str, ...]:
    if reference == "UTC":
        return ("UTC, AN HOUR EARLIER IN SUMMER",) if summer == "YES" else ("UTC",)
    if reference.startswith(("UTC+", "UTC-")) and reference[4:].isdigit():
        ahead = int(reference[3:])
        return (f"UTC{ahead:+d}", f"UTC{ahead + 1:+d}") if summer == "YES" else (f"UTC{ahead:+d}",)
    return (f"CLOCK {reference or 'NOT STATED'}",)
