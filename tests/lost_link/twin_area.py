"""Where an aircraft may be that flies anywhere in an area, and when its link is lost: for tests only.

By the manual (`coming_home.md`, `plan/area.md`): any place of it from the ground to the top; on lost link it
flies on for the delay, level, at its highest speed, whichever way; returns begin there, too.
"""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.model import Plan
from tests.lost_link.twin_air import TwinAir, plane
from tests.lost_link.twin_path import (
    ASSUMED_DELAY_S,
    GRAVITY,
    LEVELS,
    RETURNS,
    Floats,
    Ways,
    home_of,
    straight_home,
    till_ground,
    upright,
)

MOST_ASIDE = 110
MOST_RETURNS = 350
# The program looks at some 160 places of an area: what is narrower than between them is not promised.
PLACES = 160
HEADINGS = 32
THROWN_ASIDE = 60
HOME_ASIDE = 150
THROWN_PLACES, THROWN_ROUND = 150, 16
SURE, MAYBE = 0, 1


class TwinArea:
    """The area of one plan as a grid."""

    def __init__(self, plan: Plan, air: TwinAir) -> None:
        self.plan, self.air, area = plan, air, plan.area
        self.shape = shapely.Polygon(plane([p.lon_deg for p in area.ring], [p.lat_deg for p in area.ring]))
        loss = plan.aircraft.link_loss
        delay = 0.0 if loss is None else ASSUMED_DELAY_S if loss.delay_s is None else loss.delay_s
        self.far_m = delay * (self._speed() or 0.0)
        west, south, east, north = self.shape.buffer(self.far_m).bounds
        self.step_m = max(1.0, max(east - west, north - south) / MOST_ASIDE)
        self.x, self.y = np.meshgrid(np.arange(west, east, self.step_m), np.arange(south, north, self.step_m))
        self.inside = shapely.contains_xy(self.shape, self.x, self.y)
        self.ground = air.below.at(self.x.ravel(), self.y.ravel()).reshape(self.x.shape)
        top = air.amsl(area.top, self.ground.ravel()).reshape(self.x.shape)
        self.top = np.where(self.inside, top, -np.inf)

    def _speed(self) -> float | None:
        able = self.plan.aircraft.performance
        if able is None:
            return None
        return able.highest_mps or able.cruise_mps

    def drawn(self) -> Iterator[Ways]:
        yield self._column("drawn", self.inside, self.top, SURE)

    def lost(self) -> Iterator[Ways]:
        """Yield what is sure, and with another number what may be."""
        loss = self.plan.aircraft.link_loss
        if loss is None:
            return
        for reading, surely in ((SURE, True), (MAYBE, False)):
            high = self._reached(surely=surely)
            yield self._column("wait", np.isfinite(high), high, reading)
            if loss.action in RETURNS:
                yield from self._returns(loss, high, reading)
        if loss.action is LinkLossAction.DROP and self._speed():
            yield self._thrown(self._speed())
            yield self._thrown_surely(self._speed())

    def _reached(self, *, surely: bool) -> Floats:
        """How high it comes over each place of the grid: level from wherever it may come from."""
        high = self.top.copy()
        if self.far_m <= 0.0:
            return high
        if not surely:
            reach = math.ceil(self.far_m / self.step_m) + 1
            padded = np.pad(high, reach, constant_values=-np.inf)
            for axis in (0, 1):
                view = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=axis)
                padded = view.max(axis=-1)
            return padded
        rows, columns = high.shape
        for far in np.linspace(0.0, self.far_m, max(2, math.ceil(self.far_m / self.step_m / 2) + 1))[1:]:
            for turn in np.linspace(0, 2 * np.pi, HEADINGS, endpoint=False):
                # Toward the middle: never farther than it flies.
                down, right = (int(part * far / self.step_m) for part in (np.sin(turn), np.cos(turn)))
                to = (slice(max(down, 0), rows + min(down, 0)), slice(max(right, 0), columns + min(right, 0)))
                of = (
                    slice(max(-down, 0), rows - max(down, 0)),
                    slice(max(-right, 0), columns - max(right, 0)),
                )
                high[to] = np.maximum(high[to], self.top[of])
        return high

    def _column(self, phase: str, where, high: Floats, reading: int) -> Ways:
        """All heights from the ground up to these: any of them may be flown."""
        rows = where & (high > self.ground)
        x, y, low, top = (grid[rows][:, None] for grid in (self.x, self.y, self.ground, high))
        z = low + (top - low) * np.linspace(0.05, 1.0, LEVELS)[None]
        return self._ways(phase, x, y, z, reading)

    @staticmethod
    def _ways(phase: str, x: Floats, y: Floats, z: Floats, reading: int, *, sampled: bool = False) -> Ways:
        x, y = (np.broadcast_to(one, z.shape) for one in (x, y))
        return Ways(phase, x, y, z, np.zeros(len(z)), reading=reading, sampled=sampled)

    def _thrown(self, speed: float) -> Ways:
        """What may be: as high as the top, so far ahead as it falls."""
        highest = float(self.top.max())
        falls_s = math.sqrt(2 * max(highest - float(np.nanmin(self.air.below.heights)), 0.0) / GRAVITY)
        around = self.shape.buffer(self.far_m + falls_s * speed)
        west, south, east, north = around.bounds
        x, y = np.meshgrid(np.linspace(west, east, THROWN_ASIDE), np.linspace(south, north, THROWN_ASIDE))
        x, y = x.ravel(), y.ravel()
        ground = self.air.below.at(x, y)
        z = upright(ground, np.maximum(highest, ground))
        return self._ways("down", x[:, None], y[:, None], z, MAYBE)

    def _thrown_surely(self, speed: float) -> Ways:
        """From places of it, at its top, some ways round: flown on for the delay, level, and then thrown."""
        rows = np.flatnonzero(self.inside.ravel())
        rows = np.repeat(rows[:: max(1, len(rows) // THROWN_PLACES)], THROWN_ROUND)
        x, y, z = (one.ravel()[rows][:, None] for one in (self.x, self.y, self.top))
        turn = np.resize(np.linspace(0, 2 * np.pi, THROWN_ROUND, endpoint=False), len(rows))[:, None]
        after = np.linspace(
            0.0, math.sqrt(2 * float(z.max() - np.nanmin(self.air.below.heights)) / GRAVITY), 60
        )
        ahead = self.far_m + speed * after[None]
        way_x, way_y = x + np.cos(turn) * ahead, y + np.sin(turn) * ahead
        way_z = np.broadcast_to(z - GRAVITY / 2 * after[None] ** 2, way_x.shape)
        return self._ways("down", way_x, way_y, till_ground(self.air, way_x, way_y, way_z), SURE)

    def _returns(self, loss: LinkLoss, high: Floats, reading: int) -> Iterator[Ways]:
        """Sure: from places of it at its top; what may be: from where it flies on to, at the highest."""
        sure = reading == SURE
        rows = np.flatnonzero((self.inside if sure else np.isfinite(high)).ravel())
        rows = rows[:: max(1, len(rows) // MOST_RETURNS)]
        x, y = self.x.ravel()[rows], self.y.ravel()[rows]
        top = (self.top if sure else high).ravel()[rows]
        level, home = np.maximum(self._wanted(loss, rows, top), top), home_of(self.plan)
        if not sure:
            yield self._anywhere(home, float(level.max()))
            level = np.full(len(level), level.max())
        way_x, way_y = straight_home(x, y, home)
        way_z = np.broadcast_to(level[:, None], way_x.shape)
        if sure:
            way_z = till_ground(self.air, way_x, way_y, way_z)
        yield self._ways("home", way_x, way_y, way_z, reading, sampled=sure)
        ground = np.full(len(level), float(self.air.below.at(*home)[0]))
        down, climb = upright(ground, level), upright(top, level)
        yield self._ways("down", home[:1, None], home[1:, None], down, reading)
        yield self._ways("climb", x[:, None], y[:, None], climb, reading, sampled=sure)

    def _anywhere(self, home: Floats, level: float) -> Ways:
        """At one height over all that ways home may lead over."""
        about = shapely.union(self.shape, shapely.Point(home)).convex_hull.buffer(self.far_m + 1.0)
        west, south, east, north = about.bounds
        x, y = np.meshgrid(np.linspace(west, east, HOME_ASIDE), np.linspace(south, north, HOME_ASIDE))
        there = shapely.contains_xy(about, x, y)
        return self._ways(
            "home", x[there][:, None], y[there][:, None], np.full((there.sum(), 1), level), MAYBE
        )

    def _wanted(self, loss: LinkLoss, rows: NDArray[np.int64], top: Floats) -> Floats:
        match loss.action:
            case LinkLossAction.RETURN_FIXED:
                return self.air.amsl(loss.height, self.ground.ravel()[rows])
            case LinkLossAction.RETURN_OFFSET:
                return top + loss.height.m
        return np.full(len(rows), float(self.top.max()))

    @property
    def apart_m(self) -> float:
        """So far apart are the places of it that the program looks at."""
        return 2 * math.sqrt(self.shape.area / PLACES)
