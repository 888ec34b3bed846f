"""The plan's window, and one flight within it that begins at a chosen minute; no Qt.

The window says when the flight may take place; the path takes some minutes of it. So a moment is two
numbers: when the aircraft is at the first point of the path, counted from the window's start, and how
long it has flown since.
"""

from datetime import datetime, timedelta
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.briefing.moments import times_of
from planner.geo.window import TimeWindow

_LONGEST_S: Final = 7 * 86_400.0
_INSTANT: Final = timedelta(seconds=1)


@attrs.frozen(eq=False)
class FlightClock:
    """Times of one flight in a window.

    Parameters
    ----------
    span_s : length of the window [s], seven days at the most.
    distance_m, time_s : (n,) along the path [m], and when after the first point [s].
    """

    window: TimeWindow
    span_s: float
    distance_m: NDArray[np.float64]
    time_s: NDArray[np.float64]

    @property
    def duration_s(self) -> float:
        """How long the path takes [s]."""
        return float(self.time_s[-1])

    @property
    def latest_start_s(self) -> float:
        """The last start from which the flight ends in the window [s]; 0 for a flight that is longer."""
        return max(self.span_s - self.duration_s, 0.0)

    def distance_at(self, flown_s: float) -> float:
        """Return how far along the path the aircraft is [m]."""
        return float(np.interp(flown_s, self.time_s, self.distance_m))

    def flown_at(self, distance_m: float) -> float:
        """Return when the aircraft first is at a distance along the path [s after the first point]."""
        return float(np.interp(distance_m, self.distance_m, self.time_s))


@attrs.frozen
class Moment:
    """A flight that began `start_s` after the window's start, `flown_s` later [s]."""

    start_s: float = 0.0
    flown_s: float = 0.0

    @property
    def after_s(self) -> float:
        """The moment, counted from the window's start [s]."""
        return self.start_s + self.flown_s

    def at_utc(self, clock: FlightClock) -> datetime:
        """Return the moment."""
        return clock.window.start_utc + timedelta(seconds=self.after_s)

    def instant(self, clock: FlightClock) -> TimeWindow:
        """Return the moment as a window of a second."""
        at_utc = self.at_utc(clock)
        return TimeWindow(at_utc, at_utc + _INSTANT, clock.window.zone)

    def within(self, clock: FlightClock) -> "Moment":
        """Return the nearest moment that the clock has."""
        start_s = min(max(self.start_s, 0.0), clock.latest_start_s)
        return Moment(start_s, min(max(self.flown_s, 0.0), clock.duration_s))

    def brought_to(self, after_s: float, clock: FlightClock) -> "Moment":
        """Return the flight with the aircraft where it is now at another moment [s]."""
        return Moment(after_s - self.flown_s, self.flown_s).within(clock)


def clock_of(answer: Assessment) -> FlightClock | None:
    """Return the times of the plan's flight, in the wind where it is known; None without window or path."""
    plan, track = answer.plan, answer.track
    if plan.window is None or track is None or len(track) < 2:
        return None
    span_s = (plan.window.end_utc - plan.window.start_utc) / timedelta(seconds=1)
    return FlightClock(plan.window, min(span_s, _LONGEST_S), track.distance_m, times_of(answer, track))
