"""Whether it is too late, or too early, to ask by the usual times; the clock is handed in."""

from datetime import datetime, timedelta

from planner.permission.ask_times import AskTime, Bound
from planner.permission.request import AirspaceRequest

_DAY = timedelta(days=1)
_DAYS_FROM = timedelta(hours=72)


def ask_late(request: AirspaceRequest, now_utc: datetime | None) -> tuple[str, ...]:
    """Return what of the usual times to ask has passed, or is still to come, in words.

    Of what is on record nothing is asked. The authority may answer all the same: that it does not is never
    said.
    """
    start_utc = request.start_utc
    if now_utc is None or start_utc is None or (request.need.recorded and not request.outgrown):
        return ()
    if now_utc >= start_utc:
        return ("The time of the flight has begun or is past: nothing can be asked for it any more.",)
    late = [one for one in request.times if one.bound is Bound.LATEST and now_utc > one.at_utc]
    early = [one for one in request.times if one.bound is Bound.EARLIEST and now_utc < one.at_utc]
    left = _ahead(start_utc - now_utc)
    found = [
        f"It is too early to ask ({one.what}: {one.standing}): the flight is in {left}." for one in early
    ]
    in_time = [one for one in request.times if one.bound is Bound.LATEST and now_utc <= one.at_utc]
    if late and in_time:
        found.append(
            f"It is still in time to ask ({_all_named(in_time)}), but too late by another usual time "
            f"({_all_named(late)}): the flight is in {left}. Ask now; only the authority knows whether it "
            "answers in time, so do not count on it."
        )
    elif late:
        found.append(
            f"It is too late to ask by the usual time ({_all_named(late)}): the flight is in "
            f"{left}. What is asked for all the same only the authority can answer; "
            "do not count on it, or fly later."
        )
    return tuple(found)


def _all_named(times: list[AskTime]) -> str:
    return "; ".join(f"{one.what}: {one.standing}" for one in times)


def _ahead(left: timedelta) -> str:
    """Return how long it is until then, rounded down: '26 h', '12 days'."""
    if left >= _DAYS_FROM:
        return f"{left // _DAY} days"
    hours = left // timedelta(hours=1)
    return f"{hours} h" if hours else "less than an hour"
