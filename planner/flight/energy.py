"""Charge along the path."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.flight.motion import Motion
from planner.flight.power import PowerModel

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Energy:
    """What the flight has taken at each sample; arrays (n,), NaN from where the way can't be held.

    Parameters
    ----------
    power_w : power on the step that leaves the sample.
    used_wh, used_mah : taken since the first point.
    charge_fraction : left of what the pack gives at its temperature.
    cell_v : voltage of a cell under load.
    """

    power_w: Floats
    used_wh: Floats
    used_mah: Floats
    charge_fraction: Floats
    cell_v: Floats


def energy_along(motion: Motion, model: PowerModel, pack: Pack, used_before_wh: float = 0.0) -> Energy:
    """Return the charge along the path.

    Wind, speeds and climb are those of the middle of each step. What was used
    before the first point, the climb to it say, is `used_before_wh`.
    """
    power_w = model.power_w(motion.air_speed_mps, motion.climb_mps)
    steps_wh = power_w[:-1] * np.diff(motion.time_s) / 3_600
    used_wh = used_before_wh + np.concatenate([[0.0], np.cumsum(steps_wh)])
    left = 1.0 - used_wh / pack.usable_wh
    return Energy(
        power_w=power_w,
        used_wh=used_wh,
        used_mah=pack.mah_of(used_wh),
        charge_fraction=left,
        cell_v=pack.loaded_cell_v(np.clip(left, 0.0, 1.0), power_w),
    )
