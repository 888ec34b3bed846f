"""Joins the document and the time control: which moment is looked at, and who hears of it."""

from datetime import datetime, timedelta
from functools import lru_cache

import attrs
from PySide6.QtCore import QObject, QTimer, Signal

from planner.desk.document import Document
from planner.desk.hour.bar import HourBar
from planner.desk.hour.clock import FlightClock, Moment, clock_of
from planner.desk.hour.moment_words import moment_words
from planner.desk.saying import day_and_hours
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.world.light_kinds import LightSpan, light_over

_TICK_MS = 100
_LONGEST_PLAY_S = 15.0
"""A longer flight is shown faster, so that playing it takes no longer."""
_BAND_STEP_DEG = 0.01


class HourDesk(QObject):
    """Keeps an `HourBar`.

    `instant_changed` carries the moment as a window of a second, or None for the whole window;
    `aircraft_moved` where the aircraft then is along the path [m], or None.
    Nothing of this changes the plan or its verdict: that is about the whole window.
    """

    instant_changed = Signal(object)
    aircraft_moved = Signal(object)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._clock: FlightClock | None = None
        self._moment: Moment | None = None
        self._pointed_m: float | None = None
        self.bar = HourBar()
        self._ticks = QTimer(self)
        self._ticks.setInterval(_TICK_MS)
        self._ticks.timeout.connect(self._on_tick)
        self.bar.band.moved.connect(self._on_moved)
        self.bar.band.play_wanted.connect(self.play)
        self.bar.band.left.connect(self.show_whole)
        self.bar.play_wanted.connect(self.play)
        self.bar.whole_wanted.connect(self.show_whole)
        document.assessed.connect(self._refresh)
        document.followed.connect(self._refresh)
        document.replaced.connect(self._on_replaced)
        self._refresh()

    @property
    def moment(self) -> Moment | None:
        """The moment looked at, None for the whole window."""
        return self._moment

    @property
    def aircraft_m(self) -> float | None:
        """Where the aircraft is along the path at the moment looked at [m]."""
        if self._clock is None or self._moment is None or self._document.assessment.track is None:
            return None
        return self._clock.distance_at(self._moment.flown_s)

    @property
    def playing(self) -> bool:
        """Whether the flight is being played."""
        return self._ticks.isActive()

    def play(self) -> None:
        """Play the flight from where it is, from its start if it has ended; pause if it plays."""
        if self._clock is None or self.playing:
            self._ticks.stop()
        else:
            now = self._moment or Moment()
            self._ticks.start()
            self._put(attrs.evolve(now, flown_s=0.0) if now.flown_s >= self._clock.duration_s else now)
        self._say()

    def take_up(self) -> None:
        """Look at the first moment, if at none yet, and let the keys step from there."""
        if self._clock is None:
            self._document.message.emit("A moment needs a time window and a path: set them first")
            return
        if self._moment is None:
            self._put(Moment())
        self.bar.band.setFocus()

    def show_whole(self) -> None:
        """Look at the whole window again."""
        self._ticks.stop()
        self._put(None)

    def point_at(self, distance_m: float | None) -> None:
        """Tell of the moment at which this flight is at a pointed place [m]; None: where the aircraft is."""
        self._pointed_m = distance_m
        if self._moment is not None:
            self._say()

    def close(self) -> None:
        """Stop playing."""
        self._ticks.stop()

    def _on_moved(self, moment: Moment) -> None:
        self._ticks.stop()
        self._pointed_m = None
        self._put(moment)

    def _on_tick(self) -> None:
        if self._clock is None or self._moment is None:
            self._ticks.stop()
            return
        self._pointed_m = None
        step_s = _TICK_MS / 1000.0 * max(1.0, self._clock.duration_s / _LONGEST_PLAY_S)
        after = attrs.evolve(self._moment, flown_s=self._moment.flown_s + step_s).within(self._clock)
        if after.flown_s >= self._clock.duration_s:
            self._ticks.stop()
        self._put(after)

    def _put(self, moment: Moment | None) -> None:
        self._moment = moment
        self.bar.band.show_moment(moment)
        self._say()
        clock = self._clock
        self.instant_changed.emit(moment.instant(clock) if moment and clock else None)
        self.aircraft_moved.emit(self.aircraft_m)

    def _on_replaced(self) -> None:
        self._clock = None
        self.bar.hide()
        self.show_whole()

    def _refresh(self) -> None:
        """Follow the plan: another window, another path, or none."""
        answer = self._document.assessment
        if self._is_awaited(answer.plan):
            self._say()
            return
        clock, anchor = clock_of(answer), answer.plan.anchor()
        had_clock, self._clock = self._clock is not None, clock
        self.bar.setVisible(clock is not None)
        if clock is None or anchor is None:
            if had_clock:
                self.show_whole()
            return
        end_utc = clock.window.start_utc + timedelta(seconds=clock.span_s)
        self.bar.band.show_window(clock, _light_of_band(_stepped(anchor), clock.window.start_utc, end_utc))
        if self._moment is not None:
            self._put(self._moment.within(clock))
        else:
            self._say()

    def _is_awaited(self, plan: Plan) -> bool:
        """Whether the flight's times are being worked out anew: what stands over the row is not to jump."""
        same_window = self._clock is not None and plan.window == self._clock.window
        none_yet = self._document.assessment.track is None and bool(self._document.waits_for)
        return same_window and len(plan.path) > 1 and none_yet

    def _say(self) -> None:
        self.bar.say(self._words(), at_a_moment=self._moment is not None, playing=self.playing)

    def _words(self) -> str:
        clock, moment = self._clock, self._moment
        if clock is None:
            return ""
        if self._document.assessment.track is None:
            return self._document.waits_for
        if moment is None:
            return (
                f"Whole window: {day_and_hours(clock.window)}. Choose a moment to see its light and airspace."
            )
        if self._pointed_m is not None:
            moment = attrs.evolve(moment, flown_s=clock.flown_at(self._pointed_m))
        return moment_words(self._document.assessment, clock, moment).line


@lru_cache(maxsize=8)
def _light_of_band(place: Place, start_utc: datetime, end_utc: datetime) -> tuple[LightSpan, ...]:
    return light_over(place, start_utc, end_utc)


def _stepped(place: Place) -> Place:
    """Return a place near enough for a picture, the same while a point is dragged about."""
    lon_deg, lat_deg = (
        round(axis / _BAND_STEP_DEG) * _BAND_STEP_DEG for axis in (place.lon_deg, place.lat_deg)
    )
    return Place(lon_deg, min(max(lat_deg, -90.0), 90.0))
