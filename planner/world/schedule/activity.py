"""Whether a volume of airspace is active in a window, by its published hours."""

from functools import lru_cache

import attrs

from planner.geo.window import TimeWindow
from planner.world.schedule.hours import in_hours, in_hours_throughout, places_of
from planner.world.schedule.local_time import StatedClock
from planner.world.schedule.model import Activity, Otherwise
from planner.world.schedule.parse import parse_schedule


@attrs.frozen(cache_hash=True)
class Hours:
    """Published hours of one volume.

    Parameters
    ----------
    text : the publisher's words; '' is always.
    bounds : west, south, east, north of the volume [deg].
    stated : what the record says of its local time.
    turns_into_something : outside its hours it becomes other airspace, so that hours
        alone, without a word of what it becomes, never end it.
    """

    text: str
    bounds: tuple[float, float, float, float]
    stated: StatedClock = attrs.field(factory=StatedClock)
    turns_into_something: bool = False


@lru_cache(maxsize=8192)
def rests_at_times(hours: Hours) -> bool:
    """Whether hours leave moments at which it is plainly not active."""
    schedule = parse_schedule(hours.text) if hours.text else None
    if schedule is None or any(period.is_always for period in schedule.periods):
        return False
    match schedule.otherwise:
        case Otherwise.BY_NOTICE | Otherwise.CLASS_E:
            return False
        case Otherwise.UNSTATED:
            return not hours.turns_into_something
        case _:
            return True


@lru_cache(maxsize=8192)
def active_throughout(hours: Hours, window: TimeWindow | None) -> bool:
    """Whether hours surely keep a volume active all through the window; without one, always."""
    if not hours.text:
        return True
    schedule = parse_schedule(hours.text)
    if schedule is None:
        return False
    if schedule.otherwise is Otherwise.CLASS_E:
        # What it becomes needs authorization as well.
        return True
    if window is None:
        return schedule.sure and any(period.is_always for period in schedule.periods)
    return in_hours_throughout(schedule, window, places_of(hours.bounds), hours.stated)


@lru_cache(maxsize=8192)
def activity_in(hours: Hours, window: TimeWindow) -> Activity:
    """Return whether hours make a volume active at any moment of the window."""
    schedule = parse_schedule(hours.text)
    if schedule is None:
        return Activity.UNREADABLE
    if in_hours(schedule, window, places_of(hours.bounds), hours.stated):
        return Activity.ACTIVE
    match schedule.otherwise:
        case Otherwise.BY_NOTICE:
            return Activity.BY_NOTICE
        case Otherwise.CLASS_E:
            # The surface area stays a surface area: authorization is still needed (14 CFR 107.41).
            return Activity.ACTIVE
        case Otherwise.UNSTATED if hours.turns_into_something:
            return Activity.UNREADABLE
        case _:
            return Activity.INACTIVE
