"""How far wind may carry a failed aircraft of which no drag area is given: never less than in truth.

Nothing of a size falls with more drag than a disc of that size broadside on. No figure of one aircraft is so
great: a bound to be cautious with, never a figure to plan by.
"""

import math
from typing import Final

from planner.flight.fall import terminal_speed_mps
from planner.flight.falling_air import STANDARD_KG_M3
from planner.plan.aircraft import Aircraft
from planner.plan.model import Plan

DISC_DRAG: Final = 1.25
"""Drag coefficient of a disc broadside on, or of a rotor that windmills: 1.1 to 1.2, and up to 1.25.

Standing: handbooks of drag, from memory; that a tumbling aircraft has no more is an own assumption.
"""


def lowest_terminal_mps(craft: Aircraft, density_kg_m3: float = STANDARD_KG_M3) -> float:
    """Return the lowest speed at which drag can carry it [m/s]: as a disc of its largest dimension.

    No outline of that diameter has a greater area (isodiametric inequality).
    """
    area_m2 = DISC_DRAG * math.pi * craft.largest_dimension_m**2 / 4
    return terminal_speed_mps(craft.take_off_weight_kg, area_m2, density_kg_m3)


def drift_is_open(plan: Plan) -> Aircraft | None:
    """Return the aircraft if its drag area is not given, so that only a bound of its drift is known."""
    craft = plan.aircraft
    if craft is None or (craft.performance is not None and craft.performance.drag_area_m2):
        return None
    return craft
