"""The light all through a plan's window."""

from datetime import datetime, timedelta
from functools import lru_cache
from typing import Final

from planner.geo.place import Place
from planner.plan.model import Plan
from planner.world.light_kinds import LightSpan, light_over

_YEAR: Final = timedelta(days=366)


def light_of(plan: Plan) -> tuple[LightSpan, ...]:
    """Return the light of the window, one span after the other; none without window or place.

    Of a window of more than a year the first: it holds every light there is.
    """
    anchor, window = plan.anchor(), plan.window
    if anchor is None or window is None:
        return ()
    return _light_at(anchor, window.start_utc, min(window.end_utc, window.start_utc + _YEAR))


# Asked for everybody of the crew and by several rules; a day takes a millisecond.
@lru_cache(maxsize=8)
def _light_at(place: Place, start_utc: datetime, end_utc: datetime) -> tuple[LightSpan, ...]:
    return light_over(place, start_utc, end_utc)
