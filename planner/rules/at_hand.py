"""Whether an airspace is one that the flight may come into: entered, close beside, or on a way not drawn."""

from planner.rules.beside import is_close_beside
from planner.rules.case import Case
from planner.rules.flown import flown
from planner.rules.transit_airspace import at_its_height, within_outline
from planner.rules.undrawn import ways_not_drawn
from planner.world.airspace import AirspaceVolume


def at_hand(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether the flight enters a volume at its heights, passes close beside it, or has a way through it."""
    if flown(case, column, volume) or is_close_beside(case, column, volume):
        return True
    if case.mapped is None:
        return False
    for way in ways_not_drawn(case, case.mapped):
        samples = within_outline(case.mapped, way, column)
        if samples is not None and at_its_height(volume, samples).any():
            return True
    return False
