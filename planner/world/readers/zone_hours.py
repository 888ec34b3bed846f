"""When a zone for unmanned aircraft applies, as one line of published hours."""

from collections.abc import Iterator
from datetime import datetime

from planner.world.readers.json_values import Json, sequence, words
from planner.world.readers.moments import widened

_DAYS = ("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN", "ANY")


def hours_text(periods: object) -> str:
    """Return the hours of a list of periods; '' for none or an unbounded one, which is always.

    What can't be read is carried over as it is, so that the hours as a whole
    can't be read either and the zone counts as active.
    """
    statements = [line for period in sequence(periods) for line in _statements(period)]
    return "" if "" in statements else "; ".join(dict.fromkeys(statements))


def _statements(period: object) -> Iterator[str]:
    if not isinstance(period, dict):
        yield f"PERIOD {words(period)}"
        return
    bounds = _bounds(period)
    daily = [_daily(entry) for entry in sequence(period.get("schedule"))]
    for line in daily or [""]:
        yield " ".join(part for part in (bounds, line) if part)


def _bounds(period: Json) -> str:
    start, end = words(period.get("startDateTime")), words(period.get("endDateTime"))
    # A period that is said to be permanent has no end, whatever else it says.
    if words(period.get("permanent")).upper() in {"YES", "TRUE"}:
        start = end = ""
    begin_utc, end_utc = widened(start, end)
    parts = (("FROM", start, begin_utc), ("UNTIL", end, end_utc))
    return " ".join(f"{word} {_moment(said, moment)}" for word, said, moment in parts if said)


def _moment(said: str, moment: datetime | None) -> str:
    if "T" not in said.upper():
        moment = None
    if moment is None:
        return said.upper()
    return moment.isoformat().replace("+00:00", "Z")


def _daily(entry: object) -> str:
    if not isinstance(entry, dict):
        return f"DAY {words(entry)}"
    days = [words(day).upper() for day in sequence(entry.get("day"))]
    named = [day for day in days if day]
    if not set(named) <= set(_DAYS):
        return f"DAY {' '.join(named)}"
    start, end = _edge(entry, "start"), _edge(entry, "end")
    every_day = not named or "ANY" in named
    if not start and not end:
        return "" if every_day else f"{' '.join(named)} H24"
    hours = f"{start or '00:00Z'}-{end or '24:00Z'}"
    return f"{'ANY' if every_day else ' '.join(named)} {hours}"


def _edge(entry: Json, which: str) -> str:
    clock, event = words(entry.get(f"{which}Time")), words(entry.get(f"{which}Event"))
    if clock and event:
        return f"{clock} OR {event}"
    if not clock:
        return event.upper()
    # The standard tells times with their offset from UTC; without one nobody knows by which clock.
    upper = clock.upper()
    return upper if upper.endswith("Z") or "+" in upper else f"{upper} BY WHICH CLOCK"
