"""Which periods of a forecast count for a flight's hours, and what of each still holds then."""

from collections.abc import Iterator, Sequence

import attrs

from planner.flight.told_hours import Span, outside
from planner.geo.window import TimeWindow
from planner.world.weather.lost_winds import lost_winds, winds_named
from planner.world.weather.moments import moment_near
from planner.world.weather.report import ChangeKind, CodedTime, Conditions, Forecast, Period

# What these bring lasts until something else takes its place; a temporary change ends with its own hours.
_LASTING = frozenset({ChangeKind.PREVAILING, ChangeKind.FROM, ChangeKind.BECOMING})
# These state the whole weather anew, so the code wants a wind in them.
_WHOLE = frozenset({ChangeKind.PREVAILING, ChangeKind.FROM})


@attrs.frozen
class Counting:
    """A period that counts: what of it still holds, and groups that may be its wind and could not be read."""

    number: int
    conditions: Conditions
    lost_winds: tuple[str, ...] = ()


def counting_periods(forecast: Forecast, window: TimeWindow | None) -> list[Counting]:
    """Return the periods that touch a window; all of them without one.

    From its hour on `FM` stands for all before it. `BECMG` begins at its
    first hour, and stays; what it names takes the place of what was there
    from its last hour on (WMO-No. 306, FM 51; from memory).
    """
    found: list[Counting] = []
    if _is_over(forecast, window):
        return found
    for index, period in enumerate(forecast.periods):
        after = forecast.periods[index + 1 :]
        conditions = attrs.evolve(
            period.conditions, unread=tuple(dict.fromkeys((*period.conditions.unread, *forecast.unread)))
        )
        if window is not None:
            if not _touches(period, _end(period, after, forecast), window):
                continue
            conditions = _still_holding(period, conditions, after, window)
        lost = () if _wind_replaced(period, after, window) else _lost(period)
        found.append(Counting(index, conditions, (*lost, *winds_named(forecast.unread))))
    return found


def _is_over(forecast: Forecast, window: TimeWindow | None) -> bool:
    """Whether nothing of the window lies within the forecast: one that ends as the flight begins is over."""
    end = moment_near(forecast.end, window.start_utc) if window and forecast.end else None
    return window is not None and end is not None and end <= window.start_utc


def _lost(period: Period) -> tuple[str, ...]:
    return lost_winds(period.conditions, must_tell=period.change in _WHOLE)


def untold_hours(forecast: Forecast, window: TimeWindow | None) -> tuple[str, tuple[Span, ...]]:
    """Return in words which end of the window lies outside the forecast, '' if none does, and those spans."""
    if window is None:
        return "", ()
    start = moment_near(forecast.start, window.start_utc) if forecast.start else None
    end = moment_near(forecast.end, window.start_utc) if forecast.end else None
    spans = tuple(outside(window, start, end))
    if end is not None and end < window.end_utc:
        return f"It ends at {end:%H:%M} UTC, before the flight's hours do", spans
    if start is not None and start > window.start_utc:
        return f"It begins at {start:%H:%M} UTC, after the flight's hours do", spans
    return "", ()


def _end(period: Period, after: Sequence[Period], forecast: Forecast) -> CodedTime | None:
    if period.change not in _LASTING:
        return period.end
    return next((one.start for one in after if one.change is ChangeKind.FROM), forecast.end or period.end)


def _touches(period: Period, end: CodedTime | None, window: TimeWindow) -> bool:
    start_utc = moment_near(period.start, window.start_utc)
    end_utc = moment_near(end, window.start_utc) if end else None
    if start_utc is None or end_utc is None:
        return True
    return start_utc <= window.end_utc and max(end_utc, start_utc) >= window.start_utc


def _still_holding(
    period: Period, conditions: Conditions, after: Sequence[Period], window: TimeWindow
) -> Conditions:
    """Return the conditions without what a later change has taken the place of before the flight."""
    for later in _come_since(period, after, window):
        conditions = _without(conditions, later.conditions)
    return conditions


def _wind_replaced(period: Period, after: Sequence[Period], window: TimeWindow | None) -> bool:
    """Whether a later wind that could be read has taken the place of a period's before the flight."""
    if window is None:
        return False
    return any(later.conditions.wind is not None for later in _come_since(period, after, window))


def _come_since(period: Period, after: Sequence[Period], window: TimeWindow) -> Iterator[Period]:
    """Yield the changes that came, and stayed, after a lasting period and before the flight."""
    if period.change not in _LASTING:
        return
    for later in after:
        if later.change is ChangeKind.FROM:
            break
        done_utc = moment_near(later.end, window.start_utc)
        if later.change is ChangeKind.BECOMING and done_utc is not None and done_utc <= window.start_utc:
            yield later


def _without(conditions: Conditions, later: Conditions) -> Conditions:
    if later.wind is not None:
        conditions = attrs.evolve(conditions, wind=None)
    if later.visibility is not None:
        conditions = attrs.evolve(conditions, visibility=None)
    if later.clouds or later.clear_sky or later.cavok:
        conditions = attrs.evolve(conditions, clouds=(), clear_sky=False, cavok=False)
    return conditions
