"""Figures laid out as points of the path: round a circle, down an axis, through an opening, past a subject.

Heights above ground make legs that follow the ground, any other kind level ones; a dive is straight.
"""

import math
from typing import Final, Protocol

import attrs

from planner.errors import PlanError
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveGround, Height
from planner.geo.place import Place
from planner.plan.geometry import Leg, LegShape, PathPoint

LONGEST_M: Final = 20_000.0
"""No single figure of a small aircraft flown by sight is longer."""
_LEAST_BOW_M, _BOW_SHARE = 1.0, 0.02
_FEWEST_ROUND = 8
_MOST_TURNS = 10.0


class FigureShape(Protocol):
    """What lays a figure out."""

    @property
    def subject(self) -> Place | None:
        """What it is flown about."""

    def points(self) -> tuple[PathPoint, ...]:
        """Return its points, entry first, exit last.

        Raises
        ------
        PlanError
            If its figures fit no such figure.
        """


@attrs.frozen
class OrbitShape:
    """Round a centre, never nearer to it than `radius_m` [m] and at most 2 % of it, or 1 m, farther.

    It begins on the side toward `begin`; `turns` may be a part of one.
    """

    centre: Place
    begin: Place
    radius_m: float
    height: Height
    clockwise: bool = True
    turns: float = 1.0
    speed_mps: float | None = None

    @property
    def subject(self) -> Place | None:
        """The centre."""
        return self.centre

    def points(self) -> tuple[PathPoint, ...]:
        """Return the corners of a line whose edges touch the circle from outside."""
        _in_reach(self.radius_m, "the radius")
        if not 0.0 < self.turns <= _MOST_TURNS:
            raise PlanError("an orbit has no such number of turns", remedy="give more than 0, up to 10")
        steps = max(1, math.ceil(self.turns * _corners_round(self.radius_m)))
        step_rad = math.tau * self.turns / steps
        out_m = self.radius_m / math.cos(step_rad / 2)
        frame = LocalFrame(self.centre)
        x_m, y_m = frame.place_to_xy(self.begin)
        start_rad = math.atan2(x_m, y_m)
        sense = 1.0 if self.clockwise else -1.0
        bearings = (start_rad + sense * step_rad * number for number in range(steps + 1))
        places = tuple(
            frame.xy_to_place(out_m * math.sin(angle), out_m * math.cos(angle)) for angle in bearings
        )
        return _along(places, self.height, self.speed_mps)


def tangent_entry(centre: Place, radius_m: float, before: Place, *, clockwise: bool) -> Place | None:
    """Return where a straight way from `before` meets the circle and goes on round it; None from within it.

    From where the radius stands square on the way: the tangent of plane geometry (Euclid III.17, 18).
    """
    frame = LocalFrame(centre)
    x_m, y_m = frame.place_to_xy(before)
    away_m = math.hypot(x_m, y_m)
    if not away_m > radius_m > 0.0:
        return None
    turn = math.acos(radius_m / away_m) * (1.0 if clockwise else -1.0)
    bearing = math.atan2(x_m, y_m) + turn
    return frame.xy_to_place(radius_m * math.sin(bearing), radius_m * math.cos(bearing))


def nearest_on_way_m(centre: Place, begin: Place, end: Place) -> float:
    """Return how near a straight way comes to a place [m]."""
    frame = LocalFrame(centre)
    (x_m, y_m), (to_x_m, to_y_m) = frame.place_to_xy(begin), frame.place_to_xy(end)
    dx_m, dy_m = to_x_m - x_m, to_y_m - y_m
    length2 = dx_m * dx_m + dy_m * dy_m
    share = 0.0 if length2 == 0.0 else min(max(-(x_m * dx_m + y_m * dy_m) / length2, 0.0), 1.0)
    return math.hypot(x_m + share * dx_m, y_m + share * dy_m)


@attrs.frozen
class DiveShape:
    """Down a straight line from `top` to `bottom`, then on at that height for `run_out_m` [m].

    `drop_m` is how far it really comes down [m]; with it `descent_mps` makes
    the speed along the line. None: not known, and the leg states no speed.
    """

    top: Place
    bottom: Place
    top_height: Height
    bottom_height: Height
    descent_mps: float | None = None
    drop_m: float | None = None
    run_out_m: float = 30.0

    @property
    def subject(self) -> Place | None:
        """None: it is flown along its own line."""
        return None

    @property
    def speed_mps(self) -> float | None:
        """The speed along the line [m/s] that makes the descent; None where it is not known."""
        if self.descent_mps is None or self.drop_m is None or self.drop_m <= 0.0:
            return None
        return self.descent_mps * math.hypot(self.length_m, self.drop_m) / self.drop_m

    @property
    def length_m(self) -> float:
        """How far it leads over the ground until the bottom [m]."""
        return math.hypot(*LocalFrame(self.top).place_to_xy(self.bottom))

    def points(self) -> tuple[PathPoint, ...]:
        """Return the top, the bottom, and the end of the run-out."""
        _in_reach(self.length_m, "the way from top to bottom")
        if self.drop_m is not None and self.drop_m <= 0.0:
            raise PlanError("the bottom is not below the top", remedy="give a lower bottom or a higher top")
        if self.descent_mps is not None and not (math.isfinite(self.descent_mps) and self.descent_mps > 0.0):
            raise PlanError("a rate of descent is a number above zero", remedy="give one like 10 m/s")
        down = Leg(LegShape.STRAIGHT, self.speed_mps)
        first = PathPoint(self.top, self.top_height, down)
        if self.run_out_m <= 0.0:
            return first, PathPoint(self.bottom, self.bottom_height)
        _in_reach(self.run_out_m, "the run-out")
        frame = LocalFrame(self.bottom)
        x_m, y_m = frame.place_to_xy(self.top)
        share = -self.run_out_m / math.hypot(x_m, y_m)
        end = frame.xy_to_place(x_m * share, y_m * share)
        out = Leg(_shape_of(self.bottom_height))
        return first, PathPoint(self.bottom, self.bottom_height, out), PathPoint(end, self.bottom_height)


@attrs.frozen
class GapShape:
    """Straight from `begin` through an opening, and as far beyond it."""

    opening: Place
    begin: Place
    height: Height
    speed_mps: float | None = None

    @property
    def subject(self) -> Place | None:
        """The opening."""
        return self.opening

    def points(self) -> tuple[PathPoint, ...]:
        """Return the entry, the opening, and the exit."""
        frame = LocalFrame(self.opening)
        x_m, y_m = frame.place_to_xy(self.begin)
        _in_reach(math.hypot(x_m, y_m), "the way to the opening")
        places = (self.begin, self.opening, frame.xy_to_place(-x_m, -y_m))
        return tuple(
            PathPoint(place, self.height, Leg(LegShape.STRAIGHT, self.speed_mps)) for place in places
        )


@attrs.frozen
class PassShape:
    """A straight line from `begin` past a subject, nearest to it by `aside_m` [m], and as far beyond."""

    passed: Place
    begin: Place
    aside_m: float
    height: Height
    on_left: bool = True
    speed_mps: float | None = None

    @property
    def subject(self) -> Place | None:
        """What is passed."""
        return self.passed

    def points(self) -> tuple[PathPoint, ...]:
        """Return the entry, the place abeam of the subject, and the exit."""
        _in_reach(self.aside_m, "the distance from the subject")
        frame = LocalFrame(self.passed)
        x_m, y_m = frame.place_to_xy(self.begin)
        away_m = math.hypot(x_m, y_m)
        _in_reach(away_m, "the way to the subject")
        if away_m <= self.aside_m:
            raise PlanError(
                "the pass begins nearer to its subject than it is to pass it",
                remedy="begin farther out, or give a smaller distance",
            )
        # Where a line from outside touches the circle, it is nearest to its middle.
        turn = math.acos(self.aside_m / away_m) * (1.0 if self.on_left else -1.0)
        angle = math.atan2(y_m, x_m) + turn
        near_x_m, near_y_m = self.aside_m * math.cos(angle), self.aside_m * math.sin(angle)
        abeam = frame.xy_to_place(near_x_m, near_y_m)
        end = frame.xy_to_place(2.0 * near_x_m - x_m, 2.0 * near_y_m - y_m)
        return _along((self.begin, abeam, end), self.height, self.speed_mps)


def _corners_round(radius_m: float) -> float:
    """Return how many corners a whole circle takes so that its line bows out by no more than is said."""
    bow_m = max(_LEAST_BOW_M, _BOW_SHARE * radius_m)
    return max(_FEWEST_ROUND, math.ceil(math.pi / math.acos(radius_m / (radius_m + bow_m))))


def _shape_of(height: Height) -> LegShape:
    return LegShape.FOLLOW_GROUND if isinstance(height, AboveGround) else LegShape.STRAIGHT


def _along(places: tuple[Place, ...], height: Height, speed_mps: float | None) -> tuple[PathPoint, ...]:
    leg = Leg(_shape_of(height), speed_mps)
    return tuple(PathPoint(place, height, leg) for place in places)


def _in_reach(metres: float, what: str) -> None:
    if not (math.isfinite(metres) and 0.5 <= metres <= LONGEST_M):
        raise PlanError(f"{what} is not between 0.5 m and 20 km", remedy="give another, or click elsewhere")
