"""Wind by height above ground, and what of it lies along and across a way.

Sources (check values section 7, from memory, guidance): power law with the
exponent 1/7; logarithmic law over a roughness length. Both hold over open,
level ground by day; behind ridges, trees and buildings neither does.
"""

import math
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.weather import TypedWind, WindLaw

Floats = NDArray[np.float64]

POWER_EXPONENT: Final = 1.0 / 7.0
ROUGHNESS_M: Final = 0.03
LASTING: Final = 0.4
# Below this the laws say nothing; they are held there.
_LOWEST_M: Final = 0.5


@attrs.frozen
class Wind:
    """Mean wind at a reference height.

    Parameters
    ----------
    speed_mps : mean speed at `measured_at_m` above ground [m/s].
    from_true_deg : where it blows from [deg].
    gust_mps : peak at the same height; the mean where none is known.
    exponent, roughness_m : of the power and of the logarithmic law.
    """

    speed_mps: float = 0.0
    from_true_deg: float = 0.0
    gust_mps: float = 0.0
    measured_at_m: float = 10.0
    law: WindLaw = WindLaw.POWER
    exponent: float = POWER_EXPONENT
    roughness_m: float = ROUGHNESS_M

    @classmethod
    def typed(cls, wind: TypedWind) -> "Wind":
        """Return the wind of a plan."""
        gust_mps = wind.speed_mps if wind.gust_mps is None else wind.gust_mps
        return cls(wind.speed_mps, wind.from_true_deg % 360.0, gust_mps, wind.measured_at_m, wind.law)

    @property
    def lasting_mps(self) -> float:
        """The most that it blows on the mean over a minute or more [m/s].

        A gust is a peak of some 3 standard deviations; over 60 s, with gusts of some 10 s, the mean deviates
        by 0.58 of one, and twice that is taken: 0.4 of gust over mean (boundary-layer turbulence, from
        memory; own choice).
        """
        return self.speed_mps + LASTING * max(self.gust_mps - self.speed_mps, 0.0)

    def factor(self, agl_m: Floats) -> Floats:
        """Return how many times the reference speed blows at heights above ground (n,).

        NaN where the height is unknown.
        """
        height_m, measured_m = np.maximum(agl_m, _LOWEST_M), max(self.measured_at_m, _LOWEST_M)
        match self.law:
            case WindLaw.POWER:
                return np.asarray((height_m / measured_m) ** self.exponent)
            case WindLaw.LOGARITHMIC:
                over = math.log(measured_m / self.roughness_m)
                return np.asarray(np.log(height_m / self.roughness_m) / over)
            case WindLaw.NONE:
                return np.where(np.isnan(height_m), np.nan, 1.0)

    def at(self, agl_m: Floats, speed_mps: float | None = None) -> Floats:
        """Return the wind's speed at heights above ground [m/s]; another reference speed on wish."""
        return (self.speed_mps if speed_mps is None else speed_mps) * self.factor(agl_m)

    def toward(self, turned_deg: float = 0.0) -> tuple[float, float]:
        """Return the unit vector (east, north) toward which it blows, turned clockwise."""
        angle = math.radians(self.from_true_deg + turned_deg)
        return -math.sin(angle), -math.cos(angle)


CALM: Final = Wind()


def nearest_between(wanted_deg: float, between_deg: tuple[float, float]) -> float:
    """Return the direction nearest to a wanted one between two extremes, clockwise from the first [deg]."""
    first, last = between_deg
    if (wanted_deg - first) % 360.0 <= (last - first) % 360.0:
        return wanted_deg
    before, after = (first - wanted_deg) % 360.0, (wanted_deg - last) % 360.0
    return first if before < after else last
