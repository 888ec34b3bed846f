"""Structures as obstacles, laid into one plane to be flown past."""

from collections.abc import Iterable
from functools import cached_property

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.frame import LocalFrame
from planner.world.structures import Structure

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class Obstacles:
    """Structures in the order of their keys, and where they stand in the plane [m]; none is dismantled."""

    structures: tuple[Structure, ...]
    x_m: Floats
    y_m: Floats

    def within(self, west_m: float, south_m: float, east_m: float, north_m: float) -> Ints:
        """Return the indices of those inside a box of the plane [m]."""
        inside = (self.x_m >= west_m) & (self.x_m <= east_m) & (self.y_m >= south_m) & (self.y_m <= north_m)
        return np.flatnonzero(inside)

    @cached_property
    def error_m(self) -> Floats:
        """How far off each record says that it may be (s,) [m], NaN where it does not say."""
        return np.array([one.horizontal_error_m for one in self.structures], dtype=float)

    def may_be_within(self, box_m: tuple[float, float, float, float], unsaid_m: float) -> Ints:
        """Return the indices of those that may stand in a box of the plane, their records being off [m].

        `box_m` is west, south, east, north; `unsaid_m` counts where a record does not say how far off.
        """
        by_m = np.where(np.isnan(self.error_m), unsaid_m, self.error_m)
        west_m, south_m, east_m, north_m = box_m
        across = (self.x_m >= west_m - by_m) & (self.x_m <= east_m + by_m)
        return np.flatnonzero(across & (self.y_m >= south_m - by_m) & (self.y_m <= north_m + by_m))


def lay_obstacles(structures: Iterable[Structure], frame: LocalFrame) -> Obstacles:
    """Lay structures into a plane, whatever their records are worth as an allowance."""
    standing = sorted((one for one in structures if not one.dismantled), key=lambda one: one.key)
    lon_deg = np.array([one.place.lon_deg for one in standing])
    lat_deg = np.array([one.place.lat_deg for one in standing])
    x_m, y_m = frame.forward(lon_deg, lat_deg) if standing else (np.empty(0), np.empty(0))
    return Obstacles(tuple(standing), np.asarray(x_m), np.asarray(y_m))
