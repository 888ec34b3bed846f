"""Where an aircraft may be that flies a path, and when its link is lost: laid out densely, for tests only.

By the manual's words (`coming_home.md`, `the_points.md`): for the delay it flies straight on as it flew; a
return then climbs on the spot to its height, never sinks to it, flies straight and level home and comes down
there; what lands or holds comes straight down; what drops is thrown on with the speed it had. A leg that
follows the ground sinks no faster than the aircraft does at its speed.

Ways are rows of places (k, m); NaN where a way has ended. `Ways.surely` is what holds whatever is not said.
"""

import math
from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.aircraft import LinkLossAction
from planner.plan.geometry import LegShape
from planner.plan.model import Plan
from planner.plan.performance import Performance
from tests.lost_link.twin_air import TwinAir, plane

Floats = NDArray[np.float64]

STEP_M = 1.0
LOST_EVERY_M = 2.0
GRAVITY = 9.80665
ASSUMED_MPS = 10.0
"""Speed of a leg, where neither leg nor aircraft says one: common practice, as DEVELOPERS.md has it."""
ASSUMED_DELAY_S = 2.0
LEVELS = 8
# Where it comes as near to the ground as that while it flies on, it may have landed.
MAY_LAND_M = 1.6
# Readings of which never so many are given: nothing of them is sure.
ONLY_MAY_BE = 99

RETURNS = {LinkLossAction.RETURN_FIXED, LinkLossAction.RETURN_OFFSET, LinkLossAction.RETURN_HIGHEST}


@attrs.frozen(eq=False)
class Ways:
    """Ways of one phase from places in a row: x, y, z (k, m) [m].

    `lost` is where each was lost (k,) [m] along leg `leg`, which is `whole_m` long. Of several `readings` of
    the same words (this is number `reading`) that is sure which is so in each. `sampled` is whether only
    places so far apart as the program's samples are promised to be asked.
    """

    phase: str
    x: Floats
    y: Floats
    z: Floats
    lost: Floats
    leg: int = 0
    whole_m: float = 0.0
    reading: int = 0
    readings: int = 1
    sampled: bool = False


@attrs.frozen(eq=False)
class Begins:
    """Where actions begin (k,) [m], how fast it is then, and where its link was lost.

    `so_far` is the greatest height flown till then [m AMSL]; `lost`, `leg`, `reading` as of `Ways`.
    """

    x: Floats
    y: Floats
    z: Floats
    speed: tuple[Floats, Floats, Floats]
    lost_from: tuple[Floats, Floats]
    so_far: Floats
    lost: Floats
    leg: int
    whole_m: float
    reading: int
    readings: int

    def ways(self, phase: str, x: Floats, y: Floats, z: Floats) -> Ways:
        x, y = (np.broadcast_to(one, z.shape) for one in (x, y))
        return Ways(phase, x, y, z, self.lost, self.leg, self.whole_m, self.reading, self.readings, True)


@attrs.frozen(eq=False)
class LegFlown:
    """One leg, places in a row: drawn heights, and speeds over the ground and upward."""

    number: int
    x: Floats
    y: Floats
    z: Floats
    along: Floats
    east: float
    north: float
    level_mps: Floats
    up_mps: tuple[Floats, ...]
    follows: bool
    slope_down: float
    slope_up: float


class TwinPath:
    """The path of one plan, leg by leg."""

    def __init__(self, plan: Plan, air: TwinAir) -> None:
        self.plan, self.air = plan, air
        self.able = plan.aircraft.performance or Performance()
        self.loss = plan.aircraft.link_loss
        self.spots = plane([p.place.lon_deg for p in plan.path], [p.place.lat_deg for p in plan.path])
        self.legs = [self._leg(k) for k in range(len(plan.path) - 1)]

    def _cruise(self) -> float | None:
        told = [one for one in (self.able.cruise_mps, self.able.highest_mps) if one is not None]
        return min(told) if self.able.cruise_mps is not None else None

    def _leg(self, number: int) -> LegFlown:
        (x0, y0), (x1, y1) = self.spots[number : number + 2]
        first, last = self.plan.path[number : number + 2]
        flat = math.hypot(x1 - x0, y1 - y0)
        ends = [
            float(self.air.amsl(p.height, self.air.below.at(*spot))[0])
            for p, spot in zip((first, last), self.spots[number : number + 2], strict=True)
        ]
        count = max(2, math.ceil(max(flat, abs(ends[1] - ends[0])) / STEP_M)) + 1
        share = np.linspace(0.0, 1.0, count)
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        follows = first.leg.shape is LegShape.FOLLOW_GROUND
        if follows:
            ground = self.air.below.at(x, y)
            above = [end - float(ground[k]) for end, k in zip(ends, (0, -1), strict=True)]
            z = ground + above[0] + (above[1] - above[0]) * share
        else:
            z = ends[0] + (ends[1] - ends[0]) * share
        run = flat / (count - 1)
        level, up = self._speeds(first.leg.speed_mps, z, run)
        speed = first.leg.speed_mps or self._cruise()
        east, north = ((x1 - x0) / flat, (y1 - y0) / flat) if flat > 0.01 else (0.0, 0.0)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(run, np.diff(z)))])
        return LegFlown(
            number, x, y, z, along, east, north, level, up, follows,
            self._slope(speed, self.able.descent_mps), self._slope(speed, self.able.climb_mps),
        )  # fmt: skip

    @staticmethod
    def _slope(speed: float | None, rate: float | None) -> float:
        """Rise over run of a rate at a speed along the path; 45 degrees where no rate is given."""
        if rate is None:
            return 1.0
        speed = ASSUMED_MPS if speed is None else speed
        return rate / math.sqrt(speed * speed - rate * rate) if speed > rate else 1_000.0

    def _speeds(self, stated: float | None, z: Floats, run: float) -> tuple[Floats, tuple[Floats, ...]]:
        """Level speed and readings of the upward one, at each place.

        Of followed ground nobody says whether it keeps on as it rises there, as it rose, or flies on level.
        """
        rises = np.diff(z)
        before, after = np.concatenate([rises[:1], rises]), np.concatenate([rises, rises[-1:]])
        if run <= 0.01:
            speed = stated or ASSUMED_MPS
            up = np.minimum(
                np.sign(after) * speed, np.inf if self.able.climb_mps is None else self.able.climb_mps
            )
            return np.zeros(len(z)), (up,)
        slopes = after / run, before / run
        level = np.full(len(z), self._cruise() or ASSUMED_MPS)
        if stated is not None:
            level = stated / np.sqrt(1.0 + np.maximum(np.abs(slopes[0]), np.abs(slopes[1])) ** 2)
        if self.able.climb_mps is not None:
            steepest = np.maximum(np.maximum(slopes[0], slopes[1]), 1e-9)
            level = np.minimum(level, self.able.climb_mps / steepest)
        if stated is not None and self.able.highest_mps is not None:
            level = np.minimum(level, self.able.highest_mps)
        return level, tuple(level * slope for slope in slopes)

    # ---- what is drawn, and flown of it

    def drawn(self) -> Iterator[Ways]:
        for leg in self.legs:
            yield Ways("drawn", leg.x[None], leg.y[None], leg.z[None], leg.along[:1], leg.number)

    def followed(self) -> Iterator[Ways]:
        """What is still higher than drawn, as the ground falls away faster than it sinks.

        A straight leg's slope is the pilot's word; that it is none where a rate is given only may be.
        """
        yield from self._still(straight_sinks=True)
        if self.able.descent_mps is not None:
            yield from self._still(straight_sinks=False)

    def _still(self, *, straight_sinks: bool) -> Iterator[Ways]:
        high = -math.inf
        for leg in self.legs:
            run = np.hypot(np.diff(leg.x), np.diff(leg.y))
            still = leg.z.copy()
            still[0] = max(high, leg.z[0])
            for k, far in enumerate(run):
                can = far * leg.slope_down
                if not leg.follows and straight_sinks:
                    can = max(can, leg.z[k] - leg.z[k + 1])
                still[k + 1] = max(leg.z[k + 1], still[k] - can)
            high = float(still[-1])
            late = np.where(still > leg.z + 1e-6, still, np.nan)
            if np.isfinite(late).any():
                told = leg.along[:1], leg.number, 0.0, 0, 1 if straight_sinks else ONLY_MAY_BE
                phase = "followed" if straight_sinks else "too steep"
                yield Ways(phase, leg.x[None], leg.y[None], late[None], *told)

    # ---- on lost link

    def lost(self) -> Iterator[Ways]:
        if self.loss is None:
            return
        delay = ASSUMED_DELAY_S if self.loss.delay_s is None else self.loss.delay_s
        highest = -math.inf
        for leg in self.legs:
            so_far = np.maximum(np.maximum.accumulate(leg.z), highest)
            highest = float(so_far[-1])
            readings = (*leg.up_mps, np.zeros(len(leg.z))) if leg.follows else leg.up_mps[:1]
            for reading, up in enumerate(readings):
                yield from self._from_leg(leg, (reading, len(readings), up), delay, so_far)

    @staticmethod
    def _lost_at(leg: LegFlown) -> NDArray[np.int64]:
        every = max(1, round(LOST_EVERY_M / max(leg.along[-1] / (len(leg.z) - 1), 1e-6)))
        return np.unique(np.append(np.arange(0, len(leg.z), every), len(leg.z) - 1))

    def _from_leg(
        self, leg: LegFlown, read: tuple[int, int, Floats], delay: float, so_far: Floats
    ) -> Iterator[Ways]:
        reading, readings, up = read
        rows = self._lost_at(leg)
        level, rises = leg.level_mps[rows, None], up[rows, None]
        far = float(np.max(np.hypot(level, rises))) * delay
        after = np.linspace(0.0, delay, max(2, math.ceil(far / STEP_M) + 1))[None]
        x = leg.x[rows, None] + leg.east * level * after
        y = leg.y[rows, None] + leg.north * level * after
        z = leg.z[rows, None] + rises * after
        ended = self._ended(x, y, z)
        lost = leg.along[rows]
        yield Ways(
            "wait",
            x,
            y,
            np.where(ended, np.nan, z),
            lost,
            leg.number,
            lost[-1],
            reading,
            readings,
            leg.follows,
        )
        on = ~ended.any(axis=1)
        if on.any():
            begins = Begins(
                x[on, -1], y[on, -1], z[on, -1],
                (level[on, 0] * leg.east, level[on, 0] * leg.north, rises[on, 0]),
                (leg.x[rows][on], leg.y[rows][on]), so_far[rows][on], lost[on], leg.number,
                lost[-1], reading, readings,
            )  # fmt: skip
            yield from acts(self.air, self.plan, begins)

    def _ended(self, x: Floats, y: Floats, z: Floats) -> NDArray[np.bool_]:
        """Whether it may have landed by then: nobody says what follows."""
        ground = self.air.below.at(x.ravel(), y.ravel()).reshape(x.shape)
        return np.logical_or.accumulate(~(z - ground > MAY_LAND_M), axis=1)


def acts(air: TwinAir, plan: Plan, begins: Begins) -> Iterator[Ways]:
    """Yield what is done on lost link from where its action begins."""
    action = plan.aircraft.link_loss.action
    if action in RETURNS:
        yield from _returns(air, plan, begins)
    elif action is LinkLossAction.DROP:
        yield _thrown(air, begins)
    else:
        ground = air.below.at(begins.x, begins.y)
        yield begins.ways("down", begins.x[:, None], begins.y[:, None], upright(ground, begins.z))


def return_level(air: TwinAir, plan: Plan, begins: Begins) -> Floats:
    """How high it returns: as set, counted from where it was lost, and never lower than it is by then."""
    loss = plan.aircraft.link_loss
    match loss.action:
        case LinkLossAction.RETURN_FIXED:
            wanted = air.amsl(loss.height, air.below.at(*begins.lost_from))
        case LinkLossAction.RETURN_OFFSET:
            wanted = begins.z + loss.height.m
        case _:
            wanted = begins.so_far
    return np.maximum(wanted, begins.z)


def home_of(plan: Plan) -> Floats:
    """Where it returns to by itself: the return point, else where it was armed."""
    place = plan.return_point or plan.launch.place
    return plane(place.lon_deg, place.lat_deg)[0]


def _returns(air: TwinAir, plan: Plan, begins: Begins) -> Iterator[Ways]:
    level, home = return_level(air, plan, begins), home_of(plan)
    yield begins.ways("climb", begins.x[:, None], begins.y[:, None], upright(begins.z, level))
    x, y = straight_home(begins.x, begins.y, home)
    z = till_ground(air, x, y, np.broadcast_to(level[:, None], x.shape))
    yield begins.ways("home", x, y, z)
    ground = np.full(len(level), float(air.below.at(*home)[0]))
    yield begins.ways("down", home[:1, None], home[1:, None], upright(ground, level))


def straight_home(x: Floats, y: Floats, home: Floats) -> tuple[Floats, Floats]:
    """Places (k, m) of straight ways home, none farther apart than a step."""
    far = float(np.hypot(x - home[0], y - home[1]).max())
    share = np.linspace(0.0, 1.0, max(2, math.ceil(far / STEP_M) + 1))[None]
    return x[:, None] * (1 - share) + home[0] * share, y[:, None] * (1 - share) + home[1] * share


def upright(low: Floats, high: Floats) -> Floats:
    """Heights (k, m) straight up or down between two."""
    return low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, LEVELS)[None]


def _thrown(air: TwinAir, begins: Begins) -> Ways:
    """Falls as what is thrown without drag or wind."""
    x, y, z = (one[:, None] for one in (begins.x, begins.y, begins.z))
    east, north, up = (one[:, None] for one in begins.speed)
    high_m, rises = (
        float(begins.z.max() - np.nanmin(air.below.heights)),
        max(float(begins.speed[2].max()), 0.0),
    )
    longest = (rises + math.sqrt(rises**2 + 2 * GRAVITY * high_m)) / GRAVITY
    after = np.linspace(0.0, longest, 150)[None]
    way_x, way_y, way_z = x + east * after, y + north * after, z + up * after - GRAVITY / 2 * after**2
    return begins.ways("down", way_x, way_y, till_ground(air, way_x, way_y, way_z))


def till_ground(air: TwinAir, x: Floats, y: Floats, z: Floats) -> Floats:
    """Heights of ways (k, m), NaN from where they first meet the ground."""
    ground = air.below.at(x.ravel(), y.ravel()).reshape(x.shape)
    return np.where(np.logical_or.accumulate(~(z >= ground), axis=1), np.nan, z)
