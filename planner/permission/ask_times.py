"""Between when and when a permission can be asked for, each bound with its standing."""

from datetime import datetime, timedelta
from enum import StrEnum

import attrs

from planner.permission.need import Route


class Bound(StrEnum):
    """Which side a time bounds."""

    EARLIEST = "earliest"
    LATEST = "latest"


@attrs.frozen
class AskTime:
    """One bound: `at_utc`, what it is for, and where it comes from."""

    bound: Bound
    at_utc: datetime
    what: str
    standing: str


_AHEAD = {
    Route.AUTOMATED: (
        (Bound.LATEST, timedelta(0), "automated request", "usually answered at once, common practice"),
    ),
    Route.FURTHER_COORDINATION: (
        (Bound.EARLIEST, timedelta(days=90), "further coordination", "FAA JO 7210.3 ch. 12 §9"),
        (Bound.LATEST, timedelta(hours=72), "further coordination", "72 hours, secondary sources only"),
        (Bound.LATEST, timedelta(days=60), "manual portal", "60 days, an undated page of the authority"),
    ),
    Route.ASK_AUTHORITY: (
        (Bound.LATEST, timedelta(days=60), "manual portal", "60 days, an undated page of the authority"),
    ),
    Route.HEADQUARTERS: (
        (Bound.LATEST, timedelta(days=90), "coordination by headquarters", "allow 90 days, common practice"),
    ),
}


def ask_times(route: Route, start_utc: datetime) -> tuple[AskTime, ...]:
    """Return between when and when to ask, for a flight that starts then; none where nothing is published."""
    return tuple(
        AskTime(bound, start_utc - ahead, what, standing)
        for bound, ahead, what, standing in _AHEAD.get(route, ())
    )
