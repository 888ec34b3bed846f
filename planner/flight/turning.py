"""How wide a wing turns, and how far it swings out beyond a corner at which it begins to turn.

A level turn has the radius v^2 / (g tan bank) (textbooks of aerodynamics; computed). The bank is an own
choice: what automatic flight takes as a rule (common practice, from memory). A rotorcraft stops and turns.
"""

import math
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.world.weather.atmosphere import GRAVITY_MPS2

Floats = NDArray[np.float64]

BANK_DEG: Final = 30.0
_ARC: Final = np.linspace(0.0, 1.0, 17)


def turn_radius_m(speed_mps: float) -> float:
    """Return the radius of a level turn at a speed over the ground [m]."""
    return speed_mps**2 / (GRAVITY_MPS2 * math.tan(math.radians(BANK_DEG)))


def turned_rad(x_m: Floats, y_m: Floats) -> Floats:
    """Return by how much the way turns at each inner point (n - 2,), to the left counts above zero."""
    heading = np.unwrap(np.arctan2(np.diff(y_m), np.diff(x_m)))
    return np.asarray((np.diff(heading) + math.pi) % (2 * math.pi) - math.pi)


def swing_m(turned: Floats, legs_m: Floats, radius_m: Floats) -> Floats:
    """Return how far it swings out beyond each inner point (n - 2,) [m].

    `legs_m` (n - 1,) are the ways between the points, `radius_m` (n - 2,) is how tightly it turns there.
    Corners to one side that follow each other closer than it turns count together: an orbit is many of them.
    """
    found = radius_m * (1.0 - np.cos(turned))
    for first in range(len(turned)):
        way_m, angle = 0.0, abs(turned[first])
        for last in range(first + 1, len(turned)):
            way_m += legs_m[last]
            if turned[last] * turned[first] <= 0.0 or way_m > math.pi * radius_m[first]:
                break
            angle += abs(turned[last])
            short = 1.0 - way_m / (radius_m[first] * angle)
            if short > 0.0:
                out_m = short * radius_m[first] * (1.0 - math.cos(min(angle, math.pi)))
                found[first] = max(found[first], out_m)
    return np.asarray(found)


def swung_over(
    corner: tuple[float, float], heading_rad: float, turned: float, radius_m: float
) -> BaseGeometry:
    """Return what it comes over outside a corner: its arc, and beside the next leg until it is back on it."""
    side = math.copysign(1.0, turned)
    angles = _ARC * turned
    along = radius_m * np.sin(np.abs(angles))
    across = side * radius_m * (1.0 - np.cos(angles))
    east, north = math.cos(heading_rad), math.sin(heading_rad)
    ahead, left = np.array([east, north]), np.array([-north, east])
    arc = np.array(corner) + along[:, None] * ahead + across[:, None] * left
    out = np.array([math.cos(heading_rad + turned), math.sin(heading_rad + turned)]) * radius_m
    return shapely.MultiPoint([*arc, arc[-1] + out, np.array(corner) + 2.0 * out]).convex_hull
