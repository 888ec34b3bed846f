"""Where an aircraft that lost its link flies straight on to until its action begins, and what it meets."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.approach import approach
from planner.flight.failsafe import Failsafe
from planner.flight.grid_fit import GridFit
from planner.flight.struck import Spots, Struck, struck
from planner.flight.surroundings import Surroundings
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# While it waits the aircraft flies on; places of that way are looked at, no nearer than this to each other.
_WAITING_STEP_M: Final = 10.0
_MOST_WAITING_PLACES: Final = 60
# A straight wait over ground that the path follows wiggles by this much.
WIGGLE_M: Final = 1.0
# What comes to the ground so near to where it lands, and no faster, lands there while it waits: own choice.
LANDS_WITHIN_M: Final = 10.0
# A wing lands along a strip: own choice.
_STRIP_M: Final = 50.0
# Ground that rises more than this above it is none to land on instead: own choice.
_LANDS_UP_TO_M: Final = 3.0
_LANDS_AT_MPS: Final = 3.0
LANDS_ALONG_MPS: Final = 6.0


@attrs.frozen(eq=False)
class Begun:
    """Where it is after the delay; the least height over ground till then, the last, and what it strikes.

    `landed` (n,) is whether it is on the ground of its landing place by then, and nothing more begins;
    `touches_mps` how fast over the ground, where that is no landing but its way down to one; else NaN.
    """

    waited: Spots
    clearance_m: Floats
    last_agl_m: Floats
    struck: Struck
    landed: Mask
    touches_mps: Floats

    @property
    def least_m(self) -> Floats:
        """Return the least clearance over ground, and over what is struck (n,) [m]."""
        return np.asarray(np.fmin(self.clearance_m, self.struck.clearance_m))


def begun_after(
    track: Track,
    velocity: tuple[Floats, Floats, Floats],
    failsafe: Failsafe,
    around: Surroundings,
    unsaid_speed: Mask | None = None,
) -> Begun:
    """Return where what flies straight on till its action begins comes to, from each sample.

    `unsaid_speed` (n,) is whether the speed there is an assumed one.
    """
    lost = track.x_m, track.y_m, track.planned_amsl_m
    x_m, y_m, amsl_m = (here + rate * failsafe.delay_s for here, rate in zip(lost, velocity, strict=True))
    waiting_m, last_m, met = _clearance_while_waiting(track, velocity, failsafe.delay_s, around.surfaces)
    unsaid = np.zeros(len(track), dtype=bool) if unsaid_speed is None else unsaid_speed
    lands, with_way_on = _comes_down(track, velocity, met, failsafe, around, unsaid)
    with np.errstate(invalid="ignore"):
        with_way_on &= (waiting_m <= 0.0) & ~lands
    lands = (lands | with_way_on) & ~np.isnan(waiting_m)
    with np.errstate(invalid="ignore"):
        down = lands & (waiting_m <= 0.0)
        landed = lands & (waiting_m <= WIGGLE_M)
    x_m, y_m = np.where(down, met[0], x_m), np.where(down, met[1], y_m)
    amsl_m = np.where(down, ground_over(around.surfaces, x_m, y_m), amsl_m)
    ground = around.surfaces[0] if around.surfaces else None
    hit = struck(lost, (x_m, y_m, amsl_m), around.obstacles, around.cover, ground)
    return Begun(
        waited=(x_m, y_m, amsl_m),
        clearance_m=np.where(lands, np.inf, waiting_m),
        last_agl_m=np.where(down, 0.0, last_m),
        struck=hit,
        landed=landed,
        touches_mps=np.where(with_way_on & ~unsaid, np.hypot(velocity[0], velocity[1]), np.nan),
    )


def ground_over(surfaces: Sequence[PlaneTerrain], x_m: Floats, y_m: Floats) -> Floats:
    """Return the highest of some surfaces at places of the plane [m AMSL], NaN where the first is unknown."""
    if not surfaces:
        return np.full(x_m.shape, np.nan)
    ground = GridFit.over(surfaces[0], x_m, y_m).ground(x_m, y_m)
    for cover in surfaces[1:]:
        known = GridFit.over(cover, x_m, y_m).ground(x_m, y_m)
        ground = np.where(np.isnan(known), ground, np.maximum(ground, known))
    return ground


def _clearance_while_waiting(
    track: Track,
    velocity: tuple[Floats, Floats, Floats],
    delay_s: float,
    surfaces: Sequence[PlaneTerrain],
) -> tuple[Floats, Floats, tuple[Floats, Floats]]:
    """Return the least height over ground till the action begins, and that where it does (n,) [m].

    With the place where it first comes to the ground, else where it is when the action begins.
    """
    farthest_m = delay_s * float(np.hypot(velocity[0], velocity[1]).max(initial=0.0))
    places = 2 + min(int(farthest_m / _WAITING_STEP_M), _MOST_WAITING_PLACES)
    after_s = np.linspace(0.0, delay_s, places)[:, None]
    x_m, y_m = track.x_m + velocity[0] * after_s, track.y_m + velocity[1] * after_s
    ground = ground_over(surfaces, x_m.ravel(), y_m.ravel()).reshape(x_m.shape)
    height_m = track.planned_amsl_m + velocity[2] * after_s - ground
    return np.asarray(height_m.min(axis=0)), np.asarray(height_m[-1]), _first_down(height_m, (x_m, y_m))


def _first_down(height_m: Floats, at: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """Return where heights (k, n) over ground along ways first come to nothing, else where these end (n,)."""
    last = len(height_m) - 1
    with np.errstate(invalid="ignore"):
        down = height_m <= 0.0
    after = np.where(down.any(axis=0), np.argmax(down, axis=0), last)[None]
    before = np.maximum(after - 1, 0)
    high_m, low_m = (np.take_along_axis(height_m, row, axis=0)[0] for row in (before, after))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where((low_m < 0.0) & (high_m > 0.0), high_m / (high_m - low_m), 1.0)
    places = []
    for axis in at:
        begin, end = (np.take_along_axis(axis, row, axis=0)[0] for row in (before, after))
        places.append(begin + (end - begin) * share)
    return places[0], places[1]


def _comes_down(
    track: Track,
    velocity: tuple[Floats, Floats, Floats],
    met: tuple[Floats, Floats],
    failsafe: Failsafe,
    around: Surroundings,
    unsaid: Mask,
) -> tuple[Mask, Mask]:
    """Return what comes down as one lands, and what does on its way down to that, but faster.

    Faster along, or beyond the path's end by less than a strip: it is slowed down before it touches. Of a
    leg there whose speed nobody said the speed that is assumed is none to crash at.
    """
    east, north, up_mps = velocity
    sinks = (up_mps < 0.0) & (up_mps >= -max(_LANDS_AT_MPS, min(failsafe.descent_mps, LANDS_ALONG_MPS)))
    slow = sinks & (around.glides | (np.hypot(east, north) <= LANDS_ALONG_MPS))
    there = _where_it_lands(met, around)
    within_m = _STRIP_M if around.glides else LANDS_WITHIN_M
    last = approach(track, around.landings, within_m)
    end_x, end_y = track.x_m[-1], track.y_m[-1]
    left_m = np.hypot(end_x - track.x_m, end_y - track.y_m)
    flown_m = np.hypot(met[0] - track.x_m, met[1] - track.y_m)
    beyond = (np.hypot(met[0] - end_x, met[1] - end_y) <= _STRIP_M) & (flown_m >= left_m - LANDS_WITHIN_M)
    # Straight on over the path's end, not off at a corner before it.
    aside = (end_x - track.x_m) * north - (end_y - track.y_m) * east
    beyond &= np.abs(aside) <= LANDS_WITHIN_M * np.hypot(east, north)
    beyond &= ~_higher_ground(met, (end_x, end_y), around)
    # What keeps its place lands wherever it is so slow; a wing passes as fast as it lands.
    lands = there & ((slow & (last | (not around.glides))) | (unsaid & last & (up_mps < 0.0)))
    return np.asarray(lands), np.asarray(sinks & last & (there | beyond))


def _higher_ground(met: tuple[Floats, Floats], spot: tuple[float, float], around: Surroundings) -> Mask:
    """Return which places lie too high over the ground at a spot to land there instead."""
    spot_m = ground_over(around.surfaces, np.array([spot[0]]), np.array([spot[1]]))[0]
    with np.errstate(invalid="ignore"):
        return np.asarray(~(ground_over(around.surfaces, *met) <= spot_m + _LANDS_UP_TO_M))


def _where_it_lands(met: tuple[Floats, Floats], around: Surroundings) -> Mask:
    """Return what comes to the ground where the flight takes off or lands."""
    there = np.zeros(len(met[0]), dtype=bool)
    for x_m, y_m in around.landings:
        within_m = _STRIP_M if around.glides else LANDS_WITHIN_M
        near = np.hypot(met[0] - x_m, met[1] - y_m) <= within_m
        there |= near & ~_higher_ground(met, (x_m, y_m), around)
    return there
