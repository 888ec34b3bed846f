"""What comes to the ground before its action on lost link begins: a landing, a way down to one, or neither.

What flies on straight meets the ground where it was to land and no harder than one lands: it lands. Where it
comes in faster along it is on its way down to a landing: whoever lands it slows down before, and that is
told. Everywhere else it flies into the ground. How near, how hard and how fast are own choices.
"""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.approach import detour_m, never_higher
from planner.flight.surroundings import Surroundings, ground_over
from planner.track.track import Track

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# What keeps its place lands so near to its landing place, a wing along a strip.
LANDS_WITHIN_M: Final = 10.0
_STRIP_M: Final = 50.0
# Ground that is more than this higher is none to land on instead.
_LANDS_UP_TO_M: Final = 3.0
# The height over ground goes no faster than this, or than a stated descent; it touches no faster along.
_LANDS_AT_MPS: Final = 3.0
LANDS_ALONG_MPS: Final = 6.0
# Nothing that comes in faster along, up a slope, nears the ground faster than this.
_HARDEST_MPS: Final = 4.5
# Where the path goes on from there, no faster than this: nobody means to land.
_SETTLES_ALONG_MPS: Final = 3.0
# How the ground rises is looked at so far ahead and behind.
_AHEAD_M: Final = 2.0


@attrs.frozen(eq=False)
class Meeting:
    """Where what flies straight on from each sample (n,) meets the ground, or else is when its action begins.

    `velocity` is east, north and up [m/s], `met` that place in the plane [m], `unsaid` whether the speed is
    only assumed.
    """

    track: Track
    velocity: tuple[Floats, Floats, Floats]
    met: tuple[Floats, Floats]
    unsaid: Mask

    @property
    def along_mps(self) -> Floats:
        """Return the speed over the ground."""
        return np.asarray(np.hypot(self.velocity[0], self.velocity[1]))

    def rises(self, around: Surroundings) -> Floats:
        """Return how steeply the ground rises there along its way, ahead or behind, NaN: nobody knows."""
        along = np.maximum(self.along_mps, 1e-9)
        ahead = [rate / along * _AHEAD_M for rate in self.velocity[:2]]
        behind_m, here_m, ahead_m = (
            ground_over(around.surfaces, self.met[0] + turn * ahead[0], self.met[1] + turn * ahead[1])
            for turn in (-1.0, 0.0, 1.0)
        )
        return np.asarray(np.fmax(here_m - behind_m, ahead_m - here_m) / _AHEAD_M)

    def within(self, place: tuple[float, float], within_m: float, around: Surroundings) -> Mask:
        """Return what meets ground so near to a place, and hardly higher."""
        spot_m = ground_over(around.surfaces, *(np.array([one]) for one in place))[0]
        near = np.hypot(self.met[0] - place[0], self.met[1] - place[1]) <= within_m
        with np.errstate(invalid="ignore"):
            return np.asarray(near & (ground_over(around.surfaces, *self.met) <= spot_m + _LANDS_UP_TO_M))

    def passes_beside_m(self, place: tuple[float, float]) -> Floats:
        """Return how far beside a place its straight way leads, before or behind it."""
        aside = (place[0] - self.track.x_m) * self.velocity[1] - (place[1] - self.track.y_m) * self.velocity[
            0
        ]
        return np.asarray(np.abs(aside) / np.maximum(self.along_mps, 1e-9))


def comes_down(meeting: Meeting, descent_mps: float, around: Surroundings) -> tuple[Mask, Mask]:
    """Return what comes down as one lands, and what does on its way down to that, but faster or farther off.

    `descent_mps` is that of its landing by itself, if that is faster than one lands.
    """
    track, along_mps, sinks_mps = meeting.track, meeting.along_mps, -meeting.velocity[2]
    slowed_mps = np.minimum(along_mps, LANDS_ALONG_MPS)
    rises = meeting.rises(around)
    # It is slowed down before a slope as before the ground: what climbs along it does so as slowly, too.
    slower = slowed_mps / np.maximum(along_mps, 1e-9)
    closing_mps = np.where(sinks_mps > 0.0, sinks_mps, sinks_mps * slower) + rises * slowed_mps
    # The speed that is assumed where nobody says one is none to crash at.
    at_most_mps = sinks_mps * slower + rises * slowed_mps
    closing_mps = np.where(meeting.unsaid & (along_mps > LANDS_ALONG_MPS), at_most_mps, closing_mps)
    limit_mps = max(_LANDS_AT_MPS, min(descent_mps, LANDS_ALONG_MPS))
    within_m = _STRIP_M if around.glides else LANDS_WITHIN_M
    down = never_higher(track, around.landings, within_m)
    straight = down & (detour_m(track) <= within_m)
    there = np.zeros(len(track), dtype=bool)
    for spot in around.landings:
        there |= meeting.within(spot, within_m, around)
    end = float(track.x_m[-1]), float(track.y_m[-1])
    # Straight on over the path's end, or short of it, not off at a corner before it.
    near = meeting.within(end, _STRIP_M, around) & (meeting.passes_beside_m(end) <= LANDS_WITHIN_M)
    with np.errstate(invalid="ignore"):
        gently = (closing_mps > 0.0) & (closing_mps <= limit_mps) & ((sinks_mps > 0.0) | straight)
        # As it is flown, too, it is no crash: nobody is there to slow it down.
        gently &= meeting.unsaid | (sinks_mps + rises * along_mps <= _HARDEST_MPS)
    slow = straight if around.glides else along_mps <= np.where(down, LANDS_ALONG_MPS, _SETTLES_ALONG_MPS)
    lands = there & gently & slow
    lands |= meeting.unsaid & straight & (sinks_mps > 0.0) & (there | (near & gently))
    return np.asarray(lands), np.asarray(gently & straight & (there | near))
