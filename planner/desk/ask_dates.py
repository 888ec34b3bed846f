"""Until when a permission can be asked for by the usual times, in dates; the clock is handed in."""

from datetime import datetime

from planner.desk.saying import moment
from planner.geo.window import TimeWindow
from planner.permission.ask_times import AskTime, Bound, ask_times
from planner.permission.need import PermissionNeed


def ask_dates(need: PermissionNeed, window: TimeWindow | None, now_utc: datetime) -> str:
    """Return the bounds to ask within, past ones too; '' where none is published or nothing asked."""
    if need.recorded or window is None or now_utc >= window.start_utc:
        return ""
    bounds = [one for one in ask_times(need.route, window.start_utc) if one.at_utc < window.start_utc]
    return ".\n".join(_said(one, window, now_utc) for one in bounds if not _is_open(one, now_utc))


def _is_open(bound: AskTime, now_utc: datetime) -> bool:
    """Whether it is an earliest time that has come: then only the latest ones count."""
    return bound.bound is Bound.EARLIEST and now_utc >= bound.at_utc


def _said(bound: AskTime, window: TimeWindow, now_utc: datetime) -> str:
    at = moment(bound.at_utc, window)
    if bound.bound is Bound.EARLIEST:
        words = f"not before {at}"
    else:
        words = f"by {at}" if now_utc <= bound.at_utc else f"too late since {at}"
    return f"{bound.what[:1].upper()}{bound.what[1:]}: {words} ({bound.standing})"
