"""Where an aircraft that lost its link flies straight on to until its action begins, and what it meets."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.failsafe import Failsafe
from planner.flight.struck import Spots, Struck, struck
from planner.flight.surroundings import Surroundings, ground_over
from planner.flight.touchdown import Meeting, comes_down
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# While it waits the aircraft flies on; places of that way are looked at, no nearer than this to each other.
_WAITING_STEP_M: Final = 10.0
_MOST_WAITING_PLACES: Final = 60
# A straight wait over ground that the path follows wiggles by this much.
WIGGLE_M: Final = 1.0


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
    lands, with_way_on = comes_down(Meeting(track, velocity, met, unsaid), failsafe.descent_mps, around)
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
