"""What the aircraft does by itself when the control link is lost, in plain figures."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.track.samples import AreaSamples
from planner.track.track import Track

Floats = NDArray[np.float64]

# Taken where the pilot states none: common practice.
DELAY_S: Final = 2.0
SPEED_MPS: Final = 10.0
CLIMB_MPS: Final = 2.5
DESCENT_MPS: Final = 2.0

RETURNS: Final = frozenset(
    {LinkLossAction.RETURN_FIXED, LinkLossAction.RETURN_OFFSET, LinkLossAction.RETURN_HIGHEST}
)


@attrs.frozen
class Failsafe:
    """The action with every figure filled in; `assumed` names those the pilot did not state.

    `by_satellites` is whether it finds its place by a satellite fix; None: not said.
    """

    action: LinkLossAction
    delay_s: float
    speed_mps: float
    climb_mps: float
    descent_mps: float
    assumed: tuple[str, ...]
    by_satellites: bool | None = None

    @classmethod
    def of(cls, loss: LinkLoss) -> "Failsafe":
        """Return the failsafe of an aircraft."""
        stated = {
            "delay": loss.delay_s,
            "speed": loss.speed_mps,
            "rate of climb": loss.climb_mps,
            "rate of descent": loss.descent_mps,
        }
        return cls(
            action=loss.action,
            delay_s=DELAY_S if loss.delay_s is None else loss.delay_s,
            speed_mps=loss.speed_mps or SPEED_MPS,
            climb_mps=loss.climb_mps or CLIMB_MPS,
            descent_mps=loss.descent_mps or DESCENT_MPS,
            assumed=tuple(name for name, value in stated.items() if value is None),
            by_satellites=loss.needs_fix,
        )


def return_level_amsl_m(loss: LinkLoss, track: Track | AreaSamples, start_amsl_m: Floats) -> Floats:
    """Return the height of the way home from each sample (n,) [m AMSL].

    Never below where the aircraft is: a return height is climbed to, not
    descended to (common practice). A height above ground is counted from the
    ground where the link was lost. NaN where it can't be known, or where
    nothing returns.
    """
    match loss.action:
        case LinkLossAction.RETURN_FIXED:
            wanted = _fixed(loss, track)
        case LinkLossAction.RETURN_OFFSET:
            wanted = start_amsl_m + (np.nan if loss.height is None else loss.height.m)
        case LinkLossAction.RETURN_HIGHEST:
            wanted = np.maximum.accumulate(track.planned_amsl_m)
        case _:
            wanted = np.full(len(start_amsl_m), np.nan)
    return np.maximum(wanted, start_amsl_m)


def _fixed(loss: LinkLoss, track: Track | AreaSamples) -> Floats:
    match loss.height:
        case AboveSeaLevel(m=m):
            return np.full(len(track.ground_amsl_m), m)
        case AboveLaunch(m=m):
            return np.full(len(track.ground_amsl_m), track.launch_ground_amsl_m + m)
        case AboveGround(m=m):
            return np.asarray(track.ground_amsl_m + m)
        case None:
            return np.full(len(track.ground_amsl_m), np.nan)
