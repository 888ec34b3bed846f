"""Rule on a window that is told by another clock than that of the place.

The zone of a window decides how times are shown: whoever reads the sheet there goes by the place's own clock.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta, tzinfo

from planner.geo.place import Place
from planner.geo.time_words import clock
from planner.geo.window import TimeWindow
from planner.rules.bibliography import OPERATING_RULES
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.world.schedule.local_time import zones_near

_UTC = frozenset(
    {"UTC", "Etc/UTC", "Etc/UCT", "Etc/Universal", "Etc/Zulu", "UCT", "Universal", "Zulu", "GMT", "Etc/GMT"}
)


def told_by_another_clock(case: Case) -> Iterator[Finding]:
    """Yield something to do where no clock in use at the place shows the window's hours; in UTC a note."""
    window, anchor = case.plan.window, case.plan.anchor()
    if window is None or anchor is None:
        return
    # Rounded, so that a drag across the map asks once.
    zones = zones_near(Place(round(anchor.lon_deg, 2), round(anchor.lat_deg, 2)))
    try:
        moments = (window.start_utc, window.end_utc)
        if any(all(_offset(at, zone) == window.local(at).utcoffset() for at in moments) for zone in zones):
            return
    except OverflowError:
        # At the very ends of the calendar no local time can be told.
        return
    there = window.start_utc.astimezone(zones[0])
    name = getattr(zones[0], "key", "")
    on = "" if there.date() == window.first_day else f" on {there.day} {there:%b}"
    yield Finding(
        rule="told-by-another-clock",
        mark=Mark.NOTE if window.zone in _UTC else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Times are told by the clock of {window.zone}",
        message=f"The place keeps another time{f' ({name})' if name else ''}: the window begins at "
        f"{_shown(window)}, when clocks there show {clock(there)}{on}. The sheet, the request and every word "
        "of the plan show the window's own hours.",
        citation=OPERATING_RULES,
        remedy="make sure of the hours, and give the time zone of the place",
    )


def _shown(window: TimeWindow) -> str:
    local = window.local(window.start_utc)
    return f"{clock(local)} on {local.day} {local:%b}"


def _offset(at_utc: datetime, zone: tzinfo) -> timedelta | None:
    return at_utc.astimezone(zone).utcoffset()


RULES = (told_by_another_clock,)
