"""Which hours of a flight its reports and forecasts tell of, and which none of them does."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from itertools import product
from typing import Final

from planner.geo.window import TimeWindow

# Own choice, on the safe side: what was seen at one moment says nothing of an hour farther from it than this.
REPORT_HOLDS: Final = timedelta(hours=3)

Span = tuple[datetime, datetime]


def outside(window: TimeWindow | None, start_utc: datetime | None, end_utc: datetime | None) -> list[Span]:
    """Return the spans of a window before a start and after an end; none for an end that is not known."""
    if window is None:
        return []
    spans = []
    if start_utc is not None and start_utc > window.start_utc:
        spans.append((window.start_utc, start_utc))
    if end_utc is not None and end_utc < window.end_utc:
        spans.append((end_utc, window.end_utc))
    return spans


def unseen_hours(at_utc: datetime | None, window: TimeWindow | None) -> tuple[str, tuple[Span, ...]]:
    """Return in words which hours of the window lie too far from an observation, and those spans."""
    if at_utc is None or window is None:
        return "", ()
    spans = outside(window, at_utc - REPORT_HOLDS, at_utc + REPORT_HOLDS)
    if not spans:
        return "", ()
    ends = " and ".join(f"{first:%H:%M} to {last:%H:%M} UTC" for first, last in spans)
    return f"It was seen at {at_utc:%H:%M} UTC: {ends} is more than 3 hours from that", tuple(spans)


def told_by_none(untold: Iterable[tuple[Span, ...]]) -> bool:
    """Whether some hour lies in an untold span of each report, so that nothing tells of it."""
    return any(
        max(first for first, _ in spans) < min(last for _, last in spans)
        for spans in product(*untold)
        if spans
    )
