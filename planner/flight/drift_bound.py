"""How far wind may carry a failed aircraft of which no drag area is given: never less than in truth.

Nothing of a size falls with more drag than a disc of that size broadside on. No figure of one aircraft is so
great: a bound to be cautious with, never a figure to plan by.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.fall import terminal_speed_mps
from planner.flight.wind import Wind
from planner.plan.aircraft import Aircraft
from planner.plan.model import Plan
from planner.world.weather.atmosphere import GRAVITY_MPS2

Floats = NDArray[np.float64]

DISC_DRAG: Final = 1.25
"""Drag coefficient of a disc broadside on, or of a rotor that windmills: 1.1 to 1.2, and up to 1.25.

Standing: handbooks of drag, from memory; that a tumbling aircraft has no more is an own assumption.
"""


def lowest_terminal_mps(craft: Aircraft) -> float:
    """Return the lowest speed at which drag can carry it [m/s]: as a disc of its largest dimension.

    No outline of that diameter has a greater area (isodiametric inequality).
    """
    area_m2 = DISC_DRAG * math.pi * craft.largest_dimension_m**2 / 4
    return terminal_speed_mps(craft.take_off_weight_kg, area_m2)


def slow_fall_s(height_m: Floats, terminal_mps: float) -> Floats:
    """Return the time of a fall from rest with drag (n,) [s]: v / g arcosh exp(g h / v^2)."""
    deep = GRAVITY_MPS2 * np.maximum(height_m, 0.0) / terminal_mps**2
    return np.asarray(terminal_mps / GRAVITY_MPS2 * (deep + np.log1p(np.sqrt(-np.expm1(-2 * deep)))))


def drift_is_open(plan: Plan) -> Aircraft | None:
    """Return the aircraft if its drag area is not given, so that only a bound of its drift is known."""
    craft = plan.aircraft
    if craft is None or (craft.performance is not None and craft.performance.drag_area_m2):
        return None
    return craft


def most_carried_m(craft: Aircraft, winds: Sequence[Wind], height_m: Floats) -> list[Floats]:
    """Return how far the gusts of each wind carry it at the most (n, 2) [m], from heights (n,)."""
    down_s = slow_fall_s(height_m, lowest_terminal_mps(craft))
    return [
        np.column_stack([toward * wind.at(height_m, wind.gust_mps) * down_s for toward in wind.toward()])
        for wind in winds
    ]
