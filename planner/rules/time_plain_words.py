"""What the rules on hours and days say, in plain words."""

from collections.abc import Mapping
from typing import Final

TIME_WORDS: Final[Mapping[str, str]] = {
    "restriction-just-over": (
        "A restriction about a stadium ends an hour after the event really ends, and a calendar does not "
        "know when that is. Other restrictions and hours are prolonged by notice. So what ends, by its dates "
        "or its hours, up to 3 hours before the time window, or 1 hour where it is about no stadium, is "
        "something to look up: on the way, close beside it, or on a way that is not drawn."
    ),
    "restriction-soon": (
        "An airspace that closes up to an hour after the time window, by its dates or published hours, waits "
        "for whoever overruns it, and notices bring beginnings forward."
    ),
    "dates-without-hours": (
        "Nobody says by whose clock a bare day is counted. An evening in America is the next day in UTC. So "
        "a restriction or an event that is dated by days alone closes from when the first place on earth "
        "has the day (14 hours before UTC) until the last has it no more (12 hours after UTC)."
    ),
    "ends-before-the-flight": (
        "Ready holds only as long as everything that it rests on: charts, permissions, the check of notices. "
        "What ends within the time window leaves the rest of the flight without it. A check of notices "
        "counts for 24 hours."
    ),
    "told-by-another-clock": (
        "The time zone of the window decides how all times are shown. People at the place go by the clock "
        "there: hours of another zone, or typed as if they were, put the flight at the wrong time of day."
    ),
}
