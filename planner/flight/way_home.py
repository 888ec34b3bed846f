"""From every sample: what the aircraft does when the link is lost, and where that ends."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.between_ways import LevelWays, met_between, under
from planner.flight.climb_out import over_climb_out
from planner.flight.failsafe import RETURNS, Failsafe, return_level_amsl_m
from planner.flight.fall import thrown_time_s
from planner.flight.fan import HIGHEST_GROUND, greatest_along
from planner.flight.ground_between import Nodes, nodes_between
from planner.flight.motion import Motion
from planner.flight.rays import Fan
from planner.flight.return_times import UprightBlows, blown_s, return_s, upright_blows
from planner.flight.steps import in_order
from planner.flight.surroundings import Surroundings, ground_over
from planner.flight.velocity import velocity_along
from planner.flight.waiting import Begun, begun_after
from planner.flight.wind import Wind
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.track.track import Track

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

# Of ground between two ways no more is asked than what lies so near beneath them: own choice.
_ROOM_M: Final = 10.0
# Who climbs out climbs at least so steeply, all the way from where it returns to: own choice.
_CLIMBS_OUT: Final = 1 / 20


@attrs.frozen(eq=False)
class Home:
    """Where a return ends: plane position [m] and ground [m AMSL]."""

    x_m: float
    y_m: float
    ground_amsl_m: float


@attrs.frozen(eq=False)
class LossWays:
    """What happens when the link is lost at each sample; arrays (n,), plane [m].

    Parameters
    ----------
    corner_x_m, corner_y_m, corner_amsl_m : (n, 4) where the link is lost,
        where the action begins, where its level part begins, where that ends;
        for actions that stay, the last is where it lands or strikes.
    clearance_m : least height over ground and structures on the way, before
        any landing; NaN where ground is unknown, inf for a drop.
    waiting_m : of that, till its action begins, inf where it lands meanwhile on the flight's own landing
        place, and for the ground of a drop; `acting_m` from then on, inf for what stays.
    waited_agl_m : height over ground where its action begins.
    level_m : of a return the least height over what its level part leads
        over away from where it begins and from home; inf where nothing returns.
    highest_amsl_m : highest point of the way.
    duration_s : from the loss to the end; NaN where the wind forbids the
        return, or where a hold ends when the battery does.
    parts_s : (n, 4) of it: waiting, climb, way and landing of a return; NaN
        where nothing returns or the wind forbids it.
    obstacle : index into the obstacles of the one that decides, -1: none.
    cover : index into the drawn cover of the one that decides, -1: none.
    blown_away, blown_in_gusts : whether the wind forbids the return, and
        whether it would if it blew all the way as in its gusts.
    gusty_s : (n,) time of its level way then, inf where it makes no headway; None where nothing returns.
    lasting_s : the same in what blows for a minute (`Wind.lasting_mps`).
    blows : the wind in which a return climbs, and lands; None where nothing returns.
    strikes : (n,) whether it strikes a structure or cover till its action begins; None: nothing stands there.
    over_ground_m : (n,) least height of a return's level part over ground; None where nothing returns.
    in_order : whether neighbours are flown one after the other: what lies between their returns counts.
    nearest_m : east and north (n,) in the plane, where the action of what stays begins in the wind that makes
        it slowest; None where that is where it begins anyway.
    flown_mps : (n,) east and north, the speed over the ground with which its action begins; None of a return.
    landed : (n,) of a return, whether it has landed before that begins and ends there; None: nowhere.
    climbed_m : (n,) height over ground of what returns along its climb-out as low as it climbed; else NaN.
    touches_mps : (n,) how fast over the ground it touches that of its landing place with way on; else NaN.
    """

    failsafe: Failsafe
    corner_x_m: Floats
    corner_y_m: Floats
    corner_amsl_m: Floats
    clearance_m: Floats
    waiting_m: Floats
    acting_m: Floats
    waited_agl_m: Floats
    level_m: Floats
    highest_amsl_m: Floats
    duration_s: Floats
    parts_s: Floats
    obstacle: Ints
    cover: Ints
    blown_away: Mask
    blown_in_gusts: Mask
    margin_m: float
    gusty_s: Floats | None = None
    lasting_s: Floats | None = None
    flown_mps: tuple[Floats, Floats] | None = None
    blows: UprightBlows | None = None
    nearest_m: tuple[Floats, Floats] | None = None
    landed: Mask | None = None
    strikes: Mask | None = None
    climbed_m: Floats | None = None
    touches_mps: Floats | None = None
    in_order: bool = False
    over_ground_m: Floats | None = None

    @property
    def too_low(self) -> Mask:
        """Where the way clears by less than the margin."""
        return np.asarray(self.clearance_m < self.margin_m)

    @property
    def unknown(self) -> Mask:
        """Where nobody can say."""
        return np.isnan(self.clearance_m)

    @property
    def worst(self) -> int | None:
        """Index of the sample whose way clears least, None where nothing is known."""
        if self.unknown.all():
            return None
        return int(np.nanargmin(self.clearance_m))

    def meets(self, shape: BaseGeometry) -> Mask:
        """Return whose level part comes over a shape of the plane, or within the margin beside it.

        Both of two neighbours between which it lies count.
        """
        x_m, y_m = self.corner_x_m[:, 2:], self.corner_y_m[:, 2:]
        near = shapely.buffer(shape, max(self.margin_m, 0.1))
        lines = np.asarray(shapely.linestrings(np.stack([x_m, y_m], axis=2)), dtype=object)
        met = np.asarray(shapely.intersects(lines, near), dtype=np.bool_)
        flown = np.ones(len(met), dtype=np.bool_) if self.landed is None else ~self.landed
        if not flown.any():
            return met
        home = int(np.argmax(flown))
        hub = float(x_m[home, 1]), float(y_m[home, 1])
        ways = LevelWays(x_m[:, 0], y_m[:, 0], hub, self.corner_amsl_m[:, 2], self.in_order)
        return met | (met_between(ways, near) & flown)

    def points(self, spacing_m: float, chosen: Ints) -> tuple[Ints, Floats, Floats, Floats]:
        """Return the ways as points, for the question how high they may be.

        Sample index, x, y [m] and height [m AMSL] of all corners of the
        `chosen` samples, and of points between them no farther apart than
        `spacing_m`.
        """
        parts = []
        for first in range(3):
            ends = [c[chosen][:, first : first + 2] for c in self._corners()]
            flat = np.nan_to_num(np.hypot(*(np.diff(end, axis=1)[:, 0] for end in ends[:2])), nan=0.0)
            count = np.maximum(np.ceil(flat / spacing_m), 1).astype(np.int64) + 1
            owner = np.repeat(np.arange(len(chosen)), count)
            share = (np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)) / (count[owner] - 1)
            parts.append(
                [chosen[owner], *(end[owner, 0] + (end[owner, 1] - end[owner, 0]) * share for end in ends)]
            )
        owner, x_m, y_m, amsl_m = (np.concatenate(column) for column in zip(*parts, strict=True))
        return owner, x_m, y_m, amsl_m

    def _corners(self) -> tuple[Floats, Floats, Floats]:
        return self.corner_x_m, self.corner_y_m, self.corner_amsl_m


def loss_ways(
    track: Track, motion: Motion, winds: Sequence[Wind], loss: LinkLoss, home: Home, around: Surroundings
) -> LossWays:
    """Return the ways of an aircraft that loses its control link at each sample.

    For the delay it flies on as it flew, straight; then it acts. The wind
    that is worst for its way counts, calm air where none is known. A return
    climbs on the spot, flies straight and level to home and lands there. Its
    height is what it is above sea level: no ground is followed.
    """
    failsafe = Failsafe.of(loss)
    velocity = velocity_along(track, motion)
    begun = begun_after(track, velocity, failsafe, around, motion.assumed_speed)
    if loss.action in RETURNS:
        level = return_level_amsl_m(loss, track, begun.waited[2])
        ways = _returning(track, winds, failsafe, (begun, level), home, around)
        ways = _but_for_landed(ways, begun) if begun.landed.any() else ways
    else:
        ways = _staying(track, velocity, failsafe, begun, around)
    return attrs.evolve(
        ways, strikes=begun.struck.hits, touches_mps=begun.touches_mps, in_order=in_order(track)
    )


def _staying(
    track: Track,
    velocity: tuple[Floats, Floats, Floats],
    failsafe: Failsafe,
    begun: Begun,
    around: Surroundings,
) -> LossWays:
    (x_m, y_m, amsl_m), waiting_m = begun.waited, begun.clearance_m
    height_m = np.maximum(amsl_m - ground_over(around.surfaces, x_m, y_m), 0.0)
    end_x, end_y, end_amsl, clearance = x_m, y_m, amsl_m - height_m, waiting_m
    strikes_m = begun.least_m
    match failsafe.action:
        case LinkLossAction.DROP:
            took_s = thrown_time_s(height_m, velocity[2])
            end_x, end_y = x_m + velocity[0] * took_s, y_m + velocity[1] * took_s
            clearance = np.where(np.isnan(waiting_m), np.nan, begun.struck.clearance_m)
            # It falls on that ground anyway.
            strikes_m = begun.struck.clearance_m
        case LinkLossAction.LAND:
            took_s = height_m / failsafe.descent_mps
        case _:
            # It falls, too, but when depends on the charge.
            took_s = np.full(len(track), np.nan)
    return LossWays(
        failsafe=failsafe,
        corner_x_m=np.column_stack([track.x_m, x_m, x_m, end_x]),
        corner_y_m=np.column_stack([track.y_m, y_m, y_m, end_y]),
        corner_amsl_m=np.column_stack([track.planned_amsl_m, amsl_m, amsl_m, end_amsl]),
        clearance_m=np.where(np.isinf(begun.struck.clearance_m), clearance, begun.struck.clearance_m),
        waiting_m=strikes_m,
        acting_m=np.full(len(track), np.inf),
        waited_agl_m=begun.last_agl_m,
        level_m=np.full(len(track), np.inf),
        highest_amsl_m=np.maximum(track.planned_amsl_m, amsl_m),
        duration_s=np.asarray(failsafe.delay_s + took_s),
        parts_s=np.full((len(track), 4), np.nan),
        obstacle=begun.struck.obstacle,
        cover=begun.struck.cover,
        blown_away=np.zeros(len(track), dtype=bool),
        blown_in_gusts=np.zeros(len(track), dtype=bool),
        margin_m=around.margin_m,
        flown_mps=velocity[:2],
    )


def _returning(
    track: Track,
    winds: Sequence[Wind],
    failsafe: Failsafe,
    begun: tuple[Begun, Floats],
    home: Home,
    around: Surroundings,
) -> LossWays:
    start, level = begun
    (x_m, y_m, amsl_m), struck_m = start.waited, start.struck.clearance_m
    fan = Fan((home.x_m, home.y_m), x_m, y_m)
    ways = LevelWays(x_m, y_m, fan.hub, level, in_order(track))
    highest_m, between = _highest_ground(fan, ways, around)
    level_ground = level - np.maximum(highest_m, home.ground_amsl_m)
    over_ground = np.minimum(level_ground, start.clearance_m)
    built, grown = under(ways, around)
    action_s = np.column_stack(return_s(fan, winds, failsafe, (amsl_m, level), home.ground_amsl_m))
    parts_s = np.where(np.isinf(action_s[:, [1]]), np.nan, np.insert(action_s, 0, failsafe.delay_s, axis=1))
    high_m = level - home.ground_amsl_m
    gusty_s, lasting_s = (blown_s(fan, winds, failsafe, high_m, lasts=lasts) for lasts in (False, True))
    over_rest = np.minimum(np.minimum(built.least_m, grown.least_m), struck_m)
    first = np.isfinite(struck_m) & (struck_m <= np.fmin(over_ground, over_rest))
    named = np.minimum(level_ground, np.where(start.clearance_m <= 0.0, start.clearance_m, np.inf))
    which = np.where(built.least_m <= np.minimum(named, grown.least_m), built.which, -1)
    cover = np.where(grown.least_m < np.minimum(named, built.least_m), grown.which, -1)
    away, climbed = _away_from_ends(track, fan, (level, level_ground), failsafe, (home, between), around)
    return LossWays(
        failsafe=failsafe,
        corner_x_m=np.column_stack([track.x_m, x_m, x_m, np.full_like(x_m, home.x_m)]),
        corner_y_m=np.column_stack([track.y_m, y_m, y_m, np.full_like(y_m, home.y_m)]),
        corner_amsl_m=np.column_stack([track.planned_amsl_m, amsl_m, level, level]),
        clearance_m=_known_or_too_low(over_ground, np.fmin(start.clearance_m, over_rest), around.margin_m),
        waiting_m=start.least_m,
        acting_m=np.fmin(np.where(climbed & (level_ground >= 0.0), np.inf, level_ground), over_rest),
        waited_agl_m=start.last_agl_m,
        level_m=np.fmin(np.fmin(built.least_m, grown.least_m), np.where(climbed, np.inf, away)),
        highest_amsl_m=np.maximum(np.maximum(track.planned_amsl_m, amsl_m), level),
        duration_s=parts_s.sum(axis=1),
        parts_s=parts_s,
        obstacle=np.where(first, start.struck.obstacle, which),
        cover=np.where(first, start.struck.cover, cover),
        over_ground_m=level_ground,
        blown_away=np.isinf(action_s[:, 1]),
        blown_in_gusts=np.asarray(np.isinf(gusty_s) & (fan.flat_m > 0)),
        margin_m=around.margin_m,
        gusty_s=gusty_s,
        lasting_s=np.where(fan.flat_m > 0, lasting_s, 0.0),
        blows=upright_blows(winds, (amsl_m + level) / 2 - track.ground_amsl_m, high_m / 2),
        climbed_m=np.where(climbed, away, np.nan),
    )


def _highest_ground(fan: Fan, ways: LevelWays, around: Surroundings) -> tuple[Floats, Nodes]:
    """Return the highest ground under level ways, and between them where they clear it by hardly enough."""
    ground = around.surfaces[0] if around.surfaces else None
    between = nodes_between(ways, ground, max(around.margin_m, _ROOM_M))
    beneath_m = greatest_along(fan, around.surfaces, HIGHEST_GROUND).value[0]
    return np.maximum(beneath_m, between.highest(len(beneath_m))), between


def _away_from_ends(
    track: Track,
    fan: Fan,
    heights: tuple[Floats, Floats],
    failsafe: Failsafe,
    beneath: tuple[Home, Nodes],
    around: Surroundings,
) -> tuple[Floats, Mask]:
    """Return the least height over ground where the margin is owed, and where that is but the climb-out.

    There it returns as it was flown.
    """
    away = _ground_away_from_ends(fan, heights, beneath, around)
    # What climbs on the spot can do so before it flies away; a margin that the pilot stated is owed.
    may = failsafe.action is LinkLossAction.RETURN_HIGHEST and around.glides and not around.own_margin
    if not may or not in_order(track):
        return away, np.zeros(len(track), dtype=bool)
    with np.errstate(invalid="ignore"):
        low = (away < around.margin_m) & (away >= fan.flat_m * _CLIMBS_OUT)
    return away, over_climb_out(track, (fan.x_m, fan.y_m), fan.hub, around, low)


def _but_for_landed(ways: LossWays, begun: Begun) -> LossWays:
    """Return the ways so that what has landed while it waited stays there."""
    landed, met = begun.landed, begun.struck
    parts_s = ways.parts_s.copy()
    parts_s[landed] = [ways.failsafe.delay_s, 0.0, 0.0, 0.0]

    def ends_there(corners: Floats) -> Floats:
        return np.where(landed[:, None], corners[:, [0, 1, 1, 1]], corners)

    return attrs.evolve(
        ways,
        corner_x_m=ends_there(ways.corner_x_m),
        corner_y_m=ends_there(ways.corner_y_m),
        corner_amsl_m=ends_there(ways.corner_amsl_m),
        clearance_m=np.where(landed, met.clearance_m, ways.clearance_m),
        acting_m=np.where(landed, np.inf, ways.acting_m),
        level_m=np.where(landed, np.inf, ways.level_m),
        climbed_m=None if ways.climbed_m is None else np.where(landed, np.nan, ways.climbed_m),
        highest_amsl_m=np.where(landed, ways.corner_amsl_m[:, :2].max(axis=1), ways.highest_amsl_m),
        duration_s=parts_s.sum(axis=1),
        parts_s=parts_s,
        obstacle=np.where(landed, met.obstacle, ways.obstacle),
        cover=np.where(landed, met.cover, ways.cover),
        blown_away=ways.blown_away & ~landed,
        blown_in_gusts=ways.blown_in_gusts & ~landed,
        gusty_s=None if ways.gusty_s is None else np.where(landed, 0.0, ways.gusty_s),
        lasting_s=None if ways.lasting_s is None else np.where(landed, 0.0, ways.lasting_s),
        landed=landed,
    )


def _ground_away_from_ends(
    fan: Fan, heights: tuple[Floats, Floats], beneath: tuple[Home, Nodes], around: Surroundings
) -> Floats:
    """Return the least height over ground of the level parts where the margin is owed in full.

    `heights`: of the level part [m AMSL], and its least over ground. Within
    the margin of where it begins it may be as low as the aircraft flies
    itself. Inf where the way ends within twice the margin: there it lands.
    """
    (level, least_m), (home, between) = heights, beneath
    flat_m, margin_m = fan.flat_m, around.margin_m
    if not around.surfaces or margin_m <= 0.0:
        return least_m
    found = np.where(flat_m > 2 * margin_m, least_m, np.inf)
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero((flat_m > 2 * margin_m) & (least_m < margin_m))
    if len(rows):
        share = margin_m / flat_m[rows]
        begin = [
            here[rows] + (hub - here[rows]) * share
            for here, hub in zip((fan.x_m, fan.y_m), fan.hub, strict=True)
        ]
        away = Fan((home.x_m, home.y_m), begin[0], begin[1])
        highest_m = greatest_along(away, around.surfaces, HIGHEST_GROUND).value[0]
        found[rows] = level[rows] - np.maximum(highest_m, between.highest(len(level), margin_m)[rows])
    return found


def _known_or_too_low(over_ground: Floats, over_rest: Floats, margin_m: float) -> Floats:
    """Return the least clearance; NaN where ground is unknown, unless the rest comes too low by itself."""
    with np.errstate(invalid="ignore"):
        hidden = np.where(over_rest < margin_m, over_rest, np.nan)
    return np.where(np.isnan(over_ground), hidden, np.fmin(over_ground, over_rest))
